"""Which rows hold a slip, and what to write there, for every kind of mend."""

from types import SimpleNamespace

import pytest
from sessions import rig

from tapewright.calibration.observation import Observation
from tapewright.calibration.rig import Belief
from tapewright.confidence.mistakes import Mistake
from tapewright.confidence.slips import Slip
from tapewright.reading.corrected_rows import mended_rows
from tapewright.target.group import Group, Impact

TEXT = """group,distance_m,reading_cm,right_cm,up_cm
a,18,1.61,0.5,1.5
b,30,2.12,1,2
a,18,1.61,-0.5,1
c,50,4.64,0,-3
"""


def shot(name, distance_m, reading_m, ups, pin=1):
    hits = tuple(Impact(0.005, up_m) for up_m in ups)
    return Observation(Group(name, hits), distance_m, reading_m, pin)


A, B = shot("a", 18.0, 0.0161, (0.015, 0.01)), shot("b", 30.0, 0.0212, (0.02,))
C = shot("c", 50.0, 0.0464, (-0.03,))
SHOTS = (A, B, C)


def rows(kind, *meant, is_open=False):
    places = tuple("abc".index(one.group.name) for one in meant)
    slip = Slip(Mistake(kind, places, meant, 0.01, is_open), 0.9, 0.0)
    calibration = SimpleNamespace(evidence=SimpleNamespace(observations=SHOTS))
    answer = SimpleNamespace(
        slips=(slip,),
        rig=None,
        groups=SHOTS,
        tape=None,
        posterior=SimpleNamespace(calibration=calibration),
    )
    pins = (Belief(0.009), Belief(0.019))
    answer.rig = rig({"pins_below_first_m": pins}) if kind == "pin" else None
    return mended_rows(TEXT, "s.csv", answer)


def test_a_number_is_told_in_the_unit_of_its_column():
    meant = shot("a", 18.0, 0.0116, (0.015, 0.01))
    assert rows("digit", meant) == ("s.csv, lines 2, 4, column reading_cm: write 1.16.",)
    farther = shot("b", 35.0, 0.0212, (0.02,))
    assert rows("peg", farther) == ("s.csv, line 3, column distance_m: write 35.",)
    about = shot("b", 30.0, 0.03141, (0.02,))
    told = rows("neighbour", about, is_open=True)
    assert told == ("s.csv, line 3, column reading_cm: write about 3.141.",)


def test_a_column_that_is_missing_is_to_be_added():
    meant = shot("b", 30.0, 0.0212, (0.02,), pin=2)
    assert rows("pin", meant) == ("s.csv, line 3, column pin, to be added: write 2.",)


def test_two_groups_that_exchanged_are_told_each():
    meant = shot("a", 18.0, 0.0212, (0.015, 0.01)), shot("b", 30.0, 0.0161, (0.02,))
    assert rows("swapped", *meant) == (
        "s.csv, lines 2, 4, column reading_cm: write 2.12.",
        "s.csv, line 3, column reading_cm: write 1.61.",
    )


@pytest.mark.parametrize(
    ("kind", "times", "distance", "told"),
    [
        ("yards", 1.0, 1 / 0.9144, "first line: write distance_m for distance_m"),
        ("yards", 1.0, 0.9144, "first line: write distance_yd for distance_m"),
        ("sign", -1.0, 1.0, "all lines: write in every row up with the other sign"),
    ],
)
def test_what_holds_of_all_rows_is_one_edit(kind, times, distance, told):
    meant = [
        shot(one.group.name, one.distance_m * distance, one.reading_m,
             [times * hit.up_m for hit in one.group.impacts])
        for one in SHOTS
    ]  # fmt: skip
    assert rows(kind, *meant) == (f"s.csv, {told}.",)


def test_nothing_named_is_nothing_told():
    assert mended_rows(TEXT, "s.csv", SimpleNamespace(slips=())) == ()

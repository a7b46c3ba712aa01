from dataclasses import fields, make_dataclass, replace
from pathlib import Path

import pytest

from tapewright.calibration.house_values import with_house
from tapewright.calibration.observation import Observation
from tapewright.calibration.rig import (
    Archer,
    Arrow,
    Belief,
    Bow,
    Chronograph,
    HouseValue,
    HouseValues,
    Rating,
    Rig,
    Sight,
)
from tapewright.flight.air import Air
from tapewright.reading.rig_sheet import read_rig_sheet
from tapewright.reading.shots_reader import load_shots
from tapewright.services import fingerprint as room
from tapewright.services.fingerprint import fingerprint_of, written
from tapewright.target.group import Group, Impact

KEPT = Path(__file__).parents[1] / "kept" / "0.1"
RECORDS = (
    Belief, Chronograph, Rating, Bow, Arrow, Sight, Archer, Rig, Air, Impact, Group, HouseValue,
    HouseValues,
)  # fmt: skip
ARROW = Arrow(Belief(0.0272, 0.0001), 0.0059)
SHOT = Observation(Group("a", (Impact(0.01, None),)), 18.288, 0.0301)


@pytest.mark.regression
def test_sheet_and_arrows_of_0_1_are_still_known_by_what_the_tape_of_0_1_says(monkeypatch):
    monkeypatch.setattr("tapewright.services.fingerprint.ANSWERS_SINCE", "0.1.0")
    rig, _ = read_rig_sheet((KEPT / "heron.toml").read_text(encoding="utf-8"), "heron")
    shots, _ = load_shots(KEPT / "heron-shots.csv")
    assert fingerprint_of(1, rig, tuple(shots)) == "ae94bb68"  # on the tape of 0.1


@pytest.mark.regression
def test_a_record_is_written_as_0_1_wrote_it():
    told = written(("0.1.0", 1, Rig("Heron", ARROW), (SHOT,)))
    assert told.startswith("('0.1.0', 1, Rig(name='Heron', arrow=Arrow(mass_kg=Belief(value=0.0272")
    assert told.endswith(
        "hand='right'), (Observation(group=Group(name='a', impacts=(Impact(right_m=0.01, "
        "up_m=None, arrows=1, called_bad=False),)), distance_m=18.288, reading_m=0.0301, pin=1, "
        "slope_rad=0.0, crosswind_mps=0.0, air=None),))"
    )


@pytest.mark.parametrize("record", [*RECORDS, Observation])
def test_every_record_that_is_hashed_is_known_with_its_first_fields(record):
    assert set(room._FIRST[record.__name__]) <= {one.name for one in fields(record)}  # noqa: SLF001


def test_days_and_numbers_of_arrows_move_no_mark_and_no_fingerprint():
    rig, dated = Rig("Heron", ARROW), replace(SHOT, date="2026-05-14", head="field")
    numbered = replace(dated, group=Group("a", (Impact(0.01, None, arrow="7"),)))
    assert fingerprint_of(1, rig, (numbered,)) == fingerprint_of(1, rig, (SHOT,))


def test_a_later_field_counts_only_where_it_says_something():
    later = make_dataclass(
        "Belief",
        [("value", float), ("sd", float | None, None), ("source", str, "")],
        frozen=True,
    )
    assert written(later(3.0)) == "Belief(value=3.0, sd=None)" == written(Belief(3.0))
    assert written(later(3.0, None, "scale")) == "Belief(value=3.0, sd=None, source='scale')"


def test_whatever_changes_the_answer_changes_the_fingerprint():
    rig = Rig("Heron", ARROW)
    all_of_them = {
        fingerprint_of(1, rig, (SHOT,)),
        fingerprint_of(2, rig, (SHOT,)),
        fingerprint_of(1, rig, ()),
        fingerprint_of(1, rig, (replace(SHOT, pin=2),)),
        fingerprint_of(1, replace(rig, hand="left"), (SHOT,)),
        fingerprint_of(1, replace(rig, sight=Sight(elevation_click_m=1e-4)), (SHOT,)),
        fingerprint_of(1, replace(rig, sight=Sight(windage_click_m=1e-4)), (SHOT,)),
    }
    assert len(all_of_them) == 7


def test_a_kind_that_changes_no_answer_leaves_a_tape_its_fingerprint():
    rig = Rig("Heron", ARROW)
    told = [
        fingerprint_of(1, replace(rig, bow=Bow(kind=kind)), (SHOT,))
        for kind in (None, "compound", "recurve", "longbow")
    ]
    assert told[0] == told[1]
    assert len(set(told)) == 3


def test_house_values_are_part_of_it_where_they_are_used():
    def house(travel, name="Reed Lane", kind=""):
        return HouseValues(
            name, (HouseValue("sight.reading_per_travel", Belief(travel, 0.01), kind),)
        )

    silent, stated = Rig("Heron", ARROW), Rig("Heron", ARROW, sight=Sight(None, None, Belief(1.6)))
    hashes = [
        fingerprint_of(1, with_house(silent, one), ())
        for one in (None, house(1.6), house(1.61), house(1.6, name="Other"))
    ]
    assert len(set(hashes)) == 4
    assert fingerprint_of(1, with_house(silent, house(1.6, kind="another")), ()) == hashes[0]
    assert with_house(stated, house(1.7)) is stated

"""Where a strip was laid: what is not said is as its print says, on whatever was on the sight."""

import json

import pytest
from sessions import rig

from tapewright.services.stick_tape import Laying, Tape, Ticks, read_record, stick, with_tape
from tapewright.sight.stickings import Sticking

PIN = {"distances": [20, 25, 30], "readings_mm": [12.3, 13.9, 16.0]}
FILE = {"schema": "tapewright.tape/1", "unit": "m", "strips": [{"pins": [PIN]}] * 2}
GAUGE = Sticking("gauge 2", 0.3e-3)
ON = Tape("on", "m", (Ticks((20.0, 30.0), (0.012, 0.017)),), aligned_on=(GAUGE,))


def printed(**stuck):
    return read_record(json.dumps(FILE | {"stuck": stuck}), "a.tape.json")


def laid(record, laying, tape=None):
    return stick(record, with_tape(rig(), tape), "new", laying).stuck


OF_GAUGE = {"aligned_on": [{"name": "gauge 2", "sticking_mm": 0.3}]}
BY_HITS = OF_GAUGE | {"aligned_by": ["near"]}


@pytest.mark.parametrize(
    ("stuck", "laying", "tape", "on", "by"),
    [
        (OF_GAUGE, Laying(2), None, (GAUGE,), ()),  # where the print says, on its own scale
        (OF_GAUGE, Laying(2), ON, ON.scales, ()),  # that was looked up on the tape that was on
        (OF_GAUGE, Laying(2, 25.0, 0.014), None, (), ()),  # a reading of the sight's own numbers
        (OF_GAUGE, Laying(2, 25.0, 0.014, on=(GAUGE,)), ON, (GAUGE,), ()),  # where a group hit
        (BY_HITS, Laying(2), ON, (GAUGE,), ("near",)),  # still where those arrows hit
        (BY_HITS, Laying(2, 25.0, 0.014), ON, ON.scales, ()),  # no more
    ],
)
def test_the_scale_of_a_strip_is_that_of_what_tells_its_place(stuck, laying, tape, on, by):
    found = laid(printed(**stuck), laying, tape)
    assert (found.aligned_on, found.aligned_by, found.strip) == (on, by, 2)


def test_a_tick_alone_is_laid_where_the_print_says():
    found = laid(printed(), Laying(tick_m=25.0))
    assert (found.tick_m, found.sd_m) == (25.0, 0.3e-3)
    assert found.at_m == pytest.approx(13.9e-3)


@pytest.mark.parametrize(
    ("sticking_mm", "laying", "mm"),
    [
        (0.3, Laying(), 0.3), (0.2, Laying(), 0.2),  # as it was said
        (0.2, Laying(tick_m=25.0, at_m=0.014), 0.3),  # laid anew
        (50.0, Laying(), 50.0), (50.0, Laying(tick_m=25.0), 50.0),
        (50.0, Laying(tick_m=25.0, at_m=0.014), 0.3162),
        (50.0, Laying(tick_m=25.0, at_m=0.014, by=()), 50.0), (0.3, Laying(by=("a",)), 0.3),
    ],
)  # fmt: skip
def test_how_well_it_lies_is_how_well_its_place_is_told(sticking_mm, laying, mm):
    found = laid(printed(sticking_mm=sticking_mm), laying)
    assert 1e3 * found.sd_m == pytest.approx(mm, abs=1e-4)

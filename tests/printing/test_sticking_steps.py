"""What a sheet says of sticking follows far end, pins, wheel, and whether a gauge was on."""

from types import SimpleNamespace

import pytest

from tapewright.printing.sticking_steps import sticking_of
from tapewright.services.stick_tape import Tape, Ticks


def plan(*, by_eye=False, pins=1, far_end="down", wheel_mm=None, unit="yd", tape=None):
    order = SimpleNamespace(unit=unit, far_end=far_end, wheel_mm=wheel_mm,
                            pointer="left")  # fmt: skip
    answer = SimpleNamespace(
        posterior=SimpleNamespace(is_set_by_eye=by_eye), trusted_m=(50.0,) * pins, tape=tape
    )
    return SimpleNamespace(between=(20.0, 60.0), order=order, answer=answer, near_mm=15.64)


def test_the_steps_name_the_reading_and_the_tick():
    told = sticking_of(plan(pins=2))
    assert (told.reading, told.tick, told.far, told.number_side) == ("15.6", "20", "60", "left")
    set_, lock, peel, stick = told.steps
    assert "15.6 mm on the gauge strip" in set_
    assert "locked until the tape is on" in lock
    assert "Peel the gauge strip off" in peel
    assert "the 20 yd tick of pin 1 at the pointer" in stick
    assert not any("wheel" in note for note in told.notes)
    assert "straight across from the pointer" in told.notes[1]
    assert not any("across" in note for note in sticking_of(plan()).notes)


def test_without_arrows_no_gauge_strip_is_spoken_of():
    told = sticking_of(plan(by_eye=True, unit="m"))
    assert told.reading == "20 m"
    assert not any("gauge" in step for step in told.steps)
    assert "Zero the bow at 20 m" in told.steps[0]
    assert "the 20 m tick at the pointer" in told.steps[3]


@pytest.mark.parametrize(
    ("far_mm", "set_it", "peel", "reading"),
    [
        (40.0, "the pointer is at 21.4 on the tape that is on", "Peel that tape off", "21.4"),
        (13.0, "Zero the bow at 20 yd", "Pull off what is stuck there", "20 yd"),  # it ends before
    ],
)
def test_where_a_tape_is_on_no_gauge_strip_is_spoken_of(far_mm, set_it, peel, reading):
    ticks = Ticks((9.144, 36.576), (0.012, 1e-3 * far_mm))  # 10 and 40 yd
    on = Tape("first", "yd", (ticks,), white_m=1e-3)
    if far_mm == 40.0:
        on = Tape("first", "yd", (Ticks((9.144, 36.576), (0.010, 0.0249)),))
    told = sticking_of(plan(tape=on))
    assert set_it in told.steps[0]
    assert peel in told.steps[2]
    assert told.reading == reading
    assert not any("gauge" in step or "mm" in step for step in told.steps)


ENDS = [("down", "top", "bottom"), ("up", "bottom", "top")]


@pytest.mark.parametrize(("far_end", "near", "far"), ENDS)
def test_which_end_goes_up_is_told(far_end, near, far):
    (which, *_) = sticking_of(plan(far_end=far_end)).notes
    assert f"20 is nearer the {near}" in which
    assert f"at the {far}" in which


def test_a_wheel_is_wrapped_without_pulling():
    wheel = sticking_of(plan(wheel_mm=(52.0, 0.15)))
    way = "press it down from there outward to both ends, without pulling."
    assert wheel.steps[3].endswith(way)
    assert sticking_of(plan()).steps[3].endswith("at the pointer, then press it down.")
    notes = wheel.notes
    assert any("where the pointer meets the wheel" in note for note in notes)
    assert notes[-1].startswith("To change strips, lock the sight at the 20 ")
    assert any("laser" in note and "clear tape" in note for note in notes)

"""What is on the sight tells readings: a tape of 5 to 90 yd by hand, ticks half a mm apart.

Far ticks of the tape stand at 0.5 mm × yards + 10 mm from 15 yd on; its close ticks run back from
19.5 mm at 10 yd to 17.5 mm at 15 yd.
"""

from math import isnan, nan
from types import SimpleNamespace

import pytest
from written_out import IMPERIAL

from tapewright.services.stick_tape import Tape, Ticks
from tapewright.words.answer_columns import Column, records, table
from tapewright.words.readings_on_tape import (
    correction_words,
    dial_json,
    dial_words,
    fill_words,
    half_words,
    moved_words,
    on_sight,
    shown_m,
    shown_words,
    step_m,
    tape_after_words,
)

YARD_M = 0.9144
CLOSE = ((10.0, 19.5), (12.0, 18.4))
FAR = tuple((float(yards), 10.0 + 0.5 * yards) for yards in range(15, 91, 5))
TAPE = Tape(
    "tape 1",
    "yd",
    (
        Ticks(
            tuple(yards * YARD_M for yards, _ in (*CLOSE, *FAR)),
            tuple(1e-3 * mm for _, mm in (*CLOSE, *FAR)),
        ),
        Ticks((20 * YARD_M, 60 * YARD_M), (0.012, 0.032)),
    ),
)
DOWN = Tape("falls", "m", (Ticks((20.0, 70.0), (0.055, 0.030)),))


def answer(tape=TAPE, click_m=None):
    sight = SimpleNamespace(elevation_click_m=click_m)
    return SimpleNamespace(tape=tape, rig=SimpleNamespace(sight=sight))


@pytest.mark.parametrize(
    ("mm", "half_mm", "words"),
    [
        (29.25, 0.0, "38.5"),  # between two ticks
        (30.0, 0.0, "40"),
        (29.27, 0.3, "38.6"),  # half a band of 0.6 yd: steps of 0.2 are known
        (29.40, 1.2, "39"),  # of 2.4 yd: half yards
        (29.4, 20.0, "39"),  # never coarser than a tick
        (56.0, 0.0, "92"),  # on the blank end
        (60.0, 0.0, ""),  # past it
        (nan, 0.0, ""),
    ],
)
def test_as_many_digits_are_told_as_are_known(mm, half_mm, words):
    assert shown_words(TAPE, 1e-3 * mm, 1e-3 * half_mm) == words


def test_each_pin_has_its_own_column_and_a_tape_its_own_unit():
    assert shown_words(TAPE, 0.022, pin=2) == "40"
    assert shown_words(DOWN, 0.04) == "50"
    assert shown_words(TAPE, 0.022, pin=3) == ""


@pytest.mark.parametrize(
    ("at_yd", "shown"), [(10, 10.0), (11, 10.0), (19, 19.0), (30, 19.0), (None, 19.0)]
)
def test_a_near_target_is_told_the_close_tick(at_yd, shown):
    """19.5 mm carry two numbers, 10 among the close ticks and 19 among the others."""
    at_m = None if at_yd is None else at_yd * YARD_M
    assert shown_m(TAPE, 0.0195, 1, at_m) == pytest.approx(shown * YARD_M)


def test_a_close_tick_goes_on_past_the_first_as_far_as_the_strip_is_blank():
    assert shown_m(TAPE, 0.0206, 1, 8 * YARD_M) == pytest.approx(8 * YARD_M)
    assert shown_m(TAPE, 0.0212, 1, 8 * YARD_M) == pytest.approx(22.4 * YARD_M)  # 1.7 mm past it


def test_dialled_first_and_mm_behind_it():
    assert dial_words(answer(), 0.03, 0.00015) == "40 (30.00 mm)"
    assert dial_words(answer(), 0.07, 0.00015) == "15.0 mm past the tape's 90 (70.00 mm)"
    # the strip ends where close and far ticks meet: 17.5 mm at 15 yd
    assert dial_words(answer(), 0.0162, 0.00015) == "1.3 mm past the tape's 15 (16.20 mm)"
    assert dial_words(answer(), 0.0195, 0.00015, at_m=10 * YARD_M) == "10 (19.50 mm)"
    assert dial_words(answer(tape=None), 0.03, 0.00015) == "30.00 mm"
    assert dial_words(answer(click_m=0.25e-3), 0.0301, 0.00015) == "40.2 (30.00 mm)"


def test_a_form_is_filled_with_what_it_takes():
    assert fill_words(answer(), 0.02925, 0.00015) == "38.5"
    assert fill_words(answer(), 0.07, 0.0009) == "70.0 mm"
    assert fill_words(answer(tape=None), 0.02925, 0.0009) == "29.2 mm"


def test_programs_get_a_key_in_the_unit_of_the_tape():
    assert dial_json(TAPE, 0.02925) == {"dialled_yd": 38.5}
    assert dial_json(DOWN, 0.04) == {"dialled_m": 50.0}
    assert dial_json(TAPE, 0.07) == {"dialled_yd": None}
    assert dial_json(TAPE, None) == {"dialled_yd": None}
    assert dial_json(None, 0.03) == {}


def test_a_correction_is_dialled_otherwise_or_the_tape_is_moved():
    assert correction_words(TAPE, 0.03, 0.0292) == (
        "dial 38.4 instead of 40, or move the tape 0.8 mm, its 40 to where 38.4 stands"
    )
    assert correction_words(DOWN, 0.045, 0.0452) == (
        "dial 39.6 instead of 40, or move the tape 0.2 mm, its 40 to where 39.6 stands"
    )


def test_doubts_and_moves_are_told_in_what_is_on_the_sight():
    """Half a mm is a yard of it."""
    assert half_words(answer(), 0.03, 0.2e-3, 2) == "±0.4 yd"
    assert half_words(answer(), 0.07, 0.2e-3, 2) == "±0.20 mm"  # past its end
    assert half_words(answer(tape=None), 0.03, 0.2e-3, 2) == "±0.20 mm"
    assert moved_words(answer(), [0.03, 0.04], [0.1e-3, -0.36e-3]) == "0.7 yd"
    assert moved_words(answer(tape=None), [0.03, 0.04], [0.1e-3, -0.36e-3]) == "0.4 mm"
    assert moved_words(answer(), [0.07], [0.36e-3]) == "0.4 mm"
    assert step_m(TAPE, 0.03, 0.2e-3) == pytest.approx(0.4 * YARD_M)


@pytest.mark.parametrize(
    ("tape", "old_mm", "new_mm", "way"),
    [(TAPE, 55.0, 59.0, "larger"), (TAPE, 70.0, 55.0, "smaller"), (DOWN, 31.0, 25.0, "larger"),
     (DOWN, 20.0, 31.0, "smaller")],
)  # fmt: skip
def test_a_correction_past_the_end_is_told_by_the_way_of_the_numbers(tape, old_mm, new_mm, way):
    words = correction_words(tape, 1e-3 * old_mm, 1e-3 * new_mm)
    assert f"mm toward {way} numbers" in words


COLUMNS = (
    Column("{unit}", "distance_{unit}", "at_m", "distance", None),
    Column("mark mm", "reading_mm", "reading_m", "mm", half=("low_m", "high_m"), tape="first"),
    Column("band mm", "", "low_m", "mm", half=("low_m", "high_m"), to="high_m", tape="alone"),
    Column("± mm", "half_mm", lambda it: it.low_m, "mm", tape="not"),
)
FOUND = SimpleNamespace(
    at_m=(36.576, 9.144, 91.44), reading_m=(0.03, 0.0195, 0.07),
    low_m=(0.0294, 0.0189, 0.0694), high_m=(0.0306, 0.0201, 0.0706),
)  # fmt: skip


def test_without_a_tape_columns_stay_as_they_are():
    assert on_sight(COLUMNS, None) == list(COLUMNS)


def test_columns_tell_the_dial_then_mm_and_bands_by_the_tape_alone():
    told = table("", on_sight(COLUMNS, TAPE, 1, "at_m"), FOUND, IMPERIAL)
    assert told.heads == ("yd", "dial yd", "mm", "band dial yd")
    assert told.rows == (
        ("40", "40.0", "30.0", "38.8 to 41.2"),
        ("10", "10.0", "19.6", "9.0 to 11.0"),
        ("100", "off the tape", "70.0", "–"),
    )


def test_a_mark_that_nobody_knows_is_not_called_off_the_tape():
    unknown = SimpleNamespace(**(vars(FOUND) | {"reading_m": (0.03, float("nan"), 0.07)}))
    told = table("", on_sight(COLUMNS[:2], TAPE, 1, "at_m"), unknown, IMPERIAL)
    assert [row[1] for row in told.rows] == ["40.0", "–", "off the tape"]


def test_programs_get_the_dial_beside_mm_and_lose_no_key():
    sent = records(on_sight(COLUMNS, TAPE, 1, "at_m"), FOUND, IMPERIAL)
    assert [one["dialled_yd"] for one in sent] == [40.0, 10.0, None]
    assert [one["reading_mm"] for one in sent] == [30.0, 19.5, 70.0]
    assert all("half_mm" in one for one in sent)


def test_pins_may_stand_in_the_rows():
    rows = [SimpleNamespace(pin=1, reading_m=0.022), SimpleNamespace(pin=2, reading_m=0.022)]
    column = Column("reading mm", "reading_mm", "reading_m", "mm", tape="first")
    told = table("", on_sight([column], TAPE, "pin"), rows, IMPERIAL)
    assert told.rows == (("24.0", "22.0"), ("40.0", "22.0"))


def test_what_becomes_of_the_tape_is_said_after_a_change():
    assert tape_after_words(None, None) == ""
    assert "stays a scale" in tape_after_words(TAPE, TAPE)
    assert "no more: readings count anew" in tape_after_words(TAPE, None)


def test_nan_shows_nothing():
    assert isnan(shown_m(TAPE, nan))

"""Tapes measured as shapes in mm: what was asked for must stand where the marks say."""

from dataclasses import replace

import numpy as np
import pytest
from exact_units import YARD_M
from sessions import groups, rig, truth_near

from tapewright.calibration.rig import Belief
from tapewright.drawing.shapes import Box, Line, Text
from tapewright.ground.errors import BadInput, DoesNotFit
from tapewright.services.calibrate import calibrate, pin_bands
from tapewright.services.print_gauge import Gauge, gauge_preview, print_gauge
from tapewright.services.print_tape import (
    TapeOrder,
    TapeWords,
    can_engrave,
    plan_tape,
    print_sheets,
    print_tape,
    tape_preview,
)

YARDS = tuple(float(one) for one in range(10, 91))
GRID_M = np.arange(10, 126) * YARD_M


def answer_for(sheet):
    shots = groups(sheet, truth_near(sheet))
    return calibrate(sheet, shots, np.array(YARDS) * YARD_M, GRID_M)


@pytest.fixture(scope="module")
def usual():
    return answer_for(rig())


@pytest.fixture(scope="module")
def two_pins():
    return answer_for(rig({"pins_below_first_m": (Belief(9e-3, 0.2e-3),)}))


def order(**other):
    return TapeOrder(**({"unit": "yd", "distances": YARDS, "between": (20.0, 60.0)} | other))


def words(plan):
    return TapeWords(
        "Heron",
        tuple(f"{length:.2f} mm" for length in plan.lengths_mm),
        ("one", "two", "three"),
        tuple(f"pin {one + 1}" for one in range(len(plan.answer.trusted_m))),
        ("note",),
        ("caution",),
    )


def ticks(plan):
    """Ticks of the middle strip as drawn on the first sheet: x and y of their left end, mm."""
    sheet = print_sheets(plan, words(plan))[0]
    lines = [one for one in sheet.shapes if isinstance(one, Line) and one.layer == "tick"]
    return sheet, lines


def heights_mm(lines):
    return np.unique(np.round([one.y1_mm for one in lines], 4))


def test_marks_of_the_middle_strip_are_the_answer_s(usual):
    plan = plan_tape(usual, order())
    assert 1e3 * plan.strips[1].reading_m[0, :-1] == pytest.approx(1e3 * usual.bands.reading_m)


def test_metres_and_yards_make_the_same_strip(usual):
    metres = tuple(round(yards * YARD_M, 9) for yards in YARDS)
    by_metre = plan_tape(
        usual, order(unit="m", distances=metres, between=(20 * YARD_M, 60 * YARD_M))
    )
    by_yard = plan_tape(usual, order())
    assert by_metre.lengths_mm == pytest.approx(by_yard.lengths_mm, abs=1e-6)
    assert by_metre.near_mm == pytest.approx(by_yard.near_mm, abs=1e-6)


def test_neighbours_share_the_near_mark_and_differ_by_the_step(usual):
    plan = plan_tape(usual, order(step_mm=0.5))
    less, middle, more = (1e3 * strip.reading_m[0] for strip in plan.strips)
    near = YARDS.index(20.0)
    assert less[near] == pytest.approx(middle[near], abs=1e-6)
    assert more[near] == pytest.approx(middle[near], abs=1e-6)
    assert np.diff(plan.lengths_mm) == pytest.approx([0.5, 0.5])
    assert plan.near_mm == pytest.approx(middle[near], abs=1e-6)


def test_ticks_stand_as_far_apart_as_the_marks(usual):
    # the strips of one sheet side by side: the middle one is told by its ticks' spacing
    plan = plan_tape(usual, order(distances=(20.0, 30.0, 40.0, 50.0, 60.0)))
    _, lines = ticks(plan)
    wanted = np.diff(1e3 * plan.strips[1].reading_m[0, :-1])
    left = sorted({round(one.x1_mm, 3) for one in lines})
    columns = [
        np.sort(heights_mm([one for one in lines if abs(one.x1_mm - x) < 0.01])) for x in left
    ]
    spacings = [np.diff(column) for column in columns if len(column) == len(wanted) + 1]
    assert any(np.allclose(spacing, wanted, atol=1e-3) for spacing in spacings)


def length_of(plan):
    _, lines = ticks(plan)
    found = heights_mm(lines)
    return found[-1] - found[0]


def test_a_printer_that_prints_short_is_given_more(usual):
    few = {"distances": (20.0, 60.0)}
    true = length_of(plan_tape(usual, order(**few)))
    down = length_of(plan_tape(usual, order(**few, proof_mm=(100.0, 99.0))))
    across = length_of(plan_tape(usual, order(**few, proof_mm=(99.0, 100.0))))
    assert down / true == pytest.approx(100 / 99, rel=1e-3)
    assert across / true == pytest.approx(1.0, rel=1e-3)


def test_a_strip_on_a_wheel_is_longer_by_its_thickness(usual):
    few = {"distances": (20.0, 60.0)}
    bare = length_of(plan_tape(usual, order(**few)))
    wrapped = length_of(plan_tape(usual, order(**few, wheel_mm=(50.0, 0.5))))
    # the middle of the strip runs on a circle of 50.5 mm in place of 50; its face on 51
    assert 1 + 0.5 / 50 - 1e-3 < wrapped / bare < 1 + 1.0 / 50 + 1e-3


def test_ticks_past_the_trusted_distance_are_drawn_otherwise(usual):
    short = replace(usual, trusted_m=(50 * YARD_M,))
    _, lines = ticks(plan_tape(short, order()))
    broken = [one for one in lines if one.dashed or one.grey > 0]
    assert broken
    assert len(broken) < len(lines)
    marks = columns_of(plan_tape(short, order()))[0].marks
    assert max(one.distance for one in marks if one.trusted) == 50
    _, all_lines = ticks(plan_tape(usual, order(distances=(20.0, 30.0, 60.0))))
    assert not any(one.dashed or one.grey > 0 for one in all_lines)


def test_every_pin_has_its_column(two_pins):
    plan = plan_tape(two_pins, order(width_mm=16.0))
    assert plan.strips[1].reading_m.shape == (2, len(YARDS) + 1)
    assert 1e3 * plan.strips[1].reading_m[1, :-1] == pytest.approx(
        1e3 * pin_bands(two_pins, 2).reading_m
    )
    sheet, _ = ticks(plan)
    heads = {one.words for one in sheet.shapes if isinstance(one, Text)}
    assert {"pin 1", "pin 2"} <= heads


def test_a_lower_pin_gets_no_close_marks(two_pins):
    close = plan_tape(two_pins, order(width_mm=16.0, distances=(5.0, 8.0, 20.0, 40.0)))
    _, lines = ticks(close)
    first, second = print_columns(close)
    assert first == 4
    assert second == 2
    assert lines


def columns_of(plan):
    from tapewright.services.print_tape import _strip

    return _strip(plan, 1, words(plan)).columns


def print_columns(plan):
    return tuple(len(column.marks) for column in columns_of(plan))


def test_the_far_end_can_stand_up(usual):
    few = {"distances": (10.0, 60.0, 90.0)}
    down = print_sheets(plan := plan_tape(usual, order(**few)), words(plan))[0]
    up = print_sheets(plan := plan_tape(usual, order(**few, far_end="up")), words(plan))[0]

    def runs_down(sheet):
        texts = [one for one in sheet.shapes if isinstance(one, Text) and one.layer == "number"]
        at = {one.words: one.y_mm for one in texts}
        return at["90"] > at["60"]

    assert runs_down(down)
    assert not runs_down(up)


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_everything_stands_on_the_paper_asked_for(usual, paper):
    sheets = print_sheets(plan := plan_tape(usual, order(paper=paper)), words(plan))
    assert sheets[0].paper.name == paper
    for sheet in sheets:
        for shape in sheet.shapes:
            if isinstance(shape, Box):
                assert shape.x_mm >= 0
                assert shape.x_mm + shape.width_mm <= sheet.paper.width_mm


def test_files_of_every_format_asked_for_and_no_other(usual):
    plan = plan_tape(usual, order())
    endings = [ending for ending, _ in print_tape(plan, words(plan), ("pdf", "svg"))]
    assert endings[:2] == [".pdf", ".svg"]
    assert next(ending for ending, _ in print_tape(plan, words(plan), ("svg",))) == ".svg"
    pdf = dict(print_tape(plan, words(plan), ("pdf",)))[".pdf"]
    assert pdf.startswith(b"%PDF")


def test_an_engraver_gets_the_middle_strip_alone(usual):
    pytest.importorskip("ezdxf")
    plan = plan_tape(usual, order())
    files = dict(print_tape(plan, words(plan), ("dxf",)))
    assert list(files) == [".dxf"]
    text = files[".dxf"].decode()
    assert "SECTION" in text
    assert "caution" not in text


def test_a_machine_gets_the_middle_strip_however_long_it_is(usual):
    pytest.importorskip("ezdxf")
    plan = plan_tape(usual, order(length_mm=700.0))
    files = dict(print_tape(plan, words(plan), ("dxf", "cut.svg")))
    assert list(files) == [".dxf", ".cut.svg"]
    assert b'height="708mm"' in files[".cut.svg"]  # 4 mm of white around
    layers = [f'<g id="{layer}">'.encode() for layer in ("cut", "tick", "number", "untrusted")]
    assert all(layer in files[".cut.svg"] for layer in layers)
    assert b"dasharray" not in files[".cut.svg"]
    with pytest.raises(DoesNotFit, match=r"DXF, cut\.svg"):
        print_tape(plan, words(plan), ("pdf", "dxf"))


def test_a_side_scale_counts_as_the_readings_do_or_from_the_first_tick(usual):
    from tapewright.services.print_tape import _strip

    plan = plan_tape(usual, order(side_scale=True, width_mm=16.5))
    assert _strip(plan, 1, words(plan)).side_zero_mm == 0.0
    assert _strip(plan, 1, words(plan)).align_at == 20.0
    shots_none = calibrate(rig(), (), np.array(YARDS) * YARD_M, GRID_M)
    bare = plan_tape(shots_none, order(side_scale=True, width_mm=16.5))
    strip = _strip(bare, 1, words(bare))
    first = min(mark.position_mm for column in strip.columns for mark in column.marks)
    assert strip.side_zero_mm == first


def test_a_sheet_of_label_film_follows_when_asked_for(usual):
    plan = plan_tape(usual, order())
    assert len(print_sheets(plan, words(plan))) == 1
    told, film = print_sheets(plan_tape(usual, order(labels=True)), words(plan))
    cuts = [[one for one in sheet.shapes if isinstance(one, Box) and one.layer == "cut"]
            for sheet in (told, film)]  # fmt: skip
    assert len(cuts[0]) == 3
    assert len(cuts[1]) >= 9
    said = {one.words for one in film.shapes if isinstance(one, Text)}
    assert "caution" not in said


def test_a_strip_longer_than_the_sight_is_refused(usual):
    plan = plan_tape(usual, order(length_mm=20.0))
    with pytest.raises(DoesNotFit):
        print_sheets(plan, words(plan))


def test_ends_whose_marks_run_backward_are_refused(usual):
    with pytest.raises(BadInput, match="between"):
        plan_tape(usual, order(between=(5.0, 14.0)))


def test_marks_past_the_end_of_an_arm_are_left_out():
    short = rig({"arm_length_m": 0.03, "arm_level_reading_m": 0.0})
    made = calibrate(short, (), np.array([20.0, 30.0]) * YARD_M, GRID_M)
    plan = plan_tape(made, order(between=(20.0, 25.0)))
    drawn = print_columns(plan)[0]
    assert 10 < drawn < len(YARDS)


@pytest.mark.parametrize("formats", [("svg",), ("pdf",), ("pdf", "svg")])
def test_a_gauge_comes_in_the_formats_asked_for(formats):
    files = dict(print_gauge(Gauge(10, 60, "down"), order(), "Heron", (), formats))
    assert list(files) == [f".{one}" for one in formats]
    if ".svg" in files:
        assert b"60" in files[".svg"]


def test_previews_are_whole_documents_of_one_strip(usual):
    plan = plan_tape(usual, order(width_mm=12.0, length_mm=120.0))
    shown = tape_preview(plan, words(plan))
    assert shown.startswith("<svg")
    assert 'width="20mm" height="128mm"' in shown  # 4 mm of white around
    assert 'width="20mm"' in gauge_preview(Gauge(10, 60, "down"), order())


def test_engraving_needs_its_library(monkeypatch):
    assert can_engrave()
    monkeypatch.setattr("tapewright.services.print_tape.find_spec", lambda _: None)
    assert not can_engrave()


LIMITED = {"pins_below_first_m": (Belief(9e-3, 0.2e-3),), "clearance_reading_m": 0.062}


@pytest.mark.parametrize("run", [1, -1])
def test_no_tick_stands_past_the_limit_of_its_pin(run):
    sight = LIMITED | {
        "clearance_reading_m": run * 0.062, "farther": "increases" if run > 0 else "decreases",
    }  # fmt: skip
    plan = plan_tape(answer_for(rig(sight)), order())
    first, second = plan.last_ticks
    assert first < second < YARDS[-1]
    for place, strip in enumerate(plan.strips):
        for pin in (0, 1):
            kept = plan.kept(place, pin)
            assert all(run * reading <= 0.062 + 1e-9 for _, reading in kept)
            gone = set(YARDS) - {distance for distance, _ in kept}
            for distance in gone:
                past = run * strip.reading_m[pin][YARDS.index(distance)] > 0.062
                assert past or pin == 1  # lower pins carry no close ticks either
    print_sheets(plan, words(plan))


def test_without_a_limit_every_tick_stands(usual):
    plan = plan_tape(usual, order())
    assert plan.last_ticks == (None,)
    assert [distance for distance, _ in plan.kept(1, 0)] == list(YARDS)


def test_limits_that_leave_a_pin_nothing_are_refused():
    with pytest.raises(BadInput, match="leave pin 1 none of the distances"):
        plan_tape(answer_for(rig({"clearance_reading_m": -0.05})), order())

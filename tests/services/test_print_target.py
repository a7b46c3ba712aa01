"""Targets in numbers and as files; their places on paper are measured in tests/outside."""

import pytest
from exact_units import YARD_M
from written_out import A4, LETTER

from tapewright.drawing.target_sheet import target_tiling
from tapewright.drawing.tiles import clear_corners
from tapewright.ground.errors import BadInput
from tapewright.services.print_target import (
    TargetOrder,
    TargetWords,
    plan_of_code,
    plan_target,
    print_target,
)

WORDS = TargetWords("Target", "inches", (), "Hang it.", "Measure.", ("Cut.",), ("Note.",))
POSTER = TargetOrder("cm", (600.0, 900.0))


def test_the_aiming_mark_grows_with_the_distance():
    near, far = (
        plan_target(TargetOrder("in", (900.0, 900.0), yards * YARD_M)) for yards in (20.0, 60.0)
    )
    assert near.target.aiming_mark_mm == pytest.approx(18.288)
    assert far.target.aiming_mark_mm == pytest.approx(3.0 * near.target.aiming_mark_mm)


def test_a_usual_mark_can_be_seen_from_20_and_from_60_yards():
    """The eye parts 0.29 mrad, one minute of arc (from memory); the whole mark is far wider."""
    mark = plan_target(TargetOrder()).target.aiming_mark_mm
    for yards in (20.0, 60.0):
        across_mrad = 2.0 * mark / (yards * YARD_M)
        assert 4 * 0.29 < across_mrad < 5.0  # at the near end it still shows the grid around it


def test_a_mark_never_fills_the_grid():
    plan = plan_target(TargetOrder(distance_m=120.0))
    assert plan.wanted_aiming_mark_mm == pytest.approx(120.0)
    assert plan.target.aiming_mark_mm < plan.target.width_mm / 2.0


def test_one_sheet_unless_a_size_asks_for_more():
    plan = plan_target(TargetOrder())
    assert (plan.rows, plan.columns, plan.is_tiled) == (1, 1, False)
    poster = plan_target(POSTER)
    assert (poster.rows, poster.columns, poster.is_tiled) == (4, 4, True)


def test_the_circle_is_the_tolerance():
    assert plan_target(TargetOrder(tolerance_m=0.0762)).target.circle_mm == pytest.approx(76.2)
    assert plan_target(TargetOrder()).target.circle_mm is None


@pytest.mark.parametrize("paper", [A4, LETTER], ids=["A4", "Letter"])
def test_the_mark_keeps_off_seams_and_clear_corners_whatever_is_asked(paper):
    for wide in range(60, 1500, 130):
        for high in range(60, 1500, 170):
            for distance in (18.0, 36.0, 55.0, 110.0):
                order = TargetOrder("cm", (wide, high), distance, paper=paper.name)
                plan = plan_target(order)
                tiles = target_tiling(plan.target, paper)
                for tile in tiles.tiles if tiles else ():
                    for corner in clear_corners(tile.face):
                        x_mm = max(corner.left_mm, -corner.right_mm, 0.0)
                        y_mm = max(corner.top_mm, -corner.bottom_mm, 0.0)
                        assert x_mm + y_mm > plan.target.aiming_mark_mm


def test_files_are_one_pdf_and_a_picture_of_each_sheet():
    plan = plan_target(POSTER)
    files = dict(print_target(plan, WORDS, ("pdf", "svg")))
    assert files[".pdf"].startswith(b"%PDF")
    assert len(files) == 1 + 17
    assert {".svg", "-2.svg", "-17.svg"} <= set(files)
    assert [ending for ending, _ in print_target(plan, WORDS, ("pdf",))] == [".pdf"]
    assert [ending for ending, _ in print_target(plan_target(TargetOrder()), WORDS, ("svg",))] == [
        ".svg"
    ]


def test_two_runs_give_the_same_bytes():
    plan = plan_target(TargetOrder())
    assert print_target(plan, WORDS, ("pdf",)) == print_target(plan, WORDS, ("pdf",))


def test_proof_rulers_correct_the_print():
    plan = plan_target(TargetOrder(proof_mm=(98.0, 101.0)))
    assert plan.order.correction.across == pytest.approx(0.98)
    assert plan.order.correction.down == pytest.approx(1.01)
    with pytest.raises(BadInput, match="across"):
        plan_target(TargetOrder(proof_mm=(75.0, 100.0)))


def test_sizes_beyond_reason_are_refused():
    for size in ((10.0, 300.0), (300.0, 9000.0), (2500.0, 2500.0)):
        with pytest.raises(BadInput, match="size"):
            plan_target(TargetOrder("cm", size))


@pytest.mark.parametrize("code", ["nonsense", "A4-cm-10x10", "A4-cm-600x900-p75x100"])
def test_whatever_is_wrong_with_a_code_is_the_code_s_fault(code):
    with pytest.raises(BadInput) as refused:
        plan_of_code(code)
    assert refused.value.place == "code"

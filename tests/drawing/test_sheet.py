from dataclasses import replace

import pytest
from written_out import A4, LETTER

from tapewright.drawing.gauge import Gauge
from tapewright.drawing.shapes import Line, Text
from tapewright.drawing.sheet import (
    PrinterCorrection,
    WheelWrap,
    gauge_sheets,
    gauge_strip_sheet,
    strip_sheet,
    tape_sheets,
)
from tapewright.drawing.sticking import Sticking
from tapewright.drawing.tape import Look
from tapewright.ground.errors import DoesNotFit


def words(sheet):
    return " ".join(one.words for one in sheet.shapes if isinstance(one, Text))


def ticks(sheet):
    return [one for one in sheet.shapes if isinstance(one, Line) and one.layer == "tick"]


def test_three_narrow_strips_share_a_sheet_and_the_middle_one_is_first_choice(make_strip):
    strips = tuple(make_strip(name) for name in ("low", "middle", "high"))
    (sheet,) = tape_sheets(strips, Look(), "Rig", notes=("Air: 12 °C",), cautions=("Stop.",))
    assert "middle Stick it" in words(sheet)
    assert "Air: 12 °C" in words(sheet)
    assert "Stop." in words(sheet)
    assert sheet.paper == A4
    assert sheet.title == "Rig"


def test_wide_strips_take_further_sheets_the_middle_one_first(make_strip):
    strips = tuple(make_strip(name, pins=3) for name in ("low", "middle", "high"))
    first, second = tape_sheets(strips, Look("m", 22.0), "Rig", paper=LETTER)
    assert "middle" in words(first)
    assert "sheet 1 of 2" in words(first)
    assert "low" in words(second)
    assert "high" in words(second)
    assert "metres" in words(second)


def test_one_strip_alone_needs_no_flag(make_strip):
    (sheet,) = tape_sheets((make_strip(),), Look(), "Rig")
    assert "start with" not in words(sheet)


def test_what_ticks_mean_is_told_only_where_it_is_needed(make_strip):
    plain = make_strip(trusted_to=100)
    (sheet,) = tape_sheets((plain,), Look(), "Rig")
    assert "beyond the trusted distance" not in words(sheet)
    assert "close targets" not in words(sheet)
    (sheet,) = tape_sheets((make_strip(close=(6, 7)),), Look(), "Rig")
    assert "beyond the trusted distance" in words(sheet)
    assert "close targets" in words(sheet)


def test_thinned_ticks_are_told(make_strip):
    (sheet,) = tape_sheets((make_strip(per_mm=0.3),), Look(), "Rig")  # 0.38 mm from 10 to 11
    assert "Where ticks would run together they stand 2 yd apart nearer than" in words(sheet)
    (sheet,) = tape_sheets((make_strip(per_mm=0.6),), Look(), "Rig")  # 0.68 mm
    assert "run together" not in words(sheet)


def test_correction_and_wheel_are_told_in_the_small_print(make_strip):
    (sheet,) = tape_sheets(
        (make_strip(),),
        Look(),
        "Rig",
        correction=PrinterCorrection(0.98, 1.01),
        wrap=WheelWrap(60.0, 0.3),
    )
    assert "Printer correction: across 98.00 mm, down 101.00 mm for 100 mm" in words(sheet)
    assert "For a wheel of 60 mm, strip 0.3 mm thick: printed 0.50 % longer" in words(sheet)


def test_everything_is_divided_by_the_printers_error(make_strip):
    (plain,) = tape_sheets((make_strip(),), Look(), "Rig")
    (smaller,) = tape_sheets(
        (make_strip(),), Look(), "Rig", correction=PrinterCorrection(1.02, 0.97)
    )
    span = [ticks(sheet)[-1].y1_mm - ticks(sheet)[0].y1_mm for sheet in (plain, smaller)]
    assert abs(span[1] - span[0] / 0.97) < 1e-9
    reach = [abs(ticks(sheet)[0].x2_mm - ticks(sheet)[0].x1_mm) for sheet in (plain, smaller)]
    assert abs(reach[1] - reach[0] / 1.02) < 1e-9


@pytest.mark.parametrize(("paper", "length_mm"), [(A4, 250.0), (LETTER, 232.0)])
def test_a_long_strip_fits_the_paper(make_strip, paper, length_mm):
    look = Look(length_mm=length_mm)
    strips = (make_strip(), make_strip(), make_strip())
    assert len(tape_sheets(strips, look, "Rig", paper=paper)) == 1
    first, *later = tape_sheets(strips, Look(length_mm=252.0), "Rig", paper=paper)
    assert len(later) == 2
    assert "upper piece" in words(first)
    assert "lower piece" in words(first)
    with pytest.raises(DoesNotFit, match="DXF"):
        tape_sheets(strips, Look(length_mm=500.0), "Rig", paper=paper)


def test_a_gauge_sheet_holds_the_gauge_and_a_spare():
    (sheet,) = gauge_sheets(Gauge(0, 80), Look(), "Rig", notes=("Sight: bar",))
    assert len(ticks(sheet)) == 2 * 161
    assert "0–80 mm" in words(sheet)
    assert "Sight: bar" in words(sheet)


@pytest.mark.parametrize(("grows", "sense"), [("down", 1), ("up", -1)])
def test_a_gauge_longer_than_the_paper_comes_in_two_pieces(grows, sense):
    first, spare = gauge_sheets(Gauge(-20, 300, grows), Look(), "Rig")
    assert "−20–280 mm" in words(first) or "-20–280 mm" in words(first)
    assert "through the middle of its 130 tick" in words(first)
    heights = {}
    for one in ticks(first):
        heights.setdefault(one.x1_mm, []).append(sense * one.y1_mm)
    runs = sorted((sorted(ys) for ys in heights.values()), key=len)
    # 300 mm are 601 halves; both have the 130, and one goes on for 6 mm
    assert sum(map(len, runs)) == 601 + 1 + 12
    for run in runs:
        assert [y - run[0] for y in run] == pytest.approx([half / 2 for half in range(len(run))])
    assert len(ticks(spare)) == 601 + 13


def test_a_bare_gauge_strip_is_the_one_on_its_sheet():
    gauge, look = Gauge(10, 60), Look()
    bare, (page,) = gauge_strip_sheet(gauge, look), gauge_sheets(gauge, look, "Rig")
    assert bare.paper.width_mm == look.width_mm + 8.0
    assert bare.title == "10–70 mm"
    heights = [one.y1_mm for one in ticks(bare)]
    assert abs(max(heights) - min(heights) - 60.0) < 1e-9
    assert 2 * len(ticks(bare)) == len(ticks(page))  # the sheet has a spare


def test_a_bare_strip_has_paper_of_its_own_size(make_strip):
    sheet = strip_sheet(make_strip(), Look(length_mm=90.0))
    assert (sheet.paper.width_mm, sheet.paper.height_mm) == (20.0, 98.0)
    longer = strip_sheet(make_strip(), Look(length_mm=90.0), WheelWrap(50.0, 0.5))
    span = [ticks(one)[-1].y1_mm - ticks(one)[0].y1_mm for one in (sheet, longer)]
    assert abs(span[1] / span[0] - 1.01) < 1e-12


@pytest.mark.parametrize(("strips", "firsts"), [(1, 0), (2, 1), (3, 1)])
def test_only_among_several_strips_one_is_the_first_choice(make_strip, strips, firsts):
    sheets = tape_sheets((make_strip(),) * strips, Look(), "Rig")
    flagged = [
        one
        for sheet in sheets
        for one in sheet.shapes
        if isinstance(one, Text) and one.words == make_strip().name and one.grey == 1.0
    ]
    assert len(flagged) == firsts  # white on black, above the strip


STICKING = Sticking(("Move it.", "Lock it.", "Peel it.", "Lay it."), (), "15.6", "20", "60")


def test_with_the_steps_on_the_sheet_the_first_choice_needs_no_sentence(make_strip):
    strips = tuple(
        make_strip(name, align=f"Stick {name} on 12.4.") for name in ("low", "middle", "high")
    )
    (sheet,) = tape_sheets(strips, Look(), "Rig", sticking=STICKING)
    assert "Lay it." in words(sheet)
    assert "Stick low on 12.4." in words(sheet)
    assert "Stick high on 12.4." in words(sheet)
    assert "Stick middle" not in words(sheet)
    assert "How to stick it on" not in words(sheet)


def test_steps_that_have_no_room_are_on_a_sheet_of_their_own(make_strip):
    long, own = tape_sheets((make_strip(),), Look(length_mm=240.0), "Rig", sticking=STICKING)
    assert "Lay it." not in words(long)
    assert "How to stick it on: sheet 2." in words(long)
    assert "Lay it." in words(own)
    assert "sheet 2 of 2" in words(own)
    assert not ticks(own)


def test_label_film_is_full_of_the_same_strips_and_has_no_words(make_strip):
    told, film = tape_sheets(
        (make_strip("only"),), Look(), "Rig", notes=("Air: 12 °C",), labels=True
    )
    assert "sheet 1 of 2" in words(told)
    assert "sheet 2 of 2" in words(film)
    assert "Air: 12 °C" not in words(film)
    names = [one for one in film.shapes if isinstance(one, Text) and one.words == "only"]
    assert len(ticks(film)) > 5 * len(ticks(told))
    assert len(ticks(film)) % len(ticks(told)) == 0
    assert len(names) >= len(ticks(film)) // len(ticks(told))


@pytest.mark.parametrize(("side", "edge"), [("right", "left"), ("left", "right")])
def test_a_side_scale_is_told_with_its_edge_and_room(make_strip, side, edge):
    look = Look("yd", 18.0, side, side_scale=True)
    (sheet,) = tape_sheets((make_strip(),), look, "Rig")
    assert f"The fine scale along the {edge} edge is in mm, like the gauge strip" in words(sheet)
    assert "takes 4.5 mm of the width" in words(sheet)
    (moved,) = tape_sheets((replace(make_strip(), side_zero_mm=3.7),), look, "Rig")
    assert f"along the {edge} edge counts mm from the first tick" in words(moved)
    (plain,) = tape_sheets((make_strip(),), Look("yd", 18.0, side), "Rig")
    assert "fine scale" not in words(plain)

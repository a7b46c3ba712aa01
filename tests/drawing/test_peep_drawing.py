"""Peep, housing and pin are drawn as large as they are seen, measured on the drawing."""

import numpy as np
import pytest

from tapewright.drawing.peep_drawing import PeepDrawing, peep_sheet
from tapewright.drawing.shapes import Line, Text

# Seen: peep 48 mrad, housing 45, pin 0.5, which stands 6 mm or 6 mrad above the middle
SEEN = PeepDrawing(4.8, 45.0, 0.5, 100.0, 900.0, (6.0, -3.0))


def rings(sheet, width_mm):
    """Middle and radius of each ring of that stroke, as drawn."""
    lines = [one for one in sheet.shapes if isinstance(one, Line)]
    ends = [(one.x1_mm, one.y1_mm) for one in lines if one.width_mm == pytest.approx(width_mm)]
    found = [np.array(ends[at : at + 90]) for at in range(0, len(ends) - len(ends) % 90, 90)]
    return [(*one.mean(axis=0), np.ptp(one[:, 0]) / 2.0) for one in found]


def words(sheet):
    return [one.words for one in sheet.shapes if isinstance(one, Text)]


def test_rings_are_as_large_as_from_half_a_metre():
    sheet = peep_sheet(SEEN)
    assert SEEN.from_mm == 500.0
    (left, down, peep), (right, _, _) = rings(sheet, 0.4)
    assert (left, down, right) == pytest.approx((24.0, 28.0, 72.0))
    assert peep - 0.2 == pytest.approx(12.0)  # 48 mrad across half a metre is 24 mm
    one, other = rings(sheet, 0.3)
    assert one[2] - 0.15 == pytest.approx(11.25)  # 22.5 mm across
    assert one[:2] == pytest.approx((24.0, 28.0))
    assert other[:2] == pytest.approx((72.0, 31.0))  # its middle 6 mrad lower: 3 mm
    pins = rings(sheet, 0.125)  # rings as thick as they are wide: dots of 0.25 mm
    assert [one[1] for one in pins] == pytest.approx([25.0, 29.5, 28.0, 32.5])
    assert pins[0][2] + 0.0625 == pytest.approx(0.125)


def test_one_view_will_do_where_pin_and_middle_are_one():
    sheet = peep_sheet(PeepDrawing(4.8, 45.0, 0.5, 100.0, 900.0, (0.0,)))
    assert len(rings(sheet, 0.4)) == 1
    assert words(sheet)[0] == "through the peep"


def test_what_is_seen_very_large_is_drawn_for_a_nearer_eye():
    near = PeepDrawing(8.0, 45.0, 0.5, 50.0, 900.0, (0.0,))
    assert near.from_mm == pytest.approx(250.0)  # 160 mrad, 40 mm
    wide = PeepDrawing(1.0, 120.0, 0.5, 100.0, 900.0, (0.0,))
    assert wide.from_mm == pytest.approx(1000.0 / 3.0)


def test_from_the_side_all_lengths_have_one_scale():
    sheet = peep_sheet(SEEN)
    assert words(sheet)[-1] == "from the side, 1 : 12"
    lines = [one for one in sheet.shapes if isinstance(one, Line)]
    rays = [one for one in lines if one.dashed]
    assert len(rays) == 2
    assert rays[0].x2_mm - rays[0].x1_mm == pytest.approx(1000.0 / 12.0)
    assert abs(rays[1].y2_mm - rays[0].y2_mm) == pytest.approx(48.0 / 12.0)  # what the peep shows
    upright = sorted(one.x1_mm for one in lines if one.width_mm == 0.5 and not one.dashed)
    assert upright[-1] - upright[0] == pytest.approx(900.0 / 12.0)
    assert 0.0 < min(one.x1_mm for one in lines) < max(one.x2_mm for one in lines) < 96.0

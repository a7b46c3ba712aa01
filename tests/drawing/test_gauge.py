from itertools import pairwise

import pytest

from tapewright.drawing.gauge import Gauge, draw_gauge, gauge_length_mm
from tapewright.drawing.lettering import width_mm
from tapewright.drawing.shapes import Box, Line, Text
from tapewright.drawing.tape import Look
from tapewright.ground.errors import BadInput

CAP = 1493 / 2048  # height of a capital in ems, from the font's own tables


def ticks(shapes):
    return [one for one in shapes if isinstance(one, Line)]


def middles(shapes):
    """Number → place of the middle of its digits."""
    return {
        int(one.words.replace("−", "-")): one.y_mm - CAP * one.em_mm / 2
        for one in shapes
        if isinstance(one, Text) and one.layer == "number"
    }


@pytest.mark.parametrize(("grows", "down"), [("down", 1), ("up", -1)])
def test_numbers_stand_a_true_millimetre_apart_whichever_way_they_grow(grows, down):
    places = middles(draw_gauge(Gauge(-10, 50, grows), Look()))
    assert set(places) == set(range(-10, 41, 5))
    for value, place_mm in places.items():
        assert abs(place_mm - places[0] - down * value) < 1e-9


def test_there_is_a_tick_each_half_millimetre_and_rounder_ones_are_longer():
    shapes = draw_gauge(Gauge(0, 20), Look())
    strokes = sorted(ticks(shapes), key=lambda one: one.y1_mm)
    assert len(strokes) == 41
    reach = [abs(one.x2_mm - one.x1_mm) for one in strokes]
    assert reach[0] == reach[20] > reach[10] > reach[2] > reach[1]
    steps = {round(far.y1_mm - near.y1_mm, 9) for near, far in pairwise(strokes)}
    assert steps == {0.5}


@pytest.mark.parametrize(("side", "edge_mm"), [("right", 12.0), ("left", 0.0)])
def test_ticks_begin_at_the_edge_of_the_pointer(side, edge_mm):
    shapes = draw_gauge(Gauge(), Look(number_side=side))
    assert {one.x1_mm for one in ticks(shapes)} == {edge_mm}


def test_numbers_can_be_each_ten_and_stay_on_a_narrow_strip():
    shapes = draw_gauge(Gauge(-100, 200), Look(width_mm=8.0, number_every=10))
    assert set(middles(shapes)) == set(range(-100, 101, 10))
    for text in (one for one in shapes if isinstance(one, Text)):
        assert text.x_mm - width_mm(text.words, text.em_mm, bold=text.bold) > 0.0


def test_the_cut_line_is_as_long_as_said():
    box = next(one for one in draw_gauge(Gauge(), Look()) if isinstance(one, Box))
    assert box.height_mm == gauge_length_mm(Gauge())


@pytest.mark.parametrize("length_mm", [4, 301])
def test_lengths_that_cannot_be_drawn_are_refused(length_mm):
    with pytest.raises(BadInput, match="5 to 300 mm"):
        Gauge(0, length_mm)

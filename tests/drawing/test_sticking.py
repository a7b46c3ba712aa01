import pytest

from tapewright.drawing.lettering import width_mm
from tapewright.drawing.shapes import Box, Line, Text
from tapewright.drawing.sticking import Sticking, sticking_block

STEPS = ("Move it.", "Lock it.", "Peel it off. " * 9, "Put it there.")


def block(side="right", far_end="down", wide_mm=72.0):
    sticking = Sticking(STEPS, ("A note.",), "15.6", "20", "60", side, far_end)
    return sticking_block(sticking, 10.0, 150.0, wide_mm)


def texts(shapes):
    return [one for one in shapes if isinstance(one, Text)]


def test_four_numbered_steps_stand_in_order_with_their_words():
    shapes, below_mm = block()
    at = {one.words: one.y_mm for one in texts(shapes)}
    steps = ["set", "lock", "peel", "stick"]
    numbers = [one for one in texts(shapes) if one.grey == 1.0]
    assert [one.words for one in numbers] == ["1", "2", "3", "4"]
    for number, head in zip(numbers, steps, strict=True):
        assert abs(number.y_mm - at[head]) < 1.0
    assert at["Move it."] < at["Lock it."] < at["Put it there."] < at["A note."] < below_mm


def test_the_reading_is_in_the_first_picture_and_the_tick_in_the_last():
    at = {one.words: one.y_mm for one in texts(block()[0])}
    assert at["set"] - 5 < at["15.6"] < at["lock"]
    assert at["20"] > at["stick"] - 1.0


@pytest.mark.parametrize(("side", "arrow"), [("right", "◀"), ("left", "▶")])
def test_the_pointer_of_the_pictures_stands_where_the_archers_does(side, arrow):
    arrows = [one for one in texts(block(side)[0]) if one.words in "◀▶"]
    assert [one.words for one in arrows] == [arrow] * 4
    # the bar is 7 mm wide, at the left of a picture of 19 mm, or at its right seen in a mirror
    edge_mm = 10.0 + 7.0 if side == "right" else 10.0 + 19.0 - 7.0
    out = 1 if side == "right" else -1
    assert all(0.0 < out * (one.x_mm - edge_mm) < 1.0 for one in arrows)


@pytest.mark.parametrize(("far_end", "below"), [("down", True), ("up", False)])
def test_the_far_tick_of_the_picture_stands_toward_the_far_end(far_end, below):
    small = [one for one in texts(block(far_end=far_end)[0]) if one.em_mm == 1.7]
    at = {one.words: one.y_mm for one in small}
    assert (at["60"] > at["20"]) is below


@pytest.mark.parametrize("side", ["right", "left"])
def test_everything_stays_in_its_room(side):
    shapes, below_mm = block(side)
    for one in shapes:
        if isinstance(one, Text):
            share = {"start": 0.0, "middle": 0.5, "end": 1.0}[one.anchor]
            wide = width_mm(one.words, one.em_mm, bold=one.bold)
            xs, ys = (one.x_mm - share * wide, one.x_mm + (1 - share) * wide), (one.y_mm,)
        elif isinstance(one, Line):
            xs, ys = (one.x1_mm, one.x2_mm), (one.y1_mm, one.y2_mm)
        else:
            assert isinstance(one, Box)
            xs, ys = (one.x_mm, one.x_mm + one.width_mm), (one.y_mm, one.y_mm + one.height_mm)
        assert 10.0 - 1e-9 <= min(xs) <= max(xs) <= 82.0
        assert 150.0 <= min(ys) <= max(ys) <= below_mm

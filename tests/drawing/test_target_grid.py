from math import hypot

import pytest

from tapewright.drawing.target_grid import Target, circle_shapes, grid_shapes, number_shapes
from tapewright.ground.errors import BadInput

INCHES = Target("in", 152.4, 203.2, 20.0, 76.2)
LARGE = Target("cm", 600.0, 900.0, 50.0)


def uprights(lines):
    return [one for one in lines if one.x1_mm == one.x2_mm]


@pytest.mark.parametrize(
    ("unit", "wide", "high", "across", "down"),
    [("in", 152.4, 203.2, 11, 15), ("cm", 160.0, 220.0, 15, 21), ("cm", 165.0, 221.0, 17, 23)],
)
def test_every_whole_step_from_the_aim_has_a_line(unit, wide, high, across, down):
    lines = grid_shapes(Target(unit, wide, high, 20.0))[:-4]  # the frame is last
    assert len(uprights(lines)) == across - 1  # the plumb line is the one through the aim
    assert len(lines) - len(uprights(lines)) == down
    step_mm = 12.7 if unit == "in" else 10.0
    for line in uprights(lines):
        assert abs(line.x1_mm / step_mm - round(line.x1_mm / step_mm)) < 1e-9
        assert (line.y1_mm, line.y2_mm) == (-high / 2.0, high / 2.0)


def test_the_frame_closes():
    frame = grid_shapes(INCHES)[-4:]
    for before, after in zip(frame, (*frame[1:], frame[0]), strict=True):
        assert (before.x2_mm, before.y2_mm) == (after.x1_mm, after.y1_mm)


def test_finer_lines_are_lighter_and_lie_lower():
    lines = grid_shapes(LARGE)[:-4]
    greys = [one.grey for one in lines]
    assert greys == sorted(greys, reverse=True)
    by_place = {round(one.x1_mm): one for one in uprights(lines)}
    assert by_place[10].grey > by_place[20].grey > by_place[100].grey
    assert by_place[10].width_mm < by_place[20].width_mm < by_place[100].width_mm
    assert by_place[10].grey >= 0.7  # light enough to see a hole


def test_numbers_count_right_and_up_from_the_aim():
    texts = number_shapes(INCHES, crossings=False)
    right = {one.words for one in texts if one.x_mm > 0.0 and one.anchor == "middle"}
    assert right == {"+1", "+2"}
    up = {one.words for one in texts if one.y_mm < -5.0 and one.anchor in ("start", "end")}
    assert up == {"+1", "+2", "+3"}
    left = {one.words for one in texts if one.x_mm < 0.0 and one.anchor == "middle"}
    assert left == {"−1", "−2"}
    assert sum(one.words == "0" for one in texts) == 4


def test_numbers_stand_outside_the_frame_on_all_four_sides():
    for one in number_shapes(INCHES, crossings=False):
        outside = abs(one.x_mm) > 76.2 or one.y_mm < -101.6 or one.y_mm > 101.6 + 1.0
        assert outside


def test_centimetres_are_numbered_by_twos():
    words = {one.words for one in number_shapes(LARGE, crossings=False)}
    assert {"+2", "+4", "−28", "+44", "0"} <= words
    assert "+1" not in words


def test_crossings_of_a_large_target_say_where_they_are():
    places = {
        one.words: (one.x_mm, one.y_mm)
        for one in number_shapes(LARGE, crossings=True)
        if "," in one.words
    }
    x_mm, y_mm = places["+20, −10"]
    assert 200.0 < x_mm < 202.0
    assert 98.0 < y_mm < 100.0
    assert "0, 0" not in places
    assert "0, +10" in places
    assert len(places) == 5 * 9 - 1


@pytest.mark.parametrize("radius_mm", [1.0, 20.0, 76.2, 400.0])
def test_a_circle_is_broken_into_short_chords_on_it(radius_mm):
    chords = circle_shapes(Target("in", 900.0, 900.0, 20.0, radius_mm))
    assert len(chords) % 4 == 0
    for one in chords:
        assert hypot(one.x1_mm, one.y1_mm) == pytest.approx(radius_mm)
        assert hypot(one.x2_mm, one.y2_mm) == pytest.approx(radius_mm)
        middle = hypot((one.x1_mm + one.x2_mm) / 2.0, (one.y1_mm + one.y2_mm) / 2.0)
        assert radius_mm - middle < 0.021 * radius_mm
        assert hypot(one.x2_mm - one.x1_mm, one.y2_mm - one.y1_mm) <= 1.2 + 1e-9


def test_no_tolerance_no_circle():
    assert circle_shapes(LARGE) == ()


@pytest.mark.parametrize(
    ("wrong", "place"),
    [
        (("in", 30.0, 200.0, 5.0), "size"),
        (("in", 200.0, 2501.0, 5.0), "size"),
        (("in", float("nan"), 200.0, 5.0), "size"),
        (("in", 200.0, 200.0, 100.0), "mark"),
        (("in", 200.0, 200.0, 0.0), "mark"),
        (("in", 200.0, 200.0, 20.0, 0.0), "tolerance"),
        (("in", 200.0, 200.0, 20.0, -3.0), "tolerance"),
    ],
)
def test_nonsense_is_refused(wrong, place):
    with pytest.raises(BadInput, match=place):
        Target(*wrong)

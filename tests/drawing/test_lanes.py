import pytest

from tapewright.drawing.lanes import Lane, lane_shapes, settled
from tapewright.drawing.shapes import Line, Text
from tapewright.ground.errors import DoesNotFit

READ_MM = 2.8  # 16 minutes of arc at 60 cm
LARGEST_MM = 3.5  # 20 minutes
CAP = 1493 / 2048  # height of a flat digit in ems


def lane(width_mm=12.0, spacing_mm=1.0, first=20, last=60, *, number_every=5, inward=1, **more):
    distances = tuple(float(one) for one in range(first, last + 1))
    places_mm = tuple(spacing_mm * one for one in distances)
    trusted = tuple(one <= 40 for one in distances)
    return Lane(0.0, inward, width_mm, distances, places_mm, trusted, number_every, **more)


def drawn(one):
    return lane_shapes(settled(one))


def numbers(shapes):
    return {shape.words: shape for shape in shapes if isinstance(shape, Text)}


def heights(shapes):
    return {words: text.em_mm * CAP for words, text in numbers(shapes).items()}


def ticks(shapes):
    return {
        shape.y1_mm: abs(shape.x2_mm - shape.x1_mm) for shape in shapes if isinstance(shape, Line)
    }


def test_tens_have_the_longest_ticks_and_the_largest_numbers():
    shapes = drawn(lane())
    lengths = ticks(shapes)
    assert lengths[30.0] > lengths[35.0] > lengths[36.0]
    assert heights(shapes)["30"] == pytest.approx(LARGEST_MM)
    assert READ_MM <= heights(shapes)["35"] < LARGEST_MM
    assert {text.figures for text in numbers(shapes).values()} == {"figures"}


def test_numbers_at_tens_only_when_asked():
    assert set(numbers(drawn(lane(number_every=10)))) == {"20", "30", "40", "50", "60"}


def test_untrusted_marks_are_lighter_and_broken():
    shapes = drawn(lane())
    shown = numbers(shapes)
    assert shown["50"].grey > shown["40"].grey
    strokes = {shape.y1_mm: shape for shape in shapes if isinstance(shape, Line)}
    assert strokes[50.0].dashed
    assert not strokes[40.0].dashed
    assert strokes[50.0].width_mm < strokes[40.0].width_mm
    assert strokes[50.0].grey < 0.5  # must survive a black-and-white printer


def test_crowded_tens_get_smaller_lettering_but_can_still_be_read_at_arms_length():
    high = heights(drawn(lane(spacing_mm=0.45, last=90)))
    assert set(high) == {"20", "30", "40", "50", "60", "70", "80", "90"}
    assert READ_MM <= high["30"] <= 4.5 / 1.5 + 1e-9


def test_where_each_ten_has_no_room_each_twenty_has_a_number_and_no_more_than_nine_ticks_between():
    shown = settled(lane(spacing_mm=0.25, last=100))
    assert sorted(one.distance for one in shown.numbers) == [20.0, 40.0, 60.0, 80.0, 100.0]
    assert shown.height_mm >= READ_MM
    assert [one for one in shown.ticks if 20 < one < 40] == [22, 24, 26, 28, 30, 32, 34, 36, 38]
    assert shown.coarse == ((20.0, 2),)


def test_a_very_short_strip_has_three_numbers_though_smaller_ones():
    shown = settled(lane(spacing_mm=0.09, first=10, last=90))
    assert len(shown.numbers) >= 3
    assert 1.3 <= shown.height_mm < READ_MM


def test_a_run_without_tens_is_numbered_too():
    assert set(numbers(drawn(lane(spacing_mm=5.0, first=21, last=24)))) == {"21", "22", "23", "24"}
    assert len(numbers(drawn(lane(spacing_mm=0.5, first=21, last=24)))) == 1


def test_half_units_are_numbered_at_each_five():
    halves = tuple(20.0 + half / 2.0 for half in range(41))
    places = tuple(2.0 * one for one in halves)
    one = Lane(0.0, 1, 12.0, halves, places, (True,) * 41, 10)
    assert set(numbers(drawn(one))) == {"20", "25", "30", "35", "40"}


def test_close_lanes_number_all_that_fits_in_one_size():
    shown = numbers(drawn(lane(3.9, 3.5, first=3, last=9, kind="close")))
    assert set(shown) == {"3", "4", "5", "6", "7", "8", "9"}
    assert len({text.em_mm for text in shown.values()}) == 1


def test_a_close_lane_leaves_numbers_out_before_they_are_too_small():
    shown = heights(drawn(lane(2.8, 1.0, first=5, last=14, kind="close")))
    assert "10" in shown
    assert min(shown.values()) >= 1.4 - 1e-9


def test_numbers_stand_on_the_inner_side_of_the_ticks():
    right = numbers(drawn(lane(inward=1)))["30"]
    left = numbers(drawn(lane(inward=-1)))["30"]
    assert right.anchor == "start"
    assert left.anchor == "end"
    assert right.x_mm == -left.x_mm


def test_three_digits_are_set_narrower_and_the_others_stay():
    shown = settled(lane(6.6, first=80, last=110))
    faces = {one.words: (one.figures, one.height_mm) for one in shown.numbers}
    assert faces["90"] == ("figures", pytest.approx(faces["100"][1]))
    assert faces["100"][0] == faces["110"][0] == "narrow"
    assert faces["100"][1] >= READ_MM


def test_where_even_narrow_ones_are_too_wide_only_three_digits_are_smaller():
    shown = {one.words: one.height_mm for one in settled(lane(4.44, last=120)).numbers}
    assert shown["120"] < shown["90"] < READ_MM
    assert shown["120"] > 1.5


def test_a_lane_of_seven_millimetres_can_be_read_at_arms_length():
    assert settled(lane(7.0, last=110)).height_mm >= READ_MM
    assert settled(lane(5.2, last=90)).height_mm >= READ_MM


def test_a_lane_too_narrow_to_read_says_so():
    with pytest.raises(DoesNotFit, match="wider") as refused:
        settled(lane(3.0, last=100))
    assert settled(lane(refused.value.wanted_mm, last=100))
    with pytest.raises(DoesNotFit, match="wider"):
        settled(lane(1.5, first=5, last=9, kind="close"))


def test_the_width_said_to_do_does():
    tight = settled(lane(4.44, last=110))
    assert settled(lane(tight.wide_enough_mm, last=110)).height_mm >= READ_MM - 1e-9


def test_a_height_that_others_have_is_not_exceeded():
    assert settled(lane(), 3.0).ten_height_mm == pytest.approx(3.0)


def test_a_run_crowded_beyond_any_step_keeps_its_roundest_mark():
    shown = settled(lane(spacing_mm=0.02, first=21, last=29))
    assert shown.ticks == (25.0,)
    assert [one.words for one in shown.numbers] == ["25"]


def test_a_fraction_too_wide_beside_its_tick_says_how_wide_the_lane_must_be():
    def pair(width_mm):
        return Lane(0.0, 1, width_mm, (7.0, 7.5), (140.0, 150.0), (True, True), 5)

    with pytest.raises(DoesNotFit, match="wider") as refused:
        settled(pair(2.8))
    assert (refused.value.room_mm, refused.value.wanted_mm) == (2.8, pytest.approx(2.92, abs=0.01))
    heights_mm = [one.height_mm for one in settled(pair(refused.value.wanted_mm)).numbers]
    assert min(heights_mm) == pytest.approx(0.95, abs=0.05)

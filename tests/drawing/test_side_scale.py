import pytest

from tapewright.drawing.lettering import width_mm
from tapewright.drawing.shapes import Line, Text
from tapewright.drawing.side_scale import side_scale


def drawn(edge=0.0, inward=1, zero=-20.0, sense=1.0, room=(5.0, 40.0)):
    shapes = list(side_scale(edge, inward, zero, sense, room))
    return ([one for one in shapes if isinstance(one, Line)],
            {one.words: one for one in shapes if isinstance(one, Text)})  # fmt: skip


@pytest.mark.parametrize(("zero", "sense"), [(-20.0, 1.0), (80.3, -1.01)])
def test_ticks_stand_each_half_millimetre_within_the_room(zero, sense):
    ticks, numbers = drawn(zero=zero, sense=sense)
    halves = [2.0 * (one.y1_mm - zero) / sense for one in ticks]
    assert halves == pytest.approx([round(one) for one in halves])
    assert len(set(map(round, halves))) == len(ticks) >= 69
    assert all(5.0 - 1e-9 <= one.y1_mm <= 40.0 + 1e-9 for one in ticks)
    for words, text in numbers.items():
        middle_mm = text.y_mm - 0.729 * text.em_mm / 2.0
        assert middle_mm == pytest.approx(zero + sense * int(words), abs=1e-3)


def test_numbers_stand_each_five_with_nine_ticks_between_and_tens_are_bold():
    _, numbers = drawn()
    assert list(numbers) == ["30", "35", "40", "45", "50", "55"]  # 25 and 60 would be cut off
    assert [one for one, text in numbers.items() if text.bold] == ["30", "40", "50"]


def test_longer_ticks_stand_at_rounder_millimetres():
    ticks, _ = drawn()
    long = {round(one.y1_mm + 20.0, 3): one.x2_mm for one in ticks}
    assert long[30.0] > long[35.0] > long[36.0] > long[36.5] > 0.0


@pytest.mark.parametrize(("edge", "inward"), [(0.0, 1), (16.5, -1)])
@pytest.mark.parametrize("zero", [-900.0, -120.0, 60.0])
def test_everything_stays_in_its_room_whatever_the_number(edge, inward, zero):
    ticks, numbers = drawn(edge, inward, zero)
    assert ticks[0].x1_mm == edge
    assert numbers
    for text in numbers.values():
        long_mm = width_mm(text.words, text.em_mm, bold=text.bold)
        near, far = inward * (text.x_mm - edge), inward * (text.x_mm - edge) + long_mm
        assert text.anchor == ("start" if inward > 0 else "end")
        assert 1.4 < near < far <= 4.5  # of a room of 4.5 mm


def test_a_minus_is_written_as_a_minus():
    _, numbers = drawn(zero=30.0)
    assert "−10" in numbers
    assert "0" in numbers


def test_a_scale_without_room_for_a_number_has_ticks_alone():
    ticks, numbers = drawn(room=(6.0, 8.0))
    assert len(ticks) == 5
    assert not numbers

"""Arrows in a person's words. Source: the words are common practice, no source; an inch is 25.4 mm;
on a clock face three stands right and six below."""

import pytest

from tapewright.ground.errors import BadInput
from tapewright.reading.typed_arrows import read_arrow

PLACES = [  # as typed, right and up in inches
    ("0.4 -0.9", 0.4, -0.9),
    ("0,4 -0,9", 0.4, -0.9),
    ("0.4,0.9", 0.4, 0.9),
    ("1 2 cm", 1 / 2.54, 2 / 2.54),
    ("1 in 2 cm", 1, 2 / 2.54),
    ("2 left 1 high", -2, 1),
    ("left 2 high 1", -2, 1),
    ("2l 3d", -2, -3),
    ("1 1/2 low, ½ right", 0.5, -1.5),
    ("2 left and 1 below the aim", -2, -1),
    ("3 at 3 o'clock", 3, 0),
    ("3 at 6 o’clock", 0, -3),
    ("2 at 10 o'clock", -(3**0.5), 1),
    ("2 at 12:30 oclock", 2 * 0.258819, 2 * 0.965926),
    ("hit", 0, 0),
]


@pytest.mark.parametrize(("text", "right_in", "up_in"), PLACES)
def test_where_it_landed(text, right_in, up_in):
    told = read_arrow(text, "in", "arrow")
    assert told.right_m == pytest.approx(0.0254 * right_in, abs=1e-7)
    assert told.up_m == pytest.approx(0.0254 * up_in, abs=1e-7)
    assert told.note == ""


def test_what_was_not_said_was_not_measured():
    assert read_arrow("2 low", "cm", "arrow")[:2] == (None, -0.02)
    assert read_arrow("2 right", "cm", "arrow")[:2] == (0.02, None)


@pytest.mark.parametrize(
    ("text", "note", "right_m"),
    [
        ("missed the butt", "missed the butt", None),
        ("bad", "bad", None),
        ("bad: gust", "bad: gust", None),
        ("Bad gust of wind", "bad: gust of wind", None),
        ("bad 2 3", "bad", 0.02),
    ],
)
def test_an_arrow_that_counts_nowhere(text, note, right_m):
    told = read_arrow(text, "cm", "arrow")
    assert (told.note, told.right_m, told.is_mark) == (note, right_m, False)


def test_it_hits_here():
    assert read_arrow("here", "cm", "arrow").is_mark


def test_what_stands_on_an_arrow_is_said_before_where_it_hit():
    told = read_arrow("#7 0.4 -0.9", "in", "arrow")
    assert (told.arrow, told.right_m, told.up_m) == ("7", 0.4 * 0.0254, -0.9 * 0.0254)
    assert read_arrow("# B2 missed", "in", "arrow").arrow == "B2"
    with pytest.raises(BadInput, match="Leave #7 out"):
        read_arrow("#7 here", "in", "arrow")


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("", "tells no place"),
        ("2", "no direction, and there are not two numbers"),
        ("1,5", "no direction"),
        ("1 2 3", "no direction"),
        ("left 2 1", "no direction"),
        ("low", "tells no place"),
        ("2 lft", 'Did you mean "left"?'),
        ("2 left 3 right", "says right twice"),
        ("-2 left", "says its way twice"),
        ("1 cm 2", "has a unit, and another has none"),
        ("2 cm left 1 high", "has a unit, and another has none"),
        ("2 left 1 cm high", "has a unit, and another has none"),
        ("-3 at 2 o'clock", "says its way twice"),
        ("3 at 14 o'clock", "no 14 o'clock"),
        ("200 left", "above the limit"),
        ("4 % 5", "tells no place"),
    ],
)
def test_what_is_no_place_is_said(text, why):
    with pytest.raises(BadInput, match="arrow") as refused:
        read_arrow(text, "in", "arrow")
    assert why in str(refused.value)

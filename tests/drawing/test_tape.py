from dataclasses import replace
from functools import cache
from importlib.resources import files
from itertools import combinations

import pytest
from fontTools.pens.boundsPen import BoundsPen
from fontTools.ttLib import TTFont
from hypothesis import given, settings
from hypothesis import strategies as st

from tapewright.drawing.lettering import width_mm
from tapewright.drawing.shapes import Box, Line, Text
from tapewright.drawing.tape import (
    Column,
    Look,
    Mark,
    Strip,
    draw_strip,
    strip_length_mm,
    tick_places_mm,
)
from tapewright.ground.errors import BadInput, DoesNotFit

FACES = {
    ("", False): "DejaVuSansCondensed.ttf",
    ("", True): "DejaVuSansCondensed-Bold.ttf",
    ("figures", False): "TapewrightFigures.ttf",
    ("narrow", False): "TapewrightFigures-Narrow.ttf",
}


@cache
def font(face):
    return TTFont(files("tapewright.drawing") / "fonts" / FACES[face])


@cache
def letter_bounds(letter, which):
    face = font(which)
    pen = BoundsPen(face.getGlyphSet())
    face.getGlyphSet()[face.getBestCmap()[ord(letter)]].draw(pen)
    return pen.bounds


def ink_mm(text):
    """Left, top, right, bottom of the ink, from the outlines of the shipped font itself."""
    which = text.figures, text.bold
    face = font(which)
    scale = text.em_mm / face["head"].unitsPerEm
    advances = [face["hmtx"][face.getBestCmap()[ord(one)]][0] for one in text.words]
    share = {"start": 0.0, "middle": 0.5, "end": 1.0}[text.anchor]
    pen = -share * sum(advances)
    boxes = []
    for letter, advance in zip(text.words, advances, strict=True):
        bounds = letter_bounds(letter, which)
        if bounds:
            boxes.append((pen + bounds[0], bounds[1], pen + bounds[2], bounds[3]))
        pen += advance
    if text.turn_deg:  # reads upward: right becomes up, and up becomes left
        assert text.turn_deg == -90
        return (
            text.x_mm - scale * max(box[3] for box in boxes),
            text.y_mm - scale * max(box[2] for box in boxes),
            text.x_mm - scale * min(box[1] for box in boxes),
            text.y_mm - scale * min(box[0] for box in boxes),
        )
    return (
        text.x_mm + scale * min(box[0] for box in boxes),
        text.y_mm - scale * max(box[3] for box in boxes),
        text.x_mm + scale * max(box[2] for box in boxes),
        text.y_mm - scale * min(box[1] for box in boxes),
    )


def overlap(one, other):
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def texts(shapes, layer=None):
    return [one for one in shapes if isinstance(one, Text) and layer in (None, one.layer)]


def ticks(shapes):
    return [one for one in shapes if isinstance(one, Line) and one.layer == "tick"]


def heavy_seams(shapes):
    upright = [one for one in shapes if isinstance(one, Line) and one.x1_mm == one.x2_mm]
    return [one for one in upright if one.width_mm == 0.3]


def cut(shapes):
    (box,) = [one for one in shapes if isinstance(one, Box) and one.layer == "cut"]
    return box


@st.composite
def strips(draw):
    columns = []
    for pin in range(draw(st.integers(1, 3))):
        first = draw(st.integers(8, 30))
        gaps = draw(st.lists(st.floats(0.02, 3.0), min_size=1, max_size=50))
        place = draw(st.floats(-30.0, 30.0))
        marks = []
        for index, gap in enumerate(gaps):
            marks.append(Mark(float(first + index), place, draw(st.booleans())))
            place += gap
        nearest = marks[0].position_mm
        for step in range(draw(st.integers(0, 5))):
            nearest += draw(st.floats(0.05, 4.0))
            marks.append(Mark(float(first - 1 - step), nearest, close=True))
        columns.append(Column(f"pin {pin + 1}", tuple(marks)))
    return Strip("12 of 33, 31.4 mm", tuple(columns))


@settings(deadline=None, max_examples=60)
@given(
    strips(),
    st.sampled_from([12.0, 17.5, 25.0]),
    st.sampled_from(["left", "right"]),
    st.sampled_from(["up", "down"]),
    st.sampled_from([5, 10]),
)
def test_no_two_labels_touch_and_all_stay_on_the_strip(strip, wide, side, far_end, every):
    look = Look("yd", wide if len(strip.columns) == 1 else 25.0, side, far_end, every)
    shapes = draw_strip(strip, look)
    inks = [ink_mm(text) for text in texts(shapes)]
    for one, other in combinations(inks, 2):
        assert not overlap(one, other)
    edge = cut(shapes)
    for left, top, right, bottom in inks:
        assert left >= 0.0
        assert top >= 0.0
        assert right <= edge.width_mm
        assert bottom <= edge.height_mm
    for tick in ticks(shapes):
        left, right = sorted((tick.x1_mm, tick.x2_mm))
        stroke = (left, tick.y1_mm - tick.width_mm / 2, right, tick.y1_mm + tick.width_mm / 2)
        assert not any(overlap(stroke, ink) for ink in inks)


@pytest.mark.parametrize("sense", [1, -1])
@pytest.mark.parametrize(("far_end", "down"), [("down", 1), ("up", -1)])
def test_far_distances_stand_at_the_end_asked_for(make_strip, sense, far_end, down):
    shapes = draw_strip(make_strip(sense=sense), Look(far_end=far_end))
    place = {text.words: text.y_mm for text in texts(shapes, "number")}
    assert down * (place["80"] - place["20"]) > 0


@pytest.mark.parametrize("far_end", ["down", "up"])
def test_a_single_mark_can_be_drawn(far_end):
    strip = Strip("one", (Column("pin 1", (Mark(20.0, 5.0), Mark(8.0, 9.0, close=True))),))
    shapes = draw_strip(strip, Look(far_end=far_end))
    assert [text.words for text in texts(shapes, "number")] == ["20", "8"]


@pytest.mark.parametrize(("side", "edge_mm"), [("right", 12.0), ("left", 0.0)])
def test_ticks_begin_at_the_edge_of_the_pointer(make_strip, side, edge_mm):
    shapes = draw_strip(make_strip(), Look(number_side=side))
    assert {tick.x1_mm for tick in ticks(shapes)} == {edge_mm}
    assert all(0.0 < tick.x2_mm < 12.0 for tick in ticks(shapes))


def test_close_marks_stand_apart_on_the_opposite_edge(make_strip):
    shapes = draw_strip(make_strip(close=(4, 5, 6, 7, 8, 9)), Look(width_mm=14.0))
    by_edge = {edge: [one for one in ticks(shapes) if one.x1_mm == edge] for edge in (0.0, 14.0)}
    assert len(by_edge[0.0]) == 6
    assert min(one.x2_mm for one in by_edge[14.0]) > max(one.x2_mm for one in by_edge[0.0])
    far = next(text for text in texts(shapes) if text.words == "20")
    near = next(text for text in texts(shapes) if text.words == "5")
    assert near.em_mm < far.em_mm
    assert "close" in {text.words for text in texts(shapes, "note")}


@pytest.mark.parametrize("pins", [1, 2, 3])
def test_a_close_lane_is_told_after_cutting(make_strip, pins):
    shapes = draw_strip(make_strip(close=(5, 6), pins=pins), Look(width_mm=25.0))
    signs = [text for text in texts(shapes) if text.words == "close"]
    seams = heavy_seams(shapes)
    assert len(signs) == len(seams) == pins
    lane = {text.words: text.y_mm for text in texts(shapes, "number") if text.em_mm < 2.0}
    for sign, seam in zip(signs, seams, strict=True):
        assert abs(sign.x_mm - seam.x1_mm) < 3.9  # in its own lane
        top, bottom = sorted((seam.y1_mm, seam.y2_mm))
        assert top <= sign.y_mm <= bottom
        if pins == 1:
            assert all(top < at < bottom for at in lane.values())


def test_a_close_lane_that_is_full_keeps_its_heavy_seam():
    marks = [Mark(float(one), 3.0 * (14 - one), close=True) for one in range(4, 14)]
    far = Mark(20.0, 1.0), Mark(21.0, 2.0)
    strip = Strip("s", (Column("", (*marks, *far)),))
    shapes = draw_strip(strip, Look(length_mm=3.0 * 9 + 2.0 + 4.0))
    assert not any(text.words == "close" for text in texts(shapes))
    assert len(heavy_seams(shapes)) == 1


def test_each_pin_has_its_head_and_its_own_lane(make_strip):
    shapes = draw_strip(make_strip(pins=2), Look(width_mm=14.0))
    heads = {text.words: text.x_mm for text in texts(shapes, "note")}
    assert heads["pin 1"] > 7.0 > heads["pin 2"]  # pin 1 next to the pointer, at the right
    assert {tick.x1_mm for tick in ticks(shapes)} == {14.0, 7.0}


def test_five_pins_fit_a_wide_strip_and_not_a_narrow_one(make_strip):
    assert draw_strip(make_strip(pins=5), Look(width_mm=25.0))
    with pytest.raises(DoesNotFit) as caught:
        draw_strip(make_strip(pins=5), Look(width_mm=12.0))
    assert caught.value.room_mm == 12.0
    assert 12.0 < caught.value.wanted_mm <= 25.0
    assert "wider" in str(caught.value)


def test_the_strip_is_as_long_as_asked_and_its_marks_stay_put(make_strip):
    free = draw_strip(make_strip(), Look())
    longer = draw_strip(make_strip(), Look(length_mm=120.0))
    assert cut(longer).height_mm == strip_length_mm(make_strip(), Look(length_mm=120.0)) == 120.0
    steps = [
        [round(one.y1_mm - ticks(shapes)[0].y1_mm, 9) for one in ticks(shapes)]
        for shapes in (free, longer)
    ]
    assert steps[0] == steps[1]


def test_a_short_strip_gives_up_its_foot_then_its_head_then_refuses(make_strip):
    strip = make_strip()
    marks_mm = 0.6 * 70 + 0.004 * (80**2 - 10**2)
    words = [
        {text.words for text in texts(draw_strip(strip, Look(length_mm=marks_mm + white)), "note")}
        for white in (12.0, 7.5, 3.3)
    ]
    assert "yd" in words[0]
    assert len(words[0]) > 1
    assert words[1] == {"yd"}
    assert words[2] == set()
    with pytest.raises(DoesNotFit, match="longer strip"):
        draw_strip(strip, Look(length_mm=marks_mm + 3.0))


def test_a_strip_with_two_pins_never_gives_up_its_heads(make_strip):
    strip = make_strip(pins=2)
    least_mm = strip_length_mm(strip, Look()) - 4.0
    shown = {text.words for text in texts(draw_strip(strip, Look(length_mm=least_mm)), "note")}
    assert shown == {"pin 1", "pin 2"}


def test_stretch_applies_to_the_marks_only(make_strip):
    plain, longer = draw_strip(make_strip(), Look()), draw_strip(make_strip(), Look(), 1.01)
    span = [one[-1].y1_mm - one[0].y1_mm for one in (ticks(plain), ticks(longer))]
    assert abs(span[1] / span[0] - 1.01) < 1e-12
    assert cut(plain).width_mm == cut(longer).width_mm


def test_a_long_head_is_shortened_to_its_lane(make_column):
    strip = Strip("s", (make_column("a very long name of a pin"), make_column("pin 2")))
    head = next(
        text for text in texts(draw_strip(strip, Look(width_mm=14.0))) if "a v" in text.words
    )
    assert width_mm(head.words, head.em_mm) <= 7.0


@pytest.mark.parametrize("wide", [7.9, 50.1, float("nan")])
def test_widths_that_cannot_be_drawn_are_refused(wide):
    with pytest.raises(BadInput, match="8 to 50 mm"):
        Look(width_mm=wide)


@pytest.mark.parametrize(
    ("distance", "position_mm"), [(-20.0, 3.0), (0.0, 3.0), (1e6, 3.0), (20.0, float("nan"))]
)
def test_a_mark_that_no_number_can_name_is_refused(distance, position_mm):
    with pytest.raises(BadInput, match=r"distances: a tick of .* cannot be drawn"):
        Mark(distance, position_mm)


def test_a_strip_needs_one_to_five_columns_with_marks(make_column):
    for columns in ((), (make_column(),) * 6, (Column("empty", ()),)):
        with pytest.raises(BadInput, match="1 to 5 columns"):
            Strip("s", columns)


@pytest.mark.parametrize("name", ["12 of 33, 31.4 mm", "12 of 33, 131.44 mm"])
def test_the_narrowest_strip_still_says_its_whole_name(make_strip, name):
    strip = replace(make_strip(), name=name)
    foot = [
        one for one in texts(draw_strip(strip, Look(width_mm=8.0)), "note") if one.words != "yd"
    ]
    assert " ".join(one.words for one in foot) == name
    assert all(width_mm(one.words, one.em_mm) <= 7.0 for one in foot)


@pytest.mark.parametrize("side", ["left", "right"])
@pytest.mark.parametrize("pins", [1, 3])
def test_a_side_scale_takes_its_room_from_the_free_edge(make_strip, side, pins):
    plain = draw_strip(make_strip(pins=pins, close=(5, 6)), Look("yd", 20.0, side))
    scaled = Look("yd", 24.5, side, side_scale=True)
    shapes = draw_strip(make_strip(pins=pins, close=(5, 6)), scaled)
    free_mm = 0.0 if side == "right" else 24.5
    beside = [one for one in ticks(shapes) if one.x1_mm == free_mm]
    assert len(beside) > 90  # each half millimetre of more than 45
    assert all(abs(end - free_mm) <= 4.5 for one in beside for end in (one.x1_mm, one.x2_mm))
    others = [one for one in ticks(shapes) if one.x1_mm != free_mm]
    shift_mm = 4.5 if side == "right" else 0.0
    assert [one.x1_mm - shift_mm for one in others] == pytest.approx(
        [one.x1_mm for one in ticks(plain)]
    )
    inks = [ink_mm(text) for text in texts(shapes)]
    assert not any(overlap(one, other) for one, other in combinations(inks, 2))
    assert all(left >= 0.0 and right <= 24.5 for left, _, right, _ in inks)


@pytest.mark.parametrize("zero", [0.0, 5.0])
def test_a_side_scale_counts_as_the_positions_do(make_strip, zero):
    strip = replace(make_strip(), side_zero_mm=zero)
    shapes = draw_strip(strip, Look(width_mm=18.0, side_scale=True), 1.02)
    places = tick_places_mm(strip, Look(width_mm=18.0, side_scale=True), 1.02)
    small = {text.words: text for text in texts(shapes, "number") if text.x_mm < 4.5}
    for words, text in small.items():
        # a mark of the made-up strip stands at 0.6 times its distance and 0.004 times its square
        value = int(words.replace("−", "-")) + zero
        near_mm = 0.6 * 20 + 0.004 * 20**2 - 7.0
        middle_mm = text.y_mm - 0.729 * text.em_mm / 2.0
        assert middle_mm - places[20.0] == pytest.approx(1.02 * (value - near_mm), abs=1e-3)
    assert len(small) > 5


@pytest.mark.parametrize("wide", [12.4, 54.6])
def test_a_width_without_room_for_a_side_scale_says_what_it_takes(wide):
    with pytest.raises(BadInput, match=r"side scale takes 4.5 mm of it.*12.5 to 54.5 mm"):
        Look(width_mm=wide, side_scale=True)


def test_the_wanted_width_counts_the_side_scale(make_strip):
    with pytest.raises(DoesNotFit) as caught:
        draw_strip(make_strip(pins=5), Look(width_mm=16.0, side_scale=True))
    assert caught.value.room_mm == 16.0
    assert 16.0 < caught.value.wanted_mm <= 29.5


@pytest.mark.parametrize("side", ["left", "right"])
def test_the_pointers_edge_keeps_an_arrowhead_where_there_is_a_head(make_strip, side):
    def heads(look):
        shapes = draw_strip(make_strip(), look)
        slanted = [one for one in shapes if isinstance(one, Line)
                   and one.x1_mm != one.x2_mm and one.y1_mm != one.y2_mm]  # fmt: skip
        return [one.x1_mm for one in slanted]

    found = heads(Look(number_side=side))
    assert len(found) == 2
    assert all((x > 6.0) is (side == "right") for x in found)
    bare_mm = 0.6 * 70 + 0.004 * (80**2 - 10**2) + 3.3
    assert not heads(Look(number_side=side, length_mm=bare_mm))


def test_a_side_scale_without_a_head_has_no_unit_over_it(make_strip):
    def words(white_mm):
        marks_mm = 0.6 * 70 + 0.004 * (80**2 - 10**2)
        look = Look(width_mm=18.0, side_scale=True, length_mm=marks_mm + white_mm)
        return {text.words for text in texts(draw_strip(make_strip(), look))}

    assert {"mm", "yd"} <= words(7.5)
    assert not {"mm", "yd"} & words(3.3)
    assert "10" in words(3.3)

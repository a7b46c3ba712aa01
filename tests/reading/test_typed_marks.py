"""Marks typed in place of files."""

import pytest

from tapewright.ground.errors import BadInput
from tapewright.reading.typed_marks import (
    marks_shot,
    read_mark,
    read_marks,
    refuse_against,
    rig_of_marks,
)


@pytest.mark.parametrize(
    ("text", "distance_m", "reading_m", "unit"),
    [
        ("20 yd = 17.2", 18.288, 0.0172, "yd"),
        ("20=17,2", 18.288, 0.0172, "yd"),
        ("20 m 1.72 cm", 20.0, 0.0172, "m"),
        ("20yd 17.2mm", 18.288, 0.0172, "yd"),
        ("20 -3", 18.288, -0.003, "yd"),
        ("20 yd = 28 1/2", 18.288, 0.0285, "yd"),
        ('20 yd = 1.2"', 18.288, 0.03048, "yd"),
    ],
)
def test_a_mark(text, distance_m, reading_m, unit):
    assert read_mark(text, "--mark", "yd") == pytest.approx((distance_m, reading_m, unit))


@pytest.mark.parametrize(
    "text",
    [
        "",
        "20",
        "20 yd",
        "= 17",
        "20 = 60 yd",
        "20 yd = 60 yards",
        "20 = 60'",
        "20,30 = 17",
        "a = b",
    ],
)
def test_what_is_no_mark_is_said(text):
    with pytest.raises(BadInput, match="no mark with its reading"):
        read_mark(text, "--mark", "yd")


def test_marks_stand_from_near_to_far_and_once():
    marks = read_marks(("60 = 48.5", "20 = 17.2"), "--mark", "m")
    assert [one.distance_m for one in marks] == [20, 60]
    with pytest.raises(BadInput, match="the same distance"):
        read_marks(("20 m = 48.5", "20 = 17.2"), "--mark", "m")


def test_a_mark_is_worth_what_it_is_in_a_file_of_shots():
    near, far = marks_shot(read_marks(("60 = 48.5", "20 = 17.2"), "--mark", "m"))
    assert (near.reading_m, far.reading_m) == (0.0172, 0.0485)
    assert near.group.arrows == 3  # as docs/command-line.md has it of empty right and up
    assert far.group.name != near.group.name


def test_the_usual_rig_runs_as_the_marks_do():
    rising = rig_of_marks(read_marks(("20 = 17.2", "60 = 48.5"), "--mark", "m"))
    falling = rig_of_marks(read_marks(("20 = 48.5", "60 = 17.2"), "--mark", "m"), "recurve")
    assert (rising.sight.farther, falling.sight.farther) == ("increases", "decreases")
    assert falling.bow.kind == "recurve"
    assert rising.bow.draw_weight_n is None  # nobody knows how heavy an arrow it needs
    wrong = read_marks(("20 = 48.5", "60 = 17.2"), "--mark", "m")
    with pytest.raises(BadInput, match="run against"):
        refuse_against(wrong, rising, "--mark")
    refuse_against(wrong, falling, "--mark")

import pytest
from written_out import A4, NO_CORRECTION

from tapewright.drawing.plan_sheet import plan_shapes
from tapewright.drawing.shapes import Box, Text
from tapewright.drawing.target_grid import Target
from tapewright.drawing.target_page import TargetPage, TargetWords
from tapewright.drawing.target_sheet import target_tiling
from tapewright.ground.errors import DoesNotFit

TARGET = Target("cm", 600.0, 900.0, 40.0)


def page(notes=("Printed today",), cautions=()):
    words = TargetWords(
        "Heron", "centimetres", (("rig", "Heron", 1.0),), "Hang it.", "Measure.", ("Cut.", "Glue."),
        notes, cautions=cautions,
    )  # fmt: skip
    return TargetPage(words, A4, NO_CORRECTION)


def shapes(**more):
    return plan_shapes(TARGET, target_tiling(TARGET, A4), page(**more))


def words(found):
    return [one.words for one in found if isinstance(one, Text)]


def test_the_plan_names_every_sheet():
    found = words(shapes())
    assert {f"{row}, {column}" for row in range(1, 5) for column in range(1, 5)} <= set(found)


def test_the_plan_is_true_to_shape():
    grey = next(one for one in shapes() if isinstance(one, Box) and one.line_mm == 0.0)
    assert grey.height_mm / grey.width_mm == pytest.approx(1.5)


def test_steps_notes_and_boxes_stand_on_it():
    found = words(shapes())
    assert {"Putting it together", "Hanging it true", "Proof rulers", "Notes"} <= set(found)
    assert {"Cut.", "Glue.", "Hang it.", "Measure.", "Printed today", "rig"} <= set(found)


def test_too_many_notes_say_so():
    with pytest.raises(DoesNotFit, match="Shorten the notes"):
        shapes(notes=("note",) * 60)


def test_cautions_stand_under_their_heading_and_only_where_there_are_some():
    found = shapes(cautions=("Clear the range.", "Mind the wind."))
    at = {one.words: one.y_mm for one in found if isinstance(one, Text)}
    head_mm, told_mm = at["Before you shoot"], at["Clear the range. Mind the wind."]
    assert at["Printed today"] < head_mm < told_mm < 287.0
    assert "Before you shoot" not in words(shapes())

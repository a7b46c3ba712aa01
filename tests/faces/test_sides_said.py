"""Every side that a form explains, as the signs of docs/glossary.md have it."""

import pytest

from tapewright.questions.all_questions import all_questions
from tapewright.reading.rig_sheet_fields import TABLES

QUESTIONS = all_questions()
SHEET = {
    f"{table}.{name}".strip("."): key
    for table, declared in TABLES.items()
    for name, key in declared.keys.items()
}


@pytest.mark.parametrize(
    ("question", "field", "hint"),
    [
        ("wind", "cross", "To your right more than zero."),
        ("wind", "head", "In your face more than zero. Left open: none."),
        ("level", "cant", "Lean of the bow, right positive."),
        ("level", "third_axis", "Right end of the level ahead."),
        ("level", "travel_axis", "Lower end of the travel to the left."),
        ("level", "peep", "Eye beside the peep's middle, or beside the string without one."),
        ("slopes", "slopes", "Degrees, at most 60; each is taken up and down hill."),
        ("slopes", "distances", "Along the line of sight."),
    ],
)
def test_a_question_says_which_side_is_positive(question, field, hint):
    (found,) = (one for one in QUESTIONS[question].fields if one.name == field)
    assert found.hint == hint


@pytest.mark.parametrize(
    ("key", "label", "words"),
    [
        ("hand", "Hand that draws the string", "Turns left and right where they matter."),
        ("sight.peep_height", "Peep height", "How far your eye is above the arrow."),
        ("sight.peep_height", "Peep height",
         "from the middle of the peep (your eye) down to the middle of the arrow"),
        ("sight.sight_radius", "Sight radius",
         "the farther, the more the pin moves for the same shot."),
        ("sight.reading_per_travel", "Reading per travel", "the number moves more than the pin."),
        ("sight.pins_below_first", "Pins below the first",
         "each from the first, the top one first."),
        ("sight.housing_below_pin", "Housing below the pin",
         "From the (first) pin down to the lower edge of the housing."),
        ("sight.clearance_reading", "Reading where the housing just clears",
         "Turn the sight down until the housing just clears, and read the number."),
        ("sight.elevation_click", "One click up or down",
         "Turn ten clicks, see how many mm the number moved, divide by ten."),
        ("sight.windage_click", "One click left or right",
         "Turn ten clicks, see how many mm the pin moved sideways, divide by ten."),
    ],
)  # fmt: skip
def test_a_line_of_the_sheet_says_which_way_it_is_measured(key, label, words):
    found = SHEET[key]
    assert found.label == label
    assert words in f"{found.purpose} {found.measure}"


def test_the_numbers_and_the_hand_are_chosen_in_words():
    assert SHEET["hand"].choices == (
        ("right", "right: I draw with the right hand"),
        ("left", "left: I draw with the left hand"),
    )
    assert SHEET["sight.farther"].choices == (
        ("increases", "get larger farther out"),
        ("decreases", "get smaller farther out"),
    )


def test_corners_of_a_photograph_go_round_as_a_clock_does():
    from tapewright.faces.web.pages import photo

    assert list(vars(photo)["CORNERS"].items()) == [
        ("corner-1", "Upper left"),
        ("corner-2", "Upper right"),
        ("corner-3", "Lower right"),
        ("corner-4", "Lower left"),
    ]

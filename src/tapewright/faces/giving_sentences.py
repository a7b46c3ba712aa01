"""Giving sentences: a bow given away without its person, or copied for a pupil, in words.

Holds:  what is told of a sheet that was given.
Never:  what is left out (reading/anonymous_sheet.py), the rule of the first arrows (services).
"""

from typing import Any

from tapewright.reading.anonymous_sheet import GivenSheet

ANEW = (
    "Other hands, another draw and anchor: nothing is trusted and nothing is zeroed until the "
    "taker's own arrows say so."
)
ASKED = (
    "Before the first arrow the taker is asked anew: draw weight, draw length, where the rest "
    "stands, how long the arrow is, and the check list."
)
FIRST = (
    "The first arrow follows the rule of the first arrows: from 10 yd (9 m) or nearer, at a large "
    "butt with a safe stop, one arrow, then look."
)
LEFT_OUT = (
    "Left out: names and comments, arrows, marks, tapes and calibrations, speed and eye of the "
    "giver, how well and where they shoot."
)


def given_lines(given: GivenSheet) -> tuple[str, ...]:
    """What is told beside a sheet that was given, a line each."""
    return (ANEW, LEFT_OUT, ASKED, *was_lines(given), FIRST)


def was_lines(given: GivenSheet) -> tuple[str, ...]:
    """What the giver had of what is asked anew; to be measured again, not taken over."""
    if not given.was:
        return ()
    told = ", ".join(f"{label.lower()} {value}" for label, value in given.was)
    return (f"With the giver it was: {told}. Measure it again before you write it in.",)


def given_json(given: GivenSheet) -> dict[str, Any]:
    """The same, ready for JSON."""
    return {
        "schema": "tapewright.given/1",
        "sheet": given.text,
        "was": dict(given.was),
        "told": list(given_lines(given)),
    }

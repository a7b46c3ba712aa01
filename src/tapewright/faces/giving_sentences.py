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
STAYS = "No set-up record goes along: print its card if the bow is to be set up as it was."
GOES = (
    "Its set-up record goes along, so that the bow can be set up as it was; photograph, notes, the "
    "string's name and the height of the peep stay here: they are the giver's."
)
FILE_ALONE = "Taken as a file it is the sheet alone: print the record's card to go with it."


def given_lines(given: GivenSheet) -> tuple[str, ...]:
    """What is told beside a sheet that was given, a line each."""
    record = GOES if given.record else STAYS
    return (ANEW, LEFT_OUT, record, ASKED, *was_lines(given), FIRST)


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
        "record": given.record or None,
        "was": dict(given.was),
        "told": list(given_lines(given)),
    }

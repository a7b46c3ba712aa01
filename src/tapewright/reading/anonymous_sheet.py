"""Anonymous sheet: a rig sheet without its person, for whoever takes the bow.

What hangs on the hands that shot it is left out, so that nothing of it is believed of others: how
far they draw and anchor, how fast the arrow left, how they shoot, where. What must be known before
the first arrow is left out too, so that it is asked anew; what of that belongs to the bow is told
beside the sheet.

Holds:  a sheet and a name → the sheet to give, what it was with the giver, its set-up record.
Never:  keeping it, zero and trust: a sheet has neither.
"""

from dataclasses import dataclass

from tapewright.ground.errors import BadInput
from tapewright.reading.rig_sheet import read_rig_sheet
from tapewright.reading.rig_sheet_fields import SHEET
from tapewright.reading.set_up_record import read_set_up, typed_set_up
from tapewright.reading.set_up_record_fields import SET_UP
from tapewright.reading.sheet_form_lines import sheet_lines, sheet_text, sheet_values

# Of the person and the place: tables, and lines of other tables.
OF_THE_PERSON = ("archer", "air", "checks", "rules", "bow.chronograph")
HANDS = (
    "bow.draw_length", "bow.launch_speed", "sight.peep_height", "sight.eye_height",
    "sight.sight_radius",
)  # fmt: skip
# Of the bow and its arrow, and asked anew all the same: a stop hangs on each.
ASKED_ANEW = (
    "bow.draw_weight", "bow.least_arrow_mass", "bow.rest", "arrow.length", "arrow.blade_diameter",
)  # fmt: skip
# Of a set-up record: what is the giver's eye, and free words, which may name somebody.
RECORD_LEFT_OUT = ("photo", "note", "string.string", "string.peep_height")
MOST_NAME = 60


@dataclass(frozen=True, slots=True)
class GivenSheet:
    """A sheet without its person."""

    text: str
    was: tuple[tuple[str, str], ...]  # label and value of what is asked anew, as the giver had it
    record: str = ""  # of how the bow was set up; empty: none goes along


def given_sheet(text: str, name: str, record: str = "") -> GivenSheet:
    """A sheet to give, under a name of the taker's; its set-up record too, if there is one.

    Raises
    ------
    BadInput
        If the name is none, or the giver's.
    BadRigSheet
        If the sheet or the record cannot be read.
    """
    rig, _ = read_rig_sheet(text)
    name = " ".join(name.split())
    if not 0 < len(name) <= MOST_NAME:
        raise BadInput("name", "a name is wanted", f"Give it one, {MOST_NAME} letters at most")
    if name.casefold() == rig.name.casefold():
        wrong = "this is the name that the giver knows it by"
        raise BadInput("name", wrong, "Give it another: it may name a person")
    values = sheet_values(text, SHEET)
    labels = {line.name: line.entry.label for line in sheet_lines(values, SHEET)}
    was = tuple((labels[key], values[key]) for key in ASKED_ANEW if values.get(key))
    kept = {key: value for key, value in values.items() if not _is_left_out(key)}
    return GivenSheet(sheet_text(kept | {"name": name}, SHEET), was, _given_record(record, name))


def _given_record(text: str, name: str) -> str:
    """A set-up record to give; empty where nothing measured is left of it."""
    if not text:
        return ""
    read_set_up(text)
    values = {
        key: value
        for key, value in sheet_values(text, SET_UP).items()
        if key not in RECORD_LEFT_OUT
    }
    left, wrong = typed_set_up(values | {"name": name})
    return "" if wrong else left


def _is_left_out(key: str) -> bool:
    of_table = any(key.startswith((f"{one}.", f"{one}[")) for one in OF_THE_PERSON)
    return of_table or key in (*HANDS, *ASKED_ANEW)

"""Typed reading: what was typed as one becomes one: a number of the tape, or mm without one.

Holds:  a typed reading in what is on the sight; a distance typed where mm are wanted, refused.
Never:  columns of a file (csv_columns.py), how a number of a tape becomes a reading (sight).
"""

from math import isfinite

from tapewright.ground.errors import BadInput
from tapewright.reading.csv_columns import read_typed
from tapewright.services.stick_tape import Tape
from tapewright.words.quantity_parser import in_unit, length_in, neat, read_quantity, with_unit
from tapewright.words.readings_on_tape import shown_m
from tapewright.words.unit_spellings import quoted

NO_TAPE = (
    "If a printed tape is on the sight, say so first (its page: What is on the sight); else write "
    "what the scale shows, such as 31.2 mm"
)


def read_reading(text: str, tape: Tape | None, pin: int, place: str) -> float:
    """Read what the sight shows, as typed. [m]

    With a tape on, a bare number or a distance is one of the tape, and a length in mm, cm or inches
    a reading on the scale under it; without one a distance is refused.
    """
    length = length_in(text)
    if tape is not None and not text.strip():
        raise BadInput(place, "the cell is empty", "Write a number such as 38.5")
    if tape is None:
        if length == "distance":
            wrong = f"{quoted(text)} is a distance, and no tape is known to be on the sight"
            raise BadInput(place, wrong, NO_TAPE)
        return read_typed(text, "reading", "mm", place)
    if length == "sight":
        return read_typed(text, "reading", "mm", place)
    number = with_unit(text.strip(), tape.unit)
    dialled_m = read_quantity(number, "length", place, f"38.5 {tape.unit}")
    try:
        return tape.reading_of(dialled_m, pin)
    except BadInput as past:
        raise BadInput(place, past.wrong, past.mend) from None


def reading_text(reading_m: float, tape: Tape | None, pin: int, at_m: float) -> str:
    """What must be typed to read a reading at a distance again, as finely as anybody sets it."""
    if tape is not None and isfinite(found_m := shown_m(tape, reading_m, pin, at_m)):
        return f"{round(in_unit(found_m, tape.unit), 4):.10g}"
    return neat(reading_m, ("mm",))

"""Butt: what stops the arrow, as several questions ask for it.

Holds:  how its width and height are read.
Never:  a question (its neighbours), chances.
"""

from tapewright.ground.errors import BadInput
from tapewright.questions.question import Said
from tapewright.services.advise import Butt
from tapewright.words.quantities import read_quantity
from tapewright.words.unit_names import quoted

LEAST_BUTT_M, MOST_BUTT_M = 0.05, 20.0


def read_butt(said: Said, usual: str) -> Butt:
    """Width and height as typed, one unit for both or one each."""
    text, place = said.text("butt") or usual, said.place("butt")
    parts = text.replace("×", "x").casefold().split("x")
    if len(parts) != 2:
        raise BadInput(place, f"{quoted(text)} is not width x height", "Write both, as 36x36 in")
    unit = parts[1].strip().lstrip("0123456789., ")
    first = parts[0] if any(letter.isalpha() for letter in parts[0]) else f"{parts[0]} {unit}"
    sides = [read_quantity(one, "length", place, "36x36 in") for one in (first, parts[1])]
    if not all(LEAST_BUTT_M <= side <= MOST_BUTT_M for side in sides):
        wrong = f"{quoted(text)} stops no arrow, or is a hill"
        raise BadInput(place, wrong, "Write such as 36x36 in")
    return Butt(*sides)

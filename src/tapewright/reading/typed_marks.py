"""Typed marks: marks that somebody knows, in place of a file of shots and even of a rig sheet.

Holds:  a mark from words such as "20 yd = 17.2"; marks as groups that say "it hits here"; the rig
        that stands in where no sheet is given.
Never:  files, what is said of such a strip (words/typed_marks_cautions.py).
"""

import re
from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

from tapewright.ground.errors import BadInput
from tapewright.reading.rig_sheet import read_rig_sheet
from tapewright.reading.rig_sheet_fields import KEYS
from tapewright.reading.shots_cautions import TURNING_M
from tapewright.reading.typed_reading import read_reading
from tapewright.services.equip import Rig
from tapewright.services.record_groups import Observation, bare_mark, observe_group
from tapewright.services.stick_tape import Tape
from tapewright.words.quantity_parser import length_in, read_distances, with_unit
from tapewright.words.unit_spellings import TIDY, quoted

MARK_MEND = 'Write such as "20 yd = 17.2"'
NAME = "Marks alone"
SHEET = """\
name = "{name}"
[bow]
{kind}
[arrow]
mass = "{mass}"
shaft_diameter = "{shaft}"
[sight]
farther = "{farther}"
"""
_AMOUNTS = re.compile(r"[^\s=:]*\d[^\s=:]*(?:\s+[^\s\d=:.,+-]+)?")


class TypedMark(NamedTuple):
    """A distance and what the scale shows there."""

    distance_m: float
    reading_m: float
    unit: str  # in which the distance was typed, or is where none was


def read_mark(
    text: str,
    place: str,
    unit: str,
    what: str = "mark",
    mend: str = MARK_MEND,
    on: Tape | None = None,
) -> TypedMark:
    """A distance with its reading, in mm where no unit stands behind it; or as a tape shows it."""
    tidy = text.translate(TIDY).strip()
    parts = tidy.split("=") if "=" in tidy else _AMOUNTS.findall(tidy)
    if len(parts) != 2 or not all(any(map(str.isdigit, one)) for one in parts):
        raise BadInput(place, f"{quoted(text)} is no {what} with its reading", mend)
    asked = read_distances(with_unit(parts[0].strip(), unit), place)
    is_far = on is None and length_in(parts[1]) == "distance"
    if len(asked.distances_m) != 1 or is_far:
        raise BadInput(place, f"{quoted(text)} is no {what} with its reading", mend)
    reading_m = read_reading(parts[1].strip(), on, 1, place)
    return TypedMark(asked.distances_m[0], reading_m, asked.unit)


def read_marks(texts: Sequence[str], place: str, unit: str) -> tuple[TypedMark, ...]:
    """Marks from near to far, one a distance."""
    marks = sorted(read_mark(text, place, unit) for text in texts)
    for one, other in pairwise(marks):
        if other.distance_m - one.distance_m < 1e-6:
            wrong = "two marks are for the same distance"
            raise BadInput(place, wrong, "Keep the one that is right")
    return tuple(marks)


def refuse_against(marks: Sequence[TypedMark], rig: Rig, place: str) -> None:
    """Refuse far marks whose numbers run against the rig sheet."""
    far = [one for one in marks if one.distance_m >= TURNING_M]
    sign = 1.0 if rig.sight.farther == "increases" else -1.0
    if len(far) > 1 and sign * (far[-1].reading_m - far[0].reading_m) < 0.0:
        wrong = f'the marks run against farther = "{rig.sight.farther}" in the rig sheet'
        raise BadInput(place, wrong, "Correct the sheet if the numbers run so; else the marks")


def marks_shot(marks: Sequence[TypedMark]) -> tuple[Observation, ...]:
    """Marks as groups that hit where they were aimed, as rows of shots that say so."""
    return tuple(
        observe_group(
            f"mark {number}",
            [bare_mark()],
            distance_m=one.distance_m,
            reading_m=one.reading_m,
        )
        for number, one in enumerate(marks, 1)
    )


def rig_of_marks(marks: Sequence[TypedMark], kind: str = "") -> Rig:
    """The rig that stands in where no sheet is given: usual, its numbers run as the marks do."""
    mass, shaft = (KEYS[f"arrow.{word}"].of(kind) for word in ("mass", "shaft_diameter"))
    shrinks = bool(marks) and marks[-1].reading_m < marks[0].reading_m
    text = SHEET.format(
        name=NAME,
        kind=f'kind = "{kind}"' if kind else "",
        mass=mass.guess[0],
        shaft=shaft.examples[0],
        farther="decreases" if shrinks else "increases",
    )
    rig, _ = read_rig_sheet(text, "usual values")
    return rig

"""Photographed: a picture that was sent becomes proposed arrows, for a person to confirm.

Holds:  what is told beside a picture, read; the picture looked at, one at a time; rows and the
        straightened picture as the form of a group shows them.
Never:  keeping a picture; what a hole looks like (photograph), HTML.
"""

from base64 import b64encode
from collections.abc import Mapping
from dataclasses import dataclass
from threading import Lock

from tapewright.faces.web.group_form import CELLS, MOST_ROWS, group_form, rows_of
from tapewright.ground.errors import BadInput
from tapewright.services.equip import Rig
from tapewright.services.read_photo import PhotoReading, propose_impacts
from tapewright.words.quantities import in_unit
from tapewright.words.units import Units

LEAST_ERROR_MM = 0.1
PATIENCE_S = 60.0
MM_PER_M = 1000.0
TURN = Lock()  # pictures are large: one at a time, so that memory stays small

Corners = tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class Told:
    """What a person tells beside a picture."""

    code: str | None = None  # of a target of several sheets
    # Width and height of a rectangle, if the target bears no marks
    size_m: tuple[float, float] | None = None
    corners: Corners | None = None  # where its corners are in the picture


@dataclass(frozen=True, slots=True)
class Pictured:
    """A straightened picture under the target that is tapped on."""

    bare: str  # the picture and the one with numbers drawn on, as addresses that hold it all
    numbered: str
    left: str  # where it lies, right and down from the aim, in the unit of the form
    top: str
    wide: str
    high: str
    words: tuple[str, ...]  # how sure its places are, and what to look for
    again: str  # what was typed before, for another picture


def look_at(content: bytes, name: str, rig: Rig, told: Told) -> PhotoReading:
    """Arrows that a picture seems to show; others wait meanwhile."""
    if not TURN.acquire(timeout=PATIENCE_S):
        wrong = "other pictures are being looked at"
        raise BadInput("Photograph", wrong, "Send it again in a minute")
    try:
        return propose_impacts(
            content,
            rig.arrow.shaft_diameter_m,
            corners=told.corners,
            size_m=told.size_m,
            code=told.code,
            name=name or "photograph",
        )
    finally:
        TURN.release()


def with_proposals(texts: Mapping[str, str], found: PhotoReading, units: Units) -> dict[str, str]:
    """Texts of the group's form: the proposed arrows first, then those typed before."""
    before = group_form(texts, 1)
    rows = [
        {"right": _plain(one.right_m, units), "up": _plain(one.up_m, units)}
        for one in found.proposals
    ]
    for row in range(1, rows_of(before) + 1):
        typed = {cell: before[f"{cell}-{row}"] for cell in CELLS}
        rows += [typed] if any(typed.values()) else []
    plain = {name: text for name, text in texts.items() if name.partition("-")[0] not in CELLS}
    cells = {
        f"{cell}-{row}": text
        for row, typed in enumerate(rows[:MOST_ROWS], 1)
        for cell, text in typed.items()
    }
    return plain | cells


def pictured(found: PhotoReading, units: Units, again: str) -> Pictured:
    """The straightened picture at true scale, and what to know of it."""
    unit = in_unit(found.px_mm / MM_PER_M, units.miss)
    return Pictured(
        _address(found.straight_jpeg),
        _address(found.annotated_jpeg),
        f"{-found.aim_x * unit:.5f}",
        f"{-found.aim_y * unit:.5f}",
        f"{found.wide * unit:.5f}",
        f"{found.high * unit:.5f}",
        _words(found),
        again,
    )


def _address(jpeg: bytes) -> str:
    return f"data:image/jpeg;base64,{b64encode(jpeg).decode()}"


def _plain(at_m: float, units: Units) -> str:
    return f"{round(in_unit(at_m, units.miss), 2) + 0.0:g}"


def _words(found: PhotoReading) -> tuple[str, ...]:
    """How sure it is, and what to look for."""
    count = len(found.proposals)
    by = f"{found.marks} marks" if found.marks else "the four corners"
    words = [
        (
            f"{count or 'No'} arrow{'' if count == 1 else 's'} proposed, on {found.sheet}. "
            f"Straightened by {by}: places within {max(found.error_mm, LEAST_ERROR_MM):.1f} mm, "
            "if it hung flat."
        ),
        (
            "Look for missed holes: those that touch or lie on ink are easily missed. Tap a hole "
            "to add it, tap a ring to choose, move or delete it."
        ),
    ]
    if any(one.kind == "shaft" for one in found.proposals):
        words.append("Arrows hide each other; a picture after pulling them tells more.")
    if not found.marks:
        words.append("The aim is taken to be the middle of the rectangle.")
    return tuple(words)

"""Photo form: a picture that was sent becomes proposed arrows, for a person to confirm.

Holds:  a picture looked at, one at a time; rows and the straightened picture as the form of a
        group shows them.
Never:  keeping a picture; what a hole looks like (photograph), HTML.
"""

from base64 import b64encode
from collections.abc import Mapping
from dataclasses import dataclass
from threading import Lock
from typing import Any

from tapewright.faces.web.group_form import CELLS, MOST_ROWS, GroupForm
from tapewright.ground.errors import BadInput
from tapewright.services.equip import Rig
from tapewright.services.read_photo import PhotoReading, propose_impacts
from tapewright.words.quantity_parser import in_unit
from tapewright.words.unit_system import Units

LEAST_MARKS = 3  # which tell little of how a sheet curls
LOOK_FOR = (
    "Look for missed holes: those that touch or lie on ink are easily missed. Tap a hole "
    "to add it; choose a ring by its number to move or delete it."
)
PATIENCE_S = 60.0
MM_PER_M = 1000.0
TURN = Lock()  # pictures are large: one at a time, so that memory stays small


@dataclass(frozen=True, slots=True)
class Pictured:
    """A straightened picture under the target that is tapped on."""

    found: PhotoReading
    units: Units  # the person's
    again: str  # what was typed before, for another picture

    @staticmethod
    def address(jpeg: bytes) -> str:
        """A picture as an address that holds it all."""
        return f"data:image/jpeg;base64,{b64encode(jpeg).decode()}"

    @property
    def place(self) -> dict[str, str]:
        """Where it lies, right and down from the aim, in the unit of the form."""
        found, unit = self.found, in_unit(self.found.px_mm / MM_PER_M, self.units.miss)
        ends = {"x": -found.aim_x, "y": -found.aim_y, "width": found.wide, "height": found.high}
        return {name: f"{px * unit:.5f}" for name, px in ends.items()}

    @property
    def words(self) -> list[str]:
        """How sure its places are, and what to look for."""
        found, count = self.found, len(self.found.proposals)
        proposed = f"{count or 'No'} arrow{'' if count == 1 else 's'} proposed, on {found.sheet}."
        by = f"{found.marks} marks" if found.marks else "the four corners"
        flat = "" if found.marks > LEAST_MARKS else ", if it hung flat"
        within = f"places within {found.place_error_mm:.1f} mm{flat}."
        words = [f"{proposed} Straightened by {by}: {within}", LOOK_FOR]
        if any(one.kind == "shaft" for one in found.proposals):
            words.append("Arrows hide each other; a picture after pulling them tells more.")
        if not found.marks:
            words.append("The aim is taken to be the middle of the rectangle.")
        return words


def look_at(content: bytes, name: str, rig: Rig, told: dict[str, Any]) -> PhotoReading:
    """Arrows that a picture seems to show, by what was told beside it; others wait meanwhile."""
    if not TURN.acquire(timeout=PATIENCE_S):
        wrong = "other pictures are being looked at"
        raise BadInput("Photograph", wrong, "Send it again in a minute")
    try:
        shaft_m = rig.arrow.shaft_diameter_m
        return propose_impacts(content, shaft_m, name=name or "photograph", **told)
    finally:
        TURN.release()


def with_proposals(texts: Mapping[str, str], found: PhotoReading, units: Units) -> dict[str, str]:
    """Texts of the group's form: the proposed arrows first, then those typed before."""
    before = GroupForm(texts, 1)
    typed = [{cell: before[f"{cell}-{row}"] for cell in CELLS} for row in before.rows]
    rows = [
        *({"right": _plain(hit.right_m, units), "up": _plain(hit.up_m, units)}
          for hit in found.proposals),
        *(cells for cells in typed if any(cells.values())),
    ]  # fmt: skip
    plain = {name: text for name, text in texts.items() if name.partition("-")[0] not in CELLS}
    return plain | {
        f"{cell}-{row}": text
        for row, cells in enumerate(rows[:MOST_ROWS], 1)
        for cell, text in cells.items()
    }


def _plain(at_m: float, units: Units) -> str:
    return f"{round(in_unit(at_m, units.miss), 2) + 0.0:g}"

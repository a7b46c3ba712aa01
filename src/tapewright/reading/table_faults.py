"""Table faults: what is wrong in a file of shots, each mistake said once.

Holds:  the faults found so far, and one error that tells them all.
Never:  what a fault is (table_columns.py, shots.py).
"""

import re
from dataclasses import dataclass, field

from tapewright.ground.errors import BadShots

MOST_FAULTS = 10
MOST_LINES = 3  # named beside the first
MOST_ALIKE = 1000  # rows with one mistake; the rest is not looked at


@dataclass(frozen=True, slots=True)
class Faults:
    """Faults of a file, by mistake: the same one in many rows counts once."""

    found: dict[tuple[str, str, str], list[tuple[int, BadShots]]] = field(default_factory=dict)

    def note(self, bad: BadShots, line: int) -> bool:
        """Keep a fault; False when there are mistakes enough to tell."""
        kind = _kind(bad)
        if kind not in self.found and len(self.found) == MOST_FAULTS:
            return False
        alike = self.found.setdefault(kind, [])
        alike.append((line, bad))
        return len(alike) < MOST_ALIKE

    def told(self) -> BadShots:
        """All of them as one error, a paragraph each."""
        first, *rest = (_said_once(alike) for alike in self.found.values())
        others = "".join(f".\n{bad}".removesuffix(".") for bad in rest)
        return BadShots(first.place, first.wrong, first.mend + others)


def _kind(bad: BadShots) -> tuple[str, str, str]:
    """Column, mend and what is wrong, without a cell's own number before its unit."""
    column = bad.place.partition(", column ")[2]
    unit = re.match(r'"[^"]*" (carries .*)', bad.wrong)
    return column or bad.place, bad.mend, unit.group(1) if unit else bad.wrong


def _said_once(alike: list[tuple[int, BadShots]]) -> BadShots:
    """The first of faults that are one mistake, and where else it stands."""
    (_, first), *rest = alike
    if not rest:
        return first
    lines = ", ".join(str(line) for line, _ in rest[:MOST_LINES])
    word = "line" if len(rest) == 1 else "lines"
    more = len(rest) - MOST_LINES
    if more > 0:
        lines += f" and {more} more" if len(alike) < MOST_ALIKE else " and hundreds more"
    return BadShots(first.place, f"{first.wrong}; likewise {word} {lines}", first.mend)

"""Tapes: the last few tapes in numbers and as previews, so that looking again costs nothing.

Holds:  the Made record and a small store of them.
Never:  how a tape is planned or drawn (services).
"""

from collections import OrderedDict
from collections.abc import Callable, Hashable
from dataclasses import dataclass
from threading import Lock

from tapewright.services.print_tape import PlannedTape, TapeWords

MOST_KEPT = 32


@dataclass(frozen=True, slots=True)
class Made:
    """A tape, planned and worded.

    Parameters
    ----------
    plan : PlannedTape
        In numbers.
    words : TapeWords
        Its sentences.
    preview : str
        The likeliest strip as SVG.
    """

    plan: PlannedTape
    words: TapeWords
    preview: str


class Tapes:
    """Tapes by what they were made from and what was asked for."""

    def __init__(self, most: int = MOST_KEPT) -> None:
        self._most = most
        self._made: OrderedDict[Hashable, Made] = OrderedDict()
        self._lock = Lock()

    def of(self, key: Hashable, make: Callable[[], Made]) -> Made:
        """The tape of a key, made now if nobody asked lately."""
        with self._lock:
            if key in self._made:
                self._made.move_to_end(key)
                return self._made[key]
        made = make()
        with self._lock:
            self._made[key] = made
            while len(self._made) > self._most:
                self._made.popitem(last=False)
        return made

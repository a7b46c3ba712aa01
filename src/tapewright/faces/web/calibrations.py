"""Calibrations: the last few calibrations, so that looking at one does not make it again.

Holds:  a small cache by what a calibration was made from; an answer as a key of other caches.
Never:  the notebook's own keeping (faces/kept_rigs.py).
"""

from collections import OrderedDict
from threading import Lock

from tapewright.faces.kept_rigs import Kept, kept_answer
from tapewright.services.calibrate_kept import Answer
from tapewright.services.keep import Source
from tapewright.words.units import Units

MOST_KEPT = 64

Key = tuple[tuple[Source, ...], str]


class Known:
    """An answer that is known by itself, so that what was made of it can be remembered."""

    def __init__(self, answer: Answer) -> None:
        self.answer = answer

    def __hash__(self) -> int:
        return hash(self.answer.fingerprint)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Known) and other.answer is self.answer


class Answers:
    """Calibrations by the versions they were made from and the unit of their distances."""

    def __init__(self, most: int = MOST_KEPT) -> None:
        self._most = most
        self._kept: OrderedDict[Key, Answer] = OrderedDict()
        self._lock = Lock()

    def of(self, kept: Kept, units: Units) -> Answer:
        """Calibration of a kept rig, made now if nobody asked lately."""
        key = (kept.sources, units.distance)
        with self._lock:
            if key in self._kept:
                self._kept.move_to_end(key)
                return self._kept[key]
        answer = kept_answer(kept, units)
        with self._lock:
            self._kept[key] = answer
            while len(self._kept) > self._most:
                self._kept.popitem(last=False)
        return answer

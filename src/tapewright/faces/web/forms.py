"""Forms: what was typed, and beside which field what is wrong with it.

Holds:  the Form that collects faults; values for the template, even wrong ones.
Never:  what a field means (questions, rig sheet), HTML.
"""

from collections.abc import Callable, Mapping
from typing import TypeVar

from tapewright.ground.errors import BadInput, TapewrightError
from tapewright.questions.question import Said
from tapewright.words.stops import refused_words

Read = TypeVar("Read")


class Form:
    """What was typed, with the faults found so far."""

    def __init__(self, texts: Mapping[str, str] | None = None) -> None:
        self.texts = dict(texts or {})
        self.faults: dict[str, str] = {}
        self.said = Said(self.texts)

    def __getitem__(self, name: str) -> str:
        """What was typed in a field, empty for nothing."""
        return self.texts.get(name, "")

    def fault(self, name: str) -> str:
        """What is wrong with a field, empty for nothing."""
        return self.faults.get(name, "")

    @property
    def is_good(self) -> bool:
        """Whether nothing was wrong so far."""
        return not self.faults

    def read(self, name: str, reading: Callable[[], Read], instead: Read) -> Read:
        """Read a field; its fault is remembered, and something else goes on instead."""
        try:
            return reading()
        except TapewrightError as refused:
            self.refuse(name, refused)
            return instead

    def refuse(self, name: str, refused: TapewrightError) -> None:
        """Remember what was wrong beside a field of the form, or above it."""
        if isinstance(refused, BadInput):
            field, _, where = refused.place.partition(", ")
            place = field if field in self.texts else name
            line = f"{where}: " if where and place == field else ""
            self.faults.setdefault(place, f"{line}{refused.wrong}. {refused.mend}.")
        else:
            self.faults.setdefault(name, refused_words(refused))


def seen_number(fields: Mapping[str, str]) -> int:
    """Version that the person saw; 0, which is never the newest, if the form says none."""
    seen = fields.get("seen", "")
    return int(seen[:9]) if seen.isascii() and seen.isdigit() else 0

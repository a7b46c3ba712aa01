"""Answer blocks: what people are shown, piece by piece: tables, sentences, cautions.

Holds:  the Table, Mind and Drawing records.
Never:  how a face draws them, computations.
"""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Table:
    """Rows of text under heads; all columns but the first stand to the right."""

    title: str  # what it shows
    heads: tuple[str, ...]  # one for each column
    rows: tuple[tuple[str, ...], ...]  # the cells
    faint: frozenset[int] = frozenset()  # rows to be shown less strongly
    spare: frozenset[int] = (
        frozenset()
    )  # columns of statistics, which give way where room is scarce


@dataclass(frozen=True, slots=True)
class Mind:
    """A caution: a sentence that must not be overlooked."""

    text: str  # the sentence


@dataclass(frozen=True, slots=True)
class Drawing:
    """A picture, where there is a screen for it; whatever it says stands in words beside it."""

    svg: str  # a whole SVG document
    words: str  # what it shows, for whoever does not see it


Block = Table | Mind | Drawing | str
Blocks = tuple[Block, ...]

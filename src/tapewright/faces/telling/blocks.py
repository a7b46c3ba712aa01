"""Blocks: what people are shown, piece by piece: tables, sentences, cautions.

Holds:  the Table and Mind records.
Never:  how a face draws them, computations.
"""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Table:
    """Rows of text under heads; all columns but the first stand to the right.

    Parameters
    ----------
    title : str
        What it shows.
    heads : tuple of str
        One for each column.
    rows : tuple of tuple of str
        The cells.
    faint : frozenset of int
        Rows to be shown less strongly.
    """

    title: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    faint: frozenset[int] = frozenset()


@dataclass(frozen=True, slots=True)
class Mind:
    """A caution: a sentence that must not be overlooked.

    Parameters
    ----------
    text : str
        The sentence.
    """

    text: str


Block = Table | Mind | str
Blocks = tuple[Block, ...]

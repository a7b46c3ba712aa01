"""Print card: a range card becomes files, on a page and as a card to fold.

Holds:  the errand that prints one.
Never:  computations, sentences, file names.
"""

from typing import Literal

from tapewright.drawing.card_sheet import CardTable, CardWords, full_sheet, pocket_sheet
from tapewright.drawing.files import sheet_files
from tapewright.drawing.paper import PAPERS
from tapewright.services.make_card import RangeCard
from tapewright.services.stops import refuse_stopped

__all__ = ["CardTable", "CardWords", "print_card"]


def print_card(
    made: RangeCard,
    table: CardTable,
    words: CardWords,
    paper: Literal["A4", "Letter"],
    sizes: tuple[str, ...],
    formats: tuple[str, ...],
) -> tuple[tuple[str, bytes], ...]:
    """The files of a range card."""
    refuse_stopped(made.answer.rig)
    draw = {"page": full_sheet, "pocket": pocket_sheet}
    sheets = tuple(draw[size](table, words, PAPERS[paper]) for size in sizes)
    return sheet_files(sheets, formats, [f"-{size}" for size in sizes], printed=words.printed)

"""Print setup: the card of a bow's set-up becomes files.

Holds:  the errand that prints one.
Never:  computations, sentences, file names.
"""

from typing import Literal

from tapewright.drawing.files import sheet_files
from tapewright.drawing.paper import PAPERS
from tapewright.drawing.setup_sheet import SetupWords, setup_sheet

__all__ = ["SetupWords", "print_setup"]


def print_setup(
    words: SetupWords, paper: Literal["A4", "Letter"], formats: tuple[str, ...], printed: str
) -> tuple[tuple[str, bytes], ...]:
    """The files of a set-up card."""
    return sheet_files((setup_sheet(words, PAPERS[paper]),), formats, printed=printed)

"""Print large: what to set at the distances of an event becomes pages in large letters.

Holds:  the errand of these pages; how many targets there may be.
Never:  formulas, sentences, file names.
"""

from typing import Literal

from tapewright.drawing.files import sheet_files
from tapewright.drawing.large_sheet import LargeWords, large_sheets
from tapewright.drawing.paper import PAPERS
from tapewright.drawing.svg import svg_text

__all__ = ["LargeWords", "large_preview", "print_large"]


def print_large(
    words: LargeWords, paper: Literal["A4", "Letter"], formats: tuple[str, ...], printed: str
) -> tuple[tuple[str, bytes], ...]:
    """The files of the pages."""
    return sheet_files(large_sheets(words, PAPERS[paper]), formats, printed=printed)


def large_preview(words: LargeWords, paper: Literal["A4", "Letter"]) -> str:
    """The first page as SVG, to be looked at on a screen."""
    return svg_text(large_sheets(words, PAPERS[paper])[0])

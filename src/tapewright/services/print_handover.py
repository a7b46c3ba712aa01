"""Print handover: the page for the person who takes a bow becomes files.

Holds:  the errand of that page; the marks it may show.
Never:  formulas, sentences, file names.
"""

from dataclasses import replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from tapewright.confidence.bands import Bands, within_reach
from tapewright.drawing.files import sheet_files
from tapewright.drawing.handover_sheet import HandoverWords, handover_sheet
from tapewright.drawing.paper import PAPERS
from tapewright.drawing.svg import svg_text
from tapewright.services.calibrate import Answer
from tapewright.services.look_up_marks import bands_at
from tapewright.services.print_tape import cells_of

__all__ = ["HandoverWords", "handover_preview", "marks_to_show", "print_handover"]


def print_handover(
    words: HandoverWords,
    code: str,
    paper: Literal["A4", "Letter"],
    formats: tuple[str, ...],
    printed: str,
) -> tuple[tuple[str, bytes], ...]:
    """The files of the page."""
    sheet = handover_sheet(replace(words, cells=cells_of(code)), PAPERS[paper])
    return sheet_files((sheet,), formats, printed=printed)


def marks_to_show(answer: Answer, wanted_m: NDArray[np.float64], pin: int = 1) -> Bands | None:
    """Marks at these distances, as far as every drawn bow throws its arrow; None for none."""
    reached_m = within_reach(answer.posterior, wanted_m)
    return bands_at(answer, reached_m, pin) if len(reached_m) else None


def handover_preview(words: HandoverWords, code: str, paper: Literal["A4", "Letter"]) -> str:
    """The page as SVG, to be looked at on a screen."""
    return svg_text(handover_sheet(replace(words, cells=cells_of(code)), PAPERS[paper]))

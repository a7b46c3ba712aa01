"""Templating: what templates may call beyond their own language.

Holds:  filters and tests for blocks, amounts and dates.
Never:  pages, computations.
"""

from typing import Any

from tapewright import __version__
from tapewright.faces.web.sheet_words import form_words
from tapewright.words.answer import SAFETY
from tapewright.words.blocks import Mind, Table
from tapewright.words.units import amount, round_amount


def kind(block: object) -> str:
    """Kind of a block: ``table``, ``mind`` or ``text``."""
    return "table" if isinstance(block, Table) else "mind" if isinstance(block, Mind) else "text"


FILTERS: dict[str, Any] = {
    "amount": amount,
    "round_amount": round_amount,
    "kind": kind,
    "form_words": form_words,
}
GLOBALS: dict[str, Any] = {"version": __version__, "safety": SAFETY}

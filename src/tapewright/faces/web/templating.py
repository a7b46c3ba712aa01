"""Templating: what templates may call beyond their own language.

Holds:  filters and tests for blocks, amounts and dates.
Never:  pages, computations.
"""

from typing import Any

from tapewright import __version__
from tapewright.faces.web.sheet_forms import form_words
from tapewright.questions.every import shelf
from tapewright.words.answer import SAFETY
from tapewright.words.blocks import Mind, Table
from tapewright.words.units import amount, round_amount


def kind(block: object) -> str:
    """Kind of a block: ``table``, ``mind`` or ``text``."""
    return "table" if isinstance(block, Table) else "mind" if isinstance(block, Mind) else "text"


def shelf_links(name: str, in_full: bool = False) -> tuple[tuple[str, str], ...]:  # noqa: FBT001, FBT002 — as templates call it
    """Names and addresses, under a rig, of the questions under one heading."""
    return tuple(
        (one.title if in_full or not one.short else one.short, f"/ask/{one.name}")
        for one in shelf(name)
    )


FILTERS: dict[str, Any] = {
    "amount": amount,
    "round_amount": round_amount,
    "kind": kind,
    "form_words": form_words,
}
GLOBALS: dict[str, Any] = {"version": __version__, "safety": SAFETY, "shelf": shelf_links}

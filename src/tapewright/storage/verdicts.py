"""Verdicts: what was judged of a rig's latest sheet, kept beside its name so that lists need not.

The notebook knows no rule. Whoever opens it hands it a judge, and it keeps what that says with a
sum that holds for one version alone, so that no verdict outlives the sheet it was passed on.

Holds:  what a judge is; the cells of a verdict, and what they say.
Never:  tables, what a verdict says or means.
"""

from collections.abc import Callable
from typing import Any

from tapewright.storage.records import Body, KeptRig
from tapewright.storage.sums import verdict_sum

__all__ = ["OTHER_VERDICT", "Judge", "verdict_cells", "verdict_fits"]

Judge = Callable[[KeptRig], str]
OTHER_VERDICT = "what is kept of it for the list is not what was written"


def verdict_cells(
    judge: Judge | None, entry_id: str, body: Body, head: str | None
) -> dict[str, str | None]:
    """Cells of the verdict on an entry's latest version, whose sum is ``head``; empty for none."""
    if judge is None or head is None or not isinstance(body, KeptRig):
        return {"verdict": None, "verdict_sum": None}
    said = judge(body)
    return {"verdict": said, "verdict_sum": verdict_sum(entry_id, head, said)}


def verdict_fits(row: Any) -> bool:  # noqa: ANN401 — a row of several selects
    """Whether a row's verdict was passed on the version that is its latest, or there is none."""
    if row.verdict is None and row.verdict_sum is None:
        return True
    return bool(row.verdict_sum == verdict_sum(row.id, row.head_sum, row.verdict))

"""Answer html: an answer as a notebook shows it, in HTML and as a picture.

Holds:  the table and sentences of an answer in HTML; a picture on axes.
Never:  what is said of a calibration (words), how a picture is drawn (faces/charts.py).
"""

from html import escape
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tapewright.faces.charts import PICTURES, STYLE
from tapewright.services.calibrate import Answer
from tapewright.words.cautions import all_cautions
from tapewright.words.stops import stop_lines
from tapewright.words.trust_sentences import shot_words, trust_words
from tapewright.words.unit_system import IMPERIAL, METRIC

MOST_ROWS = 30  # of a table; what is left out is said
HEADS = ("distance, m", "mark, mm", "from", "to", "impact from, cm", "to", "trusted")
STYLE_OF_TABLE = "text-align: right; border-spacing: 1em 0.1em"
DIGITS = (1, 2, 2, 2, 1, 1)


def html_of(answer: Answer) -> str:
    """The marks and what is said of them; no marks under a STOP."""
    head = f"<p><b>{escape(answer.rig.name)}</b>: {escape(shot_words(answer))}.</p>"
    if stops := stop_lines(answer.rig):
        return f"<div>{head}{''.join(f'<p><b>{escape(line)}</b></p>' for line in stops)}</div>"
    told = (trust_words(answer, METRIC), *all_cautions(answer, METRIC))
    return f"<div>{head}{_table(answer)}{''.join(f'<p>{escape(line)}</p>' for line in told)}</div>"


def _table(answer: Answer) -> str:
    marks, trusted_m = answer.bands, answer.trusted_m[0]
    in_mm = [1e3 * one for one in (marks.reading_m, marks.low_m, marks.high_m)]
    in_cm = [1e2 * one for one in (marks.impact_low_m, marks.impact_high_m)]
    table = np.stack([marks.distance_m, *in_mm, *in_cm], axis=1)
    every = max(1, -(-len(table) // MOST_ROWS))
    rows = "".join(_row(row, is_trusted=bool(row[0] <= trusted_m)) for row in table[::every])
    heads = "".join(f"<th>{head}</th>" for head in HEADS)
    left = f"<p>One mark in {every} of {len(table)}; all are in marks_frame().</p>"
    return (
        f"<table style='{STYLE_OF_TABLE}'><tr>{heads}</tr>{rows}</table>{left if every > 1 else ''}"
    )


def _row(row: NDArray[np.float64], *, is_trusted: bool) -> str:
    """One mark; what is not trusted stands grey and says so."""
    cells = "".join(f"<td>{one:.{digits}f}</td>" for one, digits in zip(row, DIGITS, strict=True))
    style = "" if is_trusted else ' style="color: #6e6e6e"'
    return f"<tr{style}>{cells}<td>{'yes' if is_trusted else 'no'}</td></tr>"


def draw(
    plotter: Any,  # noqa: ANN401 — an optional library's own
    axes: Any,  # noqa: ANN401 — as above
    answer: Answer,
    what: str,
    at_m: float,
    *,
    is_metric: bool,
) -> Any:  # noqa: ANN401 — as above
    """One picture on axes, or on new ones."""
    with plotter.rc_context(STYLE):
        if axes is None:
            _, axes = plotter.subplots(figsize=(8.0, 4.8), layout="constrained")
        PICTURES[what](axes, answer, at_m, METRIC if is_metric else IMPERIAL)
    return axes

"""Drift: whether the marks drift over the season; also as a picture.

Holds:  drift.
Never:  what it says (questions/drift.py), how it is drawn (services/draw_season.py).
"""

from typing import Any

import click

from tapewright.faces.cli import standard_streams
from tapewright.faces.cli.question_command import Typed, ask, asks
from tapewright.faces.cli.shared_options import FORCE, RIG, SHOTS
from tapewright.faces.cli.standard_streams import write_files
from tapewright.questions.drift import QUESTION as DRIFT
from tapewright.questions.drift import season_svg
from tapewright.questions.question import Said

SVG = click.option(
    "--svg", "svg_file", type=standard_streams.OUT, default=None,
    help="Draw the season into this file, too; - is standard output.",
)  # fmt: skip


@asks("drift", DRIFT, (RIG, SHOTS), more=(SVG, FORCE))
def drift(said: Said, typed: Typed) -> tuple[Any, ...]:
    """Drift on the screen, and the season as a picture."""
    found, units = ask(DRIFT, said, typed)
    if typed["svg_file"] is None:
        return found, units
    picture = season_svg(found, units).encode()
    return found, units, write_files(typed["svg_file"], ((".svg", picture),), "--svg")

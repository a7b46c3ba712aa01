"""Clicks: say what a click does at each distance, or learn how large it is.

Holds:  the command ``clicks``.
Never:  what is asked, found and said (questions/clicks.py).
"""

from pathlib import Path
from typing import Any

import click

from tapewright.faces.cli.input_files import asked_distances, load_rig_and_shots, warn
from tapewright.faces.cli.options import BAND, JSON, METRIC, RIG, SHOTS, with_options
from tapewright.faces.cli.question_command import options_of, said_by, show_answer
from tapewright.questions.clicks import QUESTION, find_clicks
from tapewright.services.move_sight import fitted_sight


@click.command(help=f"{QUESTION.about}\n\n{QUESTION.more}")
@with_options(RIG, SHOTS)
@options_of(QUESTION.fields)
@with_options(METRIC, BAND, JSON)
def clicks(rig_file: Path, shots_file: Path | None, **typed: Any) -> None:  # noqa: ANN401 — options, handed on by name
    """Say what a click does."""
    said = said_by(QUESTION.fields, typed)
    rig, observations, warnings = load_rig_and_shots(rig_file, shots_file)
    warn(warnings)
    _, units = asked_distances(said, QUESTION.fields[0], metric=typed["metric"])
    fitted = fitted_sight(rig, observations)
    found = find_clicks(rig, fitted, said, units, typed["band"] / 100.0)
    show_answer(QUESTION, found, units, as_json=typed["as_json"])

"""Compare: two calibrated rigs side by side.

Holds:  compare.
Never:  what it says (questions/compare.py).
"""

from pathlib import Path
from typing import Any

import click

from tapewright.faces.cli.input_files import answer_for
from tapewright.faces.cli.options import BAND, FILE, JSON, METRIC, RIG, SEED, with_options
from tapewright.faces.cli.question_command import options_of, said_by, show_answer
from tapewright.questions.compare import QUESTION as COMPARE


@click.command(help=COMPARE.about)
@with_options(RIG)
@click.argument("shots_file", metavar="SHOTS.csv", type=FILE)
@click.argument("other_rig_file", metavar="OTHER.toml", type=FILE)
@click.argument("other_shots_file", metavar="OTHERSHOTS.csv", type=FILE)
@options_of(COMPARE.fields)
@with_options(METRIC, BAND, SEED, JSON)
def compare(
    rig_file: Path,
    shots_file: Path,
    other_rig_file: Path,
    other_shots_file: Path,
    **typed: Any,  # noqa: ANN401 — options, handed on by name
) -> None:
    """Two rigs, at the same distances."""
    said = said_by(COMPARE.fields, typed)
    where = COMPARE.fields[0]
    first, _, units = answer_for((rig_file, shots_file), said, where, typed)
    other, _, _ = answer_for((other_rig_file, other_shots_file), said, where, typed)
    found = COMPARE.ask((first, other), said, units)
    show_answer(COMPARE, found, units, as_json=typed["as_json"])

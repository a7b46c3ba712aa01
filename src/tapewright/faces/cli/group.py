"""Group: measure groups, and say what to move, or that you had better leave it.

Holds:  the command ``group``.
Never:  what is asked, found and said (questions/group.py).
"""

from pathlib import Path
from typing import Any

import click

from tapewright.faces.cli.input_files import load_rig, units_of, warn
from tapewright.faces.cli.options import BAND, FILE, JSON, METRIC, with_options
from tapewright.faces.cli.question_command import options_of, said_by, show_answer
from tapewright.ground.errors import BadInput
from tapewright.questions.group import QUESTION, find_groups
from tapewright.reading.shots import load_shots
from tapewright.services.equip import Rig
from tapewright.services.move_sight import fitted_sight
from tapewright.services.record_groups import Observation

MEND = "Write: tapewright group RIG.toml SHOTS.csv"


def _loaded(files: tuple[Path, ...]) -> tuple[Rig | None, tuple[Observation, ...]]:
    """Rig, if one was given, and groups."""
    if len(files) > 2:
        wrong = f"{len(files)} files are named, where a rig sheet and a file of shots are wanted"
        raise BadInput("group", wrong, MEND)
    *sheet, shots = files
    if shots.suffix.casefold() == ".toml":
        wrong = f"{shots.name} is a rig sheet, and no file of shots stands behind it"
        raise BadInput("group", wrong, MEND)
    rig, warnings = load_rig(sheet[0]) if sheet else (None, ())
    observations, more = load_shots(shots, rig)
    warn((*warnings, *more))
    if not observations:
        raise BadInput(shots.name, "there are no arrows in it", "Shoot a group first")
    return rig, observations


@click.command(help=f"{QUESTION.about}\n\n{QUESTION.more}")
@click.argument("files", metavar="[RIG.toml] SHOTS.csv", type=FILE, nargs=-1, required=True)
@options_of(QUESTION.fields)
@with_options(METRIC, BAND, JSON)
def group(files: tuple[Path, ...], **typed: Any) -> None:  # noqa: ANN401 — options, handed on by name
    """Measure groups, and say what to move."""
    said = said_by(QUESTION.fields, typed)
    rig, observations = _loaded(files)
    fitted = None if rig is None else fitted_sight(rig, observations)
    found = find_groups(observations, rig, fitted, said, typed["band"] / 100.0)
    show_answer(QUESTION, found, units_of(metric=typed["metric"]), as_json=typed["as_json"])

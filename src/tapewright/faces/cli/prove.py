"""Prove: say whether a tape is right, and if not, why it misses; take its arrows in.

Holds:  the command ``prove``, which reads two files of shots and may write a third.
Never:  what is found and said (questions/prove.py).
"""

from pathlib import Path
from typing import Any

import click

from tapewright.faces.cli.input_files import (
    FARTHEST,
    asked_distances,
    calibrated,
    load_rig_and_shots,
    warn,
)
from tapewright.faces.cli.options import BAND, FILE, JSON, METRIC, RIG, SEED, with_options
from tapewright.faces.cli.question_command import options_of, said_by, show_answer
from tapewright.ground.errors import BadInput
from tapewright.ground.units import UNITS
from tapewright.questions.prove import QUESTION, TapeProof, prove_groups
from tapewright.questions.question import Field
from tapewright.questions.shared_fields import SPAN
from tapewright.reading.shots import load_shots, shots_text
from tapewright.services.prove import Accepted, Proving, accept_proof
from tapewright.words.units import Units

DISTANCES = Field(
    "distances", "Distances", "10:100:10yd", "10:100:10m", "Where marks move, with --accept."
)
FIELDS = (DISTANCES, SPAN)
ACCEPT = click.option(
    "--accept",
    "out_file",
    default=None,
    metavar="OUT.csv",
    type=FILE,
    help="Take the proof into the calibration: write all arrows to a new file of shots.",
)


@click.command(help=f"{QUESTION.about}\n\n{QUESTION.more}")
@with_options(RIG)
@click.argument("shots_file", metavar="SHOTS.csv", type=FILE)
@click.argument("proof_file", metavar="PROOF.csv", type=FILE)
@options_of(FIELDS)
@with_options(ACCEPT, METRIC, BAND, SEED, JSON)
def prove(
    rig_file: Path,
    shots_file: Path,
    proof_file: Path,
    out_file: Path | None,
    **typed: Any,  # noqa: ANN401 — options, handed on by name
) -> None:
    """Say whether a tape is right."""
    said = said_by(FIELDS, typed)
    rig, observations, warnings = load_rig_and_shots(rig_file, shots_file)
    shot, more = load_shots(proof_file, rig)
    warn(warnings + more)
    for file, groups in ((shots_file, observations), (proof_file, shot)):
        if not groups:
            raise BadInput(file.name, "there are no arrows in it", "Shoot groups first")
    if out_file is not None and out_file.exists():
        wrong = f"{out_file.name} is there already"
        raise BadInput("--accept", wrong, "Name a new file; nothing is overwritten")
    distances_m, units = asked_distances(said, DISTANCES, metric=typed["metric"])
    chance = (typed["seed"], typed["band"])
    answer = calibrated(rig, observations, distances_m, units.distance, chance)
    proving = prove_groups(answer, shot, said, units)
    accepted = None if out_file is None else _accept(proving, out_file, units, typed["seed"])
    found = TapeProof(proving, accepted=accepted)
    show_answer(QUESTION, found, units, as_json=typed["as_json"])
    if out_file is not None and not typed["as_json"]:
        click.echo(f"Wrote {out_file}")


def _accept(proving: Proving, out_file: Path, units: Units, seed: int) -> Accepted:
    """The joined calibration, and its arrows written to a new file."""
    factor = UNITS[units.distance].factor
    grid_m = [step * factor for step in range(9, round(FARTHEST[units.distance]) + 1)]
    accepted = accept_proof(proving, grid_m, seed)
    draft = out_file.with_name(out_file.name + ".part")
    draft.write_text(shots_text(accepted.answer.observations, units), encoding="utf-8")
    draft.replace(out_file)
    return accepted

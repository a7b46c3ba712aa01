"""Prove: say whether a tape is right, and if not, why it misses; take its arrows in.

Holds:  the command ``prove``, which reads two files of shots and may write a third.
Never:  what is found and said (questions/prove.py).
"""

from pathlib import Path
from typing import Any

import click

from tapewright.faces.cli import standard_streams
from tapewright.faces.cli.input_files import (
    FARTHEST,
    asked_distances,
    calibrated,
    load_groups,
    load_rig_and_shots,
    warn,
)
from tapewright.faces.cli.question_command import Typed, asks
from tapewright.faces.cli.shared_options import FORCE, RIG, file_argument
from tapewright.faces.cli.standard_streams import refuse_old, write_one
from tapewright.ground.errors import BadInput
from tapewright.ground.units import UNITS
from tapewright.questions.prove import QUESTION, TapeProof, prove_groups
from tapewright.questions.question import Field, Said
from tapewright.questions.shared_fields import BETWEEN
from tapewright.reading.shots_writer import shots_text
from tapewright.services.prove import Accepted, Proving, accept_proof
from tapewright.words.unit_system import Units

DISTANCES = Field(
    "distances", "Distances", "10:100:10yd", "10:100:10m", "Where marks move, with --accept."
)
FIELDS = (DISTANCES, BETWEEN)
ACCEPT = click.option(
    "--accept", "out_file", default=None, metavar="OUT.csv", type=standard_streams.OUT,
    help="Take the proof into the calibration: write all arrows to a new file of shots.",
)  # fmt: skip


FILES = (
    RIG, file_argument("shots_file", "SHOTS.csv"), file_argument("proof_file", "PROOF.csv"),
)  # fmt: skip


@asks("prove", QUESTION, FILES, FIELDS, more=(ACCEPT, FORCE))
def prove(said: Said, typed: Typed) -> tuple[Any, ...]:
    """Say whether a tape is right."""
    rig_file, shots_file, proof_file = (typed[f"{one}_file"] for one in ("rig", "shots", "proof"))
    out_file = typed["out_file"]
    rig, observations = load_rig_and_shots(rig_file, shots_file)
    shot, warnings = load_groups(proof_file, rig)
    warn(warnings)
    for file, groups in ((shots_file, observations), (proof_file, shot)):
        if not groups:
            raise BadInput(file.name, "there are no arrows in it", "Shoot groups first")
    if out_file is not None:
        refuse_old("--accept", out_file)
    distances_m, units = asked_distances(said, DISTANCES, metric=typed["metric"])
    answer = calibrated(rig, observations, distances_m, units.distance, typed)
    proving = prove_groups(answer, shot, said, units)
    if out_file is None:
        return TapeProof(proving), units, None
    accepted, written = _accept(proving, out_file, units, typed["seed"])
    found = TapeProof(proving, accepted=accepted)
    return found, units, None if typed["as_json"] else written


def _accept(
    proving: Proving, out_file: Path, units: Units, seed: int
) -> tuple[Accepted, list[Path]]:
    """The joined calibration, and its arrows written to a new file."""
    factor = UNITS[units.distance].factor
    grid_m = [step * factor for step in range(9, round(FARTHEST[units.distance]) + 1)]
    accepted = accept_proof(proving, grid_m, seed)
    text = shots_text(accepted.answer.observations, units)
    return accepted, write_one(out_file, text.encode(), "--accept")

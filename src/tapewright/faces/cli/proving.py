"""Proving: the commands that choose a strip and prove a tape.

Heavy imports stand inside the commands, so that help and mistakes answer at once.

Holds:  strips, prove.
Never:  formulas, sentences that another face needs too.
"""

# ruff: noqa: PLC0415 — see above; and click hands flags over by name
from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from tapewright.faces.cli.asking import (
    FARTHEST,
    answer_question,
    asked_distances,
    calibrated,
    load_rig_and_shots,
    say_json,
    units_of,
    warn,
)
from tapewright.faces.cli.options import (
    BAND,
    FILE,
    JSON,
    METRIC,
    RIG,
    SEED,
    SHOTS,
    with_options,
)
from tapewright.ground.errors import BadInput

if TYPE_CHECKING:
    from pathlib import Path

    from tapewright.services.prove import Accepted, Proving
    from tapewright.words.units import Units

SPAN = click.option(
    "--span",
    default=None,
    metavar="NEAR,FAR",
    help='Between which distances strips are told apart; default "20,60".',
)
DISTANCES = click.option(
    "--distances", default=None, metavar="LIST", help='Such as "20:100:10yd" or "18,30 m".'
)


@click.command()
@with_options(RIG, SHOTS, DISTANCES, SPAN)
@click.option("--step", default=None, help="Difference of the neighbours' spans, such as 0.5 mm.")
@click.option(
    "--set",
    "set_file",
    default=None,
    metavar="SET.csv",
    type=FILE,
    help="Ready-made strips to choose from, a tick a row: strip,distance_yd,position_mm.",
)
@click.option(
    "--to",
    default=None,
    metavar="DISTANCE",
    help="Farther ticks of the set do not count; default: all do.",
)
@with_options(METRIC, BAND, SEED, JSON)
def strips(
    rig_file: Path,
    shots_file: Path | None,
    set_file: Path | None,
    distances: str | None,
    span: str | None,
    step: str | None,
    to: str | None,
    **wish: Any,  # noqa: ANN401 — options that all errands share, handed on by name
) -> None:
    """Choose a strip: the likeliest, its neighbours, or one of a ready-made set.

    Two zeroed marks are enough: rows of SHOTS.csv with right and up left empty. A set is ranked
    by the chance that each strip is its best; the answer says where to stick it and what it
    leaves at each distance.
    """
    from tapewright.ground.errors import BadShots
    from tapewright.questions.strips import QUESTION as STRIPS
    from tapewright.reading.shots import MOST_BYTES
    from tapewright.reading.text_file import file_name, load_text

    said = {"distances": distances, "span": span, "step": step, "to": to}
    places = {}
    if set_file is not None:
        said["set"] = load_text(set_file, MOST_BYTES, BadShots) or " \n"
        places["set"] = file_name(set_file)
    answer_question(STRIPS, (rig_file, shots_file), said, places, **wish)


@click.command()
@with_options(RIG)
@click.argument("shots_file", metavar="SHOTS.csv", type=FILE)
@click.argument("proof_file", metavar="PROOF.csv", type=FILE)
@with_options(DISTANCES, SPAN)
@click.option(
    "--accept",
    "out_file",
    default=None,
    metavar="OUT.csv",
    type=FILE,
    help="Take the proof into the calibration: write all arrows to a new file of shots.",
)
@with_options(METRIC, BAND, SEED, JSON)
def prove(
    rig_file: Path,
    shots_file: Path,
    proof_file: Path,
    distances: str | None,
    span: str | None,
    out_file: Path | None,
    metric: bool,
    band: float,
    seed: int,
    as_json: bool,
) -> None:
    """Prove the tape: say whether it is right, and if not, why it misses.

    SHOTS.csv is what the tape was made from, PROOF.csv what was shot with it since: groups at
    three distances or more, far ones among them, with the readings dialled. With slopes it looks
    at the third axis, too.
    """
    from tapewright.faces.cli.tables import show
    from tapewright.faces.proving_json import proof_json
    from tapewright.faces.telling.proofs import accepted_blocks, proof_blocks
    from tapewright.questions.question import Said, option
    from tapewright.questions.strips import span_ends
    from tapewright.reading.shots import load_shots
    from tapewright.services.prove import prove_tape

    rig, observations, warnings = load_rig_and_shots(rig_file, shots_file)
    shot, more = load_shots(proof_file, rig)
    warn(warnings + more)
    for name, groups in ((shots_file.name, observations), (proof_file.name, shot)):
        if not groups:
            raise BadInput(name, "there are no arrows in it", "Shoot groups first")
    if out_file is not None and out_file.exists():
        wrong = f"{out_file.name} is there already"
        raise BadInput("--accept", wrong, "Name a new file; nothing is overwritten")
    units = units_of(metric=metric)
    usual = "10:100:10m" if metric else "10:100:10yd"
    distances_m, units = asked_distances(distances, usual, units)
    ends_m = span_ends(Said({"span": span}, option), units)
    answer = calibrated(rig, observations, distances_m, units.distance, (seed, band))
    proving = prove_tape(answer, shot, _tried(units), ends_m)
    accepted = None if out_file is None else _accept(proving, out_file, units, seed)
    if as_json:
        written = proof_json(proving, accepted, units)
        say_json(written)
        return
    more_blocks = () if accepted is None else accepted_blocks(accepted, units)
    show((*proof_blocks(proving, units), *more_blocks))
    if out_file is not None:
        click.echo(f"Wrote {out_file}")


def _tried(units: Units) -> list[float]:
    """Distances at which one more group could be shot."""
    from tapewright.ground.units import UNITS

    return [step * UNITS[units.distance].factor for step in range(10, 101, 5)]


def _accept(proving: Proving, out_file: Path, units: Units, seed: int) -> Accepted:
    """The joined calibration, and its arrows written to a new file."""
    from tapewright.ground.units import UNITS
    from tapewright.reading.shots_text import shots_text
    from tapewright.services.prove import accept_proof

    factor = UNITS[units.distance].factor
    grid_m = [step * factor for step in range(9, round(FARTHEST[units.distance]) + 1)]
    accepted = accept_proof(proving, grid_m, seed)
    draft = out_file.with_name(out_file.name + ".part")
    draft.write_text(shots_text(accepted.answer.observations, units), encoding="utf-8")
    draft.replace(out_file)
    return accepted

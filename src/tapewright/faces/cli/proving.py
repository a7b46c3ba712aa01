"""Proving: the commands that choose a strip and prove a tape.

Heavy imports stand inside the commands, so that help and mistakes answer at once.

Holds:  strips, prove.
Never:  formulas, sentences that another face needs too.
"""

# ruff: noqa: PLC0415, FBT001 — see above; and click hands flags over by name
from __future__ import annotations

import json
from typing import TYPE_CHECKING

import click

from tapewright.faces.cli.asking import (
    FARTHEST,
    asked_distances,
    calibrated,
    load_rig_and_shots,
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

    from tapewright.faces.wording import Units
    from tapewright.services.calibrate import Answer
    from tapewright.services.choose_strip import ChosenSet
    from tapewright.services.prove import Accepted, Proving

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
    "farthest",
    default=None,
    metavar="DISTANCE",
    help="Farther ticks of the set do not count; default: all do.",
)
@with_options(METRIC, BAND, SEED, JSON)
def strips(
    rig_file: Path,
    shots_file: Path | None,
    distances: str | None,
    span: str | None,
    step: str | None,
    set_file: Path | None,
    farthest: str | None,
    metric: bool,
    band: float,
    seed: int,
    as_json: bool,
) -> None:
    """Choose a strip: the likeliest, its neighbours, or one of a ready-made set.

    Two zeroed marks are enough: rows of SHOTS.csv with right and up left empty. A set is ranked
    by the chance that each strip is its best; the answer says where to stick it and what it
    leaves at each distance.
    """
    from tapewright.faces.cli.proofs import show_strips
    from tapewright.faces.proving_json import strips_json
    from tapewright.services.choose_strip import find_neighbours

    rig, observations, warnings = load_rig_and_shots(rig_file, shots_file)
    warn(warnings)
    units = units_of(metric=metric)
    usual = "20:100:10m" if metric else "20:100:10yd"
    distances_m, units = asked_distances(distances, usual, units)
    ends_m, step_m = _ends(span, units), _step(step)
    answer = calibrated(rig, observations, distances_m, units.distance, (seed, band))
    found = find_neighbours(answer, distances_m, ends_m, step_m)
    chosen = None if set_file is None else _chosen(answer, set_file, farthest)
    if as_json:
        written = strips_json(found, chosen, units)
        click.echo(json.dumps(written, indent=1, ensure_ascii=False))
        return
    show_strips(found, chosen, units)


def _chosen(answer: Answer, set_file: Path, farthest: str | None) -> ChosenSet:
    """A set of strips, ranked."""
    from tapewright.faces.quantities import read_distances
    from tapewright.faces.strips_file import load_strips
    from tapewright.services.choose_strip import farthest_tick, rank_set

    strips_of = load_strips(set_file)
    farthest_m = farthest_tick(strips_of)
    if farthest is not None:
        asked = read_distances(farthest, "--to").distances_m
        if len(asked) != 1:
            raise BadInput("--to", f"{farthest!r} is not one distance", "Write one, as 80 yd")
        farthest_m = asked[0]
    short = [one.name for one in strips_of if (one.distance_m <= farthest_m + 1e-6).sum() < 2]
    if short:
        wrong = f"strip {short[0]} has fewer than two ticks up to there"
        raise BadInput("--to", wrong, "Ask for a farther distance")
    return rank_set(answer, strips_of, farthest_m)


def _step(text: str | None) -> float | None:
    from tapewright.faces.quantities import read_quantity

    if text is None:
        return None
    step_m = read_quantity(text, "length", "--step", "0.5 mm")
    if step_m <= 0.0:
        raise BadInput("--step", f"{text!r} tells no strips apart", "Write a length as 0.5 mm")
    return step_m


def _ends(text: str | None, units: Units) -> tuple[float, float]:
    """Near and far distance between which spans are told."""
    from tapewright.faces.quantities import read_distances

    bare = (text or "20,60").strip()
    with_unit = bare if bare[-1:].isalpha() else f"{bare} {units.distance}"
    ends = read_distances(with_unit, "--span").distances_m
    if len(ends) != 2:
        raise BadInput("--span", f"{text!r} is not two distances", "Write near and far, as 20,60")
    return ends[0], ends[1]


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
    from tapewright.faces.cli.proofs import show_proof
    from tapewright.faces.proving_json import proof_json
    from tapewright.faces.shots_file import load_shots
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
    ends_m = _ends(span, units)
    answer = calibrated(rig, observations, distances_m, units.distance, (seed, band))
    proving = prove_tape(answer, shot, _tried(units), ends_m)
    accepted = None if out_file is None else _accept(proving, out_file, units, seed)
    if as_json:
        written = proof_json(proving, accepted, units)
        click.echo(json.dumps(written, indent=1, ensure_ascii=False))
        return
    show_proof(proving, accepted, units)
    if out_file is not None:
        click.echo(f"Wrote {out_file}")


def _tried(units: Units) -> list[float]:
    """Distances at which one more group could be shot."""
    from tapewright.ground.units import UNITS

    return [step * UNITS[units.distance].factor for step in range(10, 101, 5)]


def _accept(proving: Proving, out_file: Path, units: Units, seed: int) -> Accepted:
    """The joined calibration, and its arrows written to a new file."""
    from tapewright.faces.shots_text import shots_text
    from tapewright.ground.units import UNITS
    from tapewright.services.prove import accept_proof

    factor = UNITS[units.distance].factor
    grid_m = [step * factor for step in range(9, round(FARTHEST[units.distance]) + 1)]
    accepted = accept_proof(proving, grid_m, seed)
    draft = out_file.with_name(out_file.name + ".part")
    draft.write_text(shots_text(accepted.answer.observations, units), encoding="utf-8")
    draft.replace(out_file)
    return accepted

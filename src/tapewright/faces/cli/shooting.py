"""Shooting: commands for the time on the range.

Heavy imports stand inside the commands, so that help and mistakes answer at once.

Holds:  group, clicks.
Never:  formulas, sentences that another face needs too.
"""

# ruff: noqa: PLC0415, FBT001 — see above; and click hands flags over by name
from __future__ import annotations

import json
from typing import TYPE_CHECKING

import click

from tapewright.faces.cli.asking import (
    asked_distances,
    load_rig_and_shots,
    units_of,
    warn,
)
from tapewright.faces.cli.options import BAND, FILE, JSON, METRIC, RIG, SHOTS, with_options
from tapewright.ground.errors import BadInput

if TYPE_CHECKING:
    from pathlib import Path

    from tapewright.faces.wording import Units
    from tapewright.services.equip import Rig
    from tapewright.services.learn_clicks import LearntClick
    from tapewright.services.measure_groups import Measured
    from tapewright.services.record_groups import Observation


def _loaded(files: tuple[Path, ...]) -> tuple[Rig | None, tuple[Observation, ...]]:
    """Rig, if one was given, and groups."""
    if len(files) > 2:
        wrong = f"{len(files)} files are named, where a rig sheet and a file of shots are wanted"
        raise BadInput("group", wrong, "Write: tapewright group RIG.toml SHOTS.csv")
    if files[-1].suffix.casefold() == ".toml":
        wrong = f"{files[-1].name} is a rig sheet, and no file of shots stands behind it"
        raise BadInput("group", wrong, "Write: tapewright group RIG.toml SHOTS.csv")
    if len(files) == 2:
        rig, observations, warnings = load_rig_and_shots(*files)
    else:
        from tapewright.faces.shots_file import load_shots

        rig = None
        observations, warnings = load_shots(files[0])
    warn(warnings)
    if not observations:
        raise BadInput(files[-1].name, "there are no arrows in it", "Shoot a group first")
    return rig, observations


def _zero_sd(text: str | None) -> float | None:
    from tapewright.faces.quantities import read_quantity

    if text is None:
        return None
    sd_m = read_quantity(text, "length", "--zero-within", "1 in")
    if sd_m <= 0.0:
        raise BadInput("--zero-within", f"{text!r} is not above zero", 'Write such as "1 in"')
    return sd_m


@click.command()
@click.argument("files", metavar="[RIG.toml] SHOTS.csv", type=FILE, nargs=-1, required=True)
@click.option(
    "--zero-within",
    default=None,
    metavar="LENGTH",
    help="How far off the zero can be at that distance (two times in three), such as "
    '"1 in"; a small one trusts the old zero more. Default: ten dispersions.',
)
@click.option(
    "--clicks-per-turn",
    default=None,
    type=click.IntRange(2, 1000),
    help="Of the knob: many clicks are then said in turns.",
)
@click.option(
    "--arrow-by-arrow",
    is_flag=True,
    help="The sight is moved after each arrow: by all of the first miss, half of the second, "
    "and so on. Each arrow's own reading stands in the file.",
)
@click.option(
    "--windage",
    default="moved",
    show_default=True,
    type=click.Choice(["moved", "still"]),
    help="With --arrow-by-arrow: whether windage was moved as told after each arrow.",
)
@with_options(METRIC, BAND, JSON)
def group(
    files: tuple[Path, ...],
    zero_within: str | None,
    clicks_per_turn: int | None,
    arrow_by_arrow: bool,
    windage: str,
    metric: bool,
    band: float,
    as_json: bool,
) -> None:
    """Measure groups, and say what to move or that to leave it.

    The sight follows the arrows. A row whose note is "bad" was called a bad shot before looking
    and counts nowhere. Without RIG.toml moves are angles; with it, readings and clicks.
    """
    from tapewright.services.measure_groups import measure_groups

    rig, observations = _loaded(files)
    units = units_of(metric=metric)
    zero_sd_m = _zero_sd(zero_within)
    measured = measure_groups(observations, rig, band / 100.0)
    if arrow_by_arrow:
        _steps(
            rig, observations, measured, units, zero_sd_m,
            still=windage == "still", per_turn=clicks_per_turn, as_json=as_json,
        )  # fmt: skip
        return
    _groups(
        rig, observations, measured, units, zero_sd_m, per_turn=clicks_per_turn, as_json=as_json
    )


def _groups(
    rig: Rig | None,
    observations: tuple[Observation, ...],
    measured: Measured,
    units: Units,
    zero_sd_m: float | None,
    *,
    per_turn: int | None,
    as_json: bool,
) -> None:
    """Statistics and corrections, as text or JSON."""
    from tapewright.faces.cli.groups import show_measured
    from tapewright.faces.shooting_json import group_json
    from tapewright.faces.wording_shooting import PAST_LIMIT, correction_words, shift_words
    from tapewright.services.correct import correct, group_shifts
    from tapewright.services.move_sight import fitted_sight, past_measured_limit

    if rig is None:
        shifts = [group_shifts(one, measured.known, zero_sd_m) for one in measured.groups]
        written = group_json(measured, shifts, units)
        said = [
            shift_words(one, *shift, units)
            for one, shift in zip(measured.groups, shifts, strict=True)
        ]
        said.append("Give the rig sheet, too, for readings and clicks.")
    else:
        fitted = fitted_sight(rig, observations)
        moves = [correct(fitted, one, measured.known, zero_sd_m) for one in measured.groups]
        written = group_json(measured, moves, units)
        said = [
            correction_words(one, move, units, per_turn)
            for one, move in zip(measured.groups, moves, strict=True)
        ]
        readings_m = [move.move.reading_m for move in moves]
        if any(past_measured_limit(rig, reading_m) for reading_m in readings_m):
            said.append(PAST_LIMIT)
    if as_json:
        click.echo(json.dumps(written, indent=1, ensure_ascii=False))
        return
    show_measured(measured, units)
    for sentence in said:
        click.echo(sentence)


def _steps(
    rig: Rig | None,
    observations: tuple[Observation, ...],
    measured: Measured,
    units: Units,
    zero_sd_m: float | None,
    *,
    still: bool,
    per_turn: int | None,
    as_json: bool,
) -> None:
    """Moves after each arrow, as text or JSON."""
    from tapewright.faces.cli.groups import show_steps
    from tapewright.faces.shooting_json import steps_json
    from tapewright.services.correct import arrow_by_arrow
    from tapewright.services.move_sight import fitted_sight

    if rig is None:
        wrong = "no rig sheet is given, so readings cannot be turned into angles"
        raise BadInput("--arrow-by-arrow", wrong, "Write: tapewright group RIG.toml SHOTS.csv")
    steps = arrow_by_arrow(
        fitted_sight(rig, observations),
        observations,
        measured.known,
        zero_sd_m,
        windage_moved=not still,
    )
    if not steps:
        wrong = "no arrow of the last distance is measured right and up"
        raise BadInput("--arrow-by-arrow", wrong, "Write right and up of each arrow")
    if as_json:
        click.echo(json.dumps(steps_json(steps, units), indent=1, ensure_ascii=False))
        return
    show_steps(steps, units, per_turn)


@click.command()
@with_options(RIG, SHOTS)
@click.option(
    "--distances", default=None, metavar="LIST", help='Such as "20:80:10yd" or "18,30 m".'
)
@click.option(
    "--learn",
    "turned_file",
    default=None,
    metavar="TURNED.csv",
    type=FILE,
    help="Learn the size of a click: one arrow a row, columns such as "
    "group,distance_yd,clicks,up_in (and windage_clicks,right_in), clicks turned from the start.",
)
@with_options(METRIC, BAND, JSON)
def clicks(
    rig_file: Path,
    shots_file: Path | None,
    distances: str | None,
    turned_file: Path | None,
    metric: bool,
    band: float,
    as_json: bool,
) -> None:
    """Say what a click does at each distance, or learn how large it is.

    Clicks stand on the rig sheet: elevation_click as change of reading, windage_click as way of
    the pin. With SHOTS.csv the bow is fitted to the arrows first.
    """
    from tapewright.faces.cli.groups import show_clicks
    from tapewright.faces.shooting_json import clicks_json
    from tapewright.faces.turned_file import load_turned
    from tapewright.faces.wording_shooting import learnt_words
    from tapewright.services.learn_clicks import click_table, learn_clicks
    from tapewright.services.move_sight import fitted_sight

    rig, observations, warnings = load_rig_and_shots(rig_file, shots_file)
    warn(warnings)
    units = units_of(metric=metric)
    usual = "20:80:10m" if metric else "20:80:10yd"
    distances_m, units = asked_distances(distances, usual, units)
    fitted = fitted_sight(rig, observations)
    rows = click_table(fitted, distances_m)
    learnt: tuple[LearntClick, ...] = ()
    if turned_file is not None:
        learnt = learn_clicks(fitted, load_turned(turned_file), band / 100.0)
    if as_json:
        written = clicks_json(rows, learnt, units, band / 100.0)
        click.echo(json.dumps(written, indent=1, ensure_ascii=False))
        return
    show_clicks(rig, rows, units)
    for one in learnt:
        click.echo(learnt_words(one, band / 100.0))

"""Checking: the commands that look over bow and sight: limits, level.

Heavy imports stand inside the commands, so that help and mistakes answer at once.

Holds:  limits, level.
Never:  formulas, sentences that another face needs too.
"""

# ruff: noqa: PLC0415, FBT001 — see above; and click hands flags over by name
from __future__ import annotations

import json
from typing import TYPE_CHECKING

import click

from tapewright.faces.cli.asking import (
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

    from tapewright.services.level import Tilts

MOST_TILT_DEG, MOST_SLOPE_DEG = 45.0, 60.0
MOST_OFF_M = 0.02


@click.command()
@with_options(RIG, SHOTS)
@click.option("--distances", default=None, metavar="LIST", help="Where the travel left is wanted.")
@with_options(METRIC, BAND, SEED, JSON)
def limits(
    rig_file: Path,
    shots_file: Path | None,
    distances: str | None,
    metric: bool,
    band: float,
    seed: int,
    as_json: bool,
) -> None:
    """Say how far each pin reaches before housing and arrow meet.

    From housing_below_pin and vane_height in the rig sheet it is computed; clearance_reading,
    measured on the bow, overrules it; travel_ends stop the sight too. The tape carries no ticks
    past the limit.
    """
    from tapewright.faces.checking_json import limits_json
    from tapewright.faces.cli.checks import show_limits
    from tapewright.services.limits import find_limits

    rig, observations, warnings = load_rig_and_shots(rig_file, shots_file)
    warn(warnings)
    units = units_of(metric=metric)
    usual = "40:110:10m" if metric else "40:120:10yd"
    distances_m, units = asked_distances(distances, usual, units)
    answer = calibrated(rig, observations, distances_m, units.distance, (seed, band))
    found = find_limits(answer, distances_m)
    if as_json:
        click.echo(json.dumps(limits_json(found, units), indent=1, ensure_ascii=False))
        return
    show_limits(found, units)


@click.command()
@with_options(RIG, SHOTS)
@click.option("--distances", default=None, metavar="LIST", help="Where misses are wanted.")
@click.option("--cant", default="1 deg", show_default=True, help="Lean of the bow, right positive.")
@click.option(
    "--third-axis", default="1 deg", show_default=True, help="Right end of the level ahead."
)
@click.option(
    "--travel-axis", default="1 deg", show_default=True, help="Lower end of the travel to the left."
)
@click.option("--peep", default="1 mm", show_default=True, help="Eye beside the peep's middle.")
@click.option("--slope", default="20 deg", show_default=True, help="For the third axis.")
@click.option(
    "--zeroed", default=None, metavar="DISTANCE", help="Where windage was set; default: 20 yd or m."
)
@click.option(
    "--test",
    "test_file",
    type=FILE,
    default=None,
    help="Groups at a plumb line or on slopes, a CSV: distance_yd,slope_deg,right_in,arrows.",
)
@with_options(METRIC, BAND, SEED, JSON)
def level(
    rig_file: Path,
    shots_file: Path | None,
    distances: str | None,
    cant: str,
    third_axis: str,
    travel_axis: str,
    peep: str,
    slope: str,
    zeroed: str | None,
    test_file: Path | None,
    metric: bool,
    band: float,
    seed: int,
    as_json: bool,
) -> None:
    """Say what tilts do to the misses, or find them from a test.

    Without --test: what a canted bow, a swung level (third axis), a leaning travel and an eye
    beside the peep do at each distance. With --test: shoot groups at a hanging line, near and far
    on the level, and at one distance up and down hill, all with one windage; the answer is each
    angle with its band, and what to turn which way.
    """
    from tapewright.faces.checking_json import level_json
    from tapewright.faces.cli.checks import show_level
    from tapewright.faces.side_file import load_side_groups
    from tapewright.services.level import misses_from_tilts, tilts_from_test

    rig, observations, warnings = load_rig_and_shots(rig_file, shots_file)
    warn(warnings)
    units = units_of(metric=metric)
    usual = "20:80:20m" if metric else "20:80:20yd"
    distances_m, units = asked_distances(distances, usual, units)
    where = zeroed or f"20 {units.distance}"
    tilts = _tilts((cant, third_axis, travel_axis, peep, slope), where)
    groups = () if test_file is None else load_side_groups(test_file)
    if groups and not distances:
        distances_m = tuple(sorted({group.distance_m for group in groups}))
    answer = calibrated(rig, observations, distances_m, units.distance, (seed, band))
    misses = misses_from_tilts(answer, distances_m, tilts)
    test = tilts_from_test(answer, groups) if groups else None
    if as_json:
        written = level_json(answer, tilts, misses, test, units)
        click.echo(json.dumps(written, indent=1, ensure_ascii=False))
        return
    show_level(answer, tilts, misses, test, units)


def _tilts(said: tuple[str, str, str, str, str], zeroed: str) -> Tilts:
    """Tilts as typed."""
    from tapewright.faces.quantities import read_distances, read_quantity
    from tapewright.services.level import Tilts

    cant, third_axis, travel_axis, peep, slope = said
    off_m = read_quantity(peep, "length", "--peep", "1 mm")
    if abs(off_m) > MOST_OFF_M:
        raise BadInput("--peep", f"{peep!r} is beyond any peep", "Write 20 mm or less, as 1 mm")
    where = read_distances(zeroed, "--zeroed").distances_m
    if len(where) != 1:
        raise BadInput("--zeroed", f"{zeroed!r} is not one distance", "Write one, as 20 yd")
    return Tilts(
        cant_rad=_angle(cant, "--cant", MOST_TILT_DEG),
        swing_rad=_angle(third_axis, "--third-axis", MOST_TILT_DEG),
        travel_rad=_angle(travel_axis, "--travel-axis", MOST_TILT_DEG),
        peep_m=off_m,
        slope_rad=_angle(slope, "--slope", MOST_SLOPE_DEG),
        zeroed_m=where[0],
    )


def _angle(text: str, place: str, most_deg: float) -> float:
    """An angle as typed, no steeper than anybody shoots. [rad]"""
    from tapewright.faces.quantities import in_unit, read_quantity

    angle_rad = read_quantity(text, "angle", place, "1 deg")
    if abs(in_unit(angle_rad, "deg")) > most_deg + 1e-9:
        mend = f"Write {most_deg:g} deg or less either way, such as 1 deg"
        raise BadInput(place, f"{text!r} is too much", mend)
    return angle_rad

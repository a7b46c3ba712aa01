"""Outdoors: the commands for the field: range card, slopes, weather, wind.

Heavy imports stand inside the commands, so that help and mistakes answer at once.

Holds:  card, slopes, weather, wind; how their options are read.
Never:  changes and budgets (changing.py), formulas, sentences that another face needs too.
"""

# ruff: noqa: PLC0415, FBT001 — see above; and click hands flags over by name
from __future__ import annotations

import datetime as dt
import json
from typing import TYPE_CHECKING, Any

import click

from tapewright.faces.cli.asking import (
    asked_distances,
    calibrated,
    load_rig_and_shots,
    units_of,
    warn,
    write_files,
)
from tapewright.faces.cli.options import (
    BAND,
    FILE,
    JSON,
    METRIC,
    OUT,
    PAPER,
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

LEAST_RADIUS_M, MOST_RADIUS_M = 0.002, 2.0
MOST_WIND_MPS = 20.0
LEAST_SPOT_M, MOST_SPOT_M = 0.005, 2.0
MOST_SLOPES = 12

DISTANCES = click.option(
    "--distances", default=None, metavar="LIST", help='Such as "20:80:10yd" or "18,30 m".'
)
PIN = click.option(
    "--pin",
    default=1,
    show_default=True,
    type=click.IntRange(1, 9),
    help="Which pin is aimed with, 1 the top one.",
)


def answer_for(
    files: tuple[Path, Path | None],
    asked: tuple[str | None, str, str],
    chance: tuple[int, float],
    *,
    metric: bool,
) -> tuple[Answer, tuple[float, ...], Units]:
    """Calibration, distances and units; ``asked`` is what was typed and both usual lists."""
    rig, observations, warnings = load_rig_and_shots(*files)
    warn(warnings)
    typed, usual_metric, usual = asked
    distances_m, units = asked_distances(
        typed, usual_metric if metric else usual, units_of(metric=metric)
    )
    answer = calibrated(rig, observations, distances_m, units.distance, chance)
    return answer, distances_m, units


def checked_pin(answer: Answer, pin: int) -> int:
    """Refuse a pin that the rig lacks."""
    have = len(answer.trusted_m)
    if pin > have:
        pins = "one pin" if have == 1 else f"{have} pins"
        raise BadInput("--pin", f"the rig sheet has {pins}", "Ask for a pin that it has, 1 the top")
    return pin


def length_between(text: str, place: str, ends_m: tuple[float, float], example: str) -> float:
    """A length as typed, inside its ends. [m]"""
    from tapewright.faces.quantities import read_quantity

    length_m = read_quantity(text, "length", place, example)
    if not ends_m[0] <= length_m <= ends_m[1]:
        low, high = (f"{1e3 * end:g} mm" for end in ends_m)
        raise BadInput(place, f"{text!r} is not {low} to {high}", f"Write such as {example}")
    return length_m


@click.command()
@with_options(RIG, SHOTS, DISTANCES)
@click.option(
    "--radius",
    default=None,
    help='The miss that is still good, such as "3 in"; default: the rig sheet\'s tolerance.',
)
@PIN
@click.option(
    "--csv", "csv_file", type=FILE, default=None, help="Write the card as CSV into this file, too."
)
@click.option(
    "--print",
    "sizes",
    multiple=True,
    type=click.Choice(["pocket", "page"]),
    help="Print it: a pocket card to fold, a full page, or both.",
)
@click.option(
    "--format",
    "formats",
    multiple=True,
    type=click.Choice(["pdf", "svg"]),
    help="Of the print; may be given several times. Default: pdf.",
)
@with_options(PAPER, OUT, METRIC, BAND, SEED, JSON)
def card(
    rig_file: Path,
    shots_file: Path | None,
    distances: str | None,
    radius: str | None,
    pin: int,
    csv_file: Path | None,
    sizes: tuple[str, ...],
    formats: tuple[str, ...],
    paper: str,
    out: Path | None,
    metric: bool,
    band: float,
    seed: int,
    as_json: bool,
) -> None:
    """Range card: what the arrow does at each distance, on the level and in calm air.

    Mark with its band, time of flight, speed, energy, momentum, drift in a crosswind; from which
    to which distance one mark serves, how wrong a distance may be, and the close marks.
    """
    from tapewright.faces.cli.outings import show_card
    from tapewright.faces.outdoors_json import card_csv, card_json
    from tapewright.faces.wording_outdoors import card_table, card_words
    from tapewright.services.make_card import CardOrder, make_card, print_card

    answer, distances_m, units = answer_for(
        (rig_file, shots_file), (distances, "10:90:10m", "10:100:10yd"), (seed, band), metric=metric
    )
    made = make_card(answer, CardOrder(distances_m, _radius(radius, answer), pin, _unit_m(units)))
    written = []
    if csv_file is not None:
        csv_file.write_text(card_csv(made, units), encoding="utf-8")
        written.append(csv_file)
    if sizes or formats or out:
        today = dt.datetime.now().astimezone().date().isoformat()
        drawn = print_card(
            card_table(made, units), card_words(made, units, today),
            "Letter" if paper == "Letter" else "A4", sizes or ("page", "pocket"),
            formats or ("pdf",),
        )  # fmt: skip
        written += write_files(out or rig_file.with_name(f"{rig_file.stem}-card"), drawn)
    if as_json:
        said = card_json(made, units) | {"files": [str(path) for path in written]}
        click.echo(json.dumps(said, indent=1, ensure_ascii=False))
        return
    show_card(made, units)
    for path in written:
        click.echo(f"Wrote {path}")


def _radius(text: str | None, answer: Answer) -> float:
    if text is None:
        return answer.rig.archer.tolerance_m
    return length_between(text, "--radius", (LEAST_RADIUS_M, MOST_RADIUS_M), "3 in")


def _unit_m(units: Units) -> float:
    from tapewright.ground.units import UNITS

    return UNITS[units.distance].factor


@click.command()
@with_options(RIG, SHOTS, DISTANCES)
@click.option(
    "--slopes",
    "angles",
    default="15,30,45,60",
    show_default=True,
    metavar="LIST",
    help="Degrees, each taken up and down hill; at most 60.",
)
@with_options(PIN, METRIC, BAND, SEED, JSON)
def slopes(
    rig_file: Path,
    shots_file: Path | None,
    distances: str | None,
    angles: str,
    pin: int,
    metric: bool,
    band: float,
    seed: int,
    as_json: bool,
) -> None:
    """Say what to dial up and down hill, exactly, beside the rule of thumb and its error.

    For each slope the level distance whose mark to dial, and the reading itself.
    """
    import numpy as np

    from tapewright.faces.cli.outings import show_slopes
    from tapewright.faces.outdoors_json import slopes_json
    from tapewright.services.table_slopes import table_slopes

    steep_deg = _slopes(angles)
    answer, distances_m, units = answer_for(
        (rig_file, shots_file), (distances, "10:70:10m", "10:80:10yd"), (seed, band), metric=metric
    )
    both = [*(-one for one in reversed(steep_deg)), *steep_deg]
    found = table_slopes(answer, np.radians(both), distances_m, checked_pin(answer, pin))
    if as_json:
        click.echo(json.dumps(slopes_json(found, units), indent=1, ensure_ascii=False))
        return
    show_slopes(found, units)


def _slopes(text: str) -> list[float]:
    """Degrees as typed, each more than zero, growing."""
    from tapewright.faces.quantities import read_number

    bare = text.strip().removesuffix("deg").removesuffix("°")
    found = [read_number(one, "--slopes", "15,30,45") for one in bare.split(",")]
    if not all(0.0 < one <= 60.0 for one in found) or len(found) > MOST_SLOPES:
        wrong = f"{text!r} holds a slope that is not 0 to 60 degrees, or too many"
        raise BadInput("--slopes", wrong, "Write up to twelve, such as 15,30,45")
    return sorted(set(found))


@click.command()
@with_options(RIG, SHOTS, DISTANCES)
@click.option("--temperature", default=None, help='Of the air away, such as "-5 °C" or "30 °F".')
@click.option("--pressure", default=None, help='As a barometer on the spot shows it: "850 hPa".')
@click.option(
    "--sea-level-pressure",
    default=None,
    help="A weather report's figure, reduced to sea level; needs --altitude.",
)
@click.option("--altitude", default=None, help='Of the place, such as "1800 m" or "6000 ft".')
@click.option("--humidity", default=None, help='Such as "30 %".')
@with_options(PIN, METRIC, BAND, SEED, JSON)
def weather(
    rig_file: Path,
    shots_file: Path | None,
    distances: str | None,
    pin: int,
    metric: bool,
    band: float,
    seed: int,
    as_json: bool,
    **air: Any,  # noqa: ANN401 — what was said of the air, read by name below
) -> None:
    """Marks in other air, beside those at home, and how much it matters.

    What is not said of the air away is taken as at home.
    """
    from tapewright.faces.cli.outings import show_weather
    from tapewright.faces.outdoors_json import weather_json
    from tapewright.services.meet_weather import air_away, meet_air

    said = _air(air)
    answer, distances_m, units = answer_for(
        (rig_file, shots_file), (distances, "10:90:10m", "10:100:10yd"), (seed, band), metric=metric
    )
    away = air_away(answer.rig.air, **said)
    found = meet_air(answer, distances_m, away, checked_pin(answer, pin))
    if as_json:
        click.echo(json.dumps(weather_json(found, units), indent=1, ensure_ascii=False))
        return
    show_weather(found, units)


def _air(said: dict[str, Any]) -> dict[str, float | None]:
    """What was said of the air, in SI."""
    from tapewright.faces.quantities import read_quantity

    if all(value is None for value in said.values()):
        wrong = "nothing is said of the air away"
        raise BadInput("weather", wrong, "Add --temperature, --altitude or --pressure")
    if said["sea_level_pressure"] is not None and said["altitude"] is None:
        wrong = "it says nothing without the altitude of the place"
        raise BadInput("--sea-level-pressure", wrong, 'Add --altitude, such as "1800 m"')
    if said["sea_level_pressure"] is not None and said["pressure"] is not None:
        wrong = "pressure on the spot and at sea level are both given"
        raise BadInput("--pressure", wrong, "Keep the one that was read on the spot")

    def read(name: str, kind: Any, example: str) -> float | None:  # noqa: ANN401 — a literal
        text = said[name]
        place = f"--{name.replace('_', '-')}"
        return None if text is None else read_quantity(text, kind, place, example)

    return {
        "temperature_k": read("temperature", "temperature", "15 °C"),
        "pressure_pa": read("pressure", "pressure", "850 hPa"),
        "sea_level_pressure_pa": read("sea_level_pressure", "pressure", "1013 hPa"),
        "altitude_m": read("altitude", "length", "1800 m"),
        "relative_humidity": read("humidity", "fraction", "30 %"),
    }


@click.command()
@with_options(RIG, SHOTS, DISTANCES)
@click.option(
    "--cross", default=None, help="Wind across, to your right more than zero; default: 10 mph."
)
@click.option("--head", default=None, help="Wind in your face more than zero; default: none.")
@click.option("--spot", default=None, help='Width of what you aim at; default: "4 in", or "10 cm".')
@with_options(METRIC, BAND, SEED, JSON)
def wind(
    rig_file: Path,
    shots_file: Path | None,
    distances: str | None,
    cross: str | None,
    head: str | None,
    spot: str | None,
    metric: bool,
    band: float,
    seed: int,
    as_json: bool,
) -> None:
    """Say how far to hold off in a wind, in lengths and in widths of the spot.

    A head or tail wind raises or lowers the arrow: by how much, and what to dial instead.
    """
    from tapewright.faces.cli.outings import show_wind
    from tapewright.faces.outdoors_json import wind_json
    from tapewright.services.meet_weather import meet_wind

    calm_or_usual = "0 mph" if head is not None else ("5 m/s" if metric else "10 mph")
    cross_mps = _wind(cross or calm_or_usual, "--cross")
    head_mps = 0.0 if head is None else _wind(head, "--head")
    if cross_mps == 0.0 and head_mps == 0.0:
        raise BadInput("--cross", "no wind blows", "Write such as 10 mph, or 5 m/s")
    spot_m = length_between(
        spot or ("10 cm" if metric else "4 in"), "--spot", (LEAST_SPOT_M, MOST_SPOT_M), "4 in"
    )
    answer, distances_m, units = answer_for(
        (rig_file, shots_file), (distances, "20:90:10m", "20:100:10yd"), (seed, band), metric=metric
    )
    found = meet_wind(answer, distances_m, cross_mps, head_mps)
    if as_json:
        click.echo(json.dumps(wind_json(found, units, spot_m), indent=1, ensure_ascii=False))
        return
    show_wind(found, units, spot_m)


def _wind(text: str, place: str) -> float:
    from tapewright.faces.quantities import read_quantity

    speed_mps = read_quantity(text, "speed", place, "10 mph")
    if abs(speed_mps) > MOST_WIND_MPS:
        wrong = f"{text!r} is a gale in which nobody shoots"
        raise BadInput(place, wrong, "Write 20 m/s or less, such as 10 mph")
    return speed_mps

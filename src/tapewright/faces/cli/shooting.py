"""Shooting: commands for the time on the range.

Heavy imports stand inside the commands, so that help and mistakes answer at once.

Holds:  group, clicks.
Never:  formulas, sentences that another face needs too.
"""

# ruff: noqa: PLC0415 — see above; and click hands flags over by name
from __future__ import annotations

from typing import TYPE_CHECKING

import click

from tapewright.faces.cli.asking import (
    asked_distances,
    load_rig_and_shots,
    say_json,
    units_of,
    warn,
)
from tapewright.faces.cli.options import BAND, FILE, JSON, METRIC, RIG, SHOTS, with_options
from tapewright.ground.errors import BadInput

if TYPE_CHECKING:
    from pathlib import Path

    from tapewright.services.equip import Rig
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
        from tapewright.reading.shots import load_shots

        rig = None
        observations, warnings = load_shots(files[0])
    warn(warnings)
    if not observations:
        raise BadInput(files[-1].name, "there are no arrows in it", "Shoot a group first")
    return rig, observations


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
    from tapewright.faces.cli.tables import show
    from tapewright.faces.telling.groups import groups_blocks
    from tapewright.questions.group import find_groups, write_groups
    from tapewright.questions.question import Said, option
    from tapewright.services.move_sight import fitted_sight

    rig, observations = _loaded(files)
    units = units_of(metric=metric)
    said = {
        "zero_within": zero_within,
        "clicks_per_turn": str(clicks_per_turn or ""),
        "arrow_by_arrow": "yes" if arrow_by_arrow else "no",
        "windage": windage,
    }
    fitted = None if rig is None else fitted_sight(rig, observations)
    found = find_groups(observations, rig, fitted, Said(said, option), band / 100.0)
    if as_json:
        say_json(write_groups(found, units))
        return
    show(groups_blocks(found, units))


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
    from tapewright.faces.cli.tables import show
    from tapewright.ground.errors import BadShots
    from tapewright.questions.clicks import QUESTION as CLICKS
    from tapewright.questions.clicks import find_clicks
    from tapewright.questions.question import Said, option
    from tapewright.reading.text_file import file_name, load_text
    from tapewright.reading.turns import MOST_BYTES
    from tapewright.services.move_sight import fitted_sight

    rig, observations, warnings = load_rig_and_shots(rig_file, shots_file)
    warn(warnings)
    units = units_of(metric=metric)
    _, units = asked_distances(distances, CLICKS.usual("distances", units), units)
    said, places = {"distances": distances}, {}
    if turned_file is not None:
        said["learn"] = load_text(turned_file, MOST_BYTES, BadShots) or "\n"
        places["learn"] = file_name(turned_file)
    spoken = Said(said, lambda name: places.get(name, option(name)))
    found = find_clicks(rig, fitted_sight(rig, observations), spoken, units, band / 100.0)
    if as_json:
        say_json(CLICKS.write(found, units))
        return
    show(CLICKS.tell(found, units))

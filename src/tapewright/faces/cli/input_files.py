"""Input files: what several commands do alike: load, calibrate, write.

Holds:  files to records, options to an answer, bytes to files.
Never:  a command, a table.
"""

import json
import sys
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import click

from tapewright.faces.cli.withheld import IS_JSON
from tapewright.ground.errors import BadInput
from tapewright.ground.units import UNITS
from tapewright.questions.question import Field, Said, option
from tapewright.reading.sheet import load_rig_sheet
from tapewright.reading.shots import load_shots
from tapewright.services.calibrate import COUNTED_FROM_M, Answer, calibrate
from tapewright.services.equip import Rig
from tapewright.services.record_groups import Observation
from tapewright.words.answer import with_stops
from tapewright.words.quantities import read_distances
from tapewright.words.stops import stop_lines
from tapewright.words.unit_names import quoted
from tapewright.words.units import BY_DISTANCE, IMPERIAL, METRIC, Units

LONG_WORK_ARROWS = 400  # from here on a fit takes long enough to say so
MOST_BYTES = 4_000_000  # of a file that goes with a question
STOPS = "tapewright.stops"  # what a command remembers
FARTHEST = {"yd": 125.0, "m": 115.0}


def units_of(*, metric: bool) -> Units:
    """Units in which a person reads the answer."""
    return METRIC if metric else IMPERIAL


def load_rig(rig_file: Path) -> tuple[Rig, tuple[str, ...]]:
    """Rig and what is odd about its sheet; why it must not be shot is remembered for the answer."""
    rig, warnings = load_rig_sheet(rig_file)
    context = click.get_current_context(silent=True)
    if context is not None:
        context.meta[IS_JSON] = bool(context.params.get("as_json"))
        context.meta[STOPS] = (*context.meta.get(STOPS, ()), *stop_lines(rig))
    return rig, warnings


def stops_told() -> tuple[str, ...]:
    """Why a rig of this command must not be shot, a line each."""
    context = click.get_current_context(silent=True)
    return () if context is None else tuple(context.meta.get(STOPS, ()))


def warn(warnings: tuple[str, ...], *, rows_follow: bool = False) -> None:
    """Say first why a rig must not be shot; what is odd but possible, on standard error.

    Where rows for another program follow, all of it stands on standard error.
    """
    context = click.get_current_context(silent=True)
    is_json = context is not None and bool(context.params.get("as_json"))
    for warning in warnings:
        is_stop = warning.startswith("STOP")
        click.echo(
            warning if is_stop else f"Note: {warning}", err=is_json or rows_follow or not is_stop
        )


def say_json(written: dict[str, Any]) -> None:
    """Answer another program, the stops with it."""
    click.echo(json.dumps(with_stops(written, stops_told()), indent=1, ensure_ascii=False))


def load_rig_and_shots(
    rig_file: Path, shots_file: Path | None
) -> tuple[Rig, tuple[Observation, ...], tuple[str, ...]]:
    """Rig, groups and what is odd about both files."""
    rig, warnings = load_rig(rig_file)
    if shots_file is None:
        return rig, (), warnings
    observations, more = load_shots(shots_file, rig)
    return rig, observations, warnings + more


def calibrated(
    rig: Rig,
    observations: tuple[Observation, ...],
    distances_m: tuple[float, ...],
    unit: str,
    chance: tuple[int, float],
) -> Answer:
    """Answer for distances, with trusted distances looked for as far as arrows are shot."""
    arrows = sum(one.group.arrows for one in observations)
    if arrows >= LONG_WORK_ARROWS and sys.stderr.isatty():
        click.echo(f"Weighing {arrows} arrows…", err=True)
    factor = UNITS[unit].factor
    last = round(max(FARTHEST[unit], max(distances_m) / factor))
    grid_m = [step * factor for step in range(9, last + 1)]
    seed, band = chance
    return calibrate(rig, observations, distances_m, grid_m, seed, band / 100.0)


def answer_for(
    files: tuple[Path, Path | None],
    said: Said,
    where: Field | None,
    wish: Mapping[str, Any],
) -> tuple[Answer, tuple[float, ...], Units]:
    """Calibration for distances as typed or usual, these, and the person's units."""
    rig, observations, warnings = load_rig_and_shots(*files)
    warn(warnings)
    distances_m, units = asked_distances(said, where, metric=wish["metric"])
    chance = (wish["seed"], wish["band"])
    return calibrated(rig, observations, distances_m, units.distance, chance), distances_m, units


def asked_distances(
    said: Said, where: Field | None, *, metric: bool
) -> tuple[tuple[float, ...], Units]:
    """Distances as typed or usual; metres typed ask for metric answers, yards for others."""
    units = units_of(metric=metric)
    text = said.text(where.name) if where else ""
    usual = where.usual_in(units) if where else ""
    if not where or not (text or usual):
        return (COUNTED_FROM_M,), units
    asked = read_distances(text or usual, said.place(where.name))
    return asked.distances_m, BY_DISTANCE.get(asked.unit, units) if text else units


def spoken(said: Mapping[str, str | None], places: Mapping[str, str] = {}) -> Said:
    """What was typed, with options as places; an option with nothing behind it is refused."""
    for name, text in said.items():
        place = places.get(name, option(name))  # of a file its name: an empty one is told there
        if text is not None and not text.strip() and place.startswith("--"):
            wrong, mend = "nothing stands behind it", "Write it out, or leave the option out"
            raise BadInput(place, wrong, mend)
    return Said(said, lambda name: places.get(name, option(name)))


def _bare_name(name: str, ending: str) -> str:
    """A file's name without the ending that will be added."""
    for known in (".pdf", ".svg", ending):
        name = name.removesuffix(known)
    return name


def write_files(
    stem: Path, files: tuple[tuple[str, bytes], ...], option: str = "--out"
) -> list[Path]:
    """Write each file beside its name first, so that none is ever half there."""
    if stem.name in ("", "..") or stem.is_dir():
        raise BadInput(option, f"{quoted(stem)} is a folder", "Write a file's name behind it")
    if not stem.parent.is_dir():
        wrong = f"there is no folder {quoted(stem.parent)}"
        raise BadInput(option, wrong, "Make it first, or name another")
    written = []
    for ending, content in files:
        path = stem.with_name(_bare_name(stem.name, ending) + ending)
        draft = path.with_name(path.name + ".part")
        draft.write_bytes(content)
        draft.replace(path)
        written.append(path)
    return written

"""Asking: what several commands do alike: load, calibrate, write.

Heavy imports stand inside the functions, so that help and mistakes answer at once.

Holds:  files to records, options to an answer, an errand asked and shown, bytes to files.
Never:  a command, a table.
"""

# ruff: noqa: PLC0415 — see above
from __future__ import annotations

import json
import sys
from typing import TYPE_CHECKING, Any, TypeVar

import click

from tapewright.ground.errors import BadInput, Withheld

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    from tapewright.questions.question import Question, Said
    from tapewright.services.calibrate import Answer
    from tapewright.services.equip import Rig
    from tapewright.services.record_groups import Observation
    from tapewright.words.units import Units

Found = TypeVar("Found")

LONG_WORK_ARROWS = 400  # from here on a fit takes long enough to say so
STOPS, IS_JSON = "tapewright.stops", "tapewright.json"  # what a command remembers
FARTHEST = {"yd": 125.0, "m": 115.0}


def units_of(*, metric: bool) -> Units:
    """Units in which a person reads the answer."""
    from tapewright.words.units import IMPERIAL, METRIC

    return METRIC if metric else IMPERIAL


def load_rig(rig_file: Path) -> tuple[Rig, tuple[str, ...]]:
    """Rig and what is odd about its sheet; why it must not be shot is remembered for the answer."""
    from tapewright.reading.sheet import load_rig_sheet
    from tapewright.words.stops import stop_lines

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


def withhold(context: click.Context, refused: Withheld) -> None:
    """Say that something is withheld, and why, in the form that was asked for."""
    from tapewright.words.stops import UNTIL, refused_words, withheld_json

    if context.meta.get(IS_JSON):
        written = {"schema": "tapewright.withheld/1"} | withheld_json(refused)
        click.echo(json.dumps(written, indent=1, ensure_ascii=False))
    told = f"{UNTIL}." if refused.stops else refused_words(refused)  # the stops are told already
    click.echo(f"tapewright: {told}", err=True)


def say_json(written: dict[str, Any]) -> None:
    """Answer another program, the stops with it."""
    from tapewright.faces.json_pieces import with_stops

    click.echo(json.dumps(with_stops(written, stops_told()), indent=1, ensure_ascii=False))


def load_rig_and_shots(
    rig_file: Path, shots_file: Path | None
) -> tuple[Rig, tuple[Observation, ...], tuple[str, ...]]:
    """Rig, groups and what is odd about both files."""
    from tapewright.reading.shots import load_shots

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
    from tapewright.ground.units import UNITS
    from tapewright.services.calibrate import calibrate

    arrows = sum(one.group.arrows for one in observations)
    if arrows >= LONG_WORK_ARROWS and sys.stderr.isatty():
        click.echo(f"Weighing {arrows} arrows…", err=True)
    factor = UNITS[unit].factor
    last = round(max(FARTHEST[unit], max(distances_m) / factor))
    grid_m = [step * factor for step in range(9, last + 1)]
    seed, band = chance
    return calibrate(rig, observations, distances_m, grid_m, seed, band / 100.0)


def asked_distances(
    text: str | None, usual: str, units: Units, place: str = "--distances"
) -> tuple[tuple[float, ...], Units]:
    """Distances as typed; metres typed ask for metric answers."""
    from tapewright.words.quantities import read_distances

    asked = read_distances(usual if text is None else text, place)
    if asked.unit in ("m", "yd") and text:
        units = units_of(metric=asked.unit == "m")
    return asked.distances_m, units


def answer_for(
    files: tuple[Path, Path | None],
    typed: str | None,
    usual: str,
    chance: tuple[int, float],
    place: str = "--distances",
    *,
    metric: bool,
) -> tuple[Answer, tuple[float, ...], Units]:
    """Calibration for distances as typed or usual, these, and the person's units."""
    rig, observations, warnings = load_rig_and_shots(*files)
    warn(warnings)
    distances_m, units = asked_distances(typed, usual, units_of(metric=metric), place)
    return calibrated(rig, observations, distances_m, units.distance, chance), distances_m, units


def spoken(said: Mapping[str, str | None], places: Mapping[str, str] = {}) -> Said:
    """What was typed, with options as places; an option with nothing behind it is refused."""
    from tapewright.questions.question import Said, option

    for name, text in said.items():
        if text is not None and not text.strip() and name not in places:
            wrong, mend = "nothing stands behind it", "Write it out, or leave the option out"
            raise BadInput(option(name), wrong, mend)
    return Said(said, lambda name: places.get(name, option(name)))


def ask_question(
    question: Question[Found],
    files: tuple[Path, Path | None],
    said: Mapping[str, str | None],
    places: Mapping[str, str] = {},
    *,
    metric: bool,
    band: float,
    seed: int,
) -> tuple[Found, Units]:
    """Calibrate and ask; ``places`` name fields that no option says."""
    from tapewright.questions.question import option

    heard, where = spoken(said, places), question.where
    usual, chance = question.usual(where, units_of(metric=metric)), (seed, band)
    answer, _, units = answer_for(
        files, said.get(where), usual, chance, option(where), metric=metric
    )
    return question.ask(answer, heard, units), units


def answer_question(
    question: Question[Found],
    files: tuple[Path, Path | None],
    said: Mapping[str, str | None],
    places: Mapping[str, str] = {},
    *,
    as_json: bool,
    **chance: Any,  # noqa: ANN401 — what ask_question takes, handed on by name
) -> None:
    """Calibrate, ask, and show the answer."""
    from tapewright.faces.cli.tables import show

    found, units = ask_question(question, files, said, places, **chance)
    if as_json:
        say_json(question.write(found, units))
        return
    show(question.tell(found, units))


def tape_ticks(answer: Answer, asked_m: tuple[float, ...], units: Units) -> tuple[float, ...]:
    """Distances of a tape's ticks in the unit printed; unless asked, a little past the trusted."""
    from tapewright.faces.orders import usual_ticks

    return usual_ticks(answer, asked_m, units)


def _bare_name(name: str, ending: str) -> str:
    """A file's name without the ending that will be added."""
    for known in (".pdf", ".svg", ending):
        name = name.removesuffix(known)
    return name


def write_files(
    stem: Path, files: tuple[tuple[str, bytes], ...], option: str = "--out"
) -> list[Path]:
    """Write each file beside its name first, so that none is ever half there."""
    from tapewright.words.unit_names import quoted

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

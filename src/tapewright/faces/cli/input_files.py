"""Input files: what commands read from files: rigs and shots; what they are calibrated to.

Holds:  files to records, what is odd about them told, options to a calibration.
Never:  a command, answers on the screen (terminal_output.py).
"""

import sys
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import click

from tapewright.faces.cli.standard_streams import folder_of, is_answer_written
from tapewright.ground.errors import BadInput, BadShots
from tapewright.ground.units import UNITS
from tapewright.questions.question import Field, Said
from tapewright.reading.corrected_rows import mended_rows
from tapewright.reading.house_values import filled_rig, load_house
from tapewright.reading.rig_sheet import load_rig_sheet
from tapewright.reading.shots_reader import load_shots
from tapewright.reading.tape_files import TapeFiles, load_record
from tapewright.reading.text_file import RECORD_ENDING, file_name, load_text
from tapewright.services.calibrate import COUNTED_FROM_M, Answer, calibrate
from tapewright.services.equip import Rig
from tapewright.services.record_groups import Observation
from tapewright.services.stick_tape import with_tape
from tapewright.words.stops import stop_lines
from tapewright.words.unit_system import BY_DISTANCE, IMPERIAL, METRIC, Units

LONG_WORK_ARROWS = 400  # from here on a fit takes long enough to say so
MOST_BYTES = 4_000_000  # of a file that goes with a question
STOPS, IS_JSON = "tapewright.stops", "tapewright.json"  # what a command remembers
FARTHEST = {"yd": 125.0, "m": 115.0}


def units_of(*, metric: bool) -> Units:
    """Units in which a person reads the answer."""
    return METRIC if metric else IMPERIAL


def load_rig(rig_file: Path) -> tuple[Rig, tuple[str, ...]]:
    """Rig and what is odd about its sheet; why it must not be shot is remembered for the answer.

    House values stand in where the sheet is silent, if the command was given any.
    """
    return as_told(*load_rig_sheet(rig_file))


def as_told(rig: Rig, warnings: tuple[str, ...]) -> tuple[Rig, tuple[str, ...]]:
    """A rig with the house values and the tape that a command was given; its stops remembered."""
    context = click.get_current_context(silent=True)
    if context is not None:
        if house_file := context.params.get("house_file"):
            rig, more = filled_rig(rig, load_house(house_file))
            warnings = (*warnings, *more)
        if tape_file := context.params.get("tape_file"):
            rig = with_tape(rig, load_record(tape_file).tape())
        context.meta[IS_JSON] = bool(context.params.get("as_json"))
        context.meta[STOPS] = (*context.meta.get(STOPS, ()), *stop_lines(rig))
    return rig, warnings


def load_groups(
    shots_file: Path, rig: Rig | None, tapes: TapeFiles | None = None
) -> tuple[tuple[Observation, ...], tuple[str, ...]]:
    """Groups and what is odd about their file; tapes that it names have their records beside it.

    Whoever hands over ``tapes`` finds there afterwards those that were named.
    """
    if shots_file.name.endswith(RECORD_ENDING):
        wrong = "this is the record of a tape, and no file of shots"
        mend = "Name it with --tape; for change, whose --tape prints one, with --on-sight"
        raise BadInput(shots_file.name, wrong, mend)
    return load_shots(shots_file, rig, tapes or TapeFiles(folder_of(shots_file)))


def load_rig_and_shots(
    rig_file: Path, shots_file: Path | None, tapes: TapeFiles | None = None
) -> tuple[Rig, tuple[Observation, ...]]:
    """Rig and groups; what is odd about both files is told.

    Where no tape was named beside them, the one that was dialled last is still on the sight.
    """
    rig, warnings = load_rig(rig_file)
    if shots_file is None:
        warn(warnings)
        return rig, ()
    tapes = tapes or TapeFiles(folder_of(shots_file))
    observations, more = load_groups(shots_file, rig, tapes)
    warn(warnings + more)
    return tapes.laid_on(rig, observations), observations


def warn(warnings: tuple[str, ...], *, rows_follow: bool = False) -> None:
    """Say first why a rig must not be shot; what is odd but possible, on standard error.

    Where rows for another program follow, all of it stands on standard error.
    """
    context = click.get_current_context(silent=True)
    is_json = context is not None and bool(context.params.get("as_json"))
    rows_follow = rows_follow or is_answer_written()
    for warning in warnings:
        is_stop = warning.startswith("STOP")
        click.echo(
            warning if is_stop else f"Note: {warning}", err=is_json or rows_follow or not is_stop
        )


def calibrated(
    rig: Rig,
    observations: tuple[Observation, ...],
    distances_m: tuple[float, ...],
    unit: str,
    wish: Mapping[str, Any],
) -> Answer:
    """Answer for distances, with trusted distances looked for as far as arrows are shot."""
    arrows = sum(one.group.arrows for one in observations)
    if arrows >= LONG_WORK_ARROWS and sys.stderr.isatty():
        click.echo(f"Weighing {arrows} arrows…", err=True)
    factor = UNITS[unit].factor
    last = round(max(FARTHEST[unit], max(distances_m) / factor))
    grid_m = [step * factor for step in range(9, last + 1)]
    return calibrate(rig, observations, distances_m, grid_m, wish["seed"], wish["band"] / 100.0)


def answer_for(
    files: tuple[Path, Path | None], said: Said, where: Field | None, wish: Mapping[str, Any]
) -> tuple[Answer, Units]:
    """Calibration for distances as typed or usual, and the person's units."""
    rig, observations = load_rig_and_shots(*files)
    distances_m, units = asked_distances(said, where, metric=wish["metric"])
    answer = calibrated(rig, observations, distances_m, units.distance, wish)
    if answer.slips and files[1] is not None:
        text = load_text(files[1], MOST_BYTES, BadShots)
        records = TapeFiles(folder_of(files[1]))
        warn(mended_rows(text, file_name(files[1]), answer, records.tape))
    return answer, units


def asked_distances(
    said: Said, where: Field | None, *, metric: bool
) -> tuple[tuple[float, ...], Units]:
    """Distances as typed or usual; metres typed ask for metric answers, yards for others."""
    units = units_of(metric=metric)
    text = said.text(where.name) if where else ""
    usual = where.usual_in(units) if where else ""
    if not where or not (text or usual):
        return (COUNTED_FROM_M,), units
    asked = said.asked_distances(where.name, usual)
    return asked.distances_m, BY_DISTANCE.get(asked.unit, units) if text else units

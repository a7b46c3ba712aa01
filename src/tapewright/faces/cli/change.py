"""Change: a calibration carried over to another arrow, peep or string, and what confirms it.

Holds:  change; what a person does next at the command line; shots with which the new sheet was
        calibrated before.
Never:  what it says (questions/change.py).
"""

import shlex
from dataclasses import replace
from importlib import import_module
from pathlib import Path
from typing import Any

import click

from tapewright.faces.cli.input_files import (
    answer_for,
    calibrated,
    load_groups,
    load_rig_and_shots,
    warn,
)
from tapewright.faces.cli.question_command import Typed, asks
from tapewright.faces.cli.shared_options import (
    BAND,
    FORCE,
    HOUSE,
    JSON,
    METRIC,
    MORE,
    ON_SIGHT,
    OUT,
    PAPER,
    RIG,
    SEED,
    file_argument,
)
from tapewright.faces.cli.standard_streams import FILE, file_beside, is_read_in, write_files
from tapewright.faces.settings import today
from tapewright.ground.errors import OtherScale, TapewrightError
from tapewright.printing.print_record import Wish
from tapewright.questions.change import QUESTION as CHANGE
from tapewright.questions.change import Change, Ways
from tapewright.questions.question import Said, option
from tapewright.reading.text_file import file_name
from tapewright.services.calibrate import COUNTED_FROM_M, Answer
from tapewright.services.equip import Rig
from tapewright.words.unit_system import Units

NEXT = Ways(
    "see tapewright plan",
    "write them down and run this again with the new file of shots",
    "is the second one the copy in which you wrote the change?",
)
SHOTS_NAMES = ("{}.csv", "{}-shots.csv")  # beside a sheet, as for a batch


NEW_STRING = click.option(
    "--new-string", is_flag=True, help="String or cables were replaced, too: no sheet tells that."
)
TAPE = click.option(
    "--tape", is_flag=True, help="Print the new sight tape at once, as PDF and SVG."
)
KEPT = click.option(
    "--kept", "kept_file", type=FILE, default=None, metavar="KEPT.csv",
    help="Shots with which NEWRIG.toml was calibrated before, there and back. Default: NEWRIG.csv "
    "or NEWRIG-shots.csv beside it, if there is one.",
)  # fmt: skip
FILES = (
    RIG,
    file_argument("shots_file", "SHOTS.csv"),
    file_argument("new_rig_file", "NEWRIG.toml"),
    file_argument("new_shots_file", "[NEWSHOTS.csv]", required=False),
)


@asks(
    "change", CHANGE, FILES, more=(NEW_STRING, KEPT, TAPE, PAPER, OUT, FORCE),
    wishes=(METRIC, BAND, SEED, HOUSE, ON_SIGHT, MORE, JSON),
)  # fmt: skip
def change(said: Said, typed: Typed) -> tuple[Any, ...]:
    """A rig before and after a change, and its new tape."""
    files = (typed["rig_file"], typed["shots_file"])
    new_rig_file, new_shots_file = typed["new_rig_file"], typed["new_shots_file"]
    old, units = answer_for(files, said, CHANGE.fields[0], typed)
    rig, observations = load_rig_and_shots(new_rig_file, new_shots_file)
    places = {"new_rig": file_name(new_rig_file), "groups": file_name(new_shots_file or files[1])}
    said = Said(said.texts, lambda name: places.get(name, option(name)))
    before, back = _before(typed, rig, units)
    ways = replace(NEXT, back=back)
    asked = Change(old, rig, observations, ways, typed["new_string"], typed["seed"], before)
    try:
        found = CHANGE.ask(asked, said, units)
    except OtherScale as other:
        raise OtherScale(other.place, other.wrong, f"{other.mend}: tapewright fit") from None
    written: list[Any] = []
    if typed["tape"] or typed["out"]:
        stem = typed["out"] or file_beside(new_rig_file, "-tape")
        paper = import_module("tapewright.printing.tape")  # only who prints loads what draws
        wish = Wish(Said({"paper": typed["paper"]}), units)
        made = paper.PRINT.made_of(found.rigs.new, wish, today())
        formats = (*paper.PRINT.usual_formats, *paper.PRINT.beside)
        written = write_files(stem, paper.PRINT.files(made, formats))
    return found, units, written


def _before(typed: Typed, rig: Rig, units: Units) -> tuple[Answer | None, str]:
    """The calibration that the new sheet had before, and how it is taken up; None: none is known.

    A new string is another bow, whatever the sheet says.
    """
    new_rig_file, kept_file = typed["new_rig_file"], typed["kept_file"]
    shots_file = kept_file or _beside(new_rig_file, (typed["shots_file"], typed["new_shots_file"]))
    if shots_file is None or (typed["new_string"] and not kept_file):
        return None, ""
    try:
        observations, warnings = load_groups(shots_file, rig)
        before = calibrated(rig, observations, (COUNTED_FROM_M,), units.distance, typed)
    except TapewrightError as bad:
        if kept_file:
            raise
        warn((f"{shots_file.name} lies beside {new_rig_file.name} and cannot be used: {bad}",))
        return None, ""
    warn(warnings)
    if not observations:
        return None, ""
    house = ["--house", str(typed["house_file"])] if typed["house_file"] else []
    line = shlex.join(["tapewright", "fit", str(new_rig_file), str(shots_file), *house])
    return before, f"its calibration holds: {line}"


def _beside(rig_file: Path, others: tuple[Path | None, ...]) -> Path | None:
    """Shots beside a sheet, unless they are named already."""
    if is_read_in(rig_file):
        return None
    taken = [one.resolve() for one in others if one is not None]
    found = (rig_file.with_name(one.format(rig_file.stem)) for one in SHOTS_NAMES)
    return next((one for one in found if one.exists() and one.resolve() not in taken), None)

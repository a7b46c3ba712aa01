"""Change: a calibration carried over to another arrow, peep or string, and what confirms it.

Holds:  change; what a person does next at the command line.
Never:  what it says (questions/change.py).
"""

from importlib import import_module
from typing import Any

import click

from tapewright.faces.cli.files import answer_for, load_rig_and_shots, write_files
from tapewright.faces.cli.options import OUT, PAPER, RIG, file_argument
from tapewright.faces.cli.question_command import Typed, asks
from tapewright.faces.settings import today
from tapewright.ground.errors import OtherScale
from tapewright.printing.order import Wish
from tapewright.questions.change import QUESTION as CHANGE
from tapewright.questions.change import Change, Ways
from tapewright.questions.question import Said, option
from tapewright.reading.text_file import file_name

NEXT = Ways(
    "see tapewright plan",
    "write them down and run this again with the new file of shots",
    "is the second one the copy in which you wrote the change?",
)


NEW_STRING = click.option(
    "--new-string", is_flag=True, help="String or cables were replaced, too: no sheet tells that."
)
TAPE = click.option(
    "--tape", is_flag=True, help="Print the new sight tape at once, as PDF and SVG."
)
FILES = (
    RIG,
    file_argument("shots_file", "SHOTS.csv"),
    file_argument("new_rig_file", "NEWRIG.toml"),
    file_argument("new_shots_file", "[NEWSHOTS.csv]", required=False),
)


@asks("change", CHANGE, FILES, more=(NEW_STRING, TAPE, PAPER, OUT))
def change(said: Said, typed: Typed) -> tuple[Any, ...]:
    """A rig before and after a change, and its new tape."""
    files = (typed["rig_file"], typed["shots_file"])
    new_rig_file, new_shots_file = typed["new_rig_file"], typed["new_shots_file"]
    old, units = answer_for(files, said, CHANGE.fields[0], typed)
    rig, observations = load_rig_and_shots(new_rig_file, new_shots_file)
    places = {"new_rig": file_name(new_rig_file), "groups": file_name(new_shots_file or files[1])}
    said = Said(said.texts, lambda name: places.get(name, option(name)))
    asked = Change(old, rig, observations, NEXT, typed["new_string"], typed["seed"])
    try:
        found = CHANGE.ask(asked, said, units)
    except OtherScale as other:
        raise OtherScale(other.place, other.wrong, f"{other.mend}: tapewright fit") from None
    written: list[Any] = []
    if typed["tape"] or typed["out"]:
        stem = typed["out"] or new_rig_file.with_name(f"{new_rig_file.stem}-tape")
        paper = import_module("tapewright.printing.tape")  # only who prints loads what draws
        wish = Wish(Said({"paper": typed["paper"]}), units)
        made = paper.PRINT.made_of(found.rigs.new, wish, today())
        written = write_files(stem, paper.PRINT.files(made, paper.PRINT.usual_formats))
    return found, units, written

"""Setup: whether a bow that was taken apart is set up as recorded; its card on paper.

Holds:  setup.
Never:  what it says (questions/setup.py), how it is printed (printing/setup.py).
"""

from dataclasses import replace
from importlib import import_module
from pathlib import Path
from typing import Any

import click

from tapewright.faces.cli.input_files import answer_for, load_groups, warn
from tapewright.faces.cli.question_command import Typed, asks
from tapewright.faces.cli.shared_options import FORCE, PAPER, RIG, SHOTS
from tapewright.faces.cli.standard_streams import OUT, write_files
from tapewright.faces.settings import today
from tapewright.ground.errors import BadInput
from tapewright.questions.question import Said
from tapewright.questions.setup import DISTANCES, NEAR
from tapewright.questions.setup import QUESTION as SETUP
from tapewright.reading.text_file import file_name
from tapewright.services.equip import Rig
from tapewright.services.reassemble import Rebuilt
from tapewright.services.record_groups import Observation

CARD = click.option(
    "--card", "card_file", type=OUT, default=None,
    help="Write the set-up card, one page to measure by, into this PDF, too.",
)  # fmt: skip


@asks("setup", SETUP, (RIG, SHOTS), more=(CARD, PAPER, FORCE))
def setup(said: Said, typed: Typed) -> tuple[Any, ...]:
    """Set-up on the screen, and its card on paper."""
    files = (typed["rig_file"], typed["shots_file"])
    answer, units = answer_for(files, said, DISTANCES, typed)
    near = _near(typed[NEAR.name], answer.rig)
    said = replace(said, texts={**said.texts, NEAR.name: None})
    found = SETUP.ask(Rebuilt(answer, near=near), said, units)
    if typed["card_file"] is None:
        return found, units
    printing = import_module("tapewright.printing.setup")  # only who prints loads what draws
    rig = answer.rig
    files = printing.setup_files(found.record, rig, units, today(), typed["paper"])
    return found, units, write_files(typed["card_file"], files, "--card")


def _near(file: Path | None, rig: Rig) -> tuple[Observation, ...]:
    """The groups shot since; tapes that they name have their records beside them."""
    if file is None:
        return ()
    near, warnings = load_groups(file, rig)
    warn(warnings)
    if not near:
        raise BadInput(file_name(file), "there are no arrows in it", "Shoot a near group first")
    return near

"""Setup: whether a bow that was taken apart is set up as recorded; its card on paper.

Holds:  setup.
Never:  what it says (questions/setup.py), how it is printed (printing/setup.py).
"""

from importlib import import_module
from typing import Any

import click

from tapewright.faces.cli.question_command import Typed, ask, asks
from tapewright.faces.cli.shared_options import FORCE, PAPER, RIG, SHOTS
from tapewright.faces.cli.standard_streams import OUT, write_files
from tapewright.faces.settings import today
from tapewright.questions.question import Said
from tapewright.questions.setup import QUESTION as SETUP

CARD = click.option(
    "--card", "card_file", type=OUT, default=None,
    help="Write the set-up card, one page to measure by, into this PDF, too.",
)  # fmt: skip


@asks("setup", SETUP, (RIG, SHOTS), more=(CARD, PAPER, FORCE))
def setup(said: Said, typed: Typed) -> tuple[Any, ...]:
    """Set-up on the screen, and its card on paper."""
    found, units = ask(SETUP, said, typed)
    if typed["card_file"] is None:
        return found, units
    printing = import_module("tapewright.printing.setup")  # only who prints loads what draws
    rig = found.reassembly.answer.rig
    files = printing.setup_files(found.record, rig, units, today(), typed["paper"])
    return found, units, write_files(typed["card_file"], files, "--card")

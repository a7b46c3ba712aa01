"""Card: what the arrow does at each distance, on the level and in calm air; also on paper.

Holds:  card.
Never:  what it says (questions/card.py), how it is printed (printing/card.py).
"""

from importlib import import_module
from pathlib import Path
from typing import Any

import click

from tapewright.faces.cli import standard_streams
from tapewright.faces.cli.question_command import Typed, ask, asks
from tapewright.faces.cli.shared_options import FORCE, OUT, PAPER, RIG, SHOTS, formats_option
from tapewright.faces.cli.standard_streams import file_beside, write_files
from tapewright.faces.settings import today
from tapewright.questions.card import QUESTION as CARD
from tapewright.questions.card import card_csv
from tapewright.questions.question import Said
from tapewright.services.stops import refuse_stopped

CSV = click.option(
    "--csv", "csv_file", type=standard_streams.OUT, default=None,
    help="Write the card as CSV into this file, too; - is standard output.",
)  # fmt: skip
SIZES = click.option(
    "--print", "sizes", multiple=True, type=click.Choice(["pocket", "page"]),
    help="Print it: a pocket card to fold, a full page, or both.",
)  # fmt: skip
FORMATS = formats_option(("pdf", "svg"), "Of the print; may be given several times. Default: pdf.")


@asks("card", CARD, (RIG, SHOTS), more=(CSV, SIZES, FORMATS, PAPER, OUT, FORCE))
def card(said: Said, typed: Typed) -> tuple[Any, ...]:
    """Range card on the screen, as CSV and on paper."""
    made, units = ask(CARD, said, typed)
    csv_file, written = typed["csv_file"], list[Path]()
    is_printed = typed["sizes"] or typed["formats"] or typed["out"]
    if csv_file is not None or is_printed:
        refuse_stopped(made.answer.rig)
    if csv_file is not None:
        written += write_files(csv_file, ((".csv", card_csv(made, units).encode()),), "--csv")
    if is_printed:
        paper = import_module("tapewright.printing.card")  # only who prints loads what draws
        look = (typed["paper"], typed["sizes"], typed["formats"])
        stem = typed["out"] or file_beside(typed["rig_file"], "-card")
        written += write_files(stem, paper.card_files(made, units, today(), *look))
    return made, units, written

"""Give: a bow's sheet without its person, for whoever buys, borrows or learns on it.

Holds:  the command ``give``.
Never:  what is left out (reading/anonymous_sheet.py), what is told (faces/giving_sentences.py).
"""

from pathlib import Path

import click

from tapewright.faces.cli import standard_streams
from tapewright.faces.cli.shared_options import FORCE, JSON, RIG, with_options
from tapewright.faces.cli.standard_streams import STANDARD, refuse_old, say, write_one
from tapewright.faces.cli.terminal_output import echo_json
from tapewright.faces.giving_sentences import given_json, given_lines
from tapewright.ground.errors import BadRigSheet
from tapewright.reading.anonymous_sheet import given_sheet
from tapewright.reading.text_file import load_text


@click.command()
@with_options(RIG)
@click.argument("out_file", metavar="BOW.toml", type=standard_streams.OUT)
@click.option("--name", default=None, help="What the taker calls it; default: the file's name.")
@click.option(
    "--record", "record_file", default=None, metavar="FILE", type=standard_streams.FILE,
    help="Its set-up record, to go along: written beside BOW.toml, as BOW-setup.toml.",
)  # fmt: skip
@with_options(FORCE, JSON)
def give(
    rig_file: Path,
    out_file: Path,
    name: str | None,
    record_file: Path | None,
    force: bool,  # noqa: ARG001 — heard where files are written
    as_json: bool,
) -> None:
    """Write a bow's sheet without its person, to sell or lend it, or for a pupil.

    What hangs on other hands is left out: names, comments, speed, eye, checks, place. The taker is
    asked anew what must be known before the first arrow, and begins without zero and trust.
    """
    sheet = load_text(rig_file, 1_000_000, BadRigSheet)
    called = name or ("Given bow" if out_file == STANDARD else out_file.stem)
    record = "" if record_file is None else load_text(record_file, 1_000_000, BadRigSheet)
    given = given_sheet(sheet, called, record)
    beside = out_file.with_name(f"{out_file.stem}-setup.toml")
    if given.record and out_file != STANDARD:
        refuse_old(str(out_file), out_file, given.text.encode())
        refuse_old(str(beside), beside, given.record.encode())
    written = write_one(out_file, given.text.encode(), str(out_file))
    if given.record and written:
        written += write_one(beside, given.record.encode(), str(beside))
    if as_json:
        echo_json(given_json(given))
        return
    for path in written:
        say(f"Wrote {path}")
    say("\n".join(given_lines(given)))

"""Print command: a print's record becomes a command's options, and its files.

Holds:  the options of a print; what was typed as a wish; files written and told of.
Never:  what may be said of a print or how it is planned (printing).
"""

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import click

from tapewright.faces.cli.asking import load_rig, say_json, today, warn, write_files
from tapewright.faces.cli.options import FILE, OUT, with_options
from tapewright.faces.cli.question_command import options_of, said_by
from tapewright.faces.cli.tables import show
from tapewright.printing.look import PROOF, read_proof
from tapewright.printing.order import Print, Wish
from tapewright.services.equip import Rig
from tapewright.words.units import Units

SOME_RIG = click.argument("rig_file", metavar="[RIG.toml]", type=FILE, required=False)


def print_options(
    made: Print[Any, Any, Any], without: tuple[str, ...] = ()
) -> Callable[[Any], Any]:
    """A command's options for what may be said of a print, and where and how it is written."""
    fields = tuple(field for field in made.fields if field.name not in without)
    usual = " and ".join(made.usual_formats)
    formats = click.option(
        "--format", "formats", multiple=True, type=click.Choice(made.formats),
        help=f"May be given several times. Default: {usual}.",
    )  # fmt: skip
    return with_options(options_of((*fields, PROOF)), OUT, formats)


def wish_of(made: Print[Any, Any, Any], typed: Mapping[str, Any], units: Units) -> Wish:
    """What was typed of a print; its options alone are read."""
    said = said_by((*made.fields, PROOF), typed)
    return Wish(said, units, read_proof(said))


def some_rig(rig_file: Path | None) -> Rig | None:
    """The rig of a sheet, if one was named."""
    if rig_file is None:
        return None
    rig, warnings = load_rig(rig_file)
    warn(warnings)
    return rig


def hand_over(
    to_print: Print[Any, Any, Any],
    of: object,
    wish: Wish,
    rig_file: Path | None,
    typed: Mapping[str, Any],
) -> None:
    """Plan a print, write its files beside the rig or where it was said, and tell of them."""
    made = to_print.made_of(of, wish, today())
    name = to_print.name
    beside = rig_file.with_name(f"{rig_file.stem}-{name}") if rig_file else Path(name)
    files = to_print.files(made, typed["formats"] or to_print.usual_formats)
    written = write_files(typed["out"] or beside, files)
    if typed.get("as_json") and to_print.write:
        say_json(to_print.write(made) | {"files": [str(path) for path in written]})
        return
    show(to_print.tell(made))
    for path in written:
        click.echo(f"Wrote {path}")

"""Print command: a print's record becomes a command with its options, its files and its help.

Holds:  the command of a print; files written and told of.
Never:  what may be said of a print or how it is planned (printing).
"""

from collections.abc import Mapping
from importlib import import_module
from pathlib import Path
from typing import Any

import click

from tapewright.faces.cli.input_files import (
    calibrated,
    load_rig,
    load_rig_and_shots,
    say_json,
    units_of,
    warn,
    write_files,
)
from tapewright.faces.cli.options import (
    BAND,
    JSON,
    METRIC,
    OUT,
    RIG,
    SEED,
    SHOTS,
    file_argument,
    formats_option,
    with_options,
)
from tapewright.faces.cli.question_command import options_of, said_by
from tapewright.faces.cli.tables import show
from tapewright.faces.settings import today
from tapewright.printing.look import PROOF, read_proof
from tapewright.printing.order import Print, Wish
from tapewright.printing.tape import SPAN, asked_ticks
from tapewright.services.calibrate import Answer
from tapewright.services.equip import Rig
from tapewright.words.quantities import read_distances

AnyPrint = Print[Any, Any, Any]
SOME_RIG = file_argument("rig_file", "[RIG.toml]", required=False)


def print_command(name: str) -> click.Command:
    """The command of a print."""
    to_print: AnyPrint = import_module(f"tapewright.printing.{name}").PRINT
    usual = " and ".join(to_print.usual_formats)
    formats = formats_option(to_print.formats, f"May be given several times. Default: {usual}.")
    wishes = [METRIC] if to_print.asks_units else []
    wishes += [BAND, SEED] if to_print.is_of_answer else []
    wishes += [JSON] if to_print.write else []

    @click.command(name, help=f"{to_print.about}\n\n{to_print.more}")
    @with_options(*((RIG, SHOTS) if to_print.is_of_answer else (SOME_RIG,)))
    @options_of((*to_print.fields, PROOF))
    @with_options(OUT, formats, *wishes)
    def command(rig_file: Path | None, shots_file: Path | None = None, **typed: Any) -> None:  # noqa: ANN401 — options, handed on by name
        said = said_by((*to_print.fields, PROOF), typed)
        wish = Wish(said, units_of(metric=typed.get("metric", False)), read_proof(said))
        if to_print.is_of_answer and rig_file is not None:
            of: Answer | Rig | None = _answer((rig_file, shots_file), wish, typed)
        else:
            of = _some_rig(rig_file)
        made = to_print.made_of(of, wish, today())
        beside = rig_file.with_name(f"{rig_file.stem}-{name}") if rig_file else Path(name)
        files = to_print.files(made, typed["formats"] or to_print.usual_formats)
        _tell(to_print, made, write_files(typed["out"] or beside, files), typed)

    return command


def _answer(files: tuple[Path, Path | None], wish: Wish, typed: Mapping[str, Any]) -> Answer:
    """Calibration of a rig in the units of the ticks typed."""
    rig, observations, warnings = load_rig_and_shots(*files)
    warn(warnings)
    asked_m, units = asked_ticks(wish.said, wish.units)
    wanted_m = asked_m or read_distances(SPAN.usual_in(units), SPAN.name).distances_m
    return calibrated(rig, observations, wanted_m, units.distance, typed)


def _some_rig(rig_file: Path | None) -> Rig | None:
    """The rig of a sheet, if one was named."""
    if rig_file is None:
        return None
    rig, warnings = load_rig(rig_file)
    warn(warnings)
    return rig


def _tell(to_print: AnyPrint, made: Any, written: list[Path], typed: Mapping[str, Any]) -> None:  # noqa: ANN401 — of the print's own kind
    if typed.get("as_json") and to_print.write:
        say_json(to_print.write(made) | {"files": [str(path) for path in written]})
        return
    show(to_print.tell(made))
    for path in written:
        click.echo(f"Wrote {path}")

"""Print command: a print's record becomes a command with its options, its files and its help.

Holds:  the command of a print; files written and told of.
Never:  what may be said of a print or how it is planned (printing).
"""

from collections.abc import Callable, Mapping
from functools import partial
from importlib import import_module
from pathlib import Path
from typing import Any

import click

from tapewright.faces.cli.input_files import calibrated, load_rig_and_shots, units_of
from tapewright.faces.cli.question_command import options_of, said_by
from tapewright.faces.cli.shared_options import (
    BAND,
    FORCE,
    HOUSE,
    JSON,
    METRIC,
    OUT,
    SEED,
    SHOTS,
    TAPE,
    file_argument,
    formats_option,
    with_options,
)
from tapewright.faces.cli.standard_streams import STANDARD, file_beside, write_files
from tapewright.faces.cli.terminal_output import answer
from tapewright.faces.cli.typed_marks_options import (
    KIND,
    MARK,
    of_marks,
    rig_and_marks,
    typed_marks,
)
from tapewright.faces.settings import today
from tapewright.printing.print_fields import PROOF, read_proof
from tapewright.printing.print_record import Print, Wish
from tapewright.printing.tape import asked_ticks
from tapewright.reading.typed_marks import TypedMark
from tapewright.services.calibrate import Answer
from tapewright.services.equip import Rig
from tapewright.words.quantity_parser import read_distances

SOME_RIG = file_argument("rig_file", "[RIG.toml]", required=False)


def print_command(name: str) -> click.Command:
    """The command of a print."""
    to_print: Print[Any, Any, Any] = import_module(f"tapewright.printing.{name}").PRINT
    fields, usual = (*to_print.fields, PROOF), " and ".join(to_print.usual_formats)
    formats = formats_option(to_print.formats, f"May be given several times. Default: {usual}.")
    wishes = [MARK, KIND] if to_print.is_of_answer else []
    wishes += [METRIC] if to_print.asks_units else []
    wishes += [BAND, SEED, HOUSE, TAPE] if to_print.is_of_answer else []
    wishes += [JSON] if to_print.write else []
    files = (SOME_RIG, SHOTS) if to_print.is_of_answer else (SOME_RIG,)

    @click.command(name, help=f"{to_print.about}\n\n{to_print.more}")
    @with_options(*files)
    @options_of(fields)
    @with_options(OUT, FORCE, formats, *wishes)
    def command(rig_file: Path | None, **typed: Any) -> None:  # noqa: ANN401 — options, handed on by name
        said = said_by(fields, typed)
        marks, units = typed_marks(typed, units_of(metric=typed.get("metric", False)))
        wish = Wish(said, units, read_proof(said))
        answered = _of(rig_file, wish, typed, marks) if to_print.is_of_answer else None
        made = to_print.made_of(answered or _rig(rig_file), wish, today())
        out = typed["out"] or (file_beside(rig_file, f"-{name}") if rig_file else Path(name))
        formats = typed["formats"] or to_print.usual_formats
        more = () if out == STANDARD else to_print.beside
        files = to_print.files(made, tuple(dict.fromkeys((*formats, *more))))
        written = write_files(out, files)
        minds, told = of_marks(answered, units, rig_file) if answered and marks else ((), {})
        write = to_print.write if typed.get("as_json") else None
        as_json = write and partial(_written, write, made, told)
        answer(lambda: (*to_print.tell(made), *minds), as_json, written)

    return command


def _written(
    write: Callable[[Any], dict[str, Any]],
    made: Any,  # noqa: ANN401 — by the print
    told: dict[str, Any],
) -> dict[str, Any]:
    return write(made) | told


def _rig(rig_file: Path | None) -> Rig | None:
    return None if rig_file is None else load_rig_and_shots(rig_file, None)[0]


def _of(
    rig_file: Path | None, wish: Wish, typed: Mapping[str, Any], marks: tuple[TypedMark, ...]
) -> Answer:
    """The calibration of a print, in the units of the ticks typed."""
    rig, observations = rig_and_marks(rig_file, typed, marks)
    asked_m, units = asked_ticks(wish.said, wish.units)
    wanted_m = asked_m or read_distances(f"20,60 {units.distance}", "").distances_m
    return calibrated(rig, observations, wanted_m, units.distance, typed)

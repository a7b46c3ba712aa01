"""Print command: a print's record becomes a command with its options, its files and its help.

Holds:  the command of a print; files written and told of.
Never:  what may be said of a print or how it is planned (printing).
"""

from collections.abc import Mapping
from functools import partial
from importlib import import_module
from pathlib import Path
from typing import Any

import click

from tapewright.faces.cli.files import calibrated, load_rig_and_shots, units_of, write_files
from tapewright.faces.cli.options import (
    BAND,
    HOUSE,
    JSON,
    METRIC,
    OUT,
    RIG,
    SEED,
    SHOTS,
    TAPE,
    file_argument,
    formats_option,
    with_options,
)
from tapewright.faces.cli.question_command import options_of, said_by
from tapewright.faces.cli.tables import answer
from tapewright.faces.settings import today
from tapewright.printing.look import PROOF, read_proof
from tapewright.printing.order import Print, Wish
from tapewright.printing.tape import asked_ticks
from tapewright.services.calibrate import Answer
from tapewright.services.equip import Rig
from tapewright.words.quantities import read_distances

SOME_RIG = file_argument("rig_file", "[RIG.toml]", required=False)


def print_command(name: str) -> click.Command:
    """The command of a print."""
    to_print: Print[Any, Any, Any] = import_module(f"tapewright.printing.{name}").PRINT
    fields, usual = (*to_print.fields, PROOF), " and ".join(to_print.usual_formats)
    formats = formats_option(to_print.formats, f"May be given several times. Default: {usual}.")
    wishes = [METRIC] if to_print.asks_units else []
    wishes += [BAND, SEED, HOUSE, TAPE] if to_print.is_of_answer else []
    wishes += [JSON] if to_print.write else []

    @click.command(name, help=f"{to_print.about}\n\n{to_print.more}")
    @with_options(*((RIG, SHOTS) if to_print.is_of_answer else (SOME_RIG,)))
    @options_of(fields)
    @with_options(OUT, formats, *wishes)
    def command(rig_file: Path | None, **typed: Any) -> None:  # noqa: ANN401 — options, handed on by name
        said = said_by(fields, typed)
        wish = Wish(said, units_of(metric=typed.get("metric", False)), read_proof(said))
        made = to_print.made_of(_of(rig_file, wish, typed), wish, today())
        beside = rig_file.with_name(f"{rig_file.stem}-{name}") if rig_file else Path(name)
        formats = typed["formats"] or to_print.usual_formats
        files = to_print.files(made, tuple(dict.fromkeys((*formats, *to_print.beside))))
        written = write_files(typed["out"] or beside, files)
        write = to_print.write if typed.get("as_json") else None
        answer(partial(to_print.tell, made), write and partial(write, made), written)

    return command


def _of(rig_file: Path | None, wish: Wish, typed: Mapping[str, Any]) -> Answer | Rig | None:
    """What a print is made of: a calibration in the units of the ticks typed, a rig, or nothing."""
    if rig_file is None:
        return None
    rig, observations = load_rig_and_shots(rig_file, typed.get("shots_file"))
    if "seed" not in typed:
        return rig
    asked_m, units = asked_ticks(wish.said, wish.units)
    wanted_m = asked_m or read_distances(f"20,60 {units.distance}", "").distances_m
    return calibrated(rig, observations, wanted_m, units.distance, typed)

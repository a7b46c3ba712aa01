"""Stuck: write down which tape is on the sight, which strip, and where it was laid.

Holds:  stuck: a record made anew, from that of a print, or of ticks looked up on the sight.
Never:  what a record holds (services/stick_tape.py), how a strip is found (rebuild_tape.py).
"""

from dataclasses import replace
from pathlib import Path
from typing import Any

import click

from tapewright.faces.cli import standard_streams
from tapewright.faces.cli.command_list import say_next
from tapewright.faces.cli.input_files import calibrated, load_rig_and_shots, units_of
from tapewright.faces.cli.shared_options import (
    BAND,
    FORCE,
    HOUSE,
    JSON,
    METRIC,
    RIG,
    SEED,
    SHOTS,
    TAPE,
    with_options,
)
from tapewright.faces.cli.standard_streams import FILE, refuse_old, say, write_files
from tapewright.faces.cli.terminal_output import echo_json
from tapewright.faces.settings import today
from tapewright.ground.errors import BadInput
from tapewright.ground.units import UNITS
from tapewright.reading.tape_files import load_record
from tapewright.reading.typed_marks import read_mark
from tapewright.services.rebuild_tape import record_through
from tapewright.services.stick_tape import (
    Laying,
    Tape,
    TapeRecord,
    record_dict,
    record_text,
    stick,
)
from tapewright.services.usual_wish import tape_end
from tapewright.words.quantity_parser import read_quantity

NEAREST = 5  # first tick of a tape
TICKS_MEND = 'Write such as "20 yd 15.6 mm, 60 yd 46.1 mm"'


@click.command()
@with_options(RIG, SHOTS)
@click.option(
    "--of",
    "record_file",
    type=FILE,
    default=None,
    metavar="TAPE.json",
    help="Record beside the print that was cut up.",
)
@click.option(
    "--strip",
    type=click.IntRange(min=1),
    default=None,
    help="Which strip of it, from the left. Default: as the record says.",
)
@click.option(
    "--ticks",
    default="",
    metavar="LIST",
    help='Ticks with the readings at which they stand, as "20 yd 15.6 mm, 60 yd 46.1 mm": '
    "one lays a strip with a record elsewhere, two tell one whose record is lost. "
    'With --tape also as the tape shows it that was on: "20 yd 20.5 yd".',
)
@click.option(
    "--sticking",
    default="",
    metavar="LENGTH",
    help="How well it lies there, one standard deviation. Usual: 0.3 mm.",
)
@click.option(
    "--by-shooting",
    "groups",
    default=None,
    metavar="GROUPS",
    help="It was laid by these groups' hits, and no reading tells where: their names, "
    "parted by commas, or - for none that is written down.",
)
@click.option(
    "--name",
    default="",
    metavar="NAME",
    help="Of this sticking; every one needs its own. Default: the file's.",
)
@click.option(
    "--out",
    type=standard_streams.OUT,
    required=True,
    metavar="STUCK.tape.json",
    help="Where to write; - is standard output.",
)
@FORCE
@with_options(METRIC, BAND, SEED, HOUSE, TAPE, JSON)  # fmt: skip
def stuck(rig_file: Path, shots_file: Path | None, **typed: Any) -> None:  # noqa: ANN401 — options, read by name
    """Write down which tape is on the sight, which strip, and where it was laid.

    The record beside a print says that its middle strip was stuck on where the sheet says. Was it
    another strip, another place, or was it peeled off and stuck on again: that is another scale,
    and this writes its record. A tape whose record is lost, or older than records, is told by two
    of its ticks and what the scale shows there. Name with --tape what was on the sight before, if
    the readings are told on that.
    """
    out: Path = typed["out"]
    refuse_old("--out", out)
    name = typed["name"] or out.name.partition(".")[0].strip("-") or "tape"
    record = _record(rig_file, shots_file, name, typed)
    if typed["sticking"]:
        sd_m = read_quantity(typed["sticking"], "length", "--sticking", "0.3 mm")
        record = replace(record, stuck=replace(record.stuck, sd_m=sd_m))
        record.tape()
    on = record.stuck
    written = write_files(out, ((".tape.json", record_text(record).encode()),))
    if typed["as_json"]:
        echo_json(record_dict(record) | {"files": [str(one) for one in written]})
        return
    say(f"On the sight: {record.names[on.strip - 1]}, as {name}.")
    for path in written:
        say(f"Wrote {path}: name it with --tape from now on, or in a column tape.")
    say_next(written)


def _record(
    rig_file: Path, shots_file: Path | None, name: str, typed: dict[str, Any]
) -> TapeRecord:
    """What is on the sight: a printed strip, or one that two ticks tell."""
    rig, observations = load_rig_and_shots(rig_file, shots_file)
    ticks = _ticks(typed["ticks"], rig.sight.tape, metric=typed["metric"])
    by = None
    if typed["groups"] is not None:
        names = (one.strip() for one in typed["groups"].split(","))
        by = tuple(one for one in names if one not in ("", "-"))
    if typed["record_file"] is not None:
        record = load_record(typed["record_file"])
        if len(ticks) > 1:
            wrong = "a strip with a record is laid by one tick"
            raise BadInput("--ticks", wrong, "Tell one, or leave --of out")
        tick_m, at_m = ticks[0] if ticks else (None, None)
        return stick(record, rig, name, Laying(typed["strip"], tick_m, at_m, by=by))
    if len(ticks) < 2:
        wrong = "neither a record nor two ticks tell what is on the sight"
        raise BadInput("--ticks", wrong, f"{TICKS_MEND}, or name the record with --of")
    unit = units_of(metric=typed["metric"]).distance
    answer = calibrated(rig, observations, (ticks[0][0],), unit, typed)
    distances = tuple(range(NEAREST, tape_end(answer, UNITS[unit].factor) + 1))
    found = record_through(answer, unit, distances, ticks, today(), is_placed=by is None)
    return stick(found, rig, name, Laying(by=by))


def _ticks(text: str, on: Tape | None, *, metric: bool) -> list[tuple[float, float]]:
    """Ticks and where they stand, [m] both; that in mm, or as the tape shows it that is on."""
    parts = filter(None, (one.strip() for one in text.split(",")))
    unit = "m" if metric else "yd"
    return [read_mark(one, "--ticks", unit, "tick", TICKS_MEND, on)[:2] for one in parts]

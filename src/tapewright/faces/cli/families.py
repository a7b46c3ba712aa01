"""Families: the command that prints a set of ready strips for a shop or a bow maker.

Heavy imports stand inside the command, so that help and mistakes answer at once.

Holds:  family, and how its options are read.
Never:  formulas, drawing.
"""

# ruff: noqa: PLC0415 — see above; and click hands flags over by name
from __future__ import annotations

import datetime as dt
import json
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from tapewright import __version__
from tapewright.faces.cli.asking import asked_distances, load_rig, units_of, warn, write_files
from tapewright.faces.cli.options import (
    FAR_END,
    FILE,
    FORMAT,
    JSON,
    LENGTH,
    METRIC,
    OUT,
    PAPER,
    POINTER,
    PROOF,
    WIDTH,
    with_options,
)
from tapewright.ground.errors import BadInput

if TYPE_CHECKING:
    from tapewright.services.equip import Rig
    from tapewright.services.print_family import FamilyWords, PlannedFamily
    from tapewright.words.units import Units

CHOOSE_FIRST = (
    "No strip is right before it was chosen by two zeroed marks and proved by arrows at three "
    "distances."
)
USUAL_MASS_KG, USUAL_SHAFT_M = 0.027, 0.006  # of a sheet that is not there: 420 gr, 6 mm


@click.command()
@click.argument("rig_file", metavar="[RIG.toml]", type=FILE, required=False)
@click.option(
    "--spans", default=None, metavar="LIST",
    help='Spans of the strips, such as "24:40:0.5mm"; default: each half millimetre for bows a '
    "tenth slower and faster than the rig's.",
)  # fmt: skip
@click.option(
    "--between", "span", default=None, metavar="NEAR,FAR",
    help='Between which distances spans are told; default "20,60".',
)  # fmt: skip
@click.option(
    "--distances", default=None, metavar="LIST",
    help='Ticks; default "20:80:1yd", or "20:70:1m".',
)  # fmt: skip
@click.option(
    "--number-every", default="5", show_default=True, type=click.Choice(["5", "10"]),
    help="Which ticks get a number, where they fit.",
)  # fmt: skip
@with_options(WIDTH, LENGTH, POINTER, FAR_END, PAPER, PROOF, OUT, FORMAT, METRIC, JSON)
def family(
    rig_file: Path | None,
    spans: str | None,
    distances: str | None,
    metric: bool,
    out: Path | None,
    formats: tuple[str, ...],
    as_json: bool,
    **look: Any,  # noqa: ANN401 — options of the look, handed on by name
) -> None:
    """Print a family of ready strips for one kind of sight, told apart by their span.

    RIG.toml tells sight, arrow and archer; the strips are for bows that differ from it in launch
    speed alone. Beside the sheets stands a table: "tapewright strips RIG SHOTS --set TABLE.csv"
    says which strip is an archer's.
    """
    from tapewright.faces.cli.orders import tape_order
    from tapewright.faces.strips_table import strips_csv, strips_json
    from tapewright.services.print_family import plan_family, print_family, usual_spans

    rig = _rig(rig_file)
    units = units_of(metric=metric)
    usual = "20:70:1m" if metric else "20:80:1yd"
    ticks_m, units = asked_distances(distances, usual, units)
    order = tape_order(rig, _in_units(ticks_m, units), units, look)
    wanted_mm = usual_spans(rig, order) if spans is None else read_spans(spans)
    plan = plan_family(rig, order, wanted_mm)
    today = dt.datetime.now().astimezone().date().isoformat()
    files = print_family(plan, _words(plan, units, today), formats or ("pdf",))
    speed = units.speed
    table = json.dumps(strips_json(plan, speed), indent=1, ensure_ascii=False) + "\n"
    stem = out or (rig_file or Path("strips")).with_name(
        f"{rig_file.stem}-family" if rig_file else "family"
    )
    tables = ((".csv", strips_csv(plan).encode()), (".json", table.encode()))
    written = write_files(stem, (*files, *tables))
    if as_json:
        click.echo(table, nl=False)
        return
    click.echo(_said(plan, units))
    for path in written:
        click.echo(f"Wrote {path}")


def read_spans(text: str) -> tuple[float, ...]:
    """Spans as typed: a list, or first:last:step, with one unit at the end. [mm]"""
    from tapewright.services.print_family import MOST_STRIPS
    from tapewright.words.quantities import read_quantity
    from tapewright.words.unit_names import quoted

    bare = text.strip()
    number = bare.rstrip("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ")
    unit = bare[len(number) :] or "mm"
    parts = [
        1e3 * read_quantity(f"{part} {unit}", "length", "--spans", "24:40:0.5mm")
        for part in number.replace(":", ",").split(",")
    ]
    if ":" not in number:
        return tuple(round(part, 6) for part in parts)
    mend = f"Write first, last and step, as 24:40:0.5mm, for {MOST_STRIPS} strips or less"
    if len(parts) != 3 or "," in number or parts[2] <= 0.0 or parts[1] < parts[0]:
        raise BadInput("--spans", f"{quoted(text)} is not first:last:step", mend)
    first, last, step = parts
    count = int((last - first) / step + 1e-9) + 1 if step > (last - first) / MOST_STRIPS else None
    if count is None:
        raise BadInput("--spans", f"{quoted(text)} asks for too many strips", mend)
    return tuple(round(first + place * step, 6) for place in range(count))


def _rig(rig_file: Path | None) -> Rig:
    from tapewright.services.equip import Arrow, Belief, Rig

    if rig_file is None:
        return Rig("Usual bow", Arrow(Belief(USUAL_MASS_KG), USUAL_SHAFT_M))
    rig, warnings = load_rig(rig_file)
    warn(warnings)
    return replace(rig, sight=replace(rig.sight, pins_below_first_m=()))  # the first pin's strips


def _in_units(distances_m: tuple[float, ...], units: Units) -> tuple[float, ...]:
    from tapewright.words.quantities import in_unit

    return tuple(round(in_unit(one, units.distance), 6) for one in distances_m)


def _said(plan: PlannedFamily, units: Units) -> str:
    """What was printed, in a sentence."""
    first, last = plan.spans_mm[0], plan.spans_mm[-1]
    fast, slow = (_speed(float(plan.speed_mps[end]), units) for end in (0, -1))
    return (
        f"{len(plan.spans_mm)} strips, spans {first:g} to {last:g} mm between {_between(plan)}: "
        f"bows of {slow} to {fast}."
    )


def _between(plan: PlannedFamily) -> str:
    near, far = plan.order.span
    return f"{near:g} and {far:g} {plan.order.unit}"


def _speed(speed_mps: float, units: Units) -> str:
    from tapewright.words.quantities import format_quantity

    return format_quantity(speed_mps, units.speed, 0)


def _words(plan: PlannedFamily, units: Units, date: str) -> FamilyWords:
    from tapewright.faces.strips_table import strip_name
    from tapewright.services.print_family import FamilyWords
    from tapewright.words.answer import SAFETY

    count, (near, far) = len(plan.spans_mm), plan.order.span
    fast, slow = (_speed(float(plan.speed_mps[end]), units) for end in (0, -1))
    return FamilyWords(
        title=f"{plan.rig.name}: ready strips",
        subtitle="Strips in metres" if plan.order.unit == "m" else "Strips in yards",
        strip_names=tuple(
            f"{place} of {count}: {near:g}–{far:g} {strip_name(span)}"
            for place, span in enumerate(plan.spans_mm, 1)
        ),
        notes=(
            f"{count} strips by their span between {_between(plan)}; printed {date}",
            f"For bows of {slow} to {fast} that differ from the sheet in launch speed alone",
            *_proof_note(plan),
            f"Tapewright {__version__}",
        ),
        cautions=(
            CHOOSE_FIRST,
            *SAFETY[:4],
        ),
    )


def _proof_note(plan: PlannedFamily) -> tuple[str, ...]:
    if plan.order.proof_mm is None:
        return ()
    across, down = plan.order.proof_mm
    return (f"Only for a printer whose proof rulers measured {across:g} and {down:g} mm",)

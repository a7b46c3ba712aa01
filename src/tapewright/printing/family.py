"""Family: print a family of ready strips for one kind of sight, told apart by their span.

Holds:  its fields; spans as typed; the order; its sentences; the table that ``strips --set``
        reads, and JSON; the print.
Never:  how a family is planned (services/print_family.py), reading such a table, drawing.
"""

import json
from dataclasses import dataclass, replace
from typing import Any

from tapewright import __version__
from tapewright.ground.errors import BadInput
from tapewright.printing import look
from tapewright.printing.order import Files, Print, Wish
from tapewright.printing.tape import NUMBER_EVERY, SPAN, in_units, tape_order
from tapewright.questions.question import Field, Said
from tapewright.services.equip import Arrow, Belief, Rig
from tapewright.services.print_family import (
    MOST_STRIPS,
    FamilyWords,
    PlannedFamily,
    plan_family,
    print_family,
    usual_spans,
)
from tapewright.services.print_tape import TapeOrder
from tapewright.words.blocks import Blocks, Mind
from tapewright.words.cautions import SAFETY
from tapewright.words.paper_names import sheet_names
from tapewright.words.quantities import format_quantity, in_unit, read_distances, read_quantity
from tapewright.words.unit_names import quoted
from tapewright.words.units import BY_DISTANCE, Units

CHOOSE_FIRST = (
    "No strip is right before it was chosen by two zeroed marks and proved by arrows at three "
    "distances."
)
USUAL_MASS_KG, USUAL_SHAFT_M = 0.027, 0.006  # of a sheet that is not there: 420 gr, 6 mm
SCHEMA = "tapewright.family/1"
DIGITS = 4  # of a millimetre
LETTERS = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ"

DISTANCES = Field("distances", "Ticks of each strip", "20:80:1yd", "20:70:1m", takes="LIST")
FIELDS = (
    Field("spans", "Spans of the strips", takes="LIST",
          hint='Such as "24:40:0.5mm"; left open: each half millimetre for bows a tenth slower and '
          "faster than the rig's."),
    replace(SPAN, label="Spans told between", option_name="between"),
    DISTANCES, NUMBER_EVERY,
    look.WIDTH, look.LENGTH, look.POINTER, look.FAR_END, look.PAPER,
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class FamilyOrder:
    """Look and distances of the strips, and the span of each."""

    look: TapeOrder
    spans_mm: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class MadeFamily:
    """A family in numbers, and the units in which it is told."""

    plan: PlannedFamily
    units: Units
    date: str


def read_spans(said: Said) -> tuple[float, ...]:
    """Spans as typed: a list, or first:last:step, with one unit at the end. [mm]"""
    text, place = said.text("spans"), said.place("spans")
    number = text.rstrip(LETTERS)
    unit = text[len(number) :] or "mm"
    parts = [
        1e3 * read_quantity(f"{part} {unit}", "length", place, "24:40:0.5mm")
        for part in number.replace(":", ",").split(",")
    ]
    if ":" not in number:
        return tuple(round(part, 6) for part in parts)
    mend = f"Write first, last and step, as 24:40:0.5mm, for {MOST_STRIPS} strips or less"
    if len(parts) != 3 or "," in number or parts[2] <= 0.0 or parts[1] < parts[0]:
        raise BadInput(place, f"{quoted(text)} is not first:last:step", mend)
    first, last, step = parts
    if step <= (last - first) / MOST_STRIPS:
        raise BadInput(place, f"{quoted(text)} asks for too many strips", mend)
    count = int((last - first) / step + 1e-9) + 1
    return tuple(round(first + index * step, 6) for index in range(count))


def _of_rig(rig: Rig | None) -> Rig:
    """The sheet's rig with its first pin alone, or a usual one."""
    if rig is None:
        return Rig("Usual compound bow", Arrow(Belief(USUAL_MASS_KG), USUAL_SHAFT_M))
    return replace(rig, sight=replace(rig.sight, pins_below_first_m=()))


def _order(rig: Rig | None, wish: Wish) -> FamilyOrder:
    said, of = wish.said, _of_rig(rig)
    usual = DISTANCES.usual_in(wish.units)
    asked = read_distances(said.text("distances") or usual, said.place("distances"))
    units = BY_DISTANCE.get(asked.unit, wish.units)
    strip = tape_order(of, in_units(asked.distances_m, units), units, wish)
    return FamilyOrder(strip, read_spans(said) if said.text("spans") else usual_spans(of, strip))


def _make(rig: Rig | None, order: FamilyOrder, date: str) -> MadeFamily:
    plan = plan_family(_of_rig(rig), order.look, order.spans_mm)
    return MadeFamily(plan, BY_DISTANCE[order.look.unit], date)


def _files(made: MadeFamily, formats: tuple[str, ...]) -> Files:
    """The sheets, and the tables from which ``strips`` chooses."""
    table = json.dumps(_write(made), indent=1, ensure_ascii=False) + "\n"
    tables = ((".csv", _csv(made.plan).encode()), (".json", table.encode()))
    return (*print_family(made.plan, _words(made), formats), *tables)


def _strip_name(span_mm: float) -> str:
    """What a strip is called, by its span."""
    return f"span {span_mm:g} mm"


def _csv(plan: PlannedFamily) -> str:
    """One tick a row: strip, distance, position."""
    unit = plan.order.unit
    rows = [f"strip,distance_{unit},position_mm"]
    for span, places in zip(plan.spans_mm, plan.position_mm, strict=True):
        rows += [
            f"{_strip_name(span)},{distance:g},{place + 0.0:.{DIGITS}f}"
            for distance, place in zip(plan.order.distances, places, strict=True)
        ]
    return "\n".join(rows) + "\n"


def _write(made: MadeFamily) -> dict[str, Any]:
    """The family for other programs."""
    plan, order, speed_unit = made.plan, made.plan.order, made.units.speed
    return {
        "schema": SCHEMA,
        f"between_{order.unit}": list(order.span),
        "strips": [
            {
                "strip": _strip_name(span),
                "span_mm": span,
                f"launch_speed_{speed_unit.replace('/', '_')}": round(
                    in_unit(float(speed), speed_unit), 2
                ),
                "ticks": [
                    {f"distance_{order.unit}": distance, "position_mm": round(place, DIGITS) + 0.0}
                    for distance, place in zip(order.distances, places.tolist(), strict=True)
                ],
            }
            for span, speed, places in zip(
                plan.spans_mm, plan.speed_mps, plan.position_mm, strict=True
            )
        ],
    }


def _tell(made: MadeFamily) -> Blocks:
    first, last = made.plan.spans_mm[0], made.plan.spans_mm[-1]
    strips = f"{len(made.plan.spans_mm)} strips, spans {first:g} to {last:g} mm"
    return (
        f"{strips} between {_between(made.plan)}: bows of {_speeds(made)}.",
        *map(Mind, sheet_names(made.plan.rig)[1]),
    )


def _between(plan: PlannedFamily) -> str:
    near, far = plan.order.span
    return f"{near:g} and {far:g} {plan.order.unit}"


def _speeds(made: MadeFamily) -> str:
    """Launch speeds of the slowest and the fastest bow."""
    fast, slow = (
        format_quantity(float(made.plan.speed_mps[end]), made.units.speed, 0) for end in (0, -1)
    )
    return f"{slow} to {fast}"


def _words(made: MadeFamily) -> FamilyWords:
    plan = made.plan
    count, (near, far) = len(plan.spans_mm), plan.order.span
    return FamilyWords(
        title=f"{sheet_names(plan.rig)[0]}: ready strips",
        printed=made.date,
        subtitle="Strips in metres" if plan.order.unit == "m" else "Strips in yards",
        strip_names=tuple(
            f"{place} of {count}: {near:g}–{far:g} {_strip_name(span)}"
            for place, span in enumerate(plan.spans_mm, 1)
        ),
        notes=(
            f"{count} strips by their span between {_between(plan)}; printed {made.date}",
            f"For bows of {_speeds(made)} that differ from the sheet in launch speed alone",
            *_proof_note(plan),
            f"Tapewright {__version__}",
        ),
        cautions=(CHOOSE_FIRST, *SAFETY[:4]),
    )


def _proof_note(plan: PlannedFamily) -> tuple[str, ...]:
    if plan.order.proof_mm is None:
        return ()
    across, down = plan.order.proof_mm
    return (f"Only for a printer whose proof rulers measured {across:g} and {down:g} mm",)


PRINT: Print[Rig | None, FamilyOrder, MadeFamily] = Print(
    "family",
    "Print a family of ready strips for one kind of sight, told apart by their span.",
    "RIG.toml tells sight, arrow and archer; the strips are for bows that differ from it in launch "
    'speed alone. Beside the sheets stands a table: "tapewright strips RIG SHOTS --set TABLE.csv" '
    "says which strip is an archer's.",
    FIELDS, ("pdf", "svg", "dxf", "cut.svg"), ("pdf",),
    _order, _make, _files, _tell,
    write=_write, asks_units=True,
)  # fmt: skip

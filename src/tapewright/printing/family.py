"""Family: print a family of ready strips for one kind of sight, numbered, with a table.

Holds:  its fields; lengths as typed; the order; its sentences; the table that ``strips --set``
        reads, and JSON; the print.
Never:  how a family is planned (services/print_family.py), reading such a table, drawing.
"""

import json
from dataclasses import dataclass, replace
from typing import Any

from tapewright import __version__
from tapewright.ground.errors import BadInput
from tapewright.printing import print_fields
from tapewright.printing.print_record import Files, Print, Wish
from tapewright.printing.tape import NUMBER_EVERY, SIDE_SCALE, in_units, tape_order
from tapewright.questions.question import Field, Said
from tapewright.questions.shared_fields import BETWEEN
from tapewright.services.equip import Arrow, Belief, Rig
from tapewright.services.print_family import (
    MOST_STRIPS,
    FamilyWords,
    PlannedFamily,
    plan_family,
    print_family,
    usual_lengths,
)
from tapewright.services.print_tape import SIDE_MM, TapeOrder
from tapewright.words.answer_blocks import Blocks, Mind
from tapewright.words.cautions import SAFETY
from tapewright.words.printable_names import sheet_names
from tapewright.words.quantity_parser import format_quantity, in_unit, read_quantity
from tapewright.words.unit_spellings import quoted
from tapewright.words.unit_system import BY_DISTANCE, Units

CHOOSE_FIRST = (
    "No strip is right before it was chosen by two zeroed marks and proved by arrows at three "
    "distances."
)
USUAL_MASS_KG, USUAL_SHAFT_M = 0.027, 0.006  # of a sheet that is not there: 420 gr, 6 mm
SCHEMA = "tapewright.family/1"
LENGTHS = "check_lengths"
DIGITS = 4  # of a millimetre
LETTERS = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ"

DISTANCES = Field("distances", "Ticks of each strip", "20:80:1yd", "20:70:1m", takes="LIST")
FIELDS = (
    Field(LENGTHS, "Check lengths of the strips", takes="LIST", before="spans",
          hint='Such as "24:40:0.5mm"; left open: each half millimetre for bows a tenth slower and '
          "faster than the rig's."),
    replace(BETWEEN, label="Check lengths between", hint='Near and far distance, such as '
            '"20,70 yd"; left open, the first tick from 20 on and one thrice as far.'),
    DISTANCES, NUMBER_EVERY,
    print_fields.WIDTH, print_fields.LENGTH, print_fields.POINTER, print_fields.FAR_END,
    print_fields.PAPER,
    replace(SIDE_SCALE, hint="A fine scale counted from the tick by which a strip is stuck on; it "
            f"takes {SIDE_MM:g} mm of the width."),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class FamilyOrder:
    """Look and distances of the strips, and the check length of each."""

    look: TapeOrder
    lengths_mm: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class MadeFamily:
    """A family in numbers, and the units in which it is told."""

    plan: PlannedFamily
    units: Units
    date: str


def read_lengths(said: Said) -> tuple[float, ...]:
    """Check lengths as typed: a list, or first:last:step, with one unit at the end. [mm]"""
    text, place = said.text(LENGTHS), said.place(LENGTHS)
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
    asked = said.asked_distances("distances", DISTANCES.usual_in(wish.units))
    units = BY_DISTANCE.get(asked.unit, wish.units)
    strip = tape_order(of, in_units(asked.distances_m, units), units, wish)
    return FamilyOrder(
        strip, read_lengths(said) if said.text(LENGTHS) else usual_lengths(of, strip)
    )


def _make(rig: Rig | None, order: FamilyOrder, date: str) -> MadeFamily:
    plan = plan_family(_of_rig(rig), order.look, order.lengths_mm)
    return MadeFamily(plan, BY_DISTANCE[order.look.unit], date)


def _files(made: MadeFamily, formats: tuple[str, ...]) -> Files:
    """The sheets, and the tables from which ``strips`` chooses."""
    table = json.dumps(_write(made), indent=1, ensure_ascii=False) + "\n"
    tables = ((".csv", _csv(made.plan).encode()), (".json", table.encode()))
    return (*print_family(made.plan, _words(made), formats), *tables)


def _csv(plan: PlannedFamily) -> str:
    """One tick a row: strip, distance, position."""
    unit = plan.order.unit
    rows = [f"strip,distance_{unit},position_mm"]
    for number, places in enumerate(plan.position_mm, 1):
        rows += [
            f"{number},{distance:g},{place + 0.0:.{DIGITS}f}"
            for distance, place in zip(plan.order.distances, places, strict=True)
        ]
    return "\n".join(rows) + "\n"


def _write(made: MadeFamily) -> dict[str, Any]:
    """The family for other programs."""
    plan, order, speed_unit = made.plan, made.plan.order, made.units.speed
    return {
        "schema": SCHEMA,
        f"between_{order.unit}": list(plan.between),
        "strips": [
            {
                "strip": f"{number}",
                "check_length_mm": length_mm,
                "span_mm": length_mm,  # by the name of earlier versions
                f"launch_speed_{speed_unit.replace('/', '_')}": round(
                    in_unit(float(speed), speed_unit), 2
                ),
                "ticks": [
                    {f"distance_{order.unit}": distance, "position_mm": round(place, DIGITS) + 0.0}
                    for distance, place in zip(order.distances, places.tolist(), strict=True)
                ],
            }
            for number, (length_mm, speed, places) in enumerate(
                zip(plan.lengths_mm, plan.speed_mps, plan.position_mm, strict=True), 1
            )
        ],
    }


def _tell(made: MadeFamily) -> Blocks:
    first, last = made.plan.lengths_mm[0], made.plan.lengths_mm[-1]
    strips = f"{len(made.plan.lengths_mm)} strips, {first:g} to {last:g} mm long"
    return (
        f"{strips} from {_between(made.plan)}: bows of {_speeds(made)}.",
        *map(Mind, sheet_names(made.plan.rig)[1]),
    )


def _between(plan: PlannedFamily) -> str:
    near, far = plan.between
    return f"{near:g} to {far:g} {plan.order.unit}"


def _speeds(made: MadeFamily) -> str:
    """Launch speeds of the slowest and the fastest bow."""
    fast, slow = (
        format_quantity(float(made.plan.speed_mps[end]), made.units.speed, 0) for end in (0, -1)
    )
    return f"{slow} to {fast}"


def _words(made: MadeFamily) -> FamilyWords:
    plan = made.plan
    count, (near, far), speed = len(plan.lengths_mm), plan.between, made.units.speed
    return FamilyWords(
        title=f"{sheet_names(plan.rig)[0]}: ready strips",
        printed=made.date,
        subtitle="Strips in metres" if plan.order.unit == "m" else "Strips in yards",
        strip_names=tuple(f"{number} of {count}" for number in range(1, count + 1)),
        heads=(("strip", ""), (f"{near:g} to {far:g}", "mm"), ("speed", speed)),
        rows=tuple(
            (f"{number}", f"{length_mm:g}", f"{in_unit(float(mps), speed):.0f}")
            for number, (length_mm, mps) in enumerate(
                zip(plan.lengths_mm, plan.speed_mps, strict=True), 1
            )
        ),
        notes=(
            f"Table: how long each strip is from the tick {near:g} to the tick {far:g}",
            f"{count} strips, printed {made.date}",
            f"For bows of {_speeds(made)} that differ from the sheet in launch speed alone",
            *_proof_note(plan),
            *(
                (f"Millimetres along the free edge count from the tick {near:g}",)
                if plan.order.side_scale
                else ()
            ),
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
    "Print a family of ready strips for one kind of sight, numbered, with a table.",
    "RIG.toml tells sight, arrow and archer; the strips are for bows that differ from it in launch "
    'speed alone. Beside the sheets stands a table: "tapewright strips RIG SHOTS --set TABLE.csv" '
    "says which strip is an archer's.",
    FIELDS, ("pdf", "svg", "dxf", "cut.svg"), ("pdf",),
    _order, _make, _files, _tell,
    write=_write, asks_units=True,
)  # fmt: skip

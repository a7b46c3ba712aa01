"""Target: print a sighting target: a measured grid with an aiming mark and a plumb line.

Holds:  its fields; texts with units to an order; the sentences on its sheets; the print.
Never:  how it is planned (services/print_target.py), layout.
"""

from dataclasses import dataclass
from typing import Any

from tapewright import __version__
from tapewright.printing.print_fields import PAPER, read_paper
from tapewright.printing.print_record import Files, Print, Wish
from tapewright.questions.question import Field, Said
from tapewright.services.equip import Rig
from tapewright.services.print_target import (
    PlannedTarget,
    TargetOrder,
    TargetWords,
    plan_target,
    print_target,
    target_code,
)
from tapewright.words.answer_blocks import Mind
from tapewright.words.cautions import SAFETY
from tapewright.words.printable_names import sheet_names
from tapewright.words.quantity_parser import format_quantity, parted_size, read_quantity, unit_in
from tapewright.words.stops import stop_lines, stop_title
from tapewright.words.unit_spellings import unit_name

SIZE_EXAMPLE = "60x90 cm"
METRIC_UNITS = ("mm", "cm", "m")
UNIT_WORDS = {"in": "inches", "cm": "centimetres"}
HANGING = (
    "Let a thread with a weight hang from a pin in the open diamond at the top. Turn the sheet "
    "until the thread covers the upright line down to the solid diamond, then pin the corners."
)
PROOF = (
    "Measure both rulers with a steel rule. If one is not 100 mm, tell the program both "
    "lengths and print again."
)
STEPS = (
    """Print every sheet at 100 %, without fitting to the page. Each has a bar of 100 mm across and
    one down: measure a few before you cut.""",
    """Cut each sheet along its solid lines, on the left and on top. Leave the tabs behind the
    broken lines: they take the glue.""",
    """Row by row, lay the next sheet on the tab until its edge meets the broken line. Diamonds and
    grid lines must join, and the number beside a diamond is the same on both sheets.""",
    """Then glue the rows to each other in the same way. Keep the square marks in the corners clean:
    a camera finds the target by them.""",
)

GRID = Field(
    "grid", "Grid in", "the units of its size",
    choices=("in", "cm"), choice_words=("inches", "centimetres"), flags=("imperial", "metric"),
)  # fmt: skip
FIELDS = (
    PAPER,
    Field("size", "Size of the grid", "one sheet", takes="WIDTHxHEIGHT",
          hint="Width by height, such as 60x90 cm or 24x36 in; a large one is glued of sheets."),
    Field("distance", "Shot at from", "about 20 to 60 yd", "about 18 to 55 m",
          "Sizes the aiming mark.", takes="DISTANCE"),
    Field("tolerance", "Broken circle, radius", "the rig's tolerance",
          hint="Such as 3 in, or none.", takes="LENGTH"),
    GRID,
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class TargetWish:
    """The target wanted, and the unit in which its distance is read."""

    target: TargetOrder
    distance_unit: str


@dataclass(frozen=True, slots=True)
class MadeTarget:
    """A target in numbers, and its sentences."""

    plan: PlannedTarget
    words: TargetWords
    unwritten: tuple[str, ...] = ()  # what the screen says of a name that paper cannot hold


@dataclass(frozen=True, slots=True)
class _Typed:
    """A length or two as typed, and the unit used."""

    lengths_m: tuple[float, ...]
    unit: str


def target_order(rig: Rig | None, wish: Wish) -> TargetWish:
    """What kind of target was asked for: its grid in the unit named, typed, or usual."""
    said, read = wish.said, wish.read
    usually_metric = wish.units.distance == "m"
    grid = said.text("grid") and wish.choice(GRID, "in")
    size = read("size", lambda: _size(said), None)
    usual = "m" if grid == "cm" or (not grid and usually_metric) else "yd"
    distance = read("distance", lambda: _distance(said, usual), None)
    named = size or distance
    typed_metric = named.unit in METRIC_UNITS if named else usually_metric
    metric = grid == "cm" if grid else typed_metric
    tolerance_m = rig.archer.tolerance_m if rig else None
    order = TargetOrder(
        unit="cm" if metric else "in",
        size_mm=None if size is None else (1e3 * size.lengths_m[0], 1e3 * size.lengths_m[1]),
        distance_m=None if distance is None else distance.lengths_m[0],
        tolerance_m=read("tolerance", lambda: _tolerance_m(said, tolerance_m), None),
        paper=read_paper(wish),
        proof_mm=wish.proof_mm,
    )
    read("printer", lambda: order.correction, None)
    return TargetWish(order, distance.unit if distance else ("m" if metric else "yd"))


def _size(said: Said) -> _Typed | None:
    """Width and height as typed; a unit at the end serves both."""
    text, place = said.text("size"), said.place("size")
    if not text:
        return None
    parts = parted_size(text, place, f"Write {SIZE_EXAMPLE}")
    lengths_m = tuple(read_quantity(part, "length", place, "60 cm") for part in parts)
    name = unit_in(parts[1])
    return _Typed(lengths_m, unit_name(name, "length") or name)


def _distance(said: Said, usual_unit: str) -> _Typed | None:
    """One distance; without a unit it is in the usual one."""
    if not said.text("distance"):
        return None
    found = said.one_distance("distance", "", unit=usual_unit, such="60 yd")
    return _Typed(found.distances_m, found.unit)


def _tolerance_m(said: Said, usual_m: float | None) -> float | None:
    text = said.text("tolerance")
    if not text:
        return usual_m
    if text.casefold() == "none":
        return None
    return read_quantity(text, "length", said.place("tolerance"), "3 in")


def distance_words(distance_m: float, unit: str) -> str:
    """A distance as it was asked for, without needless digits."""
    return format_quantity(round(distance_m, 6), unit, None if unit == "m" else 1).replace(
        ".0 ", " "
    )


def target_words(
    plan: PlannedTarget, rig: str, distance_unit: str, date: str, stops: tuple[str, ...] = ()
) -> TargetWords:
    """All words on a target."""
    order = plan.order
    meaning = f"{UNIT_WORDS[order.unit]} from the aim, right and up are +"
    kind = "Sighting target"
    distance_m = order.distance_m
    distance = "" if distance_m is None else distance_words(distance_m, distance_unit)
    return TargetWords(
        title=stop_title(rig or kind, stops),
        printed=date,
        subtitle="  ·  ".join(
            (*((kind,) if rig else ()), meaning, f"{order.paper}, print at 100 %")
        ),
        fields=(
            ("rig", rig, 3.0),
            ("distance", distance, 1.8),
            ("reading", "", 1.8),
            ("arrows", "", 1.5),
            ("date", "", 2.0),
        ),
        hanging=HANGING,
        proof=PROOF,
        steps=STEPS,
        notes=(
            aiming_mark_words(plan, distance),
            *stops,
            *circle_words(plan),
            *(
                (f"Its code, for reading a photograph: {target_code(plan)}",)
                if plan.is_tiled
                else ()
            ),
            f"Printed {date}, Tapewright {__version__}",
        ),
        cautions=SAFETY if plan.is_tiled else SAFETY[:2],
    )


def sheets_words(plan: PlannedTarget) -> str:
    """How large a target is and how many sheets it takes."""
    unit, wanted = plan.target.unit, (plan.target.width_mm, plan.target.height_mm)
    wide, high = (format_quantity(side_mm / 1e3, unit, 1).replace(".0 ", " ") for side_mm in wanted)
    sheets = "one sheet"
    if plan.is_tiled:
        tiles = plan.rows * plan.columns
        sheets = f"{tiles} sheets ({plan.rows} rows, {plan.columns} columns) and a plan sheet"
    return f"Target of {wide} by {high} on {sheets}."


def aiming_mark_words(plan: PlannedTarget, distance: str) -> str:
    """How large the aiming mark is and for which distance."""
    drawn_mm, wanted_mm = 2.0 * plan.target.aiming_mark_mm, 2.0 * plan.wanted_aiming_mark_mm
    said = f"Aiming mark {drawn_mm:.0f} mm across"
    if drawn_mm < wanted_mm - 0.5:
        return f"{said}: as large as this grid allows; {wanted_mm:.0f} mm would be seen better."
    if distance:
        return f"{said}, for {distance}."
    metric = plan.order.unit == "cm"
    return f"{said}, for about {'18 to 55 m' if metric else '20 to 60 yd'}."


def circle_words(plan: PlannedTarget) -> tuple[str, ...]:
    """What the broken circle is, if there is one."""
    target, tolerance_m = plan.target, plan.order.tolerance_m
    if target.circle_mm is None or tolerance_m is None:
        return ()
    radius = format_quantity(tolerance_m, target.unit, 1).replace(".0 ", " ")
    half_mm = min(target.width_mm, target.height_mm) / 2.0
    fits = target.circle_mm <= half_mm + 1e-6
    return (f"Broken circle: the tolerance, {radius}{'' if fits else '; only part of it fits'}.",)


def _make(rig: Rig | None, order: TargetWish, date: str) -> MadeTarget:
    plan = plan_target(order.target)
    stops = stop_lines(rig) if rig else ()
    name, unwritten = sheet_names(rig) if rig else ("", ())
    words = target_words(plan, name, order.distance_unit, date, stops)
    return MadeTarget(plan, words, unwritten)


def _files(made: MadeTarget, formats: tuple[str, ...]) -> Files:
    return print_target(made.plan, made.words, formats)


def _seen(made: MadeTarget) -> str:
    return f"{sheets_words(made.plan)} {made.words.notes[0]}"


def _write(made: MadeTarget) -> dict[str, Any]:
    plan, target, order = made.plan, made.plan.target, made.plan.order
    return {
        "schema": "tapewright.target/1",
        "unit": target.unit,
        "paper": order.paper,
        "width_mm": round(target.width_mm, 3),
        "height_mm": round(target.height_mm, 3),
        "aiming_mark_mm": round(2.0 * target.aiming_mark_mm, 2),
        "tolerance_mm": None if target.circle_mm is None else round(target.circle_mm, 3),
        "distance_m": None if order.distance_m is None else round(order.distance_m, 4),
        "tile_rows": plan.rows,
        "tile_columns": plan.columns,
        "sheets": plan.rows * plan.columns + int(plan.is_tiled),
    }


PRINT: Print[Rig | None, TargetWish, MadeTarget] = Print(
    "target",
    "Print a sighting target: a measured grid with an aiming mark and a plumb line.",
    "Where an arrow hit can be read off the grid, right and up from the aim. Greys are light "
    "enough to see holes. A target larger than the paper comes in sheets to cut and glue.",
    FIELDS, ("pdf", "svg"), ("pdf",),
    target_order, _make, _files, lambda made: (_seen(made), *map(Mind, made.unwritten)),
    write=_write, preview=lambda made: _files(made, ("svg",))[0][1].decode(), seen=_seen,
)  # fmt: skip

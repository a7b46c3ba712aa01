"""Target sentences: the words on a printed target, shared by every face.

Holds:  title, boxes, steps and small print of a target.
Never:  layout, computations.
"""

from tapewright import __version__
from tapewright.services.print_target import PlannedTarget, TargetWords, target_code
from tapewright.words.quantities import format_quantity
from tapewright.words.stops import stop_title

UNIT_WORDS = {"in": "inches", "cm": "centimetres"}
HANGING = (
    "Let a thread with a weight hang from a pin in the open diamond at the top. Turn the sheet "
    "until the thread covers the upright line down to the solid diamond, then pin the corners."
)
PROOF = (
    "Measure both rulers with a steel rule. If one is not 100 mm, enter the two lengths and "
    "print again."
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

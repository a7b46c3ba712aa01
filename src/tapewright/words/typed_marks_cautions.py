"""Typed marks cautions: what is said of such a strip, the more where no sheet is given.

Holds:  what was assumed, and that nobody checked whether the arrow is heavy enough.
Never:  values (calibration), how marks are read (reading/typed_marks.py).
"""

from tapewright.services.calibrate import Answer
from tapewright.services.stops import questions
from tapewright.words.answer_blocks import Mind
from tapewright.words.quantity_parser import format_quantity, format_with_doubt
from tapewright.words.unit_system import Units

LIGHT = (
    "The arrow's least mass was not checked: no draw weight is known. Never shoot an arrow lighter "
    "than your bow's maker allows."
)


def assumed_of(answer: Answer, units: Units) -> tuple[str, ...]:
    """What was taken as usual of a rig without a sheet."""
    rig, told = answer.rig, answer.posterior.calibration.evidence.prior.assumed
    mass, unit = rig.arrow.mass_kg, "g" if units.distance == "m" else "gr"
    way = "larger" if rig.sight.farther == "increases" else "smaller"
    return (
        f"readings in mm that get {way} for far targets",
        f"arrow mass {format_with_doubt(mass.value, mass.sd, unit, 0)}",
        f"shaft {format_quantity(rig.arrow.shaft_diameter_m, 'mm', 1)}",
        f"air of {format_quantity(rig.air.temperature_k, '°C', 0)} at sea level",
        *told,
    )


def is_unweighed(answer: Answer) -> bool:
    """Whether nothing tells how heavy an arrow the bow needs."""
    return "bow.draw_weight" in questions(answer.rig)


def marks_minds(answer: Answer, units: Units, *, has_sheet: bool) -> tuple[Mind, ...]:
    """What must be known of a strip made from typed marks."""
    told = "; ".join(assumed_of(answer, units))
    assumed = f"No rig sheet was given, so usual values are taken: {told}."
    light = (Mind(LIGHT),) if is_unweighed(answer) else ()
    return light if has_sheet else (Mind(assumed), *light)

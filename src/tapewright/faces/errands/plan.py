"""Plan: the question what to shoot next, and why.

Holds:  the errand ``plan``, and how its wishes are read.
Never:  formulas, sentences that people read as an answer.
"""

from tapewright.faces.errands.errand import Errand, Field, Said
from tapewright.faces.planning_json import plan_json
from tapewright.faces.quantities import read_quantity
from tapewright.faces.telling.plans import plan_blocks
from tapewright.faces.unit_names import quoted
from tapewright.faces.wording import Units
from tapewright.ground.errors import BadInput
from tapewright.ground.units import UNITS
from tapewright.services.advise import (
    NEAREST_TRUSTED_M,
    Butt,
    Plan,
    PlanOrder,
    Wish,
    plan_shots,
)
from tapewright.services.calibrate import Answer
from tapewright.services.equip import Rig

LEAST_BUTT_M, MOST_BUTT_M = 0.05, 20.0
LEAST_TOLERANCE_M, MOST_TOLERANCE_M = 0.002, 2.0
ARROW_ENDS = (3, 1000)
CLOSE_M = 1e-6


def plan_order(rig: Rig, said: Said, units: Units, probability: float) -> PlanOrder:
    """What is wanted of a session, as asked."""
    wanted_m = said.distance("wanted", PLAN.usual("wanted", units))
    if wanted_m < NEAREST_TRUSTED_M - CLOSE_M:
        wrong = f"{quoted(said.text('wanted'))} is nearer than a trusted distance can be"
        raise BadInput(said.place("wanted"), wrong, "Write 10 yd or more, as 90 yd")
    wish = Wish(_tolerance(said, rig), _butt(said, units), probability)
    arrows = said.whole("arrows", int(PLAN.usual("arrows", units)), ARROW_ENDS)
    return PlanOrder(wanted_m, wish, arrows, _places(said, wanted_m, units))


def _tolerance(said: Said, rig: Rig) -> float:
    text, place = said.text("tolerance"), said.place("tolerance")
    if not text:
        return rig.archer.tolerance_m
    tolerance_m = read_quantity(text, "length", place, "3 in")
    if not LEAST_TOLERANCE_M <= tolerance_m <= MOST_TOLERANCE_M:
        raise BadInput(place, f"{quoted(text)} is no miss to ask for", "Write such as 3 in")
    return tolerance_m


def _butt(said: Said, units: Units) -> Butt:
    """Width and height as typed, one unit for both or one each."""
    text, place = said.text("butt") or PLAN.usual("butt", units), said.place("butt")
    parts = text.replace("×", "x").casefold().split("x")
    if len(parts) != 2:
        raise BadInput(place, f"{quoted(text)} is not width x height", "Write both, as 36x36 in")
    unit = parts[1].strip().lstrip("0123456789., ")
    first = parts[0] if any(letter.isalpha() for letter in parts[0]) else f"{parts[0]} {unit}"
    sides = [read_quantity(one, "length", place, "36x36 in") for one in (first, parts[1])]
    if not all(LEAST_BUTT_M <= side <= MOST_BUTT_M for side in sides):
        wrong = f"{quoted(text)} stops no arrow, or is a hill"
        raise BadInput(place, wrong, "Write such as 36x36 in")
    return Butt(*sides)


def _places(said: Said, wanted_m: float, units: Units) -> tuple[float, ...]:
    """Where groups may be shot."""
    if text := said.text("distances"):
        places_m = said.distances("distances", text)
        if places_m[-1] > wanted_m + CLOSE_M:
            wrong = f"{quoted(text)} goes past the wanted distance"
            mend = "Want a farther one, or shoot nearer"
            raise BadInput(said.place("distances"), wrong, mend)
        return places_m
    factor = UNITS[units.distance].factor
    steps = [step * factor for step in range(10, round(wanted_m / factor) + 5, 5)]
    nearer = tuple(one for one in steps if one < wanted_m - CLOSE_M)
    return (*nearer, wanted_m)


def _ask(answer: Answer, said: Said, units: Units) -> Plan:
    return plan_shots(answer, plan_order(answer.rig, said, units, answer.bands.probability))


PLAN = Errand(
    "plan",
    "What to shoot next",
    "Groups in an order in which few arrows buy much trust. Shots that would not surely land on "
    "your butt are marked and never asked for.",
    (
        Field("wanted", "Trusted distance wanted", "60 yd", "50 m", "How far the tape is to hold."),
        Field(
            "tolerance",
            "Miss that is still good",
            hint="Such as 3 in. Left open: the rig sheet's.",
        ),
        Field("butt", "Butt", "36x36 in", "90x90 cm", "Width x height of what stops the arrow."),
        Field("arrows", "Arrows", "60", hint="At most so many before you tire."),
        Field(
            "distances",
            "Where you can shoot",
            hint="Left open: each 5 from 10 to the wanted distance.",
        ),
    ),
    _ask,
    plan_blocks,
    plan_json,
)

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
    usual_places,
    usual_wish,
)
from tapewright.services.calibrate import Answer
from tapewright.services.equip import Rig

LEAST_BUTT_M, MOST_BUTT_M = 0.05, 20.0
LEAST_TOLERANCE_M, MOST_TOLERANCE_M = 0.002, 2.0
ARROW_ENDS = (3, 1000)
WALKS = ("yes", "no")
CLOSE_M = 1e-6


def plan_order(answer: Answer, said: Said, units: Units) -> PlanOrder:
    """What is wanted of a session, as asked."""
    unit_m = UNITS[units.distance].factor
    is_said = bool(said.text("wanted"))
    wanted_m = said.distance("wanted", "60 yd") if is_said else usual_wish(answer, unit_m)
    if wanted_m < NEAREST_TRUSTED_M - CLOSE_M:
        wrong = f"{quoted(said.text('wanted'))} is nearer than a trusted distance can be"
        raise BadInput(said.place("wanted"), wrong, "Write 10 yd or more, as 90 yd")
    wish = Wish(_tolerance(said, answer.rig), _butt(said, units), answer.bands.probability)
    arrows = said.whole("arrows", int(PLAN.usual("arrows", units)), ARROW_ENDS)
    places_m = _places(said, wanted_m)
    usual_m = usual_places(wanted_m, unit_m)
    may_walk = said.choice("walk", "yes", WALKS) == "yes"
    if places_m:
        return PlanOrder(wanted_m, wish, arrows, places_m, usual_m if may_walk else ())
    fives = tuple(one for one in usual_m if _is_told(one, wanted_m, unit_m))
    return PlanOrder(wanted_m, wish, arrows, usual_m, shown_m=fives)


def _is_told(distance_m: float, wanted_m: float, unit_m: float) -> bool:
    """Whether a place is one of those that a table of the usual ones shows: fives from 10 on."""
    count = distance_m / unit_m
    is_five = abs(count / 5.0 - round(count / 5.0)) < CLOSE_M
    return distance_m >= wanted_m - CLOSE_M or (is_five and count > 10.0 - CLOSE_M)


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


def _places(said: Said, wanted_m: float) -> tuple[float, ...]:
    """Where groups may be shot, if that was said; none past what is wanted, if that was said."""
    text = said.text("distances")
    if not text:
        return ()
    places_m = said.distances("distances", text)
    if said.text("wanted") and places_m[-1] > wanted_m + CLOSE_M:
        wrong = f"{quoted(text)} goes past the wanted distance"
        raise BadInput(said.place("distances"), wrong, "Want a farther one, or shoot nearer")
    return tuple(one for one in places_m if one <= wanted_m + CLOSE_M) or places_m[:1]


def _ask(answer: Answer, said: Said, units: Units) -> Plan:
    return plan_shots(answer, plan_order(answer, said, units))


PLAN = Errand(
    "plan",
    "What to shoot next",
    "Groups in an order in which few arrows buy much trust, the first from near by, none much "
    "farther than the one before. Shots that would not surely land on your butt are not asked for.",
    (
        Field(
            "wanted",
            "Trusted distance wanted",
            hint="Such as 60 yd. Left open: the farthest ten of the tape not yet trusted.",
        ),
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
            hint="Such as 18, 30, 50 m. Left open: anywhere.",
        ),
        Field(
            "walk",
            "May you walk nearer",
            "yes",
            hint="Whether the range lets you stand at other distances than those.",
            choices=WALKS,
        ),
    ),
    _ask,
    plan_blocks,
    plan_json,
)

"""Plan: the question what to shoot next, and why.

Holds:  the errand ``plan``, and how its wishes are read.
Never:  formulas, sentences that people read as an answer.
"""

from typing import Any

from tapewright.faces.planning_json import plan_json, withheld_plan_json
from tapewright.faces.telling.plans import plan_blocks
from tapewright.ground.errors import BadInput
from tapewright.ground.units import UNITS
from tapewright.questions.question import Field, Question, Said
from tapewright.questions.shared_fields import BUTT, read_butt
from tapewright.services.advise import (
    NEAREST_TRUSTED_M,
    Plan,
    PlanOrder,
    Wish,
    plan_shots,
    usual_places,
    usual_wish,
)
from tapewright.services.calibrate import Answer
from tapewright.services.equip import Rig
from tapewright.services.stops import PARTS, questions, refuse_unready
from tapewright.words.blocks import Blocks, Mind
from tapewright.words.quantities import read_quantity
from tapewright.words.stops import check_list, found_of, questions_json, unjudged_words
from tapewright.words.unit_names import quoted
from tapewright.words.units import Units

LEAST_TOLERANCE_M, MOST_TOLERANCE_M = 0.002, 2.0
ARROW_ENDS = (3, 1000)
WALKS = ("yes", "no")
CLOSE_M = 1e-6


def plan_order(answer: Answer, said: Said, units: Units) -> PlanOrder:
    """What is wanted of a session, as asked; Withheld while the rig must or may not be shot."""
    refuse_unready(answer.rig, answer.questions)
    unit_m = UNITS[units.distance].factor
    is_said = bool(said.text("wanted"))
    wanted_m = said.distance("wanted", "60 yd") if is_said else usual_wish(answer, unit_m)
    if wanted_m < NEAREST_TRUSTED_M - CLOSE_M:
        wrong = f"{quoted(said.text('wanted'))} is nearer than a trusted distance can be"
        raise BadInput(said.place("wanted"), wrong, "Write 10 yd or more, as 90 yd")
    wish = Wish(
        _tolerance(said, answer.rig),
        read_butt(said, QUESTION.usual("butt", units)),
        answer.bands.probability,
    )
    arrows = said.whole("arrows", int(QUESTION.usual("arrows", units)), ARROW_ENDS)
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


def _tell(plan: Plan, units: Units) -> Blocks:
    """The plan; before the first arrow with the check list, later with what nobody can judge."""
    rig, unjudged = plan.answer.rig, unjudged_words(plan.answer.rig)
    before = (check_list(rig),) if plan.is_set_by_eye else ()
    return (*plan_blocks(plan, units), *before, *((Mind(unjudged),) if unjudged else ()))


def _write(plan: Plan, units: Units) -> dict[str, Any]:
    rig = plan.answer.rig
    found = {part: found_of(rig, part) for part in PARTS}
    return plan_json(plan, units) | {"questions": questions_json(questions(rig)), "checks": found}


QUESTION = Question(
    "plan",
    "What to shoot next",
    "Groups in an order in which few arrows buy much trust, the first from near by, none much "
    "farther than the one before. Shots that would not surely land on your butt are not asked for.",
    (
        Field(
            "wanted",
            "Trusted distance wanted",
            hint="Such as 60 yd. Left open: the farthest ten of the tape not yet trusted.",
            takes="DISTANCE",
            option_name="to",
        ),
        Field(
            "tolerance",
            "Miss that is still good",
            hint="Such as 3 in. Left open: the rig sheet's.",
        ),
        BUTT,
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
    _tell,
    _write,
    where="wanted",
    more="Without shots it plans the whole session, the first arrow from near by. Each group is "
    "shot one arrow first; then look. Shoot the first group, add it to SHOTS.csv, and plan anew.",
    withheld=withheld_plan_json,
)

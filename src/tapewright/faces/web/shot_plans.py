"""Shot plans: the last few plans of what to shoot, so that a page need not make them again.

Holds:  a small cache; the next shots of a rig as words with a link that fills the form in.
Never:  how a plan is made (services/advise.py), pages.
"""

from dataclasses import dataclass
from functools import lru_cache
from urllib.parse import urlencode

from tapewright.faces.telling.plans import step_words
from tapewright.faces.web.answers import Known
from tapewright.faces.web.group_form import neat
from tapewright.questions.plan import plan_order
from tapewright.questions.question import Said
from tapewright.services.advise import Plan, PlanOrder, Step, plan_shots
from tapewright.services.calibrate import Answer
from tapewright.words.quantities import in_unit
from tapewright.words.units import Units

MOST_KEPT = 64


@dataclass(frozen=True, slots=True)
class NextShot:
    """One group to shoot."""

    words: str  # where, what to dial, how many arrows
    query: str  # fills the form of a new group in
    # Whether it may be shot as things stand: those after the first wait for what it shows
    is_ready: bool = True


def shot_plan(answer: Answer, said: Said, units: Units) -> Plan:
    """Plan of a calibration, made now if nobody asked lately."""
    return _planned(Known(answer), plan_order(answer, said, units))


@lru_cache(maxsize=MOST_KEPT)
def _planned(known: Known, order: PlanOrder) -> Plan:
    return plan_shots(known.answer, order)


def next_shots(plan: Plan, units: Units) -> tuple[NextShot, ...]:
    """Groups of a plan, the first first; before the first arrow no reading is known."""
    return tuple(
        NextShot(
            step_words(plan, place, units),
            _query(step, reading_m, units, is_zeroed=not plan.is_set_by_eye),
            is_ready=place == 0,
        )
        for place, (step, reading_m) in enumerate(zip(plan.steps, plan.readings_m, strict=True))
    )


def _query(step: Step, reading_m: float, units: Units, *, is_zeroed: bool) -> str:
    """Address part that fills the form of a new group in."""
    reading = {"reading": f"{in_unit(reading_m, 'mm'):.2f} mm"} if is_zeroed else {}
    distance = {"distance": neat(step.distance_m, (units.distance,))}
    return urlencode(distance | reading | {"pin": "1", "rows": step.arrows})

"""Next shots: what to shoot next as pages tell it, each group with a link that fills its form in.

Holds:  the NextShot and Ahead records; a plan in a few words.
Never:  how a plan is made and told (questions/plan.py), HTML.
"""

from collections.abc import Callable
from dataclasses import dataclass
from urllib.parse import urlencode

from tapewright.faces.web.group_form import neat
from tapewright.ground.errors import TapewrightError
from tapewright.services.advise import Plan
from tapewright.words.next_shot import (
    FIRST_FAR,
    counted_words,
    dial_words,
    hindrance_words,
    standing_words,
    step_rule_words,
    step_words,
)
from tapewright.words.stops import refused_words
from tapewright.words.units import Units


@dataclass(frozen=True, slots=True)
class NextShot:
    """One group to shoot."""

    words: str  # where, what to dial, how many arrows
    query: str  # fills the form of a new group in


@dataclass(frozen=True, slots=True)
class Ahead:
    """What to shoot next."""

    words: str  # where the archer stands
    shots: tuple[NextShot, ...] = ()  # the plan's groups; empty when none is needed
    caution: str = ""  # what must be read before the first of them; empty for nothing
    is_trusted: bool = False  # whether the tape holds as far as it is usually wanted


def next_shots(plan: Plan, units: Units) -> tuple[NextShot, ...]:
    """Groups of a plan, the first first; before the first arrow no reading is known."""
    return tuple(
        NextShot(step_words(plan, place, units), _query(plan, place, units))
        for place in range(len(plan.steps))
    )


def _query(plan: Plan, place: int, units: Units) -> str:
    """Address part that fills the form of a new group in."""
    reading = {} if plan.is_set_by_eye else {"reading": dial_words(plan, place)}
    step = plan.steps[place]
    distance = {"distance": neat(step.distance_m, (units.distance,))}
    return urlencode(distance | reading | {"pin": "1", "rows": step.arrows})


def ahead_of(plan_now: Callable[[], Plan], units: Units) -> Ahead:
    """What to shoot next with the usual wishes, or why nothing."""
    try:
        plan = plan_now()
    except TapewrightError as refused:
        return Ahead(refused_words(refused))
    is_far = bool(plan.steps) and plan.steps[0].distance_m > plan.trusted_m
    words = (
        standing_words(plan, units),
        step_rule_words(plan, units),
        counted_words(plan),
        hindrance_words(plan, units),
    )
    told, caution = " ".join(filter(None, words)), FIRST_FAR if is_far else ""
    return Ahead(told, next_shots(plan, units), caution, is_trusted=plan.is_trusted)

"""Plan: what to shoot next, each step with a way to write the group down; the same in short.

Holds:  /rigs/{rig_id}/plan; what pages of shooting tell of the plan with the usual wishes.
Never:  how a plan is made or told (questions/plan.py).
"""

from dataclasses import dataclass, field
from typing import Any
from urllib.parse import urlencode

from fastapi import APIRouter
from fastapi.responses import Response

from tapewright.faces.kept_tapes import tape_under
from tapewright.faces.web.forms import Form
from tapewright.faces.web.group_form import mended_texts
from tapewright.faces.web.page_request import PLACE, At, PageRequest
from tapewright.faces.web.pages.question import ask, find, page_of
from tapewright.ground.errors import TapewrightError
from tapewright.services.advise import Plan
from tapewright.services.calibrate import Answer
from tapewright.services.keep import KeptGroup, kept_as
from tapewright.words.next_shot import (
    FIRST_FAR,
    butt_words,
    counted_words,
    hindrance_words,
    standing_words,
    step_rule_words,
    step_words,
)
from tapewright.words.quantity_parser import neat
from tapewright.words.readings_on_tape import fill_words
from tapewright.words.slips import likely, mend_words, written_of
from tapewright.words.stops import (
    is_looked_over,
    question_lines,
    refused_words,
    unjudged_words,
)
from tapewright.words.unit_system import Units

ROUTER = APIRouter(include_in_schema=False)

NextShots = list[tuple[str, str]]  # a group in words, and what fills the form of a new one in


@dataclass(frozen=True, slots=True)
class Ahead:
    """What to shoot next."""

    words: str  # where the archer stands
    rule: str  # how the first group is to be shot
    shots: NextShots  # the plan's groups; empty when none is needed
    caution: str = ""  # what must be read before the first of them; empty for nothing
    is_trusted: bool = False  # whether the tape holds as far as it is usually wanted
    has_tape: bool = False  # whether one is on the sight
    butt: str = ""  # what it is planned for; empty where nothing is
    mends: NextShots = field(default_factory=list)  # of a slip: in words, and the form filled in so


@ROUTER.get("/rigs/{rig_id}/plan")
def plan_page(at: At, rig_id: str) -> Response:
    """Ask for a plan, and show it under what was wanted, or what must be answered before."""
    asked = ask(at, rig_id, "plan")
    plan, answer = asked.found, asked.answer
    things: dict[str, Any] = {"shots": (), "counted": "", "missing": (), "mends": (), "barred": ""}
    things["looked_over"] = plan is not None and is_looked_over(plan.answer.rig)
    if plan is not None:
        things |= {"shots": next_shots(plan, at.units), "counted": counted_words(plan)}
        things["barred"] = "" if plan.steps else hindrance_words(plan, at.units)
        things["mends"] = mend_links(at, rig_id, plan.answer)
    elif answer is not None and not answer.stops:
        things |= {"missing": question_lines(answer.questions)}
    page = page_of(at, rig_id, asked, "plan.html", **things)
    if plan is not None and any(name in at.request.query_params for name in PLACE):
        fields = {one.name: one for one in asked.fields}
        said = {name: fields[name].completed(asked.form[name], at.units) for name in PLACE}
        at.remember_place(page, said)  # with its units: they may be others tomorrow
    return page


def ahead_of(at: PageRequest, rig_id: str) -> Ahead:
    """What to shoot next with the usual wishes, or why nothing."""
    try:
        plan: Plan = find(at, at.answer(rig_id), "plan", Form(at.place))
    except TapewrightError as refused:
        return Ahead(refused_words(refused), "", [])
    standing, rule = standing_words(plan, at.units), step_rule_words(plan, at.units)
    words = (standing, rule, counted_words(plan), hindrance_words(plan, at.units))
    is_far = bool(plan.steps) and plan.steps[0].distance_m > plan.trusted_m
    shots, mends = next_shots(plan, at.units), mend_links(at, rig_id, plan.answer)
    cautions = (unjudged_words(plan.answer.rig), FIRST_FAR if is_far else "")
    told, caution = (" ".join(filter(None, some)) for some in (words, cautions))
    has_tape = plan.answer.tape is not None
    butt = butt_words(plan, at.units) if shots else ""
    return Ahead(
        told, rule, shots, caution,
        is_trusted=plan.is_trusted, has_tape=has_tape, butt=butt, mends=mends,
    )  # fmt: skip


def mend_links(at: PageRequest, rig_id: str, answer: Answer) -> NextShots:
    """Every mend of a likely slip: what it writes, and the group's form with it filled in."""
    kept = {
        kept_as(one, KeptGroup).observation.group.name: one.id
        for one in (at.notebook.entries("group", rig_id) if answer.slips else ())
    }
    links = []
    for slip in likely(answer) if answer.slips else ():
        for place, meant in enumerate(slip.mistake.meant):
            name = meant.group.name
            if name in kept:
                words = f"Group {name}: {mend_words(slip, place, answer, at.units)}"
                written = written_of(answer, slip, place)
                tape = tape_under(at.notebook, rig_id, written)
                query = urlencode(mended_texts(written, meant, answer.rig, at.units, tape))
                links.append((words, f"/rigs/{rig_id}/groups/{kept[name]}?{query}"))
    return links


def _fill(plan: Plan, place: int) -> str:
    at_m = plan.steps[place].distance_m
    return fill_words(plan.answer, plan.readings_m[place], plan.half_bands_m[place], at_m=at_m)


def next_shots(plan: Plan, units: Units) -> NextShots:
    """Groups of a plan, the first first; before the first arrow no reading is known."""
    shots = []
    for place, step in enumerate(plan.steps):
        reading = {} if plan.is_set_by_eye else {"reading": _fill(plan, place)}
        fields = {"distance": neat(step.distance_m, (units.distance,))} | reading
        query = urlencode(fields | {"pin": "1", "rows": step.arrows})
        shots.append((step_words(plan, place, units), query))
    return shots

"""Plan: what to shoot next, and why: few arrows that buy much trust, none that is not safe.

Holds:  the question ``plan``: its fields and how they are read, its tables, keys and sentences.
Never:  how a plan is made (services/advise.py), the next shot in words (words/next_shot.py), how a
        face asks and shows.
"""

from collections.abc import Iterable
from itertools import groupby
from typing import Any

from tapewright.ground.errors import BadInput, Withheld
from tapewright.ground.units import UNITS
from tapewright.questions.question import Field, Question, Said
from tapewright.questions.shared_fields import BUTT, read_butt
from tapewright.services.advise import (
    ARROWS,
    NEAREST_TRUSTED_M,
    Plan,
    PlanOrder,
    Step,
    Wish,
    plan_shots,
    usual_places,
    usual_wish,
)
from tapewright.services.calibrate import Answer
from tapewright.services.equip import Rig
from tapewright.services.meet_weather import before_arrows_in
from tapewright.services.stops import PARTS, questions, refuse_unready
from tapewright.words.answer import SAFETY, mark_words
from tapewright.words.blocks import Block, Blocks, Mind, Table
from tapewright.words.json_head import head_json, rounded
from tapewright.words.next_shot import (
    FIRST_FAR,
    counted_words,
    dial_words,
    hindrance_words,
    no_reach_words,
    standing_words,
    step_rule_words,
    tenths,
)
from tapewright.words.numbers import NOTHING, chance_words, counted, told
from tapewright.words.quantities import in_unit, read_quantity
from tapewright.words.stops import (
    check_list,
    found_of,
    questions_json,
    unjudged_words,
    withheld_json,
)
from tapewright.words.unit_names import quoted
from tapewright.words.units import Units, amount, distance_words, far

SCHEMA = "tapewright.plan/1"
LEAST_TOLERANCE_M, MOST_TOLERANCE_M = 0.002, 2.0
ARROW_ENDS = (3, 1000)
ANY_AIR = (-35.0, 50.0, "°C")  # in which anybody shoots, as on the rig sheet
WALKS = ("yes", "no")
CLOSE_M = 1e-6
Row = dict[str, Any]


def plan_order(answer: Answer, said: Said, units: Units) -> PlanOrder:
    """What is wanted of a session, as asked; Withheld while the rig must or may not be shot."""
    refuse_unready(answer.rig, answer.questions)
    unit_m = UNITS[units.distance].factor
    is_said = bool(said.text("wanted"))
    wanted_m = said.distance("wanted", "60 yd") if is_said else usual_wish(answer, unit_m)
    if wanted_m < NEAREST_TRUSTED_M - CLOSE_M:
        wrong = f"{quoted(said.text('wanted'))} is nearer than a trusted distance can be"
        raise BadInput(said.place("wanted"), wrong, "Write 10 yd or more, as 90 yd")
    butt = read_butt(said, QUESTION.usual("butt", units))
    wish = Wish(_tolerance(said, answer.rig), butt, answer.bands.probability)
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
    order = plan_order(answer, said, units)
    if said.text("temperature"):
        today_k = said.quantity("temperature", "temperature", "15 °C", ANY_AIR)
        answer = before_arrows_in(answer, today_k)
    return plan_shots(answer, order)


def _tell(plan: Plan, units: Units) -> Blocks:
    """The plan; before the first arrow with the check list, later with what nobody can judge."""
    rig, unjudged = plan.answer.rig, unjudged_words(plan.answer.rig)
    before = (check_list(rig),) if plan.is_set_by_eye else ()
    return (*plan_blocks(plan, units), *before, *((Mind(unjudged),) if unjudged else ()))


def plan_blocks(plan: Plan, units: Units) -> Blocks:
    """Where the archer stands, what groups buy, the steps, the first far arrow."""
    blocks: list[Block] = [f"{plan.answer.rig.name}: {standing_words(plan, units)}\n"]
    if plan.candidates:
        blocks.append(candidates_table(plan, units))
    if plan.steps:
        blocks.append(plan_table(plan, units))
    words = (
        step_rule_words(plan, units),
        plan_words(plan, units),
        counted_words(plan),
        hindrance_words(plan, units),
        spare_words(plan, units),
        barred_words(plan, units),
        first_shot_words(plan, units),
        chain_words(plan, units),
    )
    return (*blocks, *dict.fromkeys(filter(None, words)), *map(Mind, plan_cautions(plan, units)))


def _on_butt(step: Step) -> str:
    return chance_words(step.chance) + ("" if step.is_safe else " unsafe")


def _bought(step: Step, units: Units) -> tuple[str, str]:
    """Band and trusted distance after a group."""
    trusted = told(in_unit(step.trusted_m, units.distance), 0) if step.trusted_m else NOTHING
    return f"±{told(in_unit(step.band_m, units.miss), 1)}", trusted


def _by_place(steps: Iterable[Step]) -> list[list[Step]]:
    return [list(there) for _, there in groupby(steps, key=lambda step: step.distance_m)]


def candidates_table(plan: Plan, units: Units) -> Table:
    """What one more group buys at each distance, unsafe ones marked."""
    wanted, unit = distance_words(plan.order.wanted_m, units), units.distance
    title = f"What one group buys (band at {wanted}, {units.miss}; trusted distance, {unit})"
    heads = (unit, "on the butt", *(f"{arrows} arrows" for arrows in ARROWS))
    places = _by_place(plan.candidates)
    rows = tuple(
        (
            far(steps[0].distance_m, units),
            _on_butt(steps[0]),
            *(", ".join(_bought(step, units)) for step in steps),
        )
        for steps in places
    )
    unsafe = frozenset(place for place, steps in enumerate(places) if not steps[0].is_safe)
    return Table(title, heads, rows, unsafe)


def plan_table(plan: Plan, units: Units) -> Table:
    """The plan, group by group."""
    unit = units.distance
    heads = ("group", unit, "dial mm", "arrows", "on the butt", f"then band {units.miss}",
             f"trusted {unit}")  # fmt: skip
    rows = tuple(
        (
            str(place + 1),
            far(step.distance_m, units),
            "by eye" if plan.is_set_by_eye else dial_words(plan, place).removesuffix(" mm"),
            str(step.arrows),
            _on_butt(step),
            *_bought(step, units),
        )
        for place, step in enumerate(plan.steps)
    )
    return Table("Plan", heads, rows)


def plan_words(plan: Plan, units: Units) -> str:
    """What the plan does, as a sentence or two; empty when nothing is left to shoot."""
    if plan.is_trusted or not plan.steps:
        is_idle = not plan.is_trusted and plan.hindrance is None
        why = "the sight reaches none of these distances, or no arrow is left"
        return f"No group can be planned: {why}." if is_idle else ""
    wanted = distance_words(plan.order.wanted_m, units)
    arrows = sum(step.arrows for step in plan.steps)
    groups = counted(len(plan.steps), "group")
    first = f"The plan: {groups}, {arrows} arrows, in this order; after each group plan anew."
    if plan.gets_there:
        return f"{first} It ends when {wanted} is trusted."
    last_m = plan.steps[-1].trusted_m
    reached = f"trust to {distance_words(last_m, units)}" if last_m else "no trust yet"
    return (
        f"{first} It ends short of {wanted}, with {reached} to be expected: more arrows, a larger "
        "butt, or a wider tolerance would be needed."
    )


def spare_words(plan: Plan, units: Units) -> str:
    """What still tells something when all is trusted; empty else."""
    if plan.spare is None:
        return ""
    where = distance_words(plan.spare.distance_m, units)
    most = f"{plan.spare.arrows} arrows at {where} tell most about what may be wrong"
    return f"If you shoot all the same, {most}."


def barred_words(plan: Plan, units: Units) -> str:
    """Distances left out since the sight does not reach them; empty when there are none."""
    if not plan.barred_m:
        return ""
    left_out = ", ".join(distance_words(barred_m, units) for barred_m in plan.barred_m)
    return f"Left out, since the sight does not surely reach them: {left_out}."


def first_shot_words(plan: Plan, units: Units) -> str:
    """The first arrow at the wanted distance, as sentences."""
    first = plan.first
    if first is None:
        return no_reach_words(plan, units)
    if plan.is_set_by_eye:
        return ""
    wanted = distance_words(plan.order.wanted_m, units)
    low, high, tall_95, tall_99 = (
        tenths(length_m, units)
        for length_m in (first.low_m, first.high_m, first.height_95_m, first.height_99_m)
    )
    return (
        f"First arrow at {wanted}, shot now: dial {amount(first.reading_m, 'mm')}; nine of ten "
        f"such arrows land between {low} low and {high} high. A butt {tall_95} tall stops 95 %, "
        f"{tall_99} tall 99 %; on yours: {chance_words(first.chance)}."
    )


def chain_words(plan: Plan, units: Units) -> str:
    """The way back to the first far arrow, as a sentence; empty when it is not asked."""
    if plan.first is None or plan.first.is_safe:
        return ""
    wanted = distance_words(plan.order.wanted_m, units)
    stops = [distance_words(step.distance_m, units) for step in plan.chain]
    if not plan.chain_gets_there:
        way = f" Groups lead to {stops[-1]} and no farther." if stops else ""
        return f"Do not shoot {wanted} at this butt yet.{way}"
    return (
        f"Do not shoot {wanted} at this butt yet. The way there: {', '.join(stops[:-1])}, planning "
        f"anew after each; then {wanted} is safe."
    )


def plan_cautions(plan: Plan, units: Units) -> tuple[str, ...]:
    """What must be read before a planned arrow is loosed."""
    known = mark_words(plan.answer, units, but="no arrows")
    return (*known, FIRST_FAR, *SAFETY[:2], SAFETY[3])


def _write(plan: Plan, units: Units) -> Row:
    rig = plan.answer.rig
    checks = {part: found_of(rig, part) for part in PARTS}
    return plan_json(plan, units) | {"questions": questions_json(questions(rig)), "checks": checks}


def plan_json(plan: Plan, units: Units) -> Row:
    """A plan for programs, but for what must be answered and looked at before it."""
    unit, miss, order, wish = units.distance, units.miss, plan.order, plan.order.wish
    ladder, answer = plan.ladder, plan.answer
    return head_json(SCHEMA, answer) | {
        "band": wish.probability,
        f"wanted_distance_{unit}": rounded(order.wanted_m, unit, 4),
        f"tolerance_{miss}": rounded(wish.tolerance_m, miss),
        f"butt_width_{miss}": rounded(wish.butt.width_m, miss),
        f"butt_height_{miss}": rounded(wish.butt.height_m, miss),
        "most_arrows": order.most_arrows,
        f"trusted_distance_{unit}": rounded(plan.trusted_m, unit) if answer.is_earned else None,
        f"band_{miss}": rounded(plan.band_m, miss),
        "candidates": [
            _place_json(steps[0], units) | {"groups": [_bought_json(step, units) for step in steps]}
            for steps in _by_place(plan.candidates)
        ],
        f"farthest_hit_{unit}": rounded(ladder.hit_m, unit, 4) if ladder.hit_m else None,
        f"next_step_to_{unit}": rounded(ladder.farthest_m, unit, 4),
        "near_arrow_first": ladder.needs_near_arrow,
        f"left_out_{unit}": [rounded(barred_m, unit, 4) for barred_m in plan.barred_m],
        "plan": [
            _place_json(step, units)
            | {"reading_mm": None if plan.is_set_by_eye else rounded(reading_m, "mm")}
            | {"walk": plan.is_walk(step)}
            | _bought_json(step, units)
            for step, reading_m in zip(plan.steps, plan.readings_m, strict=True)
        ],
        "plan_arrows": sum(step.arrows for step in plan.steps),
        "gets_there": plan.gets_there,
        "first_arrow": _first_arrow_json(plan, units),
        "hindrance": _hindrance_json(plan, units),
        "spare_group": plan.spare
        and _place_json(plan.spare, units) | _bought_json(plan.spare, units),
        "first_shot": _first_shot_json(plan, units),
        "walk_back": [_place_json(step, units) | {"arrows": step.arrows} for step in plan.chain],
        "walk_back_gets_there": plan.chain_gets_there,
        "cautions": list(plan_cautions(plan, units)),
    }


def _place_json(step: Step, units: Units) -> Row:
    return {
        f"distance_{units.distance}": rounded(step.distance_m, units.distance, 4),
        "chance_on_butt": rounded(step.chance, "", 4),
        "safe": step.is_safe,
    }


def _bought_json(step: Step, units: Units) -> Row:
    return {
        "arrows": step.arrows,
        f"band_{units.miss}": rounded(step.band_m, units.miss),
        f"trusted_distance_{units.distance}": rounded(step.trusted_m, units.distance),
    }


def _first_arrow_json(plan: Plan, units: Units) -> Row | None:
    """Where the first arrow of the first group may hit; by eye: anywhere on the butt."""
    if not plan.steps:
        return None
    low_m, high_m = (None, None) if plan.is_set_by_eye else plan.lands_m
    return {
        f"distance_{units.distance}": rounded(plan.steps[0].distance_m, units.distance, 4),
        f"low_{units.miss}": rounded(low_m, units.miss),
        f"high_{units.miss}": rounded(high_m, units.miss),
    }


def _hindrance_json(plan: Plan, units: Units) -> Row | None:
    hindrance, miss = plan.hindrance, units.miss
    if hindrance is None:
        return None
    return {
        "kind": hindrance.kind,
        f"distance_{units.distance}": rounded(hindrance.distance_m, units.distance, 2) or None,
        f"butt_width_{miss}": rounded(hindrance.width_m, miss, 1) or None,
        f"butt_height_{miss}": rounded(hindrance.height_m, miss, 1) or None,
    }


def _first_shot_json(plan: Plan, units: Units) -> Row | None:
    first, miss = plan.first, units.miss
    if first is None:
        return None
    return {
        f"distance_{units.distance}": rounded(first.distance_m, units.distance, 4),
        "reading_mm": None if plan.is_set_by_eye else rounded(first.reading_m, "mm"),
        f"low_{miss}": rounded(first.low_m, miss),
        f"high_{miss}": rounded(first.high_m, miss),
        f"butt_height_95_{miss}": rounded(first.height_95_m, miss),
        f"butt_height_99_{miss}": rounded(first.height_99_m, miss),
        "chance_on_butt": rounded(first.chance, "", 4),
        "safe": first.is_safe,
    }


def _withheld(answer: Answer, refused: Withheld, units: Units) -> Row:
    """A plan that is withheld: the same keys with nothing in them, and why."""
    unit, miss = units.distance, units.miss
    nothing = (
        f"wanted_distance_{unit}", f"tolerance_{miss}", f"butt_width_{miss}",
        f"butt_height_{miss}", "most_arrows", f"trusted_distance_{unit}", f"band_{miss}",
        f"farthest_hit_{unit}", f"next_step_to_{unit}", "near_arrow_first", "first_arrow",
        "hindrance", "spare_group", "first_shot",
    )  # fmt: skip
    empty = ("candidates", f"left_out_{unit}", "plan", "walk_back", "cautions")
    return (
        head_json(SCHEMA, answer)
        | dict.fromkeys(nothing)
        | {key: [] for key in empty}
        | {"plan_arrows": 0, "gets_there": False, "walk_back_gets_there": False}
        | {"checks": {part: found_of(answer.rig, part) for part in PARTS}}
        | withheld_json(refused)
    )


FIELDS = (
    Field("wanted", "Trusted distance wanted", takes="DISTANCE", option_name="to",
          hint="Such as 60 yd. Left open: the farthest ten of the tape not yet trusted."),
    Field("tolerance", "Miss that is still good", takes="RADIUS",
          hint="Such as 3 in. Left open: the rig sheet's."),
    BUTT,
    Field("arrows", "Arrows", "60", hint="At most so many before you tire.", takes="NUMBER"),
    Field("distances", "Where you can shoot", takes="LIST",
          hint="Such as 18, 30, 50 m. Left open: anywhere."),
    Field("walk", "May you walk nearer", "yes", choices=WALKS,
          hint="Whether the range lets you stand at other distances than those."),
    Field("temperature", "Temperature today", takes="TEMPERATURE",
          hint="Such as -5 °C or 30 °F. Left open: like that of the groups."),
)  # fmt: skip
QUESTION = Question(
    "plan",
    "What to shoot next",
    "Groups in an order in which few arrows buy much trust, the first from near by, none much "
    "farther than the one before. Shots that would not surely land on your butt are not asked for.",
    FIELDS,
    _ask,
    _tell,
    _write,
    where="wanted",
    more="Without shots it plans the whole session, the first arrow from near by. Each group is "
    "shot one arrow first; then look. Shoot the first group, add it to SHOTS.csv, and plan anew.",
    withheld=_withheld,
)

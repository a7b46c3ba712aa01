"""Wording of planning: sentences about what to shoot next, for every face.

Holds:  where the archer stands; what a plan does; a first far arrow and the way back to it.
Never:  layout, computations.
"""

from tapewright.services.advise import Plan
from tapewright.words.answer import SAFETY, mark_words
from tapewright.words.quantities import in_unit
from tapewright.words.units import Units, amount

FIRST_FAR = (
    "Before a first far arrow: a safe stop wider and taller than the butt, clear ground behind "
    "it, nobody near the line of flight. If in doubt, shoot nearer."
)


def tidy_distance(distance_m: float, unit: str) -> str:
    """A distance with its unit, decimals only where it has some."""
    return f"{in_unit(distance_m, unit):.5g} {unit}"


def chance_words(chance: float) -> str:
    """A chance in per cent that never claims certainty."""
    return "over 99 %" if chance > 0.994 else f"{100 * chance:.0f} %"


def standing_words(plan: Plan, units: Units) -> str:
    """Where the archer stands now, as a sentence or two."""
    wanted = tidy_distance(plan.order.wanted_m, units.distance)
    tolerance = amount(plan.order.wish.tolerance_m, units.miss)
    if plan.is_set_by_eye:
        return f"No arrow was shot yet. Wanted: {wanted} trusted within {tolerance}."
    band = f"At {wanted} the band is ±{amount(plan.band_m, units.miss)}."
    if plan.is_trusted:
        return f"{wanted} is trusted within {tolerance} already: no arrow is needed. {band}"
    now = "Nothing is trusted yet"
    if plan.trusted_m:
        now = f"Trusted to {tidy_distance(plan.trusted_m, units.distance)}"
    return f"{now} within {tolerance}; wanted: {wanted}. {band}"


def step_rule_words(plan: Plan, units: Units) -> str:
    """How the first group of a plan is to be shot, and why there; empty without one."""
    if not plan.steps:
        return ""
    step, ladder = plan.steps[0], plan.ladder
    where = tidy_distance(step.distance_m, units.distance)
    walk = " Walk up to there, with the range's leave." if plan.is_walk(step) else ""
    look = "one arrow, then look; the others only if it hit where it may"
    if plan.is_set_by_eye:
        return f"First from {where}, the sight set by eye: {look}, on the butt.{walk}"
    low, high = (height_words(end, units) for end in plan.lands_m)
    first = f"Next at {where}: {look}, between {low} and {high} of the aim.{walk}"
    if ladder.needs_near_arrow:
        why = "something may have moved the zero"
        if any(one.kind == "other air" for one in plan.answer.cautions):
            why = "limbs and string shoot otherwise in such air"
        return f"{first} It stands near by, since {why}."
    hit = tidy_distance(ladder.hit_m, units.distance)
    far = tidy_distance(ladder.farthest_m, units.distance)
    return (
        f"{first} The farthest group that fits hit at {hit}, so no arrow is shot past {far} before "
        "this one is seen, and none where fewer than 99 of 100 stay on the butt."
    )


def height_words(up_m: float, units: Units) -> str:
    """A height above or below the aim."""
    return f"{amount(abs(up_m), units.miss)} {'high' if up_m > 0 else 'low'}"


def hindrance_words(plan: Plan, units: Units) -> str:
    """What stands in the way of the wish and what would do; empty when nothing does."""
    found = plan.hindrance
    if found is None:
        return ""
    wanted = tidy_distance(plan.order.wanted_m, units.distance)
    if found.kind == "reach":
        return f"The sight does not surely reach {wanted}: see its limits."
    where = tidy_distance(found.distance_m, units.distance)
    done = "That is as far as it goes here." if plan.steps else "Nothing may be shot here."
    if found.kind == "butt":
        wide, tall = (amount(one, units.miss) for one in (found.width_m, found.height_m))
        need = f"one {wide} wide and {tall} tall stops 99 arrows of 100"
        return f"{done} At {where} this butt is too small: {need}."
    if not found.distance_m:
        return f"{done} No distance is near enough for this butt: take a larger one."
    far = "Farther ones are too long a step."
    return f"{done} A place at {where} would do, or a little nearer. {far}"


def spare_words(plan: Plan, units: Units) -> str:
    """What still tells something when all is trusted; empty else."""
    if plan.spare is None:
        return ""
    where = tidy_distance(plan.spare.distance_m, units.distance)
    most = f"{plan.spare.arrows} arrows at {where} tell most about what may be wrong"
    return f"If you shoot all the same, {most}."


def plan_words(plan: Plan, units: Units) -> str:
    """What the plan does, as a sentence or two; empty when nothing is left to shoot."""
    wanted = tidy_distance(plan.order.wanted_m, units.distance)
    if plan.is_trusted:
        return ""
    if not plan.steps and plan.hindrance is None:
        why = "the sight reaches none of these distances, or no arrow is left"
        return f"No group can be planned: {why}."
    if not plan.steps:
        return ""
    arrows = sum(step.arrows for step in plan.steps)
    groups = "1 group" if len(plan.steps) == 1 else f"{len(plan.steps)} groups"
    said = f"The plan: {groups}, {arrows} arrows, in this order; after each group plan anew."
    if plan.gets_there:
        return f"{said} It ends when {wanted} is trusted."
    last_m = plan.steps[-1].trusted_m
    reached = f"trust to {tidy_distance(last_m, units.distance)}" if last_m else "no trust yet"
    return (
        f"{said} It ends short of {wanted}, with {reached} to be expected: more arrows, a larger "
        "butt, or a wider tolerance would be needed."
    )


def counted_words(plan: Plan) -> str:
    """Why no reading is told when no arrow was shot; else empty."""
    if not plan.is_set_by_eye:
        return ""
    return (
        "Set the sight by eye for the first arrow, write down its reading, and plan anew: readings "
        "are told from then on."
    )


def first_shot_words(plan: Plan, units: Units) -> str:
    """The first arrow at the wanted distance, as sentences."""
    wanted, first = tidy_distance(plan.order.wanted_m, units.distance), plan.first
    if first is None:
        return f"The sight does not surely reach {wanted}: see its limits."
    if plan.is_set_by_eye:
        return ""
    low, high = (amount(abs(end), units.miss) for end in (first.low_m, first.high_m))
    tall = [amount(height, units.miss) for height in (first.height_95_m, first.height_99_m)]
    return (
        f"First arrow at {wanted}, shot now: dial {amount(first.reading_m, 'mm')}; nine of ten "
        f"such arrows land between {low} low and {high} high. A butt {tall[0]} tall stops 95 %, "
        f"{tall[1]} tall 99 %; on yours: {chance_words(first.chance)}."
    )


def chain_words(plan: Plan, units: Units) -> str:
    """The way back to the first far arrow, as a sentence; empty when it is not asked."""
    if plan.first is None or plan.first.is_safe:
        return ""
    wanted = tidy_distance(plan.order.wanted_m, units.distance)
    stops = [tidy_distance(step.distance_m, units.distance) for step in plan.chain]
    if not plan.chain_gets_there:
        way = f" Groups lead to {stops[-1]} and no farther." if stops else ""
        return f"Do not shoot {wanted} at this butt yet.{way}"
    return (
        f"Do not shoot {wanted} at this butt yet. The way there: {', '.join(stops[:-1])}, planning "
        f"anew after each; then {wanted} is safe."
    )


def barred_words(plan: Plan, units: Units) -> str:
    """Distances left out since the sight does not reach them; empty when there are none."""
    if not plan.barred_m:
        return ""
    left_out = ", ".join(tidy_distance(one, units.distance) for one in plan.barred_m)
    return f"Left out, since the sight does not surely reach them: {left_out}."


def plan_cautions(plan: Plan, units: Units) -> tuple[str, ...]:
    """What must be read before a planned arrow is loosed."""
    known = mark_words(plan.answer, units, but="no arrows")
    return (*known, FIRST_FAR, *SAFETY[:2], SAFETY[3])

"""Next shot: where the archer stands, the next groups, what stands in their way, as sentences.

Holds:  these sentences, said by a plan, beside a group just shot and in what is kept.
Never:  how a plan is made (services/advise.py), layout.
"""

from tapewright.services.advise import Plan
from tapewright.services.limits import reachable
from tapewright.words.number_format import chance_words, counted, told
from tapewright.words.quantity_parser import format_quantity, in_unit
from tapewright.words.readings_on_tape import dial_words
from tapewright.words.sight_moves import click_words
from tapewright.words.slips import slip_words
from tapewright.words.trust_sentences import trusted_words, unproven_k, warmer_words
from tapewright.words.unit_system import Units, amount, distance_words, round_amount

FIRST_FAR = (
    "Before a first far arrow: a safe stop wider and taller than the butt, clear ground behind "
    "it, nobody near the line of flight. If in doubt, shoot nearer."
)
MISSES = (
    "Three groups in a row went past the butt: shoot no more. Go through the check list: nock, "
    "rest, centre shot, peep and sight; have somebody who knows bows look, and take these groups "
    "out only when the reason is found."
)
IN_DOUBT = (
    "A group does not fit, and with it or without it no arrow is sure to stay on this butt: settle "
    "that group first (check what was written, put it aside, or shoot it again), or take a larger "
    "butt."
)
PLANNED_PIN = "pin 1"  # plans are told for the top one
HINDERED = {"misses": MISSES, "doubt": IN_DOUBT}
BY_EYE = (
    "Set the sight by eye for the first arrow, write down its reading, and plan anew: readings "
    "are told from then on."
)


def step_dial_words(plan: Plan, place: int) -> str:
    """What to dial for a step, in as many digits as are known."""
    at_m = plan.steps[place].distance_m
    return dial_words(plan.answer, plan.readings_m[place], plan.half_bands_m[place], at_m=at_m)


def step_words(plan: Plan, place: int, units: Units) -> str:
    """One group of a plan, in a few words; before the first arrow nothing can be dialled."""
    step = plan.steps[place]
    dial = "" if plan.is_set_by_eye else f"dial {step_dial_words(plan, place)}, "
    pin = f"{PLANNED_PIN}, " if has_pins(plan) else ""
    return f"{distance_words(step.distance_m, units)}: {dial}{pin}{step.arrows} arrows"


def has_pins(plan: Plan) -> bool:
    """Whether the sight has several pins, so that the one to aim with must be named."""
    return bool(plan.answer.rig.sight.pins_below_first_m)


def standing_words(plan: Plan, units: Units) -> str:
    """Where the archer stands now, as a sentence or two."""
    wanted = distance_words(plan.order.wanted_m, units)
    tolerance = round_amount(plan.order.wish.tolerance_m, units.miss)
    if plan.is_set_by_eye:
        return f"No arrow was shot yet. Wanted: {wanted} trusted within {tolerance}."
    band = f"At {wanted} the band is ±{tenths(plan.band_m, units)}."
    if (warmer_k := unproven_k(plan.answer)) and plan.ladder.needs_near_arrow:
        at_home = trusted_words(plan.trusted_m, units)
        return (
            f"Nothing is trusted yet in such air, {warmer_words(warmer_k)} than where arrows were "
            f"shot; in theirs {at_home} within {tolerance}. Wanted: {wanted}. {band}"
        )
    if plan.is_trusted:
        return f"{wanted} is trusted within {tolerance} already: no arrow is needed. {band}"
    now = "Nothing is trusted yet"
    if plan.trusted_m:
        now = f"Trusted to {distance_words(plan.trusted_m, units)}"
    return f"{now} within {tolerance}; wanted: {wanted}. {band}{_short_words(plan, units)}"


def _short_words(plan: Plan, units: Units) -> str:
    """That less is wanted than the sheet says, since the sight may not reach it; else empty."""
    farthest_m = plan.answer.rig.archer.farthest_m
    if farthest_m is None or farthest_m <= plan.order.wanted_m + 1e-6:
        return ""
    if reachable(plan.answer, [farthest_m])[0]:
        return ""
    said = distance_words(farthest_m, units)
    return f" The sheet's {said} is not wanted yet: the sight does not surely reach it."


def plan_sentences(plan: Plan, units: Units) -> tuple[str, ...]:
    """All that is said of a plan but where the archer stands, each once."""
    if plan.hindrance is not None and plan.hindrance.kind == "slip":
        return (hindrance_words(plan, units), *filter(None, (barred_words(plan, units),)))
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
    return tuple(dict.fromkeys(filter(None, words)))


def step_rule_words(plan: Plan, units: Units) -> str:
    """How the first group of a plan is to be shot, and why there; empty without one."""
    if not plan.steps:
        return ""
    step, ladder = plan.steps[0], plan.ladder
    where = distance_words(step.distance_m, units)
    walk = " Walk up to there, with the range's leave." if plan.is_walk(step) else ""
    look = "one arrow, then look; the others only if it hit where it may"
    if plan.is_set_by_eye:
        again = " Nearer, since arrows went past the butt." if ladder.misses else ""
        first = f"First from {where}, the sight set by eye: {look}, on {butt_words(plan, units)}"
        return f"{first}.{again}{walk}"
    low, high = (_height_words(end, units) for end in plan.lands_m)
    first = f"Next at {where}: {look}, between {low} and {high} of the aim.{walk}{_part(plan)}"
    if plan.windage_rad:
        return f"{windage_first_words(plan, units)} {first}"
    if ladder.misses:
        missed = distance_words(ladder.missed_m, units)
        return f"{first} Arrows went past the butt at {missed}: back to where they are sure to hit."
    if ladder.needs_near_arrow:
        why = "something may have moved the zero"
        if any(caution.kind == "other air" for caution in plan.answer.cautions):
            why = "limbs and string shoot otherwise in such air"
        return f"{first} It stands near by, since {why}."
    hit, farthest = (distance_words(end, units) for end in (ladder.hit_m, ladder.farthest_m))
    butt = butt_words(plan, units)
    return (
        f"{first} The farthest group that fits hit at {hit}, so no arrow is shot past {farthest} "
        f"before this one is seen, and none where fewer than 99 of 100 stay on {butt}."
    )


def butt_words(plan: Plan, units: Units) -> str:
    """The butt that a plan counts on."""
    butt, unit = plan.order.wish.butt, units.miss
    wide, tall = (f"{in_unit(side, unit):.1f}" for side in (butt.width_m, butt.height_m))
    wide, tall = (side.removesuffix(".0") for side in (wide, tall))
    return f"a butt {wide} {unit} wide and {tall} {unit} tall"


def windage_first_words(plan: Plan, units: Units) -> str:
    """What to turn to the side before the first group of a plan."""
    where, side = plan.steps[0].distance_m, "right" if plan.windage_rad > 0.0 else "left"
    off = tenths(plan.windage_rad * where, units)
    by = format_quantity(abs(plan.pin_right_m), "mm", 1)
    return (
        f"Turn the windage first: arrows land {off} {side} at {distance_words(where, units)}, and "
        f"farther out they would miss the butt. Move the pin {side} by {by}"
        f"{click_words(plan.right_clicks, None)}."
    )


def _part(plan: Plan) -> str:
    """That only part of the correction is dialled; empty when all of it is."""
    if plan.share == 1.0:
        return ""
    part = {1 / 2: "half", 1 / 4: "a quarter", 1 / 8: "an eighth"}.get(plan.share, "a sixteenth")
    return (
        f" Dial {part} of the correction only: how far a millimetre moves the arrow is not known "
        "well enough, and all of it might send the arrow past the butt."
    )


def counted_words(plan: Plan) -> str:
    """Why no reading is told for the first arrow of a plan; else empty."""
    return BY_EYE if plan.is_set_by_eye and plan.steps else ""


def hindrance_words(plan: Plan, units: Units) -> str:
    """What stands in the way of the wish and what would do; empty when nothing does."""
    hindrance = plan.hindrance
    if hindrance is None:
        return ""
    if hindrance.kind == "reach":
        return no_reach_words(plan, units)
    if hindrance.kind == "slip":
        return slip_words(plan.answer, units)
    if hindrance.kind in HINDERED:
        return HINDERED[hindrance.kind]
    where = distance_words(hindrance.distance_m, units)
    done = "That is as far as it goes here." if plan.steps else "Nothing may be shot here."
    if hindrance.kind == "butt":
        wide, tall = (tenths(side, units) for side in (hindrance.width_m, hindrance.height_m))
        need = f"one {wide} wide and {tall} tall stops 99 arrows of 100"
        return f"{done} At {where} this butt is too small: {need}."
    if not hindrance.distance_m:
        return f"{done} No distance is near enough for this butt: take a larger one."
    farther = "Farther ones are too long a step."
    return f"{done} A place at {where} would do, or a little nearer. {farther}"


def plan_words(plan: Plan, units: Units) -> str:
    """What the plan does, as a sentence or two; empty when nothing is left to shoot."""
    if plan.is_trusted or not plan.steps:
        is_idle = not plan.is_trusted and plan.hindrance is None
        why = "the sight reaches none of these distances, or no arrow is left"
        return f"No group can be planned: {why}." if is_idle else ""
    wanted = distance_words(plan.order.wanted_m, units)
    arrows = sum(step.arrows for step in plan.steps)
    if plan.share < 1.0 or plan.windage_rad or plan.ladder.misses:
        return f"This one group, {arrows} arrows; then plan anew."
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
    left_out = ", ".join(distance_words(barred_m, units) for barred_m in plan.barred_m)
    return f"Left out, since the sight does not surely reach them: {left_out}." if left_out else ""


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
    dial = amount(first.reading_m, "mm")
    if plan.answer.tape:
        dial = dial_words(plan.answer, first.reading_m, 0.0, at_m=plan.order.wanted_m)
    return (
        f"First arrow at {wanted}, shot now: dial {dial}; nine of ten "
        f"such arrows land between {low} low and {high} high. A butt {tall_95} tall stops 95 %, "
        f"{tall_99} tall 99 %; on yours: {chance_words(first.chance)}."
    )


def chain_words(plan: Plan, units: Units) -> str:
    """The way back to the first far arrow, as a sentence; empty when it is not asked."""
    if plan.first is None or plan.first.is_safe:
        return ""
    wanted = distance_words(plan.order.wanted_m, units)
    stops = [distance_words(step.distance_m, units) for step in plan.chain]
    way = f" Groups lead to {stops[-1]} and no farther." if stops else ""
    if plan.chain_gets_there:
        before = ", ".join(stops[:-1])
        way = f" The way there: {before}, planning anew after each; then {wanted} is safe."
    return f"Do not shoot {wanted} at this butt yet.{way}"


def no_reach_words(plan: Plan, units: Units) -> str:
    """That the sight ends before the wanted distance."""
    wanted = distance_words(plan.order.wanted_m, units)
    return f"The sight does not surely reach {wanted}: see its limits."


def tenths(length_m: float, units: Units) -> str:
    """A length at the target: nobody knows, nor measures, a butt or a band finer."""
    return f"{told(abs(in_unit(length_m, units.miss)), 1)} {units.miss}"


def _height_words(up_m: float, units: Units) -> str:
    return f"{tenths(up_m, units)} {'high' if up_m > 0 else 'low'}"

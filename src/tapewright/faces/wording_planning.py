"""Wording of planning: sentences about what to shoot next, for every face.

Holds:  where the archer stands; what a plan does; a first far arrow and the way back to it.
Never:  layout, computations.
"""

from tapewright.faces.quantities import in_unit
from tapewright.faces.wording import SAFETY, Units, amount
from tapewright.services.advise import Plan
from tapewright.services.calibrate import COUNTED_FROM_M

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
    """Where the archer stands now, as a sentence or two.

    Parameters
    ----------
    plan : Plan
        The plan.
    units : Units
        What the person reads.

    Returns
    -------
    str
        Trusted distance and band.
    """
    wanted = tidy_distance(plan.order.wanted_m, units.distance)
    tolerance = amount(plan.order.wish.tolerance_m, units.miss)
    band = f"At {wanted} the band is ±{amount(plan.band_m, units.miss)}."
    if plan.answer.posterior.method == "prior":
        return f"No arrow was shot yet. Wanted: {wanted} trusted within {tolerance}. {band}"
    if plan.is_trusted:
        return f"{wanted} is trusted within {tolerance} already: no arrow is needed. {band}"
    now = "Nothing is trusted yet"
    if plan.trusted_m:
        now = f"Trusted to {tidy_distance(plan.trusted_m, units.distance)}"
    return f"{now} within {tolerance}; wanted: {wanted}. {band}"


def plan_words(plan: Plan, units: Units) -> str:
    """What the plan does, as a sentence or two; empty when nothing is left to shoot.

    Parameters
    ----------
    plan : Plan
        The plan.
    units : Units
        What the person reads.

    Returns
    -------
    str
        How many arrows, and whether they are enough.
    """
    wanted = tidy_distance(plan.order.wanted_m, units.distance)
    if plan.is_trusted:
        return ""
    if not plan.steps:
        return (
            "No group of three or more can be planned: none lands on this butt surely enough, or "
            "the sight reaches none of these distances. Take a larger butt, or a nearer distance."
        )
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


def counted_words(plan: Plan, units: Units) -> str:
    """From where readings count when no arrow was shot; else empty."""
    if plan.answer.posterior.method != "prior":
        return ""
    near = tidy_distance(COUNTED_FROM_M, units.distance)
    return (
        f"Readings count from the mark for {near}. Set the sight by eye for the first group, "
        "write down its reading, and plan anew. Loose the very first arrow from "
        f"{'10 yd' if units.distance == 'yd' else '9 m'} or nearer."
    )


def first_shot_words(plan: Plan, units: Units) -> str:
    """The first arrow at the wanted distance, as sentences.

    Parameters
    ----------
    plan : Plan
        The plan.
    units : Units
        What the person reads.

    Returns
    -------
    str
        What to dial, where it lands, how tall the butt must be.
    """
    wanted, first = tidy_distance(plan.order.wanted_m, units.distance), plan.first
    if first is None:
        return f"The sight does not surely reach {wanted}: see its limits."
    low, high = (amount(abs(end), units.miss) for end in (first.low_m, first.high_m))
    tall = [amount(height, units.miss) for height in (first.height_95_m, first.height_99_m)]
    return (
        f"First arrow at {wanted}, shot now: dial {amount(first.reading_m, 'mm')}; nine of ten "
        f"such arrows land between {low} low and {high} high. A butt {tall[0]} tall stops 95 %, "
        f"{tall[1]} tall 99 %; on yours: {chance_words(first.chance)}."
    )


def chain_words(plan: Plan, units: Units) -> str:
    """The way back to the first far arrow, as a sentence; empty when it is not asked.

    Parameters
    ----------
    plan : Plan
        The plan.
    units : Units
        What the person reads.

    Returns
    -------
    str
        Distances in the order to shoot them.
    """
    if plan.first is None or plan.first.is_safe:
        return ""
    wanted = tidy_distance(plan.order.wanted_m, units.distance)
    stops = [tidy_distance(step.distance_m, units.distance) for step in plan.chain]
    if not plan.chain_gets_there:
        way = f" Groups of three lead back to {stops[-1]} and no farther." if stops else ""
        return f"Do not shoot {wanted} at this butt yet.{way} Take a larger butt."
    return (
        f"Do not shoot {wanted} at this butt yet. Walk back through {', '.join(stops[:-1])}, three "
        f"arrows each, planning anew on the way; then {wanted} is safe."
    )


def barred_words(plan: Plan, units: Units) -> str:
    """Distances left out since the sight does not reach them; empty when there are none."""
    if not plan.barred_m:
        return ""
    left_out = ", ".join(tidy_distance(one, units.distance) for one in plan.barred_m)
    return f"Left out, since the sight does not surely reach them: {left_out}."


def plan_cautions() -> tuple[str, ...]:
    """What must be read before a planned arrow is loosed."""
    return (FIRST_FAR, *SAFETY[:2], SAFETY[3])

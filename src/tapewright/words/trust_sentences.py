"""Trust sentences: how far marks are trusted, and from how many arrows, for every face.

Holds:  these sentences; where readings count from before the first arrow.
Never:  cautions (cautions.py), the same for programs (answer_json.py), computations.
"""

from tapewright.services.calibrate import COUNTED_FROM_M, Answer
from tapewright.services.equip import Rig
from tapewright.words.number_format import counted
from tapewright.words.unit_system import Units, amount, distance_words, round_amount

BROADHEADS = {  # which were not shot, by how the calibration was made
    "prior": "No broadhead was shot yet",
    "carried": "No arrow was shot since the change",
}


def trusted_words(trusted_m: float, units: Units) -> str:
    """How far something is trusted: a distance, or none."""
    return distance_words(trusted_m, units) if trusted_m else "no distance"


def counted_from(units: Units) -> str:
    """Where readings count from before the first arrow."""
    return distance_words(COUNTED_FROM_M, units)


def warmer_words(warmer_k: float) -> str:
    """How much warmer or colder it is."""
    return f"{abs(warmer_k):.0f} °C {'warmer' if warmer_k > 0.0 else 'colder'}"


def unproven_k(answer: Answer) -> float:
    """How much warmer its air is than where arrows were shot; 0: limbs are as then. [K]"""
    return next((one.numbers[0] for one in answer.cautions if one.kind == "other air"), 0.0)


def trust_words(answer: Answer, units: Units) -> str:
    """How far the tape can be trusted, in a sentence or two."""
    told, warmer_k = _trust_words(answer, units), unproven_k(answer)
    if not warmer_k or not answer.trusted_m[0]:
        return told
    air = f"In this air, {warmer_words(warmer_k)} than where arrows were shot, that is unproven"
    return f"{told} {air}: see “Cold and clothing”."


def _trust_words(answer: Answer, units: Units) -> str:
    trusted, alone = answer.trusted_m[0], answer.once_zeroed_m[0]
    rig, probability = answer.rig, answer.bands.probability
    if answer.stops:
        return "Nothing is trusted: this set-up must not be shot."
    if answer.slips:
        reach = f"Trusted to {amount(trusted, units.distance)}" if trusted else "Nothing is trusted"
        return f"{reach} until something that seems to be written down wrongly is settled."
    if not alone and answer.doubt.without:
        return "Nothing is trusted: without a group that does not fit the marks would be others."
    if not alone:
        return plain_trust_words(0.0, rig, probability, units)
    if not answer.is_earned:
        misses = _misses(rig, probability, units)
        return f"{_unearned(answer, units)} {amount(alone, units.distance)} {misses}"
    odd = sum(group.is_odd for group in answer.groups)
    but = f" But {odd} of {len(answer.groups)} groups do not fit: see below." if odd else ""
    pins = "".join(f" {one}" for one in _other_pins(answer, units))
    if trusted < alone:
        hit = amount(max(one.distance_m for one in answer.groups if not one.is_odd), units.distance)
        reach = amount(alone, units.distance)
        if not trusted:
            carry = f"the bands alone would carry {reach}, but no group that fits hit past {hit}."
            return f"Nothing is trusted yet: {carry}{but}"
        pins = f" The bands alone would carry {reach}; no group that fits hit past {hit}.{pins}"
    return f"{plain_trust_words(trusted, rig, probability, units)}{pins}{but}"


def _other_pins(answer: Answer, units: Units) -> tuple[str, ...]:
    """How far each other pin is trusted, if that is told as another distance than the first's."""
    told = [amount(far_m, units.distance) for far_m in answer.trusted_m]
    return tuple(
        pin_trust_words(pin, far_m, units)
        for pin, far_m in enumerate(answer.trusted_m[1:], 2)
        if told[pin - 1] != told[0]
    )


def plain_trust_words(trusted_m: float, rig: Rig, probability: float, units: Units) -> str:
    """How far a tape can be trusted when nothing else is to be said of it, as a sentence."""
    if not trusted_m:
        tolerance, percent = round_amount(rig.archer.tolerance_m, units.miss), 100 * probability
        return (
            f"Not yet trusted at any distance: {percent:.0f} % bands reach past a {tolerance} miss."
        )
    reach = amount(trusted_m, units.distance)
    return f"Trusted to {reach}: up to there a mark {_misses(rig, probability, units)}"


def pin_trust_words(pin: int, trusted_m: float, units: Units) -> str:
    """How far a pin is trusted, as a sentence."""
    return f"Pin {pin} is trusted to {trusted_words(trusted_m, units)}."


def _misses(rig: Rig, probability: float, units: Units) -> str:
    tolerance = round_amount(rig.archer.tolerance_m, units.miss)
    return f"misses by less than {tolerance} with {100 * probability:.0f} % chance."


def _unearned(answer: Answer, units: Units) -> str:
    """Why nothing is trusted, and when a mark would be."""
    if answer.rig.arrow.point == "broadhead" and answer.posterior.method in BROADHEADS:
        never = BROADHEADS[answer.posterior.method]
        told = "Broadheads are trusted no farther than a group of them that fits has hit."
        return f"{never}, so nothing is trusted. {told} If the bands are right, a mark up to"
    if answer.posterior.method == "prior":
        near = counted_from(units)
        return f"No arrow was shot yet, so nothing is trusted. Once {near} is zeroed, a mark up to"
    if answer.posterior.method == "carried":
        told = "No arrow was shot since the change, so nothing is trusted."
        return f"{told} Once one near group fits, a mark up to"
    return "No group fits, so nothing is trusted. If the bands are right, a mark up to"


def shot_words(answer: Answer) -> str:
    """What was shot, counted: groups, arrows, bare marks."""
    if answer.posterior.method == "carried":
        return "Carried over a change, no arrow shot since"
    marks = [
        one
        for one in answer.observations
        if one.group.counted
        and all(hit.arrows > 1 and not hit.up_m and not hit.right_m for hit in one.group.impacts)
    ]
    if not answer.observations:
        return "no group yet"
    groups = len(answer.observations) - len(marks)
    if not groups:
        return f"{counted(len(marks), 'bare mark')}, no arrow written down"
    arrows = sum(one.group.arrows for one in answer.observations if one not in marks)
    told = f"{counted(groups, 'group')}, {counted(arrows, 'arrow')}"
    return f"{told} and {counted(len(marks), 'bare mark')}" if marks else told

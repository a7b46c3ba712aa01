"""Answer: what is said of a calibration, shared by every question and face.

Holds:  names of unknowns; sentences for cautions, for trust and for safety.
Never:  layout, colours, computations; what stands on a tape (tape.py).
"""

from math import isnan
from statistics import NormalDist

from tapewright.services.calibrate import COUNTED_FROM_M, Answer, Caution, Estimate
from tapewright.services.equip import Rig
from tapewright.words.quantities import format_quantity, format_with_doubt, in_unit
from tapewright.words.units import DECIMALS, Units, amount, round_amount

COUNTS_FOR_LITTLE = 0.1  # of the larger miss
MARK_CAUTIONS = {"no arrows", "few arrows", "carried", "other air", "same arrows"}  # of every mark

UNKNOWN_WORDS = {
    "launch_speed": "launch speed",
    "drag_coefficient": "drag coefficient",
    "peep_height": "peep height",
    "zero_reading": "zero reading",
    "reading_per_travel": "reading per pin travel",
    "launch_point": "launch point before the eye",
    "windage_offset": "windage offset",
    "sideways_offset": "sideways offset",
    "dispersion_up": "dispersion up and down",
    "dispersion_right": "dispersion left and right",
    "wobble": "wobble from group to group",
}

SAFETY = (
    "Shoot only at a safe stop with clear ground behind it; a first far arrow needs a larger butt.",
    "Distances to people and boundaries: club's and national body's rules, and local law.",
    "Never shoot a damaged shaft or one lighter than the bow maker allows; never dry-fire.",
    "Never shoot past the distance at which arrow and housing clear each other.",
    "Press work and changes at peak weight belong to a qualified technician.",
    "In hunting the trusted distance is no permission: local law and the animal decide.",
)


def unknown_words(name: str) -> str:
    """Name of an unknown as people say it."""
    if name in UNKNOWN_WORDS:
        return UNKNOWN_WORDS[name]
    return name.replace("_", " ")  # pin 2 below first


def estimate_unit(estimate: Estimate, units: Units) -> str:
    """Unit in which an estimate is read; readings are always in mm."""
    if estimate.name in ("zero_reading", "sideways_offset") or estimate.name.startswith("pin_"):
        return units.reading
    return units.of_kind(estimate.kind)


def _plus_minus(low: float, high: float, unit: str) -> str:
    half = 0.5 * (in_unit(high, unit) - in_unit(low, unit)) if unit else 0.5 * (high - low)
    return f"{half:.{DECIMALS[unit]}f}"


def _offset(right: float, up: float, unit: str) -> str:
    """Where a group lies, in words; what was not measured or counts for little is left out."""
    misses = ((up, ("high", "low")), (right, ("right", "left")))
    largest = max(abs(miss) for miss, _ in misses if not isnan(miss))
    parts = [
        f"{amount(abs(miss), unit)} {words[miss < 0]}"
        for miss, words in misses
        if not isnan(miss) and abs(miss) > COUNTS_FOR_LITTLE * largest
    ]
    return " and ".join(parts)


def caution_words(caution: Caution, answer: Answer, units: Units) -> str:
    """One caution as a sentence."""
    numbers = caution.numbers
    if caution.kind == "no arrows":
        near = format_quantity(COUNTED_FROM_M, units.distance, 1)
        return (
            f"No arrow was shot yet: this is a starting strip. Readings count from {near}, and "
            "the bands say how far the rig sheet can be wrong once that distance is zeroed."
        )
    if caution.kind == "carried":
        return (
            "No arrow was shot since the change: the marks follow from the old arrows and from "
            "what such a change usually does. Confirm them before you trust them."
        )
    if caution.kind == "few arrows":
        return (
            f"Only {numbers[0]:.0f} arrows so far: the dispersion is mostly assumed. A second "
            "group at another distance buys the most."
        )
    if caution.kind == "other air":
        far = f"{abs(numbers[0]):.0f} °C {'warmer' if numbers[0] > 0.0 else 'colder'}"
        return (
            f"The air of the rig sheet is {far} than where arrows were shot: limbs and string "
            "change, too, and these marks count the air alone. Shoot one near arrow first, and go "
            "farther only from what it shows."
        )
    if caution.kind == "same arrows":
        return (
            f"Groups {caution.subject} hold the same arrows: counted twice they make marks look "
            "surer than they are. Leave one of them out."
        )
    if caution.kind == "odd group":
        distance, right, up = numbers
        check = "its distance and reading"
        if isnan(up) or abs(right) > abs(up):
            check = "the signs of right and left, whether the windage was moved, and the wind"
        return (
            f"Group {caution.subject} at {amount(distance, units.distance)} does not fit the "
            f"others: it lies {_offset(right, up, units.miss)} of where they put it. Check "
            f"{check}, or shoot it again."
        )
    if caution.kind == "unusual drag":
        return (
            f"The drag of this arrow comes out at {numbers[0]:.4f} per metre, outside the usual "
            "0.0008 to 0.0040. Check arrow mass, shaft diameter and the far distances."
        )
    if caution.kind == "second sampler":
        return (
            "The doubt has an unusual shape, so a slower way of drawing it was used "
            f"({numbers[0]:.0f} distinct draws)."
        )
    return _estimate_caution(caution, answer, units)


def _differing_words(caution: Caution, answer: Answer, units: Units) -> str:
    """What the sheet says twice and differently, and how it counts."""
    prior, (value, sd, scale) = answer.posterior.calibration.evidence.prior, caution.numbers
    differ = next(one for one in prior.disagreements if one.name == caution.subject)
    said = ", ".join(
        f"{who} {format_with_doubt(speed, doubt, units.speed, 0)}"
        for who, speed, doubt in differ.said
    )
    together = format_with_doubt(value, sd, units.speed, 0)
    return (
        f"The sheet's statements about the {unknown_words(caution.subject)} differ by more than "
        f"they allow: {said}. Together they count as {together}, {scale:.1f} times as wide as they "
        "say. Measure the speed again with the arrow of the sheet, or take off what is wrong."
    )


def mark_words(answer: Answer, units: Units, *, but: str = "") -> tuple[str, ...]:
    """What must be known of every mark, wherever it is taken."""
    kinds = MARK_CAUTIONS - {but}
    return tuple(caution_words(one, answer, units) for one in answer.cautions if one.kind in kinds)


def _estimate_caution(caution: Caution, answer: Answer, units: Units) -> str:
    """A caution about one unknown."""
    if caution.kind == "statements differ":
        return _differing_words(caution, answer, units)
    estimate = next(one for one in answer.estimates if one.name == caution.subject)
    unit = estimate_unit(estimate, units)
    said = f"{amount(estimate.median, unit)} ± {_plus_minus(estimate.low, estimate.high, unit)}"
    if caution.kind == "not determined":
        return (
            f"The arrows do not tell the {unknown_words(estimate.name)} (now {said}). Shoot a "
            "group farther away, or measure it: far marks hang on it."
        )
    reach = NormalDist().inv_cdf(0.5 + 0.5 * answer.bands.probability)
    sheet_sd = 0.5 * (estimate.sheet_high - estimate.sheet_low) / reach
    sheet = format_with_doubt(estimate.sheet, sheet_sd, unit, DECIMALS[unit])
    said_alone = estimate.median if estimate.alone is None else estimate.alone
    alone = format_with_doubt(said_alone, estimate.alone_sd, unit, DECIMALS[unit])
    if estimate.name == "reading_per_travel" and answer.rig.sight.reading_per_travel is None:
        return (
            f"A usual sight has a reading per pin travel of {amount(estimate.sheet, unit)}; the "
            f"arrows say {alone}. Are the readings in mm?"
        )
    if caution.kind == "change contradicted":
        return (
            f"After the change {unknown_words(estimate.name)} {sheet} was to be expected; the "
            f"arrows say {alone}. Check what else has changed."
        )
    return (
        f"Your sheet says {unknown_words(estimate.name)} {sheet}; the arrows say {alone}. "
        "Measure it again, or check the distances and readings."
    )


def trust_words(answer: Answer, units: Units) -> str:
    """How far the tape can be trusted, as a sentence."""
    trusted, alone = answer.trusted_m[0], answer.once_zeroed_m[0]
    rig, probability = answer.rig, answer.bands.probability
    if answer.stops:
        return "Nothing is trusted: this set-up must not be shot."
    if not alone:
        return plain_trust_words(0.0, rig, probability, units)
    if not answer.is_earned:
        misses = _misses(rig, probability, units)
        return f"{_unearned(answer, units)} {amount(alone, units.distance)} {misses}"
    odd = sum(group.is_odd for group in answer.groups)
    but = f" But {odd} of {len(answer.groups)} groups do not fit: see below." if odd else ""
    if trusted < alone:
        hit = amount(max(one.distance_m for one in answer.groups if not one.is_odd), units.distance)
        reach = amount(alone, units.distance)
        if not trusted:
            carry = f"the bands alone would carry {reach}, but no group that fits hit past {hit}."
            return f"Nothing is trusted yet: {carry}{but}"
        but = f" The bands alone would carry {reach}; no group that fits hit past {hit}.{but}"
    return f"{plain_trust_words(trusted, rig, probability, units)}{but}"


def plain_trust_words(trusted_m: float, rig: Rig, probability: float, units: Units) -> str:
    """How far a tape can be trusted when nothing else is to be said of it, as a sentence."""
    if not trusted_m:
        tolerance, percent = round_amount(rig.archer.tolerance_m, units.miss), 100 * probability
        return (
            f"Not yet trusted at any distance: {percent:.0f} % bands reach past a {tolerance} miss."
        )
    reach = amount(trusted_m, units.distance)
    return f"Trusted to {reach}: up to there a mark {_misses(rig, probability, units)}"


def _misses(rig: Rig, probability: float, units: Units) -> str:
    tolerance = round_amount(rig.archer.tolerance_m, units.miss)
    return f"misses by less than {tolerance} with {100 * probability:.0f} % chance."


def _unearned(answer: Answer, units: Units) -> str:
    """Why nothing is trusted, and when a mark would be."""
    if answer.posterior.method == "prior":
        near = format_quantity(COUNTED_FROM_M, units.distance, 1).replace(".0 ", " ")
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
        if all(hit.arrows > 1 and not hit.up_m and not hit.right_m for hit in one.group.impacts)
    ]
    groups = len(answer.observations) - len(marks)
    arrows = sum(one.group.arrows for one in answer.observations if one not in marks)
    told = f"{_counted(groups, 'group')}, {_counted(arrows, 'arrow')}"
    return f"{told} and {_counted(len(marks), 'bare mark')}" if marks else told


def _counted(number: int, thing: str) -> str:
    return f"{number} {thing}" if number == 1 else f"{number} {thing}s"


def past_limit_words(answer: Answer) -> str:
    """Where the sight may not be set, as a sentence; empty when nothing is known."""
    far = answer.limits.far
    if far is None:
        return ""
    return f"Do not set the sight past {amount(far.reading_m, 'mm')}: {STOP_WORDS[far.kind]}."


STOP_WORDS = {
    "housing": "there the housing comes too near to the arrow (computed: measure it)",
    "measured clearance": "there the housing meets the arrow",
    "far end": "there the sight's travel ends",
}


def mark_cautions(answer: Answer, units: Units, *, in_air: bool = True) -> tuple[str, ...]:
    """What must be known of marks taken outdoors, in the sheet's air or in another."""
    told = mark_words(answer, units, but="" if in_air else "other air")
    return tuple(filter(None, (*told, past_limit_words(answer))))

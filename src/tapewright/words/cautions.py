"""Cautions: what speaks against a calibration, and what safety asks, as sentences.

Holds:  the sentence of every caution, those that marks carry, where the sight may not be set; the
        cautions that stand wherever arrows are shot.
Never:  when a caution is due (confidence/checks.py), trust (trust_sentences.py), stops (stops.py).
"""

from math import isnan, nan
from statistics import NormalDist

from tapewright.services.calibrate import Answer, Caution
from tapewright.services.equip import Rig
from tapewright.words.bow_kind_words import of_bow
from tapewright.words.estimate_names import estimate_unit, unknown_words
from tapewright.words.number_format import chance_words
from tapewright.words.quantity_parser import format_with_doubt
from tapewright.words.readings_on_tape import shown_words
from tapewright.words.sight_moves import hit_words
from tapewright.words.slips import slip_words
from tapewright.words.trust_sentences import counted_from, warmer_words
from tapewright.words.unit_system import DECIMALS, Units, amount

COUNTS_FOR_LITTLE = 0.1  # of the larger miss

# Of every mark
MARK_CAUTIONS = {"no arrows", "few arrows", "carried", "past the butt", "other air",
                 "most elsewhere", "same arrows", "slip"}  # fmt: skip

# What may have changed between two bows, by cause
CHANGES = {
    "zero": "the zero", "height": "peep, nock or anchor", "speed": "arrow or bow",
    "drag or air": "vanes, point or air",
}  # fmt: skip

ELSEWHERE = (
    "Shot far colder or warmer than the air of the rig sheet, where limbs and string shoot "
    "otherwise: {subject}. They do not count in these marks; what they prove there tells “Cold "
    "and clothing”."
)
# What is said of a caution; its numbers stand in its order
CAUTION_WORDS = {
    "statements differ": "The sheet's statements about the {unknown} differ by more than they "
    "allow: {said}. Together they count as {weighed}, {2:.1f} times as wide as they say. Measure "
    "the speed again with the arrow of the sheet, or take off what is wrong.",
    "no arrows": "No arrow was shot yet: this is a starting strip. Readings count from {near}, and "
    "the bands say how far the rig sheet can be wrong once that distance is zeroed.",
    "carried": "No arrow was shot since the change: the marks follow from the old arrows and from "
    "what such a change usually does. Confirm them before you trust them.",
    "few arrows": "Only {0:.0f} arrows so far: the dispersion is mostly assumed. A second group at "
    "another distance buys the most.",
    "past the butt": "Arrows shot from {where} went past the butt: nothing is trusted there or "
    "farther until a group hits from there, and the way back is in short steps.",
    "other air": "The air of {whose} is {warmer} than where arrows were shot: limbs and string "
    "change, too, and these marks {count}. Shoot one near arrow first, and go farther only from "
    "what it shows.",
    "shot elsewhere": ELSEWHERE,
    "half elsewhere": f"{ELSEWHERE} They are as many as those of home: with one more all count, "
    "and the marks jump. Write the air of most into the rig sheet before.",
    "most elsewhere": "Most groups were shot far colder or warmer than the air of the rig sheet, "
    "so all count in these marks, which jumped with the first that made them the more: {subject} "
    "alone made them before. Write the air of most into the rig sheet: then these are parted.",
    "two bows": "Something may have changed between the arrows taken in from a proof and those "
    "before ({cause}), odds {odds}. The trusted distance allows for it; prove the tape once more.",
    "two distances": "Odds of {odds} that a distance was written down wrongly, in a proof that was "
    "taken in or before it, count in the trusted distance: measure again where the group stood "
    "that fits least, or prove the tape once more.",
    "same arrows": "Groups {subject} hold the same arrows: counted twice they make marks look "
    "surer than they are. Leave one of them out.",
    "shared arrows": "Groups {subject} share arrows ({rows} of the first): counted twice they make "
    "marks look surer than they are. Leave these rows out of one of them.",
    "odd group": "Group {subject} at {where} does not fit the others: it lies {off} of where they "
    "put it. Check {check}, or shoot it again.",
    "unusual drag": "The drag of this arrow comes out at {0:.4f} per metre, outside the usual "
    "0.0008 to 0.0040. Check arrow mass, shaft diameter and the far distances.",
    "second sampler": "The doubt has an unusual shape, so a slower way of drawing it was used "
    "({0:.0f} distinct draws).",
    "not determined": "The arrows do not tell the {unknown} (now {now}). Shoot a group farther "
    "away, or measure it: far marks hang on it.",
    "sheet contradicted": "Your sheet says {unknown} {sheet}; the arrows say {alone}. Measure it "
    "again, or check the distances and readings.",
    "house contradicted": "The house values of {house} say {unknown} {sheet}; the arrows say "
    "{alone}. Is the kind named on the sheet the right one? Measure it and write it into the "
    "sheet, or check the distances and readings.",
    "change contradicted": "After the change {unknown} {sheet} was to be expected; the arrows say "
    "{alone}. Check what else has changed.",
    "usual": "A usual sight has a reading per pin travel of {usual}; the arrows say {alone}. Are "
    "the readings in mm?",
}

HOUSE_KEYS = {  # unknown → the house value that may stand behind it
    "reading_per_travel": "sight.reading_per_travel",
    "drag_coefficient": "arrow.drag_coefficient",
}
OF_UNKNOWNS = ("not determined", "sheet contradicted", "change contradicted")

SAFETY = (
    "Shoot only at a safe stop with clear ground behind it; a first far arrow needs a larger butt.",
    "Distances to people and boundaries: club's and national body's rules, and local law.",
    "Never shoot a damaged shaft or one lighter than the bow maker allows; never dry-fire.",
    "Never shoot past the distance at which arrow and housing clear each other.",
    "Press work and changes at peak weight belong to a qualified technician.",
    "In hunting the trusted distance is no permission: local law and the animal decide.",
)
WITHOUT_PRESS = "A cracked or twisted limb ends a bow; limb bolts stay inside their maker's limits."

# In place of the first where broadheads are shot
BLADES_STOP = (
    "Shoot broadheads only into butts made for them, where the range allows it, with clear ground "
    "behind them; one arrow a spot, for blades cut shafts; a first far arrow needs a larger butt."
)
# Of a group shot with another point than the sheet's
OTHER_POINT = (
    "Shot with another point than the rig sheet's: nothing is turned after it, and it moves no "
    "mark. What broadheads say beside field points is told under Broadheads."
)


def safety_of(rig: Rig) -> tuple[str, ...]:
    """What stands wherever arrows of a rig are shot."""
    stop = BLADES_STOP if rig.arrow.point == "broadhead" else SAFETY[0]
    return (stop, *SAFETY[1:4], of_bow(rig, SAFETY[4], WITHOUT_PRESS), *SAFETY[5:])


def _odd_words(caution: Caution, units: Units) -> dict[str, str]:
    """Where a group that does not fit lies, and what to check; a side that counts little goes."""
    distance, right, up = caution.numbers
    least = COUNTS_FOR_LITTLE * max(abs(miss) for miss in (right, up) if not isnan(miss))
    aside, above = (miss if abs(miss) > least else nan for miss in (right, up))
    is_sideways = isnan(up) or abs(right) > abs(up)
    return {
        "where": amount(distance, units.distance),
        "off": hit_words(aside, above, units.miss),
        "check": "the signs of right and left, whether the windage was moved, and the wind"
        if is_sideways
        else "its distance and reading",
    }


def caution_words(caution: Caution, answer: Answer, units: Units) -> str:
    """One caution as a sentence."""
    kind, told = caution.kind, {"subject": caution.subject, "near": counted_from(units)}
    if kind == "slip":
        return slip_words(answer, units, in_short=True)
    if kind == "other air":
        told["warmer"] = warmer_words(caution.numbers[0])
        told["whose"] = caution.subject or "the rig sheet"  # or of the day it was asked for
        told["count"] = (
            "are for the air of the rig sheet" if caution.subject else "count the air alone"
        )
    if kind == "same arrows" and caution.numbers:
        kind = "shared arrows"
        told["rows"] = f"{', '.join(f'{row:.0f}' for row in caution.numbers)}"
    if kind == "two bows":
        kind = "two distances" if caution.subject == "one distance" else kind
        told |= {
            "odds": chance_words(caution.numbers[0]),
            "cause": CHANGES.get(caution.subject, ""),
        }
    if kind == "past the butt":
        told["where"] = amount(caution.numbers[0], units.distance)
    if kind == "odd group":
        told |= _odd_words(caution, units)
    if kind == "statements differ":
        told |= _differing_words(caution.subject, answer, units)
    if kind in OF_UNKNOWNS:
        told |= _estimate_words(caution.subject, answer, units)
        is_usual = answer.rig.sight.reading_per_travel is None and kind != "not determined"
        kind = "usual" if is_usual and caution.subject == "reading_per_travel" else kind
        is_house = answer.rig.is_from_house(HOUSE_KEYS.get(caution.subject, ""))
        if kind == "sheet contradicted" and is_house and answer.rig.house:
            kind, told["house"] = "house contradicted", answer.rig.house.name
    return CAUTION_WORDS[kind].format(*caution.numbers, **told)


def _differing_words(name: str, answer: Answer, units: Units) -> dict[str, str]:
    """What the sheet says twice and differently, and how it counts."""
    prior, unit = answer.posterior.calibration.evidence.prior, units.speed
    differ = next(one for one in prior.disagreements if one.name == name)
    said = (f"{who} {format_with_doubt(speed, sd, unit, 0)}" for who, speed, sd in differ.said)
    weighed = format_with_doubt(differ.weighed.value, differ.weighed.sd, unit, 0)
    return {"unknown": unknown_words(name, answer.rig), "said": ", ".join(said), "weighed": weighed}


def mark_words(answer: Answer, units: Units, *, but: str = "") -> tuple[str, ...]:
    """What must be known of every mark, wherever it is taken."""
    kinds = MARK_CAUTIONS - {but}
    return tuple(caution_words(one, answer, units) for one in answer.cautions if one.kind in kinds)


def _estimate_words(name: str, answer: Answer, units: Units) -> dict[str, str]:
    """What a caution about an unknown may tell: what it is, and what is said of it."""
    estimate = next(one for one in answer.estimates if one.name == name)
    unit = estimate_unit(estimate, units)
    reach = NormalDist().inv_cdf(0.5 + 0.5 * answer.bands.probability)
    alone = estimate.median if estimate.alone is None else estimate.alone
    said = {
        "now": (estimate.median, 0.5 * (estimate.high - estimate.low)),
        "sheet": (estimate.sheet, 0.5 * (estimate.sheet_high - estimate.sheet_low) / reach),
        "alone": (alone, estimate.alone_sd),
        "usual": (estimate.sheet, None),
    }
    told = {name: format_with_doubt(*one, unit, DECIMALS[unit]) for name, one in said.items()}
    return told | {"unknown": unknown_words(name, answer.rig)}


def apart_words(answer: Answer, units: Units) -> tuple[str, str] | None:
    """What to look at where sheet and shots do not belong together; None if they may."""
    kinds = ("sheet contradicted", "change contradicted", "unusual drag")
    told = [caution_words(one, answer, units) for one in answer.cautions if one.kind in kinds]
    if not told:
        return None
    mend = (
        "The rig sheet and the shots do not belong together: no arrow does what both say. Look "
        f"first at {_speed_key(answer.rig)} and the arrow's mass on the sheet, then whether these "
        "arrows were shot with this very bow and arrow"
    )
    return mend, told[0].removesuffix(".")


def _speed_key(rig: Rig) -> str:
    """Key of the sheet from which the arrow's speed was taken."""
    bow = rig.bow
    said = {
        "launch_speed": bow.launch_speed_mps,
        "the speeds under [[bow.chronograph]]": bow.chronograph,
        "rated_speed": bow.rating,
    }
    untold = "the arrow's speed, which the sheet does not tell,"
    return next((key for key, value in said.items() if value), untold)


def past_limit_words(answer: Answer, units: Units) -> str:
    """Where the sight may not be set, as a sentence; empty when nothing is known."""
    far = answer.limits.far
    if far is None:
        return ""
    end = amount(far.reading_m, "mm")
    if answer.posterior.is_set_by_eye:  # readings count from a near mark, and are none of its own
        end = f"its {counted_from(units)} mark by {amount(abs(far.reading_m), 'mm')}"
    elif answer.tape and (shown := shown_words(answer.tape, far.reading_m)):
        end = f"{shown} of the tape ({end})"
    return f"Do not set the sight past {end}: {STOP_WORDS[far.kind]}."


STOP_WORDS = {
    "housing": "there the housing comes too near to the arrow (computed: measure it)",
    "measured clearance": "there the housing meets the arrow",
    "far end": "there the sight's travel ends",
}


def all_cautions(answer: Answer, units: Units) -> tuple[str, ...]:
    """What speaks against a calibration, and where the sight may not be set."""
    told = (caution_words(one, answer, units) for one in answer.cautions)
    return tuple(filter(None, (*told, past_limit_words(answer, units))))


def mark_cautions(answer: Answer, units: Units, *, in_air: bool = True) -> tuple[str, ...]:
    """What must be known of marks taken outdoors, in the sheet's air or in another."""
    told = mark_words(answer, units, but="" if in_air else "other air")
    return tuple(filter(None, (*told, past_limit_words(answer, units))))

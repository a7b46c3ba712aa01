"""Wording: the sentences people read, shared by every face.

Holds:  people's units for an answer; names of unknowns; sentences for cautions, for the tape's
        small print and for safety.
Never:  layout, colours, computations.
"""

from dataclasses import dataclass
from math import isnan
from statistics import NormalDist

from tapewright import __version__
from tapewright.faces.quantities import format_quantity, format_with_doubt, in_unit
from tapewright.services.calibrate import COUNTED_FROM_M, Answer, Caution, Estimate
from tapewright.services.equip import Rig
from tapewright.services.print_tape import PlannedTape, TapeWords


@dataclass(frozen=True, slots=True)
class Units:
    """The units one person reads.

    Parameters
    ----------
    distance, miss, speed, length, reading, angle : str
        Names as in ground/units.py.
    """

    distance: str
    miss: str
    speed: str
    length: str
    reading: str = "mm"
    angle: str = "mrad"

    def of_kind(self, kind: str) -> str:
        """Unit in which an estimate of this kind is read."""
        return {"speed": self.speed, "length": self.length, "angle": self.angle, "number": ""}[kind]


IMPERIAL = Units("yd", "in", "ft/s", "in")
METRIC = Units("m", "cm", "m/s", "mm")

DECIMALS = {"ft/s": 1, "m/s": 2, "in": 2, "cm": 1, "mm": 1, "mrad": 2, "": 2, "yd": 0, "m": 0}

COUNTS_FOR_LITTLE = 0.1  # of the larger miss
SPAN_SLACK_MM = 0.3
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


MOST_NAME = 24
MOST_CODE_BYTES = 213  # of a code of 57 cells a side at the middling level; ISO/IEC 18004


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


def amount(value: float, unit: str) -> str:
    """A value in a unit, with as many decimals as the unit deserves."""
    return format_quantity(value, unit, DECIMALS[unit])


def round_amount(value: float, unit: str) -> str:
    """A value that a person chose, without zeros that nobody wrote."""
    number = f"{in_unit(value, unit):.{DECIMALS[unit]}f}"
    return f"{number.rstrip('0').rstrip('.') if '.' in number else number} {unit}"


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
    """One caution as a sentence.

    Parameters
    ----------
    caution : Caution
        Its kind and numbers.
    answer : Answer
        What it is about.
    units : Units
        What the person reads.

    Returns
    -------
    str
        A sentence or two.
    """
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


def mark_words(answer: Answer, units: Units, *, but: str = "") -> tuple[str, ...]:
    """What must be known of every mark, wherever it is taken.

    Parameters
    ----------
    answer : Answer
        The calibration.
    units : Units
        What the person reads.
    but : str
        A kind of caution that is told elsewhere.

    Returns
    -------
    tuple of str
        A sentence or two each; empty when all is well.
    """
    kinds = MARK_CAUTIONS - {but}
    return tuple(caution_words(one, answer, units) for one in answer.cautions if one.kind in kinds)


def _estimate_caution(caution: Caution, answer: Answer, units: Units) -> str:
    """A caution about one unknown."""
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


def limit_notes(plan: PlannedTape) -> tuple[str, ...]:
    """Where ticks end because the sight may go no farther; empty when all stand."""
    ends = [(pin, end) for pin, end in enumerate(plan.last_ticks, 1) if end is not None]
    if not ends:
        return ()
    unit, far = plan.order.unit, plan.limits.far
    if len(plan.last_ticks) == 1:
        where = f"No tick past {ends[0][1]:g} {unit}"
    else:
        where = "No tick past " + ", ".join(f"{end:g} {unit} on pin {pin}" for pin, end in ends)
    why = "there the arm ends" if far is None else STOP_WORDS[far.kind]
    return (f"{where}: {why}.",)


def tape_cautions(plan: PlannedTape, units: Units) -> tuple[str, ...]:
    """What speaks against sticking the tape on and believing it."""
    told = [caution_words(one, plan.answer, units) for one in plan.answer.cautions]
    low, high = plan.span_band_mm
    if low < plan.spans_mm[0] - SPAN_SLACK_MM or high > plan.spans_mm[2] + SPAN_SLACK_MM:
        told.append(
            f"The true span lies between {low:.1f} and {high:.1f} mm, farther apart than these "
            "three strips: shoot farther away before you stick one on."
        )
    return tuple(told)


def tape_words(plan: PlannedTape, units: Units, date: str) -> TapeWords:
    """All sentences on a tape's sheet.

    Parameters
    ----------
    plan : PlannedTape
        The strips in numbers.
    units : Units
        What the person reads.
    date : str
        Date of the print.

    Returns
    -------
    TapeWords
        For the drawing.
    """
    answer, order = plan.answer, plan.order
    near, far = (f"{end:g}" for end in order.span)
    names = tuple(f"{near}–{far} span {span:.1f} mm" for span in plan.spans_mm)
    if len(set(names)) < len(names):
        names = tuple(f"{near}–{far} span {span:.2f} mm" for span in plan.spans_mm)
    air = answer.rig.air
    conditions = (
        f"{format_quantity(air.temperature_k, '°C', 0)}, "
        f"{format_quantity(air.pressure_pa, 'hPa', 0)}"
    )
    tick = f"{near} {order.unit} tick"
    if len(answer.trusted_m) > 1:
        tick = f"{tick} of pin 1"
    if not answer.posterior.is_set_by_eye:
        align = (
            f"Set the pointer to {plan.near_mm:.1f} mm on the gauge strip, lock the sight, peel "
            f"the gauge strip off, and stick the tape with the {tick} at the pointer."
        )
    else:
        align = f"Zero the bow at {near} {order.unit}, then stick the {tick} under the pointer."
    return TapeWords(
        title=answer.rig.name,
        strip_names=names,
        advice=("Take it if far arrows land high.", align, "Take it if far arrows land low."),
        pin_names=tuple(f"pin {pin}" for pin in range(1, len(answer.trusted_m) + 1)),
        notes=(
            f"{answer.rig.name}, printed {date}, {conditions}",
            f"{shot_words(answer)}; {answer.rig.hand}-handed",
            trust_words(answer, units),
            *limit_notes(plan),
            f"Calibration {answer.fingerprint}, Tapewright {__version__}",
        ),
        cautions=(*tape_cautions(plan, units), *SAFETY),
        code=code_words(plan, date),
    )


def code_words(plan: PlannedTape, date: str) -> str:
    """What the code on a sheet says: rig, date, fingerprint, marks each ten; plain text.

    Parameters
    ----------
    plan : PlannedTape
        The strips in numbers.
    date : str
        Date of the print.

    Returns
    -------
    str
        As many pins as a small code can hold; fewer marks if even one pin has too many.
    """
    answer, unit = plan.answer, plan.order.unit
    pins = [dict(plan.kept(1, pin)) for pin in range(len(answer.trusted_m))]
    distances = sorted(one for one in plan.order.distances if one % 10 == 0 and one in pins[0])
    trusted = in_unit(answer.trusted_m[0], unit)
    while True:
        names = f"{unit} mm" if len(pins) == 1 else f"{unit} mm, {len(pins)} pins"
        lines = [
            f"{answer.rig.name[:MOST_NAME]} {date} {answer.fingerprint}",
            f"{names}, trusted to {trusted:.0f}",
        ]
        lines += [
            " ".join([f"{one:.0f}", *(_code_mark(pin.get(one)) for pin in pins)])
            for one in distances
        ]
        text = "\n".join(lines)
        if len(text.encode()) <= MOST_CODE_BYTES:
            return text
        if len(pins) > 1:
            pins.pop()
        else:
            distances = distances[1::2]  # each twenty, then each forty


def _code_mark(reading_m: float | None) -> str:
    return "-" if reading_m is None else f"{1e3 * reading_m:.1f}"

"""Wording: the sentences people read, shared by every face.

Holds:  people's units for an answer; names of unknowns; sentences for cautions, for the tape's
        small print and for safety.
Never:  layout, colours, computations.
"""

from dataclasses import dataclass

from tapewright import __version__
from tapewright.faces.quantities import format_quantity, in_unit
from tapewright.services.calibrate import COUNTED_FROM_M, Answer, Caution, Estimate
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


def amount(value: float, unit: str) -> str:
    """A value in a unit, with as many decimals as the unit deserves."""
    return format_quantity(value, unit, DECIMALS[unit])


def _plus_minus(low: float, high: float, unit: str) -> str:
    half = 0.5 * (in_unit(high, unit) - in_unit(low, unit)) if unit else 0.5 * (high - low)
    return f"{half:.{DECIMALS[unit]}f}"


def _offset(right: float, up: float, unit: str) -> str:
    """Where a group lies, in words; what was not measured is left out."""
    parts = [
        f"{amount(abs(miss), unit)} {words[miss < 0]}"
        for miss, words in ((up, ("high", "low")), (right, ("right", "left")))
        if miss == miss  # noqa: PLR0124 — nan stands for not measured
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
    if caution.kind == "few arrows":
        return (
            f"Only {numbers[0]:.0f} arrows so far: the dispersion is mostly assumed. A second "
            "group at another distance buys the most."
        )
    if caution.kind == "odd group":
        distance, right, up = numbers
        return (
            f"Group {caution.subject} at {amount(distance, units.distance)} does not fit the "
            f"others: it lies {_offset(right, up, units.miss)} of where they put it. Check its "
            "distance and reading, or shoot it again."
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
    estimate = next(one for one in answer.estimates if one.name == caution.subject)
    unit = estimate_unit(estimate, units)
    said = f"{amount(estimate.median, unit)} ± {_plus_minus(estimate.low, estimate.high, unit)}"
    if caution.kind == "not determined":
        return (
            f"The arrows do not tell the {unknown_words(estimate.name)} (now {said}). Shoot a "
            "group farther away, or measure it: far marks hang on it."
        )
    return (
        f"Your sheet says {unknown_words(estimate.name)} {amount(estimate.sheet, unit)}; the "
        f"arrows say {said}. Measure it again, or check the distances and readings."
    )


def trust_words(answer: Answer, units: Units) -> str:
    """How far the tape can be trusted, as a sentence."""
    tolerance = amount(answer.rig.archer.tolerance_m, units.miss)
    percent = f"{100 * answer.bands.probability:.0f} %"
    trusted = answer.trusted_m[0]
    if not trusted:
        return f"Not yet trusted at any distance: {percent} bands reach past a {tolerance} miss."
    return (
        f"Trusted to {amount(trusted, units.distance)}: up to there a mark misses by less than "
        f"{tolerance} with {percent} chance."
    )


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
    arrows = sum(group.arrows for group in answer.groups)
    conditions = (
        f"{format_quantity(air.temperature_k, '°C', 0)}, "
        f"{format_quantity(air.pressure_pa, 'hPa', 0)}"
    )
    if answer.groups:
        align = f"Stick it so that the {near} {order.unit} tick stands at {plan.near_mm:.1f} mm."
    else:
        align = f"Zero the bow at {near} {order.unit}, then stick that tick under the pointer."
    return TapeWords(
        title=answer.rig.name,
        strip_names=names,
        advice=("Take it if far arrows land high.", align, "Take it if far arrows land low."),
        pin_names=tuple(f"pin {pin}" for pin in range(1, len(answer.trusted_m) + 1)),
        notes=(
            f"{answer.rig.name}, printed {date}, {conditions}",
            f"{len(answer.groups)} groups, {arrows} arrows; {answer.rig.hand}-handed",
            trust_words(answer, units),
            f"Calibration {answer.fingerprint}, Tapewright {__version__}",
        ),
        cautions=SAFETY,
    )

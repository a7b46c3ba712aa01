"""Wording of the outdoors: sentences on cards, slopes, weather, wind, changes and budgets.

Holds:  sentences; names of errors; people's units of energy, momentum and wind.
Never:  layout, computations.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite, sqrt
from typing import TYPE_CHECKING

import numpy as np

from tapewright import __version__
from tapewright.faces.quantities import format_quantity, in_unit
from tapewright.faces.wording import (
    SAFETY,
    Units,
    amount,
    caution_words,
    past_limit_words,
    trust_words,
)
from tapewright.faces.wording_planning import tidy_distance
from tapewright.ground.units import FOOT_POUND_J, MPH_MPS, POUND_FORCE_N
from tapewright.services.make_card import CardTable, CardWords

if TYPE_CHECKING:
    from tapewright.services.calibrate import Answer
    from tapewright.services.change_rig import ChangedRig
    from tapewright.services.make_card import RangeCard
    from tapewright.services.meet_weather import Blown, Weather
    from tapewright.services.table_slopes import Slopes
    from tapewright.services.weigh_errors import Budget

HUNTING = SAFETY[5]
HOUSING = SAFETY[3]
LIGHT = SAFETY[2]
PRESS = SAFETY[4]
BODY = (
    "On a slope bend at the hips: an upper body that leans changes draw length and anchor, and no "
    "table knows by how much."
)
COLD = "Cold limbs may shoot slower: that is not in these marks. Read a chronograph in the cold."
GUSTS = "Wind is seldom steady; between archer and target it may blow two ways at once."
LOWER = "lower than any level mark"
MOST_SAID = 4  # confirming groups in a sentence

ERROR_NAMES = {
    "distance": "wrong distance",
    "cant": "cant",
    "peep": "eye in the peep",
    "wind": "wind misjudged",
    "slope": "slope misjudged",
    "temperature": "other air",
    "arrow speed": "speed from arrow to arrow",
    "dispersion": "dispersion",
    "wobble": "wobble from group to group",
    "tape": "band of the tape",
    "together": "all together",
}
ERROR_MENDS = {
    "distance": "measure distances, or practise judging them",
    "cant": "watch the bubble, or level the sight: tapewright level",
    "peep": "a smaller peep, or one that matches the housing's ring",
    "wind": "learn to read the wind: see tapewright wind",
    "slope": "measure slopes: see tapewright slopes",
    "temperature": "marks for the day's air: see tapewright weather",
    "arrow speed": "match arrows by weight",
    "dispersion": "practice, and arrows that match",
    "wobble": "practice: the same grip, anchor and stance each time",
    "tape": "more groups: see tapewright plan",
}


@dataclass(frozen=True, slots=True)
class FieldUnits:
    """Units of what flies, beside those of marks.

    Parameters
    ----------
    energy, momentum, wind : str
        Their names.
    energy_j, momentum_n_s, wind_mps : float
        How much one of them is. [J], [kg·m/s], [m/s]
    """

    energy: str
    momentum: str
    wind: str
    energy_j: float
    momentum_n_s: float
    wind_mps: float


# One slug·ft/s is one pound-force for a second; both use standard gravity.
FIELD_IMPERIAL = FieldUnits("ft·lbf", "slug·ft/s", "mph", FOOT_POUND_J, POUND_FORCE_N, MPH_MPS)
FIELD_METRIC = FieldUnits("J", "kg·m/s", "m/s", 1.0, 1.0, 1.0)


def field_units(units: Units) -> FieldUnits:
    """Units of what flies that go with a person's other units."""
    return FIELD_METRIC if units.distance == "m" else FIELD_IMPERIAL


def short_distance(distance_m: float, unit: str, decimals: int = 1) -> str:
    """A distance as a bare number; a dash for none."""
    if not isfinite(distance_m):
        return "–"
    return f"{in_unit(distance_m, unit):.{decimals}f}"


def close_words(card: RangeCard, units: Units) -> tuple[str, ...]:
    """Each close mark and the far mark that is the same."""
    unit = units.distance
    return tuple(
        f"{in_unit(near, unit):.0f} {unit}: {in_unit(reading, 'mm'):.1f} mm"
        + (f", as {in_unit(twin, unit):.1f} {unit}" if isfinite(twin) else "")
        for near, reading, twin in zip(
            card.close.distance_m, card.close.reading_m, card.close_twin_m, strict=True
        )
    )


def card_notes(card: RangeCard, units: Units) -> tuple[str, ...]:
    """How to read a card.

    Parameters
    ----------
    card : RangeCard
        The card.
    units : Units
        What the person reads.

    Returns
    -------
    tuple of str
        A sentence or two each.
    """
    unit, radius = units.distance, amount(card.order.radius_m, units.miss)
    field, percent = field_units(units), f"{100 * card.answer.bands.probability:.0f} %"
    turning = f"{in_unit(card.flight.turning_m, unit):.0f} {unit}"
    notes = [
        (
            f"± is half of the {percent} band. From and to: the nearest and farthest target that "
            f"the mark still hits within {radius}; nearer and farther: by how much the distance "
            "may be wrong before the miss exceeds that."
        ),
        (
            f"Drift is for a crosswind of 1 {field.wind}; hold off against the wind. Nearer than "
            f"{turning} marks run back."
        ),
    ]
    if unit == "yd":
        notes.append("Energy in ft·lbf with standard gravity: grains × (ft/s)² / 450,436.7.")
    return tuple(notes)


def mark_cautions(answer: Answer, units: Units) -> tuple[str, ...]:
    """What must be known of marks that are taken outdoors: no arrow yet, where the sight stops.

    Parameters
    ----------
    answer : Answer
        The calibration.
    units : Units
        What the person reads.

    Returns
    -------
    tuple of str
        A sentence or two each; empty when all is well.
    """
    told = [
        caution_words(one, answer, units)
        for one in answer.cautions
        if one.kind in {"no arrows", "carried"}
    ]
    stop = past_limit_words(answer)
    return (*told, stop) if stop else tuple(told)


def card_cautions(card: RangeCard, units: Units) -> tuple[str, ...]:
    """What must be read before a card is used."""
    known = mark_cautions(card.answer, units)
    return (*known, SAFETY[0], SAFETY[1], HOUSING, HUNTING)


def _half(low: float, high: float) -> float:
    return 0.5 * (high - low)


def card_table(card: RangeCard, units: Units) -> CardTable:
    """Heads and cells of a card on paper.

    Parameters
    ----------
    card : RangeCard
        The card.
    units : Units
        What the person reads.

    Returns
    -------
    CardTable
        Marks and windows on the front, the flight on the back.
    """
    unit, miss, field = units.distance, units.miss, field_units(units)
    flight, marks = card.flight, card.marks
    heads = (
        (unit, ""), ("mark", "mm"), ("±", "mm"), ("±", miss), ("from", unit), ("to", unit),
        ("nearer", unit), ("farther", unit), ("time", "s"), ("speed", units.speed),
        ("energy", field.energy), ("momentum", field.momentum),
        ("drift", f"{miss} per {field.wind}"),
    )  # fmt: skip
    rows = []
    for place, distance in enumerate(marks.distance_m):
        impact_m = _half(marks.impact_low_m[place], marks.impact_high_m[place])
        rows.append(
            (
                f"{in_unit(distance, unit):.5g}",
                f"{1e3 * marks.reading_m[place]:.1f}",
                f"{1e3 * _half(marks.low_m[place], marks.high_m[place]):.1f}",
                f"{in_unit(impact_m, miss):.1f}",
                short_distance(flight.hold_near_m[place], unit),
                short_distance(flight.hold_far_m[place], unit),
                short_distance(flight.early_m[place], unit),
                short_distance(flight.late_m[place], unit),
                f"{flight.time_s.middle[place]:.2f}",
                f"{in_unit(flight.speed_mps.middle[place], units.speed):.0f}",
                f"{flight.energy_j.middle[place] / field.energy_j:.1f}",
                f"{flight.momentum_n_s.middle[place] / field.momentum_n_s:.3f}",
                f"{in_unit(flight.drift_m.middle[place] * field.wind_mps, miss):.2f}",
            )
        )
    faint = frozenset(
        place for place, one in enumerate(marks.distance_m) if one > card.trusted_m + 1e-6
    )
    return CardTable(heads, tuple(rows), 8, faint)


def card_words(card: RangeCard, units: Units, date: str) -> CardWords:
    """The sentences of a printed card.

    Parameters
    ----------
    card : RangeCard
        The card.
    units : Units
        What the person reads.
    date : str
        Date of the print.

    Returns
    -------
    CardWords
        For the drawing.
    """
    answer = card.answer
    air = answer.rig.air
    pin = f", pin {card.order.pin}" if len(answer.trusted_m) > 1 else ""
    conditions = (
        f"{format_quantity(air.temperature_k, '°C', 0)}, "
        f"{format_quantity(air.pressure_pa, 'hPa', 0)}"
    )
    trusted = (
        f"trusted to {amount(card.trusted_m, units.distance)}" if card.trusted_m else "not trusted"
    )
    grey = " Grey rows lie beyond the trusted distance." if card.trusted_m else ""
    return CardWords(
        title=f"{answer.rig.name}{pin}",
        subtitle=f"Range card, {date}",
        trust=f"Level ground, calm, {conditions}; {trusted}.{grey}",
        close=close_words(card, units),
        notes=(
            *card_notes(card, units),
            f"Calibration {answer.fingerprint}, Tapewright {__version__}",
        ),
        cautions=card_cautions(card, units),
        fold="Pocket card: cut along the frame, fold away from you along the broken line, and "
        "cover both sides with clear tape.",
    )


def slope_notes(found: Slopes, units: Units) -> tuple[str, ...]:
    """What a table of slopes says, as sentences.

    Parameters
    ----------
    found : Slopes
        The table.
    units : Units
        What the person reads.

    Returns
    -------
    tuple of str
        How to read it, where the rule of thumb fails, what no table knows.
    """
    notes = [
        (
            "Uphill is more than zero. Dial the mark for the distance in the table, not for the "
            "one measured along the line of sight."
        )
    ]
    if not np.isfinite(found.table.dial_m).all():
        notes.append(f"“low” means: the mark is {LOWER}; dial the reading itself.")
    miss = np.abs(found.rule.miss_m)
    place = np.unravel_index(int(np.argmax(miss)), miss.shape)
    slope = np.degrees(found.table.slope_rad[place[0]])
    distance = tidy_distance(found.table.distance_m[place[1]], units.distance)
    worst = found.rule.miss_m[place]
    way = "high" if worst > 0.0 else "low"
    notes.append(
        f"The rule “dial the horizontal distance” is worst here at {distance}, {slope:+.0f}°: "
        f"{amount(abs(worst), units.miss)} {way}. It forgets the eye above the arrow, and that "
        "gravity slows an arrow uphill and helps it downhill."
    )
    return (*notes, BODY, *mark_cautions(found.answer, units))


def weather_words(found: Weather, units: Units) -> tuple[str, ...]:
    """How much other air matters, as sentences.

    Parameters
    ----------
    found : Weather
        Marks at home and away.
    units : Units
        What the person reads.

    Returns
    -------
    tuple of str
        Density; the worst miss; up to where the home tape serves.
    """
    marks, air = found.marks, found.air
    change = 100.0 * (marks.density_ratio - 1.0)
    what = "thicker" if change > 0.0 else "thinner"
    said = [
        (
            f"Away: {format_quantity(air.temperature_k, '°C', 0)}, "
            f"{format_quantity(air.pressure_pa, 'hPa', 0)}, humidity "
            f"{100 * air.relative_humidity:.0f} %: air {abs(change):.1f} % {what} than at home."
        )
    ]
    tolerance_m = found.answer.rig.archer.tolerance_m
    off = np.abs(marks.miss_m) > 0.25 * tolerance_m
    if not off.any():
        worst = int(np.argmax(np.abs(marks.miss_m)))
        far = tidy_distance(marks.distance_m[worst], units.distance)
        miss = amount(abs(marks.miss_m[worst]), units.miss)
        said.append(f"The marks of home serve: at {far}, the worst, they miss by {miss}.")
    else:
        first = tidy_distance(marks.distance_m[int(np.argmax(off))], units.distance)
        said.append(
            f"From {first} on the marks of home miss by more than a quarter of your "
            f"{amount(tolerance_m, units.miss)}: dial the marks of the day there."
        )
    return (*said, COLD, *mark_cautions(found.answer, units))


def wind_words(found: Blown, units: Units) -> tuple[str, ...]:
    """What to do about a wind, as sentences.

    Parameters
    ----------
    found : Blown
        The wind and its misses.
    units : Units
        What the person reads.

    Returns
    -------
    tuple of str
        Which way to hold off, how small head and tail wind are beside it, gusts.
    """
    unit = field_units(units)
    said = []
    if found.cross_mps:
        side = "right" if found.cross_mps > 0.0 else "left"
        into = "left" if found.cross_mps > 0.0 else "right"
        speed = abs(found.cross_mps) / unit.wind_mps
        said.append(
            f"{speed:.3g} {unit.wind} blow to the {side}: arrows land {side} of the aim; hold off "
            f"to the {into}. Twice the wind, twice the hold-off; a wind from half ahead or behind "
            "counts for 7 parts in 10."
        )
    if found.head_mps:
        kind = "Head" if found.head_mps > 0.0 else "Tail"
        speed = abs(found.head_mps) / unit.wind_mps
        way = "low" if found.head_mps > 0.0 else "high"
        said.append(f"{kind} wind of {speed:.3g} {unit.wind}: arrows land {way}.")
    return (*said, GUSTS)


def _distance_or_none(distance_m: float, units: Units) -> str:
    return tidy_distance(distance_m, units.distance) if distance_m else "no distance"


def _groups_to_shoot(found: ChangedRig, units: Units) -> str:
    """The first few confirming groups, and how many more."""
    groups = [
        f"{step.arrows} arrows at {tidy_distance(step.distance_m, units.distance)} "
        f"(dial {1e3 * reading:.2f} mm)"
        for step, reading in zip(found.steps, found.readings_m, strict=True)
    ]
    more = len(groups) - MOST_SAID
    rest = f", and {more} groups more" if found.gets_there and more > 0 else ""
    return ", then ".join(groups[: MOST_SAID if found.gets_there else 1]) + rest


def change_words(found: ChangedRig, units: Units) -> tuple[str, ...]:
    """What a change did to the trust, and what buys it back.

    Parameters
    ----------
    found : ChangedRig
        Before and after.
    units : Units
        What the person reads.

    Returns
    -------
    tuple of str
        Trust before and after; the confirming groups.
    """
    before = _distance_or_none(found.old.trusted_m[0], units)
    after = _distance_or_none(found.new.trusted_m[0], units)
    said = [f"Trusted before the change: {before}; now: {after}."]
    if found.is_restored:
        said.append("Nothing is lost, so no arrow has to be shot to win it back.")
    elif not found.steps:
        said.append("No safe group can be planned here: see tapewright plan.")
    elif found.gets_there:
        said.append(
            f"To confirm shoot {_groups_to_shoot(found, units)}. After these you may expect to "
            f"trust {before} again; write them down and run this again with the new file of shots."
        )
    else:
        arrows = sum(step.arrows for step in found.steps)
        far = _distance_or_none(found.steps[-1].trusted_m, units)
        said.append(
            f"Even {arrows} arrows would hardly restore {before} on this butt and for this "
            f"tolerance: expect to trust {far}. Begin with {_groups_to_shoot(found, units)}, and "
            "see tapewright plan."
        )
    return tuple(said)


def change_cautions() -> tuple[str, ...]:
    """What must be read before a changed bow is shot."""
    return (LIGHT, PRESS, SAFETY[0])


def budget_words(found: Budget, units: Units) -> tuple[str, ...]:
    """What costs most and what to improve first, as sentences.

    Parameters
    ----------
    found : Budget
        The budget.
    units : Units
        What the person reads.

    Returns
    -------
    tuple of str
        The costliest two, what they would save, and how to mend them.
    """
    together = found.shares[-1]
    where = tidy_distance(found.distance_m, units.distance)
    said = [
        (
            f"At {where} one arrow in three misses by more than "
            f"{amount(together.up_m, units.miss)} up or down, or "
            f"{amount(together.right_m, units.miss)} left or right, when all of this comes "
            "together."
        )
    ]
    for order, share in zip(("First", "Then"), found.shares[:2], strict=True):
        gain = 100.0 * (1.0 - sqrt(1.0 - share.saved))
        said.append(
            f"{order} improve: {ERROR_NAMES[share.name]} (without it misses shrink by "
            f"{gain:.0f} %): {ERROR_MENDS[share.name]}."
        )
    return tuple(said)


def trust_line(card: RangeCard, units: Units) -> str:
    """How far the card may be trusted, as a sentence."""
    answer = card.answer
    if card.order.pin == 1:
        return trust_words(answer, units)
    return f"Pin {card.order.pin} is trusted to {_distance_or_none(card.trusted_m, units)}."

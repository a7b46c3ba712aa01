"""Wording of the outdoors: sentences on slopes, weather and wind.

Holds:  these sentences; people's units of energy, momentum and wind; cautions for any mark.
Never:  layout, computations; cards, changes, budgets (wording_card.py and its neighbours).
"""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite
from typing import TYPE_CHECKING

import numpy as np

from tapewright.faces.quantities import format_quantity, in_unit
from tapewright.faces.wording import (
    SAFETY,
    Units,
    amount,
    mark_words,
    past_limit_words,
    round_amount,
)
from tapewright.faces.wording_planning import tidy_distance
from tapewright.ground.units import FOOT_POUND_J, MPH_MPS, POUND_FORCE_N

if TYPE_CHECKING:
    from tapewright.services.calibrate import Answer
    from tapewright.services.meet_weather import Blown, Weather
    from tapewright.services.table_slopes import Slopes

BODY = (
    "On a slope bend at the hips: an upper body that leans changes draw length and anchor, and no "
    "table knows by how much."
)
UPHILL = "Uphill a miss flies far: look what lies behind and above the target."
COLD = "Cold limbs may shoot slower: that is not in these marks. Read a chronograph in the cold."
GUSTS = "Wind is seldom steady; between archer and target it may blow two ways at once."
SPEED_PER_K = (0.0005, 0.001)  # of arrow speed, docs/physics.md eq. (9.16)
NO_OTHER_PERCENT = 0.05  # rounds to nothing
LOWER = "lower than any level mark"


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


def bare_distance(distance_m: float, units: Units) -> str:
    """A distance as a bare number, in as few digits as it has."""
    return f"{in_unit(distance_m, units.distance):.5g}"


def plain(value: float, decimals: int) -> str:
    """A number without the minus of a zero."""
    return f"{round(value, decimals) + 0.0:.{decimals}f}"


def signed(value: float, decimals: int) -> str:
    """A number with its sign; nothing is more than nothing."""
    return f"{round(value, decimals) + 0.0:+.{decimals}f}"


def mark_cautions(answer: Answer, units: Units, *, in_air: bool = True) -> tuple[str, ...]:
    """What must be known of marks that are taken outdoors: too few arrows, where the sight stops.

    Parameters
    ----------
    answer : Answer
        The calibration.
    units : Units
        What the person reads.
    in_air : bool, default True
        Whether they are for the air of the sheet.

    Returns
    -------
    tuple of str
        A sentence or two each; empty when all is well.
    """
    told = mark_words(answer, units, but="" if in_air else "other air")
    stop = past_limit_words(answer)
    return (*told, stop) if stop else told


def slope_cautions(answer: Answer, units: Units) -> tuple[str, ...]:
    """What must be read before a shot up or down hill."""
    return (*mark_cautions(answer, units), UPHILL, SAFETY[0])


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
    return (*notes, BODY)


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
    density = f"{abs(change):.1f} % {what} than at home"
    if abs(change) < NO_OTHER_PERCENT:
        density = "as dense as at home"
    said = [
        (
            f"Away: {format_quantity(air.temperature_k, '°C', 0)}, "
            f"{format_quantity(air.pressure_pa, 'hPa', 0)}, humidity "
            f"{100 * air.relative_humidity:.0f} %: air {density}."
        )
    ]
    tolerance_m = found.answer.rig.archer.tolerance_m
    off = np.abs(marks.miss_m) > 0.25 * tolerance_m
    if not off.any() and not found.is_far:  # far from home limbs and string decide, not the air
        worst = int(np.argmax(np.abs(marks.miss_m)))
        far = tidy_distance(marks.distance_m[worst], units.distance)
        miss = amount(abs(marks.miss_m[worst]), units.miss)
        said.append(f"The marks of home serve: at {far}, the worst, they miss by {miss}.")
    elif off.any():
        first = tidy_distance(marks.distance_m[int(np.argmax(off))], units.distance)
        said.append(
            f"From {first} on the marks of home miss by more than a quarter of your "
            f"{round_amount(tolerance_m, units.miss)}: dial the marks of the day there."
        )
    return (*said, COLD)


def weather_cautions(found: Weather, units: Units) -> tuple[str, ...]:
    """What must be read before a shot in other air: far from home, what the air does is little."""
    far = f"{abs(found.warmer_k):.0f} °C {'warmer' if found.warmer_k > 0.0 else 'colder'}"
    low, high = (100.0 * share * abs(found.warmer_k) for share in SPEED_PER_K)
    limbs = (
        f"It is {far} than where arrows were shot, and these marks count the air alone. Limbs and "
        f"string change, too: by {low:.1f} to {high:.1f} % of arrow speed, either way, as far as "
        "anybody knows. Shoot one near arrow first, and go farther only from what it shows."
    )
    known = mark_cautions(found.answer, units, in_air=False)
    return (*((limbs,) if found.is_far else ()), *known)


def wind_cautions(found: Blown, units: Units, butt_width_m: float) -> tuple[str, ...]:
    """What must be read before a shot in a wind: holds that leave the butt, winds nobody judges."""
    told = []
    off = np.flatnonzero(~found.stays_on(butt_width_m))
    if len(off):
        first = tidy_distance(found.misses.distance_m[off[0]], units.distance)
        butt = round_amount(butt_width_m, units.miss)
        told.append(
            f"From {first} on an arrow that is held off and meets a lull misses a butt {butt} "
            "wide: do not shoot there in this wind. Wait, or go nearer."
        )
    if found.is_strong:
        told.append(
            "So strong a wind nobody judges well: a third more or less of it moves the arrow by a "
            "third of the hold-off. Shoot near, before a wide safe stop, or not at all."
        )
    return (*told, *mark_cautions(found.answer, units))


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
    unit, pins = field_units(units), len(found.answer.trusted_m)
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
        said.append(
            f"{kind} wind of {speed:.3g} {unit.wind}: arrows land {way}; the last column is what "
            "to add to the mark's reading."
        )
    return (*said, "The same for every pin.", GUSTS) if pins > 1 else (*said, GUSTS)

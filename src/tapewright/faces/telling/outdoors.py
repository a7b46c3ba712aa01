"""Outdoors: slopes, weather and wind as tables and sentences.

Holds:  what ``slopes``, ``weather`` and ``wind`` show.
Never:  computations, how a face draws it.
"""

import numpy as np

from tapewright.faces.wording_outdoors import (
    bare_distance,
    plain,
    short_distance,
    signed,
    slope_cautions,
    slope_notes,
    weather_cautions,
    weather_words,
    wind_cautions,
    wind_words,
)
from tapewright.services.meet_weather import Blown, Weather
from tapewright.services.table_slopes import Slopes
from tapewright.words.blocks import Blocks, Mind, Table
from tapewright.words.quantities import in_unit
from tapewright.words.units import Units


def slopes_blocks(found: Slopes, units: Units) -> Blocks:
    """Marks on slopes, beside the rule of thumb."""
    unit, miss, table = units.distance, units.miss, found.table
    dial = [[short_distance(one, unit).replace("–", "low") for one in row] for row in table.dial_m]
    reading = [[plain(1e3 * one, 1) for one in row] for row in table.reading_m]
    rule = [[signed(in_unit(one, miss), 1) for one in row] for row in found.rule.miss_m]
    thumb = f"Miss of the rule of thumb (dial the horizontal distance), {miss}: high is more than 0"
    return (
        _slope_table(f"Dial the mark for, {unit}", found, dial, units),
        _slope_table("Reading, mm", found, reading, units),
        _slope_table(thumb, found, rule, units),
        *slope_notes(found, units),
        *map(Mind, slope_cautions(found.answer, units)),
    )


def _slope_table(title: str, found: Slopes, cells: list[list[str]], units: Units) -> Table:
    heads = (units.distance, *(f"{slope:+.0f}°" for slope in np.degrees(found.table.slope_rad)))
    rows = tuple(
        (bare_distance(distance, units), *(row[place] for row in cells))
        for place, distance in enumerate(found.table.distance_m)
    )
    return Table(title, heads, rows)


def weather_blocks(found: Weather, units: Units) -> Blocks:
    """Home against away."""
    marks = found.marks
    rows = tuple(
        (
            bare_distance(distance, units),
            plain(1e3 * marks.home_m[place], 2),
            plain(1e3 * marks.away_m[place], 2),
            " to ".join(
                plain(1e3 * end[place], 2) for end in (marks.away_low_m, marks.away_high_m)
            ),
            signed(1e3 * (marks.away_m[place] - marks.home_m[place]), 2),
            signed(in_unit(marks.miss_m[place], units.miss), 1),
        )
        for place, distance in enumerate(marks.distance_m)
    )
    heads = (units.distance, "home mm", "away mm", "band away mm", "change mm",
             f"home mark hits {units.miss}")  # fmt: skip
    pin = f", pin {found.pin}" if len(found.answer.trusted_m) > 1 else ""
    title = f"Marks at home and away{pin}; what the home mark hits away, high is more than 0"
    cautions = map(Mind, weather_cautions(found, units))
    return (Table(title, heads, rows), *weather_words(found, units), *cautions)


def wind_blocks(found: Blown, units: Units, spot_m: float, butt_width_m: float) -> Blocks:
    """Hold-offs, also in widths of a spot; those that leave the butt are faint."""
    miss = units.miss
    leaves = frozenset(np.flatnonzero(~found.stays_on(butt_width_m)).tolist())
    rows = tuple(
        (bare_distance(distance, units), *_held_off(found, place, units, spot_m))
        for place, distance in enumerate(found.misses.distance_m)
    )
    heads = (units.distance, "hold off to the", miss, "spots", f"arrow up {miss}",
             "add to reading mm")  # fmt: skip
    title = f"Wind: hold-off, also in widths of a spot of {in_unit(spot_m, miss):.3g} {miss}"
    rows = tuple(
        (*row[:1], "off the butt", *row[2:]) if place in leaves else row
        for place, row in enumerate(rows)
    )
    cautions = map(Mind, wind_cautions(found, units, butt_width_m))
    return (Table(title, heads, rows, leaves), *wind_words(found, units), *cautions)


def _held_off(found: Blown, place: int, units: Units, spot_m: float) -> tuple[str, ...]:
    """Cells of one distance: which way and how far to hold off, and what head wind does."""
    miss, misses = units.miss, found.misses
    off_m = -float(misses.right_m[place])
    half_m = 0.5 * (misses.right_high_m[place] - misses.right_low_m[place])
    return (
        "–" if off_m == 0.0 else ("right" if off_m > 0.0 else "left"),
        f"{in_unit(abs(off_m), miss):.1f} ±{in_unit(half_m, miss):.1f}",
        f"{abs(off_m) / spot_m:.2f}",
        signed(in_unit(misses.up_m[place], miss), 2),
        signed(1e3 * misses.reading_m[place], 2),
    )

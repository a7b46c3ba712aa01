"""Checks: limits and tilts as tables and sentences.

Holds:  what ``limits`` and ``level`` show.
Never:  computations, how a face draws it.
"""

from tapewright.faces.wording_checking import (
    LIMIT_WORDS,
    ROLE_WORDS,
    TILT_MEANINGS,
    degrees,
    level_cautions,
    levelling_notes,
    limit_cautions,
    mend_words,
    reach_words,
    stop_words,
    tilt_words,
)
from tapewright.services.level import FoundTilts, TiltMisses, Tilts
from tapewright.services.limits import FoundLimits, Reach
from tapewright.words.blocks import Block, Blocks, Mind, Table
from tapewright.words.quantities import format_quantity, in_unit
from tapewright.words.units import Units


def _plain(distance_m: float, unit: str) -> str:
    return format_quantity(distance_m, unit, None).split()[0]


def limits_blocks(found: FoundLimits, units: Units) -> Blocks:
    """What stops the sight and how far each pin reaches."""
    blocks: list[Block] = [f"{found.answer.rig.name}: {stop_words(found)}\n"]
    if found.limits.found:
        rows = tuple(
            (
                LIMIT_WORDS[one.kind],
                f"{in_unit(one.reading_m, 'mm'):.1f}",
                "–"
                if one.low_m == one.high_m
                else f"{in_unit(one.low_m, 'mm'):.1f} to {in_unit(one.high_m, 'mm'):.1f}",
                ROLE_WORDS[one.role],
            )
            for one in found.limits.found
        )
        blocks.append(Table("Limits of the reading", ("limit", "reading mm", "band mm", ""), rows))
    if found.limits.far is not None:  # both ends of a travel are known, or none
        blocks += _reaches(found, units)
    return (*blocks, *(Mind(caution) for caution in limit_cautions(found, units)))


def _reaches(found: FoundLimits, units: Units) -> tuple[Table, Table]:
    unit = units.distance
    rows: tuple[tuple[str, ...], ...] = tuple(
        (
            str(one.pin),
            reach_words(one, one.nearest_m[0], units),
            reach_words(one, one.farthest_m[0], units),
            _band(one, units),
        )
        for one in found.reaches
    )
    heads: tuple[str, ...] = ("pin", f"nearest {unit}", f"farthest {unit}", f"band {unit}")
    reaches = Table("Distances each pin reaches", heads, rows)
    rows = tuple(
        (
            _plain(distance, unit),
            *(
                f"{in_unit(float(left[place]), 'mm'):.1f} ({in_unit(float(low[place]), 'mm'):.1f})"
                for left, low in zip(found.left_m, found.left_low_m, strict=True)
            ),
        )
        for place, distance in enumerate(found.distance_m)
    )
    heads = (f"distance {unit}", *(f"pin {one.pin}" for one in found.reaches))
    gone = frozenset(
        place for place in range(len(found.distance_m)) if (found.left_m[:, place] < 0.0).all()
    )
    return reaches, Table("Pin travel left, mm (low end of its band)", heads, rows, gone)


def _band(reach: Reach, units: Units) -> str:
    low, high = (reach_words(reach, end, units) for end in reach.farthest_m[1:])
    return f"{low} to {high}"


def _signed(value_m: float, unit: str) -> str:
    text = f"{in_unit(value_m, unit):+.2f}"
    return "0.00" if not text.strip("+-0.") else text


def misses_table(misses: TiltMisses, tilts: Tilts, units: Units) -> Table:
    """What given tilts do at each distance."""
    unit, miss = units.distance, units.miss
    slope = degrees(tilts.slope_rad)
    columns = (
        (f"cant {degrees(tilts.cant_rad)}", misses.cant_right_m),
        ("always", misses.constant_cant_right_m),
        (f"third axis {degrees(tilts.swing_rad)}, {slope} up", misses.uphill_right_m),
        (f"{slope} down", misses.downhill_right_m),
        (f"travel {degrees(tilts.travel_rad)}", misses.travel_right_m),
        (f"eye {in_unit(tilts.peep_m, 'mm'):g} mm off", misses.peep_m),
    )
    rows = tuple(
        (
            _plain(float(distance), unit),
            *(_signed(float(column[place]), miss) for _, column in columns),
        )
        for place, distance in enumerate(misses.distance_m)
    )
    zeroed = f"{_plain(tilts.zeroed_m, unit)} {unit}"
    title = f"Misses to the right, {miss}; windage set at {zeroed} for always and travel"
    return Table(title, (f"distance {unit}", *(head for head, _ in columns)), rows)


def level_blocks(found: FoundTilts, units: Units) -> Blocks:
    """What tilts do, or what a test tells of them."""
    test = found.test
    if test is None:
        table = misses_table(found.misses, found.tilts, units)
        return (table, *TILT_MEANINGS, *map(Mind, level_cautions(found.tilts, None)))
    rig = found.answer.rig
    blocks: list[Block] = [f"{rig.name}: what the test tells, seen by you at full draw"]
    for tilt in test.tilts:
        blocks.append(f"\n{tilt_words(tilt, units)}")
        mend = mend_words(tilt, rig.hand)
        if mend:
            blocks.append(mend)
    blocks.append("")
    return (*blocks, *levelling_notes(test), *map(Mind, level_cautions(found.tilts, test)))

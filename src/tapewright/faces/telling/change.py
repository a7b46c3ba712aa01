"""Change: a rig before and after a change, and two rigs side by side, as tables and sentences.

Holds:  what ``change`` and ``compare`` show.
Never:  computations, how a face draws it.
"""

from collections.abc import Callable

import numpy as np

from tapewright.faces.wording_card import trust_line
from tapewright.faces.wording_change import (
    BY_COMMAND,
    Ways,
    change_cautions,
    change_words,
    pin_words,
)
from tapewright.faces.wording_outdoors import (
    field_units,
    mark_cautions,
    plain,
    short_distance,
    signed,
)
from tapewright.services.change_rig import ChangedRig, further_pins
from tapewright.services.compare_rigs import Comparison
from tapewright.services.make_card import Bands, RangeCard
from tapewright.words.blocks import Block, Blocks, Mind, Table
from tapewright.words.quantities import in_unit
from tapewright.words.units import Units

Cells = Callable[[RangeCard, int, Units], tuple[tuple[str, str], ...]]


def _bare(distance_m: float, units: Units) -> str:
    return f"{in_unit(distance_m, units.distance):.5g}"


def _band_text(found: Bands, place: int, units: Units) -> tuple[str, str]:
    half_m = 0.5 * (found.impact_high_m[place] - found.impact_low_m[place])
    return plain(1e3 * found.reading_m[place], 2), f"±{in_unit(half_m, units.miss):.1f}"


def _change_table(title: str, old: Bands | None, new: Bands, units: Units) -> Table:
    rows = []
    for place, distance in enumerate(new.distance_m):
        before = ("–", "–") if old is None else _band_text(old, place, units)
        moved_m = np.nan if old is None else new.reading_m[place] - old.reading_m[place]
        change = "–" if old is None else signed(1e3 * moved_m, 2)
        rows.append((_bare(distance, units), *before, *_band_text(new, place, units), change))
    miss = units.miss
    heads = (units.distance, "old mark mm", f"band {miss}", "new mark mm", f"band {miss}",
             "change mm")  # fmt: skip
    return Table(title, heads, tuple(rows))


def change_blocks(found: ChangedRig, units: Units, ways: Ways = BY_COMMAND) -> Blocks:
    """A rig before and after a change: marks, trust, what buys it back."""
    pins = [
        _change_table(f"Marks of pin {pin} before and after", old, new, units)
        for pin, (old, new) in enumerate(further_pins(found), 2)
    ]
    return (
        f"From {found.old.rig.name} to {found.new.rig.name}\n",
        _change_table("Marks before and after", found.old.bands, found.new.bands, units),
        *pins,
        *change_words(found, units, ways),
        *pin_words(found, units),
        *map(Mind, change_cautions(found, units)),
    )


def comparison_blocks(found: Comparison, units: Units) -> Blocks:
    """Two rigs side by side: marks, flight, trust."""
    names = "; ".join(
        f"{which}: {card.answer.rig.name}" for which, card in zip("AB", found.cards, strict=True)
    )
    blocks: list[Block] = [
        _both(f"Marks, and how far each serves. {names}", found, _marks_of, units),
        _both("Flight: at the target", found, _flight_of, units),
    ]
    for which, card in zip("AB", found.cards, strict=True):
        blocks.append(f"{which}, {card.answer.rig.name}: {trust_line(card, units)}")
        blocks += [Mind(f"{which}: {one}") for one in mark_cautions(card.answer, units)]
    return tuple(blocks)


def _marks_of(card: RangeCard, place: int, units: Units) -> tuple[tuple[str, str], ...]:
    """Heads and cells of a rig's marks."""
    mark, band = _band_text(card.marks, place, units)
    span_m = float(card.flight.hold_far_m[place] - card.flight.hold_near_m[place])
    return (
        ("mark mm", mark),
        (f"band {units.miss}", band),
        (f"window {units.distance}", short_distance(span_m, units.distance)),
    )


def _flight_of(card: RangeCard, place: int, units: Units) -> tuple[tuple[str, str], ...]:
    """Heads and cells of a rig's flight."""
    field, flight = field_units(units), card.flight
    drift_m = float(flight.drift_m.middle[place]) * field.wind_mps
    speed = in_unit(float(flight.speed_mps.middle[place]), units.speed)
    return (
        (units.speed, f"{speed:.0f}"),
        (field.energy, f"{flight.energy_j.middle[place] / field.energy_j:.1f}"),
        (f"drift {units.miss}/{field.wind}", f"{in_unit(drift_m, units.miss):.2f}"),
    )


def _both(title: str, found: Comparison, cells: Cells, units: Units) -> Table:
    """Table of both rigs' cells."""
    heads = cells(found.cards[0], 0, units)
    rows = tuple(
        (
            _bare(distance, units),
            *(cell for card in found.cards for _, cell in cells(card, place, units)),
        )
        for place, distance in enumerate(found.cards[0].marks.distance_m)
    )
    names = (f"{which} {head}" for which in "AB" for head, _ in heads)
    return Table(title, (units.distance, *names), rows)

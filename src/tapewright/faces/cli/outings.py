"""Outings: cards, slopes, weather, wind, changes and budgets as tables and lines on a screen.

Holds:  the tables of these commands.
Never:  computations, options.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import click
import numpy as np

from tapewright.faces.cli.tables import Table, show_table
from tapewright.faces.quantities import in_unit
from tapewright.faces.wording import Units, caution_words
from tapewright.faces.wording_outdoors import (
    ERROR_NAMES,
    budget_words,
    card_cautions,
    card_notes,
    card_table,
    change_cautions,
    change_words,
    close_words,
    field_units,
    short_distance,
    slope_notes,
    trust_line,
    weather_words,
    wind_words,
)

if TYPE_CHECKING:
    from collections.abc import Iterable

    from tapewright.services.calibrate import Bands
    from tapewright.services.change_rig import ChangedRig
    from tapewright.services.compare_rigs import Comparison
    from tapewright.services.make_card import RangeCard, Spread
    from tapewright.services.meet_weather import Blown, Weather
    from tapewright.services.table_slopes import Slopes
    from tapewright.services.weigh_errors import Budget


def _say(sentences: Iterable[str], cautions: Iterable[str] = ()) -> None:
    for sentence in sentences:
        click.echo(sentence)
    for caution in cautions:
        click.echo(f"Mind: {caution}")


def _bare(distance_m: float, units: Units) -> str:
    return f"{in_unit(distance_m, units.distance):.5g}"


def _banded(spread: Spread, place: int, per: float, decimals: int) -> str:
    half = 0.5 * (spread.high[place] - spread.low[place]) / per
    return f"{spread.middle[place] / per:.{decimals}f} ±{half:.{decimals}f}"


def _flight_table(card: RangeCard, units: Units) -> Table:
    field, flight, miss = field_units(units), card.flight, units.miss
    per_speed, per_miss = 1.0 / in_unit(1.0, units.speed), 1.0 / in_unit(1.0, miss)
    rows = tuple(
        (
            _bare(distance, units),
            _banded(flight.time_s, place, 1.0, 3),
            _banded(flight.speed_mps, place, per_speed, 1),
            _banded(flight.energy_j, place, field.energy_j, 1),
            _banded(flight.momentum_n_s, place, field.momentum_n_s, 3),
            _banded(flight.drift_m, place, per_miss / field.wind_mps, 2),
        )
        for place, distance in enumerate(card.marks.distance_m)
    )
    heads = (units.distance, "time s", f"speed {units.speed}", f"energy {field.energy}",
             f"momentum {field.momentum}", f"drift {miss} per {field.wind}")  # fmt: skip
    return Table("Flight: at the target", heads, rows)


def show_card(card: RangeCard, units: Units) -> None:
    """Print a range card."""
    pin = f", pin {card.order.pin}" if len(card.answer.trusted_m) > 1 else ""
    click.echo(f"{card.answer.rig.name}{pin}: {trust_line(card, units)}\n")
    paper = card_table(card, units)
    front = paper.columns(tuple(range(paper.front)))
    heads = tuple(f"{name} {unit}".strip() for name, unit in front.heads)
    show_table(Table("Marks, and how far each serves", heads, front.rows, front.faint))
    show_table(_flight_table(card, units))
    if close := close_words(card, units):
        click.echo(f"Close marks: {'; '.join(close)}.")
    _say(card_notes(card, units), card_cautions(card, units))


def _slope_table(title: str, found: Slopes, cells: list[list[str]], units: Units) -> Table:
    heads = (units.distance, *(f"{slope:+.0f}°" for slope in np.degrees(found.table.slope_rad)))
    rows = tuple(
        (_bare(distance, units), *(row[place] for row in cells))
        for place, distance in enumerate(found.table.distance_m)
    )
    return Table(title, heads, rows)


def show_slopes(found: Slopes, units: Units) -> None:
    """Print marks on slopes, beside the rule of thumb."""
    unit, miss, table = units.distance, units.miss, found.table
    dial = [[short_distance(one, unit).replace("–", "low") for one in row] for row in table.dial_m]
    show_table(_slope_table(f"Dial the mark for, {unit}", found, dial, units))
    reading = [[f"{1e3 * one:.1f}" for one in row] for row in table.reading_m]
    show_table(_slope_table("Reading, mm", found, reading, units))
    rule = [[f"{in_unit(one, miss):+.1f}" for one in row] for row in found.rule.miss_m]
    title = f"Miss of the rule of thumb (dial the horizontal distance), {miss}: high is more than 0"
    show_table(_slope_table(title, found, rule, units))
    _say(slope_notes(found, units))


def show_weather(found: Weather, units: Units) -> None:
    """Print home against away."""
    marks = found.marks
    rows = tuple(
        (
            _bare(distance, units),
            f"{1e3 * marks.home_m[place]:.2f}",
            f"{1e3 * marks.away_m[place]:.2f}",
            f"{1e3 * marks.away_low_m[place]:.2f} to {1e3 * marks.away_high_m[place]:.2f}",
            f"{in_unit(marks.miss_m[place], units.miss):+.1f}",
        )
        for place, distance in enumerate(marks.distance_m)
    )
    heads = (units.distance, "home mm", "away mm", "band away mm",
             f"miss with home's {units.miss}")  # fmt: skip
    show_table(Table("Marks at home and away", heads, rows))
    _say(weather_words(found, units))


def show_wind(found: Blown, units: Units, spot_m: float) -> None:
    """Print hold-offs."""
    miss, misses = units.miss, found.misses
    rows = []
    for place, distance in enumerate(misses.distance_m):
        off_m = -float(misses.right_m[place])
        half_m = 0.5 * (misses.right_high_m[place] - misses.right_low_m[place])
        side = "–" if off_m == 0.0 else ("right" if off_m > 0.0 else "left")
        rows.append(
            (
                _bare(distance, units),
                side,
                f"{in_unit(abs(off_m), miss):.1f} ±{in_unit(half_m, miss):.1f}",
                f"{abs(off_m) / spot_m:.2f}",
                f"{in_unit(misses.up_m[place], miss):+.2f}",
                f"{1e3 * misses.reading_m[place]:+.2f}",
            )
        )
    heads = (units.distance, "hold off to the", miss, "spots", f"arrow up {miss}",
             "or dial mm")  # fmt: skip
    spot = f"{in_unit(spot_m, miss):.3g} {miss}"
    show_table(Table(f"Wind: hold-off, also in widths of a spot of {spot}", heads, tuple(rows)))
    _say(wind_words(found, units))


def _band_text(found: Bands, place: int, units: Units) -> tuple[str, str]:
    half_m = 0.5 * (found.impact_high_m[place] - found.impact_low_m[place])
    return f"{1e3 * found.reading_m[place]:.2f}", f"±{in_unit(half_m, units.miss):.1f}"


def show_change(found: ChangedRig, units: Units) -> None:
    """Print a rig before and after a change."""
    old, new = found.old.bands, found.new.bands
    rows = tuple(
        (
            _bare(distance, units),
            *_band_text(old, place, units),
            *_band_text(new, place, units),
            f"{1e3 * (new.reading_m[place] - old.reading_m[place]):+.2f}",
        )
        for place, distance in enumerate(new.distance_m)
    )
    miss = units.miss
    heads = (units.distance, "old mark mm", f"band {miss}", "new mark mm", f"band {miss}",
             "change mm")  # fmt: skip
    click.echo(f"From {found.old.rig.name} to {found.new.rig.name}\n")
    show_table(Table("Marks before and after", heads, rows))
    cautions = (caution_words(one, found.new, units) for one in found.new.cautions)
    _say(change_words(found, units), (*cautions, *change_cautions()))


def show_comparison(found: Comparison, units: Units) -> None:
    """Print two rigs side by side."""
    first, other = found.cards
    names = (first.answer.rig.name, other.answer.rig.name)
    field = field_units(units)
    rows = []
    for place, distance in enumerate(first.marks.distance_m):
        cells = [_bare(distance, units)]
        for card in found.cards:
            flight = card.flight
            drift_m = float(flight.drift_m.middle[place]) * field.wind_mps
            span_m = float(flight.hold_far_m[place] - flight.hold_near_m[place])
            cells += [
                *_band_text(card.marks, place, units),
                f"{in_unit(float(flight.speed_mps.middle[place]), units.speed):.0f}",
                f"{flight.energy_j.middle[place] / field.energy_j:.1f}",
                f"{in_unit(drift_m, units.miss):.2f}",
                short_distance(span_m, units.distance),
            ]
        rows.append(tuple(cells))
    each = ("mark mm", f"band {units.miss}", units.speed, field.energy,
            f"drift {units.miss}/{field.wind}", f"window {units.distance}")  # fmt: skip
    heads = (units.distance, *(f"{one} {which}" for which in ("A", "B") for one in each))
    show_table(Table(f"A: {names[0]}; B: {names[1]}", heads, tuple(rows)))
    for which, card in zip("AB", found.cards, strict=True):
        click.echo(f"{which}, {card.answer.rig.name}: {trust_line(card, units)}")


def show_budget(found: Budget, units: Units) -> None:
    """Print a miss budget."""
    miss = units.miss
    rows = tuple(
        (
            ERROR_NAMES[share.name],
            f"{in_unit(share.right_m, miss):.2f}",
            f"{in_unit(share.up_m, miss):.2f}",
            f"{100 * share.saved:.0f} %",
        )
        for share in found.shares
    )
    heads = ("error alone", f"left or right {miss}", f"up or down {miss}", "share")
    where = _bare(found.distance_m, units)
    show_table(Table(f"Miss budget at {where} {units.distance}, one deviation each", heads, rows))
    _say(budget_words(found, units))

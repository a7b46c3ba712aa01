"""Answers: a calibration as tables and lines on a screen.

Holds:  the tables of ``fit``.
Never:  computations, options.
"""

import click
import numpy as np

from tapewright.faces.cli.tables import Table, show_table
from tapewright.faces.quantities import in_unit
from tapewright.faces.wording import (
    DECIMALS,
    Units,
    amount,
    caution_words,
    estimate_unit,
    past_limit_words,
    shot_words,
    trust_words,
    unknown_words,
)
from tapewright.services.calibrate import Answer, Bands, fixed_pins


def _number(value: float, unit: str, decimals: int) -> str:
    if np.isnan(value):
        return "–"
    return f"{in_unit(value, unit) if unit else value:.{decimals}f}"


def _distance(distance_m: float, units: Units) -> str:
    return f"{in_unit(distance_m, units.distance):.6g}"


def _impacts(low_m: float, high_m: float, units: Units) -> str:
    """Both ends of a band at the target; zero has no sign."""
    ends = (round(in_unit(end, units.miss), 1) + 0.0 for end in (low_m, high_m))
    return " to ".join(f"{end:+.1f}" if end else "0.0" for end in ends)


def marks_table(answer: Answer, found: Bands, units: Units, pin: int) -> Table:
    """Marks of one pin with their bands."""
    trusted_m = answer.trusted_m[pin - 1]
    allowed = answer.limits.allows(found.reading_m)
    heads = (
        f"distance {units.distance}",
        "mark mm",
        "band mm",
        f"impact {units.miss}",
    )
    rows = []
    for place, distance in enumerate(found.distance_m):
        low, high = found.low_m[place], found.high_m[place]
        band = f"{_number(low, 'mm', 2)} to {_number(high, 'mm', 2)}"
        impact = _impacts(found.impact_low_m[place], found.impact_high_m[place], units)
        if np.isnan([low, high, found.impact_low_m[place]]).any():
            band, impact = "the arm does", "not reach"
        elif not allowed[place]:
            band, impact = "past the limit:", "do not shoot"
        mark = _number(found.reading_m[place], "mm", 2)
        rows.append((_distance(distance, units), mark, band, impact))
    beyond = frozenset(
        place for place, distance in enumerate(found.distance_m) if distance > trusted_m + 1e-6
    )
    title = "Marks" if pin == 1 else f"Marks of pin {pin}"
    return Table(title, heads, tuple(rows), beyond)


def groups_table(answer: Answer, units: Units) -> Table:
    """Groups against the fit."""
    heads = (
        "group",
        units.distance,
        "reading mm",
        "arrows",
        f"up {units.miss}",
        f"right {units.miss}",
        "chance 1 in",
    )
    rows = tuple(
        (
            one.name,
            _distance(one.distance_m, units),
            _number(one.reading_m, "mm", 2),
            str(one.arrows),
            _number(one.miss_up_m, units.miss, 2),
            _number(one.miss_right_m, units.miss, 2),
            f"{10**one.surprise:.0f}" + (" odd" if one.is_odd else ""),
        )
        for one in answer.groups
    )
    return Table("Groups: centre against the fit", heads, rows)


def unknowns_table(answer: Answer, units: Units) -> Table:
    """What arrows and sheet together say of each unknown."""
    rows = []
    for one in answer.estimates:
        unit = estimate_unit(one, units)
        decimals = DECIMALS[unit]
        rows.append(
            (
                unknown_words(one.name),
                _number(one.median, unit, decimals),
                f"{_number(one.low, unit, decimals)} to {_number(one.high, unit, decimals)}",
                unit,
                f"{100 * max(one.learnt, 0.0):.0f} %" if answer.groups else "–",
            )
        )
    heads = ("unknown", "value", "band", "unit", "from arrows")
    return Table("Bow and archer", heads, tuple(rows))


def show_answer(answer: Answer, units: Units, further_pins: tuple[Bands, ...]) -> None:
    """Print a calibration."""
    click.echo(f"{answer.rig.name}: {shot_words(answer)}")
    click.echo(trust_words(answer, units) + "\n")
    for pin, found in enumerate((answer.bands, *further_pins), 1):
        show_table(marks_table(answer, found, units, pin))
    if answer.groups:
        show_table(groups_table(answer, units))
    show_table(unknowns_table(answer, units))
    told = [caution_words(caution, answer, units) for caution in answer.cautions]
    for sentence in filter(None, (*told, past_limit_words(answer))):
        click.echo(f"Mind: {sentence}")
    assumed = answer.posterior.calibration.evidence.prior.assumed
    if assumed:
        click.echo(f"Not on the sheet, usual values taken: {'; '.join(assumed)}.")
    posterior = answer.posterior
    click.echo(
        f"Calibration {answer.fingerprint}: {posterior.method}, "
        f"{posterior.effective_draws:.0f} effective draws"
        + ("." if np.isnan(posterior.tail_shape) else f", tail shape {posterior.tail_shape:.2f}.")
    )


def show_fixed_pins(answer: Answer, pins_m: tuple[float, ...], units: Units) -> None:
    """Print where the pins of a sight that does not move must sit."""
    drops, lows, highs = fixed_pins(answer, pins_m)
    rows = tuple(
        (
            amount(distance, units.distance),
            f"{1e3 * drop:.2f}",
            f"{1e3 * low:.2f} to {1e3 * high:.2f}",
        )
        for distance, drop, low, high in zip(pins_m, drops, lows, highs, strict=True)
    )
    show_table(Table("Fixed pins: mm below the first", ("pin for", "below", "band"), rows))

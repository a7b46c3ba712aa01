"""Wording of shooting: sentences about groups, corrections and clicks, for every face.

Holds:  where a group hit; what to turn, or why to leave it; flyers; a learnt click.
Never:  layout, computations.
"""

from math import isnan

from tapewright.services.correct import AxisMove, Correction
from tapewright.services.learn_clicks import LearntClick
from tapewright.services.measure_groups import (
    FEWEST,
    GroupMeasure,
    KnownScatter,
    Measured,
    largest_possible,
)
from tapewright.services.move_sight import SightMove, turns_and_clicks
from tapewright.words.quantities import format_quantity, in_unit
from tapewright.words.units import Units, amount

SCATTER_WORDS = {
    "arrows": "the dispersion of these arrows",
    "sheet": "the rig sheet's dispersion",
    "usual": "a usual dispersion",
}


PAST_LIMIT = (
    "A move told here ends past the clearance reading or the travel on your sheet. Do not "
    "set the sight there and do not shoot: housing and arrow would meet. Come nearer, or use a "
    "lower pin."
)

WAIT = (
    "Leave the sight as it is: what shows may be chance or less than a click. Shoot more arrows "
    "at this distance before you turn anything; the group counts for the tape all the same."
)


def hit_words(right_m: float, up_m: float, unit: str) -> str:
    """Where something lies, in words; what was not measured is left out."""
    parts = [
        f"{amount(abs(miss), unit)} {words[miss < 0]}"
        for miss, words in ((up_m, ("high", "low")), (right_m, ("right", "left")))
        if not isnan(miss)
    ]
    return " and ".join(parts) or "not measured"


def click_words(clicks: int | None, per_turn: int | None) -> str:
    """Clicks to turn, with turns when they are many; empty where no click is known."""
    if clicks is None:
        return ""
    said = f", {_count(abs(clicks), 'click')}"
    if per_turn is None or abs(clicks) < per_turn:
        return said
    turns, left = turns_and_clicks(clicks, per_turn)
    rest = f" and {_count(left, 'click')}" if left else ""
    return f"{said} ({_count(turns, 'turn')}{rest})"


def _count(number: int, word: str) -> str:
    return f"{number} {word}" if number == 1 else f"{number} {word}s"


def elevation_words(move: SightMove, old_reading_m: float, per_turn: int | None = None) -> str:
    """Which way the pin goes up or down, in readings and clicks."""
    way = "up" if move.pin_up > 0 else "down"
    numbers = "larger" if move.reading_m > old_reading_m else "smaller"
    return (
        f"pin {way}, {format_quantity(abs(move.by_reading_m), 'mm', 2)} toward {numbers} numbers "
        f"to {format_quantity(move.reading_m, 'mm', 2)}"
        f"{click_words(move.reading_clicks, per_turn)}"
    )


def windage_words(move: SightMove, per_turn: int | None = None) -> str:
    """Which way the pin goes sideways, in mm at the pin and clicks."""
    way = "right" if move.pin_right_m > 0 else "left"
    return (
        f"pin {way} by {format_quantity(abs(move.pin_right_m), 'mm', 2)}"
        f"{click_words(move.right_clicks, per_turn)}"
    )


def leave_words(move: AxisMove, chance: float) -> str:
    """Why an axis is left alone."""
    if move.reason == "not measured":
        return "not measured"
    if move.reason == "under half a click":
        return "leave it, the move would be under half a click"
    odds = f"one group in {1.0 / max(chance, 1e-9):.0f}" if chance < 0.6 else "most groups"
    return f"leave it, a zeroed bow puts {odds} as far off"


def correction_words(
    measure: GroupMeasure, correction: Correction, units: Units, per_turn: int | None = None
) -> str:
    """What to do after a group, as a sentence or two."""
    turns = turn_words(measure, correction, per_turn)
    return f"{_group_words(measure, units)}{' '.join(turns)}"


def turn_words(
    measure: GroupMeasure, correction: Correction, per_turn: int | None = None
) -> tuple[str, str]:
    """What to turn after a group, for elevation and for windage."""
    up, right = correction.up, correction.right
    move, old_m = correction.move, correction.observation.reading_m
    elevation = (
        elevation_words(move, old_m, per_turn)
        if up.is_move
        else leave_words(up, axis_chance(measure, "up"))
    )
    windage = (
        windage_words(move, per_turn)
        if right.is_move
        else leave_words(right, axis_chance(measure, "right"))
    )
    return f"Elevation: {elevation}.", f"Windage: {windage}."


def axis_chance(measure: GroupMeasure, axis: str) -> float:
    """Chance by which an axis is judged: that of the whole group or its own, the larger."""
    centre = measure.centre
    return max(centre.chance, centre.chance_up if axis == "up" else centre.chance_right)


def _group_words(measure: GroupMeasure, units: Units) -> str:
    one, centre = measure.observation, measure.centre
    where = hit_words(centre.right_m, centre.up_m, units.miss)
    return f"Group {one.group.name}, {_distance(one.distance_m, units)}: centre {where}. "


def _distance(distance_m: float, units: Units) -> str:
    return f"{in_unit(distance_m, units.distance):.6g} {units.distance}"


def shift_words(measure: GroupMeasure, right: AxisMove, up: AxisMove, units: Units) -> str:
    """What to do after a group when no rig sheet tells the sight."""

    def axis(move: AxisMove, ways: tuple[str, str], name: str) -> str:
        if not move.is_move:
            return leave_words(move, axis_chance(measure, name))
        angle = abs(move.shift_m) / measure.observation.distance_m
        way = ways[move.shift_m > 0]  # the pin follows the arrows
        return f"pin {way} by {format_quantity(angle, 'mrad', 2)}"

    return (
        f"{_group_words(measure, units)}Elevation: {axis(up, ('up', 'down'), 'up')}. "
        f"Windage: {axis(right, ('right', 'left'), 'right')}."
    )


def flyer_words(measure: GroupMeasure, units: Units) -> str:
    """What to make of an arrow that does not belong; empty when every arrow does."""
    flyer = measure.flyer
    if flyer is None or not flyer.is_flyer:
        return ""
    return (
        f"Group {measure.observation.group.name}: the arrow at "
        f"{hit_words(*measure.flyer_at_m, units.miss)} does not belong to the others (one sound "
        f"group in {1.0 / max(flyer.chance, 1e-9):.0f} has one as far off). It is counted all the "
        "same: leave out only what was called bad before looking."
    )


def few_arrows_words(measured: Measured) -> str:
    """How little groups of three can prove; empty when there are none."""
    if not any(one.findable and one.spread.arrows == FEWEST for one in measured.groups):
        return ""
    return (
        "Three arrows prove next to nothing: along an axis none of them can lie more than "
        f"{largest_possible(FEWEST):.4f} standard deviations from their mean, however wild it is."
    )


def scatter_words(measured: Measured, units: Units) -> str:
    """By which scatter centres were judged, and what all arrows together tell."""
    known: KnownScatter = measured.known
    angle = format_quantity(known.dispersion_rad, units.angle, 2)
    wobble = format_quantity(known.wobble_rad, units.angle, 2)
    return (
        f"Centres are judged by {SCATTER_WORDS[known.source]}, {angle} per axis, and a usual "
        f"wobble of {wobble} from group to group."
    )


def learnt_words(learnt: LearntClick, probability: float) -> str:
    """Size of a click as learnt from arrows."""
    click, angle = learnt.click_m, learnt.angle_rad
    what = "reading" if learnt.axis == "elevation" else "pin travel"
    said = (
        f"One {learnt.axis} click is {1e3 * click.value:.4f} mm of {what}, {1e3 * click.low:.4f} "
        f"to {1e3 * click.high:.4f} with {100 * probability:.0f} % chance; it moves the impact by "
        f"{1e3 * abs(angle.value):.4f} mrad. From {learnt.groups} groups, {learnt.arrows} arrows."
    )
    if click.low <= 0.0 <= click.high:
        return f"{said} That is no size yet: turn more clicks between groups, or shoot more arrows."
    if click.value < 0.0:
        way = "toward larger numbers" if learnt.axis == "elevation" else "with the pin going right"
        return f"{said} Below zero: the clicks were not counted {way}."
    return said

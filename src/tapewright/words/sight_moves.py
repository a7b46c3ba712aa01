"""Sight moves: where arrows hit, what to turn on the sight or why to leave it, as sentences.

Holds:  sides of a miss; moves of the pin in readings, turns and clicks; why an axis is left; arrows
        that do not belong, and by which scatter groups are judged.
Never:  how far to move (services/correct.py), layout.
"""

from collections.abc import Iterable
from math import isnan

from tapewright.services.correct import AxisMove, Correction
from tapewright.services.measure_groups import FEWEST, GroupMeasure, Measured, largest_possible
from tapewright.services.move_sight import SightMove, turns_and_clicks
from tapewright.services.record_groups import Group
from tapewright.services.stick_tape import Tape
from tapewright.words.number_format import counted, known
from tapewright.words.quantity_parser import format_quantity, in_unit, with_unit
from tapewright.words.readings_on_tape import correction_words
from tapewright.words.unit_system import Units, amount, distance_words

MOST_GROUPS = 0.6  # chance from which on a zeroed bow puts most groups as far off
LEAST_MM = 0.01  # nobody turns a sight finer
COARSE_MM = 0.5
PAST_LIMIT = (
    "A move told here ends past the clearance reading or the travel on your sheet. Do not "
    "set the sight there and do not shoot: housing and arrow would meet. Come nearer, or use a "
    "lower pin."
)
SCATTER_WORDS = {
    "arrows": "the dispersion of these arrows",
    "sheet": "the rig sheet's dispersion",
    "usual": "a usual dispersion",
}
WAIT = (
    "Nothing to turn for this group: what shows may be chance or less than a click. Only more "
    "arrows at this distance would show whether to turn anything; the group counts for the tape "
    "all the same."
)


def hit_words(right_m: float, up_m: float, unit: str) -> str:
    """Where something lies; what was not measured is left out."""
    sides = ((up_m, ("high", "low")), (right_m, ("right", "left")))
    told_m = [(miss, ways, amount(abs(miss), unit)) for miss, ways in sides if not isnan(miss)]
    parts = [
        f"{size} {ways[miss < 0] if size != amount(0.0, unit) else ' or '.join(ways)}"
        for miss, ways, size in told_m
    ]
    return " and ".join(parts) or "not measured"


def one_in(chance: float) -> str:
    """A small chance as the one case in so many."""
    return f"in {1.0 / max(chance, 1e-9):.0f}"


def click_words(clicks: int | None, per_turn: int | None) -> str:
    """Clicks to turn, with turns when they are many; empty where no click is known."""
    if clicks is None:
        return ""
    words = f", {counted(abs(clicks), 'click')}"
    if per_turn is None or abs(clicks) < per_turn:
        return words
    turns, left = turns_and_clicks(clicks, per_turn)
    rest = f" and {counted(left, 'click')}" if left else ""
    return f"{words} ({counted(turns, 'turn')}{rest})"


def elevation_words(
    move: SightMove,
    old_reading_m: float,
    per_turn: int | None = None,
    tape: Tape | None = None,
    pin: int = 1,
    at_m: float | None = None,
) -> str:
    """Which way the pin goes up or down, in what is on the sight and clicks."""
    way = "up" if move.pin_up > 0 else "down"
    if tape is not None:
        clicks = click_words(move.reading_clicks, per_turn)
        return (
            f"pin {way}{clicks}: {correction_words(tape, old_reading_m, move.reading_m, pin, at_m)}"
        )
    numbers = "larger" if move.reading_m > old_reading_m else "smaller"
    half_m = move.by_reading_half_m
    return (
        f"pin {way}, {_mm(abs(move.by_reading_m), half_m)} toward {numbers} numbers "
        f"to {_mm(move.reading_m, half_m)}{_doubt_words(half_m)}"
        f"{click_words(move.reading_clicks, per_turn)}"
    )


def _mm(length_m: float, half_m: float) -> str:
    """A length on the sight in as many digits as are known of it."""
    return with_unit(known(in_unit(length_m, "mm"), in_unit(half_m, "mm"), least=LEAST_MM), "mm")


def _doubt_words(half_m: float) -> str:
    """How far off a move may be, where that is more than the coarsest step of a knob."""
    half_mm = in_unit(half_m, "mm")
    return f" (within ±{known(half_mm, half_mm)} mm)" if half_mm > COARSE_MM else ""


def windage_words(move: SightMove, per_turn: int | None = None) -> str:
    """Which way the pin goes sideways, in mm at the pin and clicks."""
    way = "right" if move.pin_right_m > 0 else "left"
    half_m = move.pin_right_half_m
    by = _mm(abs(move.pin_right_m), half_m)
    to = "" if move.windage_m is None else f" to {_mm(move.windage_m, half_m)}"
    return f"pin {way} by {by}{to}{click_words(move.right_clicks, per_turn)}"


def leave_words(move: AxisMove, chance: float) -> str:
    """Why an axis is left alone."""
    if move.reason == "not measured":
        return "not measured"
    if move.reason == "under half a click":
        return "leave it, the move would be under half a click"
    odds = f"one group {one_in(chance)}" if chance < MOST_GROUPS else "most groups"
    return f"leave it, a zeroed bow puts {odds} as far off"


def axis_chance(measure: GroupMeasure, axis: str) -> float:
    """Chance by which an axis is judged: that of the whole group or its own, the larger."""
    centre = measure.centre
    return max(centre.chance, centre.chance_up if axis == "up" else centre.chance_right)


def turn_words(
    measure: GroupMeasure,
    correction: Correction,
    per_turn: int | None = None,
    tape: Tape | None = None,
) -> tuple[str, str]:
    """What to turn after a group, for elevation and for windage."""
    move, up, right = correction.move, correction.up, correction.right
    elevation = leave_words(up, axis_chance(measure, "up"))
    if up.is_move:
        one, at_m = correction.observation, measure.observation.distance_m
        elevation = elevation_words(move, one.reading_m, per_turn, tape, one.pin, at_m)
    windage = leave_words(right, axis_chance(measure, "right"))
    if right.is_move:
        windage = windage_words(move, per_turn)
    return f"Elevation: {elevation}.", f"Windage: {windage}."


def shift_words(measure: GroupMeasure, right: AxisMove, up: AxisMove) -> tuple[str, str]:
    """The same as angles, when no rig sheet tells the sight; the pin follows the arrows."""

    def axis(move: AxisMove, ways: tuple[str, str], name: str) -> str:
        if not move.is_move:
            return leave_words(move, axis_chance(measure, name))
        angle = abs(move.shift_m) / measure.observation.distance_m
        return f"pin {ways[move.shift_m > 0]} by {format_quantity(angle, 'mrad', 2)}"

    elevation = axis(up, ("up", "down"), "up")
    return f"Elevation: {elevation}.", f"Windage: {axis(right, ('right', 'left'), 'right')}."


def group_words(measure: GroupMeasure, turns: Iterable[str], units: Units) -> str:
    """Where a group hit, and what to turn, as a sentence or two."""
    centre, group = measure.centre, measure.observation
    where = hit_words(centre.right_m, centre.up_m, units.miss)
    place = f"Group {group.group.name}, {distance_words(group.distance_m, units)}"
    return f"{place}: centre {where}. {' '.join(turns)}"


def arrows_words(group: Group) -> str:
    """How many arrows hit, and how many went past the butt."""
    past = f"{group.missed} past the butt"
    if not group.missed:
        return counted(group.arrows, "arrow")
    return f"{counted(group.arrows, 'arrow')}, {past}" if group.arrows else past


def called_bad_words(measure: GroupMeasure) -> tuple[str, ...]:
    """How many arrows were left out as called bad or past the butt, if any."""
    group = measure.observation.group
    left_out = {"called bad": group.called_bad, "past the butt": group.missed}
    return tuple(
        f"Group {group.name}: {counted(arrows, 'arrow')} {why}, left out."
        for why, arrows in left_out.items()
        if arrows
    )


def flyer_words(measure: GroupMeasure, units: Units) -> str:
    """What to make of an arrow that does not belong; empty when every arrow does."""
    flyer = measure.flyer
    if flyer is None or not flyer.is_flyer:
        return ""
    return (
        f"Group {measure.observation.group.name}: the arrow at "
        f"{hit_words(*measure.flyer_at_m, units.miss)} "
        f"{'does not belong to' if flyer.is_outlier else 'strays from'} the others (one sound "
        f"group {one_in(flyer.chance)} has one as far off). Look for a slip: another pin, a nock, "
        "a number written wrongly. It is counted all the same: leave out only what was called bad "
        "before looking."
    )


def _single(measure: GroupMeasure) -> int:
    """Arrows of a group that were measured one by one. [-]"""
    return sum(one.arrows == 1 for one in measure.observation.group.counted)


def few_arrows_words(measured: Measured) -> str:
    """How little groups of three and four can prove; empty when there are none."""
    if not any(3 <= _single(group) < FEWEST for group in measured.groups):
        return ""
    return (
        "Of three or four arrows nobody can tell which does not belong: along an axis one of three "
        f"never lies more than {largest_possible(3):.4f} standard deviations from their mean, one "
        f"of four never more than {largest_possible(4):.1f}, however wild it is."
    )


def scatter_words(measured: Measured, units: Units) -> str:
    """By which scatter centres were judged."""
    known = measured.known
    angle = format_quantity(known.dispersion_rad, units.angle, 2)
    wobble = format_quantity(known.wobble_rad, units.angle, 2)
    return (
        f"Centres are judged by {SCATTER_WORDS[known.source]}, {angle} per axis, and a usual "
        f"wobble of {wobble} from group to group."
    )


def odd_arrows_words(measure: GroupMeasure, units: Units) -> tuple[str, ...]:
    """What to make of arrows called bad, and of one that does not belong."""
    return (*called_bad_words(measure), *filter(None, (flyer_words(measure, units),)))

"""Groups: measured groups, moves and clicks as tables and sentences.

Holds:  what ``group`` and ``clicks`` show; what is said at once after one group.
Never:  computations, how a face draws it.
"""

from collections.abc import Sequence
from math import isnan

from tapewright.faces.wording_shooting import (
    PAST_LIMIT,
    WAIT,
    correction_words,
    elevation_words,
    few_arrows_words,
    flyer_words,
    hit_words,
    learnt_words,
    scatter_words,
    shift_words,
    turn_words,
    windage_words,
)
from tapewright.services.correct import ArrowStep, Correction
from tapewright.services.correct_groups import FoundGroups
from tapewright.services.learn_clicks import FoundClicks
from tapewright.services.measure_groups import Banded, GroupMeasure, Measured, Spread
from tapewright.words.blocks import Block, Blocks, Mind, Table
from tapewright.words.quantities import format_quantity, in_unit
from tapewright.words.units import DECIMALS, Units


def _number(value: float | None, unit: str, decimals: int) -> str:
    if value is None or isnan(value):
        return "–"
    return f"{in_unit(value, unit) if unit else value:.{decimals}f}"


def _distance(distance_m: float, units: Units) -> str:
    return f"{in_unit(distance_m, units.distance):.6g}"


def _banded(found: Banded, unit: str) -> tuple[str, str]:
    if isnan(found.value):
        return "–", "–"
    ends = (_number(end, unit, DECIMALS[unit]) for end in (found.low, found.high))
    return _number(found.value, unit, DECIMALS[unit]), " to ".join(ends)


def centres_table(measured: Measured, units: Units) -> Table:
    """Where the centres lie, and whether chance explains it."""
    miss = units.miss
    percent = f"{100 * measured.probability:.0f} %"
    rows = []
    for one in measured.groups:
        seen, centre = one.observation, one.centre
        reach = max((r for r in (centre.reach_up_m, centre.reach_right_m) if not isnan(r)),
                    default=None)  # fmt: skip
        rows.append(
            (
                seen.group.name,
                _distance(seen.distance_m, units),
                _number(seen.reading_m, "mm", 2),
                str(seen.group.arrows),
                _number(centre.up_m, miss, 2),
                _number(centre.right_m, miss, 2),
                _number(reach, miss, 2),
                _number(centre.chance, "", 3),
                "–" if one.hotelling is None else _number(one.hotelling.chance, "", 3),
            )
        )
    heads = ("group", units.distance, "reading mm", "arrows", f"up {miss}", f"right {miss}",
             f"± {miss} ({percent})", "chance", "by itself")  # fmt: skip
    return Table("Centres, and the chance that a zeroed bow lies as far off", heads, tuple(rows))


def spreads_table(measured: Measured, units: Units) -> Table:
    """How widely the arrows scatter."""
    heads = ("group", "dispersion mrad", "band mrad", "up mrad", "right mrad",
             f"mean radius {units.miss}", f"extreme spread {units.miss}",
             f"50 % {units.miss}", f"90 % {units.miss}")  # fmt: skip
    rows = [_spread_row(one, units) for one in measured.groups]
    if len(rows) > 1:
        rows.append(("together", *_angles(measured.together), "–", "–", "–", "–"))
    return Table("Spread", heads, tuple(rows))


def _angles(spread: Spread) -> tuple[str, str, str, str]:
    value, band = _banded(spread.dispersion_rad, "mrad")
    up, right = (_banded(one, "mrad")[0] for one in (spread.up_rad, spread.right_rad))
    return value, band, up, right


def _spread_row(one: GroupMeasure, units: Units) -> tuple[str, ...]:
    distance_m, miss = one.observation.distance_m, units.miss
    circles = (one.spread.radius_rad(share).times(distance_m).value for share in (0.5, 0.9))
    return (
        one.observation.group.name,
        *_angles(one.spread),
        _number(one.mean_radius_m, miss, 2),
        _number(one.extreme_spread_m, miss, 2),
        *(_number(circle, miss, 2) for circle in circles),
    )


def flyers_table(measured: Measured, units: Units) -> Table:
    """The arrow farthest off in each group, and how far off one must be to be found."""
    miss = units.miss
    rows = []
    for one in measured.groups:
        if one.flyer is None or one.findable is None:
            continue
        width_m = one.spread.dispersion_rad.value * one.observation.distance_m
        rows.append(
            (
                one.observation.group.name,
                str(one.spread.arrows),
                *(_number(at_m, miss, 2) for at_m in reversed(one.flyer_at_m)),
                _number(one.flyer.statistic, "", 2),
                _number(one.flyer.critical, "", 2),
                _number(one.flyer.chance, "", 3),
                *(_number(far * width_m, miss, 1) for far in one.findable),
            )
        )
    heads = ("group", "arrows", f"up {miss}", f"right {miss}", "deviations", "critical", "chance",
             f"seen 1 in 2 {miss}", f"9 in 10 {miss}")  # fmt: skip
    return Table("Flyers: the farthest arrow, and from where on one is seen", heads, tuple(rows))


def measured_blocks(measured: Measured, units: Units) -> Blocks:
    """Groups: centres, spreads, flyers."""
    blocks: list[Block] = [centres_table(measured, units)]
    if measured.together.freedoms:
        blocks.append(spreads_table(measured, units))
    if any(one.findable for one in measured.groups):
        blocks.append(flyers_table(measured, units))
    for one in measured.groups:
        blocks += [*called_bad_words(one), *filter(None, (flyer_words(one, units),))]
    blocks += filter(None, (few_arrows_words(measured),))
    return (*blocks, scatter_words(measured, units) + "\n")


def called_bad_words(one: GroupMeasure) -> tuple[str, ...]:
    """How many arrows were left out as called bad, if any."""
    bad = one.observation.group.called_bad
    if not bad:
        return ()
    shots = "1 arrow" if bad == 1 else f"{bad} arrows"
    return (f"Group {one.observation.group.name}: {shots} called bad, left out.",)


def groups_blocks(found: FoundGroups, units: Units) -> Blocks:
    """All groups and what to turn after each, or arrow by arrow."""
    if found.steps:
        return steps_blocks(found.steps, units, found.per_turn)
    measured, per_turn = found.measured, found.per_turn
    if found.moves:
        pairs = zip(measured.groups, found.moves, strict=True)
        said = [correction_words(one, move, units, per_turn) for one, move in pairs]
    else:
        bare = zip(measured.groups, found.shifts, strict=True)
        said = [shift_words(one, *shift, units) for one, shift in bare]
        said.append("Give the rig sheet, too, for readings and clicks.")
    limit = (Mind(PAST_LIMIT),) if found.is_past_limit else ()
    return (*measured_blocks(measured, units), *said, *limit)


def after_group_blocks(found: FoundGroups, units: Units) -> Blocks:
    """What to do at once after a group, the only one found."""
    (one,), (move,) = found.measured.groups, found.moves
    right_m, up_m = one.centre.right_m, one.centre.up_m
    blocks: list[Block] = [f"The centre lies {hit_words(right_m, up_m, units.miss)}."]
    blocks += turn_words(one, move, found.per_turn)
    if waits(move):
        blocks.append(WAIT)
    blocks += called_bad_words(one)
    blocks += [Mind(words) for words in filter(None, (flyer_words(one, units),))]
    return (*blocks, *((Mind(PAST_LIMIT),) if found.is_past_limit else ()))


def waits(move: Correction) -> bool:
    """Whether nothing is to be turned yet."""
    return not (move.up.is_move or move.right.is_move)


def steps_blocks(steps: Sequence[ArrowStep], units: Units, per_turn: int | None) -> Blocks:
    """What to turn after each arrow."""
    miss = units.miss
    rows = tuple(
        (
            str(step.arrow),
            _number(step.observation.reading_m, "mm", 2),
            _number(step.up_m, miss, 2),
            _number(step.right_m, miss, 2),
            f"{100 * step.share:.0f} %",
            _number(step.move.reading_m, "mm", 2),
            _signed(step.move.reading_clicks),
            f"{1e3 * step.move.pin_right_m + 0.0:+.2f}",
            _signed(step.move.right_clicks),
        )
        for step in steps
    )
    heads = ("arrow", "reading mm", f"up {miss}", f"right {miss}", "share", "then mm", "clicks",
             "pin right mm", "clicks")  # fmt: skip
    last = steps[-1]
    old_m = last.observation.reading_m
    elevation = (
        elevation_words(last.move, old_m, per_turn) if last.move.by_reading_m else "leave it"
    )
    windage = windage_words(last.move, per_turn) if last.move.pin_right_m else "leave it"
    told = f"Before arrow {last.arrow + 1}: elevation: {elevation}; windage: {windage}."
    return Table("Arrow by arrow", heads, rows), told


def _signed(clicks: int | None) -> str:
    return "–" if clicks is None else f"{clicks:+d}"


def clicks_blocks(found: FoundClicks, units: Units) -> Blocks:
    """What a click does, and the sizes learnt."""
    miss, sight = units.miss, found.rig.sight
    rows = tuple(
        (
            _distance(row.distance_m, units),
            _number(row.mark_m, "mm", 2),
            _number(abs(row.up_per_reading) * 1e-3, miss, 3),
            _number(abs(row.right_per_pin) * 1e-3, miss, 3),
            _number(row.up_click_m, miss, 3),
            _number(row.right_click_m, miss, 3),
        )
        for row in found.rows
    )
    heads = (f"distance {units.distance}", "mark mm", f"{miss} per mm of reading",
             f"{miss} per mm of pin", f"{miss} per click up", f"{miss} per click right",
             )  # fmt: skip
    return (
        Table("What a click does to the impact", heads, rows),
        _size_words("elevation", sight.elevation_click_m),
        _size_words("windage", sight.windage_click_m),
        *(learnt_words(one, found.probability) for one in found.learnt),
    )


def _size_words(axis: str, size_m: float | None) -> str:
    """Size of a click as the sheet says it, or how to come by it."""
    if size_m is None:
        return (
            f"{axis}_click is not on the rig sheet: turn many clicks and read the change off a "
            "gauge strip, or learn it from groups with clicks turned between them."
        )
    what = "of reading" if axis == "elevation" else "of pin travel"
    return f"One {axis} click is {format_quantity(size_m, 'mm')} {what}."

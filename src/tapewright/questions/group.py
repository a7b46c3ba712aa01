"""Group: measure groups, and say what to move, or that you had better leave it.

The file is as long as a group has columns: a third of it says what stands in its tables.

Holds:  the question ``group``: its fields, columns and sentences; what is said at once after one
        group.
Never:  formulas, what to turn in words (words/sight_moves.py), how a face asks and shows.
"""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from functools import partial
from math import isnan, nan
from operator import methodcaller
from typing import Any

from tapewright.ground.errors import BadInput
from tapewright.questions.question import Field, Measure, Question, Said
from tapewright.services.calibrate import Answer
from tapewright.services.correct import ArrowStep, AxisMove, Correction
from tapewright.services.correct_groups import (
    Calibration,
    FoundGroups,
    correct_groups,
    correct_steps,
)
from tapewright.services.equip import Rig
from tapewright.services.measure_groups import (
    Banded,
    GroupMeasure,
    Measured,
    Spread,
)
from tapewright.services.move_sight import SightMove
from tapewright.services.record_groups import Observation, of_point
from tapewright.services.stick_tape import Tape
from tapewright.words.answer_blocks import Blocks, Mind, Table
from tapewright.words.answer_columns import (
    Column,
    banded_columns,
    beside,
    each,
    joined,
    record,
    records,
    rounded,
    table,
)
from tapewright.words.number_format import NOTHING, told
from tapewright.words.quantity_parser import in_unit
from tapewright.words.readings_on_tape import on_sight
from tapewright.words.sight_moves import (
    PAST_LIMIT,
    WAIT,
    called_bad_words,
    elevation_words,
    few_arrows_words,
    flyer_words,
    group_words,
    hit_words,
    odd_arrows_words,
    scatter_words,
    shift_words,
    turn_words,
    windage_words,
)
from tapewright.words.unit_system import Units

SCHEMA = "tapewright.group/1"
ZERO_WITHIN = Field(
    "zero_within", "Zero known within", takes="LENGTH",
    hint="How far off the zero can be at that distance, two times in three, such as 1 in. "
    "A small one trusts the old zero more. Left open: ten dispersions.",
    measure=Measure("length", example="1 in", wrong="is not above zero",
                    mend='Write such as "1 in"'),
)  # fmt: skip
TURN_ENDS = (2, 1000)
YES_NO, WINDAGES = ("no", "yes"), ("moved", "still")
MORE_NEEDED = "Give the rig sheet, too, for readings and clicks."

Groups = Sequence[GroupMeasure]
Shifts = Sequence[tuple[AxisMove, AxisMove]]  # of the impact, right and up


def _reach(measure: GroupMeasure) -> float:
    """How far a zeroed bow's centre may lie off, along the axis that is known less well."""
    reaches = (measure.centre.reach_up_m, measure.centre.reach_right_m)
    return max((reach for reach in reaches if not isnan(reach)), default=nan)


def _by_itself(measure: GroupMeasure) -> float:
    return nan if measure.hotelling is None else measure.hotelling.chance


def _circle(measure: GroupMeasure, share: float) -> Banded:
    """Radius that holds a share of the arrows, at the group's distance."""
    return measure.spread.radius_rad(share).times(measure.observation.distance_m)


def _band(spread: Spread) -> str:
    if isnan(spread.dispersion_rad.value):
        return NOTHING
    ends = (spread.dispersion_rad.low, spread.dispersion_rad.high)
    return " to ".join(told(in_unit(end, "mrad"), 2) for end in ends)


def _seen_from(measure: GroupMeasure, place: int) -> float:
    """How far off an arrow must be to be found as one that does not belong. [m]"""
    width_m = measure.spread.dispersion_rad.value * measure.observation.distance_m
    return nan if measure.findable is None else measure.findable[place] * width_m


NAME, READING, PIN = "observation.group.name", "observation.reading_m", "observation.pin"
WHERE = "observation.distance_m"
CENTRES: tuple[Column[Groups], ...] = (
    Column("group", "group", NAME),
    Column("{unit}", "distance_{unit}", "observation.distance_m", "distance", None, 4),
    Column("reading mm", "reading_mm", READING, "mm", 2, 4, tape="first"),
    Column("arrows", "arrows", "observation.group.arrows", decimals=0),
    Column("", "called_bad", "observation.group.called_bad"),
    Column("up {unit}", "centre_up_{unit}", "centre.up_m", "miss", 2, 4),
    Column("right {unit}", "centre_right_{unit}", "centre.right_m", "miss", 2, 4),
    Column("", "region_up_{unit}", "centre.reach_up_m", "miss", kept=4),
    Column("", "region_right_{unit}", "centre.reach_right_m", "miss", kept=4),
    Column("± {unit}", "", each(_reach), "miss", 2),
    Column("chance", "chance", "centre.chance", "", 3, 6, spare=True),
    Column("", "chance_up", "centre.chance_up", kept=6),
    Column("", "chance_right", "centre.chance_right", kept=6),
    Column("by itself", "", each(_by_itself), "", 3, spare=True),
)
SIZES: tuple[Column[Groups], ...] = (
    Column("mean radius {unit}", "mean_radius_measured_{unit}", "mean_radius_m", "miss", 2, 4),
    Column("extreme spread {unit}", "extreme_spread_{unit}", "extreme_spread_m", "miss", 2, 4,
           spare=True),
)  # fmt: skip
CIRCLES: tuple[Column[Groups], ...] = (
    *banded_columns("radius_50", each(partial(_circle, share=0.5)), "miss", "50 % {unit}"),
    *banded_columns("radius_90", each(partial(_circle, share=0.9)), "miss", "90 % {unit}"),
)
SPREADS: tuple[Column[Sequence[Spread]], ...] = (
    *banded_columns("dispersion", "dispersion_rad", "mrad", "dispersion mrad"),
    Column("band mrad", "", each(_band), spare=True),
    *banded_columns("dispersion_up", "up_rad", "mrad", "up mrad", spare=True),
    *banded_columns("dispersion_right", "right_rad", "mrad", "right mrad", spare=True),
    *banded_columns("mean_radius", "mean_radius_rad", "mrad"),
    *banded_columns("radius_50", each(methodcaller("radius_rad", 0.5)), "mrad"),
    *banded_columns("radius_90", each(methodcaller("radius_rad", 0.9)), "mrad"),
)
ELLIPSES: tuple[Column[Groups], ...] = (
    Column("", "chance", "hotelling.chance", kept=6),
    Column("", "major_{unit}", "hotelling.major_m", "miss", kept=4),
    Column("", "minor_{unit}", "hotelling.minor_m", "miss", kept=4),
    Column("", "tilt_deg", "hotelling.tilt_rad", "deg", kept=2),
)
FLYERS: tuple[Column[Groups], ...] = (
    Column("group", "", NAME),
    Column("arrows", "", "spread.arrows", decimals=0),
    Column("up {unit}", "up_{unit}", each(lambda row: row.flyer_at_m[1]), "miss", 2, 4),
    Column("right {unit}", "right_{unit}", each(lambda row: row.flyer_at_m[0]), "miss", 2, 4),
    Column("deviations", "statistic", "flyer.statistic", "", 2, 4, spare=True),
    Column("critical", "critical", "flyer.critical", "", 2, 4, spare=True),
    Column("chance", "chance", "flyer.chance", "", 3, 6, spare=True),
    Column("", "is_flyer", "flyer.is_flyer"),
    Column("seen 1 in 2 {unit}", "", each(partial(_seen_from, place=0)), "miss"),
    Column("9 in 10 {unit}", "", each(partial(_seen_from, place=1)), "miss", spare=True),
    Column("", "findable_50_dispersions", each(lambda row: row.findable[0]), kept=2),
    Column("", "findable_90_dispersions", each(lambda row: row.findable[1]), kept=2),
)
SHIFTS: tuple[Column[Shifts], ...] = (
    Column("", "share", each(lambda row: row[1].share), kept=4),
    Column("", "elevation", each(lambda row: row[1].reason)),
    Column("", "windage", each(lambda row: row[0].reason)),
    Column("", "shift_up_{unit}", each(lambda row: row[1].shift_m), "miss", kept=4),
    Column("", "shift_right_{unit}", each(lambda row: row[0].shift_m), "miss", kept=4),
)
MOVES: tuple[Column[Sequence[SightMove]], ...] = (
    Column("then mm", "new_reading_mm", "reading_m", "mm", 2, 4, tape="first"),
    Column("", "by_reading_mm", "by_reading_m", "mm", kept=4),
    Column("clicks", "reading_clicks", "reading_clicks", "", 0, signed=True),
    Column("", "pin_vertical", each(lambda row: ("", "up", "down")[row.pin_up])),
    Column("pin right mm", "pin_right_mm", "pin_right_m", "mm", 2, 4, signed=True),
    Column("", "new_windage_mm", "windage_m", "mm", kept=4),
    Column("clicks", "right_clicks", "right_clicks", "", 0, signed=True),
)
STEPS: tuple[Column[Sequence[ArrowStep]], ...] = (
    Column("arrow", "arrow", "arrow", decimals=0),
    Column("", "group", NAME),
    Column("reading mm", "reading_mm", READING, "mm", 2, 4, tape="first"),
    Column("up {unit}", "up_{unit}", "up_m", "miss", 2, 4),
    Column("right {unit}", "right_{unit}", "right_m", "miss", 2, 4),
    Column("share", "", each(lambda row: f"{100 * row.share:.0f} %")),
    Column("", "share", "share", kept=4),
)


def find_groups(
    observations: Sequence[Observation],
    rig: Rig | None,
    fitted: Calibration | None,
    said: Said,
    probability: float,
    tape: Tape | None = None,
) -> FoundGroups:
    """Groups measured, and what to turn; without a rig only which way."""
    observations = tuple(one for one in observations if one.group.counted)
    if rig is not None and (own := of_point(observations, rig.arrow.point)[0]):
        observations = own  # after broadheads nothing is turned
    if not observations:
        wrong = "every arrow went past the butt, so nothing was measured"
        raise BadInput("groups", wrong, "Plan anew: the next group is shot from nearer")
    zero_sd_m = said.quantity_if_said(ZERO_WITHIN)
    turns = said.whole("clicks_per_turn", 20, TURN_ENDS)
    per_turn = turns if said.text("clicks_per_turn") else None
    is_stepwise = said.choice("arrow_by_arrow", "no", YES_NO) == "yes"
    moved = said.choice("windage", "moved", WINDAGES) == "moved"
    if not is_stepwise:
        found = correct_groups(observations, rig, fitted, zero_sd_m, probability, per_turn)
        return replace(found, tape=tape)
    place = said.place("arrow_by_arrow")
    if rig is None or fitted is None:
        wrong = "no rig sheet is given, so readings cannot be turned into angles"
        raise BadInput(place, wrong, "Give the rig sheet, too")
    found = correct_steps(
        observations, rig, fitted, zero_sd_m, probability, per_turn, windage_moved=moved
    )
    if not found.steps:
        wrong = "no arrow of the last distance is measured right and up"
        raise BadInput(place, wrong, "Write right and up of each arrow")
    return replace(found, tape=tape)


def _ask(answer: Answer, said: Said, _: Units) -> FoundGroups:
    if not answer.observations:
        wrong = "no group was shot with this rig as it stands"
        raise BadInput(answer.rig.name, wrong, "Shoot one first")
    fitted, probability = answer.posterior.calibration, answer.bands.probability
    return find_groups(answer.observations, answer.rig, fitted, said, probability, answer.tape)


def _tell(found: FoundGroups, units: Units) -> Blocks:
    if found.steps:
        return steps_blocks(found.steps, units, found.per_turn, found.tape)
    measured, groups = found.measured, found.measured.groups
    return (
        centres_table(measured, units, found.tape),
        *([spreads_table(measured, units)] if measured.together.freedoms else []),
        *([flyers_table(measured, units)] if any(map(_is_judged, groups)) else []),
        *(words for group in groups for words in odd_arrows_words(group, units)),
        *filter(None, (few_arrows_words(measured),)),
        scatter_words(measured, units) + "\n",
        *_turns(found, units),
        *((Mind(PAST_LIMIT),) if found.is_past_limit else ()),
    )


def _turns(found: FoundGroups, units: Units) -> Iterable[str]:
    """What to turn after each group."""
    groups = found.measured.groups
    if found.moves:
        for measure, move in zip(groups, found.moves, strict=True):
            yield group_words(measure, turn_words(measure, move, found.per_turn, found.tape), units)
        return
    for measure, shift in zip(groups, found.shifts, strict=True):
        yield group_words(measure, shift_words(measure, *shift), units)
    yield MORE_NEEDED


def centres_table(measured: Measured, units: Units, tape: Tape | None = None) -> Table:
    """Where the centres lie, and whether chance explains it."""
    title = "Centres, and the chance that a zeroed bow lies as far off"
    centres = table(title, on_sight(CENTRES, tape, PIN, WHERE), measured.groups, units)
    heads = list(centres.heads)
    heads[heads.index(f"± {units.miss}")] += f" ({told(100 * measured.probability, 0)} %)"
    return replace(centres, heads=tuple(heads))


def spreads_table(measured: Measured, units: Units) -> Table:
    """How widely the arrows scatter."""
    groups, spreads = measured.groups, [group.spread for group in measured.groups]
    names = table("Spread", CENTRES[:1], groups, units)
    sizes = table("", (*SIZES, *CIRCLES), groups, units)
    if len(groups) > 1:
        spreads.append(measured.together)
        names = replace(names, rows=(*names.rows, ("together",)))
        sizes = replace(sizes, rows=(*sizes.rows, (NOTHING,) * len(sizes.heads)))
    return beside(names, table("", SPREADS, spreads, units), sizes)


def _is_judged(measure: GroupMeasure) -> bool:
    return measure.flyer is not None and measure.findable is not None


def flyers_table(measured: Measured, units: Units) -> Table:
    """The arrow farthest off in each group, and how far off one must be to be found."""
    judged = [group for group in measured.groups if _is_judged(group)]
    return table("Flyers: the farthest arrow, and from where on one is seen", FLYERS, judged, units)


def after_group_blocks(found: FoundGroups, units: Units) -> Blocks:
    """What to do at once after a group, the only one found."""
    (measure,), (move,) = found.measured.groups, found.moves
    centre = measure.centre
    return (
        f"The centre lies {hit_words(centre.right_m, centre.up_m, units.miss)}.",
        *turn_words(measure, move, found.per_turn, found.tape),
        *(() if move.up.is_move or move.right.is_move else (WAIT,)),
        *called_bad_words(measure),
        *map(Mind, filter(None, (flyer_words(measure, units),))),
        *((Mind(PAST_LIMIT),) if found.is_past_limit else ()),
    )


def steps_blocks(
    steps: Sequence[ArrowStep], units: Units, per_turn: int | None, tape: Tape | None = None
) -> Blocks:
    """What to turn after each arrow."""
    arrows = table("Arrow by arrow", on_sight(STEPS, tape, PIN, WHERE), steps, units)
    last, moves = steps[-1], [step.move for step in steps]
    elevation = windage = "leave it"
    if last.move.by_reading_m:
        one = last.observation
        elevation = elevation_words(last.move, one.reading_m, per_turn, tape, one.pin)
    if last.move.pin_right_m:
        windage = windage_words(last.move, per_turn)
    return (
        beside(arrows, table("", _moves(steps, tape), moves, units)),
        f"Before arrow {last.arrow + 1}: elevation: {elevation}; windage: {windage}.",
    )


def _moves(
    of: Sequence[ArrowStep | Correction], tape: Tape | None
) -> list[Column[Sequence[SightMove]]]:
    """Columns of moves as what is on the sight tells them."""
    return on_sight(MOVES, tape, lambda _: [one.observation.pin for one in of])


def _write(found: FoundGroups, units: Units) -> dict[str, Any]:
    if found.steps:
        moves = records(_moves(found.steps, found.tape), [step.move for step in found.steps], units)
        steps = records(on_sight(STEPS, found.tape, PIN, WHERE), found.steps, units)
        return {"schema": SCHEMA, "arrows": joined(steps, moves)}
    measured, together, known = found.measured, found.measured.together, found.measured.known
    return {
        "schema": SCHEMA,
        "band": measured.probability,
        "groups": _group_records(found, units),
        "together": {"groups": together.groups, "arrows": together.arrows}
        | records(SPREADS, [together], units)[0],
        "judged_by": {
            "source": known.source,
            "dispersion_mrad": rounded(known.dispersion_rad, "mrad", 4),
            "wobble_mrad": rounded(known.wobble_rad, "mrad", 4),
        },
    }


def _group_records(found: FoundGroups, units: Units) -> list[dict[str, Any]]:
    groups = found.measured.groups
    shifts = found.shifts or [(move.right, move.up) for move in found.moves]
    moves = records(
        _moves(found.moves, found.tape), [move.move for move in found.moves], units
    ) or [{}] * len(shifts)
    corrections = joined(records(SHIFTS, shifts, units), moves)
    more = [
        {
            "ellipse": record(ELLIPSES, None if group.hotelling is None else group, units),
            "flyer": record(FLYERS, group if _is_judged(group) else None, units),
            "correction": correction,
        }
        for group, correction in zip(groups, corrections, strict=True)
    ]
    spreads = records(SPREADS, [group.spread for group in groups], units)
    circles = records(CIRCLES, groups, units)
    centres = on_sight((*CENTRES, *SIZES), found.tape, PIN, WHERE)
    return joined(records(centres, groups, units), spreads, circles, more)


FIELDS = (
    ZERO_WITHIN,
    Field("clicks_per_turn", "Clicks per turn", takes="NUMBER",
          hint="Of the knob: many clicks are then said in turns."),
    Field("arrow_by_arrow", "Arrow by arrow", "no", choices=YES_NO, is_switch=True,
          hint="Yes if the sight was moved after each arrow: by all of the first miss, half of "
          "the second, and so on. Each arrow has its own reading."),
    Field("windage", "Windage meanwhile", "moved", choices=WINDAGES,
          hint="Arrow by arrow: whether it was moved as told."),
)  # fmt: skip
QUESTION = Question(
    "group", "All groups",
    "Centres, spreads and flyers of every group, and what to turn after each, or that you had "
    "better leave it. The sight follows the arrows.", FIELDS, _ask, _tell, _write,
    more='A row whose note is "bad" was called a bad shot before looking and counts nowhere. '
    "Without RIG.toml moves are angles; with it, readings and clicks.",
)  # fmt: skip

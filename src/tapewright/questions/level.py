"""Level: what a canted bow, a swung level, a leaning travel and an eye off centre do.

Holds:  the question ``level``: its fields, columns, sentences and cautions.
Never:  formulas, how a face asks and shows.
Source: on which side of the housing a sight's bar stands is common practice, no source.
"""

from typing import Any, Literal

from tapewright.questions.question import Field, Measure, Question, Said
from tapewright.reading.strip_side_click_tables import read_side_groups
from tapewright.services.calibrate import Answer
from tapewright.services.level import (
    FoundTilts,
    Levelling,
    Tilt,
    TiltMisses,
    Tilts,
    find_tilt_misses,
)
from tapewright.words.answer_blocks import Block, Blocks, Mind, Table
from tapewright.words.answer_columns import Column, records, rounded, table
from tapewright.words.bow_kind_words import of_bow
from tapewright.words.number_format import plain, told
from tapewright.words.quantity_parser import in_unit
from tapewright.words.trust_sentences import head_json
from tapewright.words.unit_system import Units, amount, distance_words

Side = Literal["right", "left"]

TILT = Measure("angle", (-45.0, 45.0, "deg"))
CANT = Field("cant", "Cant", "1 deg", hint="Lean of the bow, right positive.", measure=TILT)
SWING = Field("third_axis", "Third axis", "1 deg", hint="Right end of the level ahead.",
              measure=TILT)  # fmt: skip
TRAVEL = Field("travel_axis", "Travel axis", "1 deg", hint="Lower end of the travel to the left.",
               measure=TILT)  # fmt: skip
PEEP = Field("peep", "Eye off centre", "1 mm",
             hint="Eye beside the peep's middle, or beside the string without one.",
             measure=Measure("length", (-20.0, 20.0, "mm")))  # fmt: skip
SLOPE = Field("slope", "Slope", "20 deg", hint="For the third axis.",
              measure=Measure("angle", (-60.0, 60.0, "deg")))  # fmt: skip
ODD_SURPRISE = 3.0

TILT_MEANINGS = (
    "Cant: the bow leans, top to the right; a level turned in its housing (second axis) does it.",
    "Level swung (third axis): the right end of the level points ahead; the bow leans on slopes.",
    "Travel leaning: the line on which the pin moves is not plumb, its lower end to the left.",
)
EYE_OFF = (
    "Eye off: the eye looks past the middle of the peep; the miss is to the eye's side.",
    "Eye off: the eye looks beside the string; the miss is to the eye's side.",
)
SLOPE_SAFETY = (
    "Uphill and downhill shots only with a safe stop behind them: a miss uphill flies far."
)
SWING_NOT_TOLD = (
    "Level (third axis): these groups do not tell. Shoot one distance 20° or more uphill and "
    "downhill, or hold a plumb line beside the level with the bow tipped."
)
LEAN_NOT_TOLD = (
    "Travel against plumb: these groups do not tell. Shoot at a plumb line on the level, near and "
    "as far as you group well."
)


def _columns(tilts: Tilts) -> tuple[Column[TiltMisses], ...]:
    """A column for each tilt, under its size."""
    slope = degrees(tilts.slope_rad)

    def miss(head: str, key: str, place: str) -> Column[TiltMisses]:
        return Column(head, f"{key}_{{unit}}", place, "miss", 2, 4, signed=True)

    return (
        Column("distance {unit}", "distance_{unit}", "distance_m", "distance", None, 4),
        miss(f"cant {degrees(tilts.cant_rad)}", "cant_right", "cant_right_m"),
        miss("", "cant_up", "cant_up_m"),
        miss("always", "constant_cant_right", "constant_cant_right_m"),
        miss(f"third axis {degrees(tilts.swing_rad)}, {slope} up", "third_axis_uphill_right",
             "uphill_right_m"),
        miss(f"{slope} down", "third_axis_downhill_right", "downhill_right_m"),
        miss(f"travel {degrees(tilts.travel_rad)}", "travel_axis_right", "travel_right_m"),
        miss(f"eye {plain(1e3 * tilts.peep_m)} mm off", "peep", "peep_m"),
    )  # fmt: skip


def _ask(answer: Answer, said: Said, units: Units) -> FoundTilts:
    tilts = Tilts(
        cant_rad=said.quantity(CANT, units),
        swing_rad=said.quantity(SWING, units),
        travel_rad=said.quantity(TRAVEL, units),
        peep_m=said.quantity(PEEP, units),
        slope_rad=said.quantity(SLOPE, units),
        zeroed_m=said.distance("zeroed", QUESTION.usual("zeroed", units)),
    )
    test = said.text("test")
    groups = read_side_groups(test, said.place("test")) if test else ()
    distances_m = said.distances("distances", QUESTION.usual("distances", units))
    if groups and not said.text("distances"):
        distances_m = tuple(sorted({group.distance_m for group in groups}))
    return find_tilt_misses(answer, distances_m, tilts, groups)


def misses_table(misses: TiltMisses, tilts: Tilts, units: Units) -> Table:
    """What given tilts do at each distance."""
    zeroed = distance_words(tilts.zeroed_m, units)
    title = f"Misses to the right, {units.miss}; windage set at {zeroed} for always and travel"
    return table(title, _columns(tilts), misses, units)


def _tell(found: FoundTilts, units: Units) -> Blocks:
    """What tilts do, or what a test tells of them."""
    test, cautions = found.test, map(Mind, level_cautions(found.tilts, found.test))
    if test is None:
        meanings = (*TILT_MEANINGS, of_bow(found.answer.rig, *EYE_OFF))
        return (misses_table(found.misses, found.tilts, units), *meanings, *cautions)
    rig = found.answer.rig
    blocks: list[Block] = [f"{rig.name}: what the test tells, seen by you at full draw"]
    for tilt in test.tilts:
        mend = mend_words(tilt, rig.hand)
        blocks += [f"\n{tilt_words(tilt, units)}", *([mend] if mend else [])]
    return (*blocks, "", *levelling_notes(test), *cautions)


def degrees(angle_rad: float) -> str:
    """An angle without sign, in degrees."""
    return f"{told(abs(in_unit(angle_rad, 'deg')), 1)}°"


def _bar(hand: Side, side: Side) -> str:
    """Where that end of the level is on the sight; the bar stands on the side of the hand."""
    return "the end at the sight's bar" if hand == side else "the end away from the sight's bar"


def mend_words(tilt: Tilt, hand: Side) -> str:
    """What to turn, which way, as the archer sees it at full draw."""
    if tilt.verdict != "tilted":
        return ""
    by, right = degrees(tilt.angle_rad), tilt.angle_rad > 0.0
    side: Side = "right" if right else "left"
    if tilt.name == "level swing":
        turn = "clockwise" if right else "counterclockwise"
        return (
            f"Swing the level by {by} so that its {side} end ({_bar(hand, side)}) comes toward "
            f"you: {turn} seen from above."
        )
    level, travel = ("clockwise", "counterclockwise")[:: 1 if right else -1]
    return (
        f"Put the bubble in the middle and look at the string against a plumb line. If it leans, "
        f"turn the level by {by} so that its {side} end ({_bar(hand, side)}) goes down: {level} "
        f"as you see it. If it is plumb, turn the sight's travel by {by} so that its lower end "
        f"goes {side}: {travel} as you see it."
    )


def tilt_words(tilt: Tilt, units: Units) -> str:
    """What a test says of one tilt."""
    swing = tilt.name == "level swing"
    if tilt.verdict == "not told":
        return SWING_NOT_TOLD if swing else LEAN_NOT_TOLD
    at = amount(tilt.at_m, units.distance)
    if tilt.verdict == "none seen":
        name = "Level (third axis): no swing" if swing else "Travel against plumb: no lean"
        hidden = degrees(max(abs(tilt.low_rad), abs(tilt.high_rad)))
        return (
            f"{name} seen; up to {hidden} could hide behind your spread, "
            f"{amount(tilt.hidden_m, units.miss)} at {at}."
        )
    side, angle = "right" if tilt.angle_rad > 0.0 else "left", degrees(tilt.angle_rad)
    what = f"Travel against plumb: top to the {side} by {angle}"
    if swing:
        what = f"Level (third axis): its {side} end points ahead by {angle}"
    ends = (told(in_unit(end, "deg"), 1, signed=True) for end in (tilt.low_rad, tilt.high_rad))
    return f"{what} ({'° to '.join(ends)}°); it costs {amount(tilt.miss_m, units.miss)} at {at}."


def levelling_notes(found: Levelling) -> tuple[str, ...]:
    """What else a test says: windage, and scatter that no tilt explains."""
    notes = []
    if found.windage_rad:
        side = "right" if found.windage_rad > 0.0 else "left"
        off = amount(abs(found.windage_rad), "mrad")
        notes.append(f"Besides, arrows fly {off} to the {side}: move the pin to the {side}.")
    if found.surprise > ODD_SURPRISE:
        notes.append(
            "The groups scatter more about this than your arrows do: look for wind, a twisted grip "
            "or a group shot with another windage, and shoot the test again before you turn screws."
        )
    return tuple(notes)


def level_cautions(tilts: Tilts, test: Levelling | None) -> tuple[str, ...]:
    """What must be read before anybody shoots a test or turns a screw."""
    warned = []
    if tilts.slope_rad or test is not None:
        warned.append(SLOPE_SAFETY)
    if test is not None and any(tilt.verdict == "tilted" for tilt in test.tilts):
        warned.append("Turn one thing at a time, and shoot the test again.")
    return tuple(warned)


def _write(found: FoundTilts, units: Units) -> dict[str, Any]:
    tilts, test = found.tilts, found.test
    told_test = {} if test is None else {"test": _test(test, found.answer, units)}
    return {
        **head_json("tapewright.level/1", found.answer),
        "cant_deg": rounded(tilts.cant_rad, "deg", 4),
        "third_axis_deg": rounded(tilts.swing_rad, "deg", 4),
        "travel_axis_deg": rounded(tilts.travel_rad, "deg", 4),
        "peep_mm": rounded(tilts.peep_m, "mm", 4),
        "slope_deg": rounded(tilts.slope_rad, "deg", 4),
        f"zeroed_{units.distance}": rounded(tilts.zeroed_m, units.distance, 4),
        "misses": records(_columns(tilts), found.misses, units),
        **told_test,
        "cautions": list(level_cautions(tilts, test)),
    }


def _test(test: Levelling, answer: Answer, units: Units) -> dict[str, Any]:
    miss = units.miss
    return {
        "tilts": [
            {
                "name": tilt.name,
                "angle_deg": rounded(tilt.angle_rad, "deg"),
                "low_deg": rounded(tilt.low_rad, "deg"),
                "high_deg": rounded(tilt.high_rad, "deg"),
                "verdict": tilt.verdict,
                f"shown_most_at_{units.distance}": rounded(tilt.at_m, units.distance, 2),
                f"costs_{miss}": rounded(tilt.miss_m, miss),
                f"could_cost_{miss}": rounded(tilt.hidden_m, miss),
                "mend": mend_words(tilt, answer.rig.hand),
            }
            for tilt in test.tilts
        ],
        "windage_mrad": rounded(test.windage_rad, "mrad", 4),
        "surprise": round(test.surprise, 3),
        "notes": list(levelling_notes(test)),
    }


QUESTION = Question(
    "level", "Level and tilts",
    "What a canted bow, a swung level, a leaning travel and an eye off centre do; or, from "
    "groups at a plumb line and on slopes, which of them there is.",
    (
        Field("distances", "Distances", "20:80:20yd", "20:80:20m", "Where misses are wanted."),
        CANT,
        SWING,
        TRAVEL,
        PEEP,
        SLOPE,
        Field("zeroed", "Windage set at", "20 yd", "20 m", "Where windage was set."),
        Field("test", "Test groups", hint="Rows of distance_yd,slope_deg,right_in,arrows.",
              is_file=True),
    ),
    _ask, _tell, _write,
    more="For a test shoot groups at a hanging line, near and far on the level, and at one "
    "distance up and down hill, all with one windage; the answer is each angle with its band, and "
    "what to turn which way.", shelf="check",
)  # fmt: skip

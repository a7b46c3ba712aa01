"""Wording of checks: sentences about limits of the sight and about tilts.

Holds:  what stops the sight; what each tilt means, what a test says of it, what to turn.
Never:  layout, colours, computations.
Source: on which side of the housing a sight's bar stands is common practice, no source.
"""

from typing import Literal

from tapewright.services.level import Levelling, Tilt, Tilts
from tapewright.services.limits import (
    USUAL_ARROW_MARGIN_M,
    USUAL_VANE_HEIGHT_M,
    FoundLimits,
    Reach,
)
from tapewright.words.answer import STOP_WORDS
from tapewright.words.quantities import in_unit
from tapewright.words.units import Units, amount

ODD_SURPRISE = 3.0

LIMIT_WORDS = {
    "housing": "housing meets arrow, computed",
    "measured clearance": "housing meets arrow, measured",
    "far end": "end of travel, far",
    "near end": "end of travel, near",
}
ROLE_WORDS = {"binds": "stops", "beyond": "not reached", "overruled": "overruled"}

TILT_MEANINGS = (
    "Cant: the bow leans, top to the right; a level turned in its housing (second axis) does it.",
    "Level swung (third axis): the right end of the level points ahead; the bow leans on slopes.",
    "Travel leaning: the line on which the pin moves is not plumb, its lower end to the left.",
    "Eye off: the eye looks past the middle of the peep; the miss is to the eye's side.",
)
SLOPE_SAFETY = (
    "Uphill and downhill shots only with a safe stop behind them: a miss uphill flies far."
)


def reach_words(reach: Reach, distance_m: float, units: Units) -> str:
    """A distance that a pin reaches, without its unit."""
    if distance_m <= 0.0:
        return "none"
    number = f"{in_unit(distance_m, units.distance):.0f}"
    return f"{number} or more" if distance_m >= reach.looked_to_m - 1e-6 else number


def stop_words(found: FoundLimits) -> str:
    """What stops the sight toward farther targets, as a sentence."""
    far = found.limits.far
    if far is None:
        return (
            "Nothing on the sheet tells how far down the sight may go. Measure the reading at "
            "which the housing just clears an arrow (clearance_reading), and travel_ends."
        )
    return f"Do not set the sight past {amount(far.reading_m, 'mm')}: {STOP_WORDS[far.kind]}."


def limit_cautions(found: FoundLimits, units: Units) -> tuple[str, ...]:
    """What must be read before the limits are believed."""
    said = ["Do not shoot past it: a vane that touches the housing throws the arrow off its way."]
    sight, far = found.answer.rig.sight, found.limits.far
    kinds = [one.kind for one in found.limits.found]
    if "housing" in kinds and "measured clearance" not in kinds:
        margin = amount(
            USUAL_ARROW_MARGIN_M if sight.arrow_margin_m is None else sight.arrow_margin_m, "mm"
        )
        said.append(
            f"The housing's limit is computed with {margin} of air over the vane, and is no surer "
            "than the peep height. Look at the arrow under the housing, then write down "
            "clearance_reading."
        )
    if found.vane_is_assumed:
        said.append(f"Vanes are taken to be {amount(USUAL_VANE_HEIGHT_M, units.miss)} high.")
    measured = sight.clearance_reading_m is not None or sight.travel_ends_m is not None
    if found.answer.posterior.is_set_by_eye:
        said.append(
            "No arrow was shot yet, so readings are counted from a near mark"
            + (" and the readings measured on the sight cannot be used." if measured else ".")
        )
    if far is not None and far.kind != "far end":
        said.append(
            "A higher peep or anchor, a shorter housing or lower vanes win distance. Moving a "
            "peep means press work: that belongs to a qualified technician."
        )
    return tuple(said)


def degrees(angle_rad: float) -> str:
    """An angle without sign, in degrees."""
    return f"{abs(in_unit(angle_rad, 'deg')):.1f}°"


def _bar(hand: Literal["right", "left"], side: Literal["right", "left"]) -> str:
    """Where that end of the level is on the sight; the bar stands on the side of the hand."""
    return "the end at the sight's bar" if hand == side else "the end away from the sight's bar"


def mend_words(tilt: Tilt, hand: Literal["right", "left"]) -> str:
    """What to turn, which way, as the archer sees it at full draw."""
    if tilt.verdict != "tilted":
        return ""
    by, right = degrees(tilt.angle_rad), tilt.angle_rad > 0.0
    side: Literal["right", "left"] = "right" if right else "left"
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
    at = amount(tilt.at_m, units.distance)
    low, high = (f"{in_unit(end, 'deg'):+.1f}°" for end in (tilt.low_rad, tilt.high_rad))
    if tilt.verdict == "not told":
        if swing:
            return (
                "Level (third axis): these groups do not tell. Shoot one distance 20° or more "
                "uphill and downhill, or hold a plumb line beside the level with the bow tipped."
            )
        return (
            "Travel against plumb: these groups do not tell. Shoot at a plumb line on the level, "
            "near and as far as you group well."
        )
    if tilt.verdict == "none seen":
        name = "Level (third axis): no swing" if swing else "Travel against plumb: no lean"
        hidden = degrees(max(abs(tilt.low_rad), abs(tilt.high_rad)))
        return (
            f"{name} seen; up to {hidden} could hide behind your spread, "
            f"{amount(tilt.hidden_m, units.miss)} at {at}."
        )
    right = tilt.angle_rad > 0.0
    if swing:
        how = f"its {'right' if right else 'left'} end points ahead by {degrees(tilt.angle_rad)}"
        what = f"Level (third axis): {how}"
    else:
        side = "right" if right else "left"
        what = f"Travel against plumb: top to the {side} by {degrees(tilt.angle_rad)}"
    return f"{what} ({low} to {high}); it costs {amount(tilt.miss_m, units.miss)} at {at}."


def levelling_notes(found: Levelling) -> tuple[str, ...]:
    """What else a test says: windage, and scatter that no tilt explains."""
    notes = []
    if found.windage_rad:
        side = "right" if found.windage_rad > 0.0 else "left"
        off = f"{abs(in_unit(found.windage_rad, 'mrad')):.2f} mrad"
        notes.append(f"Besides, arrows fly {off} to the {side}: move the pin to the {side}.")
    if found.surprise > ODD_SURPRISE:
        notes.append(
            "The groups scatter more about this than your arrows do: look for wind, a twisted grip "
            "or a group shot with another windage, and shoot the test again before you turn screws."
        )
    return tuple(notes)


def level_cautions(tilts: Tilts, test: Levelling | None) -> tuple[str, ...]:
    """What must be read before anybody shoots a test or turns a screw."""
    said = []
    if tilts.slope_rad or test is not None:
        said.append(SLOPE_SAFETY)
    if test is not None and any(tilt.verdict == "tilted" for tilt in test.tilts):
        said.append("Turn one thing at a time, and shoot the test again.")
    return tuple(said)

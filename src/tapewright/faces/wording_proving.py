"""Wording of proving: sentences about why a tape misses and which strip to take, for every face.

Holds:  a verdict, its causes with their sizes, what each asks for; neighbouring and ready strips.
Never:  layout, computations.
"""

from math import isnan

from tapewright.faces.wording_planning import chance_words
from tapewright.services.choose_strip import ChosenSet, Neighbours, Ranked
from tapewright.services.prove import Accepted, Cause, Proving
from tapewright.words.answer import SAFETY
from tapewright.words.quantities import in_unit
from tapewright.words.units import Units, amount

SURE, LIKELY = 0.8, 0.5
NO_RIVAL = 0.03  # odds below which nobody needs to tell a second cause from the first

CAUSE_WORDS = {
    "nothing": "nothing wrong",
    "zero": "zero moved",
    "height": "height offset",
    "span": "span of the strip",
    "drag or air": "drag or air",
    "one distance": "one wrong distance",
    "windage": "windage",
    "sideways": "sideways offset",
    "wind or cant": "crosswind or cant",
    "third axis": "third axis",
    "far marks": "far marks (span, or drag and air)",
}
# how a size is told that is positive, and one that is negative
WAYS = {
    "zero": ("high", "low"),
    "height": ("high", "low"),
    "span": ("longer", "shorter"),
    "drag or air": ("more", "less"),
    "one distance": ("farther", "nearer"),
    "windage": ("right", "left"),
    "sideways": ("right", "left"),
    "wind or cant": ("right", "left"),
    "third axis": ("with the right end ahead", "with the left end ahead"),
}
LOOK = {
    "height": (
        "The same length at every distance: look whether peep, nocking point, rest or anchor "
        "moved, and whether impacts were measured from the spot that was aimed at. Moving a peep "
        "is press work for a qualified technician."
    ),
    "sideways": (
        "The same length at every distance: look at rest and centre shot, at the sight's windage "
        "block, and whether impacts were measured from the spot that was aimed at."
    ),
    "wind or cant": (
        "It grows as the arrow falls: watch the bubble and the flags. Test the level against a "
        "plumb line (tapewright level), or shoot again in still air."
    ),
    "third axis": (
        "Misses change sides up and down hill: test and swing the level (tapewright level --test)."
    ),
    "drag or air": (
        "Drag differs: look for other vanes, points or a bent arrow, and write each group's "
        "temperature into the file (temperature_c)."
    ),
}
TWO_BOWS = ("zero", "height", "windage", "sideways", "wind or cant", "third axis")


def cause_unit(name: str, units: Units) -> tuple[str, int]:
    """Unit in which a cause's size is read, and its decimals; per cent for drag."""
    if name in ("zero", "windage"):
        return "mrad", 2
    if name in ("height", "sideways"):
        return units.miss, 1
    if name == "span":
        return "mm", 2
    if name == "one distance":
        return units.distance, 1
    return ("%", 0) if name == "drag or air" else ("deg", 1)


def size_words(cause: Cause, units: Units) -> str:
    """Size of a cause with its band, such as ``"0.80 mm longer (0.50 to 1.10)"``."""
    if cause.name == "nothing":
        return ""
    unit, decimals = cause_unit(cause.name, units)
    way = WAYS[cause.name]
    sign = -1.0 if cause.size < 0.0 else 1.0
    ends = sorted(sign * in_unit(end, unit) for end in (cause.low, cause.high))
    size = f"{abs(in_unit(cause.size, unit)):.{decimals}f} {unit}"
    low, high = (f"{end:.{decimals}f}".replace("-", "−") for end in ends)
    return f"{size} {way[cause.size < 0.0]} ({low} to {high})"


def dispersion_words(proving: Proving, units: Units) -> str:
    """Scatter of the session's arrows, as a sentence; empty when no group has two arrows."""
    spread = proving.spread.dispersion_rad
    if isnan(spread.value):
        return ""
    value, low, high = (in_unit(one, "mrad") for one in (spread.value, spread.low, spread.high))
    far_m = max(one.distance_m for one in proving.shot)
    at = f"{in_unit(far_m, units.distance):.5g} {units.distance}"
    return (
        f"Your dispersion: {value:.2f} mrad ({low:.2f} to {high:.2f}), "
        f"{amount(spread.value * far_m, units.miss)} at {at}."
    )


def verdict_words(proving: Proving, units: Units) -> str:
    """What the session says, as a sentence or two."""
    family, odds = proving.verdict.families[0]
    percent, cause = chance_words(odds), proving.cause
    if cause is None:
        if odds >= SURE:
            return f"The tape is right ({percent}): the misses are what your arrows scatter."
        second = CAUSE_WORDS[proving.verdict.families[1][0]]
        return (
            f"Nothing is clearly wrong ({percent}); if anything, {second}. A few more arrows far "
            "out would tell."
        )
    named = CAUSE_WORDS[family]
    if odds >= SURE:
        found = f"Found: {named} ({percent})"
    elif odds >= LIKELY:
        found = f"Most likely: {named} ({percent})"
    else:
        found = f"No clear answer; first of several: {named} ({percent})"
    where = ""
    if cause.name == "one distance" and cause.group is not None:
        said_m = proving.shot[cause.group].distance_m
        where = f" at {in_unit(said_m, units.distance):.5g} {units.distance}"
    about = "" if family == cause.name else f"{CAUSE_WORDS[cause.name]}: "
    return f"{found}{where}: {about}{size_words(cause, units)}."


def mend_words(proving: Proving, units: Units) -> str:
    """What to do about it, as sentences; empty when nothing is wrong."""
    cause, asked = proving.cause, proving.mend
    if cause is None:
        return ""
    if asked.reading_m is not None:
        numbers = "larger" if asked.reading_m > 0.0 else "smaller"
        way = "up" if asked.pin_up > 0 else "down"
        return (
            f"The sight follows the arrows: pin {way}, {amount(abs(asked.reading_m), 'mm')} toward "
            f"{numbers} numbers{_clicks(proving.clicks)}. Then move tape or pointer back so that "
            "it shows the distance again, and see what came loose."
        )
    if asked.pin_right_m is not None:
        way = "right" if asked.pin_right_m > 0.0 else "left"
        return (
            f"The sight follows the arrows: pin {way} by {amount(abs(asked.pin_right_m), 'mm')}"
            f"{_clicks(proving.right_clicks)}."
        )
    if asked.span_m is not None:
        look = f" {LOOK[cause.name]}" if cause.name in LOOK else ""
        return f"{_strip_mend(proving, units)}{look}"
    if cause.name == "one distance":
        return (
            "Measure that distance again, and see whether the right mark was dialled there; "
            "leave that group out if it was wrong."
        )
    return LOOK[cause.name]


def _clicks(clicks: int | None) -> str:
    if clicks is None:
        return ""
    return f", {abs(clicks)} click" + ("" if abs(clicks) == 1 else "s")


def _strip_mend(proving: Proving, units: Units) -> str:
    """Which of the printed strips to take."""
    less, same, more = proving.spans_m
    wanted_m = same + (proving.mend.span_m or 0.0)
    near, far = (f"{in_unit(end, units.distance):.5g}" for end in proving.ends_m)
    high = "high" if wanted_m < same else "low"
    said = (
        f"Far arrows land {high}: the strip wants a {near}–{far} span of {amount(wanted_m, 'mm')}, "
        f"not {amount(same, 'mm')}. "
    )
    nearest_m = min((less, same, more), key=lambda span: abs(span - wanted_m))
    if nearest_m == same:
        return f"{said}That is nearer to the strip you have than to a neighbour: keep it for now."
    way = "shorter" if nearest_m == less else "longer"
    beyond = abs(wanted_m - nearest_m) > abs(nearest_m - same) / 2
    take = f"Take the {way} neighbour, {amount(nearest_m, 'mm')}"
    rest = "; it goes only part of the way: accept the proof and print anew." if beyond else "."
    return f"{said}{take}{rest}"


def telling_words(proving: Proving, units: Units) -> str:
    """The shot that would tell the first two causes apart; empty when none is needed."""
    telling_m, rivals = proving.verdict.telling_m, proving.verdict.causes[:2]
    if telling_m is None or proving.cause is None or rivals[1].odds < NO_RIVAL:
        return ""
    first, second = (CAUSE_WORDS[one.name] for one in rivals)
    at = f"{in_unit(telling_m, units.distance):.5g} {units.distance}"
    return f"To tell {first} from {second}: shoot one more group at {at}."


def proof_cautions(proving: Proving) -> tuple[str, ...]:
    """What must be read before a proof is believed or accepted."""
    said = []
    if len({round(one.distance_m, 3) for one in proving.shot}) < 3:
        said.append(
            "Causes are told apart by how misses change with distance: shoot three distances or "
            "more, far ones among them."
        )
    if proving.cause is not None and proving.cause.name != "one distance":
        said.append(
            "Something is not as it was: after the mend one arrow from 10 yd / 9 m or nearer, then "
            "look, before any far one."
        )
    if proving.cause is not None and proving.cause.name in TWO_BOWS:
        said.append(
            "Something changed since the calibration: mend it and prove again before you accept "
            "these arrows, or the marks settle between two bows."
        )
    if proving.cause is not None and proving.cause.name == "one distance":
        said.append("Do not accept arrows from a distance that was wrong: write the true one.")
    return (*said, *SAFETY[:2])


def accepted_words(accepted: Accepted, units: Units) -> str:
    """The trusted distance before and after, as a sentence."""
    now, before = (
        f"{in_unit(one.trusted_m[0], units.distance):.5g} {units.distance}" if one.trusted_m[0]
        else "no distance"
        for one in (accepted.answer, accepted.before)
    )  # fmt: skip
    most_m = float(abs(accepted.moved_m).max())
    return (
        f"With the proof taken in the tape is trusted to {now} (before: {before}). Marks moved by "
        f"at most {amount(most_m, 'mm')}."
    )


def neighbour_words(found: Neighbours, units: Units) -> str:
    """How to tell three strips apart, as sentences."""
    near, far = (f"{in_unit(end, units.distance):.5g}" for end in found.ends_m)
    less, same, more = (f"{1e3 * strip.span_m:.2f} mm" for strip in found.strips)
    return (
        f"Strips by their {near}–{far} span: {less}, {same} (the likeliest), {more}. All share "
        f"the {near} {units.distance} mark. Far arrows high: take the shorter span; low: the "
        "longer one."
    )


def align_words(best: Ranked, units: Units, *, is_zeroed: bool) -> str:
    """Where to stick a ready-made strip, as sentences."""
    near = f"{in_unit(best.distance_m.min(), units.distance):.5g} {units.distance}"
    if is_zeroed:
        said = f"Stick it so that its {near} tick stands at {1e3 * best.align_m:.2f} mm."
    else:
        said = f"Zero the bow at {near}, then stick that tick under the pointer."
    if best.reversed_way:
        said += " Its positions run against your scale's numbers: far ticks go the other way."
    return said


def set_words(chosen: ChosenSet, units: Units) -> str:
    """Which strip of a set to take, as sentences."""
    best = chosen.ranked[0]
    far = f"{in_unit(chosen.farthest_m, units.distance):.5g} {units.distance}"
    said = (
        f"Take strip {best.strip.name}: the best of the set with {chance_words(best.chance)} "
        f"chance; up to {far} it leaves at most {amount(best.worst_m, units.miss)}. "
        + align_words(best, units, is_zeroed=bool(chosen.answer.observations))
    )
    if not chosen.best_is_good:
        tolerance = amount(chosen.answer.rig.archer.tolerance_m, units.miss)
        said += (
            f" That is more than your {tolerance}: no strip of this set will do; print your own."
        )
    elif best.chance < SURE and len(chosen.ranked) > 1:
        said += (
            f" Strip {chosen.ranked[1].strip.name} may be the better one: shoot a far group and "
            "ask again."
        )
    return said

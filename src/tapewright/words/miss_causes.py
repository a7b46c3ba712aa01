"""Miss causes: what may be wrong with a tape, how surely, how large, and what to turn.

Holds:  causes in words with the units of their sizes; verdict, mend and cautions of a proof.
Never:  what was found (services/prove.py), tables, keys for programs.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import isnan

from tapewright.services.equip import Rig
from tapewright.services.prove import Accepted, Cause, Proving, distances_shot, is_few
from tapewright.services.record_groups import Observation
from tapewright.words.bow_kind_words import of_bow
from tapewright.words.cautions import SAFETY
from tapewright.words.number_format import chance_words, known, known_ends
from tapewright.words.quantity_parser import format_quantity, in_unit
from tapewright.words.readings_on_tape import correction_words, moved_words
from tapewright.words.sight_moves import click_words
from tapewright.words.strip_names import longer_words
from tapewright.words.trust_sentences import trusted_words
from tapewright.words.unit_system import DECIMALS, Units, amount, distance_words, far

SURE, LIKELY = 0.8, 0.5


@dataclass(frozen=True, slots=True)
class CauseWords:
    """A cause in words."""

    name: str
    unit: str = ""  # of its size; "distance" and "miss" are the person's own
    decimals: int = 1  # of its size, at most
    ways: tuple[str, str] = ("", "")  # of a size that is positive, and of one that is negative
    look: str = ""  # what to look at


CAUSES = {
    "nothing": CauseWords("nothing wrong"),
    "zero": CauseWords("zero moved", "mrad", 2, ("high", "low")),
    "height": CauseWords(
        "height offset", "miss", 1, ("high", "low"),
        "The same length at every distance: look whether {eye}nocking point, rest or anchor "
        "moved, and whether impacts were measured from the spot that was aimed at.{press}",
    ),
    "span": CauseWords("length of the strip", "mm", 2, ("longer", "shorter")),
    "drag or air": CauseWords(
        "drag or air", "%", 0, ("more", "less"),
        "Drag differs: look for other vanes, points or a bent arrow, and write each group's "
        "temperature into the file (temperature_c).",
    ),
    "speed": CauseWords(
        "arrow speed", "%", 1, ("faster", "slower"),
        "See whether it is another arrow (weigh it), whether draw weight, draw length or string "
        "changed, and, if nothing of that did, whether bow or sight were knocked. What was changed "
        "goes through change, which carries the calibration over (tapewright change); another "
        "zero or strip would be right at few distances only.",
    ),
    "one distance": CauseWords(
        "one wrong distance", "distance", 1, ("farther", "nearer"),
        "Measure that distance again, and see whether the right mark was dialled there; leave "
        "that group out if it was wrong.",
    ),
    "windage": CauseWords("windage", "mrad", 2, ("right", "left")),
    "sideways": CauseWords(
        "sideways offset", "miss", 1, ("right", "left"),
        "The same length at every distance: look at rest and centre shot, at the sight's windage "
        "block, and whether impacts were measured from the spot that was aimed at.",
    ),
    "wind or cant": CauseWords(
        "crosswind or cant", "deg", 1, ("right", "left"),
        "It grows as the arrow falls: watch the bubble and the flags. Test the level against a "
        "plumb line (tapewright level), or shoot again in still air.",
    ),
    "third axis": CauseWords(
        "third axis", "deg", 1, ("with the right end ahead", "with the left end ahead"),
        "Misses change sides up and down hill: test and swing the level (tapewright level "
        "--test).",
    ),
    "far marks": CauseWords("far marks (length of the strip, or drag and air)"),
}  # fmt: skip
TWO_BOWS = ("zero", "height", "drag or air", "windage", "sideways", "wind or cant", "third axis")
FOLLOWS = "The sight follows the arrows: pin"
MOVE_BACK = (
    "Then move tape or pointer back so that it shows the distance again, and see what came loose."
)
COME_LOOSE = "See what came loose before you stick a tape anew."
FEW = (
    "Causes are told apart by how misses change with distance: shoot three distances or more, far "
    "ones among them."
)
NEAR = {"yd": "10 yd", "m": "9 m"}
NEAR_FIRST = (
    "Something is not as it was: after the mend one arrow from {near} or nearer, then look, "
    "before any far one."
)
BETWEEN_TWO = (
    "Something changed since the calibration: mend it and prove again before you accept these "
    "arrows, or the marks settle between two bows."
)
CHANGED = (
    "Do not accept arrows of another speed: they belong to a changed set-up, and marks of both "
    "would be wrong for both."
)
NOT_YET = (
    "Nobody can tell yet whether tape or equipment missed: these arrows are not taken in. One more "
    "group would tell."
)
TRUE_DISTANCE = "Do not accept arrows from a distance that was wrong: write the true one."


def size_words(cause: Cause, units: Units, of_m: float | None = None) -> str:
    """Size of a cause with its band, such as ``"0.8 mm longer (0.5 to 1.1)"``.

    ``of_m``, with a tape on, is the length of its own strip: how much longer another should be is
    then told as strips are called, in per cent of it.
    """
    if cause.name == "nothing":
        return ""
    words, unit, is_less = CAUSES[cause.name], cause_unit(cause, units), cause.size < 0.0
    ends, decimals = (cause.low, cause.size, cause.high), words.decimals
    if cause.name == "span" and of_m is not None:
        ends, unit, decimals = (cause.low / of_m, cause.size / of_m, cause.high / of_m), "%", 1
    sign, least = -1.0 if is_less else 1.0, 10.0**-decimals
    low, high = sorted(sign * in_unit(end, unit) for end in ends[::2])
    size = known(abs(in_unit(ends[1], unit)), 0.5 * (high - low), least=least)
    return f"{size} {unit} {words.ways[is_less]} ({known_ends(low, high, least=least)})"


def strip_on_m(proving: Proving) -> float | None:
    """Length of the strip that is on the sight; None without one."""
    return proving.lengths_m[1] if proving.answer.tape else None


def cause_unit(cause: Cause, units: Units) -> str:
    """Unit in which a cause's size is read; per cent for drag."""
    return units.own(CAUSES[cause.name].unit)


def dispersion_words(proving: Proving, units: Units) -> str:
    """Scatter of the session's arrows, as a sentence; empty when no group has two arrows."""
    spread, miss = proving.spread.dispersion_rad, units.miss
    if isnan(spread.value):
        return ""
    value, low, high = (in_unit(one, "mrad") for one in (spread.value, spread.low, spread.high))
    far_m = max(one.distance_m for one in proving.shot)
    half_m = 0.5 * (spread.high - spread.low) * far_m
    least = 10.0 ** -DECIMALS[miss]
    size = known(in_unit(spread.value * far_m, miss), in_unit(half_m, miss), least=least)
    return (
        f"Your dispersion: {known(value, 0.5 * (high - low), least=0.01)} mrad "
        f"({known_ends(low, high, least=0.01)}), {size} {miss} at {distance_words(far_m, units)}."
    )


def verdict_words(proving: Proving, units: Units) -> str:
    """What the session says, as a sentence or two."""
    family, odds = proving.verdict.families[0]
    percent, cause = chance_words(odds), proving.cause
    if cause is None:
        if odds >= SURE:
            return f"The tape is right ({percent}): the misses are what your arrows scatter."
        others = proving.verdict.rivals or proving.verdict.families[1:2]
        named = one_of([CAUSES[name].name for name, _ in others])
        told_m = proving.verdict.telling_m
        more = "A few more arrows far out"
        if told_m is not None:
            more = f"One more group at {distance_words(told_m, units)}"
        return f"Nothing is clearly wrong ({percent}); if anything, {named}. {more} would tell."
    how_sure = "No clear answer; first of several"
    if odds >= LIKELY:
        how_sure = "Found" if odds >= SURE else "Most likely"
    where = ""
    if cause.name == "one distance" and cause.group is not None:
        at = distance_words(proving.shot[cause.group].distance_m, units)
        where = f", likeliest that of {at}"  # the chance is that of any one
    about = "" if family == cause.name else f"{CAUSES[cause.name].name}: "
    found = f"{how_sure}: {CAUSES[family].name} ({percent}){where}"
    return f"{found}: {about}{size_words(cause, units, strip_on_m(proving))}."


def mend_words(proving: Proving, units: Units) -> str:
    """What to do about it, as sentences; empty when nothing is wrong."""
    cause, mend = proving.cause, proving.mend
    if cause is None:
        return ""
    if mend.reading_m is not None:
        way, by = "up" if mend.pin_up > 0 else "down", amount(abs(mend.reading_m), "mm")
        if tape := proving.answer.tape:
            one = min(proving.shot, key=lambda shot: shot.distance_m)
            new_m = one.reading_m + mend.reading_m
            turn = correction_words(tape, one.reading_m, new_m, one.pin, one.distance_m)
            return f"{FOLLOWS} {way}{click_words(proving.clicks, None)}: {turn}. {COME_LOOSE}"
        numbers = "larger" if mend.reading_m > 0.0 else "smaller"
        turn = f"{way}, {by} toward {numbers} numbers{click_words(proving.clicks, None)}"
        return f"{FOLLOWS} {turn}. {MOVE_BACK}"
    if mend.pin_right_m is not None:
        way, by = "right" if mend.pin_right_m > 0.0 else "left", amount(abs(mend.pin_right_m), "mm")
        return f"{FOLLOWS} {way} by {by}{click_words(proving.right_clicks, None)}."
    if mend.longer_m is not None:
        look = look_words(cause.name, proving.answer.rig)
        return f"{_strip_mend(proving, units)} {look}".rstrip()
    heavier = ""
    if mend.heavier_kg is not None:
        unit, decimals = ("gr", 0) if units.distance == "yd" else ("g", 1)
        way = "heavier" if mend.heavier_kg > 0.0 else "lighter"
        by = format_quantity(abs(mend.heavier_kg), unit, decimals)
        heavier = f"An arrow {by} {way} would do as much. "
    return f"{heavier}{look_words(cause.name, proving.answer.rig)}"


def look_words(cause: str, rig: Rig) -> str:
    """What to look at, in the words of a rig's bow."""
    press = of_bow(rig, " Moving a peep is press work for a qualified technician.", "")
    return CAUSES[cause].look.format(eye=of_bow(rig, "peep, ", ""), press=press)


def _strip_mend(proving: Proving, units: Units) -> str:
    """Which of the printed strips to take."""
    less, same, more = proving.lengths_m
    wanted_m = same + (proving.mend.longer_m or 0.0)
    near, farther = (far(end, units) for end in proving.ends_m)
    high = "high" if wanted_m < same else "low"
    way = "shorter" if wanted_m < same else "longer"
    percent = longer_words(abs(wanted_m / same - 1.0)).removeprefix("+")
    wants = (
        f"Far arrows land {high}: the strip wants to be {percent} {way}, from {near} to {farther} "
        f"{units.distance} {amount(wanted_m, 'mm')}, not {amount(same, 'mm')}. "
    )
    nearest_m = min((less, same, more), key=lambda length: abs(length - wanted_m))
    if nearest_m == same:
        return f"{wants}That is nearer to the strip you have than to a neighbour: keep it for now."
    beyond = abs(wanted_m - nearest_m) > abs(nearest_m - same) / 2
    take = f"Take the strip {longer_words(nearest_m / same - 1.0)}, {amount(nearest_m, 'mm')}"
    if not beyond:
        return f"{wants}{take}."
    first = "accept the proof" if proving.may_accept else "shoot more groups for the proof"
    return f"{wants}{take}; it goes only part of the way: {first} and print anew."


def telling_words(proving: Proving, units: Units) -> str:
    """What stays possible beside what was found, and the shot that tells; empty when nothing."""
    verdict = proving.verdict
    if proving.cause is None or not verdict.rivals:
        return ""
    rivals = [f"{CAUSES[name].name} ({chance_words(odds)})" for name, odds in verdict.rivals]
    possible = f"Possible as well: {', '.join(rivals)}."
    if verdict.telling_m is None:
        return possible
    first, second = (CAUSES[name].name for name in (verdict.families[0][0], verdict.told_from))
    where = distance_words(verdict.telling_m, units)
    return f"{possible} To tell {first} from {second}: shoot one more group at {where}."


def one_of(names: Sequence[str]) -> str:
    """Names with "or" before the last."""
    *others, last = names
    return f"{', '.join(others)} or {last}" if others else last


def accepted_words(accepted: Accepted, units: Units) -> str:
    """The trusted distance before and after, as a sentence."""
    answer, calibrations = accepted.answer, (accepted.answer, accepted.before)
    most = moved_words(answer, answer.bands.reading_m.tolist(), accepted.moved_m.tolist())
    now, before = (trusted_words(one.trusted_m[0], units) for one in calibrations)
    return (
        f"With the proof taken in the tape is trusted to {now} (before: {before}). Marks moved by "
        f"at most {most}."
    )


def proof_needs_words(
    shot: Sequence[Observation], needed: int, wanted_m: Sequence[float], units: Units
) -> str:
    """What a proof has, and what it still needs before it can answer."""
    seen = distances_shot(shot)
    has = f"Shot so far: {_listed(seen, units)}." if seen else "No group of it is shot yet."
    if not needed:
        return f"{has} That is enough for an answer; more groups make it surer."
    distances = "one more distance" if needed == 1 else f"{needed} distances"
    more = distances if needed == 1 or not seen else f"{needed} more distances"
    such = f", such as {_listed(wanted_m, units)}" if wanted_m else ", far ones among them"
    return f"{has} It needs a group at {more}{such}."


def _listed(distances_m: Sequence[float], units: Units) -> str:
    *first, last = (far(one, units) for one in distances_m)
    return (
        f"{', '.join(first)} and {last} {units.distance}" if first else f"{last} {units.distance}"
    )


def proof_cautions(proving: Proving, units: Units) -> tuple[str, ...]:
    """What must be read before a proof is believed or accepted."""
    cause = "" if proving.cause is None else proving.cause.name
    warned = (
        (FEW, is_few(proving.shot)),
        (NEAR_FIRST.format(near=NEAR[units.distance]), cause not in ("", "one distance")),
        (BETWEEN_TWO, cause in TWO_BOWS),
        (CHANGED, cause == "speed"),
        (TRUE_DISTANCE, cause == "one distance"),
        (NOT_YET, cause in ("", "span") and not proving.may_accept),
    )
    return (*(words for words, holds in warned if holds), *SAFETY[:2])

"""Prove: whether a tape is right, and if not, why it misses and what to turn.

Holds:  the question ``prove``: its fields, columns, sentences and cautions; what a proof that was
        taken in has moved.
Never:  formulas, how a face asks and shows, where a proof is kept.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import isnan, nan
from operator import attrgetter
from typing import Any

from tapewright.ground.errors import BadInput
from tapewright.ground.units import UNITS
from tapewright.questions.question import Field, Question, Said
from tapewright.questions.shared_fields import SPAN, span_ends
from tapewright.reading.shots import read_shots
from tapewright.services.calibrate import Answer
from tapewright.services.prove import Accepted, Cause, Proof, Proving, prove_tape
from tapewright.services.record_groups import Observation
from tapewright.words.answer import SAFETY, earned, trust_json
from tapewright.words.blocks import Blocks, Mind, Table
from tapewright.words.columns import Column, each, records, rounded, table
from tapewright.words.marks import by_clicks, half_band_m
from tapewright.words.numbers import chance_words, counted, known, known_ends
from tapewright.words.quantities import in_unit
from tapewright.words.units import DECIMALS, Units, amount, distance_words, far

TRIED = range(10, 101, 5)  # where one more group could be shot, in the person's unit
SHOWN_CAUSES, LEAST_ODDS = 6, 0.005
SURE, LIKELY = 0.8, 0.5
NO_RIVAL = 0.03  # odds below which nobody needs to tell a second cause from the first
FEW_DISTANCES = 3

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
    "one distance": (
        "Measure that distance again, and see whether the right mark was dialled there; leave "
        "that group out if it was wrong."
    ),
}
TWO_BOWS = ("zero", "height", "windage", "sideways", "wind or cant", "third axis")
FEW = (
    "Causes are told apart by how misses change with distance: shoot three distances or more, far "
    "ones among them."
)
NEAR_FIRST = (
    "Something is not as it was: after the mend one arrow from 10 yd / 9 m or nearer, then look, "
    "before any far one."
)
BETWEEN_TWO = (
    "Something changed since the calibration: mend it and prove again before you accept these "
    "arrows, or the marks settle between two bows."
)
TRUE_DISTANCE = "Do not accept arrows from a distance that was wrong: write the true one."


@dataclass(frozen=True, slots=True)
class TapeProof:
    """A proof of a tape."""

    proving: Proving
    notes: tuple[str, ...] = ()  # what is odd about the rows, where nobody else tells it
    accepted: Accepted | None = None  # the calibration with its arrows, if they were taken in


def _doubt(side: str) -> Callable[[Proof], float]:
    """Doubt of a miss up or right; none where it was not measured."""
    miss, doubt = attrgetter(f"miss_{side}_m"), attrgetter(f"doubt_{side}_m")
    return lambda proof: nan if isnan(miss(proof)) else doubt(proof)


def _miss(side: str) -> tuple[Column[Sequence[Proof]], ...]:
    """A miss up or right, and its doubt."""
    half = each(f"doubt_{side}_m")
    return (
        Column(f"{side} {{unit}}", f"miss_{side}_{{unit}}", each(f"miss_{side}_m"), "miss",
               signed=True, half=half),
        Column(f"± {side}", "", each(_doubt(side)), "miss", half=half),
    )  # fmt: skip


PROOFS: tuple[Column[Sequence[Proof]], ...] = (
    Column("group", "group", each("name")),
    Column("{unit}", "distance_{unit}", each("distance_m"), "distance", None, 4),
    *_miss("up"),
    *_miss("right"),
    Column("", "doubt_up_{unit}", each("doubt_up_m"), "miss"),
    Column("", "doubt_right_{unit}", each("doubt_right_m"), "miss"),
)
MOVED: tuple[Column[Accepted], ...] = (
    Column("{unit}", "distance_{unit}", lambda it: it.distance_m, "distance", None, 4),
    Column("before mm", "", lambda it: it.answer.bands.reading_m - it.moved_m, "mm",
           half=lambda it: half_band_m(it.before.bands)),
    Column("now mm", "reading_mm", lambda it: it.answer.bands.reading_m, "mm", kept=4,
           half=lambda it: half_band_m(it.answer.bands)),
    Column("moved mm", "moved_mm", lambda it: it.moved_m, "mm", 2, 4, signed=True),
)  # fmt: skip


def prove_groups(
    answer: Answer, shot: tuple[Observation, ...], said: Said, units: Units
) -> Proving:
    """A verdict on a tape from groups shot with it."""
    factor = UNITS[units.distance].factor
    return prove_tape(answer, shot, [step * factor for step in TRIED], span_ends(said, units))


def _ask(answer: Answer, said: Said, units: Units) -> TapeProof:
    text, place = said.texts.get("proof") or "", said.place("proof")
    shot, notes = read_shots(text.replace("\r\n", "\n"), place, answer.rig)
    if not shot:
        raise BadInput(place, "there are no arrows in it", "Shoot groups first")
    if not answer.observations:
        wrong = "nothing was shot to make a tape from yet"
        raise BadInput("Prove", wrong, "Shoot two groups first and print the tape")
    return TapeProof(prove_groups(answer, shot, said, units), notes)


def _tell(found: TapeProof, units: Units) -> Blocks:
    """A proof: misses, causes, verdict, mend; what moved when it was taken in."""
    proving = found.proving
    sentences = (
        verdict_words(proving, units),
        mend_words(proving, units),
        telling_words(proving, units),
        dispersion_words(proving, units),
    )
    return (
        misses_table(proving, units),
        causes_table(proving, units),
        *filter(None, sentences),
        *map(Mind, (*proof_cautions(proving), *found.notes)),
        *(() if found.accepted is None else accepted_blocks(found.accepted, units)),
    )


def misses_table(proving: Proving, units: Units) -> Table:
    """Every group against the tape, with the doubt when nothing is wrong."""
    return table("Misses against the tape", PROOFS, proving.verdict.proofs, units)


def causes_table(proving: Proving, units: Units) -> Table:
    """Causes with their odds and sizes, likeliest first."""
    shown = [one for one in proving.verdict.causes if one.odds >= LEAST_ODDS][:SHOWN_CAUSES]
    rows = []
    for one in shown:
        at = ""
        if one.group is not None:
            at = f" at {far(proving.shot[one.group].distance_m, units)}"
        rows.append((CAUSE_WORDS[one.name] + at, chance_words(one.odds), size_words(one, units)))
    return Table("What may be wrong", ("cause", "odds", "size if so"), tuple(rows))


def accepted_blocks(accepted: Accepted, units: Units) -> Blocks:
    """How marks moved when a proof was taken in."""
    return ("", moved_table(accepted, units), accepted_words(accepted, units))


def moved_table(accepted: Accepted, units: Units) -> Table:
    """How marks moved when a proof was taken in."""
    return table("Marks", by_clicks(MOVED, accepted.answer), accepted, units)


def accepted_words(accepted: Accepted, units: Units) -> str:
    """The trusted distance before and after, as a sentence."""
    now, before = (
        distance_words(one.trusted_m[0], units) if one.trusted_m[0] else "no distance"
        for one in (accepted.answer, accepted.before)
    )
    most_m = float(abs(accepted.moved_m).max())
    return (
        f"With the proof taken in the tape is trusted to {now} (before: {before}). Marks moved by "
        f"at most {amount(most_m, 'mm')}."
    )


def _unit(name: str, units: Units) -> tuple[str, int]:
    """Unit in which a cause's size is read, and its decimals at most; per cent for drag."""
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
    """Size of a cause with its band, such as ``"0.8 mm longer (0.5 to 1.1)"``."""
    if cause.name == "nothing":
        return ""
    unit, decimals = _unit(cause.name, units)
    is_less, least = cause.size < 0.0, 10.0**-decimals
    sign = -1.0 if is_less else 1.0
    low, high = sorted(sign * in_unit(end, unit) for end in (cause.low, cause.high))
    size = known(abs(in_unit(cause.size, unit)), 0.5 * (high - low), least=least)
    return f"{size} {unit} {WAYS[cause.name][is_less]} ({known_ends(low, high, least=least)})"


def dispersion_words(proving: Proving, units: Units) -> str:
    """Scatter of the session's arrows, as a sentence; empty when no group has two arrows."""
    spread, miss = proving.spread.dispersion_rad, units.miss
    if isnan(spread.value):
        return ""
    value, low, high = (in_unit(one, "mrad") for one in (spread.value, spread.low, spread.high))
    far_m = max(one.distance_m for one in proving.shot)
    half_m = 0.5 * (spread.high - spread.low) * far_m
    size = known(
        in_unit(spread.value * far_m, miss), in_unit(half_m, miss), least=10.0 ** -DECIMALS[miss]
    )
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
        second = CAUSE_WORDS[proving.verdict.families[1][0]]
        return (
            f"Nothing is clearly wrong ({percent}); if anything, {second}. A few more arrows far "
            "out would tell."
        )
    how_sure = "No clear answer; first of several"
    if odds >= LIKELY:
        how_sure = "Found" if odds >= SURE else "Most likely"
    where = ""
    if cause.name == "one distance" and cause.group is not None:
        where = f" at {distance_words(proving.shot[cause.group].distance_m, units)}"
    about = "" if family == cause.name else f"{CAUSE_WORDS[cause.name]}: "
    found = f"{how_sure}: {CAUSE_WORDS[family]} ({percent}){where}"
    return f"{found}: {about}{size_words(cause, units)}."


def mend_words(proving: Proving, units: Units) -> str:
    """What to do about it, as sentences; empty when nothing is wrong."""
    cause, mend = proving.cause, proving.mend
    if cause is None:
        return ""
    if mend.reading_m is not None:
        numbers = "larger" if mend.reading_m > 0.0 else "smaller"
        way = "up" if mend.pin_up > 0 else "down"
        return (
            f"The sight follows the arrows: pin {way}, {amount(abs(mend.reading_m), 'mm')} toward "
            f"{numbers} numbers{_clicks(proving.clicks)}. Then move tape or pointer back so that "
            "it shows the distance again, and see what came loose."
        )
    if mend.pin_right_m is not None:
        way = "right" if mend.pin_right_m > 0.0 else "left"
        return (
            f"The sight follows the arrows: pin {way} by {amount(abs(mend.pin_right_m), 'mm')}"
            f"{_clicks(proving.right_clicks)}."
        )
    if mend.span_m is not None:
        return " ".join(filter(None, (_strip_mend(proving, units), LOOK.get(cause.name, ""))))
    return LOOK[cause.name]


def _clicks(clicks: int | None) -> str:
    return "" if clicks is None else f", {counted(abs(clicks), 'click')}"


def _strip_mend(proving: Proving, units: Units) -> str:
    """Which of the printed strips to take."""
    less, same, more = proving.spans_m
    wanted_m = same + (proving.mend.span_m or 0.0)
    near, farther = (far(end, units) for end in proving.ends_m)
    high = "high" if wanted_m < same else "low"
    wants = (
        f"Far arrows land {high}: the strip wants a {near}–{farther} span of "
        f"{amount(wanted_m, 'mm')}, not {amount(same, 'mm')}. "
    )
    nearest_m = min((less, same, more), key=lambda span: abs(span - wanted_m))
    if nearest_m == same:
        return f"{wants}That is nearer to the strip you have than to a neighbour: keep it for now."
    way = "shorter" if nearest_m == less else "longer"
    beyond = abs(wanted_m - nearest_m) > abs(nearest_m - same) / 2
    take = f"Take the {way} neighbour, {amount(nearest_m, 'mm')}"
    rest = "; it goes only part of the way: accept the proof and print anew." if beyond else "."
    return f"{wants}{take}{rest}"


def telling_words(proving: Proving, units: Units) -> str:
    """The shot that would tell the first two causes apart; empty when none is needed."""
    telling_m, rivals = proving.verdict.telling_m, proving.verdict.causes[:2]
    if telling_m is None or proving.cause is None or rivals[1].odds < NO_RIVAL:
        return ""
    first, second = (CAUSE_WORDS[one.name] for one in rivals)
    where = distance_words(telling_m, units)
    return f"To tell {first} from {second}: shoot one more group at {where}."


def is_few(shot: Sequence[Observation]) -> bool:
    """Whether groups stand at too few distances to tell causes apart."""
    return len({round(one.distance_m, 3) for one in shot}) < FEW_DISTANCES


def proof_cautions(proving: Proving) -> tuple[str, ...]:
    """What must be read before a proof is believed or accepted."""
    cause = "" if proving.cause is None else proving.cause.name
    warned = (
        (FEW, is_few(proving.shot)),
        (NEAR_FIRST, cause not in ("", "one distance")),
        (BETWEEN_TWO, cause in TWO_BOWS),
        (TRUE_DISTANCE, cause == "one distance"),
    )
    return (*(words for words, holds in warned if holds), *SAFETY[:2])


def _write(found: TapeProof, units: Units) -> dict[str, Any]:
    proving, unit = found.proving, units.distance
    verdict, mend, spread = proving.verdict, proving.mend, proving.spread.dispersion_rad
    taken = {} if found.accepted is None else {"accepted": _accepted(found.accepted, units)}
    return {
        "schema": "tapewright.proof/1",
        "rig": proving.answer.rig.name,
        "fingerprint": proving.answer.fingerprint,
        "groups": records(PROOFS, verdict.proofs, units),
        "families": [
            {"family": name, "odds": rounded(odds, "", 4)} for name, odds in verdict.families
        ],
        "causes": [_cause(one, proving, units) for one in verdict.causes],
        "mend": {
            "reading_mm": rounded(mend.reading_m, "mm"),
            "reading_clicks": proving.clicks,
            "pin_right_mm": rounded(mend.pin_right_m, "mm"),
            "pin_right_clicks": proving.right_clicks,
            "longer_span_mm": rounded(mend.span_m, "mm"),
        },
        "spans_mm": [rounded(span, "mm") for span in proving.spans_m],
        f"telling_distance_{unit}": rounded(verdict.telling_m, unit, 4),
        "dispersion_mrad": rounded(spread.value, "mrad", 4),
        "dispersion_low_mrad": rounded(spread.low, "mrad", 4),
        "dispersion_high_mrad": rounded(spread.high, "mrad", 4),
        "verdict": verdict_words(proving, units),
        "advice": mend_words(proving, units),
        "cautions": [*proof_cautions(proving), *found.notes],
        **taken,
    }


def _cause(cause: Cause, proving: Proving, units: Units) -> dict[str, Any]:
    name_and_odds = {"cause": cause.name, "odds": rounded(cause.odds, "", 4)}
    if cause.name == "nothing":
        return name_and_odds
    unit, _ = _unit(cause.name, units)
    key = "percent" if unit == "%" else unit
    sizes = (("size", cause.size), ("low", cause.low), ("high", cause.high))
    group = {} if cause.group is None else {"group": proving.shot[cause.group].group.name}
    return name_and_odds | {f"{name}_{key}": rounded(value, unit) for name, value in sizes} | group


def _accepted(accepted: Accepted, units: Units) -> dict[str, Any]:
    unit = units.distance
    return {
        "fingerprint": accepted.answer.fingerprint,
        **trust_json(accepted.answer, unit),
        f"trusted_distance_before_{unit}": earned(accepted.before, unit),
        "marks": records(MOVED, accepted, units),
    }


PROOF = Field(
    "proof",
    "Groups shot with the tape",
    hint="Rows as in a file of shots: group,distance_yd,reading_mm,right_in,up_in; three distances "
    "or more, far ones among them.",
    is_file=True,
)
QUESTION = Question(
    "prove",
    "Prove the tape",
    "Whether the tape is right, and if not, why it misses and what to turn, from groups shot with "
    "it, its marks dialled.",
    (PROOF, SPAN),
    _ask,
    _tell,
    _write,
    needs=("proof",),
    more="SHOTS.csv is what the tape was made from, PROOF.csv what was shot with it since: groups "
    "at three distances or more, far ones among them, with the readings dialled. With slopes it "
    "looks at the third axis, too.",
)

"""Prove: whether a tape is right, and if not, why it misses and what to turn.

Holds:  the question ``prove``: its fields, columns and tables; what a proof that was taken in has
        moved.
Never:  formulas, causes in words (words/miss_causes.py), how a face asks and shows, where a
        proof is kept.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import isnan, nan
from typing import Any

from tapewright.ground.errors import BadInput
from tapewright.ground.units import UNITS
from tapewright.questions.question import Field, Question, Said
from tapewright.questions.shared_fields import BETWEEN, asked_ends
from tapewright.reading.shots_reader import read_shots
from tapewright.services.calibrate import Answer
from tapewright.services.prove import Accepted, Cause, Proof, Proving, prove_tape
from tapewright.services.record_groups import Observation
from tapewright.words.answer_blocks import Blocks, Mind, Table
from tapewright.words.answer_columns import Column, each, records, rounded, table
from tapewright.words.answer_json import earned, trust_json
from tapewright.words.first_proof_caution import first_words, is_first_on_tape
from tapewright.words.miss_causes import (
    CAUSES,
    accepted_words,
    cause_unit,
    dispersion_words,
    mend_words,
    proof_cautions,
    size_words,
    strip_on_m,
    telling_words,
    verdict_words,
)
from tapewright.words.number_format import chance_words
from tapewright.words.proof_aside import aside_words
from tapewright.words.readings_on_tape import on_sight, told_columns
from tapewright.words.unit_system import Units, far

TRIED = range(10, 101, 5)  # where one more group could be shot, in the person's unit
SHOWN_CAUSES, LEAST_ODDS = 6, 0.005


@dataclass(frozen=True, slots=True)
class TapeProof:
    """A proof of a tape."""

    proving: Proving
    notes: tuple[str, ...] = ()  # what is odd about the rows, where nobody else tells it
    accepted: Accepted | None = None  # the calibration with its arrows, if they were taken in


def _miss(side: str) -> tuple[Column[Sequence[Proof]], ...]:
    """A miss up or right, and its doubt, none where it was not measured."""
    miss, doubt = f"miss_{side}_m", f"doubt_{side}_m"

    def shown(proof: Proof) -> float:
        return nan if isnan(getattr(proof, miss)) else float(getattr(proof, doubt))

    return (
        Column(f"{side} {{unit}}", f"miss_{side}_{{unit}}", miss, "miss", signed=True, half=doubt),
        Column(f"± {side}", "", each(shown), "miss", half=doubt),
    )


PROOFS: tuple[Column[Sequence[Proof]], ...] = (
    Column("group", "group", "name"),
    Column("{unit}", "distance_{unit}", "distance_m", "distance", None, 4),
    *_miss("up"),
    *_miss("right"),
    Column("", "doubt_up_{unit}", "doubt_up_m", "miss"),
    Column("", "doubt_right_{unit}", "doubt_right_m", "miss"),
)
MOVED: tuple[Column[Accepted], ...] = (
    Column("{unit}", "distance_{unit}", "distance_m", "distance", None, 4),
    Column("before mm", "", lambda it: it.answer.bands.reading_m - it.moved_m, "mm",
           half=("before.bands.low_m", "before.bands.high_m"), tape="alone"),
    Column("now mm", "reading_mm", "answer.bands.reading_m", "mm", kept=4,
           half=("answer.bands.low_m", "answer.bands.high_m"), tape="first"),
    Column("moved mm", "moved_mm", "moved_m", "mm", 2, 4, signed=True, tape="not"),
)  # fmt: skip


def prove_groups(
    answer: Answer, shot: tuple[Observation, ...], said: Said, units: Units
) -> Proving:
    """A verdict on a tape from groups shot with it."""
    if not answer.observations:
        wrong = "nothing was shot to make a tape from yet"
        raise BadInput("Prove", wrong, "Shoot two groups first and print the tape")
    factor = UNITS[units.distance].factor
    return prove_tape(
        answer, shot, [step * factor for step in TRIED], asked_ends(answer, said, units)
    )


def _ask(answer: Answer, said: Said, units: Units) -> TapeProof:
    text, place = said.texts.get("proof") or "", said.place("proof")
    shot, notes = read_shots(text.replace("\r\n", "\n"), place, answer.rig)
    if not shot:
        raise BadInput(place, "there are no arrows in it", "Shoot groups first")
    return TapeProof(prove_groups(answer, shot, said, units), notes)


def _tell(found: TapeProof, units: Units) -> Blocks:
    """A proof: misses, causes, verdict, mend; what moved when it was taken in."""
    proving = found.proving
    sentences = (
        verdict_words(proving, units),
        mend_words(proving, units),
        aside_words(proving, units),
        telling_words(proving, units),
        dispersion_words(proving, units),
        first_words(proving, units),
    )
    return (
        misses_table(proving, units),
        causes_table(proving, units),
        *filter(None, sentences),
        *map(Mind, (*proof_cautions(proving, units), *found.notes)),
        *(() if found.accepted is None else accepted_blocks(found.accepted, units)),
    )


def misses_table(proving: Proving, units: Units) -> Table:
    """Every group against the tape, with the doubt when nothing is wrong."""
    return table("Misses against the tape", PROOFS, proving.verdict.proofs, units)


def causes_table(proving: Proving, units: Units) -> Table:
    """Causes with their odds and sizes, likeliest first."""
    shown = [one for one in proving.verdict.causes if one.odds >= LEAST_ODDS][:SHOWN_CAUSES]
    places = (
        "" if one.group is None else f" at {far(proving.shot[one.group].distance_m, units)}"
        for one in shown
    )
    rows = tuple(
        (
            f"{CAUSES[one.name].name}{at}",
            chance_words(one.odds),
            size_words(one, units, strip_on_m(proving)),
        )
        for one, at in zip(shown, places, strict=True)
    )
    return Table("What may be wrong", ("cause", "odds", "size if so"), rows)


def accepted_blocks(accepted: Accepted, units: Units) -> Blocks:
    """How marks moved when a proof was taken in, and the trusted distance with them."""
    moved = table("Marks", told_columns(MOVED, accepted.answer, at="distance_m"), accepted, units)
    return ("", moved, accepted_words(accepted, units))


def _write(found: TapeProof, units: Units) -> dict[str, Any]:
    proving, unit = found.proving, units.distance
    verdict, mend, spread = proving.verdict, proving.mend, proving.spread.dispersion_rad
    lengths_mm = [rounded(length, "mm") for length in proving.lengths_m]
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
            "longer_mm": rounded(mend.longer_m, "mm"),
            "longer_span_mm": rounded(mend.longer_m, "mm"),  # by the name of earlier versions
            "heavier_gr": rounded(mend.heavier_kg, "gr"),
        },
        f"between_{unit}": [rounded(end, unit, 4) for end in proving.ends_m],
        "check_lengths_mm": lengths_mm,
        "spans_mm": lengths_mm,  # by the name of earlier versions
        "rivals": [{"family": name, "odds": rounded(odds, "", 4)} for name, odds in verdict.rivals],
        f"telling_distance_{unit}": rounded(verdict.telling_m, unit, 4),
        "telling_from": verdict.told_from or None,
        "may_accept": proving.may_accept,
        **({"first_on_tape": is_first_on_tape(proving)} if proving.answer.tape else {}),
        "dispersion_mrad": rounded(spread.value, "mrad", 4),
        "dispersion_low_mrad": rounded(spread.low, "mrad", 4),
        "dispersion_high_mrad": rounded(spread.high, "mrad", 4),
        "verdict": verdict_words(proving, units),
        "advice": mend_words(proving, units),
        "cautions": [*proof_cautions(proving, units), *found.notes],
        **taken,
    }


def _cause(cause: Cause, proving: Proving, units: Units) -> dict[str, Any]:
    called, odds = CAUSES[cause.name].name, rounded(cause.odds, "", 4)
    name_and_odds = {"cause": cause.name, "called": called, "odds": odds}
    if cause.name == "nothing":
        return name_and_odds
    unit = cause_unit(cause, units)
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
        "two_bows_odds": rounded(accepted.answer.two_bows_odds, "", 4),
        "marks": records(on_sight(MOVED, accepted.answer.tape, at="distance_m"), accepted, units),
    }


PROOF = Field(
    "proof", "Groups shot with the tape", is_file=True,
    hint="Rows as in a file of shots: group,distance_yd,reading_mm,right_in,up_in; three distances "
    "or more, far ones among them.",
)  # fmt: skip
QUESTION = Question(
    "prove", "Prove the tape",
    "Whether the tape is right, and if not, why it misses and what to turn, from groups shot with "
    "it, its marks dialled.", (PROOF, BETWEEN), _ask, _tell, _write, needs=("proof",),
    more="SHOTS.csv is what the tape was made from, PROOF.csv what was shot with it since: groups "
    "at three distances or more, far ones among them, with the readings dialled. With slopes it "
    "looks at the third axis, too.",
)  # fmt: skip

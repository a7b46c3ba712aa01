"""Change: marks and trust of a rig after a change, and how few arrows buy the trust back.

Holds:  the question ``change``: its fields, tables, sentences and cautions.
Never:  formulas, how a face asks and shows; what a person does next there (each face's Ways).
"""

from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from tapewright.ground.units import UNITS
from tapewright.questions.question import Field, Measure, Question, Said
from tapewright.services.calibrate import Answer, Bands, answer_at
from tapewright.services.change_rig import (
    Butt,
    ChangedRig,
    Observation,
    Rig,
    change_rig,
    further_pins,
)
from tapewright.words.answer_blocks import Blocks, Mind, Table
from tapewright.words.answer_columns import Column, beside, records, rounded, table
from tapewright.words.answer_json import head_json, trust_json
from tapewright.words.cautions import all_cautions, safety_of
from tapewright.words.earlier_setup_offer import back_json, back_words
from tapewright.words.marks_table import AT, MARKS, SHORT
from tapewright.words.number_format import counted
from tapewright.words.readings_on_tape import (
    dial_json,
    dial_words,
    on_sight,
    tape_after_words,
    told_columns,
)
from tapewright.words.trust_sentences import pin_trust_words, trusted_words
from tapewright.words.unit_system import Units

DISTANCES = Field("distances", "Distances", "10:100:10yd", "10:90:10m", "Where marks are wanted.",
                  takes="LIST")  # fmt: skip
BUTT = Field("butt", "Butt", "36 in", "90 cm",
             "Width and height of what stops the confirming arrows.", takes="WIDTH",
             measure=Measure("length", (5.0, 2000.0, "cm")))  # fmt: skip
NEAREST, FARTHEST = 9, {"yd": 125, "m": 115}  # where trust is looked for
CONFIRMING_STEP = 5.0  # yards or metres between the distances of confirming groups
MOST_SAID = 4  # confirming groups in a sentence


@dataclass(frozen=True, slots=True)
class Ways:
    """What a person does next, in the words of their face."""

    plan: str  # where a session is planned
    again: str  # how the confirming arrows are counted
    copy: str  # what to look at when two sheets tell no difference
    back: str = ""  # how a calibration that the new set-up had before is taken up


@dataclass(frozen=True, slots=True)
class Change:
    """What is asked about: a calibration, the sheet after the change, and what was shot since."""

    old: Answer
    rig: Rig
    observations: tuple[Observation, ...]
    ways: Ways
    new_string: bool = False
    seed: int = 1
    before: Answer | None = None  # the calibration that the new set-up had before; None: none


@dataclass(frozen=True, slots=True)
class Carried:
    """What a change did, and the words of the face that asked."""

    rigs: ChangedRig
    ways: Ways
    before: Answer | None = None  # what the new set-up was calibrated as before


def _ask(change: Change, said: Said, units: Units) -> Carried:
    unit_m = UNITS[units.distance].factor
    distances_m = said.distances(DISTANCES.name, DISTANCES.usual_in(units))
    side_m = said.quantity(BUTT, units)
    rigs = change_rig(
        answer_at(change.old, distances_m),
        change.rig,
        change.observations,
        [step * unit_m for step in range(NEAREST, FARTHEST[units.distance] + 1)],
        Butt(side_m, side_m),
        change.seed,
        new_string=change.new_string,
        step_m=CONFIRMING_STEP * unit_m,
    )
    before = change.before and answer_at(change.before, distances_m)
    return Carried(rigs, change.ways, before)


def _tell(found: Carried, units: Units) -> Blocks:
    rigs = found.rigs
    old, new = rigs.old, rigs.new
    further = enumerate(further_pins(rigs), 2)
    return (
        f"From {old.rig.name} to {new.rig.name}\n",
        _table("Marks before and after", (old.bands, new.bands), rigs, units),
        *(
            _table(f"Marks of pin {pin} before and after", bands, rigs, units, pin)
            for pin, bands in further
        ),
        *filter(None, (tape_after_words(rigs.old.tape, rigs.new.tape),)),
        _trust(rigs, units),
        *([back_words(found.before, new, found.ways.back, units)] if found.before else []),
        _next(found, units),
        *(pin_trust_words(pin, far_m, units) for pin, far_m in enumerate(new.trusted_m[1:], 2)),
        *map(Mind, _cautions(rigs, units)),
    )


def _table(
    title: str, both: tuple[Bands | None, Bands], rigs: ChangedRig, units: Units, pin: int = 1
) -> Table:
    """Marks and bands of both, and how far each mark moved."""
    was, now = both
    if was is None:  # a new pin has no past
        unknown = np.full(len(now.distance_m), np.nan)
        was = Bands(now.probability, now.distance_m, *[unknown] * 5)
    moved_m = now.reading_m - was.reading_m
    moved: Column[Bands] = Column("change mm", "", moved_m, "mm", 2, signed=True, tape="not")
    parts = [table(title, SHORT[:1], now, units)]
    for which, answer, bands in (("old", rigs.old, was), ("new", rigs.new, now)):
        mark, *half = told_columns((replace(SHORT[1], tape="alone"), SHORT[3]), answer, pin, AT)
        mark = replace(mark, head=f"{which} {mark.head}")
        parts.append(table("", (mark, *half), bands, units))
    last = on_sight((moved,), rigs.new.tape or rigs.old.tape)
    return beside(*parts, *(table("", (one,), now, units) for one in last))


def _write(found: Carried, units: Units) -> dict[str, Any]:
    unit, rigs = units.distance, found.rigs
    old, new = rigs.old, rigs.new
    return head_json("tapewright.change/1", new) | {
        "old_rig": old.rig.name,
        "old_fingerprint": old.fingerprint,
        "method": new.posterior.method,
        **trust_json(old, unit, before="old_"),
        **trust_json(new, unit),
        "old_marks": records(on_sight(MARKS, old.tape, 1, AT), old.bands, units),
        "marks": records(on_sight(MARKS, new.tape, 1, AT), new.bands, units),
        "pins": [
            {
                "pin": pin,
                **trust_json(new, unit, pin),
                "old_marks": None
                if was is None
                else records(on_sight(MARKS, old.tape, pin, AT), was, units),
                "marks": records(on_sight(MARKS, new.tape, pin, AT), now, units),
            }
            for pin, (was, now) in enumerate(further_pins(rigs), 2)
        ],
        "confirm": [
            {
                f"distance_{unit}": rounded(step.distance_m, unit, 4),
                "arrows": step.arrows,
                "reading_mm": None if new.posterior.is_set_by_eye else rounded(reading, "mm"),
                **dial_json(
                    new.tape,
                    None if new.posterior.is_set_by_eye else reading,
                    at_m=step.distance_m,
                ),
                f"trusted_distance_{unit}": rounded(step.trusted_m, unit),
            }
            for step, reading in zip(rigs.steps, rigs.readings_m, strict=True)
        ],
        "confirm_arrows": sum(step.arrows for step in rigs.steps),
        "gets_there": rigs.is_restored or rigs.gets_there,
        "calibrated_before": found.before and back_json(found.before, units),
        "cautions": list(_cautions(rigs, units)),
    }


def _trust(rigs: ChangedRig, units: Units) -> str:
    """How far the marks were trusted, and are now."""
    before = f"Trusted before the change: {trusted_words(rigs.old.trusted_m[0], units)}; now:"
    if rigs.new.is_earned:
        return f"{before} {trusted_words(rigs.new.trusted_m[0], units)}."
    alone = trusted_words(rigs.new.once_zeroed_m[0], units)
    nothing = "nothing, until a group with the new set-up fits"
    if rigs.to_broadheads:
        nothing = (
            "nothing, until a group of these broadheads fits, and then no farther than it hit. "
            "Shot beside field points on a sheet of those, broadheads tell whether they need marks "
            "of their own: the question broadheads"
        )
    return f"{before} {nothing}. The bands alone would carry {alone}."


def _next(found: Carried, units: Units) -> str:
    """What buys the trust back, as a sentence."""
    rigs, ways = found.rigs, found.ways
    if not rigs.differs:
        return f"The two sheets tell no difference that reaches a mark: {ways.copy}"
    if rigs.is_restored and rigs.wanted_m < rigs.old.trusted_m[0]:
        farthest = trusted_words(rigs.wanted_m, units)
        return f"{farthest}, as far as the sheet says you shoot, is trusted: no arrow is needed."
    if rigs.is_restored:
        return "Nothing is lost, so no arrow has to be shot to win it back."
    if not rigs.steps:
        return f"No safe group can be planned here: {ways.plan}."
    if rigs.new.posterior.is_set_by_eye:
        return f"No arrow has hit with the old set-up, so no reading is known: {ways.plan}."
    wanted, was_trusted = trusted_words(rigs.wanted_m, units), bool(rigs.old.trusted_m[0])
    if rigs.gets_there:
        return (
            f"To confirm shoot {_groups(rigs, units)}. After these you may expect to trust "
            f"{wanted}{' again' if was_trusted else ''}; {ways.again}."
        )
    arrows = sum(step.arrows for step in rigs.steps)
    return (
        f"Even {arrows} arrows would hardly {'restore' if was_trusted else 'bring trust to'} "
        f"{wanted} on this butt and for this tolerance: expect to trust "
        f"{trusted_words(rigs.steps[-1].trusted_m, units)}. Begin with {_groups(rigs, units)}, and "
        f"{ways.plan}."
    )


def _groups(rigs: ChangedRig, units: Units) -> str:
    """The first few confirming groups, and how many more."""
    dials = zip(rigs.steps, rigs.readings_m, rigs.half_bands_m, strict=True)
    groups = [
        f"{step.arrows} arrows at {trusted_words(step.distance_m, units)} "
        f"(dial {dial_words(rigs.new, reading_m, half_m, at_m=step.distance_m)})"
        for step, reading_m, half_m in dials
    ]
    if not rigs.gets_there:
        return groups[0]
    more = len(groups) - MOST_SAID
    rest = f", and {counted(more, 'group')} more" if more > 0 else ""
    return ", then ".join(groups[:MOST_SAID]) + rest


def _cautions(rigs: ChangedRig, units: Units) -> tuple[str, ...]:
    """What must be read before a changed bow is shot."""
    stop, _, light, _, press, _ = safety_of(rigs.new.rig)
    return (*all_cautions(rigs.new, units), light, press, stop)


QUESTION = Question(
    "change", "Change",
    "Carry a calibration over to another arrow, point, vane, peep, anchor, pin or draw weight.",
    (DISTANCES, BUTT), _ask, _tell, _write,
    more="RIG.toml and SHOTS.csv are the old rig, NEWRIG.toml its sheet after the change: copy the "
    "old one and alter what changed. A speed that only the new sheet tells counts as measured "
    "anew; what both tell is left as the old arrows have it. NEWSHOTS.csv holds arrows shot since.",
    is_of_two=True, parts=("new_rig", "groups"),
)  # fmt: skip

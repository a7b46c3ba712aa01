"""Tape: print the sight tape, at true length.

Holds:  its fields; texts with units to an order; ticks nobody named; the print.
Never:  sentences on its sheet (tape_sentences.py), calibration, how a face asks.
"""

from dataclasses import dataclass, replace
from functools import partial
from typing import Any

from tapewright.ground.errors import BadInput
from tapewright.ground.units import UNITS
from tapewright.printing import print_fields
from tapewright.printing.print_record import Files, Print, Wish
from tapewright.printing.tape_sentences import (
    check_note,
    limit_notes,
    notch_words,
    tape_cautions,
    tape_words,
)
from tapewright.questions.question import Field, Said
from tapewright.questions.rules import RULES, read_rules
from tapewright.questions.shared_fields import APART, BETWEEN, said_ends
from tapewright.services.calibrate import Answer
from tapewright.services.equip import Rig
from tapewright.services.print_tape import (
    NOTCH_MM,
    RECORD,
    SIDE_MM,
    PlannedTape,
    TapeOrder,
    TapeWords,
    coarse_words,
    plan_tape,
    print_tape,
    printed_record,
    tape_preview,
)
from tapewright.services.stick_tape import SCHEMA, record_dict, record_text
from tapewright.services.usual_wish import tape_end
from tapewright.words.answer_blocks import Blocks, Mind
from tapewright.words.printable_names import paper_notes
from tapewright.words.quantity_parser import in_unit
from tapewright.words.readings_on_tape import dial_json
from tapewright.words.rules import rules_words
from tapewright.words.trust_sentences import trust_words
from tapewright.words.unit_system import BY_DISTANCE, Units

USUAL_THICKNESS_MM = 0.15

NUMBER_EVERY = Field(
    "number_every", "Numbers at every", "5", hint="So many yards or metres, where they fit.",
    choices=("5", "10"), choice_words=("5 {unit}", "10 {unit}"),
)  # fmt: skip
STEP = Field("step", "Difference of the neighbours", "from the band",
             hint="How much longer and shorter the two other strips are, such as 0.5 mm.",
             takes="LENGTH", measure=APART)  # fmt: skip
STUCK = "How well a strip is stuck on, 0.3 mm, counts in it until a group was shot with it."
SIDE_SCALE = Field(
    "side_scale", "Millimetres along the free edge", "no",
    hint=f"A fine scale counted as the gauge strip was; it takes {SIDE_MM:g} mm of the width.",
    choices=("no", "yes"), choice_words=("no", "yes, to go on measuring by"),
)  # fmt: skip
LABELS = Field(
    "labels", "A sheet of label film", "no",
    hint="One sheet more, full of the same strips: for film, while the words go on plain paper.",
    choices=("no", "yes"), choice_words=("no", "yes, full of these strips"),
)  # fmt: skip
NOTCHES = Field(
    "notches", "Notches for fingers at", "none", takes="LIST",
    hint="Distances that a finger is to feel along the free edge, such as 20,30,40 yd; they take "
    f"{NOTCH_MM:g} mm of the width.",
)  # fmt: skip
FIELDS = (
    print_fields.PAPER, print_fields.POINTER, print_fields.FAR_END, print_fields.WIDTH,
    Field(
        "distances", "Distances", "each yd from 5 to a little past the trusted one",
        "each m from 5 to a little past the trusted one", "From:to:step, or a list.", takes="LIST",
    ),
    BETWEEN,
    STEP,
    NUMBER_EVERY,
    print_fields.LENGTH,
    SIDE_SCALE,
    LABELS,
    NOTCHES,
    RULES,
    Field("wheel", "Wheel, diameter", "none", takes="DIAMETER",
          hint="Only for a tape on a wheel whose readings were taken on the bare wheel."),
    Field("thickness", "Strip, thickness", "0.15 mm", hint="On a wheel.", takes="LENGTH"),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class MadeTape:
    """A tape in numbers, its sentences, and the units both are in."""

    plan: PlannedTape
    words: TapeWords
    units: Units
    date: str = ""


def usual_ticks(answer: Answer, asked_m: tuple[float, ...], units: Units) -> tuple[float, ...]:
    """Distances of a tape's ticks in the unit printed; unless asked, a little past the trusted."""
    if asked_m:
        return in_units(asked_m, units)
    last = tape_end(answer, UNITS[units.distance].factor)
    return tuple(float(distance) for distance in range(5, last + 1))


def in_units(distances_m: tuple[float, ...], units: Units) -> tuple[float, ...]:
    """Distances in a person's unit, without needless digits."""
    return tuple(round(in_unit(distance_m, units.distance), 6) for distance_m in distances_m)


def tape_order(rig: Rig, ticks: tuple[float, ...], units: Units, wish: Wish) -> TapeOrder:
    """What kind of tape was asked for."""
    said, read = wish.said, wish.read
    wheel_mm = wish.length_mm("wheel")
    thickness_mm = wish.length_mm("thickness")
    has_side = wish.choice(SIDE_SCALE) == "yes"
    usual_mm = print_fields.usual_width_mm(len(rig.sight.pins_below_first_m))
    order = TapeOrder(
        unit="m" if units.distance == "m" else "yd",
        distances=ticks,
        between=read(BETWEEN.name, lambda: _between(said, units), None),
        step_mm=read("step", lambda: _step_mm(said), None),
        width_mm=wish.length_mm("width") or usual_mm + (SIDE_MM if has_side else 0.0),
        length_mm=wish.length_mm("length"),
        pointer=print_fields.read_pointer(wish, rig.hand),
        far_end=print_fields.read_far_end(wish),
        number_every=10 if wish.choice(NUMBER_EVERY) == "10" else 5,
        paper=print_fields.read_paper(wish),
        proof_mm=wish.proof_mm,
        wheel_mm=None
        if wheel_mm is None
        else (wheel_mm, USUAL_THICKNESS_MM if thickness_mm is None else thickness_mm),
        side_scale=has_side,
        labels=wish.choice(LABELS) == "yes",
    )
    check_look(order, wish)
    return order


def check_look(order: TapeOrder, wish: Wish) -> None:
    """Refuse each part of an order that cannot be drawn."""
    wish.read("width", lambda: order.look, None)
    wish.read("wheel", lambda: order.wrap, None)
    wish.read("printer", lambda: order.correction, None)


def _step_mm(said: Said) -> float | None:
    step_m = said.quantity_if_said(STEP)
    return None if step_m is None else 1e3 * step_m


def _between(said: Said, units: Units) -> tuple[float, float] | None:
    if not said.text(BETWEEN.name):
        return None
    near, far = in_units(said_ends(said, units), units)
    return near, far


def _order(answer: Answer, wish: Wish) -> TapeOrder:
    nobody: tuple[tuple[float, ...], Units] = ((), wish.units)
    asked = partial(PRINT.asked, wish.said, wish.units)
    asked_m, units = wish.read("distances", asked, nobody)
    none: tuple[float, ...] = ()
    rules = wish.read("rules", lambda: read_rules(wish.said, answer.rig), answer.rig.rules)
    notches = wish.read("notches", lambda: _notches(wish.said, units), none)
    ticks = tuple(sorted({*usual_ticks(answer, asked_m, units), *notches}))
    rig = _with_one_pin(answer.rig) if "one_pin" in rules else answer.rig
    order = tape_order(rig, ticks, units, wish)
    if notches and not wish.said.text("width"):
        order = replace(order, width_mm=order.width_mm + NOTCH_MM)
    wish.read("labels", lambda: _refuse_film(order, rules), None)
    wish.read("notches", lambda: replace(order, notches=notches).look, None)
    return replace(order, notches=notches, rules=rules)


def _with_one_pin(rig: Rig) -> Rig:
    return replace(rig, sight=replace(rig.sight, pins_below_first_m=()))


def _notches(said: Said, units: Units) -> tuple[float, ...]:
    """Distances to be notched, in the unit printed."""
    text = said.text("notches")
    if not text or text.casefold() == NOTCHES.usual:
        return ()
    asked = said.asked_distances("notches", unit=units.distance)
    return in_units(asked.distances_m, units)


def _refuse_film(order: TapeOrder, rules: tuple[str, ...]) -> None:
    if order.labels and "paper_only" in rules:
        raise BadInput("labels", "“paper only” is ticked, and film is none", "Leave it out")


def _make(answer: Answer, order: TapeOrder, date: str) -> MadeTape:
    units = BY_DISTANCE[order.unit]
    plan = plan_tape(answer, order)
    return MadeTape(plan, tape_words(plan, units, date), units, date)


def _files(made: MadeTape, formats: tuple[str, ...]) -> Files:
    if "paper_only" in made.plan.order.rules and {"dxf", "cut.svg"} & set(formats):
        wrong = "“paper only” is ticked, and this is a file for a machine"
        raise BadInput("rules", wrong, "Print the PDF, or say none here")
    return print_tape(made.plan, made.words, formats, made.date)


def _tell(made: MadeTape) -> Blocks:
    """How far it is to be trusted, what speaks against it, and which strips there are."""
    plan, words = made.plan, made.words
    names = paper_notes(plan.answer.rig.name, plan.answer.fingerprint)
    ruled = rules_words(plan.order.rules)
    notes = (*tape_cautions(plan, made.units), *limit_notes(plan), *ruled, *names)
    strips = f"Strips: {'; '.join(words.strip_names)}. {check_note(plan)}. {words.advice[1]}"
    trust = trust_words(plan.answer, made.units)
    if plan.answer.trusted_m[0]:
        trust = f"{trust} {STUCK}"
    return (trust, *map(Mind, notes), strips, *coarse_words(plan, words), *notch_words(plan))


def _write(made: MadeTape) -> dict[str, Any]:
    record = printed_record(made.plan, made.words.strip_names, made.date)
    told = {} if record is None else record_dict(record)
    lengths_mm = [round(length, 3) for length in made.plan.lengths_mm]
    return (
        {"schema": SCHEMA, "fingerprint": made.plan.answer.fingerprint}
        | told
        | {
            f"between_{made.plan.order.unit}": list(made.plan.between),
            "strip_names": list(made.words.strip_feet),
            "check_lengths_mm": lengths_mm,
            "spans_mm": lengths_mm,  # by the name of earlier versions
            f"notches_{made.plan.order.unit}": [one for one, why in made.plan.notched if not why],
            "not_notched": [
                {f"distance_{made.plan.order.unit}": one, "why": why}
                for one, why in made.plan.notched
                if why
            ],
            "rules": list(made.plan.order.rules),
            "align_at_mm": round(made.plan.near_mm, 3),
            **{
                f"align_at_{key}": value
                for key, value in dial_json(made.plan.answer.tape, 1e-3 * made.plan.near_mm).items()
            },
        }
    )


def _seen(made: MadeTape) -> str:
    """The middle strip in words."""
    plan, unit = made.plan, made.plan.order.unit
    near, far = plan.kept(1, 0)[0][0], plan.kept(1, 0)[-1][0]
    pins = len(plan.answer.trusted_m)
    columns = f", {pins} pins" if pins > 1 else ""
    return (
        f"Middle strip, {plan.order.width_mm:g} mm wide{columns}: "
        f"ticks from {near:g} to {far:g} {unit}"
    )


def _for_rig(rig: Rig) -> tuple[Field, ...]:
    further = 0 if "one_pin" in rig.rules else len(rig.sight.pins_below_first_m)
    usual_mm = print_fields.usual_width_mm(further)
    width = replace(print_fields.WIDTH, usual=f"{usual_mm:g} mm")
    return print_fields.in_place(FIELDS, print_fields.pointer_of(rig.hand), width)


PRINT: Print[Answer, TapeOrder, MadeTape] = Print(
    "tape",
    "Print the sight tape, at true length.",
    "On the sheet stand the likeliest strip and its two neighbours. Ticks past the trusted "
    "distance are drawn lighter. Measure the two 100 mm proof rulers before you cut; if they are "
    "off, print again with --proof. Beside it a record is left, a .tape.json: name it with --tape, "
    "and what the tape shows may be written down in place of readings.",
    FIELDS, ("pdf", "svg", "dxf", "cut.svg", RECORD), ("pdf", "svg"),
    _order, _make, _files, _tell,
    beside=(RECORD,),
    is_of_answer=True, asks_units=True,
    write=_write, preview=lambda made: tape_preview(made.plan, made.words), seen=_seen,
    open_fields=5, for_rig=_for_rig,
)  # fmt: skip


def tape_record(made: MadeTape) -> str:
    """What stands on its strips, as the text of a file; empty of strips with one tick only."""
    record = printed_record(made.plan, made.words.strip_names, made.date)
    return "" if record is None else record_text(record)

"""Tape: the sight tape of a rig: its look chosen, seen at once, taken home as a file.

Holds:  /rigs/{rig_id}/tape, its preview and its files; the print noted.
Never:  how a strip is drawn (drawing), what a text means (faces/orders.py).
"""

from dataclasses import dataclass
from functools import lru_cache

from fastapi import APIRouter
from fastapi.responses import Response
from starlette.exceptions import HTTPException

from tapewright.faces.kept import Kept
from tapewright.faces.orders import USUAL_WIDTH_MM, asked_ticks, tape_order, usual_ticks
from tapewright.faces.web.answers import Known
from tapewright.faces.web.forms import Form
from tapewright.faces.web.printing import (
    check_look,
    choices,
    chosen_printer,
    faulty,
    note_print,
    picture,
    proof_of,
    refuse,
    send,
    shared,
)
from tapewright.faces.web.visit import At, Fields, Visit
from tapewright.ground.errors import LaunchUnreachable, TapewrightError
from tapewright.services.equip import Rig
from tapewright.services.print_tape import (
    PlannedTape,
    TapeOrder,
    TapeWords,
    can_engrave,
    plan_tape,
    print_tape,
    tape_preview,
)
from tapewright.words.answer import trust_words
from tapewright.words.blocks import Mind
from tapewright.words.tape import limit_notes, tape_cautions, tape_words
from tapewright.words.units import Units

ROUTER = APIRouter(include_in_schema=False)

MORE = ("span", "step", "number_every", "length", "wheel", "thickness")
LOOK = ("paper", "printer", "pointer", "far_end", "distances", "width", *MORE)
MOST_TAPES = 32


@dataclass(frozen=True, slots=True)
class _Made:
    """A tape in numbers, its sentences, and the likeliest strip as SVG."""

    plan: PlannedTape
    words: TapeWords
    preview: str


@dataclass(frozen=True, slots=True)
class _Tape:
    """A tape and the units it is in."""

    made: _Made
    units: Units


@ROUTER.get("/rigs/{rig_id}/tape")
def tape_page(at: At, rig_id: str) -> Response:
    """Choose the look and see the strip."""
    rig = at.rig(rig_id)
    form, kept = choices(at, LOOK), at.kept(rig_id)
    tape = _tape(at, kept, form)
    things = shared(at, rig_id, "tape", form, kept.rig.hand) | {
        "usual_width": f"{_usual_width_mm(kept.rig):g} mm",
        "engraves": can_engrave(),
        "more_said": any(form[name] for name in MORE),
    }
    if tape is None:
        return at.page("tape.html", rig=rig, trust="", **things)
    plan = tape.made.plan
    notes = (*tape_cautions(plan, tape.units), *limit_notes(plan))
    return at.page(
        "tape.html",
        rig=rig,
        trust=trust_words(plan.answer, tape.units),
        strips=tuple(zip(tape.made.words.strip_names, tape.made.words.advice, strict=True)),
        cautions=tuple(Mind(one) for one in notes),
        seen=_seen(tape),
        **things,
    )


@ROUTER.post("/rigs/{rig_id}/tape")
def tape_printed(at: At, rig_id: str, fields: Fields) -> Response:
    """Note that this tape is printed, and hand it over."""
    at.rig(rig_id)
    form = choices(at, LOOK, fields)
    tape = _tape(at, at.kept(rig_id), form)
    if tape is None:
        return faulty(at, form)
    print_tape(tape.made.plan, tape.made.words, ("pdf",))  # what cannot be printed is not noted
    return note_print(at, rig_id, "tape", form, tape.made.plan.answer.fingerprint)


@ROUTER.get("/rigs/{rig_id}/strip.svg")
def strip_picture(at: At, rig_id: str) -> Response:
    """The likeliest strip, as it is printed."""
    at.rig(rig_id)
    form = choices(at, LOOK)
    tape = _tape(at, at.kept(rig_id), form)
    return faulty(at, form) if tape is None else picture(tape.made.preview)


@ROUTER.get("/rigs/{rig_id}/tape.{ending}")
def tape_file(at: At, rig_id: str, ending: str) -> Response:
    """The tape as a file; nothing is noted."""
    if ending not in ("pdf", "svg", "dxf"):
        raise HTTPException(404)
    at.rig(rig_id)
    form = choices(at, LOOK)
    tape = _tape(at, at.kept(rig_id), form)
    if tape is None:
        return faulty(at, form)
    made = tape.made
    files = print_tape(made.plan, made.words, (ending,))
    return send(files, f"{made.plan.answer.rig.name}-tape")


def _tape(at: Visit, kept: Kept, form: Form) -> _Tape | None:
    """The tape asked for; None with the faults in the form."""
    proof_mm = proof_of(chosen_printer(at, form))
    nothing: tuple[tuple[float, ...], Units] = ((), at.units)
    asked_m, units = form.read("distances", lambda: asked_ticks(form.said, at.units), nothing)
    try:
        answer = at.desk.answers.of(kept, units)
        ticks = usual_ticks(answer, asked_m, units)
        order = tape_order(answer.rig, ticks, units, form.said, proof_mm, form.read)
        check_look(form, order)
        if not form.is_good:
            return None

        return _Tape(_made(Known(answer), order, units, at.today), units)
    except LaunchUnreachable as refused:
        form.refuse("distances", refused)
    except TapewrightError as refused:
        refuse(form, refused)
    return None


@lru_cache(maxsize=MOST_TAPES)
def _made(known: Known, order: TapeOrder, units: Units, today: str) -> _Made:
    plan = plan_tape(known.answer, order)
    words = tape_words(plan, units, today)
    return _Made(plan, words, tape_preview(plan, words))


def _usual_width_mm(rig: Rig) -> float:
    return USUAL_WIDTH_MM[min(len(rig.sight.pins_below_first_m), 4)]


def _seen(tape: _Tape) -> str:
    """The preview in words."""
    plan, unit = tape.made.plan, tape.made.plan.order.unit
    near, far = plan.kept(1, 0)[0][0], plan.kept(1, 0)[-1][0]
    pins = len(plan.answer.trusted_m)
    columns = f", {pins} pins" if pins > 1 else ""
    return (
        f"Middle strip, {plan.order.width_mm:g} mm wide{columns}: "
        f"ticks from {near:g} to {far:g} {unit}, {tape.made.words.strip_names[1]}"
    )

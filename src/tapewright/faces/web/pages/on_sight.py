"""On sight: what is on a rig's sight: a tape that was stuck on, or its own numbers.

Holds:  /rigs/{rig_id}/on-sight: looking, sticking a printed strip on, taking it off.
Never:  what a tape shows (words/on_sight.py), which tapes are kept (faces/kept_tapes.py).
"""

from dataclasses import dataclass

from fastapi import APIRouter
from fastapi.responses import Response

from tapewright.faces import kept_tapes
from tapewright.faces.kept_rigs import setup_now
from tapewright.faces.kept_tapes import OnSight
from tapewright.faces.settings import new_id
from tapewright.faces.web.forms import Form
from tapewright.faces.web.page_request import At, Fields, Files, PageRequest
from tapewright.faces.web.sessions import kept_of_rig
from tapewright.ground.errors import BadInput, EditedMeanwhile, TapewrightError
from tapewright.reading.text_file import decode_text
from tapewright.reading.typed_reading import read_reading
from tapewright.services.keep import (
    Entry,
    KeptCalibration,
    KeptPrint,
    KeptRig,
    KeptTape,
    Notebook,
    kept_as,
)
from tapewright.services.rebuild_tape import record_from_kept
from tapewright.services.stick_tape import TapeRecord, read_record, record_text
from tapewright.words.numbers import plain
from tapewright.words.on_sight import shown_words
from tapewright.words.quantities import in_unit, read_distances, with_unit

ROUTER = APIRouter(include_in_schema=False)

NAMES = ("print", "strip", "tick", "at", "stuck_on", "entry", "record")


@dataclass(frozen=True, slots=True)
class Offered:
    """A print that may be stuck on."""

    record: TapeRecord
    text: str  # the same, as it is kept

    @property
    def strips(self) -> tuple[tuple[str, str], ...]:
        """Place and name of each strip."""
        return tuple((str(place), name) for place, name in enumerate(self.record.names, 1))

    @property
    def likeliest(self) -> int:
        """Place of the strip in the middle."""
        return len(self.record.names) // 2 + 1

    @property
    def tick_m(self) -> float:
        """Distance of the tick by which the sheet says to align it. [m]"""
        said_m = self.record.stuck.tick_m
        return self.record.strips[0][0].distances_m[0] if said_m is None else said_m

    @property
    def tick(self) -> str:
        """That tick, as the tape has it."""
        return plain(in_unit(self.tick_m, self.record.unit), 1)


@ROUTER.get("/rigs/{rig_id}/on-sight")
def on_sight_page(at: At, rig_id: str) -> Response:
    """What is on the sight, and whether a printed tape is on it now."""
    return _page(at, rig_id, Form({name: at.request.query_params.get(name, "") for name in NAMES}))


@ROUTER.post("/rigs/{rig_id}/on-sight")
def stick(at: At, rig_id: str, fields: Fields, files: Files) -> Response:
    """Keep that a strip was stuck on; from then on readings are what it shows."""
    at.rig(rig_id)
    form = Form({name: fields.get(name, "").strip() for name in NAMES})
    name, raw = files.get("file", ("", b""))
    if raw:
        form.texts["record"] = form.read("record", lambda: decode_text(raw, name, BadInput), "")
    offered = _offered(at, rig_id, form)
    body = (
        None if offered is None else form.read("", lambda: _body(at, rig_id, form, offered), None)
    )
    if body is None or not form.is_good:
        return _page(at, rig_id, form)
    entry_id = form["entry"] or new_id()
    try:
        at.notebook.add(body, rig_id=rig_id, now=at.now, entry_id=entry_id)
    except EditedMeanwhile:  # the same form, sent twice
        return at.go(f"/rigs/{rig_id}/on-sight")
    return at.changed(rig_id, "/on-sight")


@ROUTER.post("/rigs/{rig_id}/on-sight/{tape_id}/off")
def take_off(at: At, rig_id: str, tape_id: str) -> Response:
    """Keep that a tape came off: readings are those of the sight again."""
    entry = kept_of_rig(at, rig_id, tape_id)
    kept_as(entry, KeptTape)
    on = _now(at, rig_id)
    if on is None or on.entry.id != tape_id:
        return at.go(f"/rigs/{rig_id}/on-sight")
    at.notebook.save_all([kept_tapes.taken_off(on, at.today)], now=at.now)
    return at.changed(rig_id, "/on-sight")


def _body(at: PageRequest, rig_id: str, form: Form, offered: Offered) -> KeptTape:
    """What is to be kept of a strip that was stuck on."""
    strip = form.said.whole("strip", offered.likeliest, (1, len(offered.record.names)))
    day = form["stuck_on"] or at.today
    tape = at.kept(rig_id).rig.sight.tape
    tick_m = at_m = None
    if form["tick"] or form["at"]:
        text = with_unit(form["tick"] or offered.tick, offered.record.unit)
        tick_m = form.read("tick", lambda: read_distances(text, "tick").distances_m[0], None)
    if form["at"]:
        at_m = form.read("at", lambda: read_reading(form["at"], tape, 1, "at"), None)
    setup = setup_now(at.notebook, rig_id)
    return kept_tapes.stick_on(
        at.notebook, rig_id, offered.text, strip, tape, setup, day, tick_m, at_m
    )


def _offered(at: PageRequest, rig_id: str, form: Form) -> Offered | None:
    """The print chosen, or the file sent; None with the fault in the form, or if there is none."""
    try:
        if form["record"]:
            return Offered(read_record(form["record"], "record"), form["record"])
        prints = kept_tapes.prints_of(at.notebook, rig_id)
        chosen = next((one for one in prints if one.id == form["print"]), None) or next(
            iter(prints), None
        )
        if chosen is None:
            return None
        form.texts["print"] = chosen.id
        text = _record_of(at.notebook, at.rig(rig_id), chosen)
        return Offered(read_record(text, "record"), text)
    except TapewrightError as refused:
        form.refuse("print", refused)
        return None


def _now(at: PageRequest, rig_id: str) -> OnSight | None:
    """The tape that is on the sight now."""
    return kept_tapes.tape_on(at.notebook, rig_id, at.kept(rig_id).rig.sight.tape)


def _page(at: PageRequest, rig_id: str, form: Form) -> Response:
    on, prints = _now(at, rig_id), kept_tapes.prints_of(at.notebook, rig_id)
    offered = _offered(at, rig_id, form)
    form.texts["strip"] = form["strip"] or (str(offered.likeliest) if offered else "")
    return at.page(
        "on_sight.html",
        rig=at.rig(rig_id),
        on=on,
        unread=kept_tapes.unread_tapes(at.notebook, rig_id),
        before=_before(at, rig_id, on),
        offered=offered,
        prints=[(one.id, f"printed {kept_as(one, KeptPrint).printed_on}") for one in prints],
        was=_was(offered, on),
        form=form,
        entry=form["entry"] or new_id(),
    )


def _before(at: PageRequest, rig_id: str, on: OnSight | None) -> list[OnSight]:
    """Tapes that were on before, the last first."""
    others = (
        one
        for one in reversed(kept_tapes.tapes_of(at.notebook, rig_id))
        if on is None or one.entry.id != on.entry.id
    )
    return list(others)


def _was(offered: Offered | None, on: OnSight | None) -> str:
    """What the pointer showed when the strip was aligned as the sheet says."""
    if offered is None:
        return ""
    at_m = offered.record.tape().reading_of(offered.tick_m)
    if on is not None:
        return shown_words(on.tape, at_m)
    return f"{1e3 * at_m:.1f} mm"


def _record_of(notebook: Notebook, rig: Entry, printed: Entry) -> str:
    """The record of a printed tape; of a print without one rebuilt from what was kept with it.

    BadInput where that is not enough: then it is asked for.
    """
    body = kept_as(printed, KeptPrint)
    if body.record_text:
        return body.record_text
    made_from = (notebook.entry(one.entry_id, one.number).body for one in printed.sources)
    kept = next((one for one in made_from if isinstance(one, KeptCalibration)), None)
    try:
        return record_text(record_from_kept(kept_as(rig, KeptRig).name, body, kept))
    except BadInput as refused:
        wrong = f"the tape printed {body.printed_on} has no record, and {refused.wrong}"
        mend = "Take in the file .tape.json that was written beside it, or print a new one"
        raise BadInput("print", wrong, mend) from None

"""Setup: the set-up record of a bow, the tick list after a journey, its photograph and its card.

Holds:  /rigs/{rig_id}/setup with its forms, its picture and its print; a bow taken apart.
Never:  what a deviation means (questions/setup.py), what is kept of it (faces/kept_setup.py).
"""

from collections.abc import Sequence
from dataclasses import replace

from fastapi import APIRouter
from fastapi.responses import Response
from starlette.exceptions import HTTPException

from tapewright.faces.kept_rigs import rig_of
from tapewright.faces.kept_setup import (
    SetUpKept,
    is_put_together,
    picture_body,
    put_together,
    set_up_kept,
)
from tapewright.faces.settings import new_id
from tapewright.faces.web.forms import Form, seen_number
from tapewright.faces.web.page_request import At, Fields, Files, PageRequest
from tapewright.faces.web.pages.question import find
from tapewright.faces.web.print_choices import send
from tapewright.faces.web.sheet_forms import Typed, record_sections, typed_lines
from tapewright.ground.errors import BadInput, EditedMeanwhile, TapewrightError
from tapewright.printing.print_fields import PaperName
from tapewright.printing.setup import setup_files
from tapewright.questions.setup import QUESTION as SETUP
from tapewright.questions.setup import Found, record_rows, refuse_useless, string_words
from tapewright.reading.set_up_record import MOST_BYTES, read_set_up, typed_set_up
from tapewright.reading.set_up_record_fields import SET_UP
from tapewright.reading.sheet_form_lines import SheetLine, sheet_lines, sheet_values
from tapewright.services.equip import Rig, kind_of
from tapewright.services.keep import Entry, KeptSetup
from tapewright.services.keep_picture import picture_to_keep
from tapewright.words.answer_blocks import Table

ROUTER = APIRouter(include_in_schema=False)

NOT_AGAIN = ("name", "photo", "string.string")  # lines that nobody measures twice
NOT_HERE = ("name", "photo")  # lines of a file alone: the notebook knows both


@ROUTER.get("/rigs/{rig_id}/setup")
def setup_page(at: At, rig_id: str) -> Response:
    """What is recorded, what has moved since, and what the near group says."""
    return _page(at, rig_id)


def _there(at: PageRequest, rig_id: str) -> SetUpKept:
    return set_up_kept(at.notebook, rig_id)


def _page(at: PageRequest, rig_id: str, picture: Form | None = None) -> Response:
    there, rig = _there(at, rig_id), at.rig(rig_id)
    form = Form()  # no field of the question stands on the page
    found: Found | None = None
    if there.record:
        found = form.read("", lambda: find(at, at.answer(rig_id), "setup", form, rig_id), None)
    return at.page(
        "setup.html",
        rig=rig, there=there, form=form, picture=picture or Form(),
        blocks=SETUP.tell(found, at.units) if found else (),
        recorded=_recorded(at, found, rig_of(rig)) if found else None,
        string=string_words(found.record) if found else "",
        near=found.reassembly.near.verdict if found else "",
        is_apart=is_put_together(at.notebook, rig_id),
        status=422 if picture and picture.faults else None,
    )  # fmt: skip


def _recorded(at: PageRequest, found: Found, rig: Rig) -> Table:
    heads = ("what", "recorded", "±", "moved from")
    return Table("The record", heads, record_rows(found.record, rig, at.units))


@ROUTER.get("/rigs/{rig_id}/setup/record")
@ROUTER.get("/rigs/{rig_id}/setup/again")
def setup_form(at: At, rig_id: str) -> Response:
    """The record to be written or mended, or the tick list, nothing in it yet."""
    there, which = _there(at, at.rig(rig_id).id), at.way
    if which == "again" and there.record is None:
        return at.go(f"/rigs/{rig_id}/setup/record")
    texts: dict[str, str] = {"measured_on": at.today}
    if which == "record" and there.record:
        texts = _values(there.record_text)
    return _form_page(at, rig_id, which, Typed(Form(texts), "", None, {}, is_text=False))


def _values(text: str) -> dict[str, str]:
    """What stands in the lines of a kept record; nothing of one that cannot be read."""
    try:
        read_set_up(text)
    except TapewrightError:
        return {}
    return sheet_values(text, SET_UP)


def _form_page(
    at: PageRequest, rig_id: str, which: str, typed: Typed, *, newer: bool = False
) -> Response:
    rig, there = at.rig(rig_id), _there(at, rig_id)
    lines = _lines(which, typed, there, rig_of(rig))
    return at.page(
        "setup_form.html",
        rig=rig, which=which, typed=typed, form=typed.form, newer=newer, fresh=new_id(),
        groups=record_sections(typed, SET_UP, lines),
        seen=there.record.number if there.record and which == "record" else 0,
    )  # fmt: skip


def _lines(which: str, typed: Typed, there: SetUpKept, rig: Rig) -> Sequence[SheetLine]:
    """Lines of what a bow of this kind has; of the tick list those that are recorded."""
    kind, values = kind_of(rig.bow), _values(there.record_text)
    every = [line for line in sheet_lines(typed.form.texts, SET_UP) if line.entry.is_of(kind)]
    if which == "record":
        return [line for line in every if line.key not in NOT_HERE]
    day_first = ("measured_on", "note")
    recorded = (line for line in every if line.key in day_first or values.get(line.key))
    return [
        replace(line, entry=replace(line.entry, left_open=f"not measured. Recorded: {was}"))
        if line.key not in day_first and (was := values[line.key])
        else line
        for line in recorded
        if line.key not in NOT_AGAIN
    ]


@ROUTER.post("/rigs/{rig_id}/setup/photo")
def keep_photo(at: At, rig_id: str, files: Files) -> Response:
    """Keep a photograph of the bow, made small and without where it was taken."""
    form, rig = Form({"picture": ""}), at.rig(rig_id)
    name, content = next((file for file in files.values() if file[1]), ("", b""))
    if not content:
        form.refuse("picture", BadInput("picture", "no picture was sent", "Take or choose one"))
    else:
        jpeg = form.read("picture", lambda: picture_to_keep(content, name or "photograph"), b"")
        if jpeg:
            body = picture_body(jpeg, at.today)
            at.notebook.add(body, entry_id=new_id(), now=at.now, rig_id=rig.id)
            return at.go(f"/rigs/{rig_id}/setup#photo")
    return _page(at, rig_id, form)


@ROUTER.get("/rigs/{rig_id}/setup/photo.jpg")
def photo(at: At, rig_id: str) -> Response:
    """The photograph as it is kept."""
    jpeg = _there(at, at.rig(rig_id).id).jpeg
    if not jpeg:
        raise HTTPException(404)
    return Response(jpeg, 200, media_type="image/jpeg")


@ROUTER.get("/rigs/{rig_id}/setup/card.pdf")
def card(at: At, rig_id: str) -> Response:
    """The set-up card on one page."""
    there, rig = _there(at, rig_id), rig_of(at.rig(rig_id))
    if there.record is None:
        raise HTTPException(404)
    paper: PaperName = "Letter" if at.units.distance == "yd" else "A4"
    files = setup_files(read_set_up(there.record_text), rig, at.units, at.today, paper)
    return send(files, f"{rig.name}-setup")


@ROUTER.post("/rigs/{rig_id}/setup/apart")
def taken_apart(at: At, rig_id: str, fields: Fields) -> Response:
    """Note that the bow was taken apart and put together: one near arrow comes first."""
    rig = at.rig(rig_id)
    if seen_number(fields) != rig.number:
        raise EditedMeanwhile(rig)
    put_together(at.notebook, rig, at.now, new_id)
    return at.changed(rig_id, "/setup")


@ROUTER.post("/rigs/{rig_id}/setup/record")
@ROUTER.post("/rigs/{rig_id}/setup/again")
def keep_setup(at: At, rig_id: str, fields: Fields) -> Response:
    """Keep the record, or what was measured again."""
    rig, there, which = at.rig(rig_id), _there(at, rig_id), at.way
    typed = typed_lines(fields, SET_UP, typed_set_up)
    if len(typed.sheet.encode()) > MOST_BYTES:
        typed.form.faults[""] = f"Keep it under {MOST_BYTES // 1000} kB."
    elif typed.form.is_good:
        texts = (there.record_text, typed.sheet) if which == "again" else (typed.sheet,)
        typed.form.read("", lambda: _refuse_useless(rig_of(rig), *texts), None)
    if not typed.form.is_good:
        return _form_page(at, rig_id, which, typed)
    body = KeptSetup(typed.sheet, typed.form["measured_on"] or at.today, which == "again")
    try:
        _keep(at, rig.id, body, there.record, fields)
    except EditedMeanwhile as other:
        if other.newer.body != body:
            return _form_page(at, rig_id, which, typed, newer=True)
        # else the same form, sent twice
    return at.go(f"/rigs/{rig_id}/setup")


def _refuse_useless(rig: Rig, record: str, again: str = "") -> None:
    """Refuse what would be kept and told nothing by."""
    refuse_useless(rig, read_set_up(record), read_set_up(again) if again else None, str)


def _keep(
    at: PageRequest, rig_id: str, body: KeptSetup, record: Entry | None, fields: Fields
) -> None:
    if record is None or body.is_again:
        at.notebook.add(body, entry_id=fields.get("fresh") or new_id(), now=at.now, rig_id=rig_id)
    elif record.body != body:
        at.notebook.save(record.id, body, seen=seen_number(fields), now=at.now)

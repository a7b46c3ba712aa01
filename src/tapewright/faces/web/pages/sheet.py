"""Sheet: the rig sheet as a form or as text, for a new rig and for one that is kept.

Holds:  /rigs/new, /rigs/new/file, /rigs/{rig_id}/sheet; what saving asks.
Never:  what a line means (reading/rig_sheet_fields.py), what a change does (change.py).
"""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Any

from fastapi import APIRouter
from fastapi.responses import Response

from tapewright.faces.kept_house import kinds_in
from tapewright.faces.kept_rigs import next_setup, rig_of, session_writes
from tapewright.faces.settings import new_id
from tapewright.faces.web import sheet_forms
from tapewright.faces.web.forms import Form
from tapewright.faces.web.page_request import At, Fields, Files, PageRequest
from tapewright.faces.web.phone_sync.parked import parked_of
from tapewright.faces.web.sheet_forms import Typed, read_typed, sections
from tapewright.ground import errors
from tapewright.reading.rig_sheet import MOST_BYTES, new_rig_sheet, read_rig_sheet
from tapewright.reading.sheet_form_lines import has_comments
from tapewright.reading.shots_reader import read_shots
from tapewright.reading.text_file import decode_text
from tapewright.services import keep
from tapewright.services.equip import Rig
from tapewright.services.keep import Entry, Write, kept_as

ROUTER = APIRouter(include_in_schema=False)

MOST_WORDS = 500  # letters of what was changed
# Beside which field of the files a refusal stands.
FAULT_AT = ((errors.BadShots, "shots"), (errors.BadRigSheet, "sheet"), (errors.BadInput, "shot_on"))
SHOWN = {"saved": False, "looked": False, "both": (), "newer_sheet": ""}  # unless said


@ROUTER.get("/rigs/new")
def new_page(
    at: At,
    text: bool = False,  # noqa: FBT001, FBT002 — part of the address
    kind: str = "",
) -> Response:
    """An empty sheet: the few lines to begin with, the rest folded away; or a text to fill in."""
    known = kind if kind in sheet_forms.KINDS else ""
    sheet = new_rig_sheet("Heron", "right", at.units.distance == "m", known) if text else ""
    return _new(at, sheet_forms.blank_typed(sheet, known), new_id(), kind=known)


@ROUTER.post("/rigs/new")
def keep_new(at: At, fields: Fields) -> Response:
    """Keep a new rig; a form that was sent twice is kept once."""
    typed, fresh = read_typed(fields), fields.get("fresh") or new_id()
    if typed.rig is None or "look" in fields:
        return _new(at, typed, fresh, looked=typed.rig is not None)
    body = keep.KeptRig(typed.sheet, typed.rig.name)
    try:
        at.notebook.add(body, now=at.now, entry_id=fresh)
    except errors.EditedMeanwhile as there:
        if there.newer.body == body:
            return at.go(f"/rigs/{fresh}")
        typed.form.faults[""] = "This form was kept before. Keep it again to make another rig."
        return _new(at, typed, new_id(), status=409)
    return at.changed(fresh, _after(typed))


def _new(at: PageRequest, typed: Typed, fresh: str, **more: Any) -> Response:  # noqa: ANN401 — for the template
    things = {"form": typed.form, "groups": sections(typed, is_new=True), "looked": False}
    things |= {"kind": typed.form["bow.kind"], "bow_kinds": sheet_forms.KINDS}
    things |= {"kinds": kinds_in(at.notebook)}
    return at.page("sheet_new.html", typed=typed, fresh=fresh, **(things | more))


@ROUTER.get("/rigs/new/file")
def file_page(at: At) -> Response:
    """Ask for a rig sheet as a file, and the shots if there are any."""
    return at.page("sheet_file.html", form=Form({"shot_on": at.today}))


@ROUTER.post("/rigs/new/file")
def keep_files(at: At, fields: Fields, files: Files) -> Response:
    """Keep a rig from its file, with the groups of a file of shots: all or nothing."""
    form = Form({"shot_on": at.today, "sheet": "", "shots": ""} | fields)
    rig_id, nothing = new_id(), ("", b"")
    try:
        day = at.past_day(form["shot_on"], "shot_on")
        rig, sheet = _file_rig(*files.get("sheet", nothing))
        writes = [Write(rig_id, keep.KeptRig(sheet, rig.name))]
        writes += _file_shots(*files.get("shots", nothing), rig, rig_id, day)
    except errors.TapewrightError as refused:
        place = next((name for kind, name in FAULT_AT if isinstance(refused, kind)), "")
        form.faults[place] = str(refused)
        return at.page("sheet_file.html", form=form)
    at.notebook.save_all(writes, now=at.now)
    return at.changed(rig_id)


def _file_rig(name: str, raw: bytes) -> tuple[Rig, str]:
    if not raw:
        mend = "Choose a rig sheet, such as heron.toml"
        raise errors.BadRigSheet("sheet", "no file was chosen", mend)
    name = name or "sheet"
    if len(raw) > MOST_BYTES:
        wrong = f"the file is larger than {MOST_BYTES // 1000} kB"
        raise errors.BadRigSheet(name, wrong, "Check that it is the right one")
    sheet = decode_text(raw, name, errors.BadRigSheet)
    return read_rig_sheet(sheet, name)[0], sheet


def _file_shots(name: str, raw: bytes, rig: Rig, rig_id: str, shot_on: str) -> list[Write]:
    """A session with its groups; nothing if no file was chosen."""
    if not raw:
        return []
    observations, _ = read_shots(decode_text(raw, name, errors.BadShots), name, rig)
    session = keep.KeptSession(shot_on, "sighting", f"From the file {name}"[:MOST_WORDS], 0)
    return session_writes(rig_id, session, observations)


@ROUTER.get("/rigs/{rig_id}/sheet")
def sheet_page(at: At, rig_id: str) -> Response:
    """The kept sheet, to be read and edited."""
    rig, asked = at.rig(rig_id), at.request.query_params
    sheet = kept_as(rig, keep.KeptRig).sheet
    typed = sheet_forms.kept_text(sheet) if "text" in asked else sheet_forms.kept_values(sheet)
    typed.form.texts["why"] = "changed" if asked.get("why") == "changed" else ""
    saved, begin_at = "saved" in asked, asked.get("at", "")
    return _sheet(at, rig, typed, status=200, saved=saved, begin_at=begin_at)


@ROUTER.post("/rigs/{rig_id}/sheet")
def keep_sheet(at: At, rig_id: str, fields: Fields) -> Response:
    """Keep a new version of the sheet: a correction, or a change of the bow."""
    rig, typed = at.rig(rig_id), read_typed(fields)
    if "look" in fields and typed.rig:
        return _sheet(at, rig, typed, looked=True)
    if fields.get("seen") != str(rig.number):
        return _meanwhile(at, rig, typed)
    if _was_shot(at, rig) or typed.form["why"] == "changed":
        _ask_why(rig, typed)
    if typed.rig is None or not typed.form.is_good:
        return _sheet(at, rig, typed)
    is_change = typed.form["why"] == "changed"
    body = keep.KeptRig(typed.sheet, typed.rig.name)
    if body == rig.body and not is_change:
        return at.go(f"/rigs/{rig_id}")
    writes = [Write(rig_id, body, seen=rig.number)]
    if is_change:
        writes.append(_change(at, rig, fields))
    try:
        at.notebook.save_all(writes, now=at.now)
    except errors.EditedMeanwhile as there:
        return _meanwhile(at, there.newer, typed)
    old = kept_as(rig, keep.KeptRig).sheet
    before = sheet_forms.kept_text(old) if typed.is_text else sheet_forms.kept_values(old)
    return at.changed(rig_id, "/change" if is_change else _after(typed, before.notes))


def _after(typed: Typed, before: Mapping[str, str] = MappingProxyType({})) -> str:
    """Where to go after saving: to what is odd, if anything newly is, else to the rig."""
    return "/sheet?saved=1" if typed.is_odd(before) else ""


def _ask_why(rig: Entry, typed: Typed) -> None:
    """Correction or change: only the archer knows, and the arrows hang on it."""
    form = typed.form
    if form["why"] not in ("corrected", "changed"):
        form.faults["why"] = "Say whether you measured better or changed the bow."
    if len(form["words"]) > MOST_WORDS:
        form.faults["words"] = f"Keep it under {MOST_WORDS} letters."
    if form["why"] == "changed" and typed.rig and not form["new_string"]:
        both = rig_of(rig), typed.rig
        before, after = ((one.arrow, one.bow, one.sight, one.air) for one in both)
        if before == after:
            form.faults["why"] = (
                "The sheet tells no difference that reaches a mark. Write what changed into its "
                "lines, or tick the new string."
            )


def _change(at: PageRequest, rig: Entry, fields: Mapping[str, str]) -> Write:
    """The change that a new version of the sheet begins."""
    setup, words = next_setup(at.notebook, rig.id), fields.get("words", "").strip()
    is_new = bool(fields.get("new_string"))
    body = keep.KeptChange(setup, rig.number, rig.number + 1, is_new, words)
    return Write(new_id(), body, rig_id=rig.id)


def _meanwhile(at: PageRequest, newer: Entry, typed: Typed) -> Response:
    """Somebody saved first: both are shown, and saving again saves on top."""
    sheet = kept_as(newer, keep.KeptRig).sheet
    both = () if typed.is_text else sheet_forms.differences(typed, sheet)
    return _sheet(at, newer, typed, status=409, both=both, newer_sheet=sheet)


def _sheet(at: PageRequest, rig: Entry, typed: Typed, **more: Any) -> Response:  # noqa: ANN401 — for the template
    lost = has_comments(kept_as(rig, keep.KeptRig).sheet) and not typed.is_text
    groups = sections(typed, is_new=False, begin_at=more.pop("begin_at", ""))
    things = {"form": typed.form, "groups": groups, "lost": lost, "was_shot": _was_shot(at, rig)}
    things |= {"kinds": kinds_in(at.notebook)}
    return at.page("sheet.html", rig=rig, typed=typed, **(SHOWN | things | more))


def _was_shot(at: PageRequest, rig: Entry) -> bool:
    """Whether arrows hang on why the sheet is another; before the first nobody need say it."""
    put_aside = at.notebook.entries("group", rig.id, withdrawn=True)  # may be taken back
    return bool(at.notebook.entries("group", rig.id) or put_aside or parked_of(at.notebook, rig.id))

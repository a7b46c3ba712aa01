"""Change: what a change of the bow did, what one would do, and two rigs side by side.

Holds:  /rigs/{rig_id}/change with trying and taking back, /rigs/{rig_id}/compare.
Never:  editing and keeping a sheet (sheet.py), what the blocks say (questions).
"""

from dataclasses import dataclass
from functools import lru_cache
from typing import Annotated

from fastapi import APIRouter, Query
from fastapi.responses import Response

from tapewright.faces.kept_rigs import SEED, Kept, rig_of
from tapewright.faces.kept_stops import kept_stops
from tapewright.faces.rig_list import apart
from tapewright.faces.web.calibrations import Known
from tapewright.faces.web.forms import Form
from tapewright.faces.web.page_request import At, Fields, PageRequest
from tapewright.faces.web.sheet_forms import (
    Typed,
    kept_text,
    kept_values,
    read_typed,
    sections,
    sheet_differences,
)
from tapewright.ground.errors import EditedMeanwhile, NotKept, OtherScale, TapewrightError
from tapewright.questions.change import QUESTION as CHANGE
from tapewright.questions.change import Change, Ways
from tapewright.questions.compare import QUESTION as COMPARE
from tapewright.questions.question import Said
from tapewright.services.calibrate_kept import Setup
from tapewright.services.keep import Entry, KeptChange, KeptRig, RigsAsked, Source, kept_as
from tapewright.words.blocks import Blocks, Mind, Table
from tapewright.words.units import Units

ROUTER = APIRouter(include_in_schema=False)

NEXT = Ways(
    "see What to shoot next",
    "write them down under Shoot and look here again",
    "write what you changed into its lines.",
)
MOST_REMEMBERED = 32
MOST_OTHERS = 50  # rigs to choose from; more are looked for


@dataclass(frozen=True, slots=True)
class Told:
    """One change in the list."""

    entry: Entry  # as it is kept
    day: str  # when it was kept
    lines: tuple[tuple[str, str, str], ...]  # lines of the sheet that changed: label, before, after


@ROUTER.get("/rigs/{rig_id}/change")
def change_page(at: At, rig_id: str) -> Response:
    """What the last change did, all changes, and how to make one."""
    rig = at.rig(rig_id)
    changes = at.notebook.entries("change", rig_id)
    form = Form({field.name: "" for field in CHANGE.fields} | dict(at.request.query_params))
    blocks: Blocks = ()
    if changes:
        try:
            blocks = _last_change(at, rig_id, form)
        except TapewrightError as refused:
            _refuse(form, refused)
    return at.page(
        "change.html",
        status=200 if form.is_good else 422,
        rig=rig,
        form=form,
        blocks=blocks,
        changes=[_told(at, one) for one in reversed(changes)],
        gone=[_told(at, one) for one in at.notebook.entries("change", rig_id, withdrawn=True)],
        fields=CHANGE.fields,
    )


def _last_change(at: PageRequest, rig_id: str, form: Form) -> Blocks:
    """The rig before its last change against the rig now."""
    kept = at.kept(rig_id)
    before = Kept(kept.setups[:-1], (*kept.sources, Source("before", len(kept.setups))))
    old = at.app_state.answers.of(before, at.units)
    last = kept.setups[-1]
    return _changed(at, form, Known(old), last)


def _refuse(form: Form, refused: TapewrightError) -> None:
    """Say what a page can say: a sheet that counts differently is no mistake of a field."""
    if isinstance(refused, OtherScale):
        words = f"{refused.wrong}. The marks start afresh from the new sheet and its own arrows."
        form.faults[""] = words[0].upper() + words[1:]
    else:
        form.refuse("", refused)


def _changed(at: PageRequest, form: Form, old: Known, now: Setup) -> Blocks:
    """What a change does: the verdict and the cautions, then the tables behind them."""
    said = tuple((field.name, form[field.name]) for field in CHANGE.fields)
    blocks = _blocks(old, now, said, at.units)
    if old.answer.rig.name == now.rig.name:
        blocks = blocks[1:]
    return tuple(sorted(blocks, key=lambda one: (isinstance(one, Table), isinstance(one, Mind))))


@lru_cache(maxsize=MOST_REMEMBERED)
def _blocks(old: Known, now: Setup, said: tuple[tuple[str, str], ...], units: Units) -> Blocks:
    change = Change(old.answer, now.rig, now.observations, NEXT, now.new_string, SEED)
    return CHANGE.tell(CHANGE.ask(change, Said(dict(said)), units), units)


def _told(at: PageRequest, change: Entry) -> Told:
    body = kept_as(change, KeptChange)
    before, after = (
        kept_as(at.notebook.entry(str(change.rig_id), number), KeptRig).sheet
        for number in (body.from_rig, body.to_rig)
    )
    return Told(change, change.saved_at[:10], sheet_differences(before, after))


@ROUTER.get("/rigs/{rig_id}/change/try")
def try_page(at: At, rig_id: str) -> Response:
    """The sheet as it is, to be changed for a try."""
    sheet = kept_as(at.rig(rig_id), KeptRig).sheet
    return _try(
        at, rig_id, (kept_text if "text" in at.request.query_params else kept_values)(sheet)
    )


@ROUTER.post("/rigs/{rig_id}/change/try")
def try_change(at: At, rig_id: str, fields: Fields) -> Response:
    """Marks and cost of a changed sheet; nothing is kept."""
    typed = read_typed(fields)
    form = typed.form
    blocks: Blocks = ()
    if typed.rig:
        try:
            now = Setup(typed.rig, (), bool(form["new_string"]))
            blocks = _changed(at, form, Known(at.answer(rig_id)), now)
        except TapewrightError as refused:
            _refuse(form, refused)
    return _try(at, rig_id, typed, blocks)


def _try(at: PageRequest, rig_id: str, typed: Typed, blocks: Blocks = ()) -> Response:
    rig = at.rig(rig_id)
    return at.page(
        "change_try.html",
        status=200 if typed.form.is_good else 422,
        rig=rig,
        typed=typed,
        groups=sections(typed, is_new=False),
        blocks=blocks,
        seen=typed.form["seen"] or rig.number,
        same=typed.rig is not None and typed.rig == rig_of(rig) and not typed.form["new_string"],
    )


@ROUTER.post("/rigs/{rig_id}/change/{change_id}/withdraw")
def take_back(at: At, rig_id: str, change_id: str, fields: Fields) -> Response:
    """Take a change back: the arrows before and after it belong together again."""
    change = _change_of(at, rig_id, change_id)
    rig = at.rig(rig_id)
    if fields.get("old_sheet") and fields.get("seen_rig", "") != str(rig.number):
        raise EditedMeanwhile(rig)
    if fields.get("old_sheet"):
        before = at.notebook.entry(rig_id, kept_as(change, KeptChange).from_rig)
        at.notebook.save(rig_id, kept_as(before, KeptRig), seen=rig.number, now=at.now)
    at.notebook.withdraw(change_id, seen=change.number, now=at.now)
    at.recalibrate(rig_id)
    return at.go(f"/rigs/{rig_id}/change")


@ROUTER.post("/rigs/{rig_id}/change/{change_id}/restore")
def bring_back(at: At, rig_id: str, change_id: str) -> Response:
    """Count a change again that was taken back."""
    change = _change_of(at, rig_id, change_id)
    at.notebook.restore(change_id, seen=change.number, now=at.now)
    at.recalibrate(rig_id)
    return at.go(f"/rigs/{rig_id}/change")


def _change_of(at: PageRequest, rig_id: str, change_id: str) -> Entry:
    """A change of this rig and no other. NotKept else."""
    change = at.notebook.entry(change_id)
    kept_as(change, KeptChange)
    if change.rig_id != rig_id:
        raise NotKept(change_id)
    return change


@ROUTER.get("/rigs/{rig_id}/compare")
def compare_page(
    at: At,
    rig_id: str,
    other_id: Annotated[str, Query(alias="with")] = "",
    distances: str = "",
    find: str = "",
) -> Response:
    """Two kept rigs side by side."""
    rig = at.rig(rig_id)
    form = Form({"with": other_id, "distances": distances})
    page = at.notebook.rigs(RigsAsked(find, limit=MOST_OTHERS + 1))
    others = [one for one in page.rigs if one.id != rig_id][:MOST_OTHERS]
    blocks: Blocks = ()
    if other_id:
        other = at.rig(other_id)
        if other_id not in {one.id for one in others}:
            others.insert(0, other)
        stops = map(Mind, kept_stops(other))
        try:
            both = at.answer(rig_id), at.answer(other_id)
            found = COMPARE.ask(both, form.said, at.units)
            blocks = (*stops, *COMPARE.tell(found, at.units))
        except TapewrightError as refused:
            form.refuse("", refused)
    return at.page(
        "compare.html",
        status=200 if form.is_good else 422,
        rig=rig,
        form=form,
        others=[(one, apart(one) if one.id in page.twins else "") for one in others],
        find=find,
        is_long=bool(find.strip()) or page.after is not None,
        blocks=blocks,
        usual=COMPARE.usual("distances", at.units),
    )

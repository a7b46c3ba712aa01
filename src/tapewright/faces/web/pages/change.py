"""Change: what a change of the bow did, what one would do, and two rigs side by side.

Holds:  /rigs/{rig_id}/change with trying and taking back, /rigs/{rig_id}/compare.
Never:  editing and keeping a sheet (sheet.py), what the blocks say (faces/telling).
"""

from dataclasses import dataclass
from functools import lru_cache
from typing import Annotated

from fastapi import APIRouter, Query
from fastapi.responses import Response

from tapewright.faces.kept import FARTHEST, NEAREST_TRUSTED, SEED, Kept, rig_of
from tapewright.faces.kept_stops import kept_stops
from tapewright.faces.listing import apart
from tapewright.faces.telling.change import change_blocks, comparison_blocks
from tapewright.faces.web.answers import Known
from tapewright.faces.web.forms import Form
from tapewright.faces.web.sheet_forms import (
    Typed,
    kept_text,
    kept_values,
    read_typed,
    sections,
    sheet_differences,
)
from tapewright.faces.web.visit import At, Fields, Visit
from tapewright.faces.wording_change import BY_PAGE
from tapewright.ground.errors import BadInput, EditedMeanwhile, NotKept, TapewrightError
from tapewright.ground.units import UNITS
from tapewright.questions.question import Said
from tapewright.services.calibrate import answer_at
from tapewright.services.change_rig import Butt, change_rig
from tapewright.services.compare_rigs import compare_rigs
from tapewright.services.equip import Rig
from tapewright.services.keep import Entry, KeptChange, KeptRig, RigsAsked, Source, kept_as
from tapewright.services.make_card import CardOrder
from tapewright.services.record_groups import Observation
from tapewright.words.blocks import Blocks, Mind, Table
from tapewright.words.units import Units

ROUTER = APIRouter(include_in_schema=False)

BUTT_ENDS = (0.05, 20.0, "m")
USUAL_BUTT = {"yd": "36 in", "m": "90 cm"}
CHANGE_DISTANCES = {"yd": "10:100:10yd", "m": "10:90:10m"}
COMPARE_DISTANCES = {"yd": "20:80:20yd", "m": "20:80:20m"}
CONFIRMING_STEP = 5.0  # yards or metres between the distances of confirming groups
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
    form = Form({"distances": "", "butt": ""} | dict(at.request.query_params))
    blocks: Blocks = ()
    if changes:
        try:
            blocks = _last_change(at, rig_id, form.said)
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
        usual=(CHANGE_DISTANCES[at.units.distance], USUAL_BUTT[at.units.distance]),
    )


def _last_change(at: Visit, rig_id: str, said: Said) -> Blocks:
    """The rig before its last change against the rig now."""
    kept = at.kept(rig_id)
    before = Kept(kept.setups[:-1], (*kept.sources, Source("before", len(kept.setups))))
    old = at.desk.answers.of(before, at.units)
    last = kept.setups[-1]
    order = _order(said, at.units)
    return _changed(Known(old), last.rig, last.observations, order, last.new_string)


def _refuse(form: Form, refused: TapewrightError) -> None:
    """Say what a page can say: a sheet that counts differently is no mistake of a field."""
    if isinstance(refused, BadInput) and refused.place == "NEWRIG.toml":
        words = f"{refused.wrong}. The marks start afresh from the new sheet and its own arrows."
        form.faults[""] = words[0].upper() + words[1:]
    else:
        form.refuse("", refused)


@dataclass(frozen=True, slots=True)
class _Order:
    """What is asked of a change: where marks are wanted, what stops the arrows, in which units."""

    distances_m: tuple[float, ...]
    butt_m: float
    units: Units


def _order(said: Said, units: Units) -> _Order:
    unit = units.distance
    distances_m = said.distances("distances", CHANGE_DISTANCES[unit])
    return _Order(distances_m, said.quantity("butt", "length", USUAL_BUTT[unit], BUTT_ENDS), units)


@lru_cache(maxsize=MOST_REMEMBERED)
def _changed(
    old: Known,
    rig: Rig,
    observations: tuple[Observation, ...],
    order: _Order,
    new_string: bool,  # noqa: FBT001 — by its place, to be remembered
) -> Blocks:
    """What a change does: the verdict and the cautions, then the tables behind them."""
    unit = order.units.distance
    factor = UNITS[unit].factor
    steps = range(NEAREST_TRUSTED, FARTHEST[unit][0] + 1)
    found = change_rig(
        answer_at(old.answer, order.distances_m),
        rig,
        observations,
        [step * factor for step in steps],
        Butt(order.butt_m, order.butt_m),
        SEED,
        new_string=new_string,
        step_m=CONFIRMING_STEP * factor,
    )
    blocks = change_blocks(found, order.units, BY_PAGE)
    if found.old.rig.name == found.new.rig.name:
        blocks = blocks[1:]
    return tuple(sorted(blocks, key=lambda one: (isinstance(one, Table), isinstance(one, Mind))))


def _told(at: Visit, change: Entry) -> Told:
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
            old, order = at.answer(rig_id), _order(form.said, at.units)
            new_string = bool(form["new_string"])
            blocks = _changed(Known(old), typed.rig, (), order, new_string)
        except TapewrightError as refused:
            _refuse(form, refused)
    return _try(at, rig_id, typed, blocks)


def _try(at: Visit, rig_id: str, typed: Typed, blocks: Blocks = ()) -> Response:
    rig = at.rig(rig_id)
    return at.page(
        "change_try.html",
        status=200 if typed.form.is_good else 422,
        rig=rig,
        typed=typed,
        groups=sections(typed, at.units, is_new=False),
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


def _change_of(at: Visit, rig_id: str, change_id: str) -> Entry:
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
            blocks = (*stops, *_side_by_side(at, rig_id, other_id, form.said))
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
        usual=COMPARE_DISTANCES[at.units.distance],
    )


def _side_by_side(at: Visit, rig_id: str, other_id: str, said: Said) -> Blocks:
    unit = at.units.distance
    distances_m = said.distances("distances", COMPARE_DISTANCES[unit])
    first, other = at.answer(rig_id), at.answer(other_id)
    order = CardOrder(distances_m, first.rig.archer.tolerance_m, 1, UNITS[unit].factor)
    return comparison_blocks(compare_rigs(first, other, order), at.units)

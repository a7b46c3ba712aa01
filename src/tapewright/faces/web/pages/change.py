"""Change: what a change of the bow did, what one would do, and two rigs side by side.

Holds:  /rigs/{rig_id}/change with trying, taking back, and going back to an earlier set-up;
        /rigs/{rig_id}/compare.
Never:  editing and keeping a sheet (sheet.py), what the blocks say (questions).
"""

from collections.abc import Callable
from dataclasses import replace
from functools import lru_cache
from typing import Annotated

from fastapi import APIRouter, Query
from fastapi.responses import Response

from tapewright.faces.kept_house import house_in, kinds_in, read_kept
from tapewright.faces.kept_rigs import SEED, Kept, rig_of, way_back
from tapewright.faces.kept_stops import kept_stops
from tapewright.faces.rig_list import apart
from tapewright.faces.web.forms import Form, seen_number
from tapewright.faces.web.page_request import At, Fields, PageRequest
from tapewright.faces.web.session_lists import kept_of_rig
from tapewright.faces.web.sheet_forms import (
    Differences,
    kept_text,
    kept_values,
    read_typed,
    sections,
    sheet_differences,
)
from tapewright.ground.errors import EditedMeanwhile, OtherScale, TapewrightError
from tapewright.questions.change import QUESTION as CHANGE
from tapewright.questions.change import Change, Ways
from tapewright.questions.compare import QUESTION as COMPARE
from tapewright.questions.question import Said
from tapewright.services.calibrate_kept import Answer, Setup
from tapewright.services.equip import with_house
from tapewright.services.keep import Entry, KeptChange, KeptRig, RigsAsked, Source, kept_as
from tapewright.services.stick_tape import with_tape
from tapewright.words.answer_blocks import Blocks, Mind, Table
from tapewright.words.bow_kind_words import of_bow
from tapewright.words.unit_system import Units

ROUTER = APIRouter(include_in_schema=False)

NEXT = Ways(
    "see What to shoot next",
    "write them down under Shoot and look here again",
    "write what you changed into its lines.",
    "let its calibration count again, below",
)
WENT_BACK = replace(NEXT, copy="the earlier set-up stands again. One near arrow first, then look.")
MOST_REMEMBERED = 32
MOST_OTHERS = 50  # rigs to choose from; more are looked for


@ROUTER.get("/rigs/{rig_id}/change")
def change_page(at: At, rig_id: str) -> Response:
    """What the last change did, all changes, and how to make one."""
    rig = at.rig(rig_id)
    changes = at.notebook.entries("change", rig_id)
    back = way_back(at.notebook, rig_id) if changes else None
    form = Form({field.name: "" for field in CHANGE.fields} | dict(at.request.query_params))

    def last_change() -> Blocks:
        kept = at.kept(rig_id)
        before = Kept(kept.setups[:-1], (*kept.sources, Source("before", len(kept.setups))))
        answers = at.app_state.answers
        again = answers.of(back[1], at.units) if back else None
        old, is_back = answers.of(before, at.units), _is_back(changes[-1])
        return _changed(form, old, kept.setups[-1], at.units, again, is_back=is_back)

    blocks = _looked(form, last_change) if changes else ()
    return at.page(
        "change.html",
        rig=rig,
        peep=of_bow(rig_of(rig), "peep, ", ""),
        form=form,
        blocks=blocks,
        changes=[_told(at, one) for one in reversed(changes)],
        back_to=None if back is None else back[0],
        gone=[_told(at, one) for one in at.notebook.entries("change", rig_id, withdrawn=True)],
        fields=CHANGE.fields,
    )


def _is_back(change: Entry) -> bool:
    return kept_as(change, KeptChange).back_to is not None


def _looked(form: Form, look: Callable[[], Blocks]) -> Blocks:
    """What is seen; a sheet that counts differently is told as no mistake of a field."""
    try:
        return look()
    except OtherScale as refused:
        words = f"{refused.wrong}. The marks start afresh from the new sheet and its own arrows."
        form.faults[""] = words[0].upper() + words[1:]
    except TapewrightError as refused:
        form.refuse("", refused)
    return ()


def _changed(
    form: Form,
    old: Answer,
    now: Setup,
    units: Units,
    before: Answer | None = None,
    *,
    is_back: bool = False,
) -> Blocks:
    """What a change does: the verdict and the cautions, then the tables behind them."""
    said = tuple((field.name, form[field.name]) for field in CHANGE.fields)
    blocks = _blocks(old, now, said, units, before, WENT_BACK if is_back else NEXT)
    if old.rig.name == now.rig.name:
        blocks = blocks[1:]
    return tuple(sorted(blocks, key=lambda one: (isinstance(one, Table), isinstance(one, Mind))))


@lru_cache(maxsize=MOST_REMEMBERED)
def _blocks(
    old: Answer,
    now: Setup,
    said: tuple[tuple[str, str], ...],
    units: Units,
    before: Answer | None,
    ways: Ways,
) -> Blocks:
    change = Change(old, now.rig, now.observations, ways, now.new_string, SEED, before)
    return CHANGE.tell(CHANGE.ask(change, Said(dict(said)), units), units)


def _told(at: PageRequest, change: Entry) -> tuple[Entry, Differences]:
    """A change, and the lines of the sheet that it changed."""
    body, rig_id = kept_as(change, KeptChange), str(change.rig_id)
    before, after = (
        kept_as(at.notebook.entry(rig_id, number), KeptRig).sheet
        for number in (body.from_rig, body.to_rig)
    )
    return change, sheet_differences(before, after)


@ROUTER.get("/rigs/{rig_id}/change/try")
@ROUTER.post("/rigs/{rig_id}/change/try")
def try_page(at: At, rig_id: str, fields: Fields) -> Response:
    """The sheet as it is, to be changed for a try; what a changed one costs. Nothing is kept."""
    rig = at.rig(rig_id)
    if at.request.method == "POST":
        typed = read_typed(fields)
    else:
        read = kept_text if "text" in at.request.query_params else kept_values
        typed = read(kept_as(rig, KeptRig).sheet)
    form, new_string = typed.form, bool(typed.form["new_string"])
    blocks: Blocks = ()
    if typed.rig:
        house = read_kept(house_in(at.notebook))
        tape = at.kept(rig_id).rig.sight.tape
        now = Setup(with_tape(with_house(typed.rig, house), tape), (), new_string)
        blocks = _looked(form, lambda: _changed(form, at.answer(rig_id), now, at.units))
    return at.page(
        "change_try.html",
        rig=rig,
        typed=typed,
        form=form,
        groups=sections(typed, is_new=False),
        kinds=kinds_in(at.notebook),
        blocks=blocks,
        seen=form["seen"] or rig.number,
        same=typed.rig is not None and typed.rig == rig_of(rig) and not new_string,
    )


@ROUTER.post("/rigs/{rig_id}/change/{change_id}/withdraw")
@ROUTER.post("/rigs/{rig_id}/change/{change_id}/restore")
def change_marked(at: At, rig_id: str, change_id: str, fields: Fields) -> Response:
    """Take a change back, so that the arrows before and after it belong together, or count it."""
    change, rig = kept_of_rig(at, rig_id, change_id), at.rig(rig_id)
    body = kept_as(change, KeptChange)
    if at.way == "withdraw" and fields.get("old_sheet"):
        if fields.get("seen_rig", "") != str(rig.number):
            raise EditedMeanwhile(rig)
        before = kept_as(at.notebook.entry(rig_id, body.from_rig), KeptRig)
        at.notebook.save(rig_id, before, seen=rig.number, now=at.now)
    at.mark(change_id, change.number)
    return at.changed(rig_id, "/change")


@ROUTER.post("/rigs/{rig_id}/change/{change_id}/back")
def went_back(at: At, rig_id: str, change_id: str, fields: Fields) -> Response:
    """Let the calibration of an earlier set-up count again, or begin a new one after all."""
    change, back = kept_of_rig(at, rig_id, change_id), way_back(at.notebook, rig_id)
    body, wanted = kept_as(change, KeptChange), fields.get("back_to", "")
    if wanted and (back is None or wanted != str(back[0])):
        raise EditedMeanwhile(change)
    after = replace(body, back_to=int(wanted) if wanted else None)
    at.notebook.save(change_id, after, seen=seen_number(fields), now=at.now)
    return at.changed(rig_id, "/change")


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
        blocks = form.read("", lambda: _compared(at, (rig, other), form), blocks)
    return at.page(
        "compare.html",
        rig=rig,
        form=form,
        others=[(one, apart(one) if one.id in page.twins else "") for one in others],
        find=find,
        is_long=bool(find.strip()) or page.after is not None,
        blocks=blocks,
        usual=COMPARE.usual("distances", at.units),
    )


def _compared(at: PageRequest, rigs: tuple[Entry, Entry], form: Form) -> Blocks:
    found = COMPARE.ask(tuple(at.answer(one.id) for one in rigs), form.said, at.units)
    return (*map(Mind, kept_stops(rigs[1])), *COMPARE.tell(found, at.units))

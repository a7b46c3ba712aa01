"""Aside: putting a kept thing aside and taking it back, the same for every kind.

Holds:  the two addresses that each kind has for it.
Never:  what a kind is, what it says (kept_shapes.py).
"""

from collections.abc import Callable
from typing import Any

from fastapi import APIRouter

from tapewright.faces.web.api.bodies import Kept, SeenBody
from tapewright.faces.web.api.kept_shapes import RECORDS, shaped
from tapewright.faces.web.api.refusals import EntryId, RigId
from tapewright.faces.web.page_request import At, PageRequest
from tapewright.faces.web.sessions import kept_of_rig, refuse_back
from tapewright.services.keep import Entry, KeptGroup, KeptPrinter, KeptRig, KeptSession, kept_as

WAYS = {"withdraw": "Put aside {}.", "restore": "Take back {}."}


def offer_aside(router: APIRouter, path: str, shape: type[Kept], about: str) -> None:
    """Let things of a kind be withdrawn and restored; marks follow what still counts."""
    record = RECORDS[shape]
    place = "/{rig_id}" if record is KeptRig else f"{path}/{{entry_id}}"
    name = record.__name__.removeprefix("Kept").lower()
    for way, words in WAYS.items():
        router.add_api_route(
            f"{place}/{way}",
            _marking(way, record, shape),
            methods=["POST"],
            response_model=shape,
            name=f"{way}_{name}",
            description=words.format(about),
        )


def _marking(way: str, record: type, shape: type[Kept]) -> Callable[..., Any]:
    def mark(at: PageRequest, entry: Entry, seen: int) -> Kept:
        kept_as(entry, record)
        if way == "restore" and record in (KeptSession, KeptGroup):
            refuse_back(at, str(entry.rig_id), entry)
        getattr(at.notebook, way)(entry.id, seen=seen, now=at.now)
        if entry.rig_id is not None and record is not KeptRig:
            at.recalibrate(entry.rig_id)
        return shaped(shape, at.notebook.entry(entry.id))

    def a_rig(at: At, rig_id: RigId, sent: SeenBody) -> Kept:
        return mark(at, at.rig(rig_id), sent.seen)

    def of_no_rig(at: At, entry_id: EntryId, sent: SeenBody) -> Kept:
        return mark(at, at.notebook.entry(entry_id), sent.seen)

    def of_a_rig(at: At, rig_id: RigId, entry_id: EntryId, sent: SeenBody) -> Kept:
        return mark(at, kept_of_rig(at, rig_id, entry_id), sent.seen)

    return {KeptRig: a_rig, KeptPrinter: of_no_rig}.get(record, of_a_rig)

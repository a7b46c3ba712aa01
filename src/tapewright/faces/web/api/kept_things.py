"""Kept things: changes, prints, printers and archives for other programs.

Holds:  /api/rigs/{rig_id}/changes, /prints and /history; /api/printers; /api/archive.
Never:  making files to print (printing.py).
"""

from typing import Annotated, Any

from fastapi import APIRouter, Depends, Query, Request
from fastapi.responses import Response

from tapewright.faces.history import history_of
from tapewright.faces.kept_rigs import next_setup, rig_of
from tapewright.faces.notebook_check import checked_json
from tapewright.faces.settings import new_id
from tapewright.faces.web.api.aside import offer_aside
from tapewright.faces.web.api.bodies import (
    ChangeBody,
    ChangeKept,
    CheckedWhole,
    HistoryLine,
    PrintBody,
    PrinterBody,
    PrinterKept,
    PrinterSaved,
    PrintKept,
    Taken,
)
from tapewright.faces.web.api.kept_shapes import all_shaped, shaped
from tapewright.faces.web.api.refusals import (
    REFUSED,
    Aside,
    EntryId,
    RigId,
    UnitsAsked,
    file_answer,
    units_of,
)
from tapewright.faces.web.api.rigs import rig_body
from tapewright.faces.web.page_request import At, PageRequest, attachment
from tapewright.services.keep import KeptChange, KeptPrint, KeptPrinter, Write, kept_as
from tapewright.services.move_notebook import (
    archive_text,
    check_notebook,
    read_archive_bytes,
    take_in,
)
from tapewright.services.stops import refuse_stopped

ROUTER = APIRouter(prefix="/api", tags=["keeping"], responses=REFUSED)

ARCHIVE = "application/json"
TO_MEASURE = ("gauge", "target")  # sheets that carry a stop and may be printed under it
SENT = {"requestBody": {"required": True, "content": {ARCHIVE: {"schema": {"type": "object"}}}}}
OneRig = Annotated[str | None, Query(pattern=r"^[0-9a-f]{20}$", description="Absent: all rigs.")]


@ROUTER.get("/rigs/{rig_id}/changes")
def list_changes(at: At, rig_id: RigId, *, withdrawn: Aside = False) -> list[ChangeKept]:
    """Changes of a rig, the first first."""
    at.rig(rig_id)
    return all_shaped(ChangeKept, at.notebook.entries("change", rig_id, withdrawn=withdrawn))


@ROUTER.post("/rigs/{rig_id}/changes", status_code=201)
def create_change(at: At, rig_id: RigId, sent: ChangeBody) -> ChangeKept:
    """Save a changed rig sheet; what was learnt before is carried over as far as it holds."""
    at.rig(rig_id)
    after, setup = rig_body(sent.sheet), next_setup(at.notebook, rig_id)
    change = KeptChange(setup, sent.seen, sent.seen + 1, sent.new_string, sent.words)
    writes = (Write(rig_id, after, seen=sent.seen), Write(new_id(), change, rig_id=rig_id))
    _, entry = at.notebook.save_all(writes, now=at.now)
    at.recalibrate(rig_id)
    return shaped(ChangeKept, entry)


@ROUTER.get("/rigs/{rig_id}/prints")
def list_prints(at: At, rig_id: RigId) -> list[PrintKept]:
    """What was printed for a rig."""
    at.rig(rig_id)
    return all_shaped(PrintKept, at.notebook.entries("print", rig_id))


@ROUTER.post("/rigs/{rig_id}/prints", status_code=201)
def create_print(at: At, rig_id: RigId, sent: PrintBody) -> PrintKept:
    """Remember that a sheet was printed; of a set-up that must not be shot only to measure with."""
    rig = at.rig(rig_id)
    if sent.what not in TO_MEASURE:
        refuse_stopped(rig_of(rig))
    body = KeptPrint(sent.what, sent.fingerprint, sent.printer_id, sent.choices, sent.printed_on)
    return shaped(PrintKept, at.notebook.add(body, rig_id=rig_id, entry_id=new_id(), now=at.now))


@ROUTER.get("/rigs/{rig_id}/history")
def read_history(at: At, rig_id: RigId, units: UnitsAsked = "imperial") -> list[HistoryLine]:
    """Everything that happened to a rig, newest first."""
    at.rig(rig_id)
    return [
        HistoryLine(
            when=one.entry.saved_at,
            kind=one.entry.kind,
            id=one.entry.id,
            number=one.entry.number,
            is_withdrawn=one.is_gone,
            words=one.words,
        )
        for one in history_of(at.notebook, rig_id, units_of(units))
    ]


@ROUTER.get("/printers")
def list_printers(at: At, *, withdrawn: Aside = False) -> list[PrinterKept]:
    """Printers and what their proof rulers measured."""
    return all_shaped(PrinterKept, at.notebook.entries("printer", withdrawn=withdrawn))


@ROUTER.post("/printers", status_code=201)
def create_printer(at: At, sent: PrinterBody) -> PrinterKept:
    """Keep a new printer."""
    return shaped(PrinterKept, at.notebook.add(_printer(sent), entry_id=new_id(), now=at.now))


@ROUTER.get("/printers/{entry_id}")
def read_printer(at: At, entry_id: EntryId) -> PrinterKept:
    """One printer."""
    return shaped(PrinterKept, at.notebook.entry(entry_id))


@ROUTER.put("/printers/{entry_id}")
def save_printer(at: At, entry_id: EntryId, sent: PrinterSaved) -> PrinterKept:
    """Save a printer as a new version."""
    kept_as(at.notebook.entry(entry_id), KeptPrinter)
    return shaped(
        PrinterKept, at.notebook.save(entry_id, _printer(sent), seen=sent.seen, now=at.now)
    )


def _printer(sent: PrinterBody) -> KeptPrinter:
    return KeptPrinter(sent.name, sent.across_mm, sent.down_mm)


@ROUTER.get(
    "/archive",
    response_class=Response,
    responses=file_answer(ARCHIVE, "The archive, a file.", "object"),
)
def export_archive(at: At, rig: OneRig = None) -> Response:
    """Everything that is kept as one file, or one rig of it."""
    text = archive_text(at.notebook, None if rig is None else (rig,))
    name = f"tapewright-{at.today}.json"
    return Response(text, media_type=ARCHIVE, headers=attachment(name))


@ROUTER.get("/check")
def check(at: At) -> CheckedWhole:
    """Whether every row of the notebook is as it was written."""
    found = checked_json(check_notebook(at.notebook))
    return CheckedWhole(**{name: found[name] for name in CheckedWhole.model_fields})


async def _sent_bytes(request: Request) -> bytes:
    return await request.body()


@ROUTER.post("/archive", openapi_extra=SENT)
def import_archive(at: At, sent: Annotated[bytes, Depends(_sent_bytes)]) -> Taken:
    """Take in an archive, all of it or nothing."""
    return Taken(**took(at, sent))


def took(at: PageRequest, sent: bytes) -> dict[str, Any]:
    """Counts of what taking in an archive did."""
    counts = take_in(at.notebook, read_archive_bytes(sent))
    return {"new": counts.new, "longer": counts.longer, "same": counts.same}


CHANGE = "a change; its sessions join those before it"
offer_aside(ROUTER, "/rigs/{rig_id}/changes", ChangeKept, CHANGE)
offer_aside(ROUTER, "/printers", PrinterKept, "a printer")

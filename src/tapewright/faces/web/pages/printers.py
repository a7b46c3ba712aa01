"""Printers: what each printer makes of 100 mm, by its proof rulers.

Holds:  /printers and the page of one; new versions, putting aside, taking back.
Never:  the correction itself (drawing), which printer a print took (print_choices.py).
"""

from fastapi import APIRouter
from fastapi.responses import Response

from tapewright.faces.settings import new_id
from tapewright.faces.web.forms import Form, seen_number
from tapewright.faces.web.page_request import At, Fields, PageRequest
from tapewright.faces.web.print_choices import last_used, printers, proof_of
from tapewright.ground.errors import BadInput, EditedMeanwhile
from tapewright.services.keep import Entry, KeptPrinter, kept_as
from tapewright.services.measure_printer import proof_after
from tapewright.words.answer_blocks import Table
from tapewright.words.quantity_parser import read_number, read_quantity, unit_in

ROUTER = APIRouter(include_in_schema=False)

MOST_NAME = 60
PRINTS = ("plain", "corrected")  # which print was measured


@ROUTER.get("/printers")
def printers_page(at: At) -> Response:
    """All printers, and room for a new one."""
    return _all(at, Form())


@ROUTER.post("/printers")
def printer_added(at: At, fields: Fields) -> Response:
    """Keep a new printer."""
    form = Form({name: fields.get(name, "") for name in ("name", "across", "down")})
    body = _printer(form, None)
    if body is None:
        return _all(at, form)
    at.notebook.add(body, now=at.now, entry_id=new_id())
    return at.go("/printers")


@ROUTER.get("/printers/{printer_id}")
def printer_page(at: At, printer_id: str) -> Response:
    """One printer with its versions."""
    entry = at.notebook.entry(printer_id)
    return _one(at, entry, Form({"name": kept_as(entry, KeptPrinter).name}))


@ROUTER.post("/printers/{printer_id}")
def printer_saved(at: At, printer_id: str, fields: Fields) -> Response:
    """Keep what was measured as a new version."""
    form = Form({name: fields.get(name, "") for name in ("name", "across", "down", "print")})
    seen = seen_number(fields)
    entry = at.notebook.entry(printer_id)
    before = at.notebook.entry(printer_id, seen) if 0 < seen < entry.number else entry
    if form["print"] not in PRINTS:
        form.faults["print"] = "Say whether the print you measured was corrected for this printer."
    body = _printer(form, before if form["print"] == "corrected" else None)
    if body is None:
        return _one(at, entry, form)
    try:
        at.notebook.save(printer_id, body, seen=seen, now=at.now)
    except EditedMeanwhile:
        return _one(at, at.notebook.entry(printer_id), form, newer=True)
    return at.go(f"/printers/{printer_id}")


@ROUTER.post("/printers/{printer_id}/withdraw")
@ROUTER.post("/printers/{printer_id}/restore")
def printer_marked(at: At, printer_id: str, fields: Fields) -> Response:
    """Put a printer aside, or take it back."""
    kept_as(at.notebook.entry(printer_id), KeptPrinter)
    at.mark(printer_id, seen_number(fields))
    return at.go("/printers" if at.way == "withdraw" else f"/printers/{printer_id}")


def _printer(form: Form, printed_with: Entry | None) -> KeptPrinter | None:
    """A printer as typed; None with the faults in the form."""
    name = form["name"].strip()
    if not name or len(name) > MOST_NAME:
        form.faults["name"] = f"A name of 1 to {MOST_NAME} letters is needed."
    across_mm = form.read("across", lambda: _ruler(form, "across"), 100.0)
    down_mm = form.read("down", lambda: _ruler(form, "down"), 100.0)
    try:
        proof_mm = proof_after((across_mm, down_mm), proof_of(printed_with))
    except BadInput as refused:
        form.refuse("", refused)  # its place is the ruler's field
        return None
    return KeptPrinter(name, *proof_mm) if form.is_good else None


def _ruler(form: Form, name: str) -> float:
    """Length of a proof ruler, in mm unless another unit stands there. [mm]"""
    text = form[name].strip()
    if unit_in(text):
        return 1e3 * read_quantity(text, "length", name, "99.6 mm")
    return read_number(text, name, "99.6 mm")


def _all(at: PageRequest, form: Form) -> Response:
    aside = at.notebook.entries("printer", withdrawn=True)
    lines, used = printers(at), last_used(at)
    return at.page("printers.html", form=form, lines=lines, aside=aside, used=used)


def _one(at: PageRequest, entry: Entry, form: Form, *, newer: bool = False) -> Response:
    rows = []
    for one in at.notebook.history(entry.id):
        kept = kept_as(one, KeptPrinter)
        rulers = (f"{kept.across_mm:.2f} mm", f"{kept.down_mm:.2f} mm")
        rows.append((str(one.number), kept.name, *rulers, one.saved_at[:10]))
    versions = Table("Versions", ("version", "name", "across", "down", "day"), tuple(rows))
    return at.page("printer.html", now=entry, form=form, versions=versions, newer=newer)

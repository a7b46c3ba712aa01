"""Print choices: what is alike in all that is printed: the printer, the file sent, the note kept.

Holds:  printers and the one chosen; faults told without a form; files sent; a print noted.
Never:  a page, what is drawn.
"""

import zipfile
from io import BytesIO
from typing import Literal
from urllib.parse import quote, urlencode

from fastapi.responses import Response

from tapewright.faces.settings import new_id
from tapewright.faces.web.forms import Form
from tapewright.faces.web.page_request import PageRequest, attachment
from tapewright.ground.errors import BadInput
from tapewright.printing.print_fields import PRINTER
from tapewright.questions.question import Field
from tapewright.services import keep
from tapewright.services.keep import Entry, Source, kept_as

Printed = Literal["tape", "gauge", "target", "card", "pocket", "handover"]

NO_PRINTER = "none"
KINDS = {
    ".pdf": "application/pdf", ".svg": "image/svg+xml", ".dxf": "image/vnd.dxf",
    ".json": "application/json",
}  # fmt: skip
# A browser's own viewer for PDF styles itself; the file holds no script.
PDF_POLICY = "default-src 'none'; object-src 'self'; style-src 'unsafe-inline'"


def printers(at: PageRequest) -> tuple[Entry, ...]:
    """The printers by name."""
    kept = at.notebook.entries("printer")
    return tuple(sorted(kept, key=lambda one: kept_as(one, keep.KeptPrinter).name.casefold()))


def last_used(at: PageRequest) -> str:
    """Id of the printer that printed last, unless it was put aside."""
    last = at.notebook.newest("print")
    used = kept_as(last, keep.KeptPrint).printer_id if last else None
    return used if used and used in {one.id for one in printers(at)} else NO_PRINTER


def chosen_printer(at: PageRequest, form: Form) -> Entry | None:
    """The printer chosen; None for none. A wrong one is told beside its field."""
    if form["printer"] in ("", NO_PRINTER):
        return None
    found = next((one for one in printers(at) if one.id == form["printer"]), None)
    if found is None:
        wrong = "there is no such printer any more"
        form.refuse("printer", BadInput("printer", wrong, "Choose one of the list"))
    return found


def proof_of(printer: Entry | None) -> tuple[float, float] | None:
    """What a printer makes of the two proof rulers. [mm]"""
    if printer is None:
        return None
    kept = kept_as(printer, keep.KeptPrinter)
    return kept.across_mm, kept.down_mm


def query(form: Form) -> str:
    """The choices as the end of an address."""
    return urlencode({name: text for name, text in form.texts.items() if text})


def send(files: tuple[tuple[str, bytes], ...], stem: str) -> Response:
    """A file to be saved or printed; several of them come in one."""
    if len(files) > 1:
        packed = BytesIO()
        with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
            for ending, content in files:
                archive.writestr(f"sheet{ending}", content)
        return Response(packed.getvalue(), 200, attachment(f"{stem}.zip"), "application/zip")
    ending, content = files[0]
    headers = attachment(f"{stem}{ending}")
    if ending == ".pdf":  # shown by the browser, which prints it
        name = quote(f"{stem}{ending}", safe="")
        headers["Content-Disposition"] = f"inline; filename*=UTF-8''{name}"
        headers["Content-Security-Policy"] = PDF_POLICY
    return Response(content, 200, headers, KINDS[f".{ending.rpartition('.')[2]}"])


def faulty(at: PageRequest, form: Form, fields: tuple[Field, ...]) -> Response:
    """What is wrong with the choices, where there is no form to tell it in."""
    labels = labels_of(fields)
    told = [f"{labels[name]}: {wrong}" if name else wrong for name, wrong in form.faults.items()]
    return at.page("wrong.html", status=422, words="\n".join(told))


def labels_of(fields: tuple[Field, ...]) -> dict[str, str]:
    """What people read before each field, the printer's among them."""
    return {field.name: field.label for field in (*fields, PRINTER)}


def note_print(
    at: PageRequest,
    rig_id: str,
    what: Printed,
    form: Form,
    fingerprint: str = "",
    record: str = "",
) -> Response:
    """Keep what is printed, with what it was made from; then show the file."""
    keep_print(at, rig_id, what, form, fingerprint, record)
    return at.go(f"/rigs/{rig_id}/{what}.pdf?{query(form)}")


def keep_print(
    at: PageRequest, rig_id: str, what: Printed, form: Form, fingerprint: str, record: str = ""
) -> None:
    """Keep what is taken home or into the field, with what it was made from."""
    printer = chosen_printer(at, form)
    sources = [] if printer is None else [Source(printer.id, printer.number)]
    calibration = at.notebook.newest("calibration", rig_id)
    if calibration and kept_as(calibration, keep.KeptCalibration).fingerprint == fingerprint:
        sources.append(Source(calibration.id, calibration.number))
    body = keep.KeptPrint(
        what=what,
        fingerprint=fingerprint,
        printer_id=None if printer is None else printer.id,
        choices={name: text for name, text in form.texts.items() if text and name != "printer"},
        printed_on=at.today,
        record_text=record,
    )
    at.notebook.add(body, rig_id=rig_id, sources=tuple(sources), now=at.now, entry_id=new_id())

"""Printed sheets: tape, gauge strip and target: chosen, seen at once, taken home as a file.

Holds:  /rigs/{rig_id}/tape, /gauge and /target, their previews and files; the print noted.
Never:  what may be said of a print and how it is planned (printing), how it is drawn.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import Any, cast

from fastapi import APIRouter
from fastapi.responses import Response
from starlette.exceptions import HTTPException

from tapewright.faces.kept_rigs import rig_of
from tapewright.faces.web.forms import Form
from tapewright.faces.web.page_request import At, Fields, PageRequest
from tapewright.faces.web.print_choices import (
    KINDS,
    NO_PRINTER,
    Printed,
    chosen_printer,
    faulty,
    labels_of,
    last_used,
    note_print,
    printers,
    proof_of,
    query,
    send,
)
from tapewright.ground.errors import LaunchUnreachable, MissingExtra, NotKept, TapewrightError
from tapewright.printing.gauge import PRINT as GAUGE
from tapewright.printing.handover import PRINT as HANDOVER
from tapewright.printing.print_fields import PAPER, PRINTER
from tapewright.printing.print_record import Print, Wish
from tapewright.printing.tape import PRINT as TAPE
from tapewright.printing.tape import asked_ticks, tape_record
from tapewright.printing.target import PRINT as TARGET
from tapewright.questions.question import heard
from tapewright.services.calibrate_kept import Answer
from tapewright.services.equip import Rig
from tapewright.services.keep import KeptPrinter, kept_as
from tapewright.services.print_tape import can_engrave

ROUTER = APIRouter(include_in_schema=False)

AnyPrint = Print[Any, Any, Any]
PRINTS: dict[str, AnyPrint] = {one.name: one for one in (TAPE, GAUGE, TARGET, HANDOVER)}
PICTURES = {"strip": "tape", "gauge-strip": "gauge", "target-sheet": "target",
            "handover-sheet": "handover"}  # fmt: skip
MOST_MADE = 32
SIZE = re.compile(r'<svg [^>]*?width="([\d.]+)mm" height="([\d.]+)mm"')


@dataclass
class _Shown:
    """A print, and what is seen of it once somebody looks."""

    to_print: AnyPrint
    made: Any
    fingerprint: str  # of the calibration it is made of; empty: it is made of none

    @cached_property
    def drawn(self) -> str:
        """What a page shows of it, as SVG."""
        assert self.to_print.preview is not None
        return self.to_print.preview(self.made)

    @property
    def told(self) -> dict[str, Any]:
        """What a page says of it."""
        assert self.to_print.seen is not None
        seen, told = self.to_print.seen(self.made), self.to_print.tell(self.made)
        return {"made": self.made, "seen": seen, "told": told}


@lru_cache(maxsize=MOST_MADE)
def _made(to_print: AnyPrint, of: Answer | Rig, order: object, today: str) -> _Shown:
    fingerprint = of.fingerprint if isinstance(of, Answer) else ""
    return _Shown(to_print, to_print.make(of, order, today), fingerprint)


def _asked(
    at: PageRequest, rig_id: str, texts: Mapping[str, str] | None = None
) -> tuple[AnyPrint, Form, _Shown | None]:
    """The print of an address, what was chosen, by it unless a form said it, and what is seen.

    The last printer is the usual one. What cannot be shown is told in the form.
    """
    name = at.request.url.path.rpartition("/")[2].partition(".")[0]
    to_print = PRINTS[PICTURES.get(name, name)]
    fields = (PAPER, PRINTER, *to_print.fields)
    said = heard(fields, at.request.query_params if texts is None else texts)
    names = [field.name for field in fields]
    form = Form({name: said.get(name, "").strip() for name in names})
    form.texts["printer"] = form["printer"] or last_used(at)
    return to_print, form, _shown(at, rig_id, to_print, form)


def page(at: At, rig_id: str) -> Response:
    """Choose the look and see it."""
    rig = at.rig(rig_id)
    to_print, form, shown = _asked(at, rig_id)
    drawn = "" if shown is None else form.read("", lambda: shown.drawn, "")
    fields, first = to_print.fields_of(rig_of(rig)), to_print.open_fields
    offered = [(one.id, kept_as(one, KeptPrinter).name) for one in printers(at)]
    return at.page(
        f"{to_print.name}.html",
        rig=rig,
        form=form,
        here=f"/rigs/{rig_id}/{to_print.name}",
        query=query(form),
        printer_choices=[(NO_PRINTER, "any, no correction"), *offered],
        fields=fields[:first],
        more=fields[first:],
        more_said=any(form[field.name] for field in fields[first:]),
        labels=labels_of(fields),
        engraves=can_engrave(),
        size_mm=_size_mm(drawn),
        **({"told": ()} if shown is None else shown.told),
    )


def _size_mm(drawn: str) -> tuple[str, str]:
    """Width and height of a drawing as it says them. [mm]"""
    found = SIZE.search(drawn)
    return (found[1], found[2]) if found else ("", "")


def printed(at: At, rig_id: str, fields: Fields) -> Response:
    """Note that it is printed, and hand it over."""
    to_print, form, shown = _asked(at, rig_id, fields)
    if shown is None:
        return faulty(at, form, to_print.fields)
    to_print.files(shown.made, ("pdf",))  # what cannot be printed is not noted
    record = tape_record(shown.made) if to_print is TAPE else ""
    return note_print(at, rig_id, cast("Printed", to_print.name), form, shown.fingerprint, record)


def picture(at: At, rig_id: str) -> Response:
    """What a page shows of it, as it is printed."""
    to_print, form, shown = _asked(at, rig_id)
    if shown is None:
        return faulty(at, form, to_print.fields)
    return Response(shown.drawn, 200, media_type=KINDS[".svg"])


def file(at: At, rig_id: str, ending: str) -> Response:
    """The file alone; nothing is noted."""
    to_print, form, shown = _asked(at, rig_id)
    if ending not in to_print.formats:
        raise HTTPException(404)
    if shown is None:
        return faulty(at, form, to_print.fields)
    stem = f"{rig_of(at.rig(rig_id)).name}-{to_print.name}"
    return send(to_print.files(shown.made, (ending,)), stem)


for _name in PRINTS:
    ROUTER.add_api_route(f"/rigs/{{rig_id}}/{_name}", page, methods=["GET"])
    ROUTER.add_api_route(f"/rigs/{{rig_id}}/{_name}", printed, methods=["POST"])
    ROUTER.add_api_route(f"/rigs/{{rig_id}}/{_name}.{{ending}}", file, methods=["GET"])
for _name in PICTURES:
    ROUTER.add_api_route(f"/rigs/{{rig_id}}/{_name}.svg", picture, methods=["GET"])


def _shown(at: PageRequest, rig_id: str, to_print: AnyPrint, form: Form) -> _Shown | None:
    """What is seen of a print; None with the faults in the form, beside their fields."""
    rig = rig_of(at.rig(rig_id))
    wish = Wish(form.said, at.units, proof_of(chosen_printer(at, form)), form.read)
    try:
        of = _answer(at, rig_id, form) if to_print.is_of_answer else rig
        order = to_print.order(of, wish)
        return _made(to_print, of, order, at.today) if form.is_good else None
    except (NotKept, MissingExtra):
        raise
    except TapewrightError as refused:
        form.refuse("distances" if isinstance(refused, LaunchUnreachable) else "", refused)
        return None


def _answer(at: PageRequest, rig_id: str, form: Form) -> Answer:
    """Calibration in the units of the distances typed; a fault of them is told by the order."""
    try:
        _, units = asked_ticks(form.said, at.units)
    except TapewrightError:
        units = at.units
    return at.answer(rig_id, units)

"""Printing: tapes, gauge strips, targets and cards as files for other programs.

Holds:  /api/rigs/{rig_id}/tape, /gauge, /target, /card and /pocket; nothing is noted as printed.
Never:  what a text means (faces/orders.py), drawing.
"""

from typing import Annotated, Literal

from fastapi import APIRouter, Query
from fastapi.responses import Response
from pydantic import BaseModel, ConfigDict, Field

from tapewright import __version__
from tapewright.faces.card_on_paper import card_files
from tapewright.faces.kept import rig_of
from tapewright.faces.orders import (
    asked_ticks,
    gauge_order,
    gauge_ruler,
    tape_order,
    target_order,
    usual_ticks,
)
from tapewright.faces.pocket.card import LISTED_M, pocket_page
from tapewright.faces.target_wording import target_words
from tapewright.faces.web.api.answers import REFUSED, RigId, UnitsAsked, units_of
from tapewright.faces.web.printing import proof_of, send
from tapewright.faces.web.visit import At, Visit, attachment
from tapewright.questions.card import QUESTION as CARD
from tapewright.questions.question import Said
from tapewright.services.keep import KeptPrinter, kept_as
from tapewright.services.make_card import RangeCard
from tapewright.services.pocket import make_pocket_card
from tapewright.services.print_tape import plan_tape, print_gauge, print_tape
from tapewright.services.print_target import plan_target, print_target
from tapewright.words.stops import stop_lines, stop_title
from tapewright.words.tape import tape_words

Ending = Literal["pdf", "svg"]
Short = Annotated[str, Field(max_length=400)]
Printer = Annotated[
    str, Field(pattern=r"^([0-9a-f]{20})?$", description="A kept printer, whose error is undone.")
]
KINDS = {
    "application/pdf": {"schema": {"type": "string", "format": "binary"}},
    "image/svg+xml": {"schema": {"type": "string"}},
    "image/vnd.dxf": {"schema": {"type": "string"}},
    "application/zip": {"schema": {"type": "string", "format": "binary"}},
}
A_FILE = {
    **REFUSED,
    200: {"description": "The file; several pages of SVG as zip.", "content": KINDS},
}
A_PAGE = {"description": "The page.", "content": {"text/html": {"schema": {"type": "string"}}}}

ROUTER = APIRouter(prefix="/api/rigs/{rig_id}", tags=["printing"], default_response_class=Response)


class Look(BaseModel):
    """How a sheet is to look; empty: as usual."""

    model_config = ConfigDict(extra="forbid")

    paper: Literal["", "A4", "Letter"] = ""
    printer: Printer = ""


class StripLook(Look):
    """How a strip is to look."""

    pointer: Literal["", "left", "right"] = ""
    far_end: Literal["", "down", "up"] = ""
    width: Short = ""


class TapeLook(StripLook):
    """How a tape is to look."""

    distances: Short = ""
    span: Short = ""
    step: Short = ""
    number_every: Literal["", "5", "10"] = ""
    length: Short = ""
    wheel: Short = ""
    thickness: Short = ""
    units: UnitsAsked = "imperial"


class GaugeLook(StripLook):
    """How a gauge strip is to look."""

    start: int = Field(0, ge=0, le=500, description="Number at the low end, in mm.")
    reach: int = Field(80, ge=5, le=300, description="How many mm it measures.")


class TargetLook(Look):
    """How a target is to look."""

    size: Short = Field("", description='Such as "60x90 cm".')
    distance: Short = ""
    tolerance: Short = ""
    grid: Literal["", "in", "cm"] = ""


class CardLook(BaseModel):
    """What a range card shows and how it is printed; empty: as usual."""

    model_config = ConfigDict(extra="forbid")

    distances: Short = ""
    pin: Short = ""
    radius: Short = ""
    units: UnitsAsked = "imperial"
    paper: Literal["A4", "Letter"] = "A4"
    size: Literal["page", "pocket"] = "page"


@ROUTER.get("/tape/{ending}", responses=A_FILE)
def read_tape(
    at: At, rig_id: RigId, ending: Literal["pdf", "svg", "dxf"], look: Annotated[TapeLook, Query()]
) -> Response:
    """The sight tape at true length."""
    said = _said(look)
    asked_m, units = asked_ticks(said, units_of(look.units))
    at.rig(rig_id)
    answer = at.desk.answers.of(at.kept(rig_id), units)
    ticks = usual_ticks(answer, asked_m, units)
    plan = plan_tape(answer, tape_order(answer.rig, ticks, units, said, _proof_mm(at, look)))
    files = print_tape(plan, tape_words(plan, units, at.today), (ending,))
    return send(files, f"{answer.rig.name}-tape")


@ROUTER.get("/gauge/{ending}", responses=A_FILE)
def read_gauge(
    at: At, rig_id: RigId, ending: Ending, look: Annotated[GaugeLook, Query()]
) -> Response:
    """A gauge strip to take readings with."""
    rig = rig_of(at.rig(rig_id))
    order = gauge_order(rig.hand, _said(look), _proof_mm(at, look))
    falls = rig.sight.farther == "decreases"
    ruler = gauge_ruler(look.start, look.reach, order, numbers_fall=falls)
    stops = stop_lines(rig)
    notes = (*stops, f"Printed {at.today}, Tapewright {__version__}")
    files = print_gauge(ruler, order, stop_title(rig.name, stops), notes, (ending,))
    return send(files, f"{rig.name}-gauge")


@ROUTER.get("/target/{ending}", responses=A_FILE)
def read_target(
    at: At, rig_id: RigId, ending: Ending, look: Annotated[TargetLook, Query()]
) -> Response:
    """A sighting target with a measured grid."""
    rig = rig_of(at.rig(rig_id))
    metric = {"in": False, "cm": True}.get(look.grid)
    order, unit = target_order(rig, _said(look), _proof_mm(at, look), metric=metric)
    plan = plan_target(order)
    words = target_words(plan, rig.name, unit, at.today, stop_lines(rig))
    files = print_target(plan, words, (ending,))
    return send(files, f"{rig.name}-target")


@ROUTER.get("/card/{ending}", responses=A_FILE)
def read_card(
    at: At, rig_id: RigId, ending: Ending, look: Annotated[CardLook, Query()]
) -> Response:
    """A range card on paper; in numbers it is at /ask/card."""
    at.rig(rig_id)
    read = units_of(look.units)
    answer = at.desk.answers.of(at.kept(rig_id), read)
    said = Said({"distances": look.distances, "pin": look.pin, "radius": look.radius})
    made: RangeCard = CARD.ask(answer, said, read)
    files = card_files(made, read, at.today, look.paper, (look.size,), (ending,))
    return send(tuple((f".{ending}", one) for _, one in files), f"{answer.rig.name}-card")


@ROUTER.get("/pocket", responses={**REFUSED, 200: A_PAGE})
def read_pocket(at: At, rig_id: RigId, units: UnitsAsked = "imperial") -> Response:
    """A card for a phone: one file that loads nothing from anywhere."""
    at.rig(rig_id)
    read = units_of(units)
    answer = at.desk.answers.of(at.kept(rig_id), read)
    page = pocket_page(make_pocket_card(answer, LISTED_M), read, at.today)
    return Response(page, 200, attachment(f"{answer.rig.name}-pocket.html"), "text/html")


def _said(look: Look) -> Said:
    return Said({name: str(text) for name, text in look.model_dump().items()})


def _proof_mm(at: Visit, look: Look) -> tuple[float, float] | None:
    """What the printer named makes of the proof rulers. [mm]"""
    if not look.printer:
        return None
    printer = at.notebook.entry(look.printer)
    kept_as(printer, KeptPrinter)
    return proof_of(printer)

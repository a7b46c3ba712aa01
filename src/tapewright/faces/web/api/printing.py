"""Printing: tapes, gauge strips, targets and cards as files for other programs.

Holds:  /api/rigs/{rig_id}/tape, /gauge, /target, /card and /pocket; nothing is noted as printed.
Never:  what may be said of a print and how it is planned (printing), drawing.
"""

from collections.abc import Callable
from functools import partial
from typing import Annotated, Any, Literal

from fastapi import APIRouter, Query
from fastapi.responses import Response
from pydantic import BaseModel, ConfigDict, create_model

from tapewright.faces.kept_rigs import rig_of
from tapewright.faces.pocket.card import LISTED_M, pocket_page
from tapewright.faces.web.api.addresses import (
    REFUSED,
    UNITS,
    RigId,
    UnitsAsked,
    file_answer,
    offer,
    queries,
    units_of,
)
from tapewright.faces.web.page_request import At, PageRequest, attachment
from tapewright.faces.web.print_choices import proof_of, send
from tapewright.printing.card import ONE_SIZE, card_files
from tapewright.printing.gauge import PRINT as GAUGE
from tapewright.printing.look import PAPER, PRINTER, read_paper
from tapewright.printing.order import Print, Wish
from tapewright.printing.tape import PRINT as TAPE
from tapewright.printing.tape import asked_ticks
from tapewright.printing.target import PRINT as TARGET
from tapewright.questions.card import QUESTION as CARD
from tapewright.questions.question import Field, Said
from tapewright.services.make_card import RangeCard
from tapewright.services.pocket import make_pocket_card

ID_OR_NONE = r"^([0-9a-f]{20})?$"
MOST_LETTERS = 400
KINDS = {
    "application/pdf": {"schema": {"type": "string", "format": "binary"}},
    "image/svg+xml": {"schema": {"type": "string"}},
    "image/vnd.dxf": {"schema": {"type": "string"}},
    "application/zip": {"schema": {"type": "string", "format": "binary"}},
}
A_FILE = {200: {"description": "The file; several pages of SVG as zip.", "content": KINDS}}
A_PAGE = file_answer("text/html", "The page.", "string")

ROUTER = APIRouter(
    prefix="/api/rigs/{rig_id}",
    tags=["printing"],
    default_response_class=Response,
    responses=REFUSED,
)


def _offer(
    name: str,
    about: str,
    formats: tuple[str, ...],
    fields: tuple[Field, ...],
    call: Callable[..., Response],
    *,
    asks_units: bool,
) -> None:
    """An address that is told the fields of a print and nothing else; empty: as usual."""
    said: dict[str, Any] = queries(fields, MOST_LETTERS)
    if PRINTER in fields:
        said[PRINTER.name] = (str, Query("", pattern=ID_OR_NONE, description=PRINTER.about))
    if asks_units:
        said["units"] = UNITS
    look = create_model(name, __config__=ConfigDict(extra="forbid"), **said)
    asked = {"ending": Literal[formats], "look": Annotated[look, Query()]}
    offer(
        ROUTER, f"/{name}/{{ending}}", call, f"read_{name}", about, Response, asked,
        responses=A_FILE,
    )  # fmt: skip


def _texts(look: BaseModel) -> Said:
    return Said({name: str(text) for name, text in look.model_dump().items()})


def _read_print(
    to_print: Print[Any, Any, Any], at: PageRequest, rig_id: str, ending: str, look: BaseModel
) -> Response:
    """What the address of a print answers."""
    said, units = _texts(look), units_of(getattr(look, "units", ""))
    rig: Any = rig_of(at.rig(rig_id))
    of = at.answer(rig_id, asked_ticks(said, units)[1]) if to_print.is_of_answer else rig
    made = to_print.made_of(of, Wish(said, units, _proof_mm(at, said)), at.today)
    return send(to_print.files(made, (ending,)), f"{rig.name}-{to_print.name}")


def _read_card(at: PageRequest, rig_id: str, ending: str, look: BaseModel) -> Response:
    said, units = _texts(look), units_of(getattr(look, "units", ""))
    answer = at.answer(rig_id, units)
    made: RangeCard = CARD.ask(answer, said, units)
    wish = Wish(said, units)
    paper, size = read_paper(wish), wish.choice(ONE_SIZE)
    files = card_files(made, units, at.today, paper, (size,), (ending,))
    return send(tuple((f".{ending}", one) for _, one in files), f"{answer.rig.name}-card")


def _proof_mm(at: PageRequest, said: Said) -> tuple[float, float] | None:
    """What the printer named makes of the proof rulers. [mm]"""
    if not said.text("printer"):
        return None
    return proof_of(at.notebook.entry(said.text("printer")))


_PRINTS: tuple[Print[Any, Any, Any], ...] = (TAPE, GAUGE, TARGET)
for _print in _PRINTS:
    _fields = (PRINTER, *_print.fields)
    _offer(
        _print.name,
        _print.about,
        _print.formats,
        _fields,
        partial(_read_print, _print),
        asks_units=_print.is_of_answer,
    )
_offer(
    "card",
    "A range card on paper; in numbers it is at /ask/card.",
    ("pdf", "svg"),
    (*CARD.fields, PAPER, ONE_SIZE),
    _read_card,
    asks_units=True,
)


@ROUTER.get("/pocket", responses=A_PAGE)
def read_pocket(at: At, rig_id: RigId, units: UnitsAsked = "imperial") -> Response:
    """A card for a phone: one file that loads nothing from anywhere."""
    read = units_of(units)
    answer = at.answer(rig_id, read)
    page = pocket_page(make_pocket_card(answer, LISTED_M), read, at.today)
    return Response(page, 200, attachment(f"{answer.rig.name}-pocket.html"), "text/html")

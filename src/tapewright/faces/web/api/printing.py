"""Printing: tapes, gauge strips, targets and cards as files for other programs.

Holds:  /api/rigs/{rig_id}/tape, /gauge, /target, /card and /pocket; nothing is noted as printed.
Never:  what may be said of a print and how it is planned (printing), drawing.
"""

from collections.abc import Callable
from inspect import Parameter, Signature
from typing import Annotated, Any, Literal

from fastapi import APIRouter, Query
from fastapi.responses import Response
from pydantic import BaseModel, ConfigDict, create_model

from tapewright.faces.kept_rigs import rig_of
from tapewright.faces.pocket.card import LISTED_M, pocket_page
from tapewright.faces.web.api.queries import parameter
from tapewright.faces.web.api.refusals import REFUSED, RigId, UnitsAsked, units_of
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
from tapewright.services.keep import KeptPrinter, kept_as
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
A_FILE = {
    **REFUSED,
    200: {"description": "The file; several pages of SVG as zip.", "content": KINDS},
}
A_PAGE = {"description": "The page.", "content": {"text/html": {"schema": {"type": "string"}}}}

ROUTER = APIRouter(prefix="/api/rigs/{rig_id}", tags=["printing"], default_response_class=Response)


def _look(name: str, fields: tuple[Field, ...], *, asks_units: bool) -> type[BaseModel]:
    """What an address may say: its fields and nothing else; empty: as usual."""
    said: dict[str, Any] = {field.name: parameter(field, MOST_LETTERS) for field in fields}
    if PRINTER in fields:
        said[PRINTER.name] = (str, Query("", pattern=ID_OR_NONE, description=PRINTER.about))
    if asks_units:
        said["units"] = (UnitsAsked, "imperial")
    return create_model(name, __config__=ConfigDict(extra="forbid"), **said)


def _texts(look: BaseModel) -> Said:
    return Said({name: str(text) for name, text in look.model_dump().items()})


def _of_print(to_print: Print[Any, Any, Any]) -> Callable[..., Response]:
    """What the address of a print does."""

    def read(the_request: PageRequest, rig_id: str, ending: str, look: BaseModel) -> Response:
        said, units = _texts(look), units_of(getattr(look, "units", ""))
        rig: Any = rig_of(the_request.rig(rig_id))
        of = rig
        if to_print.is_of_answer:
            _, typed_units = asked_ticks(said, units)
            of = the_request.app_state.answers.of(the_request.kept(rig_id), typed_units)
        wish = Wish(said, units, _proof_mm(the_request, said))
        made = to_print.made_of(of, wish, the_request.today)
        return send(to_print.files(made, (ending,)), f"{rig.name}-{to_print.name}")

    return read


def _read_card(the_request: PageRequest, rig_id: str, ending: str, look: BaseModel) -> Response:
    the_request.rig(rig_id)
    said, units = _texts(look), units_of(getattr(look, "units", ""))
    answer = the_request.app_state.answers.of(the_request.kept(rig_id), units)
    made: RangeCard = CARD.ask(answer, said, units)
    wish = Wish(said, units)
    paper, size = read_paper(wish), wish.choice(ONE_SIZE)
    files = card_files(made, units, the_request.today, paper, (size,), (ending,))
    return send(tuple((f".{ending}", one) for _, one in files), f"{answer.rig.name}-card")


def _add(
    name: str,
    about: str,
    formats: tuple[str, ...],
    read: Callable[..., Response],
    look: type[BaseModel],
) -> None:
    """An address whose parameters are the fields of a print."""
    kinds = {
        "the_request": At,
        "rig_id": RigId,
        "ending": Literal[formats],
        "look": Annotated[look, Query()],
    }
    asked = [
        Parameter(name, Parameter.KEYWORD_ONLY, annotation=kind) for name, kind in kinds.items()
    ]

    def call(**given: Any) -> Response:  # noqa: ANN401 — parameters, handed on by name
        return read(**given)

    call.__signature__ = Signature(asked, return_annotation=Response)  # type: ignore[attr-defined]
    call.__name__, call.__doc__ = f"read_{name}", about
    ROUTER.add_api_route(f"/{name}/{{ending}}", call, methods=["GET"], responses=A_FILE)


_PRINTS: tuple[Print[Any, Any, Any], ...] = (TAPE, GAUGE, TARGET)
for _print in _PRINTS:
    _fields = (PRINTER, *_print.fields)
    _wishes = _look(_print.name, _fields, asks_units=_print.is_of_answer)
    _add(_print.name, _print.about, _print.formats, _of_print(_print), _wishes)
_add(
    "card",
    "A range card on paper; in numbers it is at /ask/card.",
    ("pdf", "svg"),
    _read_card,
    _look("card", (*CARD.fields, PAPER, ONE_SIZE), asks_units=True),
)


@ROUTER.get("/pocket", responses={**REFUSED, 200: A_PAGE})
def read_pocket(at: At, rig_id: RigId, units: UnitsAsked = "imperial") -> Response:
    """A card for a phone: one file that loads nothing from anywhere."""
    at.rig(rig_id)
    read = units_of(units)
    answer = at.app_state.answers.of(at.kept(rig_id), read)
    page = pocket_page(make_pocket_card(answer, LISTED_M), read, at.today)
    return Response(page, 200, attachment(f"{answer.rig.name}-pocket.html"), "text/html")


def _proof_mm(at: PageRequest, said: Said) -> tuple[float, float] | None:
    """What the printer named makes of the proof rulers. [mm]"""
    if not said.text("printer"):
        return None
    printer = at.notebook.entry(said.text("printer"))
    kept_as(printer, KeptPrinter)
    return proof_of(printer)

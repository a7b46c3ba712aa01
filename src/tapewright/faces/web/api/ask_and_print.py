"""Ask and print: the calibration, every question to it and everything printed, for other programs.

Holds:  /api/rigs/{rig_id}/calibration and /ask/{name}; /tape, /gauge, /target, /card and /pocket
        as files, none of them noted as printed.
Never:  what a question asks or finds (questions), how a print is planned (printing), drawing.
"""

from collections.abc import Callable
from functools import partial
from typing import Annotated, Any, Literal

from fastapi import APIRouter, Query
from fastapi.responses import Response
from pydantic import BaseModel, ConfigDict, create_model

from tapewright.faces.kept_rigs import rig_of
from tapewright.faces.pocket.page import LISTED_M, pocket_page
from tapewright.faces.rig_progress import subject_of
from tapewright.faces.web.api import endpoints as api
from tapewright.faces.web.api.endpoints import RigId, UnitsAsked, units_of
from tapewright.faces.web.api.offline_pack import carried_of, pack_of
from tapewright.faces.web.api.schemas import Anything
from tapewright.faces.web.page_request import At, PageRequest, attachment
from tapewright.faces.web.print_choices import proof_of, send
from tapewright.printing.card import ONE_SIZE, card_files
from tapewright.printing.gauge import PRINT as GAUGE
from tapewright.printing.handover import PRINT as HANDOVER
from tapewright.printing.print_fields import PAPER, PRINTER, read_paper
from tapewright.printing.print_record import Print, Wish
from tapewright.printing.tape import PRINT as TAPE
from tapewright.printing.tape import asked_ticks
from tapewright.printing.target import PRINT as TARGET
from tapewright.questions.all_questions import all_questions
from tapewright.questions.card import QUESTION as CARD
from tapewright.questions.fit import calibration_json
from tapewright.questions.question import Field, Question, Said, heard
from tapewright.services.calibrate import answer_at
from tapewright.services.pocket import make_pocket_card
from tapewright.words.quantity_parser import read_distances
from tapewright.words.stops import stop_lines
from tapewright.words.trust_sentences import with_stops

ROUTER = APIRouter(prefix="/api/rigs/{rig_id}", responses=api.REFUSED)

LAST = {"yd": 120, "m": 110}
MOST_ASKED, MOST_PRINTED = 20_000, 400  # letters of a field
ID_OR_NONE = r"^([0-9a-f]{20})?$"
BYTES, TEXT = {"type": "string", "format": "binary"}, {"type": "string"}
KINDS = {"application/pdf": BYTES, "image/svg+xml": TEXT, "image/vnd.dxf": TEXT,
         "application/zip": BYTES}  # fmt: skip
FILE = {
    "description": "The file; several pages of SVG as zip.",
    "content": {kind: {"schema": schema} for kind, schema in KINDS.items()},
}
Distances = Annotated[str, Query(max_length=400, description='Such as "20:60:10yd" or "18,30 m".')]


@ROUTER.get("/calibration", tags=["asking"])
def read_calibration(
    at: At, rig_id: RigId, units: UnitsAsked = "imperial", distances: Distances = ""
) -> Anything:
    """The calibration of a rig as it stands, as ``fit --json`` writes it."""
    read = units_of(units)
    usual = f"10:{LAST[read.distance]}:10{read.distance}"
    wanted_m = read_distances(distances.strip() or usual, "distances").distances_m
    return calibration_json(answer_at(at.answer(rig_id, read), wanted_m), read)


def _ask(
    question: Question[Any], at: PageRequest, /, rig_id: str, units: str, **texts: str
) -> Anything:
    read = units_of(units)
    answer = at.answer(rig_id, read)
    subject = subject_of(at.notebook, rig_id, answer, question, at.today)
    written = question.write(question.ask(subject, Said(heard(question.fields, texts)), read), read)
    return with_stops(written, stop_lines(answer.rig))


for _one in all_questions().values():
    api.offer(
        ROUTER, f"/ask/{_one.name}", partial(_ask, _one), f"ask_{_one.name}",
        f"{_one.title}: {_one.about}", Anything,
        {"units": api.UNITS} | api.queries(_one.fields, MOST_ASKED), tags=["asking"],
    )  # fmt: skip


def _offer_file(
    name: str,
    about: str,
    formats: tuple[str, ...],
    fields: tuple[Field, ...],
    call: Callable[..., Response],
    units: dict[str, Any],
) -> None:
    """An address that is told the fields of a print and nothing else; empty: as usual."""
    said: dict[str, Any] = api.queries(fields, MOST_PRINTED)
    if PRINTER in fields:
        said[PRINTER.name] = (str, Query("", pattern=ID_OR_NONE, description=PRINTER.about))
    look = create_model(name, __config__=ConfigDict(extra="forbid"), **said, **units)
    api.offer(
        ROUTER, f"/{name}/{{ending}}", call, f"read_{name}", about, Response,
        {"ending": Literal[formats], "look": Annotated[look, Query()]},
        responses={200: FILE}, response_class=Response, tags=["printing"],
    )  # fmt: skip


def _texts(look: BaseModel, fields: tuple[Field, ...]) -> Said:
    said = {name: str(text) for name, text in look.model_dump().items()}
    return Said(heard(fields, said))


def _read_print(
    to_print: Print[Any, Any, Any], at: PageRequest, rig_id: str, ending: str, look: BaseModel
) -> Response:
    """What the address of a print answers; a printer named undoes its error."""
    said, units = _texts(look, to_print.fields), units_of(getattr(look, "units", ""))
    rig: Any = rig_of(at.rig(rig_id))
    of = at.answer(rig_id, asked_ticks(said, units)[1]) if to_print.is_of_answer else rig
    printer = at.notebook.entry(said.text("printer")) if said.text("printer") else None
    made = to_print.made_of(of, Wish(said, units, proof_of(printer)), at.today)
    return send(to_print.files(made, (ending,)), f"{rig.name}-{to_print.name}")


def _read_card(at: PageRequest, rig_id: str, ending: str, look: BaseModel) -> Response:
    said, units = _texts(look, CARD.fields), units_of(getattr(look, "units", ""))
    answer, wish = at.answer(rig_id, units), Wish(said, units)
    made = CARD.ask(answer, said, units)
    paper, size = read_paper(wish), wish.choice(ONE_SIZE)
    files = card_files(made, units, at.today, paper, (size,), (ending,))
    return send(tuple((f".{ending}", one) for _, one in files), f"{answer.rig.name}-card")


_PRINTS: tuple[Print[Any, Any, Any], ...] = (TAPE, GAUGE, TARGET, HANDOVER)
for _print in _PRINTS:
    _units: dict[str, Any] = {"units": api.UNITS} if _print.is_of_answer else {}
    _fields, _call = (PRINTER, *_print.fields), partial(_read_print, _print)
    _offer_file(_print.name, _print.about, _print.formats, _fields, _call, _units)
_offer_file(
    "card", "A range card on paper; in numbers it is at /ask/card.", ("pdf", "svg"),
    (*CARD.fields, PAPER, ONE_SIZE), _read_card, {"units": api.UNITS},
)  # fmt: skip


@ROUTER.get(
    "/pocket",
    response_class=Response,
    responses=api.file_answer("text/html", "The page.", "string"),
    tags=["printing"],
)
def read_pocket(at: At, rig_id: RigId, units: UnitsAsked = "imperial") -> Response:
    """A card for a phone: one file that loads nothing from anywhere."""
    read = units_of(units)
    answer = at.answer(rig_id, read)
    pack = pack_of(at, rig_id, read, carried_of(at, rig_id, read))
    page = pocket_page(make_pocket_card(answer, LISTED_M), read, at.today, pack)
    return Response(page, 200, attachment(f"{answer.rig.name}-pocket.html"), "text/html")

"""Printed sheets: tape, gauge strip and target: chosen, seen at once, taken home as a file.

Holds:  /rigs/{rig_id}/tape, /gauge and /target, their previews and files; the print noted.
Never:  what may be said of a print and how it is planned (printing), how it is drawn.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import Any, cast

from fastapi import APIRouter
from fastapi.responses import Response
from starlette.exceptions import HTTPException

from tapewright.faces.kept_rigs import rig_of
from tapewright.faces.web.calibrations import Known
from tapewright.faces.web.forms import Form
from tapewright.faces.web.page_request import At, Fields, PageRequest
from tapewright.faces.web.print_choices import (
    Printed,
    choices,
    chosen_printer,
    faulty,
    note_print,
    picture,
    proof_of,
    refuse,
    send,
    shared,
)
from tapewright.ground.errors import TapewrightError
from tapewright.printing.gauge import PRINT as GAUGE
from tapewright.printing.order import Print, Wish
from tapewright.printing.tape import PRINT as TAPE
from tapewright.printing.tape import asked_ticks
from tapewright.printing.target import PRINT as TARGET
from tapewright.services.calibrate_kept import Answer
from tapewright.services.print_tape import can_engrave
from tapewright.words.blocks import Mind

ROUTER = APIRouter(include_in_schema=False)

AnyPrint = Print[Any, Any, Any]
PICTURES = {"tape": "strip", "gauge": "gauge-strip", "target": "target-sheet"}
PRINTS: tuple[AnyPrint, ...] = (TAPE, GAUGE, TARGET)
MOST_MADE = 32


@dataclass
class _Shown:
    """A print, and what is seen of it once somebody looks."""

    to_print: AnyPrint
    made: Any
    fingerprint: str = ""  # of the calibration it is made of

    @cached_property
    def drawn(self) -> str:
        """What a page shows of it, as SVG."""
        assert self.to_print.preview is not None
        return self.to_print.preview(self.made)

    @property
    def words(self) -> dict[str, Any]:
        """What a page says of it."""
        assert self.to_print.seen is not None
        told = self.to_print.tell(self.made)
        minds = tuple(block for block in told if isinstance(block, Mind))
        seen = self.to_print.seen(self.made)
        return {"made": self.made, "seen": seen, "told": told, "cautions": minds}


def _page(to_print: AnyPrint) -> Callable[[PageRequest, str], Response]:
    """Choose the look and see it."""

    def page(at: At, rig_id: str) -> Response:
        rig, form = at.rig(rig_id), choices(at, to_print)
        shown = _shown(at, rig_id, to_print, form)
        if shown is not None:
            form.read("", lambda: shown.drawn, "")
        words = shown.words if shown is not None else {}
        things = shared(at, rig_id, to_print, form) | words
        return at.page(f"{to_print.name}.html", rig=rig, engraves=can_engrave(), **things)

    return page


def _printed(to_print: AnyPrint) -> Callable[[PageRequest, str, dict[str, str]], Response]:
    """Note that it is printed, and hand it over."""

    def printed(at: At, rig_id: str, fields: Fields) -> Response:
        form = choices(at, to_print, fields)
        shown = _shown(at, rig_id, to_print, form)
        if shown is None:
            return faulty(at, form, to_print.fields)
        to_print.files(shown.made, ("pdf",))  # what cannot be printed is not noted
        name = cast("Printed", to_print.name)
        return note_print(at, rig_id, name, form, shown.fingerprint)

    return printed


def _picture(to_print: AnyPrint) -> Callable[[PageRequest, str], Response]:
    """What a page shows of it, as it is printed."""

    def seen(at: At, rig_id: str) -> Response:
        form = choices(at, to_print)
        shown = _shown(at, rig_id, to_print, form)
        return faulty(at, form, to_print.fields) if shown is None else picture(shown.drawn)

    return seen


def _file(to_print: AnyPrint) -> Callable[[PageRequest, str, str], Response]:
    """The file alone; nothing is noted."""

    def file(at: At, rig_id: str, ending: str) -> Response:
        if ending not in to_print.formats:
            raise HTTPException(404)
        form, rig = choices(at, to_print), rig_of(at.rig(rig_id))
        shown = _shown(at, rig_id, to_print, form)
        if shown is None:
            return faulty(at, form, to_print.fields)
        return send(to_print.files(shown.made, (ending,)), f"{rig.name}-{to_print.name}")

    return file


for _print in PRINTS:
    _here = f"/rigs/{{rig_id}}/{_print.name}"
    ROUTER.add_api_route(_here, _page(_print), methods=["GET"])
    ROUTER.add_api_route(_here, _printed(_print), methods=["POST"])
    _there = f"/rigs/{{rig_id}}/{PICTURES[_print.name]}.svg"
    ROUTER.add_api_route(_there, _picture(_print), methods=["GET"])
    ROUTER.add_api_route(f"{_here}.{{ending}}", _file(_print), methods=["GET"])


def _shown(at: PageRequest, rig_id: str, to_print: AnyPrint, form: Form) -> _Shown | None:
    """The print asked for; None with the faults in the form."""
    rig = rig_of(at.rig(rig_id))
    wish = Wish(form.said, at.units, proof_of(chosen_printer(at, form)), form.read)
    try:
        of = _answer(at, rig_id, form) if to_print.is_of_answer else rig
        order = to_print.order(of, wish)
        if not form.is_good:
            return None
        if isinstance(of, Answer):
            return _remembered(to_print.name, Known(of), order, at.today)
        return _Shown(to_print, to_print.make(of, order, at.today))
    except TapewrightError as refused:
        refuse(form, refused)
        return None


def _answer(at: PageRequest, rig_id: str, form: Form) -> Answer:
    """Calibration in the units of the distances typed; a fault of them is told by the order."""
    try:
        _, units = asked_ticks(form.said, at.units)
    except TapewrightError:
        units = at.units
    return at.app_state.answers.of(at.kept(rig_id), units)


@lru_cache(maxsize=MOST_MADE)
def _remembered(name: str, known: Known, order: object, today: str) -> _Shown:
    to_print = next(one for one in PRINTS if one.name == name)
    return _Shown(to_print, to_print.make(known.answer, order, today), known.answer.fingerprint)

"""Sheets: what is printed before there is a tape: the gauge strip and the sighting target.

Holds:  /rigs/{rig_id}/gauge and /rigs/{rig_id}/target, their previews and files; prints noted.
Never:  how they are drawn (drawing), what a text means (faces/orders.py).
"""

from fastapi import APIRouter
from fastapi.responses import Response
from starlette.exceptions import HTTPException

from tapewright import __version__
from tapewright.faces.kept import rig_of
from tapewright.faces.orders import gauge_order, gauge_ruler, target_order
from tapewright.faces.target_wording import sheets_words, target_words
from tapewright.faces.web.forms import Form
from tapewright.faces.web.printing import (
    check_look,
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
from tapewright.faces.web.visit import At, Fields, Visit
from tapewright.ground.errors import TapewrightError
from tapewright.services.equip import Rig
from tapewright.services.print_tape import Gauge, TapeOrder, gauge_preview, print_gauge
from tapewright.services.print_target import (
    PlannedTarget,
    TargetWords,
    plan_target,
    print_target,
)
from tapewright.words.stops import stop_lines, stop_title

ROUTER = APIRouter(include_in_schema=False)

GAUGE = ("paper", "printer", "pointer", "far_end", "start", "reach", "width")
TARGET = ("paper", "printer", "size", "distance", "tolerance", "grid")
START_ENDS_MM, REACH_ENDS_MM = (0, 500), (5, 300)
GRIDS = {"in": False, "cm": True}


@ROUTER.get("/rigs/{rig_id}/gauge")
def gauge_page(at: At, rig_id: str) -> Response:
    """Choose the gauge strip's look and see it."""
    rig = at.rig(rig_id)
    form = choices(at, GAUGE)
    found = _gauge(at, rig_of(rig), form)
    seen = "" if found is None else _gauge_seen(*found)
    if found is not None:
        form.read("reach", lambda: gauge_preview(*found), "")
    things = shared(at, rig_id, "gauge", form, rig_of(rig).hand)
    return at.page("gauge.html", rig=rig, seen=seen, **things)


@ROUTER.post("/rigs/{rig_id}/gauge")
def gauge_printed(at: At, rig_id: str, fields: Fields) -> Response:
    """Note that this gauge strip is printed, and hand it over."""
    form = choices(at, GAUGE, fields)
    found = _gauge(at, rig_of(at.rig(rig_id)), form)
    if found is None:
        return faulty(at, form)
    print_gauge(*found, "", (), ("pdf",))  # what cannot be printed is not noted
    return note_print(at, rig_id, "gauge", form)


@ROUTER.get("/rigs/{rig_id}/gauge-strip.svg")
def gauge_picture(at: At, rig_id: str) -> Response:
    """One gauge strip, as it is printed."""
    form = choices(at, GAUGE)
    found = _gauge(at, rig_of(at.rig(rig_id)), form)
    return faulty(at, form) if found is None else picture(gauge_preview(*found))


@ROUTER.get("/rigs/{rig_id}/gauge.{ending}")
def gauge_file(at: At, rig_id: str, ending: str) -> Response:
    """The gauge strip as a file; nothing is noted."""
    _refuse_unknown(ending)
    form, rig = choices(at, GAUGE), rig_of(at.rig(rig_id))
    found = _gauge(at, rig, form)
    if found is None:
        return faulty(at, form)
    stops = stop_lines(rig)
    notes = (*stops, f"Printed {at.today}, Tapewright {__version__}")
    files = print_gauge(*found, stop_title(rig.name, stops), notes, (ending,))
    return send(files, f"{rig.name}-gauge")


def _gauge(at: Visit, rig: Rig, form: Form) -> tuple[Gauge, TapeOrder] | None:
    """The gauge strip asked for; None with the faults in the form."""
    proof_mm = proof_of(chosen_printer(at, form))
    start_mm = form.read("start", lambda: form.said.whole("start", 0, START_ENDS_MM), 0)
    reach_mm = form.read("reach", lambda: form.said.whole("reach", 80, REACH_ENDS_MM), 80)
    order = gauge_order(rig.hand, form.said, proof_mm, form.read)
    numbers_fall = rig.sight.farther == "decreases"
    try:
        ruler = gauge_ruler(start_mm, reach_mm, order, numbers_fall=numbers_fall)
        check_look(form, order)
    except TapewrightError as refused:
        refuse(form, refused)
    return (ruler, order) if form.is_good else None


def _gauge_seen(ruler: Gauge, order: TapeOrder) -> str:
    grow = "down" if ruler.grows == "down" else "up"
    return (
        f"Ruler from {ruler.start_mm} to {ruler.start_mm + ruler.length_mm} mm, "
        f"{order.width_mm:g} mm wide, numbers growing {grow}"
    )


@ROUTER.get("/rigs/{rig_id}/target")
def target_page(at: At, rig_id: str) -> Response:
    """Choose the target and see it."""
    rig = at.rig(rig_id)
    form = choices(at, TARGET)
    found = _target(at, rig_of(rig), form)
    seen = "" if found is None else f"{sheets_words(found[0])} {found[1].notes[0]}"
    things = shared(at, rig_id, "target", form, rig_of(rig).hand)
    return at.page("target.html", rig=rig, seen=seen, **things)


@ROUTER.post("/rigs/{rig_id}/target")
def target_printed(at: At, rig_id: str, fields: Fields) -> Response:
    """Note that this target is printed, and hand it over."""
    form = choices(at, TARGET, fields)
    found = _target(at, rig_of(at.rig(rig_id)), form)
    return faulty(at, form) if found is None else note_print(at, rig_id, "target", form)


@ROUTER.get("/rigs/{rig_id}/target-sheet.svg")
def target_picture(at: At, rig_id: str) -> Response:
    """The first sheet of a target, as it is printed."""
    form = choices(at, TARGET)
    found = _target(at, rig_of(at.rig(rig_id)), form)
    if found is None:
        return faulty(at, form)
    return picture(print_target(*found, ("svg",))[0][1].decode())


@ROUTER.get("/rigs/{rig_id}/target.{ending}")
def target_file(at: At, rig_id: str, ending: str) -> Response:
    """The target as a file; nothing is noted."""
    _refuse_unknown(ending)
    form, rig = choices(at, TARGET), rig_of(at.rig(rig_id))
    found = _target(at, rig, form)
    if found is None:
        return faulty(at, form)
    return send(print_target(*found, (ending,)), f"{rig.name}-target")


def _target(at: Visit, rig: Rig, form: Form) -> tuple[PlannedTarget, TargetWords] | None:
    """The target asked for; None with the faults in the form."""
    proof_mm = proof_of(chosen_printer(at, form))
    usually_metric = at.units.distance == "m"
    order, distance_unit = target_order(
        rig, form.said, proof_mm, form.read,
        metric=GRIDS.get(form["grid"]), usually_metric=usually_metric,
    )  # fmt: skip
    if not form.is_good:
        return None
    try:
        plan = plan_target(order)
        return plan, target_words(plan, rig.name, distance_unit, at.today, stop_lines(rig))
    except TapewrightError as refused:
        refuse(form, refused)
    return None


def _refuse_unknown(ending: str) -> None:
    if ending not in ("pdf", "svg"):
        raise HTTPException(404)

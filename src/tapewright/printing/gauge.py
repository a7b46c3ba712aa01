"""Gauge: print a gauge strip to take readings with.

Holds:  its fields and order; its title and notes; the print.
Never:  what stands on a tape (tape.py), drawing.
"""

from dataclasses import dataclass, replace
from functools import partial

from tapewright import __version__
from tapewright.printing import print_fields
from tapewright.printing.print_record import Files, Print, Wish
from tapewright.printing.tape import check_look
from tapewright.questions.question import Field
from tapewright.services.equip import Rig
from tapewright.services.print_gauge import Gauge, gauge_preview, print_gauge
from tapewright.services.print_tape import TapeOrder
from tapewright.words.answer_blocks import Mind
from tapewright.words.cautions import SAFETY, safety_of
from tapewright.words.printable_names import sheet_names
from tapewright.words.stops import stop_lines, stop_title

START = Field(
    "start", "First number, mm", "0", hint="At the low end.", takes="NUMBER", ends=(0, 500)
)
REACH = Field(
    "reach", "Length, mm", "80", hint="As long as your sight travels.", takes="NUMBER",
    ends=(5, 300),
)  # fmt: skip
FIELDS = (
    print_fields.PAPER, print_fields.POINTER,
    replace(print_fields.FAR_END, label="Far distances will stand",
            hint="The numbers run as the rig sheet says they do."),
    START, REACH, replace(print_fields.WIDTH, usual="12 mm"),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class GaugeOrder:
    """The ruler wanted, and how its strip and paper look."""

    ruler: Gauge
    look: TapeOrder


@dataclass(frozen=True, slots=True)
class MadeGauge:
    """A gauge strip with its words."""

    order: GaugeOrder
    title: str
    notes: tuple[str, ...]
    printed: str  # date
    cautions: tuple[str, ...]
    unwritten: tuple[str, ...] = ()  # what the screen says of a name that paper cannot hold


def gauge_ruler(start_mm: int, reach_mm: int, order: TapeOrder, *, numbers_fall: bool) -> Gauge:
    """The ruler itself; its numbers run as the sight's do toward the far end."""
    other_end: print_fields.End = "up" if order.far_end == "down" else "down"
    return Gauge(start_mm, reach_mm, other_end if numbers_fall else order.far_end)


def gauge_look(hand: str, wish: Wish) -> TapeOrder:
    """Look and paper of a gauge strip for a right- or left-handed archer."""
    order = TapeOrder(
        unit="yd",
        distances=(20.0, 60.0),
        width_mm=wish.length_mm("width") or print_fields.usual_width_mm(0),
        pointer=print_fields.read_pointer(wish, hand),
        far_end=print_fields.read_far_end(wish),
        paper=print_fields.read_paper(wish),
        proof_mm=wish.proof_mm,
    )
    check_look(order, wish)
    return order


def _order(rig: Rig | None, wish: Wish) -> GaugeOrder:
    start_mm, reach_mm = (
        wish.read(field.name, partial(wish.said.whole_of, field), int(field.usual))
        for field in (START, REACH)
    )
    strip = gauge_look(rig.hand if rig else "right", wish)
    numbers_fall = rig is not None and rig.sight.farther == "decreases"
    return GaugeOrder(gauge_ruler(start_mm, reach_mm, strip, numbers_fall=numbers_fall), strip)


def _make(rig: Rig | None, order: GaugeOrder, date: str) -> MadeGauge:
    stops = stop_lines(rig) if rig else ()
    name, unwritten = sheet_names(rig) if rig else ("Gauge strip", ())
    notes = (*stops, f"Printed {date}, Tapewright {__version__}")
    cautions = safety_of(rig) if rig else SAFETY
    return MadeGauge(order, stop_title(name, stops), notes, date, cautions, unwritten)


def _files(made: MadeGauge, formats: tuple[str, ...]) -> Files:
    ruler, strip = made.order.ruler, made.order.look
    return print_gauge(ruler, strip, made.title, made.notes, formats, made.cautions, made.printed)


def _seen(made: MadeGauge) -> str:
    ruler, width_mm = made.order.ruler, made.order.look.width_mm
    return (
        f"Ruler from {ruler.start_mm} to {ruler.start_mm + ruler.length_mm} mm, "
        f"{width_mm:g} mm wide, numbers growing {ruler.grows}"
    )


PRINT: Print[Rig | None, GaugeOrder, MadeGauge] = Print(
    "gauge",
    "Print a gauge strip to take readings with.",
    "A plain mm ruler to stick on the sight. Its numbers run as the rig sheet says they do toward "
    "--far-end. Leave it on while you shoot; the tape replaces it later.",
    FIELDS, ("pdf", "svg"), ("pdf", "svg"),
    _order, _make, _files, lambda made: tuple(map(Mind, made.unwritten)),
    preview=lambda made: gauge_preview(made.order.ruler, made.order.look), seen=_seen,
    for_rig=lambda rig: print_fields.in_place(FIELDS, print_fields.pointer_of(rig.hand)),
)  # fmt: skip

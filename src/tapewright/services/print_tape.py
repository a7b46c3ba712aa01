"""Print tape: marks to millimetres, millimetres to a sheet, a sheet to files.

Holds:  the TapeOrder, PlannedTape and TapeWords records; the errands of tape and gauge strip.
Never:  formulas, sentences, file names.
"""

from dataclasses import dataclass
from importlib.util import find_spec
from math import isfinite
from typing import Literal

import numpy as np

from tapewright.confidence.bands import drawn_marks
from tapewright.confidence.limits import ReadingLimits
from tapewright.confidence.strips import StripMarks, strip_marks
from tapewright.drawing.dxf import dxf_text
from tapewright.drawing.files import sheet_files
from tapewright.drawing.gauge import Gauge
from tapewright.drawing.paper import PAPERS
from tapewright.drawing.sheet import (
    PrinterCorrection,
    Sheet,
    WheelWrap,
    gauge_sheet,
    gauge_strip_sheet,
    strip_sheet,
    tape_sheets,
)
from tapewright.drawing.svg import svg_text
from tapewright.drawing.tape import Column, Look, Mark, Strip
from tapewright.ground.errors import BadInput
from tapewright.ground.units import YARD_M
from tapewright.services.calibrate import Answer
from tapewright.services.stops import refuse_stopped

__all__ = [
    "Gauge",
    "PlannedTape",
    "TapeOrder",
    "TapeWords",
    "can_engrave",
    "gauge_preview",
    "plan_tape",
    "print_gauge",
    "print_sheets",
    "print_tape",
    "tape_preview",
]

MM_PER_M = 1000.0


@dataclass(frozen=True, slots=True)
class TapeOrder:
    """What kind of tape the archer wants; distances in the unit printed.

    Parameters
    ----------
    unit : str
        ``"yd"`` or ``"m"``.
    distances : tuple of float
        Ticks. [yd or m]
    span : (float, float)
        Near and far distance between which strips are told apart. [yd or m]
    step_mm : float or None
        Difference of the neighbours' spans; None: from the band. [mm]
    width_mm : float
        Of the strip. [mm]
    length_mm : float or None
        Of the strip; None: as long as needed. [mm]
    pointer : str
        ``"right"`` or ``"left"``: the side of the strip where the pointer stands.
    far_end : str
        ``"down"`` or ``"up"``.
    number_every : int
        5 or 10.
    paper : str
        ``"A4"`` or ``"Letter"``.
    proof_mm : (float, float) or None
        What the last print's proof rulers measured, across and down. [mm]
    wheel_mm : (float, float) or None
        Diameter of the wheel and thickness of the strip, when readings were taken on bare
        metal. [mm]
    """

    unit: Literal["yd", "m"]
    distances: tuple[float, ...]
    span: tuple[float, float]
    step_mm: float | None = None
    width_mm: float = 12.0
    length_mm: float | None = None
    pointer: Literal["right", "left"] = "right"
    far_end: Literal["down", "up"] = "down"
    number_every: Literal[5, 10] = 5
    paper: Literal["A4", "Letter"] = "A4"
    proof_mm: tuple[float, float] | None = None
    wheel_mm: tuple[float, float] | None = None

    @property
    def unit_m(self) -> float:
        """The printed unit in metres. [m]"""
        return YARD_M if self.unit == "yd" else 1.0

    @property
    def look(self) -> Look:
        """The strip's look, as the drawing wing knows it."""
        return Look(
            self.unit,
            self.width_mm,
            self.pointer,
            self.far_end,
            self.number_every,
            self.length_mm,
        )

    @property
    def wrap(self) -> WheelWrap | None:
        """The wheel, as the drawing wing knows it."""
        return None if self.wheel_mm is None else WheelWrap(*self.wheel_mm)

    @property
    def correction(self) -> PrinterCorrection:
        """The printer's error, as the drawing wing knows it."""
        across_mm, down_mm = self.proof_mm or (100.0, 100.0)
        return PrinterCorrection(across_mm / 100.0, down_mm / 100.0)


@dataclass(frozen=True)
class PlannedTape:
    """Three strips in numbers, before words and ink.

    Parameters
    ----------
    order : TapeOrder
        What was asked for.
    answer : Answer
        What it is made from.
    strips : three StripMarks
        Span one step less, the likeliest, one step more.
    near_mm : float
        The near mark: where the strip is aligned. [mm]
    span_band_mm : (float, float)
        Between which the true span lies with 90 % chance. [mm]
    """

    order: TapeOrder
    answer: Answer
    strips: tuple[StripMarks, StripMarks, StripMarks]
    near_mm: float
    span_band_mm: tuple[float, float]

    @property
    def limits(self) -> ReadingLimits:
        """Readings past which no tick is printed."""
        return self.answer.limits

    @property
    def spans_mm(self) -> tuple[float, ...]:
        """Span of each strip. [mm]"""
        return tuple(MM_PER_M * strip.span_m for strip in self.strips)

    def kept(self, place: int, pin: int) -> tuple[tuple[float, float], ...]:
        """Ticks of a pin on a strip, as distance [yd or m] and reading [m].

        Parameters
        ----------
        place : int
            Strip, 0 the first. [-]
        pin : int
            Pin, 0 the first; lower ones are for far shots. [-]

        Returns
        -------
        tuple of (float, float)
            Those that the sight reaches: no clash with the arrow, no end of a travel or arm.
        """
        turning = self.answer.turning_m / self.order.unit_m
        readings = self.strips[place].reading_m[pin][:-1]
        allowed = self.limits.allows(readings)
        return tuple(
            (distance, float(reading_m))
            for distance, reading_m, may in zip(
                self.order.distances, readings, allowed, strict=True
            )
            if isfinite(reading_m)  # else past the end of a pivoting arm
            and (pin == 0 or distance >= turning)
            and may
        )

    @property
    def last_ticks(self) -> tuple[float | None, ...]:
        """Farthest tick of each pin whose farther ones a limit takes away; None: all stand."""
        last = max(self.order.distances)
        ends = (self.kept(1, pin)[-1][0] for pin in range(len(self.answer.trusted_m)))
        return tuple(end if end < last else None for end in ends)


@dataclass(frozen=True, slots=True)
class TapeWords:
    """The sentences on a sheet; people's words come from the faces.

    Parameters
    ----------
    title : str
        Name of the rig.
    strip_names : tuple of str
        One for each strip.
    advice : tuple of str
        For each strip: where on the sight to stick it, or when to take it.
    pin_names : tuple of str
        Head of each column.
    notes, cautions : tuple of str
        Small print, and what must be read before shooting.
    code : str, default none
        Plain text for a code to scan.
    """

    title: str
    strip_names: tuple[str, ...]
    advice: tuple[str, ...]
    pin_names: tuple[str, ...]
    notes: tuple[str, ...]
    cautions: tuple[str, ...]
    code: str = ""


def plan_tape(answer: Answer, order: TapeOrder) -> PlannedTape:
    """The likeliest strip and its neighbours, in numbers.

    Parameters
    ----------
    answer : Answer
        A calibration.
    order : TapeOrder
        What is wanted.

    Returns
    -------
    PlannedTape
        Ready for words.

    Raises
    ------
    BadInput
        If the sight does not move from the near to the far distance of the span, or its limits
        leave a pin no distance.
    Withheld
        If the set-up must not be shot.
    """
    refuse_stopped(answer.rig)
    unit_m = order.unit_m
    near_m, far_m = (end * unit_m for end in order.span)
    step_m = None if order.step_mm is None else order.step_mm / MM_PER_M
    # The near distance rides along, so that the alignment is computed with the strips.
    distance_m = np.array([*order.distances, order.span[0]]) * unit_m
    strips = strip_marks(answer.posterior, distance_m, near_m, far_m, step_m)
    near_mm = MM_PER_M * float(strips[1].reading_m[0, -1])
    if not all(strip.span_m > 0.0 for strip in strips):  # or nan: past the end of an arm
        near, far = order.span
        wrong = f"the sight does not move that way from {near:g} to {far:g} {order.unit}"
        past = f"{answer.turning_m / unit_m:.0f} {order.unit}"
        raise BadInput("span", wrong, f"Choose a near distance past {past} and a far one in reach")
    ends_m = drawn_marks(answer.posterior, [near_m, far_m])
    low_m, high_m = np.quantile(np.abs(ends_m[:, 1] - ends_m[:, 0]), [0.05, 0.95])
    band_mm = MM_PER_M * float(low_m), MM_PER_M * float(high_m)
    plan = PlannedTape(order, answer, strips, near_mm, band_mm)
    for pin in range(len(answer.trusted_m)):
        if not all(plan.kept(place, pin) for place in range(len(strips))):
            wrong = f"the sight's limits leave pin {pin + 1} none of the distances asked for"
            mend = "Check clearance_reading, travel_ends and housing_below_pin in the sheet"
            raise BadInput("--distances", wrong, f"{mend}, or ask for other distances")
    return plan


def _strip(plan: PlannedTape, place: int, words: TapeWords) -> Strip:
    answer, unit_m = plan.answer, plan.order.unit_m
    columns = tuple(
        Column(
            words.pin_names[pin],
            tuple(
                Mark(
                    distance,
                    MM_PER_M * reading_m,
                    trusted=distance * unit_m <= answer.trusted_m[pin] + 1e-6,
                    close=distance * unit_m < answer.turning_m,
                )
                for distance, reading_m in plan.kept(place, pin)
            ),
        )
        for pin in range(len(answer.trusted_m))
    )
    return Strip(words.strip_names[place], columns, words.advice[place])


def print_sheets(plan: PlannedTape, words: TapeWords) -> tuple[Sheet, ...]:
    """The sheets of a tape.

    Parameters
    ----------
    plan : PlannedTape
        The strips in numbers.
    words : TapeWords
        The sentences.

    Returns
    -------
    tuple of Sheet
        One or more.

    Raises
    ------
    DoesNotFit
        If a strip or the words are larger than the paper.
    """
    order = plan.order
    return tape_sheets(
        tuple(_strip(plan, place, words) for place in range(len(plan.strips))),
        order.look,
        words.title,
        paper=PAPERS[order.paper],
        notes=words.notes,
        cautions=words.cautions,
        correction=order.correction,
        wrap=order.wrap,
        cells=_cells(words.code),
    )


def can_engrave() -> bool:
    """Whether the library for engraver's files is installed."""
    return find_spec("ezdxf") is not None


def tape_preview(plan: PlannedTape, words: TapeWords) -> str:
    """The likeliest strip alone as SVG, to be looked at on a screen.

    Parameters
    ----------
    plan : PlannedTape
        The strips in numbers.
    words : TapeWords
        The sentences.

    Returns
    -------
    str
        A whole SVG document.

    Raises
    ------
    DoesNotFit
        If the marks are longer than the strip, or the strip too narrow.
    """
    order = plan.order
    return svg_text(strip_sheet(_strip(plan, 1, words), order.look, order.wrap))


def gauge_preview(gauge: Gauge, order: TapeOrder) -> str:
    """One gauge strip alone as SVG, to be looked at on a screen.

    Parameters
    ----------
    gauge : Gauge
        The ruler.
    order : TapeOrder
        Its look.

    Returns
    -------
    str
        A whole SVG document.
    """
    return svg_text(gauge_strip_sheet(gauge, order.look))


def _cells(text: str) -> tuple[tuple[bool, ...], ...]:
    """A text as the cells of a code; none for none."""
    if not text:
        return ()
    from segno import make_qr  # noqa: PLC0415 — 0.05 s, only for who prints

    code = make_qr(text, error="m", boost_error=False, encoding="utf-8")
    return tuple(tuple(bool(cell) for cell in row) for row in code.matrix)


def print_tape(
    plan: PlannedTape, words: TapeWords, formats: tuple[str, ...]
) -> tuple[tuple[str, bytes], ...]:
    """The files of a tape.

    Parameters
    ----------
    plan : PlannedTape
        The strips in numbers.
    words : TapeWords
        The sentences.
    formats : tuple of str
        Any of ``"pdf"``, ``"svg"``, ``"dxf"``.

    Returns
    -------
    tuple of (str, bytes)
        Ending of the file's name, and its content; one SVG for each sheet. The DXF is the
        likeliest strip alone, for engraving.

    Raises
    ------
    DoesNotFit
        If a strip or the words are larger than the paper.
    MissingExtra
        If DXF is wanted and its library is not installed.
    """
    sheets = print_sheets(plan, words)
    files = sheet_files(sheets, formats)
    if "dxf" not in formats:
        return files
    middle = _strip(plan, 1, words)
    strip = strip_sheet(middle, plan.order.look, plan.order.wrap)
    return (*files, (".dxf", dxf_text(strip).encode()))


def print_gauge(
    gauge: Gauge, order: TapeOrder, title: str, notes: tuple[str, ...], formats: tuple[str, ...]
) -> tuple[tuple[str, bytes], ...]:
    """The files of a gauge strip.

    Parameters
    ----------
    gauge : Gauge
        The ruler.
    order : TapeOrder
        Its look and paper; distances and span are ignored.
    title : str
        Name of the rig.
    notes : tuple of str
        Small print.
    formats : tuple of str
        ``"pdf"`` or ``"svg"`` or both.

    Returns
    -------
    tuple of (str, bytes)
        Ending of the file's name, and its content.

    Raises
    ------
    DoesNotFit
        If the ruler is longer than the paper.
    """
    sheet = gauge_sheet(
        gauge,
        order.look,
        title,
        paper=PAPERS[order.paper],
        notes=notes,
        correction=order.correction,
    )
    return sheet_files((sheet,), formats)

"""Print tape: marks to millimetres, millimetres to a sheet, a sheet to files.

Holds:  the TapeOrder, PlannedTape and TapeWords records; the errand of a tape.
Never:  formulas, sentences, file names.
"""

from dataclasses import dataclass, replace
from importlib.util import find_spec
from math import isfinite
from typing import Literal

import numpy as np
from segno import make_qr

from tapewright.confidence.bands import drawn_marks
from tapewright.confidence.limits import ReadingLimits
from tapewright.confidence.strips import StripMarks, strip_marks
from tapewright.drawing.cutter import cutter_sheet
from tapewright.drawing.dxf import dxf_text
from tapewright.drawing.files import sheet_files
from tapewright.drawing.legibility import coarse_hints
from tapewright.drawing.notches import NOTCH_MM, told_apart
from tapewright.drawing.paper import PAPERS
from tapewright.drawing.sheet import (
    PrinterCorrection,
    Sheet,
    WheelWrap,
    strip_sheet,
    tape_sheets,
)
from tapewright.drawing.side_scale import SIDE_MM
from tapewright.drawing.sticking import Sticking
from tapewright.drawing.svg import svg_text
from tapewright.drawing.tape import HEAD_MM, LEAST_END_MM, Column, Look, Mark, Strip
from tapewright.ground.errors import BadInput
from tapewright.ground.units import YARD_M
from tapewright.services.calibrate import Answer
from tapewright.services.choose_strip import usual_ends
from tapewright.services.stops import refuse_stopped
from tapewright.services.trust_strip import answer_on_strip
from tapewright.sight.stickings import ANYWHERE_SD_M, STICKING_SD_M
from tapewright.sight.tape import Ticks
from tapewright.sight.tape_record import Stuck, TapeRecord, record_text

__all__ = [
    "NOTCH_MM",
    "SIDE_MM",
    "PlannedTape",
    "Sticking",
    "TapeOrder",
    "TapeWords",
    "can_engrave",
    "coarse_words",
    "cutter_files",
    "plan_tape",
    "print_sheets",
    "print_tape",
    "printed_record",
    "tape_preview",
]

MM_PER_M = 1000.0
LEAST_TICKS = 2  # of a tape that can be dialled
CROWDED = "too close for a finger to the one before"
RECORD = "tape.json"  # the format of what is left beside a print


@dataclass(frozen=True, slots=True)
class TapeOrder:
    """What kind of tape the archer wants; distances in the unit printed."""

    unit: Literal["yd", "m"]  # ``"yd"`` or ``"m"``
    distances: tuple[float, ...]  # ticks
    # Near and far distance between which strips are told apart; None: those that follow the rig
    between: tuple[float, float] | None = None
    step_mm: float | None = None  # difference of the neighbours' lengths; None: from the band
    width_mm: float = 12.0  # of the strip
    length_mm: float | None = None  # of the strip; None: as long as needed
    # ``"right"`` or ``"left"``: the side of the strip where the pointer stands
    pointer: Literal["right", "left"] = "right"
    far_end: Literal["down", "up"] = "down"  # ``"down"`` or ``"up"``
    number_every: Literal[5, 10] = 5  # 5 or 10
    paper: Literal["A4", "Letter"] = "A4"  # ``"A4"`` or ``"Letter"``
    # What the last print's proof rulers measured, across and down
    proof_mm: tuple[float, float] | None = None
    # Diameter of the wheel and thickness of the strip, when readings were taken on bare metal
    wheel_mm: tuple[float, float] | None = None
    side_scale: bool = False  # mm along the free edge
    labels: bool = False  # one sheet more, full of strips
    notches: tuple[float, ...] = ()  # where a finger is to feel the free edge
    rules: tuple[str, ...] = ()  # ticks of a class that the print keeps to

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
            self.side_scale,
            has_foot="no_notes" not in self.rules,
            has_notches=bool(self.notches),
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
    """Three strips in numbers, before words and ink."""

    order: TapeOrder  # what was asked for
    answer: Answer  # what it is made from; trusted as far as a strip that is stuck on
    # One step shorter, the likeliest, one step longer
    strips: tuple[StripMarks, StripMarks, StripMarks]
    between: tuple[float, float]  # near and far distance between which they are told apart
    near_mm: float  # the near mark: where the strip is aligned
    length_band_mm: tuple[float, float]  # between which the true length lies with 90 % chance

    @property
    def limits(self) -> ReadingLimits:
        """Readings past which no tick is printed."""
        return self.answer.limits

    @property
    def lengths_mm(self) -> tuple[float, ...]:
        """Length of each strip between the two ends. [mm]"""
        return tuple(MM_PER_M * strip.length_m for strip in self.strips)

    @property
    def notched(self) -> tuple[tuple[float, str], ...]:
        """Distances asked to be notched, each with why it is not; empty: it is. [yd or m]"""
        strips = [dict(self.kept(place, 0)) for place in range(len(self.strips))]
        far = self.answer.trusted_m[0] / self.order.unit_m + 1e-6
        turning = self.answer.turning_m / self.order.unit_m
        why = {
            one: "beyond the sight's limits" if not all(one in strip for strip in strips)
            else "among the close marks" if one < turning
            else "a guess" if one > far
            else ""
            for one in self.order.notches
        }  # fmt: skip
        may = [one for one, reason in why.items() if not reason]
        stretch = MM_PER_M * (self.order.wrap.stretch if self.order.wrap else 1.0)
        apart = told_apart([[stretch * strip[one] for strip in strips] for one in may])
        crowded = {one: CROWDED for place, one in enumerate(may) if place not in apart}
        return tuple((why | crowded).items())

    def kept(self, place: int, pin: int) -> tuple[tuple[float, float], ...]:
        """Ticks of a pin on a strip, as distance [yd or m] and reading [m]."""
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
    """The sentences on a sheet; people's words come from the faces."""

    title: str  # name of the rig
    strip_names: tuple[str, ...]  # one for each strip
    advice: tuple[str, ...]  # for each strip: where on the sight to stick it, or when to take it
    pin_names: tuple[str, ...]  # head of each column
    notes: tuple[str, ...]  # small print, and what must be read before shooting
    cautions: tuple[str, ...]
    code: str = ""  # plain text for a code to scan
    printed: str = ""  # date
    sticking: Sticking | None = None  # how a strip is stuck on
    strip_feet: tuple[str, ...] = ()  # what strips are called once cut out; empty: their names


def plan_tape(answer: Answer, order: TapeOrder) -> PlannedTape:
    """The likeliest strip and its neighbours, in numbers."""
    refuse_stopped(answer.rig)
    answer = answer_on_strip(answer)
    if "one_pin" in order.rules:
        answer = replace(answer, trusted_m=answer.trusted_m[:1])
    unit_m = order.unit_m
    ends = order.between or usual_ends(answer, unit_m, order.distances)
    near_m, far_m = (end * unit_m for end in ends)
    step_m = None if order.step_mm is None else order.step_mm / MM_PER_M
    # The near distance rides along, so that the alignment is computed with the strips.
    distance_m = np.array([*order.distances, ends[0]]) * unit_m
    strips = strip_marks(answer.posterior, distance_m, near_m, far_m, step_m)
    near_mm = MM_PER_M * float(strips[1].reading_m[0, -1])
    if not all(strip.length_m > 0.0 for strip in strips):  # or nan: past the end of an arm
        near, far = ends
        wrong = f"the sight does not move that way from {near:g} to {far:g} {order.unit}"
        past = f"{answer.turning_m / unit_m:.0f} {order.unit}"
        raise BadInput(
            "between", wrong, f"Choose a near distance past {past} and a far one in reach"
        )
    ends_m = drawn_marks(answer.posterior, [near_m, far_m])
    low_m, high_m = np.quantile(np.abs(ends_m[:, 1] - ends_m[:, 0]), [0.05, 0.95])
    band_mm = MM_PER_M * float(low_m), MM_PER_M * float(high_m)
    plan = PlannedTape(order, answer, strips, ends, near_mm, band_mm)
    for pin in range(len(answer.trusted_m)):
        if not all(plan.kept(place, pin) for place in range(len(strips))):
            wrong = f"the sight's limits leave pin {pin + 1} none of the distances asked for"
            mend = "Check clearance_reading, travel_ends and housing_below_pin in the sheet"
            raise BadInput("distances", wrong, f"{mend}, or ask for other distances")
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
    foot = words.strip_feet[place] if words.strip_feet else ""
    # Without arrows there was no gauge, and mm count from the first tick.
    zero_mm = min(mark.position_mm for column in columns for mark in column.marks)
    return Strip(
        words.strip_names[place],
        columns,
        words.advice[place],
        foot,
        plan.between[0],
        zero_mm if answer.posterior.is_set_by_eye else 0.0,
        tuple(one for one, why in plan.notched if not why),
    )


def _strips(plan: PlannedTape, words: TapeWords) -> tuple[Strip, ...]:
    return tuple(_strip(plan, place, words) for place in range(len(plan.strips)))


def print_sheets(plan: PlannedTape, words: TapeWords) -> tuple[Sheet, ...]:
    """The sheets of a tape."""
    order = plan.order
    return tape_sheets(
        _strips(plan, words),
        order.look,
        words.title,
        paper=PAPERS[order.paper],
        notes=words.notes,
        cautions=words.cautions,
        correction=order.correction,
        wrap=order.wrap,
        cells=cells_of(words.code),
        sticking=words.sticking,
        labels=order.labels,
    )


def coarse_words(plan: PlannedTape, words: TapeWords) -> tuple[str, ...]:
    """How coarse the strips are to read, as their sheet says it."""
    wrap = plan.order.wrap
    return coarse_hints(_strips(plan, words), plan.order.look, wrap.stretch if wrap else 1.0)


def printed_record(plan: PlannedTape, names: tuple[str, ...], made: str) -> TapeRecord | None:
    """What a print leaves beside it, so that its numbers can be dialled: the likeliest strip on.

    None of a strip with one tick only: nothing stands between ticks then.

    Where no arrow has tied sight and flight yet it is stuck where the first arrows say, so that
    nothing is known of its place.
    """
    order, answer = plan.order, plan.answer
    pins = range(len(answer.trusted_m))
    if any(len(plan.kept(place, pin)) < LEAST_TICKS for place in range(3) for pin in pins):
        return None
    is_set_by_eye = answer.posterior.is_set_by_eye
    strips = tuple(
        tuple(
            Ticks(tuple(one * order.unit_m for one, _ in kept), tuple(at_m for _, at_m in kept))
            for kept in (plan.kept(place, pin) for pin in pins)
        )
        for place in range(len(plan.strips))
    )
    white_mm = HEAD_MM if order.length_mm is None else LEAST_END_MM
    stuck = Stuck(
        len(strips) // 2 + 1,
        tick_m=None if is_set_by_eye else plan.between[0] * order.unit_m,
        at_m=None if is_set_by_eye else plan.near_mm / MM_PER_M,
        sd_m=ANYWHERE_SD_M if is_set_by_eye else STICKING_SD_M,
        aligned_on=answer.rig.sight.scales,
    )
    return TapeRecord(
        answer.rig.name, answer.fingerprint, made, order.unit, strips, names, stuck,
        white_mm / MM_PER_M,
    )  # fmt: skip


def can_engrave() -> bool:
    """Whether the library for engraver's files is installed."""
    return find_spec("ezdxf") is not None


def tape_preview(plan: PlannedTape, words: TapeWords) -> str:
    """The likeliest strip alone as SVG, to be looked at on a screen."""
    order = plan.order
    return svg_text(strip_sheet(_strip(plan, 1, words), order.look, order.wrap))


def cells_of(text: str) -> tuple[tuple[bool, ...], ...]:
    """A text as the cells of a code; none for none."""
    if not text:
        return ()
    code = make_qr(text, error="m", encoding="utf-8")
    return tuple(tuple(bool(cell) for cell in row) for row in code.matrix)


def print_tape(
    plan: PlannedTape, words: TapeWords, formats: tuple[str, ...], made: str = ""
) -> tuple[tuple[str, bytes], ...]:
    """The files of a tape."""
    on_paper = bool({"pdf", "svg"} & set(formats))  # a machine knows no end of paper
    sheets = print_sheets(plan, words) if on_paper else ()
    files = sheet_files(sheets, formats, printed=words.printed) if sheets else ()
    record = printed_record(plan, words.strip_names, made) if RECORD in formats else None
    if record is not None:
        files = (*files, (f".{RECORD}", record_text(record).encode()))
    strip = strip_sheet(_strip(plan, 1, words), plan.order.look, plan.order.wrap)
    return (*files, *cutter_files(strip, formats))


def cutter_files(
    strip: Sheet, formats: tuple[str, ...], name: str = ""
) -> tuple[tuple[str, bytes], ...]:
    """One bare strip for a machine that cuts or engraves: as DXF, as SVG, or as none."""
    files: list[tuple[str, bytes]] = []
    if "dxf" in formats:
        files.append((f"{name}.dxf", dxf_text(strip).encode()))
    if "cut.svg" in formats:
        text = svg_text(cutter_sheet(strip), layers=True)
        files.append((f"{name}.cut.svg", text.encode()))
    return tuple(files)

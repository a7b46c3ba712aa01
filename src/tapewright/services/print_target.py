"""Print target: a measured target to aim at while the sight is found, from an order to files.

Holds:  the TargetOrder and PlannedTarget records; how large the aiming mark is; the errand; the
        code by which a target of several sheets is made again for reading a photograph of it.
Never:  sentences, file names, where an impact goes.
"""

import re
from dataclasses import dataclass
from typing import Literal, cast

from tapewright.drawing.files import sheet_files
from tapewright.drawing.paper import NO_CORRECTION, PAPERS, PrinterCorrection
from tapewright.drawing.paper import correction_from_rulers as _correction
from tapewright.drawing.target_sheet import (
    Target,
    TargetWords,
    grid_room_mm,
    largest_aiming_mark_mm,
    target_sheets,
    target_tiling,
)
from tapewright.ground.errors import BadInput
from tapewright.ground.units import YARD_M

__all__ = [
    "PlannedTarget",
    "TargetOrder",
    "TargetWords",
    "order_of_code",
    "plan_of_code",
    "plan_target",
    "print_target",
    "target_code",
]

MM_PER_M = 1000.0
# Half the diagonal of the mark as seen from the line.  Its stroke is then 0.32 mrad wide, and the
# eye parts 0.29 mrad, one minute of arc (from memory); its open centre is 0.8 mrad across, wider
# than a pin of 0.5 mm at 0.85 m.  The share itself is common practice, no source.
AIMING_MARK_RAD = 1.0e-3
USUAL_DISTANCE_M = 40.0 * YARD_M  # a mark for here serves from about 20 to 60 yd
CODE = "code"
CODE_EXAMPLE = "A4-in-609.6x914.4"
_NUMBER = r"\d{1,5}(?:\.\d{1,4})?"
_CODE = re.compile(
    rf"(A4|Letter)-(in|cm)-({_NUMBER})x({_NUMBER})(?:-d({_NUMBER}))?(?:-p({_NUMBER})x({_NUMBER}))?",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class TargetOrder:
    """What kind of target the archer wants."""

    unit: Literal["in", "cm"] = "in"  # ``"in"`` or ``"cm"``: of the grid and its numbers
    # Width and height of the grid; None: the largest on one sheet
    size_mm: tuple[float, float] | None = None
    distance_m: float | None = None  # where it will be shot at; None: not said
    tolerance_m: float | None = None  # radius of the broken circle; None: no circle
    paper: Literal["A4", "Letter"] = "A4"  # ``"A4"`` or ``"Letter"``
    # What the last print's proof rulers measured, across and down
    proof_mm: tuple[float, float] | None = None

    @property
    def correction(self) -> PrinterCorrection:
        """The printer's error, as the drawing wing knows it."""
        return NO_CORRECTION if self.proof_mm is None else _correction(*self.proof_mm)


@dataclass(frozen=True, slots=True)
class PlannedTarget:
    """A target in numbers, before words and ink."""

    order: TargetOrder  # what was asked for
    target: Target  # what will be drawn
    # Half the diagonal that the distance asks of the mark; the drawn one may be smaller
    wanted_aiming_mark_mm: float
    rows: int  # sheets that it takes, the plan sheet not counted
    columns: int

    @property
    def is_tiled(self) -> bool:
        """Whether it is put together from sheets, with a plan sheet before them."""
        return (
            target_tiling(self.target, PAPERS[self.order.paper], self.order.correction) is not None
        )


def plan_target(order: TargetOrder) -> PlannedTarget:
    """A target in numbers."""
    paper, correction = PAPERS[order.paper], order.correction
    size_mm = order.size_mm or grid_room_mm(order.unit, paper, correction)
    distance_m = USUAL_DISTANCE_M if order.distance_m is None else order.distance_m
    wanted_mm = MM_PER_M * AIMING_MARK_RAD * distance_m
    aiming_mark_mm = min(wanted_mm, largest_aiming_mark_mm(*size_mm, paper, correction))
    circle_mm = None if order.tolerance_m is None else MM_PER_M * order.tolerance_m
    target = Target(order.unit, *size_mm, aiming_mark_mm, circle_mm)
    tiles = target_tiling(target, paper, correction)
    rows, columns = (1, 1) if tiles is None else (tiles.rows, tiles.columns)
    return PlannedTarget(order, target, wanted_mm, rows, columns)


def target_code(plan: PlannedTarget) -> str:
    """Code from which the places of all sheets follow."""
    order, target = plan.order, plan.target
    code = f"{order.paper}-{order.unit}-{_written(target.width_mm)}x{_written(target.height_mm)}"
    if order.distance_m is not None:
        code += f"-d{_written(order.distance_m)}"
    if order.proof_mm is not None:
        code += f"-p{_written(order.proof_mm[0])}x{_written(order.proof_mm[1])}"
    return code


def plan_of_code(code: str) -> PlannedTarget:
    """A target planned again from its code; whatever is wrong with it is the code's fault."""
    try:
        return plan_target(order_of_code(code))
    except BadInput as refused:
        raise BadInput(CODE, refused.wrong, refused.mend) from None


def order_of_code(code: str) -> TargetOrder:
    """Order of a target from its code."""
    found = _CODE.fullmatch("".join(code.split()))
    if found is None:
        mend = f"Copy it from the notes of the plan sheet; it looks like {CODE_EXAMPLE}"
        raise BadInput(CODE, f"{code[:60]!r} is no code of a target", mend)
    paper, unit, wide, high, distance, across, down = found.groups()
    return TargetOrder(
        unit=cast("Literal['in', 'cm']", unit.casefold()),
        size_mm=(float(wide), float(high)),
        distance_m=float(distance) if distance else None,
        paper="A4" if paper.casefold() == "a4" else "Letter",
        proof_mm=(float(across), float(down)) if across else None,
    )


def print_target(
    plan: PlannedTarget, words: TargetWords, formats: tuple[str, ...]
) -> tuple[tuple[str, bytes], ...]:
    """The files of a target."""
    order = plan.order
    paper = PAPERS[order.paper]
    sheets = target_sheets(plan.target, words, paper=paper, correction=order.correction)
    return sheet_files(sheets, formats, printed=words.printed)


def _written(number: float) -> str:
    return f"{number:.4f}".rstrip("0").rstrip(".")

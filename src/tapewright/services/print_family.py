"""Print family: a set of ready strips for one kind of sight, one a little longer than another.

The strips are those of bows that differ in launch speed and in nothing else: what a bow maker or
a shop prints once for a sight, and an archer chooses from by two zeroed marks.

Holds:  the PlannedFamily record and FamilyWords; usual lengths; a family in numbers; its files.
Never:  formulas, sentences, file names.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from tapewright.calibration.prior import prior_from_rig
from tapewright.calibration.rig import Rig
from tapewright.calibration.unknowns import Unknowns
from tapewright.drawing.card_sheet import CardTable, CardWords, full_sheet
from tapewright.drawing.family_sheet import family_sheets
from tapewright.drawing.files import sheet_files
from tapewright.drawing.paper import PAPERS, Sheet
from tapewright.drawing.sheet import strip_sheet
from tapewright.drawing.tape import Column, Mark, Strip
from tapewright.ground.errors import BadInput, LaunchUnreachable, OutsideValidRange
from tapewright.services.choose_strip import NEAREST, ticks_between
from tapewright.services.print_tape import MM_PER_M, TapeOrder, cutter_files
from tapewright.services.stops import refuse_stopped
from tapewright.sight.check_length import check_length, find_speeds
from tapewright.sight.prediction import mark

__all__ = ["FamilyWords", "PlannedFamily", "plan_family", "print_family", "usual_lengths"]

Floats = NDArray[np.float64]

MOST_STRIPS = 200
ABREAST, MOST_LISTED = 3, 105  # strips abreast in the table, and on one sheet of it
SPEED_SHARE = 0.1  # how much slower and faster than the sheet's a usual family reaches
USUAL_STEP_MM = 0.5  # nobody sticks a strip on much better than this


@dataclass(frozen=True)
class PlannedFamily:
    """A family in numbers."""

    rig: Rig  # the sheet of the middle bow
    order: TapeOrder  # look and distances
    between: tuple[float, float]  # near and far distance between which strips are measured
    lengths_mm: tuple[float, ...]  # of each strip between them, growing
    speed_mps: Floats  # launch speed of the bow each is made for
    position_mm: Floats  # place of each tick from the near mark, farther ones positive


@dataclass(frozen=True, slots=True)
class FamilyWords:
    """The sentences on the sheets; people's words come from the faces."""

    title: str  # over each sheet
    subtitle: str
    strip_names: tuple[str, ...]  # one for each strip
    # Heads of the table of strips with their units, and a row of cells for each strip
    heads: tuple[tuple[str, str], ...]
    rows: tuple[tuple[str, ...], ...]
    notes: tuple[str, ...]  # small print
    cautions: tuple[str, ...]
    printed: str = ""  # date


def ends_of(order: TapeOrder) -> tuple[float, float]:
    """Near and far distance between which the strips of a family are measured. [yd or m]"""
    return order.between or ticks_between(order.distances, (NEAREST, 0.0))


def _ends_m(order: TapeOrder) -> tuple[float, float]:
    near, far = ends_of(order)
    return near * order.unit_m, far * order.unit_m


def _middle(rig: Rig) -> tuple[Unknowns, Floats]:
    prior = prior_from_rig(rig, np.zeros(0))
    return prior.unknowns, prior.mean


def usual_lengths(rig: Rig, order: TapeOrder) -> tuple[float, ...]:
    """Lengths for bows a tenth slower to a tenth faster than the sheet's, each half mm. [mm]"""
    unknowns, mean = _middle(rig)
    bow = unknowns.bow(mean)
    speeds = np.asarray(bow.speed_mps) * np.array([[1.0 + SPEED_SHARE], [1.0 - SPEED_SHARE]])
    near_m, far_m = _ends_m(order)
    ends = MM_PER_M * check_length(replace(bow, speed_mps=speeds), near_m, far_m) / USUAL_STEP_MM
    if not np.isfinite(ends).all():
        far = f"{ends_of(order)[1]:g} {order.unit}"
        wrong = f"a bow a tenth slower than the sheet's, or the arm of the sight, ends before {far}"
        raise BadInput("between", wrong, "Name nearer distances, or check lengths")
    steps = range(int(np.floor(ends[0])), int(np.ceil(ends[1])) + 1)
    return tuple(USUAL_STEP_MM * step for step in steps if step > 0)


def plan_family(rig: Rig, order: TapeOrder, lengths_mm: tuple[float, ...]) -> PlannedFamily:
    """A family of strips in numbers."""
    refuse_stopped(rig)
    if not 1 <= len(lengths_mm) <= MOST_STRIPS:
        wrong = f"{len(lengths_mm)} strips are not a family"
        raise BadInput("check_lengths", wrong, f"Ask for 1 to {MOST_STRIPS}, in wider steps")
    unknowns, mean = _middle(rig)
    near_m, far_m = _ends_m(order)
    lengths_m = np.array(sorted(lengths_mm)) / MM_PER_M
    distance_m = np.array(order.distances) * order.unit_m
    try:
        speeds = find_speeds(unknowns.bow(mean), lengths_m, near_m, far_m)
        vectors = np.repeat(mean[None], len(speeds), axis=0)
        vectors[:, unknowns.place("log_speed")] = np.log(speeds)
        marks = mark(unknowns.bow(vectors), np.append(distance_m, near_m))
    except OutsideValidRange as beyond:
        wrong = f"no bow with this sight has a check length of {beyond.value:g} mm"
        mend = f"Ask for {beyond.low:.1f} to {beyond.high:.1f} mm"
        raise BadInput("check_lengths", wrong, mend) from None
    except LaunchUnreachable as short:
        wrong = f"the slowest of these bows does not reach {short.distance_m:.0f} m"
        raise BadInput("distances", wrong, "Ask for nearer ones, or for shorter strips") from None
    positions = MM_PER_M * unknowns.direction * (marks[:, :-1] - marks[:, -1:])
    if not (np.diff(positions, axis=1) > 0.0).all():
        wrong = "marks so near run back, and one strip cannot tell them apart"
        raise BadInput("distances", wrong, "Begin at 20 yd or farther")
    return PlannedFamily(rig, order, ends_of(order), tuple(sorted(lengths_mm)), speeds, positions)


def _strips(plan: PlannedFamily, words: FamilyWords) -> tuple[Strip, ...]:
    return tuple(
        Strip(
            name,
            (
                Column(
                    "",
                    tuple(
                        Mark(distance, float(place))
                        for distance, place in zip(plan.order.distances, places, strict=True)
                    ),
                ),
            ),
        )
        for name, places in zip(words.strip_names, plan.position_mm, strict=True)
    )


def _tables(plan: PlannedFamily, words: FamilyWords) -> tuple[Sheet, ...]:
    """What each strip is, side by side in few rows, so that the sheets need not be searched."""
    told = CardWords(words.title, words.subtitle, words.notes[0], (), words.notes[1:], (), "")
    sheets = []
    for start in range(0, len(words.rows), MOST_LISTED):
        listed = words.rows[start : start + MOST_LISTED]
        high = -(-len(listed) // ABREAST)
        empty = ("",) * len(words.heads)
        filled = (*listed, *[empty] * (ABREAST * high - len(listed)))
        rows = tuple(
            sum((filled[row + high * at] for at in range(ABREAST)), ()) for row in range(high)
        )
        table = CardTable(words.heads * ABREAST, rows, len(words.heads), bold=0)
        sheets.append(full_sheet(table, told, PAPERS[plan.order.paper]))
    return tuple(sheets)


def print_family(
    plan: PlannedFamily, words: FamilyWords, formats: tuple[str, ...]
) -> tuple[tuple[str, bytes], ...]:
    """The files of a family."""
    order, strips = plan.order, _strips(plan, words)
    sheets = family_sheets(
        strips,
        order.look,
        words.title,
        words.subtitle,
        paper=PAPERS[order.paper],
        notes=words.notes,
        cautions=words.cautions,
        correction=order.correction,
    )
    digits = len(str(len(strips)))
    machine = tuple(
        file
        for number, strip in enumerate(strips, 1)
        for file in cutter_files(strip_sheet(strip, order.look), formats, f"-{number:0{digits}}")
    )
    return (
        *sheet_files((*sheets, *_tables(plan, words)), formats, printed=words.printed),
        *machine,
    )

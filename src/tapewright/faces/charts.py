"""Charts: charts of a calibration, readable in black and white.

What must be true to the millimetre is never a chart: tapes and cards are drawn elsewhere.

Holds:  the house's style; flight path, fan of bands, slopes, budget; the bytes of a file.
Never:  computations.
"""

import io
from collections.abc import Callable
from importlib import import_module
from importlib.util import find_spec
from threading import Lock
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tapewright.ground.errors import MissingExtra
from tapewright.ground.units import UNITS
from tapewright.questions.budget import ERRORS
from tapewright.services.calibrate import Answer
from tapewright.services.draw_pictures import draw_budget, draw_fan, draw_path, draw_slopes
from tapewright.services.stops import refuse_stopped
from tapewright.words.number_format import known
from tapewright.words.quantity_parser import in_unit
from tapewright.words.readings_on_tape import finest_m, shown_words
from tapewright.words.unit_system import Units, distance_words, round_amount

Draw = Callable[[Any, Answer, float, Units], None]  # axes, of which rig, where, in which units

INK, SOFT, PALE, PAPER = "#000000", "#6e6e6e", "#d4d4d4", "#ffffff"
WIDE_IN, HIGH_IN = 8.0, 4.8
DOTS_PER_INCH = 150
OFF = "off"  # the tape: what it does not show
MOST_NAME = 24  # letters of a rig's name that leave room for the title
# Lines differ by dashes and width, areas by hatching: no colour carries a meaning.
STYLE = {
    "figure.facecolor": PAPER, "axes.facecolor": PAPER, "savefig.facecolor": PAPER,
    "font.family": "DejaVu Sans", "font.size": 11, "axes.titlesize": 13,
    "axes.titleweight": "bold", "axes.titlelocation": "left", "axes.edgecolor": INK,
    "axes.labelcolor": INK, "axes.spines.top": False, "axes.spines.right": False,
    "xtick.color": INK, "ytick.color": INK, "text.color": INK, "axes.grid": True,
    "grid.color": PALE, "grid.linewidth": 0.7, "axes.axisbelow": True, "lines.linewidth": 1.8,
    "lines.color": INK, "legend.frameon": False, "hatch.linewidth": 0.6,
    "svg.hashsalt": "tapewright", "svg.fonttype": "path",
}  # fmt: skip
ONE_AT_A_TIME = Lock()  # the library's style is the whole process's


def can_draw() -> bool:
    """Whether the library that draws is installed."""
    return find_spec("matplotlib") is not None


def picture_bytes(draw: Draw, answer: Answer, distance_m: float, units: Units, kind: str) -> bytes:
    """A picture as a file's content; the same input gives the same bytes."""
    refuse_stopped(answer.rig)
    try:
        plotter: Any = import_module("matplotlib")
        figures: Any = import_module("matplotlib.figure")
    except ImportError as error:
        raise MissingExtra("A picture", "pictures") from error
    with ONE_AT_A_TIME, plotter.rc_context(STYLE):
        figure = figures.Figure(figsize=(WIDE_IN, HIGH_IN), layout="constrained")
        draw(figure.subplots(), answer, distance_m, units)
        file = io.BytesIO()
        tags = {"Date": None, "Creator": "Tapewright"} if kind == "svg" else {"Software": None}
        figure.savefig(file, format=kind, dpi=DOTS_PER_INCH, metadata=tags)
    return file.getvalue()


def _in(values: Any, unit: str) -> NDArray[np.float64]:  # noqa: ANN401 — numbers of any kind
    return np.asarray(values) / UNITS[unit].factor


def _entitle(axes: Any, answer: Answer, what: str, ends: tuple[str, str], legend: str) -> None:  # noqa: ANN401 — an optional library's own
    """What a picture shows, of which rig (a long name shortened), its axes, a legend's place."""
    name = answer.rig.name
    name = name if len(name) <= MOST_NAME else f"{name[: MOST_NAME - 1]}…"
    axes.set_title(f"{name}: {what}", parse_math=False)  # a name may hold a dollar
    axes.set_xlabel(ends[0])
    axes.set_ylabel(ends[1])
    axes.legend(loc=legend)


def flight_picture(axes: Any, answer: Answer, distance_m: float, units: Units) -> None:  # noqa: ANN401 — an optional library's own
    """The arrow's path against the line of sight."""
    path, unit, miss = draw_path(answer, distance_m), units.distance, units.miss
    radius = in_unit(path.radius_m, miss)
    axes.axhspan(-radius, radius, facecolor=PALE, alpha=0.6)
    axes.axhline(0.0, color=INK, linestyle="--", linewidth=1.2, label="line of sight")
    axes.plot(_in(path.at_m, unit), _in(path.height_m, miss), color=INK, label="arrow")
    start = (_in(path.at_m[0], unit), _in(path.height_m[0], miss))
    axes.annotate("leaves the string", start, xytext=(8, -3), textcoords="offset points")
    axes.plot([in_unit(distance_m, unit)], [0.0], marker="o", color=INK, markersize=7)
    for end_m in (path.near_m, path.far_m):
        axes.axvline(in_unit(end_m, unit), color=SOFT, linestyle=":")
    window = " to ".join(f"{in_unit(end, unit):.1f}" for end in (path.near_m, path.far_m))
    what = (
        f"the mark for {distance_words(distance_m, units)} hits within "
        f"{round_amount(path.radius_m, miss)} from {window} {unit}"
    )
    ends = (f"distance from the eye, {unit}", f"height over the line of sight, {miss}")
    axes.set_xlim(left=0.0)
    _entitle(axes, answer, what, ends, "lower left")


def marks_picture(axes: Any, answer: Answer, distance_m: float, units: Units) -> None:  # noqa: ANN401, ARG001 — as above; all pictures are called alike
    """Bands over distance, as impact: the fan of what is not known."""
    unit, miss = units.distance, units.miss
    found = draw_fan(answer, UNITS[unit].factor)
    at = _in(found.distance_m, unit)
    low, high = _in(found.impact_low_m, miss), _in(found.impact_high_m, miss)
    percent = f"{100 * found.probability:.0f} %"
    axes.fill_between(at, low, high, facecolor=PALE, edgecolor=INK, linewidth=1.0,
                      label=f"{percent} band of the mark, as impact")  # fmt: skip
    radius = in_unit(answer.rig.archer.tolerance_m, miss)
    tolerance = round_amount(answer.rig.archer.tolerance_m, miss)
    for side in (-radius, radius):
        axes.axhline(side, color=INK, linestyle="--", linewidth=1.2)
    axes.plot([], [], color=INK, linestyle="--", linewidth=1.2, label=f"tolerance {tolerance}")
    if answer.trusted_m[0]:
        trusted = in_unit(answer.trusted_m[0], unit)
        axes.axvline(trusted, color=INK, linestyle=":")
        # On the side where the band is narrow, unless the axis ends there.
        end, word = ("right", "{} ") if trusted > 0.35 * at[-1] else ("left", " {}")
        axes.annotate(word.format(f"trusted to {trusted:.0f} {unit}"), (trusted, 2.0 * radius),
                      horizontalalignment=end)  # fmt: skip
    shot = [one for one in answer.groups if one.miss_up_m == one.miss_up_m]
    if shot:
        axes.plot(_in([one.distance_m for one in shot], unit),
                  _in([one.miss_up_m for one in shot], miss),
                  linestyle="", marker="o", markerfacecolor=PAPER, markeredgecolor=INK,
                  label="centres of your groups")  # fmt: skip
    marks = axes.secondary_xaxis(-0.2)
    ticks = list(range(10, int(at[-1]) + 1, 10 if at[-1] < 101 else 20))
    half_mm = 0.5e3 * (found.high_m - found.low_m)
    least = 1e3 * finest_m(answer)
    at_ticks = [one - 5 for one in ticks]
    told = [known(1e3 * found.reading_m[one], half_mm[one], least=least) for one in at_ticks]
    if answer.tape:
        rows = zip(found.reading_m, 1e-3 * half_mm, found.distance_m, strict=True)
        shown = [shown_words(answer.tape, at, half, 1, away) or OFF for at, half, away in rows]
        told = [shown[one - 5] for one in ticks]
    marks.set_xticks(ticks, told)
    marks.set_xlabel(f"dial, {answer.tape.unit}" if answer.tape else "mark, mm")
    axes.set_ylim(-2.5 * radius, 2.5 * radius)
    ends = (f"distance, {unit}", f"impact, {miss}")
    _entitle(axes, answer, "how far each mark can be wrong", ends, "lower left")


def slopes_picture(axes: Any, answer: Answer, distance_m: float, units: Units) -> None:  # noqa: ANN401, ARG001 — as above
    """How much less to dial on slopes: up and down differ."""
    unit = units.distance
    found = draw_slopes(answer, UNITS[unit].factor)
    at = _in(found.table.distance_m, unit)
    for steep, width in ((30, 1.6), (45, 2.4)):
        for sign, dash, word in ((1, "-", "up"), (-1, "--", "down")):
            row = int(np.argmin(np.abs(np.degrees(found.table.slope_rad) - sign * steep)))
            less = at - _in(found.table.dial_m[row], unit)
            axes.plot(at, less, color=INK, linestyle=dash, linewidth=width,
                      label=f"{steep}° {word}")  # fmt: skip
        rule = at * (1.0 - np.cos(np.radians(steep)))
        axes.plot(at, rule, color=SOFT, linestyle=":", linewidth=width,
                  label=f"rule of thumb, {steep}°")  # fmt: skip
    axes.set_ylim(bottom=0.0)
    axes.set_xlim(left=0.0)
    ends = (f"distance along the line of sight, {unit}", f"{unit} less than that")
    _entitle(axes, answer, "how much less to dial on a slope", ends, "upper left")


def budget_picture(axes: Any, answer: Answer, distance_m: float, units: Units) -> None:  # noqa: ANN401 — as above
    """Bars of the miss budget."""
    shares, miss = draw_budget(answer, distance_m).shares, units.miss
    places = np.arange(len(shares))[::-1]
    up, right = _in([(one.up_m, one.right_m) for one in shares], miss).T
    axes.barh(places + 0.2, up, 0.38, facecolor=INK, edgecolor=INK, label="up or down")
    axes.barh(places - 0.2, right, 0.38, facecolor=PAPER, edgecolor=INK, hatch="////",
              label="left or right")  # fmt: skip
    axes.set_yticks(places, [ERRORS[one.name][0] for one in shares])
    axes.axhline(0.5, color=SOFT, linewidth=0.8)
    axes.grid(visible=False, axis="y")
    what = f"what each error costs at {distance_words(distance_m, units)}"
    _entitle(axes, answer, what, (f"miss, one standard deviation, {miss}", ""), "best")


PICTURES: dict[str, Draw] = {
    "flight": flight_picture,
    "marks": marks_picture,
    "slopes": slopes_picture,
    "budget": budget_picture,
}

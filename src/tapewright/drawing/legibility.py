"""Legibility: what a sheet says of how its strips are read, and where a rule could not be kept.

Holds:  the hints on trust, close lanes, left-out ticks, left-out and small numbers.
Never:  the rules themselves (ticks.py, lanes.py); where on a page hints stand.
"""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from itertools import pairwise
from math import ceil

from tapewright.drawing.lanes import ARM_MM, READ_MM, Settled
from tapewright.drawing.tape import WIDEST_CLOSE_MM, WIDEST_MM, Drawn, Look, Strip, strip_lanes

USUAL_STEP = 10.0  # between numbers
AWAY_CM = 5.0  # to which a reading distance is rounded down

Steps = dict[float, float]  # step of ticks or numbers → nearer than which distance it holds


def reading_hints(strips: Sequence[Strip], look: Look, stretch: float = 1.0) -> tuple[str, ...]:
    """How to read these strips, and which rule for readable numbers is broken.

    Parameters
    ----------
    strips : sequence of Strip
        Strips of one tape or family, with the same columns.
    look : Look
        How they are drawn.
    stretch : float, default 1
        Printed length over reading length; not 1 on a wheel. [-]

    Returns
    -------
    tuple of str
        Sentences; none where there is nothing to say.
    """
    names = [column.name for column in strips[0].columns]
    marks = [mark for strip in strips for column in strip.columns for mark in column.marks]
    drawn = [strip_lanes(strip, look, stretch) for strip in strips]
    close = [lanes[pin][1] for pin in range(len(names)) for lanes in drawn]
    hints = []
    if not all(mark.trusted for mark in marks):
        hints.append("Broken ticks and grey numbers lie beyond the trusted distance.")
    if any(mark.close for mark in marks):
        whose = f"of {names[0]} " if len(names) > 1 else ""
        high_mm = min(one.height_mm for one in close if one)
        hints.append(
            f'The narrow lane {whose}marked "close" is for close targets: the nearer they '
            "stand, the more the sight goes back toward the far marks. "
            f"Its small numbers are {_size(high_mm)}."
        )
    return (*hints, *_coarse(strips, look, stretch, drawn))


def coarse_hints(strips: Sequence[Strip], look: Look, stretch: float = 1.0) -> tuple[str, ...]:
    """How coarse these strips are to read, and where numbers are small or left out.

    Parameters
    ----------
    strips : sequence of Strip
        Strips of one tape or family, with the same columns.
    look : Look
        How they are drawn.
    stretch : float, default 1
        Printed length over reading length; not 1 on a wheel. [-]

    Returns
    -------
    tuple of str
        Sentences; none where every tick stands and numbers are as high as they should be.
    """
    return _coarse(strips, look, stretch, [strip_lanes(strip, look, stretch) for strip in strips])


def _coarse(
    strips: Sequence[Strip], look: Look, stretch: float, drawn: Sequence[tuple[Drawn, ...]]
) -> tuple[str, ...]:
    """The same of strips whose lanes are settled already."""
    names = [column.name for column in strips[0].columns]
    far = [[lanes[pin][0] for lanes in drawn] for pin in range(len(names))]
    hints = []
    ticks = [_merged(_tick_steps(one) for one in lanes if one) for lanes in far]
    for whose, steps in _whose(names, ticks):
        told = _told(steps, look.unit)
        hints.append(
            f"Where ticks{whose} would run together they stand {told}: read no finer there."
        )
    numbers = [_merged(_number_steps(one) for one in lanes if one) for lanes in far]
    for whose, steps in _whose(names, numbers):
        hints.append(f"Numbers{whose} stand {_told(steps, look.unit)}, for want of room.")
    return (*hints, *_small(strips, look, stretch, [one for pin in far for one in pin if one]))


def _small(
    strips: Sequence[Strip], look: Look, stretch: float, lanes: Sequence[Settled]
) -> tuple[str, ...]:
    """What is said of far numbers below the least height, and the width that would do."""
    high_mm = _lowest_mm(lanes)
    if high_mm >= READ_MM - 1e-6:
        return ()
    need_mm = max(one.wide_enough_mm for one in lanes)
    pins = len(strips[0].columns)
    closes = sum(any(mark.close for mark in column.marks) for column in strips[0].columns)
    taken_mm = look.width_mm - look.lanes_mm
    wide_mm = ceil(pins * need_mm + closes * WIDEST_CLOSE_MM + taken_mm)
    mend = "their marks lie too close together for more, whatever the width"
    if look.width_mm < wide_mm <= WIDEST_MM + taken_mm and _does(strips, look, stretch, wide_mm):
        mend = f"a strip {wide_mm} mm wide has room for {READ_MM:g} mm"
    return (f"The lowest numbers are {_size(high_mm)}; {mend}.",)


def _does(strips: Sequence[Strip], look: Look, stretch: float, wide_mm: float) -> bool:
    """Whether numbers of strips so wide may be read at arm's length."""
    wider = replace(look, width_mm=float(wide_mm))
    lanes = [one for strip in strips for one, _ in strip_lanes(strip, wider, stretch) if one]
    return _lowest_mm(lanes) >= READ_MM - 1e-6


def _lowest_mm(lanes: Sequence[Settled]) -> float:
    return min((one.height_mm for one in lanes), default=READ_MM)


def _size(high_mm: float) -> str:
    """Height of numbers, and from where they may be read."""
    away_cm = AWAY_CM * int(high_mm / READ_MM * ARM_MM / 10.0 / AWAY_CM + 1e-6)
    return f"{int(10.0 * high_mm + 1e-6) / 10.0:.1f} mm high, for {away_cm:.0f} cm from the eye"


def _tick_steps(lane: Settled) -> Steps:
    """Step of ticks → nearer than which distance; infinite from the far end on."""
    far_ends = [float("inf"), *(start for start, _ in lane.coarse)]
    return {step: end for end, (_, step) in zip(far_ends, lane.coarse, strict=False) if step > 1}


def _number_steps(lane: Settled) -> Steps:
    """Step of numbers past the usual one → nearer than which distance."""
    steps: Steps = {}
    for near, far in pairwise(sorted(one.distance for one in lane.numbers)):
        between = [one for one in lane.lane.distances if near < one < far]
        left_out = any(one % USUAL_STEP == 0.0 for one in between)
        if left_out and far - near > USUAL_STEP:
            steps[far - near] = max(far, steps.get(far - near, 0.0))
    return steps


def _merged(found: Iterable[Steps]) -> Steps:
    """The coarsest of several strips."""
    merged: Steps = {}
    for steps in found:
        for step, end in steps.items():
            merged[step] = max(end, merged.get(step, 0.0))
    return dict(sorted(merged.items()))


def _whose(names: Sequence[str], found: Sequence[Steps]) -> list[tuple[str, Steps]]:
    """What there is to tell, once for all pins of which it is true."""
    told: list[tuple[list[str], Steps]] = []
    for name, steps in zip(names, found, strict=True):
        same = next((one for one in told if one[1] == steps), None)
        if same:
            same[0].append(name)
        elif steps:
            told.append(([name], steps))
    alone = len(names) == 1
    return [("" if alone else f" of {_listed(those)}", steps) for those, steps in told]


def _listed(names: Sequence[str]) -> str:
    *first, last = names
    return f"{', '.join(first)} and {last}" if first else last


def _told(steps: Steps, unit: str) -> str:
    parts = [
        f"{step:g} {unit} apart" + ("" if end == float("inf") else f" nearer than {end:g} {unit}")
        for step, end in steps.items()
    ]
    return " and ".join(parts)

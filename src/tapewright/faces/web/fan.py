"""Fan: the bands of a pin over distance as a picture that answers how far to trust it.

Drawn by hand so that themes colour it by class, a screen reader hears it, and no script is needed.

Holds:  the Dot record; bands, tolerance, trusted distance and groups as one SVG.
Never:  how a band was found (services), colours (style.css).
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from html import escape
from math import ceil, isfinite

import numpy as np
from markupsafe import Markup
from numpy.typing import NDArray

from tapewright.services.calibrate import Bands
from tapewright.words.numbers import plain
from tapewright.words.quantities import in_unit
from tapewright.words.units import Units, amount, round_amount

WIDE, HIGH = 360.0, 268.0
LEFT, RIGHT, TOP, BOTTOM = 34.0, 350.0, 24.0, 232.0
LEAST_SHOWN, MOST_SHOWN = 1.6, 3.0  # tolerances to each side of the aim
STEPS = (0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0)
MOST_STEPS = 7


@dataclass(frozen=True, slots=True)
class Dot:
    """A group in the picture."""

    name: str  # the group
    distance_m: float  # where it was shot; its centre above where the calibration puts it
    up_m: float
    half_m: float  # half its whisker
    is_odd: bool  # whether it does not fit


@dataclass(frozen=True, slots=True)
class Frame:
    """What the picture is drawn for."""

    units: Units  # what the person reads
    tolerance_m: float  # largest miss allowed; distance up to which it is kept, 0 for none
    trusted_m: float
    # Distance at which the sight cannot be set farther; None: not known
    sight_ends_m: float | None = None


@dataclass(frozen=True, slots=True)
class _Axes:
    """From distance and impact to places in the picture."""

    near: float
    far: float
    most: float
    units: Units

    def x(self, distance_m: float) -> float:
        share = (in_unit(distance_m, self.units.distance) - self.near) / (self.far - self.near)
        return LEFT + (RIGHT - LEFT) * share

    def y(self, up_m: float) -> float:
        share = in_unit(up_m, self.units.miss) / self.most
        return 0.5 * (TOP + BOTTOM) - 0.5 * (BOTTOM - TOP) * share

    def y_inside(self, up_m: float) -> float:
        return min(max(self.y(up_m), TOP), BOTTOM)


def fan(found: Bands, dots: Sequence[Dot], frame: Frame) -> Markup:
    """Bands as impact over distance, with tolerance, trusted distance and groups."""
    axes = _axes(found, dots, frame)
    head = (
        f'<svg class="fan" viewBox="0 0 {WIDE:g} {HIGH:g}" role="img" '
        'aria-labelledby="fan-title fan-desc">'
        f'<title id="fan-title">How far to trust the marks</title>'
        f'<desc id="fan-desc">{escape(_spoken(found, dots, frame))}</desc>'
    )
    parts = [
        head,
        *_grid(axes),
        *_band(found, axes),
        *_tolerance(axes, frame),
        *_trusted(axes, frame),
        *(_dot(one, axes) for one in dots),
        "</svg>",
    ]
    return Markup("".join(parts))  # noqa: S704 — numbers of ours; words are escaped above


def _axes(found: Bands, dots: Iterable[Dot], frame: Frame) -> _Axes:
    """Axes with room for tolerance and band; a band far wider runs out of the picture."""
    units = frame.units
    ends = np.abs([found.impact_low_m, found.impact_high_m])
    inside = found.distance_m <= max(frame.trusted_m * 1.1, found.distance_m[0])
    seen = [1.1 * abs(one.up_m) for one in dots if isfinite(one.up_m)]
    wanted_m = max([1.1 * float(np.nanmax(ends[:, inside], initial=0.0)), *seen])
    tolerance_m = frame.tolerance_m
    most_m = min(max(wanted_m, LEAST_SHOWN * tolerance_m), MOST_SHOWN * tolerance_m)
    near, far = (in_unit(end, units.distance) for end in found.distance_m[[0, -1]])
    return _Axes(10.0 * (near // 10.0), 10.0 * ceil(far / 10.0), in_unit(most_m, units.miss), units)


def _step(span: float) -> float:
    """Distance between grid lines that keeps them few."""
    return next((step for step in STEPS if span / step <= MOST_STEPS), span)


def _grid(axes: _Axes) -> list[str]:
    units = axes.units
    parts = [
        f'<text x="2" y="12">impact, {units.miss}</text>',
        f'<text x="{RIGHT:g}" y="{HIGH - 4:g}" class="end">distance, {units.distance}</text>',
    ]
    step = _step(axes.far - axes.near)
    for number in range(ceil(axes.near / step), int(axes.far / step) + 1):
        x = LEFT + (RIGHT - LEFT) * (number * step - axes.near) / (axes.far - axes.near)
        parts.append(f'<line class="grid" x1="{x:.1f}" x2="{x:.1f}" y1="{TOP:g}" y2="{BOTTOM:g}"/>')
        parts.append(
            f'<text x="{x:.1f}" y="{BOTTOM + 14:g}" class="middle">{number * step:g}</text>'
        )
    step = _step(2.0 * axes.most)
    last = int(axes.most / step)
    for number in range(-last, last + 1):
        y = 0.5 * (TOP + BOTTOM) - 0.5 * (BOTTOM - TOP) * number * step / axes.most
        kind = "grid" if number else "aim"
        words = f"{'+' * (number > 0)}{plain(number * step)}"
        parts.append(
            f'<line class="{kind}" x1="{LEFT:g}" x2="{RIGHT:g}" y1="{y:.1f}" y2="{y:.1f}"/>'
        )
        parts.append(f'<text x="{LEFT - 4:g}" y="{y + 4:.1f}" class="end">{words}</text>')
    return parts


def _band(found: Bands, axes: _Axes) -> list[str]:
    """The band, an area for each unbroken run of distances that the sight reaches."""
    lows, highs = found.impact_low_m, found.impact_high_m
    known: NDArray[np.bool_] = np.isfinite(lows) & np.isfinite(highs)
    places = np.flatnonzero(known)
    runs = np.split(places, np.flatnonzero(np.diff(places) > 1) + 1) if places.size else []
    parts = []
    for run in runs:
        upper = [(found.distance_m[one], highs[one]) for one in run]
        lower = [(found.distance_m[one], lows[one]) for one in run[::-1]]
        points = " ".join(
            f"{axes.x(float(distance)):.1f},{axes.y_inside(float(up)):.1f}"
            for distance, up in (*upper, *lower)
        )
        parts.append(f'<polygon class="band" points="{points}"/>')
    return parts


def _tolerance(axes: _Axes, frame: Frame) -> list[str]:
    parts = []
    for up_m in (frame.tolerance_m, -frame.tolerance_m):
        y = axes.y(up_m)
        parts.append(
            f'<line class="tolerance" x1="{LEFT:g}" x2="{RIGHT:g}" y1="{y:.1f}" y2="{y:.1f}"/>'
        )
    words = f"tolerance {round_amount(frame.tolerance_m, frame.units.miss)}"
    y = axes.y(-frame.tolerance_m) + 12.0
    return [*parts, f'<text class="halo" x="{LEFT + 4:g}" y="{y:.1f}">{escape(words)}</text>']


def _upright(axes: _Axes, distance_m: float, kind: str, words: str, y: float) -> str:
    """A line across all impacts, its words on the side that has room."""
    x = axes.x(distance_m)
    if not LEFT <= x <= RIGHT:
        return ""
    side, at_x = ("end", x - 4.0) if x > 0.5 * (LEFT + RIGHT) else ("start", x + 4.0)
    return (
        f'<line class="{kind}" x1="{x:.1f}" x2="{x:.1f}" y1="{TOP:g}" y2="{BOTTOM:g}"/>'
        f'<text class="halo {side} {kind}-words" x="{at_x:.1f}" y="{y:.1f}">{escape(words)}</text>'
    )


def _trusted(axes: _Axes, frame: Frame) -> list[str]:
    parts = []
    if frame.sight_ends_m is not None:
        parts.append(_upright(axes, frame.sight_ends_m, "stop", "the sight ends", BOTTOM - 4.0))
    if frame.trusted_m:
        words = f"trusted to {amount(frame.trusted_m, frame.units.distance)}"
        parts.append(_upright(axes, frame.trusted_m, "trusted", words, TOP + 11.0))
    return parts


def _dot(one: Dot, axes: _Axes) -> str:
    """A group: a dot with its whisker, a cross if it is odd; at the edge if it lies beyond."""
    if not isfinite(one.up_m):
        return ""
    x, y = axes.x(one.distance_m), axes.y_inside(one.up_m)
    units = axes.units
    side = "high" if one.up_m >= 0.0 else "low"
    words = (
        f"Group {one.name} at {amount(one.distance_m, units.distance)}: "
        f"{amount(abs(one.up_m), units.miss)} {side}"
    )
    title = f"<title>{escape(words)}</title>"
    ends = [axes.y_inside(one.up_m + sign * one.half_m) for sign in (1.0, -1.0)]
    whisker = f'<path class="whisker" d="M{x:.1f} {ends[0]:.1f}V{ends[1]:.1f}"/>'
    if one.is_odd:
        cross = f"M{x - 5:.1f} {y - 5:.1f}l10 10m0 -10l-10 10"
        name = f'<text class="halo" x="{x + 8:.1f}" y="{y + 4:.1f}">{escape(one.name)}</text>'
        return f'<g>{title}{whisker}<path class="odd" d="{cross}"/>{name}</g>'
    return f'<g>{title}{whisker}<circle class="dot" cx="{x:.1f}" cy="{y:.1f}" r="3.4"/></g>'


def _spoken(found: Bands, dots: Sequence[Dot], frame: Frame) -> str:
    """The picture in words."""
    units = frame.units
    tolerance = round_amount(frame.tolerance_m, units.miss)
    near, far = (amount(float(end), units.distance) for end in found.distance_m[[0, -1]])
    told = [f"Bands of impact from {near} to {far} against a tolerance of {tolerance}."]
    if frame.trusted_m:
        told.append(f"They stay inside it up to {amount(frame.trusted_m, units.distance)}.")
    else:
        told.append("They do not stay inside it.")
    odd = [one.name for one in dots if one.is_odd]
    if dots:
        told.append(f"Dots: {len(dots)} groups; not fitting: {', '.join(odd) or 'none'}.")
    return " ".join(told)

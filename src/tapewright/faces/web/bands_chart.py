"""Bands chart: the bands of a pin over distance as a picture that answers how far to trust it.

Drawn by hand so that themes colour it by class, a screen reader hears it, and no script is needed.

Holds:  the Frame record; axes and areas of the picture.
Never:  how a band was found (services), lines and words (templates/fan.html), colours (style.css).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, isfinite

import numpy as np
from markupsafe import Markup
from numpy.typing import NDArray

from tapewright.faces.web.templating import TEMPLATES
from tapewright.services.calibrate import Bands, GroupCheck
from tapewright.services.look_up_marks import SeenGroup
from tapewright.words.quantity_parser import in_unit
from tapewright.words.unit_system import Units

LEAST_SHOWN, MOST_SHOWN = 1.6, 3.0  # tolerances to each side of the aim
STEPS = (0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0)
MOST_STEPS = 7


@dataclass(frozen=True, slots=True)
class Frame:
    """What the picture is drawn for."""

    units: Units  # what the person reads
    tolerance_m: float  # largest miss allowed
    trusted_m: float  # distance up to which it is kept, 0 for none
    # Distance at which the sight cannot be set farther; None: not known
    sight_ends_m: float | None = None


@dataclass(frozen=True, slots=True)
class _Axes:
    """From distance and impact to places in the picture."""

    near: float
    far: float
    most: float
    units: Units
    left, right, top, bottom = 34, 350, 24, 232

    def across(self, distance: float) -> float:
        """Place of a distance in the person's unit."""
        share = (distance - self.near) / (self.far - self.near)
        return float(self.left + (self.right - self.left) * share)

    def upward(self, impact: float) -> float:
        """Place of an impact in the person's unit."""
        share = impact / self.most
        return float(0.5 * (self.top + self.bottom) - 0.5 * (self.bottom - self.top) * share)

    def x(self, distance_m: float) -> float:
        return self.across(in_unit(distance_m, self.units.distance))

    def y(self, up_m: float) -> float:
        return self.upward(in_unit(up_m, self.units.miss))

    def y_inside(self, up_m: float) -> float:
        return float(min(max(self.y(up_m), self.top), self.bottom))

    @property
    def columns(self) -> list[float]:
        """Distances with a grid line, in the person's unit."""
        step = _step(self.far - self.near)
        return [one * step for one in range(ceil(self.near / step), int(self.far / step) + 1)]

    @property
    def rows(self) -> list[float]:
        """Impacts with a grid line, in the person's unit."""
        step = _step(2.0 * self.most)
        last = int(self.most / step)
        return [one * step for one in range(-last, last + 1)]


def fan(found: Bands, groups: Sequence[SeenGroup], frame: Frame) -> Markup:
    """Bands as impact over distance, with tolerance, trusted distance and groups."""
    checks = [one.check for one in groups]
    axes = _axes(found, checks, frame)
    picture = TEMPLATES.get_template("fan.html").render(
        axes=axes,
        frame=frame,
        units=frame.units,
        areas=_areas(found, axes),
        ends_m=found.distance_m[[0, -1]].tolist(),
        checks=checks,
        dots=[one for one in groups if isfinite(one.check.miss_up_m)],
    )
    return Markup(picture.replace("\n", ""))  # noqa: S704 — the template escapes


def _axes(found: Bands, checks: Sequence[GroupCheck], frame: Frame) -> _Axes:
    """Axes with room for tolerance and band; a band far wider runs out of the picture."""
    units = frame.units
    ends = np.abs([found.impact_low_m, found.impact_high_m])
    inside = found.distance_m <= max(frame.trusted_m * 1.1, found.distance_m[0])
    seen = [1.1 * abs(one.miss_up_m) for one in checks if isfinite(one.miss_up_m)]
    wanted_m = max([1.1 * float(np.nanmax(ends[:, inside], initial=0.0)), *seen])
    tolerance_m = frame.tolerance_m
    most_m = min(max(wanted_m, LEAST_SHOWN * tolerance_m), MOST_SHOWN * tolerance_m)
    near, far = (in_unit(end, units.distance) for end in found.distance_m[[0, -1]])
    return _Axes(10.0 * (near // 10.0), 10.0 * ceil(far / 10.0), in_unit(most_m, units.miss), units)


def _step(span: float) -> float:
    """Distance between grid lines that keeps them few."""
    return next((step for step in STEPS if span / step <= MOST_STEPS), span)


def _areas(found: Bands, axes: _Axes) -> list[str]:
    """The band, an area for each unbroken run of distances that the sight reaches."""
    lows, highs = found.impact_low_m, found.impact_high_m
    known: NDArray[np.bool_] = np.isfinite(lows) & np.isfinite(highs)
    places = np.flatnonzero(known)
    runs = np.split(places, np.flatnonzero(np.diff(places) > 1) + 1) if places.size else []
    areas = []
    for run in runs:
        upper = [(found.distance_m[one], highs[one]) for one in run]
        lower = [(found.distance_m[one], lows[one]) for one in run[::-1]]
        points = [  # past the frame, too, which cuts them off: along it nothing is drawn
            f"{axes.x(float(distance)):.1f},{axes.y(float(up)):.1f}"
            for distance, up in (*upper, *lower)
        ]
        areas.append(" ".join(points))
    return areas

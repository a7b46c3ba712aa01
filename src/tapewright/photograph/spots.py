"""Spots: round dark places on a flat view of the sheet, where arrows are or have been.

What lies on the sheet, as wide as a shaft and round, is a hole.  A shaft that still stands there is
a streak that leads away from the camera's foot; its near end is the place where it went in.

Holds:  Spot record; spots in a field of what lies on the sheet.
Never:  straightening; units other than mm on the sheet.
"""

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from tapewright.ground.errors import BadInput
from tapewright.photograph.lying_on import disc
from tapewright.photograph.vision import Field, Floats, vision

HOLE_SHARE = 0.84  # of a shaft's diameter that a hole in paper has; common practice, no source
LEAST_PEAK = 0.34
LEAST_FILL = 0.5
BOB_MM = 4.6  # the ends of the plumb line, blurred, are narrower
WEDGES = 16
STREAK_SHAFTS = 3.4  # a shaft is seen at least this many diameters long
ASIDE = 0.45  # darkness in a direction that is no longer paper
MOST_LOOKS = 500  # spots like holes; nobody shoots as many at one sheet
MOST_PEAKS = 4000  # spots that are looked at


@dataclass(frozen=True, slots=True)
class Spot:
    """A place where an arrow is or has been.

    Parameters
    ----------
    x_mm, y_mm : float
        Right of the aim and below it. [mm]
    kind : str
        ``"hole"`` or ``"shaft"``.
    confidence : float
        From 0 to 1; a rank, no probability. [-]
    """

    x_mm: float
    y_mm: float
    kind: str
    confidence: float


class _Look(NamedTuple):
    """What a peak turned out to be, in pixels of the field."""

    where: Floats
    ahead: Floats | None
    wide_px: float
    confidence: float


def find_spots(
    field: Field,
    px_mm: float,
    origin_mm: tuple[float, float],
    diameter_mm: float,
    foot_mm: tuple[float, float] | None,
) -> tuple[Spot, ...]:
    """Holes and shafts in a field of what lies on the sheet.

    Parameters
    ----------
    field : (h, w) array
        From `lying_on`; places to leave out are negative.
    px_mm : float
        Length of paper on one pixel. [mm]
    origin_mm : float, float
        Upper left corner of the field, right of the aim and below it. [mm]
    diameter_mm : float
        Of a shaft. [mm]
    foot_mm : (float, float) or None
        Foot of the camera; None if not known. [mm]

    Returns
    -------
    tuple of Spot
        The surest first.

    Raises
    ------
    BadInput
        If there are more than a target can have.
    """
    shaft_px = diameter_mm / px_mm
    seen = np.maximum(field, 0.0)
    origin = np.array(origin_mm)
    foot = None if foot_mm is None else (np.array(foot_mm) - origin) / px_mm - 0.5
    peaks = _peaks(seen, shaft_px)
    looks = [_looked_at(seen, place, shaft_px, foot) for place in peaks[: MOST_PEAKS + 1]]
    sure = sorted((one for one in looks if one), key=lambda one: -one.confidence)
    if len(sure) > MOST_LOOKS or len(peaks) > MOST_PEAKS:
        wrong = "it shows hundreds of spots as large as a hole, more than arrows make"
        raise BadInput("Photograph", wrong, "Take the target alone, on a plain ground")
    spots = []
    for one in _apart(seen, sure, shaft_px):
        row, column = (round(float(at)) for at in one.where[::-1])
        inside = 0 <= row < field.shape[0] and 0 <= column < field.shape[1]
        at_mm = origin + px_mm * (one.where + 0.5)
        plumb = abs(float(at_mm[0])) < BOB_MM / 2.0 and one.wide_px * px_mm < BOB_MM
        if inside and field[row, column] >= 0.0 and not plumb:
            kind = "hole" if one.ahead is None else "shaft"
            spots.append(Spot(float(at_mm[0]), float(at_mm[1]), kind, one.confidence))
    return tuple(spots)


def _peaks(seen: Field, shaft_px: float) -> list[Floats]:
    """Middles of places as wide as a hole that are darker than a ring around them."""
    cv = vision()
    inside = _ring(0.0, 0.5 * HOLE_SHARE * shaft_px)
    around = _ring(0.62 * shaft_px, 0.95 * shaft_px)
    fill = cv.filter2D(seen, -1, inside, borderType=cv.BORDER_REFLECT)
    peak = fill - cv.filter2D(seen, -1, around, borderType=cv.BORDER_REFLECT)
    near = disc(0.7 * shaft_px)
    top = (peak >= cv.dilate(peak, near)) & (peak > LEAST_PEAK) & (fill > LEAST_FILL)
    return [np.array([column, row], dtype=np.float64) for row, column in np.argwhere(top)]


def _ring(inner_px: float, outer_px: float) -> Field:
    """Kernel that means over a ring, or over a disc."""
    reach = int(np.ceil(outer_px)) + 1
    y, x = np.mgrid[-reach : reach + 1, -reach : reach + 1]
    away = np.hypot(x, y)
    ring = np.clip(outer_px - away + 0.5, 0.0, 1.0) * np.clip(away - inner_px + 0.5, 0.0, 1.0)
    kernel: Field = (ring / ring.sum()).astype(np.float32)
    return kernel


def _looked_at(seen: Field, place: Floats, shaft_px: float, foot: Floats | None) -> _Look | None:
    """What a peak is: where, which way it leads, how sure; None if neither hole nor shaft."""
    angles = 2.0 * np.pi * np.arange(WEDGES) / WEDGES
    turns = np.column_stack([np.cos(angles), np.sin(angles)])
    near = _along(seen, place, turns, np.linspace(0.7, 1.0, 4) * shaft_px).mean(axis=1)
    far = _along(seen, place, turns, np.linspace(1.1, STREAK_SHAFTS, 12) * shaft_px).min(axis=1)
    inner = _along(seen, place, turns, np.linspace(0.05, 0.75, 15) * shaft_px)
    fill = float(inner[:, :6].mean())
    wide_px = 2.0 * float(np.sqrt((inner * np.linspace(0.05, 0.75, 15)).sum() * 0.1 / WEDGES))
    streaks = (near > ASIDE) & (far > 0.7 * ASIDE)
    if not streaks.any():
        if float((near > ASIDE).mean()) > 0.45:
            return None
        beside = 1.0 - float(near.mean())
        return _Look(_middle(seen, place, shaft_px), None, wide_px * shaft_px, fill * beside)
    ahead = turns[streaks].sum(axis=0)
    long = float(np.hypot(*ahead))
    if long < 0.55 * int(streaks.sum()):
        return None  # it goes on to both sides
    ahead /= long
    if foot is not None and float(ahead @ (place - foot)) < 0.5 * np.hypot(*(place - foot)):
        return None  # the nock's end
    rest, behind = near[turns @ ahead < 0.35], near[turns @ ahead < -0.8]
    if float((rest < ASIDE).mean()) < 0.7 or float(behind.max()) > ASIDE:
        return None
    confidence = fill * (1.0 - float(rest.mean()))
    return _Look(_entry(seen, place, ahead, shaft_px), ahead, shaft_px, confidence)


def _along(seen: Field, place: Floats, turns: Floats, reaches: Floats) -> Floats:
    """The field at some ways from a place, a row for each direction."""
    cv = vision()
    at = place + turns[:, None, :] * reaches[None, :, None]
    values: Field = cv.remap(
        seen, at.astype(np.float32), None, cv.INTER_LINEAR, borderMode=cv.BORDER_REPLICATE
    )
    return values.astype(np.float64)


def _middle(seen: Field, place: Floats, shaft_px: float) -> Floats:
    """Centre of what is dark within a little more than half a shaft."""
    where = place
    for _ in range(4):
        reach = int(0.62 * shaft_px) + 1
        row, column = round(float(where[1])), round(float(where[0]))
        top, left = max(row - reach, 0), max(column - reach, 0)
        part = seen[top : row + reach + 1, left : column + reach + 1]
        y, x = np.mgrid[top : top + part.shape[0], left : left + part.shape[1]]
        away = np.hypot(x - where[0], y - where[1])
        weight = part * np.clip(0.62 * shaft_px - away, 0.0, 1.0)
        total = max(float(weight.sum()), 1e-6)
        where = np.array([float((weight * x).sum()), float((weight * y).sum())]) / total
    return where


def _entry(seen: Field, place: Floats, ahead: Floats, shaft_px: float) -> Floats:
    """Middle of the near end of a streak: half a shaft inward from where it begins."""
    aside = np.array([-ahead[1], ahead[0]])
    steps = np.linspace(-1.1, 1.0, 43) * shaft_px
    lanes = np.linspace(-0.25, 0.25, 5) * shaft_px
    at = place + steps[:, None, None] * ahead + lanes[None, :, None] * aside
    cv = vision()
    values = cv.remap(
        seen, at.astype(np.float32), None, cv.INTER_LINEAR, borderMode=cv.BORDER_REPLICATE
    )
    dark = np.median(values, axis=1) > 0.5
    after = np.flatnonzero(~dark[:-1] & dark[1:])
    if len(after) == 0:
        return place
    start = float(steps[after[np.abs(steps[after] + 0.5 * shaft_px).argmin()] + 1])
    shift = float(np.clip(start + 0.5 * shaft_px, -0.6 * shaft_px, 0.6 * shaft_px))
    across = _across(seen, place + (shift + 0.3 * shaft_px) * ahead, aside, shaft_px)
    return place + shift * ahead + across * aside


def _across(seen: Field, place: Floats, aside: Floats, shaft_px: float) -> float:
    """How far a streak's middle lies beside a place, in pixels."""
    cv = vision()
    steps = np.linspace(-0.7, 0.7, 29) * shaft_px
    at = (place + steps[:, None] * aside)[None]
    values = cv.remap(
        seen, at.astype(np.float32), None, cv.INTER_LINEAR, borderMode=cv.BORDER_REPLICATE
    )
    weight = np.clip(values.ravel(), 0.0, 1.0)
    return float((weight * steps).sum() / max(float(weight.sum()), 1e-6))


def _apart(seen: Field, looks: list[_Look], shaft_px: float) -> list[_Look]:
    """The surer of two that are one and the same; nothing that lies along a shaft."""
    kept: list[_Look] = []
    for look in looks:
        near = any(np.hypot(*(look.where - one.where)) < 0.55 * shaft_px for one in kept)
        if not near and not any(_is_along(seen, one, look.where, shaft_px) for one in kept):
            kept.append(look)
    shafts = [one for one in kept if one.ahead is not None]
    return [
        look
        for look in kept
        if look.ahead is not None
        or not any(_is_along(seen, shaft, look.where, shaft_px) for shaft in shafts)
    ]


def _is_along(seen: Field, shaft: _Look, place: Floats, shaft_px: float) -> bool:
    """Whether a place lies on the streak of a shaft, away from where it went in."""
    way = place - shaft.where
    long = float(np.hypot(*way))
    if shaft.ahead is None or long < 0.5 * shaft_px:
        return False
    ahead = float(way @ shaft.ahead)
    aside = float(np.sqrt(max(long**2 - ahead**2, 0.0)))
    if ahead <= 0.0 or aside > 0.45 * shaft_px + 0.15 * ahead:
        return False
    between = _along(seen, shaft.where, way[None] / long, np.linspace(0.0, long, 40))
    return float((between > 0.5 * ASIDE).mean()) > 0.9

"""Spots: round dark places on a flat view of the sheet, where arrows are or have been.

Holes are darker than paper but not quite as dark as ink, whose own pattern must not be taken for
them: thin lines and letters are wiped off by their width, and the aiming mark, whose size is read
from the picture, is lifted to the lightness of paper.  What is then darker (or on ink lighter) than
its surroundings, as wide as a shaft and round, is a hole.  A shaft that still stands there is a
streak that leads away from the camera's foot; its near end is the place where it went in.

Holds:  Spot record; what lies on the sheet as a field from 0 to 1; spots in that field.
Never:  straightening; units other than mm on the sheet.
"""

from dataclasses import dataclass
from itertools import pairwise
from typing import Any, NamedTuple

import numpy as np

from tapewright.ground.errors import BadInput
from tapewright.photograph.vision import Field, Floats, Pixels, vision

THIN_MM = 1.8  # grid, plumb line and letters are thinner
WIDE_MM = 26.0  # shadows are wider than this, or have no edge
LIGHT_SPOT_MM = 15.0  # holes on ink are narrower
SEAM_MM = 1.0  # between what a hole covers of ink and of paper
FILL_SHARE = 0.5  # of a shaft: fibres around a hole are taken for all of it
STRONG = 0.5  # a difference of grey levels, as logarithm, that counts as wholly dark
AIMING_MARK_OPEN = 0.55  # of the aiming mark that is open in the middle
LEAST_AIMING_MARK = 0.35  # darkness that its rim must have
STEP_MM = 0.25  # of the way from the aim in which darkness is averaged
REACH_MM = 135.0  # largest aiming mark and some paper around it
SOFT_MM = 2.0  # to both sides of an edge of the aiming mark
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


def lying_on(
    flat: Pixels, px_mm: float, aim: tuple[float, float] | None, diameter_mm: float
) -> Field:
    """How much each place differs from the sheet as printed, 0 to 1.

    Parameters
    ----------
    flat : (h, w, 3) array of bytes
        The sheet from straight before.
    px_mm : float
        Length of paper on one pixel. [mm]
    aim : (float, float) or None
        Pixel of the aim inside an aiming mark of ours; None: there is none. [-]
    diameter_mm : float
        Of a shaft. [mm]

    Returns
    -------
    (h, w) array
        0 where there is paper or print, 1 where there is neither.
    """
    cv = vision()
    darkest, lightest = _darkest_and_lightest(flat)
    on_ink = np.zeros(darkest.shape, np.float32)
    print_of = None if aim is None else _print_of_mark(darkest, px_mm, aim)
    if print_of is not None:
        darkest, lightest = darkest + print_of, lightest + print_of
        on_ink = (print_of > 0.6 * float(print_of.max())).astype(np.float32)
    without_lines: Field = cv.morphologyEx(darkest, cv.MORPH_CLOSE, _disc(THIN_MM / px_mm))
    light = _light(without_lines, on_ink, px_mm)
    # Nothing light is printed on ink: what shines there are fibres around a hole, or the butt.
    lighter = np.clip((lightest - light) * on_ink / STRONG, 0.0, 1.0)
    lighter = cv.morphologyEx(lighter, cv.MORPH_CLOSE, _disc(FILL_SHARE * diameter_mm / px_mm))
    dark = np.clip((light - without_lines) / STRONG, 0.0, 1.0)
    found: Field = cv.morphologyEx(
        np.maximum(dark, lighter), cv.MORPH_CLOSE, _disc(SEAM_MM / px_mm)
    )
    return found


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


def _disc(pixels: float) -> Any:  # noqa: ANN401 — the library's own
    """Disc that a field is wiped with, an odd number of pixels across."""
    cv = vision()
    size = 2 * max(round(pixels / 2.0), 1) + 1
    return cv.getStructuringElement(cv.MORPH_ELLIPSE, (size, size))


def _darkest_and_lightest(flat: Pixels) -> tuple[Field, Field]:
    """Logarithms of the darkest and lightest colour against white paper.

    A coloured shaft is dark on paper by one colour and light on ink by another.
    """
    cv = vision()
    grey = np.log(flat.astype(np.float32) + 4.0)
    white = np.quantile(grey[::8, ::8].reshape(-1, 3), 0.75, axis=0).astype(np.float32)
    grey = cv.GaussianBlur(grey - white, (0, 0), 1.0)
    return grey.min(axis=2), grey.max(axis=2)


def _light(field: Field, on_ink: Field, px_mm: float) -> Field:
    """Lightness of the paper everywhere, as if nothing narrow lay on it."""
    cv = vision()
    step = max(int(1.0 / px_mm), 1)
    size = field.shape[1] // step, field.shape[0] // step
    small, inked = (
        cv.copyMakeBorder(
            cv.resize(one, size, interpolation=cv.INTER_AREA), *(4 * [30]), cv.BORDER_REPLICATE
        )
        for one in (field, on_ink)
    )
    small_mm = step * px_mm
    without_light = cv.morphologyEx(small, cv.MORPH_OPEN, _disc(LIGHT_SPOT_MM / small_mm))
    small = np.where(inked > 0.02, without_light, small)
    closed = cv.morphologyEx(small, cv.MORPH_CLOSE, _disc(WIDE_MM / small_mm))
    inner = cv.GaussianBlur(closed, (0, 0), 2.0)[30:-30, 30:-30]
    light: Field = cv.resize(inner, field.shape[::-1], interpolation=cv.INTER_LINEAR)
    return light


def _diamond(shape: tuple[int, ...], px_mm: float, aim: tuple[float, float]) -> Field:
    """Way from the aim along rows and columns together: diamonds are its level lines [mm]."""
    rows, columns = np.arange(shape[0], dtype=np.float32), np.arange(shape[1], dtype=np.float32)
    away = np.abs(rows - aim[1])[:, None] + np.abs(columns - aim[0])[None, :]
    far: Field = (away * px_mm).astype(np.float32)
    return far


def _print_of_mark(darkest: Field, px_mm: float, aim: tuple[float, float]) -> Field | None:
    """How dark the aiming mark alone makes each place, as soft as the picture is; None: no mark.

    On each diamond around the aim the median darkness is taken: holes and shadows cover less than
    half of it.
    """
    reach = int(REACH_MM / px_mm)
    row, column = int(aim[1]), int(aim[0])
    top, left = max(row - reach, 0), max(column - reach, 0)
    window = (slice(top, row + reach), slice(left, column + reach))
    away_mm = _diamond(darkest.shape, px_mm, aim)[window]
    steps = _medians(darkest[window], away_mm)
    outer = _rim(steps)
    if outer is None:
        return None
    inner = int(AIMING_MARK_OPEN * outer)
    soft = int(SOFT_MM / STEP_MM)
    first, last = max(inner - soft, 0), min(outer + soft, len(steps) - 1)
    print_of = np.zeros(len(steps))
    paper = np.interp(np.arange(first, last), [inner - soft, outer + soft], steps[[first, last]])
    print_of[first:last] = np.maximum(paper - steps[first:last], 0.0)
    depth = np.zeros(darkest.shape, np.float32)
    depth[window] = np.interp(away_mm / STEP_MM - 0.5, np.arange(len(steps)), print_of)
    return depth


def _medians(part: Field, away_mm: Field) -> Floats:
    """Median darkness in each step of the way from the aim; inner steps stand in for empty ones."""
    order = np.argsort(away_mm.ravel(), kind="stable")
    count = int(REACH_MM / STEP_MM)
    ends = np.searchsorted(away_mm.ravel()[order], STEP_MM * np.arange(count + 1))
    sorted_dark = part.ravel()[order]
    steps = np.array(
        [
            np.median(sorted_dark[start:end]) if end - start > 8 else np.nan
            for start, end in pairwise(ends)
        ]
    )
    known = np.flatnonzero(~np.isnan(steps))
    found: Floats = np.interp(np.arange(count), known, steps[known])
    return found


def _rim(steps: Floats) -> int | None:
    """Step at which the mark ends: its rim is darker than what lies around it and in its middle."""
    found, best = None, LEAST_AIMING_MARK
    for outer in range(int(5.0 / STEP_MM), int(len(steps) / 1.2) - 2):
        inner = AIMING_MARK_OPEN * outer
        rim = steps[int(inner + 0.2 * (outer - inner)) : int(outer - 0.15 * (outer - inner))]
        around = steps[int(1.04 * outer) + 2 : int(1.2 * outer) + 2]
        middle = steps[int(0.3 * inner) : int(0.9 * inner)]
        depth = min(float(np.median(around)), float(np.median(middle))) - float(rim.max())
        # the edge itself: half way down between rim and paper
        edge = float(abs(steps[outer] - (np.median(around) + np.median(rim)) / 2.0))
        if depth - edge > best:
            found, best = outer, depth - edge
    return found


def _peaks(seen: Field, shaft_px: float) -> list[Floats]:
    """Middles of places as wide as a hole that are darker than a ring around them."""
    cv = vision()
    disc = _ring(0.0, 0.5 * HOLE_SHARE * shaft_px)
    around = _ring(0.62 * shaft_px, 0.95 * shaft_px)
    fill = cv.filter2D(seen, -1, disc, borderType=cv.BORDER_REFLECT)
    peak = fill - cv.filter2D(seen, -1, around, borderType=cv.BORDER_REFLECT)
    near = _disc(0.7 * shaft_px)
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

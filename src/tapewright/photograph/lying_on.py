"""Lying on: what lies on the sheet, when light, print and tape are taken away.

Holes are darker than paper but not quite as dark as ink, whose own pattern must not be taken for
them: thin lines and letters are wiped off by their width, and the aiming mark, whose size is read
from the picture, is lifted to the lightness of paper. Tape over old holes is wider than any hole.

Holds:  a field from 0 (paper, print or tape) to 1 (none of these).
Never:  what is a hole (spots.py); straightening.
"""

from itertools import pairwise
from typing import Any

import numpy as np

from tapewright.photograph.vision import Field, Floats, Pixels, vision

THIN_MM = 1.8  # grid, plumb line and letters are thinner
WIDE_MM = 26.0  # shadows are wider than this, or have no edge
LIGHT_SPOT_MM = 15.0  # holes on ink are narrower
SEAM_MM = 1.0  # between what a hole covers of ink and of paper
FILL_SHARE = 0.5  # of a shaft: fibres around a hole are taken for all of it
STRONG = 0.5  # a difference of grey levels, as logarithm, that counts as wholly dark
AIMING_MARK_OPEN = 0.55  # of the aiming mark that is open in the middle
LEAST_AIMING_MARK = 0.35  # darkness that its rim must have
# Tape over old holes is wider than any hole, and no piece of it as long as a shaft is seen:
# common practice, no source.
TAPE_MM = 12.5
TAPES_LONG_MM = 110.0
CORNER_MM = 6.0  # how far a corner of tape stands off the widest disc inside it
BEYOND_INK = 1.3  # times the widest disc on our own ink is more than ink
SOLID_MM = 3.6  # fibres around a hole are narrower
PAPER_LIKE = 0.45  # below paper, as a logarithm: lighter than that is no butt
STEP_MM = 0.25  # of the way from the aim in which darkness is averaged
REACH_MM = 135.0  # largest aiming mark and some paper around it
SOFT_MM = 2.0  # to both sides of an edge of the aiming mark


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
    as_seen = darkest
    print_of = np.zeros_like(darkest) if aim is None else _print_of_mark(darkest, px_mm, aim)
    darkest, lightest = darkest + print_of, lightest + print_of
    on_ink = (print_of > max(0.6 * float(print_of.max()), 0.1)).astype(np.float32)
    without_lines = _wiped(darkest, px_mm)
    light = _light(without_lines, on_ink, px_mm)
    # Nothing light is printed on ink: what shines there are fibres around a hole, or the butt.
    lighter = np.maximum(lightest - light, 0.0) * on_ink / STRONG
    dark = np.maximum(light - without_lines, 0.0) / STRONG
    taped = _taped(_joined(dark, lighter, px_mm, diameter_mm), px_mm)
    solid = lighter * cv.erode(on_ink, disc(SOFT_MM / px_mm))
    solid *= lightest - print_of - light > -PAPER_LIKE
    lighter = np.where(taped, _without(lighter, SOLID_MM, px_mm, solid), lighter)
    # Black tape that lies half on ink is wide together with it.
    ink_mm = 2.0 * px_mm * float(cv.distanceTransform(np.uint8(on_ink), cv.DIST_L2, 5).max())
    both = np.maximum(light - _wiped(as_seen, px_mm), 0.0) / STRONG
    bare = _without(both, max(TAPE_MM, BEYOND_INK * ink_mm), px_mm)
    bare = np.minimum(_without(dark, TAPE_MM, px_mm), bare)
    dark = np.where(taped, bare, dark)
    return _joined(dark, lighter, px_mm, diameter_mm)


def _wiped(field: Field, px_mm: float) -> Field:
    """A field of darkness without thin lines and letters."""
    wiped: Field = vision().morphologyEx(field, vision().MORPH_CLOSE, disc(THIN_MM / px_mm))
    return wiped


def _joined(dark: Field, lighter: Field, px_mm: float, diameter_mm: float) -> Field:
    """What is dark on paper and what is light on ink as one field from 0 to 1."""
    cv = vision()
    lighter = np.clip(lighter, 0.0, 1.0)
    lighter = cv.morphologyEx(lighter, cv.MORPH_CLOSE, disc(FILL_SHARE * diameter_mm / px_mm))
    both = np.maximum(np.clip(dark, 0.0, 1.0), lighter)
    found: Field = cv.morphologyEx(both, cv.MORPH_CLOSE, disc(SEAM_MM / px_mm))
    return found


def _taped(found: Field, px_mm: float) -> Any:  # noqa: ANN401 — bools of the library's shape
    """Where a piece of tape may lie: what hangs together there is no shaft, for it ends soon."""
    cv = vision()
    there = (found > 0.5).astype(np.uint8)
    _, names, sizes, _ = cv.connectedComponentsWithStats(there)
    left, top, wide, high = sizes[:, :4].T
    inside = (left > 0) & (top > 0) & (left + wide < found.shape[1]) & (top + high < found.shape[0])
    short = inside & (np.maximum(wide, high) * px_mm < TAPES_LONG_MM)
    short[0] = False
    return cv.dilate(short[names].astype(np.uint8), disc(SOFT_MM / px_mm)) > 0


def _without(field: Field, wide_mm: float, px_mm: float, within: Field | None = None) -> Field:
    """A field without what a disc so wide fits into, the corners of that with it.

    What is darker still on such a piece stays: a hole in tape.
    """
    cv = vision()
    where = field if within is None else within
    wide, step = cv.morphologyEx(where, cv.MORPH_OPEN, disc(wide_mm / px_mm)), disc(2.0)
    for _ in range(round(CORNER_MM / px_mm)):
        wide = np.minimum(cv.dilate(wide, step), field)
    rest: Field = field - wide
    return rest


def disc(pixels: float) -> Any:  # noqa: ANN401 — the library's own
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
    without_light = cv.morphologyEx(small, cv.MORPH_OPEN, disc(LIGHT_SPOT_MM / small_mm))
    small = np.where(inked > 0.02, without_light, small)
    closed = cv.morphologyEx(small, cv.MORPH_CLOSE, disc(WIDE_MM / small_mm))
    inner = cv.GaussianBlur(closed, (0, 0), 2.0)[30:-30, 30:-30]
    light: Field = cv.resize(inner, field.shape[::-1], interpolation=cv.INTER_LINEAR)
    return light


def _diamond(shape: tuple[int, ...], px_mm: float, aim: tuple[float, float]) -> Field:
    """Way from the aim along rows and columns together: diamonds are its level lines [mm]."""
    rows, columns = np.arange(shape[0], dtype=np.float32), np.arange(shape[1], dtype=np.float32)
    away = np.abs(rows - aim[1])[:, None] + np.abs(columns - aim[0])[None, :]
    far: Field = (away * px_mm).astype(np.float32)
    return far


def _print_of_mark(darkest: Field, px_mm: float, aim: tuple[float, float]) -> Field:
    """How dark the aiming mark alone makes each place, as soft as the picture is.

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
    depth = np.zeros(darkest.shape, np.float32)
    if outer is None:
        return depth
    inner = int(AIMING_MARK_OPEN * outer)
    soft = int(SOFT_MM / STEP_MM)
    first, last = max(inner - soft, 0), min(outer + soft, len(steps) - 1)
    print_of = np.zeros(len(steps))
    paper = np.interp(np.arange(first, last), [inner - soft, outer + soft], steps[[first, last]])
    print_of[first:last] = np.maximum(paper - steps[first:last], 0.0)
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

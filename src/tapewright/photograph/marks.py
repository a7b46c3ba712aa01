"""Marks: squares for a camera are found in a picture, with corners to a tenth of a pixel.

                 ···│···      A mark is first read by its pattern.  Then each side is met by short
            ┌───────┼──       cuts across it: where the light changes is the edge, how fast it
            │  ▇▇   │         changes is the sharpness.  Sides are lines through the edges, and
            │    ▇▇           corners are where sides meet, so that a torn corner still is one.

Holds:  PrintedMark and FoundMark records; finding, corners, how soft the edges are.
Never:  where marks stand on a sheet; what a picture is straightened by.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from tapewright.photograph.picture import Picture
from tapewright.photograph.vision import Flags, Floats, Pixels, vision

CELLS = 8
STEPS = 28  # cuts across one side
INSET = 0.07  # share of a side left out at each end
REACH_CELLS = 0.8  # how far a cut looks to both sides: rim and white are one cell wide
LEAST_CONTRAST = 8.0  # of 255 parts of light, between ink and paper
GAMMA = 2.2  # from grey levels to light, nearly; IEC 61966-2-1
SHRINKS = (1, 2, 4)  # a blurred mark is read best in a smaller picture
LEAST_SIDE_PX = 24.0


@dataclass(frozen=True, slots=True)
class PrintedMark:
    """A mark as it stands on paper.

    Parameters
    ----------
    number : int
        Its pattern. [-]
    x_mm, y_mm : float
        Its middle, right of the aim and below it. [mm]
    side_mm : float
        Length of a side. [mm]
    """

    number: int
    x_mm: float
    y_mm: float
    side_mm: float

    @property
    def corners_mm(self) -> Floats:
        """Upper left, upper right, lower right, lower left; right and down [mm]."""
        half_mm = self.side_mm / 2.0
        turns = np.array([(-1, -1), (1, -1), (1, 1), (-1, 1)], dtype=np.float64)
        return np.array([self.x_mm, self.y_mm]) + half_mm * turns


@dataclass(frozen=True, slots=True, eq=False)
class FoundMark:
    """A mark as a picture shows it.

    Parameters
    ----------
    number : int
        Its pattern. [-]
    corners : (4, 2) array
        Pixels right and down, in the order of PrintedMark. [-]
    softness : float
        Second softest edge, from 10 to 90 % of its change, over the length of a side. [-]
    """

    number: int
    corners: Floats
    softness: float


def find_marks(picture: Picture, numbers: Sequence[int]) -> tuple[FoundMark, ...]:
    """Marks in a picture.

    Parameters
    ----------
    picture : Picture
        The picture.
    numbers : sequence of int
        Patterns that are looked for. [-]

    Returns
    -------
    tuple of FoundMark
        By number; one number may be there several times.
    """
    cv = vision()
    grey: Pixels = cv.cvtColor(picture.pixels, cv.COLOR_RGB2GRAY)
    marks: list[FoundMark] = []
    for shrink in SHRINKS:
        for number, corners in _read(grey, shrink):
            if number in numbers and not _is_known(corners, marks):
                mark = _sharpened(grey, number, corners)
                marks += [mark] if mark else []
    return tuple(sorted(marks, key=lambda mark: mark.number))


def _read(grey: Pixels, shrink: int) -> list[tuple[int, Floats]]:
    """Patterns of the family in one size of the picture, with rough corners."""
    cv = vision()
    small = grey
    if shrink > 1:
        size = grey.shape[1] // shrink, grey.shape[0] // shrink
        small = cv.resize(grey, size, interpolation=cv.INTER_AREA)
    family = cv.aruco.getPredefinedDictionary(cv.aruco.DICT_APRILTAG_36h11)
    ways = cv.aruco.DetectorParameters()
    ways.adaptiveThreshWinSizeMin = 15
    ways.adaptiveThreshWinSizeMax = 39
    ways.adaptiveThreshWinSizeStep = 24
    ways.minMarkerPerimeterRate = 0.03
    ways.polygonalApproxAccuracyRate = 0.05
    found, numbers, _ = cv.aruco.ArucoDetector(family, ways).detectMarkers(small)
    if numbers is None:
        return []
    middle = (shrink - 1) / 2.0
    return [
        (int(number), corners[0].astype(np.float64) * shrink + middle)
        for number, corners in zip(numbers.ravel(), found, strict=True)
    ]


def _is_known(corners: Floats, marks: list[FoundMark]) -> bool:
    """Whether another size of the picture showed this one already."""
    middle = corners.mean(axis=0)
    return any(
        float(np.hypot(*(middle - one.corners.mean(axis=0))))
        < 0.5 * float(np.hypot(*(corners[0] - corners[2])))
        for one in marks
    )


def _sharpened(grey: Pixels, number: int, corners: Floats) -> FoundMark | None:
    """Corners from lines along the edges; none if a side is hidden."""
    softness = 0.0
    for _ in range(2):  # cuts of the second round stand across the true sides
        sides = [_side(grey, corners, index) for index in range(4)]
        lines = [line for line, _ in (side for side in sides if side)]
        if len(lines) < 4:
            return None
        # shaken pictures are soft on two sides; one side alone may lie in a shadow's edge
        softness = sorted(soft for _, soft in (side for side in sides if side))[2]
        corners = np.array([_meeting(lines[index - 1], lines[index]) for index in range(4)])
    return FoundMark(number, corners, softness)


def _side(grey: Pixels, corners: Floats, index: int) -> tuple[Floats, float] | None:
    """Line a·x + b·y = c along one side, and how soft it is against its length."""
    start, end = corners[index], corners[(index + 1) % 4]
    along = end - start
    long = float(np.hypot(*along))
    if long < LEAST_SIDE_PX:
        return None
    outward = np.array([along[1], -along[0]]) / long
    inward = (corners[index - 1] - start, corners[(index + 2) % 4] - end)
    deep = -float(sum(inward) @ outward) / 2.0  # across a mark that is seen from aside
    if deep < LEAST_SIDE_PX / 2.0:
        return None
    reach = REACH_CELLS * deep / CELLS
    offsets = np.linspace(-reach, reach, max(int(4.0 * reach) + 1, 9))
    shares = np.linspace(INSET, 1.0 - INSET, STEPS)
    feet = start + shares[:, None] * along
    cuts = _grey_at(grey, feet[:, None] + offsets[None, :, None] * outward)
    places, good = _edges(cuts, offsets)
    if int(good.sum()) < STEPS // 3:
        return None
    line = _line(feet[good] + places[good, None] * outward)
    return line, _width(cuts[good], offsets, places[good]) / deep


def _grey_at(grey: Pixels, places: Floats) -> Floats:
    """Light between pixels; a blurred edge stays in its place only in light, not in grey levels."""
    cv = vision()
    at = places.astype(np.float32)
    seen: Pixels = cv.remap(grey, at, None, cv.INTER_LINEAR, borderMode=cv.BORDER_REPLICATE)
    return 255.0 * (seen.astype(np.float64) / 255.0) ** GAMMA


def _edges(cuts: Floats, offsets: Floats) -> tuple[Floats, Flags]:
    """Where each cut goes from ink to paper, and which of them do.

    An edge stands where as much light is missing on its paper's side as there is too much on the
    side of the ink; noise of either sign does not move it.
    """
    ends = max(len(offsets) // 6, 1)
    ink, paper = cuts[:, :ends].mean(axis=1), cuts[:, -ends:].mean(axis=1)
    contrast = paper - ink
    step = float(offsets[1] - offsets[0])
    share = (paper[:, None] - cuts) / np.maximum(contrast, 1e-9)[:, None]
    places = offsets[0] - step / 2.0 + step * share.sum(axis=1)
    good = (contrast > LEAST_CONTRAST) & (np.abs(places) < 0.75 * offsets[-1])
    if good.any():
        good &= contrast > 0.5 * float(np.median(contrast[good]))
    return places, good


def _line(points: Floats) -> Floats:
    """Line through points, a few astray let go."""
    kept = points
    for _ in range(3):
        middle = kept.mean(axis=0)
        _, _, axes = np.linalg.svd(kept - middle)
        away = np.abs((points - middle) @ axes[1])
        kept = points[away <= max(3.0 * float(np.median(away)), 0.15)]
        if len(kept) < 4:
            kept = points
            break
    middle = kept.mean(axis=0)
    _, _, axes = np.linalg.svd(kept - middle)
    return np.array([*axes[1], float(axes[1] @ middle)])


def _meeting(one: Floats, other: Floats) -> Floats:
    """Point where two lines cross."""
    found: Floats = np.linalg.solve(np.array([one[:2], other[:2]]), np.array([one[2], other[2]]))
    return found


def _width(cuts: Floats, offsets: Floats, places: Floats) -> float:
    """Way from 10 to 90 % of the change as its steepest part has it, in pixels."""
    steps = np.linspace(offsets[0] * 0.9, offsets[-1] * 0.9, 2 * len(offsets))
    aligned = [
        np.interp(steps + place, offsets, row) for place, row in zip(places, cuts, strict=True)
    ]
    mean = np.median(aligned, axis=0)
    ends = max(len(mean) // 8, 1)
    change = float(mean[-ends:].mean() - mean[:ends].mean())
    per_pixel = np.convolve(np.gradient(mean, steps), np.ones(3) / 3.0, "valid")
    # of an edge blurred by a Gaussian: 2.563 of its deviations, which are 0.399 over the slope
    return 1.022 * change / max(float(per_pixel.max()), 1e-9)

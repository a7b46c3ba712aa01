"""Straighten: which pixel is which place on the sheet.

A flat sheet and a picture of it differ by a perspective, and by the lens, which draws the picture's
corners a little in or out: eight numbers and one.  They are fitted to the corners of all marks;
what the fit leaves says how far a place may be off.

Holds:  Straightening record; fits to marks and to four taps; the sheet seen from straight before.
Never:  finding marks, finding holes.
Source: docs/sources.md [HARTLEY2004] for plane perspective; [BROWN1966] for the lens's first term.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from tapewright.ground.errors import BadInput
from tapewright.photograph.marks import FoundMark, PrintedMark
from tapewright.photograph.picture import Picture
from tapewright.photograph.vision import Floats, Pixels, vision

LEAST_MARKS = 3
LENS_SD = 0.02  # of the lens's term; telephones correct most of it; common practice, no source
CURL_SD = 0.1  # of a curl's terms; 10 mm over half of an A4's width is 0.13; common practice
LEAST_PX = 0.12  # how well a corner is found at best
TAP_PX_SHARE = 0.002  # of the picture's diagonal, how well a finger taps; common practice
ROUNDS = 12
UNWARPS = 12
ASTRAY_MM = 2.5  # a mark this far from where the others put it is not the sheet's own
WITHIN_95 = 2.4477  # deviations of a round Gaussian that hold 95 %: the root of −2 ln 0.05
TAKE_AGAIN = "Take it again with all four marks in the picture, uncovered and in even light"


@dataclass(frozen=True, slots=True, eq=False)
class Straightening:
    """The way from the sheet to the picture, and back.

    Parameters
    ----------
    unknowns : (12,) array
        Eight of the perspective in scaled units; the lens's term, positive where it draws the
        picture's corners outward; three of how the sheet curls off its plane. [-]
    covariance : (12, 12) array
        Of these. [-]
    scale_mm : float
        Unit of lengths on the sheet in the perspective. [mm]
    middle : (2,) array
        Middle of the picture, pixels right and down. [-]
    radius : float
        From there to its corner, pixels. [-]
    marks : int
        How many it was fitted to. [-]
    focal_ratio : float
        Of the camera, over half the picture's diagonal. [-]
    """

    unknowns: Floats
    covariance: Floats
    scale_mm: float
    middle: Floats
    radius: float
    marks: int
    focal_ratio: float = 1.4

    def pixels(self, places_mm: Floats) -> Floats:
        """Where places on the sheet are in the picture.

        Parameters
        ----------
        places_mm : (n, 2) array
            Right of the aim and below it. [mm]

        Returns
        -------
        (n, 2) array
            Pixels right and down. [-]
        """
        return self.middle + self.radius * _seen(
            self.unknowns, places_mm / self.scale_mm, self.focal_ratio
        )

    def places_mm(self, pixels: Floats) -> Floats:
        """Where pixels are on the sheet.

        Parameters
        ----------
        pixels : (n, 2) array
            Right and down. [-]

        Returns
        -------
        (n, 2) array
            Right of the aim and below it. [mm]
        """
        bent = (pixels - self.middle) / self.radius
        flat = bent.copy()
        for _ in range(UNWARPS):
            flat = bent / (1.0 + self.unknowns[8] * (flat**2).sum(axis=1, keepdims=True))
        back, normal = np.linalg.inv(self.perspective), _normal(self.perspective, self.focal_ratio)
        off, ahead = np.zeros(len(flat)), np.column_stack([flat, np.ones(len(flat))])
        for _ in range(UNWARPS if self.unknowns[9:].any() else 1):
            # along the ray as far as the plane under the place, then back by what it stands off
            plane = ahead @ back.T
            lifted = back @ normal
            scale = (1.0 + off * lifted[2]) / plane[:, 2]
            places = scale[:, None] * plane[:, :2] - off[:, None] * lifted[:2]
            off = _off(self.unknowns, places)
        found: Floats = self.scale_mm * places
        return found

    @property
    def perspective(self) -> Floats:
        """Three by three numbers from scaled places to scaled pixels [-]."""
        return np.append(self.unknowns[:8], 1.0).reshape(3, 3)

    def errors_mm(self, places_mm: Floats) -> Floats:
        """How far places may be off, with 95 % chance less, on a flat sheet.

        Parameters
        ----------
        places_mm : (n, 2) array
            Right of the aim and below it. [mm]

        Returns
        -------
        (n,) array
            Radii. [mm]
        """
        places, focal = places_mm / self.scale_mm, self.focal_ratio
        by_unknown = _slopes(lambda one: _seen(one, places, focal), self.unknowns)
        by_place = np.stack(
            [
                (
                    _seen(self.unknowns, places + step, focal)
                    - _seen(self.unknowns, places - step, focal)
                )
                / 2e-5
                for step in 1e-5 * np.eye(2)
            ],
            axis=-1,
        )
        on_sheet = np.linalg.solve(by_place, by_unknown.reshape(len(places), 2, -1))
        spread = np.einsum("nau,uv,nav->n", on_sheet, self.covariance, on_sheet)
        errors: Floats = WITHIN_95 * self.scale_mm * np.sqrt(spread / 2.0)
        return errors


def straighten(
    picture: Picture, printed: Sequence[PrintedMark], found: Sequence[FoundMark]
) -> Straightening:
    """Fit to the marks of a sheet.

    Parameters
    ----------
    picture : Picture
        What they were found in.
    printed : sequence of PrintedMark
        Where they stand on paper.
    found : sequence of FoundMark
        Where they stand in the picture.

    Returns
    -------
    Straightening
        From at least three marks.

    Raises
    ------
    BadInput
        If fewer than three are found, or they do not belong together.
    """
    by_number = {mark.number: mark for mark in printed}
    kept = [mark for mark in found if mark.number in by_number]
    numbers = [mark.number for mark in kept]
    if len(set(numbers)) < len(numbers):
        wrong = "one mark is there twice: there are two targets in it"
        raise BadInput("Photograph", wrong, "Take one target at a time")
    _check_count(len(kept))
    fit, off_mm = _fit_to_marks(picture, by_number, kept)
    while off_mm > ASTRAY_MM:  # one mark too many: a reflection, or another target's
        if len(kept) == LEAST_MARKS:
            wrong = f"its marks do not lie on one flat sheet, by {off_mm:.0f} mm"
            raise BadInput("Photograph", wrong, "Hang the target flat, alone, and take it again")
        fewer = [kept[:index] + kept[index + 1 :] for index in range(len(kept))]
        fits = [_fit_to_marks(picture, by_number, some) for some in fewer]
        best = min(range(len(fits)), key=lambda index: fits[index][1])
        kept, (fit, off_mm) = fewer[best], fits[best]
    return fit


def straighten_by_taps(
    picture: Picture, taps: Floats, width_mm: float, height_mm: float
) -> Straightening:
    """Fit to four tapped corners of an upright rectangle; the aim is in its middle.

    Parameters
    ----------
    picture : Picture
        The picture.
    taps : (4, 2) array
        Upper left, upper right, lower right and lower left corner, pixels right and down. [-]
    width_mm, height_mm : float
        Its true size. [mm]

    Returns
    -------
    Straightening
        With no lens, as four corners cannot tell of it.

    Raises
    ------
    BadInput
        If the taps do not go round a rectangle seen from before.
    """
    turns = np.array([(-1, -1), (1, -1), (1, 1), (-1, 1)], dtype=np.float64)
    corners_mm = turns * [width_mm / 2.0, height_mm / 2.0]
    sides = np.roll(taps, -1, axis=0) - taps
    nexts = np.roll(sides, -1, axis=0)
    turning = sides[:, 0] * nexts[:, 1] - sides[:, 1] * nexts[:, 0]
    if float(turning.min()) <= 1e-3 * float(np.abs(sides).max()) ** 2:
        wrong = "the four places do not go round a rectangle"
        mend = "Tap upper left, upper right, lower right, lower left, as the target hangs"
        raise BadInput("Corners", wrong, mend)
    tap_px = TAP_PX_SHARE * float(np.hypot(picture.wide, picture.high))
    return _fitted(picture, corners_mm, taps, tap_px, 0)


def flat_view(
    picture: Picture, way: Straightening, window_mm: tuple[float, float, float, float], px_mm: float
) -> Pixels:
    """The sheet as seen from straight before.

    Parameters
    ----------
    picture : Picture
        The picture.
    way : Straightening
        Where places of the sheet are in it.
    window_mm : four float
        Left, top, right and bottom of what is wanted, right and down from the aim. [mm]
    px_mm : float
        Length of paper that one pixel shall show. [mm]

    Returns
    -------
    (h, w, 3) array of bytes
        Red, green and blue.
    """
    cv = vision()
    left_mm, top_mm, right_mm, bottom_mm = window_mm
    wide, high = round((right_mm - left_mm) / px_mm), round((bottom_mm - top_mm) / px_mm)
    at = np.empty((high, wide, 2), dtype=np.float32)
    across_mm = left_mm + px_mm * (np.arange(wide) + 0.5)
    for row in range(high):
        down_mm = np.full(wide, top_mm + px_mm * (row + 0.5))
        at[row] = way.pixels(np.column_stack([across_mm, down_mm]))
    source = picture.pixels
    coarse = _pixels_per_step(way, px_mm, window_mm)
    if coarse > 1.5:
        source = cv.GaussianBlur(source, (0, 0), 0.4 * coarse)
    flat: Pixels = cv.remap(source, at, None, cv.INTER_LINEAR, borderMode=cv.BORDER_REPLICATE)
    return flat


def camera_foot_mm(way: Straightening) -> tuple[float, float]:
    """Foot of the camera on the sheet: from there shafts seem to lean away.

    Parameters
    ----------
    way : Straightening
        From marks.

    Returns
    -------
    float, float
        Right of the aim and below it. [mm]
    """
    ahead = np.diag([1.0 / way.focal_ratio, 1.0 / way.focal_ratio, 1.0]) @ way.perspective
    first, second, away = ahead.T
    long = np.sqrt(np.linalg.norm(first) * np.linalg.norm(second))
    turn = np.column_stack([first, second, np.cross(first, second) / long]) / long
    foot = -np.linalg.solve(turn, away / long)[:2]
    return float(way.scale_mm * foot[0]), float(way.scale_mm * foot[1])


def _focal(perspective: Floats) -> float:
    """The camera's focal length over half the picture's diagonal: turns keep lengths and angles."""
    best_cost, found = np.inf, 1.4
    for focal in np.geomspace(0.7, 6.0, 60):
        ahead = np.diag([1.0 / focal, 1.0 / focal, 1.0]) @ perspective
        first, second, _ = ahead.T
        long = np.sqrt(np.linalg.norm(first) * np.linalg.norm(second))
        skew = float(first @ second) / long**2
        uneven = float(np.log(np.linalg.norm(first) / np.linalg.norm(second)))
        # a guess where the picture cannot tell: a telephone's usual lens, within a factor 1.5
        cost = (skew**2 + uneven**2) / 0.01**2 + (np.log(focal / 1.4) / 0.4) ** 2
        if cost < best_cost:
            best_cost, found = cost, float(focal)
    return found


def _check_count(count: int) -> None:
    if count >= LEAST_MARKS:
        return
    words = ("no mark of a target can be read", "only one mark can be read", "only two marks can")
    wrong = words[count] + (" be read" if count == 2 else "")
    raise BadInput("Photograph", f"{wrong}, and three are needed", TAKE_AGAIN)


def _fit_to_marks(
    picture: Picture, by_number: dict[int, PrintedMark], marks: list[FoundMark]
) -> tuple[Straightening, float]:
    """Fit to some marks, and how far off its worst corner is [mm]."""
    corners_mm = np.concatenate([by_number[mark.number].corners_mm for mark in marks])
    pixels = np.concatenate([mark.corners for mark in marks])
    fit = _fitted(picture, corners_mm, pixels, LEAST_PX, len(marks))
    return fit, float(np.hypot(*(fit.places_mm(pixels) - corners_mm).T).max())


def _seen(unknowns: Floats, places: Floats, focal: float) -> Floats:
    """Scaled pixels of scaled places."""
    perspective = np.append(unknowns[:8], 1.0).reshape(3, 3)
    ahead = np.column_stack([places, np.ones(len(places))]) @ perspective.T
    if unknowns[9:].any():
        ahead = ahead + _off(unknowns, places)[:, None] * _normal(perspective, focal)
    flat = ahead[:, :2] / ahead[:, 2:]
    bent: Floats = flat * (1.0 + unknowns[8] * (flat**2).sum(axis=1, keepdims=True))
    return bent


def _off(unknowns: Floats, places: Floats) -> Floats:
    """How far a curled sheet stands off its plane, scaled."""
    x, y = places.T
    off: Floats = unknowns[9] * x**2 + unknowns[10] * x * y + unknowns[11] * y**2
    return off


def _normal(perspective: Floats, focal: float) -> Floats:
    """What a step off the sheet does, where a step along it does what a column tells."""
    lens = np.diag([1.0 / focal, 1.0 / focal, 1.0])
    first, second, _ = (lens @ perspective).T
    long = np.sqrt(np.linalg.norm(first) * np.linalg.norm(second))
    normal: Floats = np.cross(first, second) / long * [focal, focal, 1.0]
    return normal


def _fitted(
    picture: Picture, corners_mm: Floats, pixels: Floats, least_px: float, marks: int
) -> Straightening:
    """Least squares of perspective and lens; the lens is held by what is usual."""
    cv = vision()
    middle = np.array([picture.wide - 1, picture.high - 1]) / 2.0
    radius = float(np.hypot(*middle))
    scale_mm = float(np.abs(corners_mm).max())
    places, wanted = corners_mm / scale_mm, (pixels - middle) / radius
    first, _ = cv.findHomography(places, wanted)
    if first is None or abs(first[2, 2]) < 1e-9:
        raise BadInput("Photograph", "the corners cannot be brought onto a sheet", TAKE_AGAIN)
    first = first / first[2, 2]
    unknowns, focal = np.append(first.ravel()[:8], np.zeros(4)), _focal(first)
    held = np.zeros((4, 12))
    held[:, 8:] = np.diag(1.0 / np.array([LENS_SD, *3 * [CURL_SD]] if marks else 4 * [1e-6]))
    sd = least_px / radius
    for _ in range(2):  # the second time with the doubt that the first one left
        for _ in range(ROUNDS):
            slopes = _slopes(lambda one: _seen(one, places, focal), unknowns) / sd
            misfit = (wanted - _seen(unknowns, places, focal)).ravel() / sd
            rows = np.vstack([slopes, held])
            left = np.append(misfit, -held @ unknowns)
            step, *_ = np.linalg.lstsq(rows, left, rcond=None)
            unknowns = unknowns + step
            if float(np.abs(step).max()) < 1e-9:
                break
        free = max(2 * len(places) - 8, 1)
        chi = float(((wanted - _seen(unknowns, places, focal)) ** 2).sum()) / sd**2 / free
        sd *= max(np.sqrt(chi), 1.0)
    covariance = np.linalg.pinv(rows.T @ rows)
    return Straightening(unknowns, covariance, scale_mm, middle, radius, marks, focal)


def _slopes(law: Callable[[Floats], Floats], unknowns: Floats) -> Floats:
    """How each number answers to each unknown."""
    columns = []
    for index in range(len(unknowns)):
        step = np.zeros(len(unknowns))
        step[index] = 1e-6
        columns.append(((law(unknowns + step) - law(unknowns - step)) / 2e-6).ravel())
    return np.column_stack(columns)


def _pixels_per_step(
    way: Straightening, px_mm: float, window_mm: tuple[float, float, float, float]
) -> float:
    """Pixels of the picture on one of the flat view, in its middle."""
    middle_mm = np.array([window_mm[0] + window_mm[2], window_mm[1] + window_mm[3]]) / 2.0
    step = way.pixels(middle_mm + px_mm * np.array([(0.0, 0.0), (1.0, 0.0), (0.0, 1.0)]))
    return float(np.sqrt(abs(np.linalg.det(step[1:] - step[0]))))

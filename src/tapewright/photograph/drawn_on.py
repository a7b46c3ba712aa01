"""Drawn on: what was found is drawn on the straightened picture, for people to judge.

Holds:  circles with numbers, a cross at the aim.
Never:  what counts as found.
"""

from collections.abc import Sequence

import numpy as np

from tapewright.photograph.spots import Spot
from tapewright.photograph.vision import Pixels, vision

HOLE, SHAFT, AIM, PAPER = (200, 0, 120), (0, 90, 220), (0, 140, 60), (255, 255, 255)


def annotated(
    flat: Pixels, spots: Sequence[Spot], aim: tuple[float, float], px_mm: float, shaft_mm: float
) -> Pixels:
    """Picture with a numbered circle around each spot.

    Parameters
    ----------
    flat : (h, w, 3) array of bytes
        The sheet from straight before.
    spots : sequence of Spot
        What was found, in the order of the rows written.
    aim : float, float
        Pixel of the aim. [-]
    px_mm : float
        Length of paper on one pixel. [mm]
    shaft_mm : float
        Diameter of a shaft. [mm]

    Returns
    -------
    (h, w, 3) array of bytes
        A new picture.
    """
    cv = vision()
    drawn = np.ascontiguousarray(flat.copy())
    middle = (round(aim[0]), round(aim[1]))
    cv.drawMarker(drawn, middle, AIM, cv.MARKER_CROSS, round(6.0 / px_mm), 2, cv.LINE_AA)
    reach = max(round(0.5 * shaft_mm / px_mm) + 3, 5)
    size = max(0.11 / px_mm, 0.4)
    for number, spot in enumerate(spots, 1):
        colour = HOLE if spot.kind == "hole" else SHAFT
        place = (round(middle[0] + spot.x_mm / px_mm), round(middle[1] + spot.y_mm / px_mm))
        cv.circle(drawn, place, reach, colour, 2, cv.LINE_AA)
        beside = (place[0] + reach + 2, place[1] - reach)
        for tone, thick in ((PAPER, 5), (colour, 2)):  # a white rim keeps it readable on ink
            cv.putText(
                drawn, f"{number}", beside, cv.FONT_HERSHEY_SIMPLEX, size, tone, thick, cv.LINE_AA
            )
    ready: Pixels = drawn
    return ready

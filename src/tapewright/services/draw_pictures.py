"""Draw pictures: the numbers behind the pictures of a calibration.

Holds:  the FlightPath record; path, fan of bands, slopes and budget on grids fine enough to draw.
Never:  colours, words, files.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tapewright.confidence.bands import Bands, bands, within_reach
from tapewright.field.range_card import hold_window, path_height
from tapewright.ground.errors import LaunchUnreachable
from tapewright.services.calibrate import Answer
from tapewright.services.stand_in import one_bow
from tapewright.services.table_slopes import Slopes, table_slopes
from tapewright.services.weigh_errors import Budget, Errors, weigh_errors
from tapewright.sight.prediction import sight_angle

Floats = NDArray[np.float64]

STEEP_DEG = np.array([-45.0, -30.0, 30.0, 45.0])
PAST = 1.15  # how far past the target a path is drawn


@dataclass(frozen=True)
class FlightPath:
    """An arrow's path against the line of sight."""

    distance_m: float  # where it hits
    at_m: Floats  # distance from the eye; height over the line of sight
    height_m: Floats
    peep_height_m: float  # how far the arrow starts below the eye
    radius_m: float  # radius of the miss that is still good
    near_m: float  # ends of the hold window
    far_m: float


def draw_path(answer: Answer, distance_m: float) -> FlightPath:
    """Path of the middling bow's arrow that hits a distance, on the level in calm air."""
    bow = one_bow(answer.posterior)
    angle = sight_angle(bow, np.array([distance_m]))
    launch_m = float(np.asarray(bow.launch_ahead_m).item())
    at = np.linspace(launch_m + 0.05, PAST * distance_m, 240)
    radius_m = answer.rig.archer.tolerance_m
    near, far = hold_window(bow, [distance_m], radius_m)
    height = path_height(bow, angle, at)
    peep_m = float(np.asarray(bow.peep_height_m).item())
    return FlightPath(distance_m, at, height, peep_m, radius_m, float(near[0]), float(far[0]))


def draw_fan(answer: Answer, unit_m: float) -> Bands:
    """Marks and bands at every step from 5 to a little past the trusted distance."""
    farthest_m = max(1.4 * answer.once_zeroed_m[0], 70.0 * unit_m)
    steps = np.arange(5.0, min(farthest_m / unit_m, 130.0)) * unit_m
    reached = within_reach(answer.posterior, steps)
    return bands(answer.posterior, reached, answer.bands.probability)


def draw_slopes(answer: Answer, unit_m: float) -> Slopes:
    """Marks up and down hill from 5 to 90 steps, or as far as the arrow surely climbs."""
    slopes = np.radians(STEEP_DEG)
    for last in (91.0, 71.0, 51.0):
        try:
            return table_slopes(answer, slopes, np.arange(5.0, last) * unit_m)
        except LaunchUnreachable:  # a slow arrow does not climb so far
            continue
    return table_slopes(answer, slopes, np.arange(5.0, 31.0) * unit_m)


def draw_budget(answer: Answer, distance_m: float) -> Budget:
    """Miss budget with the usual errors."""
    return weigh_errors(answer, distance_m, Errors())

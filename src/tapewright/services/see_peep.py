"""See peep: say what the eye sees through the peep, what a pin covers, and what the eclipse costs.

The eclipse: where pin and middle of the housing are not one, the eye can centre either of them in
the peep, and hits differ.

Holds:  the View and FoundView records; the errand that makes them; its drawing.
Never:  formulas, sentences.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tapewright.calibration.kinds import kind_of
from tapewright.drawing.peep_drawing import PeepDrawing, peep_sheet
from tapewright.drawing.svg import svg_text
from tapewright.services.calibrate import Answer
from tapewright.sight.level import peep_miss
from tapewright.sight.peep_view import (
    covered_width,
    eye_shift,
    filling_width,
    seen_angle,
    soft_edge,
)

__all__ = ["FoundView", "View", "see_peep"]

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class View:
    """What stands in the line of sight; all widths from edge to edge."""

    peep_m: float  # its hole
    housing_m: float  # inside
    pin_m: float
    pupil_m: float
    eye_behind_m: float  # pupil to peep; 0 of a bow without one
    pin_above_m: float  # first pin above the middle of the housing
    peeps_m: tuple[float, ...] = ()  # to choose from
    housings_m: tuple[float, ...] = ()


@dataclass(frozen=True, eq=False)
class FoundView:
    """What is seen, covered and lost."""

    answer: Answer  # the calibration, of which the sight radius is taken
    view: View
    has_peep: bool
    sight_radius_m: float  # peep to pin
    seen_rad: Floats  # of peep, housing and pin, (3,)
    fills_m: Floats  # housing that fills each peep to choose from, (p,)
    soft_m: float  # how wide the peep's edge is washed out at the housing
    distance_m: Floats  # (n,)
    covered_m: Floats  # by the pin, (n,)
    framed_m: Floats  # by the housing, (n,)
    above_m: Floats  # each pin above the middle of the housing, (j,)
    shift_m: Floats  # at the peep, of the line to each pin when the housing is centred, (j,)
    cost_m: Floats  # how much higher it hits then than with the pin centred, (j, n)
    drawing: str  # of it all to scale, as SVG; empty without a peep
    drawn_from_m: float  # from how far away the drawing looks as the sight does


def see_peep(answer: Answer, view: View, distance_m: ArrayLike) -> FoundView:
    """What is seen through the peep of a rig, or without one."""
    rig, distance = answer.rig, np.asarray(distance_m, dtype=np.float64)
    has_peep = kind_of(rig.bow) == "compound"
    radius_m = answer.posterior.calibration.evidence.prior.unknowns.sight_radius_m
    behind_m = view.eye_behind_m if has_peep else 0.0
    widths_m = np.array([view.peep_m, view.housing_m, view.pin_m])
    away_m = np.array([behind_m or np.nan, behind_m + radius_m, behind_m + radius_m])
    below_m = np.array([0.0, *(pin.value for pin in rig.sight.pins_below_first_m)])
    above_m = view.pin_above_m - below_m
    shift_m = eye_shift(above_m, behind_m, radius_m)
    drawing, drawn_from_m = "", np.nan
    if has_peep:
        drawn = PeepDrawing(
            peep_mm=1e3 * view.peep_m,
            housing_mm=1e3 * view.housing_m,
            pin_mm=1e3 * view.pin_m,
            eye_behind_mm=1e3 * behind_m,
            sight_radius_mm=1e3 * radius_m,
            pins_above_mm=tuple(1e3 * float(one) for one in above_m),
        )
        drawing, drawn_from_m = svg_text(peep_sheet(drawn)), 1e-3 * drawn.from_mm
    return FoundView(
        answer=answer,
        view=view,
        has_peep=has_peep,
        sight_radius_m=radius_m,
        seen_rad=seen_angle(widths_m, away_m),
        fills_m=filling_width(view.peeps_m, behind_m, radius_m) if has_peep else np.zeros(0),
        soft_m=soft_edge(view.pupil_m, behind_m, radius_m) if has_peep else 0.0,
        distance_m=distance,
        covered_m=covered_width(view.pin_m, distance, behind_m, radius_m),
        framed_m=covered_width(view.housing_m, distance, behind_m, radius_m),
        above_m=above_m,
        shift_m=shift_m,
        cost_m=peep_miss(distance, radius_m, shift_m[:, None]),
        drawing=drawing,
        drawn_from_m=drawn_from_m,
    )

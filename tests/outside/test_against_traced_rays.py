"""Peep, pin and a sight bolted elsewhere against rays traced point by point.

Source: straight lines between points in a plane, drawn here; the eye of the eclipse is found by
looking for the place from which the housing's rim stands as far inside the peep's rim above as
below. Nothing of the program's own formulas is used.
"""

import numpy as np
from scipy.optimize import brentq

from tapewright.sight.level import peep_miss
from tapewright.sight.mounting import mounted, pointing_tangent, with_zero_at
from tapewright.sight.peep_view import (
    covered_width,
    eye_shift,
    filling_width,
    seen_angle,
    soft_edge,
)
from tapewright.sight.scale import Scale

ALLOWED_MM = 0.1  # at the sight
EYES = [(0.09, 0.838), (0.06, 0.70), (0.14, 0.95)]  # eye behind the peep, peep to pin [m]


def at(plane_m, one, other):
    """Height at which the line through two points (along, up) meets a plane."""
    (x1, y1), (x2, y2) = one, other
    return y1 + (y2 - y1) * (plane_m - x1) / (x2 - x1)


def test_what_fills_and_what_is_covered(ledger):
    worst = 0.0
    for behind, radius in EYES:
        eye = (-behind, 0.0)
        for peep in (3.2e-3, 4.8e-3, 6.4e-3):
            lit = [at(radius, eye, (0.0, side * peep / 2.0)) for side in (1, -1)]
            off = [filling_width(peep, behind, radius) - (lit[0] - lit[1])]
            edge = (0.0, peep / 2.0)
            soft = [at(radius, (-behind, side * 1.5e-3), edge) for side in (-1, 1)]
            off.append(soft_edge(3e-3, behind, radius) - (soft[0] - soft[1]))
            worst = max(worst, *np.abs(off))
        for width, far in ((0.48e-3, 18.0), (0.9e-3, 73.0), (45e-3, 40.0)):
            rim = [at(far, eye, (radius, side * width / 2.0)) for side in (1, -1)]
            shrunk = radius / far
            off = covered_width(width, far, behind, radius) - (rim[0] - rim[1])
            ray = np.arctan2(width / 2.0, radius + behind) * 2.0
            seen = seen_angle(width, radius + behind) - ray
            worst = max(worst, shrunk * abs(off), radius * abs(seen))
    ledger("width filled, covered, seen and soft, at the sight", "rays traced point by point", 27,
           1e3 * worst, ALLOWED_MM, "mm")  # fmt: skip


def test_the_eclipse(ledger):
    worst, peep, housing = 0.0, 5.6e-3, 45e-3
    for behind, radius in EYES:
        for above in (-9e-3, -4e-3, 3e-3, 7e-3):
            pin, rims = (radius, 0.0), (housing / 2.0 - above, -housing / 2.0 - above)

            def unlike(eye_up, behind=behind, radius=radius, rims=rims):
                lit = [at(radius, (-behind, eye_up), (0.0, side * peep / 2.0)) for side in (1, -1)]
                return (lit[0] - rims[0]) - (rims[1] - lit[1])

            eye = (-behind, brentq(unlike, -0.02, 0.02, xtol=1e-12))
            shift = at(0.0, eye, pin)
            off = [radius * (shift - eye_shift(above, behind, radius)) / radius]
            for far in (18.0, 73.0):
                # The eye that has the pin in the middle of the peep looks along the level here.
                higher = 0.0 - at(far, eye, pin)
                told = peep_miss(far, radius, eye_shift(above, behind, radius))
                off.append((higher - told) * radius / far)
            worst = max(worst, *np.abs(off))
    ledger("eye and hit when the housing is centred in place of the pin, at the sight",
           "rays traced point by point", 36, 1e3 * worst, ALLOWED_MM, "mm")  # fmt: skip


def test_a_sight_bolted_elsewhere_and_a_look_along_the_arrow(ledger):
    worst, cases = 0.0, 0
    for arm in (None, 0.09):
        for per_travel in (1.6, -1.2):
            radius, eye_up = 0.84, 0.117
            look_m, reading = 4.572, 0.031
            loose = Scale(0.5, per_travel * radius, radius, arm, 0.02)
            scale = with_zero_at(loose, reading, pointing_tangent(eye_up, look_m))
            spot = (np.sqrt(look_m**2 - eye_up**2), 0.0)  # on the arrow's own line
            for up, ahead in ((0.0, 0.0), (0.012, 0.05), (-0.02, -0.03)):
                bolted = mounted(scale, up, ahead)
                for shown in (0.031, 0.045, 0.012):
                    turn = 0.0 if arm is None else (shown - 0.02) / (per_travel * arm)
                    first = 0.0 if arm is None else (reading - 0.02) / (per_travel * arm)
                    back = [
                        0.0 if arm is None else arm * (1.0 - np.cos(one)) for one in (first, turn)
                    ]
                    # Where the pin stood when it covered the spot, and where it stands now.
                    seen_up = at(radius - back[0], (0.0, eye_up), spot)
                    if arm is None:
                        moved = (shown - reading) / per_travel
                    else:
                        moved = arm * (np.sin(turn) - np.sin(first))
                    pin = (radius - back[1] + ahead, seen_up - moved + up)
                    tangent = (eye_up - pin[1]) / pin[0]
                    worst = max(worst, radius * abs(float(bolted.tangent(shown)) - tangent))
                    cases += 1
    ledger("pin of a sight bolted elsewhere after one look along the arrow", "points in a plane",
           cases, 1e3 * worst, ALLOWED_MM, "mm")  # fmt: skip

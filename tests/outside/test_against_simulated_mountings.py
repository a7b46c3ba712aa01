"""Where to bolt: the ends of a sight's range lie inside their bands as often as is said.

Source: archers are invented (tests/support/archers.py), their true sight radius, gearing, peep
height, speed and drag as far from the sheet as its ± admits; the look along the arrow, the lean of
the extension and the holes as badly seen and measured as is said; peep heights and ends of the
travel chosen without knowing the truth. Where the true pin stands is counted from points in a
plane; the flight is the program's own, which other rooms check. The law asked is that of a band.
"""

from concurrent.futures import ProcessPoolExecutor

import numpy as np
import pytest
from archers import random_sheet
from exact_units import YARD_M

from tapewright.calibration.fit import fit_bow
from tapewright.calibration.prior import prior_from_rig
from tapewright.confidence.bolting import Mounting, Seen, mounting_reaches
from tapewright.confidence.posterior import draw_posterior
from tapewright.sight.prediction import sight_angle

LOOK_SD_RAD, LEAN_SD_RAD, HOLE_SD_M = 4e-3, 9e-3, 0.3e-3
LOOKED_M = np.arange(2.5, 120.01, 0.25)
NEARLY_M = 0.02  # between two distances of a grid
NOW, MOVED = Mounting(), Mounting(2, 3, 1, 0.006, 0.05)


def tangents(prior, vector, distances_m):
    return np.tan(sight_angle(prior.unknowns.bow(vector), np.asarray(distances_m)))


def true_range(prior, vector, least, most):
    """Nearest and farthest distance of which the tangent lies between two levels.

    Near targets want a farther mark again, so without a stop there the near end is where that
    mark passes the far one, or where nobody looks. [m]
    """
    angle = tangents(prior, vector, LOOKED_M)

    def passes(place, level):
        share = (level - angle[place]) / (angle[place + 1] - angle[place])
        return LOOKED_M[place] + share * (LOOKED_M[place + 1] - LOOKED_M[place])

    last = np.flatnonzero(angle <= most)[-1]
    farthest = LOOKED_M[-1] if last == len(angle) - 1 else passes(last, most)
    short = np.flatnonzero(angle < least)
    if len(short):
        return passes(short[-1], least), farthest
    first = np.flatnonzero(angle <= most)[0]
    return (passes(first - 1, most) if first else LOOKED_M[0]), farthest


def one_archer(seed):
    """Whether each end of each mounting lies inside its band, and half the band's width. [m]"""
    rng = np.random.default_rng([1705, seed])
    sheet, look_m, seen_m = random_sheet(rng), 5.0 * YARD_M, 0.031
    way = 1.0 if sheet.sight.farther == "increases" else -1.0
    prior = prior_from_rig(sheet, np.zeros(0))
    radius, travel = sheet.sight.sight_radius_m, sheet.sight.reading_per_travel
    eye = prior.unknowns.place("peep_height")
    # What the archer has before him: ends of a travel that reaches usual distances on paper.
    said = tangents(prior, prior.mean, np.array([32.0, 66.0]) * YARD_M)
    look = np.tan(np.arcsin(prior.mean[eye] / look_m))
    ends = seen_m + way * travel.value * radius.value * (said - look)
    travel_m = (float(min(ends)), float(max(ends)))
    # The truth.
    vector = prior.mean + prior.sd * rng.standard_normal(len(prior.mean))
    true_radius_m = radius.value + radius.sd * rng.standard_normal()
    true_travel = way * (travel.value + travel.sd * rng.standard_normal())
    true_look = np.tan(np.arcsin(vector[eye] / look_m) + LOOK_SD_RAD * rng.standard_normal())
    lean = LEAN_SD_RAD * rng.standard_normal()
    hole = HOLE_SD_M * rng.standard_normal()
    posterior = draw_posterior(fit_bow(sheet, ()), np.random.default_rng(seed))
    seen = Seen(seen_m, look_m, LOOK_SD_RAD)
    found = mounting_reaches(
        posterior, (NOW, MOVED), (30.0, 50.0), travel_m, seen, np.random.default_rng([seed, 17])
    )
    rows = []
    for one in found:
        at = one.mounting
        up_m = at.up_m + (hole if at.up_m else 0.0) + at.ahead_m * np.tan(lean)
        drops_m = true_radius_m * true_look + (ends - seen_m) / true_travel - up_m
        true_m = true_range(prior, vector, *(drops_m / (true_radius_m + at.ahead_m)))
        for true, (_, low, high) in zip(true_m, (one.nearest_m, one.farthest_m), strict=True):
            rows.append((low - NEARLY_M <= true <= high + NEARLY_M, 0.5 * (high - low)))
    return np.array(rows, dtype=float)


WORDS = ("near end as bolted", "far end as bolted", "near end moved", "far end moved")


def ends_inside(ledger, count, allowed, workers):
    if workers == 1:
        rows = np.array([one_archer(seed) for seed in range(count)])
    else:
        with ProcessPoolExecutor(workers) as pool:
            rows = np.array(list(pool.map(one_archer, range(count), chunksize=10)))
    for place, words in enumerate(WORDS):
        share, half_m = 100.0 * rows[:, place, 0].mean(), np.median(rows[:, place, 1])
        told = f"{words} (±{half_m / YARD_M:.0f} yd: {share:.1f} %)"
        ledger(f"range ends inside their 90 % bands, {told}", f"{count} simulated archers", count,
               abs(share - 90.0), allowed, "% from 90")  # fmt: skip


def test_the_ends_of_a_range_lie_in_their_bands(ledger):
    ends_inside(ledger, 24, 19.0, workers=1)  # 3 standard errors of 24


def long_run(ledger):
    """The figures of docs/reliability.md."""
    ends_inside(ledger, 1500, 2.0, workers=None)


@pytest.mark.long
def test_many_archers(ledger):
    ends_inside(ledger, 1500, 2.0, workers=2)

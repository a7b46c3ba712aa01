"""Honesty: over many invented archers a 90 % band holds the truth nine times in ten.

Source: the definition of a band, and simulation-based calibration (S. Talts and others, 2018,
"Validating Bayesian inference algorithms with simulation-based calibration": ranks of the truth
among draws are uniform). The archers' arrows are Gaussian with one flyer in twenty-five, which
the fit does not know; wobble and dispersion do not come from the fit's own beliefs.
"""

from concurrent.futures import ProcessPoolExecutor

import numpy as np
from archers import random_sheet, random_truth, session
from exact_units import YARD_M

from tapewright.calibration.fit import fit_bow
from tapewright.confidence.bands import bands, drawn_marks, trusted_distance
from tapewright.confidence.posterior import draw_posterior

DISTANCES_YD = np.arange(10, 111, 10)
GRID_YD = np.arange(10, 126)
TOLERANCE_M = 0.0762


def one_archer(seed):
    """Inside its band at each distance; rank of the truth; a miss inside the trusted distance."""
    rng = np.random.default_rng([2026, seed])
    rig = random_sheet(rng)
    truth = random_truth(rig, rng)
    posterior = draw_posterior(fit_bow(rig, session(truth, rng)), np.random.default_rng(seed))
    marks = truth.marks(DISTANCES_YD * YARD_M)
    found = bands(posterior, DISTANCES_YD * YARD_M)
    inside = (marks >= found.low_m) & (marks <= found.high_m)
    rank = (drawn_marks(posterior, DISTANCES_YD * YARD_M) < marks).mean(axis=0)
    fine = bands(posterior, GRID_YD * YARD_M)
    trusted_m = trusted_distance(posterior, TOLERANCE_M, GRID_YD * YARD_M)
    per_reading = (fine.impact_high_m - fine.impact_low_m) / (fine.high_m - fine.low_m)
    miss = np.abs(fine.reading_m - truth.marks(GRID_YD * YARD_M)) * per_reading
    fooled = bool((miss[trusted_m + 1e-6 >= GRID_YD * YARD_M] > TOLERANCE_M).any())
    return inside, rank, fooled, trusted_m / YARD_M, posterior.method


def many_archers(count):
    with ProcessPoolExecutor() as pool:
        rows = list(pool.map(one_archer, range(count), chunksize=10))
    inside, ranks, fooled, trusted, methods = zip(*rows, strict=True)
    return np.array(inside), np.array(ranks), np.array(fooled), np.array(trusted), methods


def uneven(ranks, bins=10):
    """χ² over its freedoms for each distance: 1 when ranks are uniform."""
    counts = np.stack([np.histogram(row, bins=bins, range=(0, 1))[0] for row in ranks.T])
    wanted = len(ranks) / bins
    return ((counts - wanted) ** 2 / wanted).sum(axis=1) / (bins - 1)


def test_bands_hold_the_truth_short(ledger):
    inside, ranks, fooled, trusted, methods = many_archers(90)
    # 90 archers tell a share of 90 % to ±3.2 %: three and a half of those.
    off = np.abs(inside.mean(axis=0) - 0.9).max()
    ledger("share of 90 % bands that hold the truth, 10–110 yd, short run",
           "90 simulated archers", inside.size, 100 * off, 11.0, "% of cases")  # fmt: skip
    ledger("evenness of ranks, short run", "uniform law (χ² per freedom)", inside.size,
           uneven(ranks).max(), 3.1, "")  # fmt: skip
    ledger("archers missed by more than 3 in inside the trusted distance, short run",
           "90 simulated archers", 90, 100 * fooled.mean(), 20.0, "% of archers")  # fmt: skip
    assert np.median(trusted) > 40  # an answer that trusts nothing would be honest and useless
    assert methods.count("importance sampling") >= 87


def long_run(ledger):
    """Run by builders/build_simulations.py."""
    inside, ranks, fooled, trusted, _ = many_archers(2000)
    off = np.abs(inside.mean(axis=0) - 0.9).max()
    ledger("share of 90 % bands that hold the truth, 10–110 yd",
           "2,000 simulated archers", inside.size, 100 * off, 3.0, "% of cases")  # fmt: skip
    # 99.9 % point of χ² with 9 freedoms over 9, for eleven distances
    ledger("evenness of ranks", "uniform law (χ² per freedom)", inside.size,
           uneven(ranks).max(), 3.1, "")  # fmt: skip
    ledger("archers missed by more than 3 in inside the trusted distance",
           "2,000 simulated archers", 2000, 100 * fooled.mean(), 10.0, "% of archers")  # fmt: skip
    assert np.median(trusted) > 40

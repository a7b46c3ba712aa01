"""Groups that contradict each other: bands are those of a sampler that never saw a hill's name.

Source: archers are invented (tests/support/archers.py); one reading, of many groups two, is
written 12 mm off. The bands are held against sequential Monte Carlo led from a wide Gaussian
(docs/physics.md (8.4), [SMC]), which knows neither fit nor hills. It leaves noise of its own: an
end of a band of so many draws is known to a seventieth of the band where one hill stands.
"""

import os
import time
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace
from unittest.mock import patch

import numpy as np
import pytest
from archers import random_sheet, random_truth, session
from exact_units import YARD_M

from tapewright.calibration.fit import fit_bow
from tapewright.confidence.bands import drawn_marks
from tapewright.confidence.posterior import draw_posterior
from tapewright.confidence.sampling import WeightedDraws

AT_M = np.array([20, 40, 60, 80]) * YARD_M
SLIP_M = 12e-3
# Groups of a session: what people bring, and now and then a whole season
GROUPS = (2, 3, 3, 4, 4, 5, 5, 6, 8, 12)
ASKED_S = 0.6


def never(*_):
    """A first sampler that is never good, so that the sequential one decides."""
    return WeightedDraws(np.zeros((1, 1)), np.ones(1), 0.0, 9.0)


def contradictory(seed, count):
    """A calibration of so many groups with a reading, of many two, 12 mm off."""
    rng = np.random.default_rng([79, seed])
    sheet = random_sheet(rng)
    shots = list(session(random_truth(sheet, rng), rng, count))
    for place in rng.choice(count, 1 if count < 8 else 2, replace=False):
        off_m = SLIP_M * rng.choice([-1.0, 1.0])
        shots[place] = replace(shots[place], reading_m=shots[place].reading_m + off_m)
    return fit_bow(sheet, tuple(shots))


def ends_m(marks):
    return np.quantile(marks, [0.05, 0.95], axis=0)


def one_case(runs, seed, count=0):
    """Worst end of a band, over the band; seconds of processor of the draws that are told."""
    fitted = contradictory(seed, count or GROUPS[seed % len(GROUPS)])
    start = time.process_time()
    told = draw_posterior(fitted, np.random.default_rng(seed))
    spent_s = time.process_time() - start
    with patch("tapewright.confidence.posterior.draw_by_importance", never):
        led = [draw_posterior(fitted, np.random.default_rng([5, run])) for run in range(runs)]
    true = ends_m(np.vstack([drawn_marks(one, AT_M) for one in led]))
    off = np.abs(ends_m(drawn_marks(told, AT_M)) - true) / (true[1] - true[0])
    return off.max(), spent_s, told.method == "importance sampling"


@pytest.mark.timeout(600)
def test_contradictions_short(ledger):
    rows = np.array([one_case(1, seed, 2 + seed) for seed in range(2)])
    ledger("ends of bands, groups that contradict", "sequential Monte Carlo, 2 cases", 2,
           rows[:, 0].max(), 0.25, "of a band")  # fmt: skip


def long_run(ledger):
    """Run by builders/build_simulations.py."""
    os.environ["OMP_NUM_THREADS"] = "1"
    with ProcessPoolExecutor() as pool:
        rows = np.array(list(pool.map(one_case, [2] * 300, range(300))), dtype=float)
    against = "sequential Monte Carlo, two runs, 300 simulated contradictions"
    ledger("ends of bands more than 0.1 of a band off, groups that contradict", against, 300,
           100 * (rows[:, 0] > 0.1).mean(), 2.0, "% of cases")  # fmt: skip
    ledger("worst end of a band, groups that contradict", against, 300, rows[:, 0].max(), 0.25,
           "of a band")  # fmt: skip
    ledger("contradictions left to the slow sampler", against, 300,
           100 * (rows[:, 2] == 0).mean(), 2.0, "% of cases")  # fmt: skip
    ledger("draws of the slowest contradiction", against, 300, rows[:, 1].max(), ASKED_S,
           "s of processor")  # fmt: skip

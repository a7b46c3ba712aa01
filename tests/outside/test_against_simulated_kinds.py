"""Recurves and longbows: over many invented archers a 90 % band holds the truth nine in ten times.

Source: the definition of a band. The archers (tests/support/stick_archers.py) come from published
energies, virtual masses, speeds, drag coefficients and dispersions, not from the program's own
beliefs; half of them have a bare sheet (kind, draw weight, draw length, arrow), half a full one
with a chronograph, eye height, sight radius and reading per travel. That each distance holds its
nine in ten is asked by an exact binomial test at 0.5 %.
"""

from concurrent.futures import ProcessPoolExecutor
from itertools import repeat

import numpy as np
import pytest
from scipy.stats import binomtest
from stick_archers import LAWS, stick_archer, stick_session

from tapewright.calibration.fit import fit_bow
from tapewright.confidence.bands import bands
from tapewright.confidence.posterior import draw_posterior

LEAST_CHANCE = 0.005


def distances_m(kind):
    """Where marks are looked at: a third past the farthest that anybody shot."""
    return np.arange(10.0, 4.0 / 3.0 * LAWS[kind].farthest_m + 1.0, 10.0)


def one_archer(kind, seed):
    """Whether each band holds the mark; whether draws were weighed without a way out."""
    rng = np.random.default_rng([len(kind), ord(kind[0]), seed])
    rig, (handicap, truth) = stick_archer(kind, rng, is_bare=seed % 2 == 0)
    shots = stick_session(kind, handicap, truth, rng)
    posterior = draw_posterior(fit_bow(rig, shots), np.random.default_rng(seed))
    at_m = distances_m(kind)
    found, marks = bands(posterior, at_m), truth.marks(at_m)
    return (marks >= found.low_m) & (marks <= found.high_m)


def held(kind, count):
    """Whether bands hold, (archers, distances)."""
    with ProcessPoolExecutor() as pool:
        return np.array(list(pool.map(one_archer, repeat(kind), range(count), chunksize=10)))


@pytest.mark.parametrize("kind", ["recurve", "longbow"])
def test_bands_of_other_bows_hold_the_truth_short(ledger, kind):
    inside = held(kind, 30)
    # 30 archers whose distances hang together tell a share of 90 % to ±4.7 %: three of those
    ledger(f"share of 90 % bands that hold the truth, {kind}, short run", "30 simulated archers",
           inside.size, 100 * abs(inside.mean() - 0.9), 14.0, "% of cases")  # fmt: skip


def long_run(ledger):
    """Run by builders/build_simulations.py."""
    for kind in LAWS:
        inside = held(kind, 1000)
        ledger(f"share of 90 % bands that hold the truth, {kind}", "1,000 simulated archers",
               inside.size, 100 * abs(inside.mean() - 0.9), 2.0, "% of cases")  # fmt: skip
        for way, rows in (("bare", inside[::2]), ("full", inside[1::2])):
            ledger(f"share of 90 % bands that hold the truth, {kind}, {way} sheets",
                   "500 simulated archers", rows.size, 100 * abs(rows.mean() - 0.9), 3.0,
                   "% of cases")  # fmt: skip
        chances = [binomtest(int(hits), len(inside), 0.9).pvalue for hits in inside.sum(axis=0)]
        ledger(f"oddest share of one distance, {kind}", "exact binomial test (one in 10 to the …)",
               len(chances), -float(np.log10(min(chances))), -float(np.log10(LEAST_CHANCE)),
               "")  # fmt: skip

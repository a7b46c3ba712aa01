"""Ready-made strips: of thirty, the right one is chosen when it can be told from its neighbour.

Source: archers and sets are invented. A set holds thirty strips whose lengths grow step by step;
one of them, never the same place, has the true marks. Steps are drawn on either side of what
the arrows can tell; counted are the sets whose neighbours differ by more than the whole 90 % band
of the length.
"""

from concurrent.futures import ProcessPoolExecutor

import numpy as np
import pytest
from archers import random_sheet, random_truth, shoot
from exact_units import YARD_M

from tapewright.calibration.fit import fit_bow
from tapewright.confidence.bands import drawn_marks
from tapewright.confidence.posterior import draw_posterior
from tapewright.confidence.ready_strips import ReadyStrip, rank_strips

STRIPS = 30
TICKS_M = np.arange(20, 81, 10) * YARD_M


def one_archer(seed):
    """Step over the length's band, and whether the right strip came first."""
    rng = np.random.default_rng([11, seed])
    rig = random_sheet(rng)
    truth = random_truth(rig, rng)
    marks = truth.marks(TICKS_M)
    shots = tuple(
        shoot(truth, yards * YARD_M, round(float(truth.marks([yards * YARD_M])[0]), 4), 5, rng,
              str(yards))
        for yards in (20, 40, 60, 80)
    )  # fmt: skip
    posterior = draw_posterior(fit_bow(rig, shots), np.random.default_rng(seed))
    ends = drawn_marks(posterior, TICKS_M[[0, -1]])
    low, high = np.quantile(np.abs(ends[:, 1] - ends[:, 0]), [0.05, 0.95])
    step = rng.uniform(0.5, 2.5) * (high - low)
    right, turned = int(rng.integers(STRIPS)), rng.choice([-1.0, 1.0])
    length = marks - marks[0]
    strips = tuple(
        ReadyStrip(
            str(one),
            TICKS_M,
            turned * length * (1 + step / abs(length[-1])) ** (one - right)
            + rng.uniform(-0.1, 0.1),
        )
        for one in range(STRIPS)
    )
    best = rank_strips(posterior, strips, TICKS_M[-1])[0]
    return step / (high - low), best.strip.name == str(right), best.chance


def choose(ledger, archers, run):
    with ProcessPoolExecutor(1 if run == "" else None) as pool:
        rows = np.array(list(pool.map(one_archer, range(archers), chunksize=5)))
    told = rows[:, 0] > 1.0
    right = rows[told, 1].mean()
    assert told.sum() >= archers // 2
    ledger("sets of thirty ready-made strips of which a wrong one was chosen, neighbours differing "
           "by more than the band", f"{archers} simulated archers{run}", told.sum(),
           100 * (1 - right), 5.0, "% of sets")  # fmt: skip
    # what is said of the best one's chance is borne out, within what so few archers tell
    off = abs(rows[:, 2].mean() - rows[:, 1].mean())
    ledger("chance told of the best strip, against the share of right ones",
           f"count of right ones, {archers} simulated archers{run}", archers, 100 * off, 12.0,
           "% of sets")  # fmt: skip


def test_the_right_strip_of_thirty_is_chosen_short(ledger):
    choose(ledger, 24, ", short run")


@pytest.mark.long
def test_the_right_strip_of_thirty_is_chosen(ledger):
    choose(ledger, 100, "")

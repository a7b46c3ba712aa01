"""Plans: following them, the wanted distance is trusted with fewer arrows, all on the butt.

Source: archers are invented (tests/support/archers.py). The wish is 90 yd within 3 in on a butt
of 0.9 m × 0.9 m, starting with no arrow and a sight that somebody set roughly. Against it stands
what archers do without a plan: equal groups of four each 10 yd from 20 yd on, round after round,
dialled roughly right, until the same trust is reached. Both ask the same calibration.
"""

from concurrent.futures import ProcessPoolExecutor

import numpy as np
from archers import random_sheet, random_truth, shoot
from exact_units import YARD_M

from tapewright.calibration.fit import fit_bow
from tapewright.confidence.advice import Wish, plan_session, prospect
from tapewright.confidence.bands import drawn_marks, trusted_distance
from tapewright.confidence.checks import group_checks
from tapewright.confidence.ladder import ladder_of
from tapewright.confidence.landing import Butt
from tapewright.confidence.posterior import draw_posterior

FAR_YD = 90
TOLERANCE_M = 0.0762
BUTT = Butt(0.9, 0.9)
WISH = Wish(TOLERANCE_M, BUTT)
SHOTS_M = np.array([*range(4, 30), *range(30, FAR_YD + 1, 5)]) * YARD_M
WANTED_M = np.arange(10, FAR_YD + 1, 5) * YARD_M
GRID_M = np.arange(10, FAR_YD + 1) * YARD_M
SET_ROUGHLY_M = 4e-3  # how far off the first reading is
EQUAL_ARROWS = 4
MOST_ARROWS = 200


def is_trusted(posterior):
    return trusted_distance(posterior, TOLERANCE_M, GRID_M) >= GRID_M[-1] - 1e-6


def ladder(posterior, shots):
    return ladder_of(shots, group_checks(posterior.calibration))


def calibrated(rig, shots, seed):
    return draw_posterior(fit_bow(rig, shots), np.random.default_rng(seed))


def follow(rig, truth, rng, seed):
    """Arrows shot until trusted, planning anew after each group; how many landed on the butt."""
    shots, landed = (), []
    while len(landed) < MOST_ARROWS:
        posterior = calibrated(rig, shots, seed)
        climbed = ladder(posterior, shots)
        if climbed.carries_m >= GRID_M[-1] and is_trusted(posterior):
            break
        now = prospect(posterior, SHOTS_M, WANTED_M, climbed)
        step = plan_session(now, WISH, MOST_ARROWS, 1)[0][0]
        if shots:
            reading_m = float(np.median(drawn_marks(posterior, [step.distance_m])))
        else:
            reading_m = float(truth.marks([step.distance_m])[0]) + rng.normal(0.0, SET_ROUGHLY_M)
        name = str(len(shots))
        shot = shoot(truth, step.distance_m, round(reading_m, 4), step.arrows, rng, name)
        landed += [
            abs(one.up_m) <= 0.5 * BUTT.height_m and abs(one.right_m) <= 0.5 * BUTT.width_m
            for one in shot.group.impacts
        ]
        shots += (shot,)
    return len(landed), sum(landed)


def equal_groups(rig, truth, rng, seed):
    """Arrows shot until trusted, in equal groups each 10 yd."""
    shots, arrows = (), 0
    while arrows < MOST_ARROWS:
        for yards in range(20, FAR_YD + 1, 10):
            mark_m = float(truth.marks([yards * YARD_M])[0]) + rng.normal(0.0, 1e-3)
            name = f"{yards}-{arrows}"
            shots += (shoot(truth, yards * YARD_M, round(mark_m, 4), EQUAL_ARROWS, rng, name),)
            arrows += EQUAL_ARROWS
            if yards >= 60 and is_trusted(calibrated(rig, shots, seed)):
                return arrows
    return arrows


def one_archer(seed):
    rng = np.random.default_rng([7, seed])
    rig = random_sheet(rng)
    truth = random_truth(rig, rng)
    planned, landed = follow(rig, truth, rng, seed)
    return planned, landed, equal_groups(rig, truth, rng, seed)


def compare(ledger, archers, run):
    with ProcessPoolExecutor() as pool:
        planned, landed, equal = np.array(list(pool.map(one_archer, range(archers)))).T
    against = f"equal groups of four each 10 yd, {archers} simulated archers{run}"
    share = 100 * np.median(planned) / np.median(equal)
    ledger("arrows until 90 yd is trusted within 3 in, following the plan", against, archers,
           share, 75.0, "% of the others' arrows, medians")  # fmt: skip
    missed = 100 * (1 - landed.sum() / planned.sum())
    ledger("arrows of a plan that missed the butt of 0.9 m × 0.9 m",
           f"{archers} simulated archers{run}", planned.sum(), missed, 3.0,
           "% of arrows")  # fmt: skip
    return planned, equal


def test_a_plan_saves_arrows_short(ledger):
    compare(ledger, 4, ", short run")


def long_run(ledger):
    """Run by builders/build_simulations.py."""
    planned, _ = compare(ledger, 300, "")
    assert np.median(planned) < MOST_ARROWS

"""Cold: marks proven in the cold and in bulky clothes hold there, whatever limbs and clothes do.

Source: archers are invented (tests/support/archers.py, published_changes.py). Limbs follow the wood
handbook's 0.2 % of modulus a kelvin [WH10], so 0.1 % of speed, toward slower as well as faster, for
strings and people go the other way; air by its density. What clothes do is common practice, no
source. Each archer shoots what is asked for there, group after group, on a butt of 90 cm.
"""

from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace
from functools import partial

import numpy as np
from archers import Truth, session, shoot
from exact_units import INCH_M, YARD_M
from published_changes import BOWS, sheet_of, truth_of

from tapewright.services.advise import Butt, PlanOrder, Wish, planned
from tapewright.services.calibrate import calibrate
from tapewright.services.meet_cold import meet_cold
from tapewright.services.usual_wish import usual_places
from tapewright.sight.prediction import impact

AT_YD = np.arange(10, 121)
GRID_M = np.arange(9, 121) * YARD_M
WISH = Wish(3 * INCH_M, Butt(0.9, 0.9), 0.98)
MOST_GROUPS = 12
SPEED_PER_K = 0.001  # the root of 0.2 % of modulus


def in_the_cold(truth, rig, air, slower, rng, *, is_bulky):
    """The same bow in other air, its limbs slower by a share of speed, its archer in clothes."""
    vector, place = truth.vector.copy(), truth.unknowns.place
    vector[place("log_drag")] += np.log(air.density_kg_m3 / rig.air.density_kg_m3)
    vector[place("log_speed")] += np.log(1 - slower)
    if is_bulky:
        vector[place("zero_tangent")] += 1e-3 * rng.standard_normal()
        vector[place("windage")] += 1e-3 * rng.standard_normal()
        vector[place("log_speed")] += 0.008 * rng.standard_normal()  # a quarter of an inch of draw
    return Truth(vector, truth.unknowns, truth.dispersion_rad, truth.wobble_rad)


def one_archer(seed, wanted_yd):
    """Proven, wanted, arrows, those past the butt, worst miss of what is proven, of home."""
    rng = np.random.default_rng([91, seed])
    bow, is_bulky, law = BOWS[seed % 3], seed // 3 % 2 == 1, (1.0, -1.0, 0.0)[seed // 6 % 3]
    rig = sheet_of(bow, rng)
    truth = truth_of(bow, rig, rng)
    home = calibrate(rig, session(truth, rng, 5), [20.0], GRID_M, seed)
    colder_k = rng.uniform(16.0, 36.0)
    there_k = rig.air.temperature_k - colder_k
    air = replace(rig.air, temperature_k=there_k)
    slower = law * SPEED_PER_K * colder_k
    cold = in_the_cold(truth, rig, air, slower, rng, is_bulky=is_bulky)
    wanted_m = min(wanted_yd * YARD_M, home.trusted_m[0])
    if wanted_m < 15 * YARD_M:
        return None
    order = PlanOrder(wanted_m, WISH, 60, usual_places(wanted_m, YARD_M))
    shots, arrows, past = (), 0, 0
    for place in range(MOST_GROUPS + 1):
        found = meet_cold(home, AT_YD * YARD_M, there_k, shots, is_bulky=is_bulky)
        plan = planned(found.there, order)
        if plan.is_trusted or not plan.steps or place == MOST_GROUPS:
            break
        step, reading_m = plan.steps[0], round(plan.readings_m[0], 4)
        one = shoot(cold, step.distance_m, reading_m, step.arrows, rng, f"K{place}")
        past += sum(abs(hit.up_m) > 0.45 or abs(hit.right_m) > 0.45 for hit in one.group.impacts)
        shots, arrows = (*shots, replace(one, air=air)), arrows + step.arrows
    proven_miss_m = worst_miss(cold, found.there.bands.reading_m, found.proven_m)
    home_miss_m = worst_miss(cold, found.home.marks.away_m, home.trusted_m[0])
    return found.proven_m, wanted_m, arrows, past, proven_miss_m, home_miss_m


def worst_miss(cold, reading_m, to_m):
    """How far the worst of some marks misses in the cold, up to a distance. [m]"""
    near = to_m + 1e-6 >= AT_YD * YARD_M
    bow = cold.unknowns.bow(cold.vector)
    _, up_m = impact(bow, AT_YD[near] * YARD_M, reading_m[near])
    return float(np.abs(up_m).max(initial=0.0))


def swap(ledger, count, run, wanted_yd, allowed, first=0):
    with ProcessPoolExecutor(None if run == "" else 1) as pool:
        every = list(
            pool.map(partial(one_archer, wanted_yd=wanted_yd), range(first, first + count))
        )
    rows = np.array([row for row in every if row is not None])
    proven_m, wanted_m, arrows, past, miss_m, home_miss_m = rows.T
    who = f"{len(rows)} simulated archers in the cold, a half of them in bulky clothes{run}"
    ledger("archers of whom a mark proven in the cold misses by more than they allow", who,
           len(rows), 100 * (miss_m > 3 * INCH_M).mean(), allowed[0], "% of archers")  # fmt: skip
    ledger("arrows shot past the butt of 90 cm on the way", who, arrows.sum(),
           100 * past.sum() / arrows.sum(), allowed[1], "% of arrows")  # fmt: skip
    ledger("archers who do not get as far as they wanted", who, len(rows),
           100 * (proven_m < wanted_m - 1e-6).mean(), allowed[2], "% of archers")  # fmt: skip
    # What the question is for: the marks of home, the air counted, as far as they are trusted there
    ledger("the same of the marks of home with the air alone counted (why they are not trusted)",
           who, len(rows), 100 * (home_miss_m > 3 * INCH_M).mean(), 100.0,
           "% of archers")  # fmt: skip
    return rows


def test_cold_short(ledger):
    # one archer in bulky clothes, limbs slower: nothing proven is wrong, and few arrows do it
    rows = swap(ledger, 1, ", short run", 25, (0.0, 0.0, 0.0), first=3)
    assert rows[0, 2] <= 12


def long_run(ledger):
    """Run by builders/build_simulations.py."""
    # Wild flyers, four in a hundred, count among arrows past the butt; longbows of 4 mrad get
    # nowhere near 60 yd
    rows = swap(ledger, 300, "", 60, (2.0, 2.0, 50.0))
    assert np.median(rows[:, 2]) <= 25

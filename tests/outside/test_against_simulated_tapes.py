"""Tapes on the sight: bands hold, and faults are found, where only dialled numbers are written.

Source: archers are invented (tests/support/archers.py). They calibrate on a gauge strip, print,
and stick the likeliest strip on 0.2 mm off (one standard deviation), which nobody tells them or
the program; from then on they write down only what they dial. So this asks whether the sticking is
weighed honestly: the laws are those of a band. Proofs are shot by the same archers with and
without a tape, with the same luck, after one more group: a zero that moved by 1 mm, a strip of
another length and an arrow 12 % heavier must be found as often. One group leaves a part of the
sticking open, since it tells a zero no better than 0.6 mm; a whole proof that was taken in leaves
so little that three points apart are wanted.
"""

from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace

import numpy as np
import pytest
from archers import random_sheet, random_truth, session, shoot
from exact_units import GRAIN_KG, YARD_M

from tapewright.calibration.fit import fit_bow
from tapewright.confidence.bands import bands, drawn_marks, trusted_distance
from tapewright.confidence.diagnosis import prove
from tapewright.confidence.posterior import draw_posterior
from tapewright.sight.prediction import mark
from tapewright.sight.tape import Tape, Ticks

STUCK_SD_M = 0.2e-3  # how well these archers stick; the program takes 0.3 mm
AT_YD = np.arange(10, 111, 10)
GRID_YD = np.arange(10, 126)
TICKS_YD = np.arange(5, 111)
TOLERANCE_M = 0.0762
CALIBRATED_YD = (20, 30, 45, 60, 75, 80)
PROVED_YD = (20, 40, 60, 80)
BEFORE_YD, BEFORE_ARROWS = 40, 6  # the group shot on the tape before anything went wrong
FAULTS = ("nothing", "zero", "span", "arrow")
FAMILY = {"zero": "zero", "span": "far marks", "arrow": "speed"}
VIRTUAL_MASS_KG = 45.0 * GRAIN_KG  # of a compound; docs/physics.md eq. (4.2)


def printed(posterior):
    """The likeliest strip, a tick each yard."""
    at_m = TICKS_YD * YARD_M
    readings = np.median(drawn_marks(posterior, at_m), axis=0)
    return Tape("printed", "yd", (Ticks(tuple(at_m.tolist()), tuple(readings.tolist())),))


def with_tape(rig, tape):
    return replace(rig, sight=replace(rig.sight, tape=tape))


def dialled(truth, tape, dialled_yd, distance_yd, arrows, rng, laid_m, name):
    """A group shot with a number of the tape: the archer knows no reading."""
    shown_m = tape.reading_of(dialled_yd * YARD_M)
    # where the tape lies laid_m farther along, its tick stands where the gauge showed less
    shot = shoot(truth, distance_yd * YARD_M, shown_m - laid_m, arrows, rng, name)
    return replace(shot, reading_m=shown_m, scales=tape.scales)


def one_taped(seed):
    """Inside its band at each distance; a miss inside the trusted distance; the trusted one."""
    rng = np.random.default_rng([1414, seed])
    rig = random_sheet(rng)
    truth = random_truth(rig, rng)
    shots = session(truth, rng)
    tape = printed(draw_posterior(fit_bow(rig, shots), np.random.default_rng(seed)))
    laid_m = rng.normal(0.0, STUCK_SD_M)
    for place in range(rng.integers(0, 4)):  # after the first evening, the second, the third …
        yards = int(rng.choice(np.arange(10, 81, 5)))
        number = yards + int(rng.integers(-1, 2)) if yards > 20 else yards
        arrows = int(rng.integers(3, 7))
        shot = dialled(truth, tape, number, yards, arrows, rng, laid_m, f"t{place}")
        shots = (*shots, shot)
    taped = with_tape(rig, tape)
    posterior = draw_posterior(fit_bow(taped, shots), np.random.default_rng(seed))
    marks = truth.marks(AT_YD * YARD_M) + laid_m
    found = bands(posterior, AT_YD * YARD_M)
    inside = (marks >= found.low_m) & (marks <= found.high_m)
    fine = bands(posterior, GRID_YD * YARD_M)
    trusted_m = trusted_distance(posterior, TOLERANCE_M, GRID_YD * YARD_M)
    per_reading = (fine.impact_high_m - fine.impact_low_m) / (fine.high_m - fine.low_m)
    miss = np.abs(fine.reading_m - truth.marks(GRID_YD * YARD_M) - laid_m) * per_reading
    fooled = bool((miss[trusted_m + 1e-6 >= GRID_YD * YARD_M] > TOLERANCE_M).any())
    return (*inside, fooled, trusted_m / YARD_M)


def one_proof(seed):
    """For each fault whether it comes first: in mm, on a tape after a group, on a fresh tape, and
    both again after a whole proof that found nothing and was taken in.
    """
    rng = np.random.default_rng([1515, seed])
    rig = random_sheet(rng)
    truth = random_truth(rig, rng)
    marks = np.round(truth.marks(np.array(CALIBRATED_YD) * YARD_M), 4)
    shots = tuple(
        shoot(truth, yards * YARD_M, float(reading), 5, rng, str(yards))
        for yards, reading in zip(CALIBRATED_YD, marks, strict=True)
    )
    posterior = draw_posterior(fit_bow(rig, shots), np.random.default_rng(seed))
    tape = printed(posterior)
    laid_m, luck = rng.normal(0.0, STUCK_SD_M), int(rng.integers(1 << 30))
    way = rng.choice([-1.0, 1.0])

    def before(yards_of):
        """The same groups shot on the tape, and in mm."""
        shot = []
        for place, yards in enumerate(yards_of):
            chance = [np.random.default_rng([luck, 7, place]) for _ in range(2)]
            how = (BEFORE_ARROWS, chance[0], laid_m, f"b{place}")
            on = dialled(truth, tape, yards, yards, *how)
            name, at_m = on.group.name, yards * YARD_M
            plain = shoot(truth, at_m, on.reading_m, BEFORE_ARROWS, chance[1], name)
            shot.append((on, plain))
        return zip(*shot, strict=True)

    (on_tape, plain), (proved, proved_mm) = before((BEFORE_YD,)), before(PROVED_YD)
    fresh = fit_bow(with_tape(rig, tape), shots)
    ways = {
        "mm": (fit_bow(rig, (*shots, *plain)), (), 0.0),
        "tape": (fit_bow(with_tape(rig, tape), (*shots, *on_tape)), tape.scales, laid_m),
        "fresh": (fresh, tape.scales, laid_m),
        "proved mm": (fit_bow(rig, (*shots, *proved_mm)), (), 0.0),
        "proved tape": (fit_bow(with_tape(rig, tape), (*shots, *proved)), tape.scales, laid_m),
    }
    found = []
    for calibration, scales, off_m in ways.values():
        known = draw_posterior(calibration, np.random.default_rng(seed))
        for fault in FAULTS:
            arrows = np.random.default_rng([luck, FAULTS.index(fault)])
            groups = proof(truth, rig, tape, fault, way, arrows, off_m)
            shot = tuple(replace(one, scales=scales) for one in groups)
            first = prove(known, shot).families[0][0]
            found.append(first == FAMILY.get(fault, "nothing"))
    return found


def proof(truth, rig, tape, fault, way, rng, laid_m):
    """Four groups of six dialled on the tape, or the same readings on a gauge, with one fault."""
    vector = truth.vector.copy()
    place = truth.unknowns.place
    if fault == "arrow":
        kg = rig.arrow.mass_kg.value
        slower = 0.5 * np.log((kg + VIRTUAL_MASS_KG) / (1.12 * kg + VIRTUAL_MASS_KG))
        vector[place("log_speed")] += slower
        vector[place("log_drag")] -= np.log(1.12)
    wrong = replace(truth, vector=vector)
    near, far = mark(truth.unknowns.bow(truth.vector), np.array([20.0, 60.0]) * YARD_M)
    groups = []
    for yards in PROVED_YD:
        shown_m = tape.reading_of(yards * YARD_M)
        off_m = laid_m + way * 1e-3 * (fault == "zero")
        if fault == "span":
            off_m += way * 1.5e-3 * (shown_m - near) / abs(far - near)
        shot = shoot(wrong, yards * YARD_M, shown_m - off_m, 6, rng, f"p{yards}")
        groups.append(replace(shot, reading_m=shown_m))
    return groups


def run(archer, count, workers):
    if workers == 1:
        return np.array([archer(seed) for seed in range(count)], dtype=float)
    with ProcessPoolExecutor(workers) as pool:
        return np.array(list(pool.map(archer, range(count), chunksize=5)), dtype=float)


def coverage(ledger, count, note, allowed, workers=None):
    """Share of bands that hold, and archers missed inside the trusted distance."""
    rows = run(one_taped, count, workers)
    inside, who = rows[:, : len(AT_YD)], f"{count} simulated archers who write what they dial{note}"
    ledger("90 % bands of a tape stuck on 0.2 mm off, off that share", who, inside.size,
           100 * abs(inside.mean() - 0.9), allowed[0], "% of cases")  # fmt: skip
    ledger("archers missed inside the trusted distance of a tape stuck on 0.2 mm off", who, count,
           100 * rows[:, -2].mean(), allowed[1], "% of archers")  # fmt: skip
    assert np.median(rows[:, -1]) > 40
    return rows


def proofs(ledger, count, note, allowed, workers=None):
    """How much seldomer faults come first on a tape than in mm, the same luck."""
    rows = run(one_proof, count, workers).reshape(count, 5, len(FAULTS))
    who = f"{count} sessions with and without a tape, same luck{note}"
    on_it = {"a group was shot on": (1, 0), "a proof was taken in of": (4, 3)}
    for (what, (tape, mm)), most in zip(on_it.items(), allowed, strict=True):
        for place, fault in enumerate(FAULTS):
            apart = 100 * abs(rows[:, tape, place].mean() - rows[:, mm, place].mean())
            ledger(f"proof on a tape {what}, found otherwise than in mm: {fault}", who,
                   count, apart, most, "% of sessions")  # fmt: skip
    return rows


@pytest.mark.timeout(600)
def test_tapes_short(ledger):
    # eighteen archers, whose eleven distances hang together: 7 % of 90 %, three of those
    coverage(ledger, 18, ", short run", (21.0, 29.0), workers=1)


@pytest.mark.timeout(600)
def test_proofs_on_a_tape_short(ledger):
    # five sessions, of which one in five may be found otherwise: 18 %, three of those
    proofs(ledger, 5, ", short run", (54.0, 54.0), workers=1)


def long_run(ledger):
    """Run by builders/build_simulations.py."""
    coverage(ledger, 1500, "", (2.0, 10.0))
    # 3 is wanted. One group leaves 0.25 mm of the sticking open, and faults of about a millimetre
    # are found 4 to 8 points seldomer; after a proof that was taken in 2 (docs/reliability.md),
    # which 1,500 sessions tell to 0.8: three of those
    proofs(ledger, 1500, "", (10.0, 4.5))

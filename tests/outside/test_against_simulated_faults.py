"""Diagnosis: of sessions in which one known thing is wrong, the right one is found.

Source: bows, arrows and faults are invented by tests/support/faults.py, which makes each fault in
the forward model and not from the diagnosis's own signatures. Arrows are Gaussian with a flyer in
twenty-five; dispersion 0.4 to 1.2 mrad, wobble 0.05 to 0.25 mrad; 24 arrows at 20, 40, 60 and
80 yd after a calibration of 30; the fault moves the farthest group (for one distance: the group
at the wrong peg, at 40 to 80 yd) by 2 to 8 doubts of that group's centre. Another arrow is 12 %,
20 and 8 gr heavier.

A fault is clear when it differs by four errors of the groups' centres from the best-fitting other
thing that may be wrong, whatever the size of that.
"""

import json
import pathlib
from collections import Counter
from concurrent.futures import ProcessPoolExecutor

import numpy as np
from exact_units import YARD_M
from faults import CONDITIONS, FAMILIES, OTHER_ARROWS, fault_session, moved_bow

from tapewright.calibration.fit import fit_bow
from tapewright.confidence.bands import spread_of_marks, trusted_of
from tapewright.confidence.posterior import draw_posterior
from tapewright.confidence.two_bows import two_bows, with_two_bows
from tapewright.sight.prediction import mark

KEPT = pathlib.Path(__file__).parents[2] / "builders" / "confusion.json"
SESSIONS = 4
CLEAR, SHOWS = 4.0, 3.0  # errors
SURE = 0.9
EQUIPMENT = (*OTHER_ARROWS, "zero", "height", "drag or air", "windage", "sideways", "wind or cant",
             "third axis")  # fmt: skip
TOLERANCE_M = 0.0762
GRID_M = np.arange(10, 101) * YARD_M
# Allowed, in %: clear faults that are not first, the worst cause and all; faults that show, are not
# clear, and are not named; something found where nothing is wrong; a wrong cause that is sure;
# arrows taken in though the equipment, by what shows, is at fault; of those taken in, tapes trusted
# to where they miss: 10 by what trust means where nothing was wrong, more where it was but too
# little to be seen.
ALLOWED = (15.0, 10.0, 7.0, 7.0, 2.0, 2.0, 10.0, 45.0)
# Of about forty clear faults with a chance of 95 % each four or fewer are missed in 95 of 100 runs,
# of six quiet sessions with 95 % two or fewer in 99; one of 78 sessions more may be sure and wrong.
ALLOWED_SHORT = (51.0, 12.0, 15.0, 34.0, 4.0, 4.0, 51.0, 70.0)


def one_session(job):
    seed, cause, *flight_rad = job
    told = fault_session(seed, cause, *flight_rad)
    verdict = told.verdict
    family = FAMILIES.get(cause, cause)
    first, odds = verdict.families[0]
    others = [name for name, _ in verdict.rivals]
    return {
        "cause": cause,
        "family": first,
        "single": verdict.causes[0].name,
        "is_first": first == family,
        "is_named": first == family or family in others,
        "is_told_apart": not others or verdict.telling_m is not None,
        "is_sure": odds > SURE,
        "is_taken_in": verdict.is_the_tapes,
        "from_nothing": told.from_nothing,
        "from_rival": told.from_rival,
    } | (taken_in(told, seed) if verdict.is_the_tapes else {})


def taken_in(told, seed):
    """The tape of all arrows: how far it is trusted, the doubt of two bows left out and counted."""
    archer = told.archer
    rig, shots = archer.posterior.calibration.rig, (*archer.shots, *told.groups)
    joined = draw_posterior(fit_bow(rig, shots), np.random.default_rng(seed))
    plain = spread_of_marks(joined, GRID_M)
    doubt = two_bows(archer.posterior, told.groups)
    doubted = with_two_bows(plain, doubt, 1, np.random.default_rng(seed))
    true_m = mark(moved_bow(archer, told.cause, told.size), GRID_M)
    miss_m = np.abs((plain.reading_m - true_m) * plain.up_per_reading)
    trusted_m = [trusted_of(one, TOLERANCE_M) for one in (plain, doubted)]
    broken = [bool((miss_m[one + 1e-6 >= GRID_M] > TOLERANCE_M).any()) for one in trusted_m]
    return {
        "plain_yd": trusted_m[0] / YARD_M,
        "trusted_yd": trusted_m[1] / YARD_M,
        "was_broken": broken[0],
        "is_broken": broken[1],
    }


def all_sessions(sessions):
    jobs = [(seed, cause) for cause in CONDITIONS for seed in range(sessions)]
    with ProcessPoolExecutor() as pool:
        return list(pool.map(one_session, jobs, chunksize=2))


def with_another_flight(sessions):
    """Sessions of arrows that weigh more and leave the bow at another angle, too."""
    seen = [one for one in OTHER_ARROWS if one != "arrow +8 gr"]
    jobs = [(seed, cause, 0.5e-3) for cause in seen for seed in range(sessions)]
    with ProcessPoolExecutor() as pool:
        return list(pool.map(one_session, jobs, chunksize=2))


def lacking(told, what):
    """How many per cent of sessions lack something; 0 of none."""
    return 100.0 * sum(not one[what] for one in told) / max(len(told), 1)


def enter(ledger, told, allowed, run):
    against = f"{len(told) // len(CONDITIONS)} simulated sessions each{run}"
    unit = "% of sessions"
    quiet = [one for one in told if one["cause"] == "nothing"]
    wrong = [one for one in told if one["cause"] != "nothing"]
    clear = [one for one in wrong if one["from_rival"] >= CLEAR]
    alike = [one for one in wrong if one["from_rival"] < CLEAR and one["from_nothing"] >= SHOWS]
    by_cause = [[one for one in clear if one["cause"] == cause] for cause in CONDITIONS]
    worst = max(lacking(some, "is_first") for some in by_cause)
    ledger("clear faults of which another was ranked first, the worst of twelve causes",
           against, len(clear), worst, allowed[0], unit)  # fmt: skip
    ledger("clear faults of which another was ranked first, all twelve causes",
           against, len(clear), lacking(clear, "is_first"), allowed[1], unit)  # fmt: skip
    ledger("faults that show but are like another, and are not named beside it",
           against, len(alike), lacking(alike, "is_named"), allowed[2], unit)  # fmt: skip
    ledger("sessions with nothing wrong in which something was found",
           against, len(quiet), lacking(quiet, "is_first"), allowed[3], unit)  # fmt: skip
    sure = [one for one in told if one["is_sure"] and not one["is_first"]]
    sure = [one for one in sure if one["family"] != "nothing"]
    ledger("sessions in which a wrong cause had odds over 90 %",
           against, len(told), 100.0 * len(sure) / len(told), allowed[4], unit)  # fmt: skip
    shown = [one for one in wrong if one["cause"] in EQUIPMENT and one["from_nothing"] >= SHOWS]
    taken = sum(one["is_taken_in"] for one in shown)
    ledger("sessions with equipment at fault, by what shows, in which arrows could be taken in",
           against, len(shown), 100.0 * taken / len(shown), allowed[5], unit)  # fmt: skip
    sound = [one for one in quiet if one["is_taken_in"]]
    unseen = [one for one in wrong if one["is_taken_in"]]
    ledger("arrows taken in, nothing wrong, and the tape trusted to where it misses",
           against, len(sound), having(sound, "is_broken"), allowed[6], unit)  # fmt: skip
    ledger("arrows taken in of a fault too small to be found, the tape trusted to where it misses",
           against, len(unseen), having(unseen, "is_broken"), allowed[7], unit)  # fmt: skip


def by_distance(told, cause):
    """Of a cause: clear ones and those first; others that show, first and named; the rest alike."""
    mine = [one for one in told if one["cause"] == cause]
    clear = [one for one in mine if one["from_rival"] >= CLEAR]
    others = [one for one in mine if one["from_rival"] < CLEAR]
    shown = [one for one in others if one["from_nothing"] >= SHOWS]
    faint = [one for one in others if one["from_nothing"] < SHOWS]
    return [
        [len(some), sum(one["is_first"] for one in some), sum(one["is_named"] for one in some)]
        for some in (clear, shown, faint)
    ]


def how_trusted(told, cause):
    """Of a cause: how many were taken in; mean trusted distances and broken ones, doubt left out
    and counted."""
    mine = [one for one in told if one["cause"] == cause and one["is_taken_in"]]
    if not mine:
        return [0]
    words = ("plain_yd", "trusted_yd", "was_broken", "is_broken")
    plain, trusted, was, broken = (sum(one[word] for one in mine) for word in words)
    return [len(mine), round(plain / len(mine), 1), round(trusted / len(mine), 1), was, broken]


def having(told, what):
    """How many per cent of sessions have something; 0 of none."""
    return 100.0 * sum(one[what] for one in told) / max(len(told), 1)


def counted(told, what):
    return {
        cause: Counter(one[what] for one in told if one["cause"] == cause) for cause in CONDITIONS
    }


def test_one_thing_wrong_is_found_short(ledger):
    enter(ledger, all_sessions(SESSIONS), ALLOWED_SHORT, ", short run")


def long_run(ledger):
    """Run by builders/build_simulations.py; leaves the counts of docs/diagnosis.md."""
    sessions = 100
    told = all_sessions(sessions)
    kept = {
        "sessions": sessions,
        "families": counted(told, "family"),
        "causes": counted(told, "single"),
        "by_distance": {cause: by_distance(told, cause) for cause in CONDITIONS[1:]},
        "taken_in": {cause: how_trusted(told, cause) for cause in CONDITIONS},
    }
    KEPT.write_text(json.dumps(kept, indent=1) + "\n", encoding="utf-8")
    enter(ledger, told, ALLOWED, "")
    flown = with_another_flight(sessions)
    ledger("arrows 12 % and 20 gr heavier that also leave at another angle, speed not named",
           f"{sessions} simulated sessions each, 0.5 mrad up and to the side", len(flown),
           lacking(flown, "is_named"), 7.0, "% of sessions")  # fmt: skip

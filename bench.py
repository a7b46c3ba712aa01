"""Bench: the speed targets, measured as ratios in one run.

Holds:  one function for each target; a table of target, measured, wanted.
Never:  assertions; a slow machine is not a failure.
"""

import resource
import shutil
import subprocess
import sys
import tempfile
import time
from functools import cache
from pathlib import Path
from statistics import median

import numpy as np
from scipy.integrate import solve_ivp

from tapewright.calibration.fit import fit_bow
from tapewright.confidence.bands import bands, trusted_distance
from tapewright.confidence.posterior import draw_posterior
from tapewright.field.slope import slope_table
from tapewright.flight.trajectory import height_on_the_level
from tapewright.ground.constants import STANDARD_GRAVITY_MPS2 as G
from tapewright.ground.units import YARD_M
from tapewright.sight.bow import SightedBow
from tapewright.sight.scale import Scale

sys.path.insert(0, "tests/support")
sys.path.insert(0, "benches")
from archers import random_sheet, random_truth, session
from lists import long_lists
from many_rigs import write_rigs
from web import web

FAR_M = 125.0 * YARD_M
SAMPLE = Path("src/tapewright/faces/sample")


def cpu(work, times=5):
    """Median processor seconds of a few runs."""
    spent = []
    for _ in range(times):
        start = time.process_time()
        work()
        spent.append(time.process_time() - start)
    return median(spent)


def one_by_one(speed, angle, drag, tolerance):
    """Height at 125 yd by SciPy's DOP853, integrated in distance."""

    def rates(_, state):
        _, slope, level = state
        return [slope, -G / level**2, -drag * level * np.sqrt(1.0 + slope * slope)]

    start = [0.0, np.tan(angle), speed * np.cos(angle)]
    return solve_ivp(rates, (0, FAR_M), start, method="DOP853", rtol=tolerance, atol=1e-9).y[0, -1]


def trajectories():
    """Ours against SciPy's, both within 0.01 mm at 125 yd."""
    rng = np.random.default_rng(1)
    few = 150

    def causes(count):
        return (
            rng.uniform(45, 95, count),
            rng.uniform(-0.02, 0.2, count),
            rng.uniform(0.0008, 0.004, count),
        )

    rigs = causes(few)
    exact = np.array([one_by_one(*rig, 1e-12) for rig in zip(*rigs, strict=True)])
    for tolerance in (1e-5, 1e-6, 3e-7, 1e-7, 1e-8):
        found = np.array([one_by_one(*rig, tolerance) for rig in zip(*rigs, strict=True)])
        if np.abs(found - exact).max() < 1e-5:
            break
    theirs = few / cpu(lambda: [one_by_one(*rig, tolerance) for rig in zip(*rigs, strict=True)], 3)
    off_mm = 1e3 * np.abs(height_on_the_level(*rigs, np.array(FAR_M)) - exact).max()
    many = causes(4096)
    ours = 40 * 4096 / cpu(lambda: [height_on_the_level(*many, np.array(FAR_M)) for _ in range(40)])
    print(f"  ours {ours:,.0f}/s, off by {off_mm:.1g} mm; DOP853 at {tolerance:g} {theirs:,.0f}/s")
    return ours / theirs, 1500.0, "at least"


def sample_session(groups, arrows=6, seed=3):
    """An invented archer with so many groups of so many arrows."""
    rng = np.random.default_rng(seed)
    rig = random_sheet(rng)
    truth = random_truth(rig, rng)
    shot = []
    while len(shot) < groups:
        shot += [one for one in session(truth, rng, 5) if len(one.group.impacts) == arrows]
    return rig, tuple(shot[:groups])


def calibration():
    """Eight groups of six arrows, 2,000 draws, bands each yard from 10 to 125."""
    rig, shot = sample_session(8)
    grid_m = np.arange(10, 126) * YARD_M

    def work():
        posterior = draw_posterior(fit_bow(rig, shot), np.random.default_rng(1))
        bands(posterior, grid_m)
        trusted_distance(posterior, rig.archer.tolerance_m, grid_m)

    work()
    return cpu(work), 0.25, "at most, s of processor"


def linearity():
    """Time for each arrow at 2,000 arrows over that at 480: 1 is linear."""

    def work(groups):
        rig, shot = sample_session(groups)
        return lambda: draw_posterior(fit_bow(rig, shot), np.random.default_rng(1))

    few, many = cpu(work(80), 3), cpu(work(333), 3)
    print(f"  480 arrows {few:.2f} s, 2,000 arrows {many:.2f} s")
    return (many / 333) / (few / 80), 1.3, "at most"


def process(*command):
    """Wall seconds of a process of its own, median of seven."""
    spent = []
    for _ in range(7):
        start = time.perf_counter()
        subprocess.run(command, check=True, capture_output=True)  # noqa: S603 — our own program
        spent.append(time.perf_counter() - start)
    return median(spent)


def whole_process():
    """``tape`` from files to files, against importing numpy and scipy.optimize."""
    with tempfile.TemporaryDirectory() as folder:
        out = str(Path(folder) / "tape")
        rig, shots = str(SAMPLE / "heron.toml"), str(SAMPLE / "heron-shots.csv")
        ours = process(sys.executable, "-m", "tapewright", "tape", rig, shots, "--out", out)
    theirs = process(sys.executable, "-c", "import numpy, scipy.optimize")
    print(f"  tape {ours:.2f} s, imports {theirs:.2f} s")
    return ours / theirs, 2.5, "at most"


def card_process():
    """``card`` from files to screen, against importing numpy and scipy.optimize."""
    rig, shots = str(SAMPLE / "heron.toml"), str(SAMPLE / "heron-shots.csv")
    ours = process(sys.executable, "-m", "tapewright", "card", rig, shots)
    theirs = process(sys.executable, "-c", "import numpy, scipy.optimize")
    print(f"  card {ours:.2f} s, imports {theirs:.2f} s")
    return ours / theirs, 2.5, "at most"


def help_process():
    """``--help``, which lists every command, against importing numpy."""
    ours = process(sys.executable, "-m", "tapewright", "--help")
    theirs = process(sys.executable, "-c", "import numpy")
    print(f"  help {ours:.3f} s, import {theirs:.3f} s")
    return ours / theirs, 0.5, "at most"


def door_import():
    """``import tapewright.api``, against importing numpy and scipy.optimize."""
    door = process(sys.executable, "-c", "import tapewright.api")
    every = process(sys.executable, "-c", "from tapewright.api import *")
    theirs = process(sys.executable, "-c", "import numpy, scipy.optimize")
    print(f"  door {door:.3f} s, all its names {every:.2f} s ({every / theirs:.2f} of imports)")
    return door / theirs, 1.2, "at most"


def slopes():
    """Marks for 60 distances on 121 slopes, warm."""
    bow = SightedBow(84.7, 0.0018, 0.117, 1.2, Scale(0.004, 1.34, 0.838))
    slope_rad, at_m = np.radians(np.linspace(-60, 60, 121)), np.linspace(5, 110, 60)
    slope_table(bow, slope_rad, at_m)
    return 1e3 * cpu(lambda: slope_table(bow, slope_rad, at_m), 9), 50.0, "at most, ms of processor"


def batch(folder, rigs, workers, *more):
    """Wall seconds of ``batch`` over so many rigs of a folder, from files to summary."""
    some = Path(folder) / f"rigs-{rigs}"
    some.mkdir(exist_ok=True)
    for path in sorted((Path(folder) / "rigs").glob("*.*"))[: 2 * rigs]:
        shutil.copy(path, some)
    out = Path(folder) / "out"
    shutil.rmtree(out, ignore_errors=True)
    words = ["batch", str(some), "--out", str(out), "--workers", str(workers), *more]
    start = time.perf_counter()
    subprocess.run(  # noqa: S603 — our own program
        [sys.executable, "-m", "tapewright", *words], check=True, capture_output=True
    )
    return time.perf_counter() - start


@cache
def batches():
    """Wall seconds: 1,000 rigs of 8 groups of 6 arrows; 200 by one process and by two; 10."""
    with tempfile.TemporaryDirectory() as folder:
        write_rigs(Path(folder) / "rigs", 1000)
        many = batch(folder, 1000, 2, "--no-tapes")
        one, two = (batch(folder, 200, workers, "--no-tapes") for workers in (1, 2))
        ten = batch(folder, 10, 2, "--no-tapes")
        with_tapes = batch(folder, 200, 2)
    start = (200 * ten - 10 * two) / 190  # what a run costs before its first rig
    print(f"  start {start:.1f} s; 200 rigs {one:.1f} s by one, {two:.1f} s by two processes")
    print(f"  a tape adds {1e3 * (with_tapes - two) / 200:.0f} ms of wall")
    return start, many, one, two


def many_rigs():
    """1,000 rigs from files to files, without tapes, on two processes."""
    return batches()[1], 90.0, "at most, s"


def two_processes():
    """What a second process is worth."""
    _, _, one, two = batches()
    return one / two, 1.8, "at least"


def cost_of_a_rig():
    """A rig among 1,000 over a rig among 200: 1 is linear."""
    start, many, _, two = batches()
    return ((many - start) / 1000) / ((two - start) / 200), 1.1, "at most"


def memory():
    """Greatest memory of this process and of the tapes it made."""
    own = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    theirs = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024
    print(f"  with 2,000 arrows {own:.0f} MB, tape {theirs:.0f} MB")
    return max(own, theirs), 200.0, "at most, MB"


TARGETS = {
    "trajectories over SciPy's DOP853 one by one": trajectories,
    "calibration with 2,000 draws and bands": calibration,
    "cost of an arrow, 2,000 over 480": linearity,
    "tape over the bare imports": whole_process,
    "card over the bare imports": card_process,
    "help over importing numpy": help_process,
    "the door of Python over the bare imports": door_import,
    "slope table of 60 × 121": slopes,
    "memory": memory,
    "1,000 rigs on two processes": many_rigs,
    "two processes over one": two_processes,
    "cost of a rig, among 1,000 over among 200": cost_of_a_rig,
}


def report(name, measured, wanted, sense):
    """One line: whether a target holds, what was measured, what was wanted."""
    holds = measured >= wanted if sense.startswith("at least") else measured <= wanted
    print(f"{'holds ' if holds else 'MISSED'}  {name}: {measured:,.2f} ({sense} {wanted:,g})")


def main():
    """Measure and print."""
    for name, target in TARGETS.items():
        report(name, *target())
    for found in (*web(), *long_lists()):
        report(*found)


main()

"""What a line buys: how much narrower a tape becomes by each line of a rig sheet, arrows being few.

Invented archers shoot two groups of four at 20 and 40 yd. Their sheets tell mass, shaft and speed,
and one line more. Told: the median of half the band at 60 and 80 yd over that without the line.

    python builders/what_a_line_buys.py [ARCHERS]

Holds:  the lines, the archers, the table.
Never:  a claim: what was found stands in docs/reliability.md with the day.
"""

import os
import sys
from dataclasses import replace
from pathlib import Path

os.environ.setdefault("OMP_NUM_THREADS", "1")

import numpy as np

ROOT = Path(__file__).resolve().parents[1]
sys.path.insert(0, str(ROOT / "tests" / "support"))

from archers import random_sheet, random_truth, shoot  # noqa: E402
from exact_units import YARD_M  # noqa: E402

from tapewright.calibration.rig import Belief  # noqa: E402
from tapewright.services.calibrate import calibrate  # noqa: E402

GROUPS_YD, FAR_YD, ARROWS = (20, 40), (60, 80), 4
SEED = 20261130


def lines(rig, truth):
    """Sheets by the line that they tell besides mass, shaft and speed."""
    sight, gain = rig.sight, rig.sight.reading_per_travel.value
    place = truth.unknowns.place
    bare = replace(sight, peep_height_m=None, sight_radius_m=None, reading_per_travel=None)
    drag = float(np.exp(truth.vector[place("log_drag")])) * rig.arrow.mass_kg.value
    drag /= 0.5 * rig.air.density_kg_m3 * np.pi / 4 * rig.arrow.shaft_diameter_m**2

    def of(**told):
        return replace(rig, sight=replace(bare, **told))

    return {
        "nothing more": of(),
        "peep height ±0.15 in": of(peep_height_m=sight.peep_height_m),
        "sight radius ±0.5 in": of(sight_radius_m=sight.sight_radius_m),
        "drag coefficient ±5 %": replace(
            of(), arrow=replace(rig.arrow, drag_coefficient=Belief(drag, 0.05 * drag))
        ),
        "dispersion ±30 %": replace(
            of(),
            archer=replace(
                rig.archer, dispersion_rad=Belief(truth.dispersion_rad, 0.3 * truth.dispersion_rad)
            ),
        ),
        "reading per travel ±3 %": of(reading_per_travel=Belief(gain, 0.03 * gain)),
        "reading per travel ±1 %": of(reading_per_travel=Belief(gain, 0.01 * gain)),
        "travel ±1 % and radius": of(
            reading_per_travel=Belief(gain, 0.01 * gain), sight_radius_m=sight.sight_radius_m
        ),
    }


def main(archers: int) -> None:
    """Shoot, calibrate, compare."""
    rng = np.random.default_rng(SEED)
    far_m = np.array(FAR_YD) * YARD_M
    grid_m = np.arange(9, 101) * YARD_M
    halves: dict[str, list[np.ndarray]] = {}
    trusted: dict[str, list[float]] = {}
    for _ in range(archers):
        rig = random_sheet(rng)
        gain = rig.sight.reading_per_travel.value
        near = Belief(gain, 0.01 * gain)
        truth = random_truth(replace(rig, sight=replace(rig.sight, reading_per_travel=near)), rng)
        at_m = np.array(GROUPS_YD) * YARD_M
        readings = truth.marks(at_m) + rng.normal(0.0, 1.5e-3, len(at_m))
        shot = tuple(
            shoot(truth, one_m, reading, ARROWS, rng, str(number))
            for number, (one_m, reading) in enumerate(zip(at_m, readings, strict=True), 1)
        )
        for name, sheet in lines(rig, truth).items():
            answer = calibrate(sheet, shot, far_m, grid_m)
            halves.setdefault(name, []).append(0.5 * (answer.bands.high_m - answer.bands.low_m))
            trusted.setdefault(name, []).append(answer.once_zeroed_m[0] / YARD_M)
    bare = np.array(halves["nothing more"])
    print(f"| line | band at {FAR_YD[0]} yd | at {FAR_YD[1]} yd | its bands carry (median) |")
    print("| --- | ---: | ---: | ---: |")
    for name, found in halves.items():
        share = np.median(np.array(found) / bare, axis=0)
        print(f"| {name} | {share[0]:.2f} | {share[1]:.2f} | {np.median(trusted[name]):.0f} yd |")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 60)

"""Many rigs: folders of invented rig sheets with their shots beside, for tests of many at once.

Holds:  one rig's two texts; a folder of them.
Never:  numbers used as evidence by themselves.
"""

from dataclasses import replace

import numpy as np
from archers import random_sheet, random_truth, shoot
from exact_units import FOOT_M, GRAIN_KG, INCH_M, YARD_M

DISTANCES_YD = (20, 25, 30, 35, 40, 50, 60, 70)


def texts(seed, groups=8, arrows=6):
    """Rig sheet and shots of an archer who does not exist."""
    rng = np.random.default_rng(seed)
    rig = replace(random_sheet(rng), name=f"Rig {seed}")
    truth = random_truth(rig, rng)
    rows = ["group,distance_yd,reading_mm,right_in,up_in"]
    for place, yards in enumerate(DISTANCES_YD[:groups], 1):
        reading = round(float(truth.marks([yards * YARD_M])[0]) + rng.normal(0.0, 1e-3), 4)
        shot = shoot(truth, yards * YARD_M, reading, arrows, rng, flyers=0.0)
        rows += [
            f"{place},{yards},{1e3 * reading:.1f},"
            f"{hit.right_m / INCH_M:.2f},{hit.up_m / INCH_M:.2f}"
            for hit in shot.group.impacts
        ]
    return sheet_text(rig), "\n".join(rows) + "\n"


def sheet_text(rig):
    """A rig of ``random_sheet`` as a rig sheet."""
    arrow, bow, sight = rig.arrow, rig.bow, rig.sight
    return f"""schema = 1
name = "{rig.name}"
[arrow]
mass = "{arrow.mass_kg.value / GRAIN_KG:.2f} gr ± 2"
shaft_diameter = "{1e3 * arrow.shaft_diameter_m:.3f} mm"
[bow]
launch_speed = "{bow.launch_speed_mps.value / FOOT_M:.2f} ft/s ± 3"
[sight]
peep_height = "{sight.peep_height_m.value / INCH_M:.3f} in ± 0.15"
sight_radius = "{sight.sight_radius_m.value / INCH_M:.3f} in ± 0.5"
reading_per_travel = "{sight.reading_per_travel.value:.4f} ± 0.05"
farther = "{sight.farther}"
"""


def write_rigs(folder, count, groups=8, arrows=6, first=0):
    """So many sheets with their shots, named rig-0000 and on."""
    folder.mkdir(parents=True, exist_ok=True)
    for seed in range(first, first + count):
        sheet, shots = texts(seed, groups, arrows)
        (folder / f"rig-{seed:04}.toml").write_text(sheet, encoding="utf-8")
        (folder / f"rig-{seed:04}.csv").write_text(shots, encoding="utf-8")

"""Build the demo's invented archer: a rig sheet, and the arrows a made-up truth would shoot.

Run it from the repository's root; it rewrites src/tapewright/faces/sample/.

Holds:  an invented truth, which differs from the sheet as sheets do, and invented chance.
Never:  anybody's real bow; numbers used as evidence.
"""

from pathlib import Path

import numpy as np

from tapewright.flight.drag import drag_per_metre
from tapewright.ground.units import FOOT_M, GRAIN_KG, INCH_M, YARD_M
from tapewright.sight.bow import SightedBow
from tapewright.sight.prediction import Aim, impact, mark
from tapewright.sight.scale import Scale

SAMPLE = Path("src/tapewright/faces/sample")
SHEET = """\
# An invented rig, made up for the demo.
schema = 1
name = "Heron"
hand = "right"

[bow]
draw_weight = "60 lbf"
draw_length = "29 in"
brace_height = "6.5 in"
launch_speed = "278 ft/s ± 3"
rest = "5 mm"

[arrow]
mass = "420 gr ± 2"
shaft_diameter = "6.0 mm"
length = "28.5 in"
point = "field"
vane_height = "0.45 in"

[sight]
peep_height = "4.6 in ± 0.15"
sight_radius = "33 in ± 0.5"
reading_per_travel = "1.60 ± 0.05"
farther = "increases"
pins_below_first = ["9 mm"]
housing_below_pin = "23 mm"
elevation_click = "0.10 mm"

[archer]
tolerance = "3 in"

[air]
temperature = "15 °C"
pressure = "1013 hPa"
humidity = "50 %"
"""
# group, distance in yards, pin, arrows, how far off the true mark the sight stood in mm
SESSION = [
    ("1", 20, 1, 4, 0.6),
    ("2", 20, 1, 4, 0.1),
    ("3", 30, 1, 4, -0.3),
    ("4", 40, 1, 5, 0.4),
    ("5", 50, 1, 5, -0.2),
    ("6", 60, 1, 6, 0.2),
    ("7", 60, 2, 6, -0.3),
    ("8", 70, 1, 6, 0.1),
]
DISPERSION_RAD, WOBBLE_RAD = 0.55e-3, 0.12e-3


def true_bow() -> SightedBow:
    """The truth behind the sheet: a little slower, a little more drag, another peep height."""
    drag = drag_per_metre(1.2211, 2.3, 6.0e-3, 420.0 * GRAIN_KG)
    return SightedBow(
        speed_mps=275.6 * FOOT_M,
        drag_per_m=float(drag),
        peep_height_m=4.71 * INCH_M,
        launch_ahead_m=1.19,
        scale=Scale(-8.3e-3, 1.585 * 33.2 * INCH_M, 33.2 * INCH_M),
        windage_rad=0.35e-3,
        side_m=0.4e-3,
    )


def shots(rng: np.random.Generator) -> str:
    """The session's arrows as a file of shots."""
    bow = true_bow()
    rows = ["group,distance_yd,reading_mm,right_in,up_in,pin"]
    for group, yards, pin, arrows, off_mm in SESSION:
        distance = np.array([yards * YARD_M])
        aim = Aim(pin_below_m=9.1e-3 if pin == 2 else 0.0)
        reading = round(float(mark(bow, distance, aim)[0]) * 1e3 + off_mm, 1)
        truly = distance + rng.normal(0.0, 0.2 * YARD_M)
        right, up = impact(bow, truly, reading * 1e-3, aim)
        shift = rng.normal(0.0, WOBBLE_RAD, 2) * distance
        for _ in range(arrows):
            spread = rng.normal(0.0, DISPERSION_RAD, 2) * distance
            x, y = float(right[0] + shift[0] + spread[0]), float(up[0] + shift[1] + spread[1])
            rows.append(f"{group},{yards},{reading:.1f},{x / INCH_M:.2f},{y / INCH_M:.2f},{pin}")
    return "\n".join(rows) + "\n"


def main() -> None:
    """Write both files."""
    SAMPLE.mkdir(parents=True, exist_ok=True)
    (SAMPLE / "heron.toml").write_text(SHEET, encoding="utf-8")
    text = shots(np.random.default_rng(20))
    (SAMPLE / "heron-shots.csv").write_text(text, encoding="utf-8")


main()

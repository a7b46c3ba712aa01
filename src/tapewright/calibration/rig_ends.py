"""Rig ends: between which ends each number of a rig's records lies.

They catch a wrong unit or sign and are wider than what a sheet may say.

Holds:  amounts by record and field.
Never:  usual values (kinds.py), limits of what people type.
Source: common practice, no source.
"""

from tapewright.ground.checks import Amount

SPEED = Amount(5.0, 200.0, "metres a second", "84.7")
MASS = Amount(0.001, 0.2, "kilograms", "0.0272")
LENGTH = Amount(0.1, 2.0, "metres", "0.737")
READING = Amount(-1.0, 1.0, "metres", "0.0312")
AMOUNTS = {
    "Chronograph": {"at_m": Amount(0.0, 100.0, "metres", "0.91"), "arrow_mass_kg": MASS},
    "Rating": {
        "draw_weight_n": Amount(1.0, 2000.0, "newtons", "311.0"),
        "draw_length_m": LENGTH,
        "arrow_mass_kg": MASS,
    },
    "Bow": {
        "draw_weight_n": Amount(1.0, 2000.0, "newtons", "267.0"),
        "draw_length_m": LENGTH,
        "brace_height_m": Amount(0.01, 1.0, "metres", "0.165"),
        "least_arrow_mass_kg": MASS,
        "rest_ahead_m": Amount(-0.5, 0.5, "metres", "0.005"),
        "least_temperature_k": Amount(200.0, 320.0, "kelvins", "253.15"),
    },
    "Arrow": {
        "shaft_diameter_m": Amount(0.001, 0.03, "metres", "0.006"),
        "length_m": LENGTH,
        "vane_height_m": Amount(0.0, 0.2, "metres", "0.0114"),
        "blade_diameter_m": Amount(0.0, 0.5, "metres", "0.027"),
    },
    "Sight": {
        "housing_below_pin_m": Amount(0.0, 0.5, "metres", "0.023"),
        "clearance_reading_m": READING,
        "arrow_margin_m": Amount(0.0, 0.5, "metres", "0.006"),
        "elevation_click_m": Amount(1e-7, 0.05, "metres", "0.0001"),
        "windage_click_m": Amount(1e-7, 0.05, "metres", "0.0001"),
        "arm_length_m": Amount(0.005, 2.0, "metres", "0.15"),
        "arm_level_reading_m": READING,
    },
    "Archer": {
        "tolerance_m": Amount(1e-4, 2.0, "metres", "0.0762"),
        "distance_sd_m": Amount(1e-6, 50.0, "metres", "0.25"),
        "reading_sd_m": Amount(1e-9, 0.05, "metres", "0.0001"),
        "farthest_m": Amount(1.0, 500.0, "metres", "55.0"),
    },
}
BELIEFS = {
    "Bow": {"launch_speed_mps": SPEED},
    "Arrow": {"mass_kg": MASS, "drag_coefficient": Amount(0.05, 50.0, "", "2.1")},
    "Sight": {
        "peep_height_m": Amount(0.001, 0.5, "metres", "0.117"),
        "sight_radius_m": Amount(0.05, 3.0, "metres", "0.838"),
        "reading_per_travel": Amount(0.01, 100.0, "", "1.6"),
    },
    "Archer": {"dispersion_rad": Amount(1e-6, 0.2, "radians", "0.0006")},
}
PIN = Amount(1e-5, 0.5, "metres", "0.009")
# Where the distances of observations and marks may come from: as calibration/observation.py.
SOURCES = ("", "tape", "range finder", "pegs", "paces")

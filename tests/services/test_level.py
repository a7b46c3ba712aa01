import numpy as np
from exact_units import YARD_M
from sessions import groups, rig, truth_near

from tapewright.services.calibrate import calibrate
from tapewright.services.level import SideGroup, Tilts, find_tilt_misses

FAR_M = np.array([20, 40, 60]) * YARD_M


def test_a_test_made_from_tilts_gives_them_back():
    sheet = rig()
    answer = calibrate(sheet, groups(sheet, truth_near(sheet)), FAR_M, np.arange(10, 90) * YARD_M)
    tilts = Tilts(0.0, 0.0, np.radians(5.0), 0.0, 0.0, float(FAR_M[0]))
    misses = find_tilt_misses(answer, FAR_M, tilts).misses.travel_right_m
    test = tuple(
        SideGroup(float(far), 0.0, float(right), 200)
        for far, right in zip(FAR_M, misses, strict=True)
    )
    told = find_tilt_misses(answer, FAR_M, tilts, test).test
    assert told is not None
    lean, _ = told.tilts
    assert lean.low_rad < np.radians(5.0) < lean.high_rad
    assert lean.verdict == "tilted"

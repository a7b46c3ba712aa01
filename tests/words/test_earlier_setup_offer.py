"""What a calibration of long ago is worth, beside one carried over."""

import numpy as np
from sessions import groups, rig, truth_near
from written_out import IMPERIAL

from tapewright.services.calibrate import calibrate
from tapewright.words.earlier_setup_offer import back_json, back_words


def test_the_kept_band_stands_beside_the_one_carried_over():
    described = rig()
    shot = groups(described, truth_near(described))
    at_m, grid_m = np.array([18.288, 54.864]), np.arange(10, 91) * 0.9144
    kept = calibrate(described, shot, at_m, grid_m)
    wider = calibrate(described, shot[:2], at_m, grid_m)
    said = back_words(kept, wider, "type this", IMPERIAL)
    assert said.startswith(f"This set-up was calibrated before: {len(shot)} groups, ")
    assert f"calibration {kept.fingerprint}" in said
    own, carried = (float(part.split(" mm")[0]) for part in said.split("±")[1:3])
    assert 0.0 < own < carried
    assert "again as they were then, type this. Whatever was taken off" in said
    assert said.endswith("one near arrow first, then look.")
    written = back_json(kept, IMPERIAL)
    assert written["fingerprint"] == kept.fingerprint
    assert written["arrows"] == sum(one.group.arrows for one in shot)
    assert [one["distance_yd"] for one in written["marks"]] == [20, 60]

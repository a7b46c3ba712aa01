"""Hills: looked for where groups contradict each other, and found where they are."""

from dataclasses import replace

import numpy as np
from exact_units import YARD_M
from sessions import group, groups, rig, truth_near

from tapewright.calibration import hills
from tapewright.calibration.evidence import evidence_from
from tapewright.calibration.fit import settled
from tapewright.calibration.hills import hills_of, left_out
from tapewright.ground.errors import CalibrationFailed

FAR_YD = (20, 30, 40, 50, 60, 70)


def place(shots):
    evidence = evidence_from(rig(), shots)
    return settled(evidence, evidence.prior.mean.copy())


def with_one_wrong(off_m):
    sheet = rig()
    shots = list(groups(sheet, truth_near(sheet), FAR_YD, arrows=4))
    there = group(sheet, truth_near(sheet), 60 * YARD_M, 4, shots[4].reading_m + off_m, "5")
    shots[4] = replace(there, reading_m=shots[4].reading_m)
    return tuple(shots)


def test_a_wrong_group_is_a_hill_of_its_own_and_so_is_a_restless_archer():
    start = place(with_one_wrong(-12e-3))
    found = hills_of(start)
    assert len(found) == 5  # without each of the four oddest, and one where all scatter
    assert np.abs(left_out(start.evidence, start.vector)).max() > 2.3
    wobble_rad = np.exp([one.vector[-1] for one in found])
    assert wobble_rad.max() > 1e-3  # everything scatters
    assert wobble_rad.min() < 0.3e-3  # or one group is wrong
    without = min(found, key=lambda one: np.abs(one.vector - truth_near(rig()).vector)[:3].sum())
    misses = np.abs(left_out(start.evidence, without.vector))
    assert misses.argmax() == 4
    assert misses[4] > 10


def test_where_no_bow_is_found_there_is_no_hill(monkeypatch):
    start = place(with_one_wrong(-12e-3))
    turns = iter([CalibrationFailed("no", "no"), np.linalg.LinAlgError("no"), None, None, None])

    def once(*_):
        failing = next(turns)
        if failing is not None:
            raise failing
        return start

    monkeypatch.setattr(hills, "settled", once)
    assert hills_of(start) == (start,) * 3

from dataclasses import replace

import numpy as np
import pytest
from written_out import STANDARD_AIR

from tapewright.field.budget import Errors, Habits, miss_budget
from tapewright.flight.air import Air
from tapewright.sight.bow import SightedBow
from tapewright.sight.level import cant_miss, departure_height, peep_miss
from tapewright.sight.prediction import Aim, impact, mark
from tapewright.sight.scale import Scale

BOW = SightedBow(84.7, 0.0018, 0.117, 1.2, Scale(0.004, 1.34, 0.838))
HABITS = Habits(0.7e-3, 0.6e-3, 0.15e-3, 0.3e-3)
AT_M = 55.0


def budget(errors=None, distance_m=AT_M, habits=HABITS):
    return {
        share.name: share
        for share in miss_budget(BOW, STANDARD_AIR, distance_m, errors or Errors(), habits)
    }


def test_squares_add_up():
    found = budget()
    parts = [share for name, share in found.items() if name != "together"]
    together = found["together"]
    assert together.right_m == pytest.approx(np.sqrt(sum(one.right_m**2 for one in parts)))
    assert together.up_m == pytest.approx(np.sqrt(sum(one.up_m**2 for one in parts)))
    assert sum(one.saved for one in parts) == pytest.approx(1.0)
    assert together.saved == 1.0


def test_the_costliest_stands_first_and_the_sum_last():
    names = list(budget())
    assert names[-1] == "together"
    saved = [share.saved for share in budget().values()][:-1]
    assert saved == sorted(saved, reverse=True)
    assert next(iter(budget(Errors(distance_m=8.0)))) == "distance"


def test_each_error_is_what_the_forward_model_says():
    found, errors = budget(), Errors()
    at = np.array([AT_M])
    reading = mark(BOW, at)

    def up(bow=BOW, distance=at, **aim):
        return abs(float(impact(bow, distance, reading, Aim(**aim))[1][0]))

    # derivatives against whole steps: within 5 %
    assert found["distance"].up_m == pytest.approx(up(distance=at + 1.0), rel=0.05)
    faster = replace(BOW, speed_mps=BOW.speed_mps + errors.speed_mps)
    assert found["arrow speed"].up_m == pytest.approx(up(faster), rel=0.05)
    warmer = Air(STANDARD_AIR.temperature_k + 8.0, STANDARD_AIR.pressure_pa, 0.0)
    ratio = warmer.density_kg_m3 / STANDARD_AIR.density_kg_m3
    assert found["temperature"].up_m == pytest.approx(up(density_ratio=ratio), rel=0.05)
    climb, fall = (up(slope_rad=np.array([way * errors.slope_rad])) for way in (1, -1))
    assert found["slope"].up_m == pytest.approx(max(climb, fall))
    drift = impact(BOW, at, reading, Aim(crosswind_mps=np.array([1.0])))[0][0]
    assert found["wind"].right_m == pytest.approx(drift)
    canted = cant_miss(departure_height(BOW, at), errors.cant_rad)
    assert found["cant"].right_m == pytest.approx(canted[0][0])
    peep = float(peep_miss(AT_M, 0.838, errors.peep_m))
    assert (found["peep"].right_m, found["peep"].up_m) == pytest.approx((peep, peep))


def test_the_archers_own_numbers_scale_with_distance():
    found = budget()
    assert found["dispersion"].right_m == pytest.approx(AT_M * 0.7e-3)
    assert found["dispersion"].up_m == pytest.approx(AT_M * 0.6e-3)
    assert found["wobble"].up_m == pytest.approx(AT_M * 0.15e-3)
    slope = float(impact(BOW, [AT_M], mark(BOW, [AT_M]) + 0.3e-3)[1][0])
    assert found["tape"].up_m == pytest.approx(slope, rel=0.01)


def test_heat_at_the_edge_of_what_anybody_shoots_in_is_no_error():
    hot = Air(325.0, 101325.0, 0.2)
    assert miss_budget(BOW, hot, AT_M, Errors(), HABITS)[-1].up_m > 0

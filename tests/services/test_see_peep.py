"""What is seen of a rig's sight: from the sheet's sight radius, pins and kind of bow."""

import numpy as np
import pytest
from exact_units import YARD_M
from sessions import rig

from tapewright.calibration.rig import Belief, Bow
from tapewright.services.calibrate import calibrate
from tapewright.services.see_peep import View, see_peep

VIEW = View(4.8e-3, 45e-3, 0.48e-3, 3e-3, 0.09, 4e-3, (4e-3, 6e-3), (40e-3, 50e-3))
SIGHT = {
    "sight_radius_m": Belief(0.81, 0.01),
    "pins_below_first_m": (Belief(9e-3, 0.2e-3),),
}


def seen(kind=None):
    sheet = rig(SIGHT, bow=Bow(launch_speed_mps=Belief(84.7, 0.9), kind=kind))
    answer = calibrate(sheet, (), (18.0,), np.arange(10, 60) * YARD_M)
    return see_peep(answer, VIEW, (9.0, 18.0))


def test_through_a_peep():
    found = seen()
    assert found.has_peep
    assert found.fills_m == pytest.approx([40e-3, 60e-3])
    assert found.covered_m == pytest.approx([4.848e-3, 9.648e-3])
    assert found.framed_m == pytest.approx([0.4545, 0.9045])
    assert found.above_m == pytest.approx([4e-3, -5e-3])
    assert found.shift_m == pytest.approx([0.4e-3, -0.5e-3])
    assert found.cost_m[0] == pytest.approx([0.4e-3 * 8.19 / 0.81, 0.4e-3 * 17.19 / 0.81])
    assert found.drawing.startswith("<svg")
    assert found.drawn_from_m == 0.5


def test_without_a_peep_the_pupil_stands_where_the_peep_would():
    found = seen("recurve")
    assert not found.has_peep
    assert found.covered_m == pytest.approx([0.48e-3 * 9 / 0.81, 0.48e-3 * 18 / 0.81])
    assert np.isnan(found.seen_rad[0])
    assert found.fills_m.size == 0
    assert not found.shift_m.any()
    assert found.drawing == ""

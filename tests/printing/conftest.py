"""What tests of prints share: a bow with two pins, calibrated once."""

import numpy as np
import pytest
from exact_units import YARD_M
from sessions import groups, rig, truth_near

from tapewright.calibration.rig import Belief
from tapewright.services.calibrate import calibrate


@pytest.fixture(scope="session")
def answer():
    """A bow with two pins, calibrated from groups that an invented truth shot."""
    sheet = rig({"pins_below_first_m": (Belief(4e-3, 0.2e-3),)})
    shots = groups(sheet, truth_near(sheet))
    return calibrate(sheet, shots, (18.0,), np.arange(10, 60) * YARD_M)


@pytest.fixture(scope="session")
def unshot():
    """The same bow before its first arrow."""
    return calibrate(rig(), (), (18.0,), np.arange(10, 60) * YARD_M)

import numpy as np
import pytest
from exact_units import YARD_M
from sessions import groups, rig, truth_near
from told_by_hand import quiet_answer

from tapewright.calibration.rig import Belief
from tapewright.services.calibrate import calibrate


@pytest.fixture(scope="session")
def answer():
    """A bow with two pins, calibrated from groups that an invented truth shot."""
    sheet = rig({"pins_below_first_m": (Belief(4e-3, 0.2e-3),)})
    shots = groups(sheet, truth_near(sheet))
    return calibrate(sheet, shots, (18.0,), np.arange(10, 60) * YARD_M)


@pytest.fixture
def quiet():
    """An answer with two pins of which nothing is left to warn, for tables written out by hand."""
    return quiet_answer()

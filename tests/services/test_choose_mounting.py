"""Which mounting comes first, and what must be told before."""

import numpy as np
import pytest
from exact_units import YARD_M
from sessions import groups, rig, truth_near

from tapewright.ground.errors import BadInput
from tapewright.services.calibrate import calibrate
from tapewright.services.choose_mounting import Mounting, Seen, choose_mounting

WANTED = (25 * YARD_M, 50 * YARD_M)
LOOK = Seen(0.031, 5 * YARD_M, 4e-3)
ENDS = {"travel_ends_m": (0.028, 0.06)}


def answer(sight, *, shoot=True):
    sheet = rig(sight)
    shots = groups(sheet, truth_near(sheet)) if shoot else ()
    return calibrate(sheet, shots, (18.0,), np.arange(10, 60) * YARD_M)


@pytest.fixture(scope="module")
def shot():
    return answer(ENDS)


def test_of_those_that_hold_what_is_wanted_the_pin_farthest_forward_comes_first(shot):
    three = (Mounting(), Mounting(1, 2, ahead_m=0.025), Mounting(2, 1, up_m=0.03))
    found = choose_mounting(shot, three, WANTED, None, LOOK)
    assert [one.mounting for one in found.ranked] == [three[1], three[0], three[2]]
    assert found.best.mounting == three[1]
    assert found.now == three[0]
    assert found.seen is None  # arrows tell more
    assert choose_mounting(shot, three[1:], WANTED, None, None).now is None
    again = choose_mounting(shot, three, WANTED, None, None)
    assert again.best == found.best
    short = choose_mounting(shot, three, WANTED, (0.028, 0.05), None)
    assert short.best.farthest_m[0] < found.best.farthest_m[0]


def test_what_is_missing_is_named_with_its_mend(shot):
    with pytest.raises(BadInput, match=r"travel ends.*0, 85 mm"):
        choose_mounting(answer({}), (Mounting(),), WANTED, None, None)
    with pytest.raises(BadInput, match="housing_below_pin"):
        choose_mounting(shot, (Mounting(below_pin_m=0.02),), WANTED, None, None)
    unshot = answer(ENDS, shoot=False)
    with pytest.raises(BadInput, match="nocked arrow points"):
        choose_mounting(unshot, (Mounting(),), WANTED, None, None)
    assert choose_mounting(unshot, (Mounting(),), WANTED, None, LOOK).seen == LOOK

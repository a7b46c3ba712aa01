"""One set-up or another: bow, arrow, sight and hand decide."""

from dataclasses import replace

from tapewright.calibration.rig import Archer, Arrow, Belief, Bow, Rig, Sight
from tapewright.flight.air import Air
from tapewright.services.there_and_back import is_same_setup

RIG = Rig("Heron", Arrow(Belief(0.0272, 0.0001), 0.006), Bow(draw_weight_n=267.0), Sight())


def test_air_archer_and_name_may_differ():
    other = replace(
        RIG, name="Heron again", air=Air(275.0, 90000.0, 0.3), archer=Archer(tolerance_m=0.05)
    )
    assert is_same_setup(RIG, other)


def test_any_other_bow_arrow_sight_or_hand_is_another():
    assert not is_same_setup(RIG, replace(RIG, arrow=replace(RIG.arrow, shaft_diameter_m=0.0061)))
    assert not is_same_setup(RIG, replace(RIG, bow=Bow(draw_weight_n=262.0)))
    assert not is_same_setup(RIG, replace(RIG, sight=Sight(peep_height_m=Belief(0.12))))
    assert not is_same_setup(RIG, replace(RIG, hand="left"))

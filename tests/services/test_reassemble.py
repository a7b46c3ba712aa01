"""Re-assembly: what is moved and what it costs, and a near group judged by the rule of changes."""

from dataclasses import replace

import numpy as np
import pytest
from exact_units import YARD_M
from sessions import groups, rig, truth_near

from tapewright.calibration.rig import Belief
from tapewright.services.calibrate import calibrate
from tapewright.services.reassemble import reassemble
from tapewright.target.group import Group, Impact

AT_M = (18.288, 54.864)
NEAR_M = 10.0 * YARD_M
RECORDED = {
    "limbs.brace_height": Belief(0.165, 0.001), "string.nock_height": Belief(0.006, 0.0005),
    "string.peep_height": Belief(0.140, 0.001), "rest.side": Belief(0.02, 0.0003),
    "sight.hole": Belief(2.0),
}  # fmt: skip


@pytest.fixture(scope="module")
def before():
    sheet = rig()
    return calibrate(sheet, groups(sheet, truth_near(sheet)), (18.0,), np.arange(9, 80) * YARD_M)


@pytest.fixture(scope="module")
def near(before):
    """A near group of four that lies where it is foretold, or off by so much."""
    sheet = before.rig
    (shot,) = groups(sheet, truth_near(sheet), (10,))

    def off(right_m=0.0, up_m=0.0, missed=0):
        hits = [Impact(one.right_m + right_m, one.up_m + up_m) for one in shot.group.impacts]
        hits += [Impact(None, None, missed=True)] * missed
        return type(shot)(Group("near", tuple(hits)), shot.distance_m, shot.reading_m)

    return off


def test_nothing_measured_again_tells_what_each_thing_would_cost(before):
    found = reassemble(before, RECORDED, None, (), AT_M)
    assert found.deviations == ()
    assert [one.deviation.name for one in found.at_risk] == list(RECORDED)
    assert [one.risk is None for one in found.at_risk] == [False, False, False, False, True]
    assert found.together is None
    assert (found.near.verdict, found.near.from_m) == ("shoot", pytest.approx(NEAR_M))


def test_only_what_is_moved_puts_marks_at_risk_alone_and_together(before):
    again = RECORDED | {"string.peep_height": Belief(0.130), "limbs.brace_height": Belief(0.173)}
    found = reassemble(before, RECORDED, again, (), AT_M)
    assert [one.name for one in found.moved] == ["limbs.brace_height", "string.peep_height"]
    brace, peep = found.at_risk
    assert found.together.up_m == pytest.approx(brace.risk.up_m + peep.risk.up_m, rel=0.01)
    assert (peep.risk.up_m < -0.1).all()


def test_a_near_group_where_it_is_foretold_is_as_before(before, near):
    found = reassemble(before, RECORDED, RECORDED, (near(),), AT_M)
    assert found.moved == ()
    assert found.near.verdict == "as before"
    assert abs(found.near.up_m) < 0.006


def test_a_near_group_of_another_point_says_nothing(before, near):
    broad = replace(near(right_m=0.06), head="broadhead")
    assert reassemble(before, RECORDED, None, (broad,), AT_M).near.verdict == "shoot"
    both = reassemble(before, RECORDED, None, (near(), broad), AT_M)
    assert both.near.verdict == "as before"


def test_one_that_lies_low_names_what_would_do_it(before, near):
    found = reassemble(before, RECORDED, None, (near(up_m=-0.05),), AT_M)
    assert (found.near.verdict, found.near.is_sideways) == ("moved", False)
    assert found.near.up_m == pytest.approx(-0.05, abs=0.006)
    peep = next(one for one in found.near.would if one.name == "string.peep_height")
    # Similar triangles: the eye lower by 50 mm over 9.144/0.838 − 1, the string slants 117 in 140
    assert peep.is_signed
    assert peep.by == pytest.approx(-0.05 / (9.144 / 0.8382 - 1.0) * 0.140 / 0.1168, rel=0.15)
    assert not {one.name for one in found.near.would} & {"rest.side", "sight.hole"}


def test_what_is_moved_already_is_looked_at_first(before, near):
    again = RECORDED | {"string.nock_height": Belief(0.009)}
    found = reassemble(before, RECORDED, again, (near(up_m=0.05),), AT_M)
    assert found.near.would[0].name == "string.nock_height"
    assert not found.near.would[0].is_signed


def test_one_that_lies_to_the_side_is_the_rest_s(before, near):
    found = reassemble(before, RECORDED, None, (near(right_m=0.06),), AT_M)
    assert (found.near.verdict, found.near.is_sideways) == ("moved", True)
    assert [one.name for one in found.near.would] == ["rest.side"]


def test_arrows_past_the_butt_send_nearer_and_a_bow_never_shot_has_no_before(before, near):
    past = near(missed=9)
    found = reassemble(before, RECORDED, None, (past,), AT_M)
    assert found.near.verdict == "missed"
    assert found.near.from_m < NEAR_M
    fresh = calibrate(rig(), (), (18.0,), np.arange(9, 40) * YARD_M)
    assert reassemble(fresh, RECORDED, None, (), (18.0,)).near.verdict == "unknown"

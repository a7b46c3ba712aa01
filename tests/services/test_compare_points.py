"""What is told of broadheads: the verdict, how far they are trusted, and the next pair."""

from dataclasses import replace

import numpy as np
import pytest
from exact_units import YARD_M
from sessions import group, groups, rig, truth_near

from tapewright.calibration.rig import Belief
from tapewright.ground.errors import BadInput, Withheld
from tapewright.services.calibrate import calibrate
from tapewright.services.change_rig import change_rig
from tapewright.services.compare_points import Butt, compare_points
from tapewright.services.record_groups import past_butt
from tapewright.target.group import Group

SHEET = rig()
TRUTH = truth_near(SHEET)
GRID_M = np.arange(10, 61) * YARD_M
CLIMBED = (10, 15, 22, 30, 45, 60)
BUTT = Butt(1.0, 1.0)


def pair(yards, right=0.0, up=0.0):
    """Six field points, and six broadheads moved by angles [mrad]."""
    one = group(SHEET, TRUTH, yards * YARD_M, 6, name=f"f{yards}", head="field")
    one = replace(one, reading_m=round(one.reading_m, 4))
    by = 1e-3 * yards * YARD_M
    right, up = right + 0.05, up + 0.05  # none of them is the same arrow twice
    hits = tuple(
        replace(hit, right_m=hit.right_m + right * by, up_m=hit.up_m + up * by)
        for hit in one.group.impacts
    )
    return one, replace(one, group=Group(f"b{yards}", hits), head="broadhead")


def told(*pairs, blades_m=0.03, wanted_yd=60, butt=BUTT, sheet=SHEET):
    shots = (*groups(SHEET, TRUTH, arrows=6), *(one for both in pairs for one in both))
    answer = calibrate(sheet, shots, GRID_M, GRID_M)
    return compare_points(answer, GRID_M[::10], wanted_yd * YARD_M, butt, YARD_M, blades_m)


def test_before_the_first_broadhead_nothing_is_trusted_and_ten_yards_come_first():
    found = told()
    assert (found.verdict, found.trusted_m, found.is_new, found.checks) == ("more", 0.0, True, ())
    assert found.next.distance_m == pytest.approx(10 * YARD_M)
    assert (found.next.broadheads, found.next.field_points) == (4, 4)
    assert found.more % 4 == 0
    assert not found.asks_blades
    unknown = told(blades_m=None)
    assert unknown.asks_blades
    assert unknown.next is None
    begun = told(pair(10), blades_m=None)  # the farther, the nearer the housing comes to them
    assert (begun.asks_blades, begun.next) == (True, None)
    narrow = told(butt=Butt(0.02, 0.02))
    assert narrow.next is None


def test_alike_they_take_the_same_marks_as_far_as_they_were_shot():
    half = told(*map(pair, CLIMBED[:4]))
    assert half.verdict == "same"
    assert half.trusted_m == pytest.approx(30 * YARD_M)
    assert half.next.distance_m == pytest.approx(45 * YARD_M)
    whole = told(*map(pair, CLIMBED))
    assert (whole.verdict, whole.next, whole.more, whole.odd) == ("same", None, 0, ())
    assert whole.trusted_m == pytest.approx(60 * YARD_M)
    assert abs(whole.at_wanted.right_m[0]) < 0.02
    assert whole.alone == ()


def test_lower_they_take_marks_of_their_own():
    found = told(*(pair(yards, up=-1.8) for yards in CLIMBED))
    assert found.verdict == "own"
    assert found.trusted_m == pytest.approx(60 * YARD_M)
    assert found.at_wanted.up_m[0] == pytest.approx(-1.8e-3 * 60 * YARD_M, abs=0.02)
    # farther is more on this sheet, and what flies low is dialled as if it were farther
    assert (found.own.reading_m > found.field.reading_m + 1e-3).all()


def test_to_a_side_the_bow_is_tuned_first_and_nothing_is_shot_on():
    found = told(*(pair(yards, right=-1.8) for yards in CLIMBED[:3]))
    assert (found.verdict, found.trusted_m, found.next) == ("tune", 0.0, None)
    assert found.at_wanted.right_m[0] == pytest.approx(-1.8e-3 * 60 * YARD_M, abs=0.03)


def test_field_points_beside_them_may_be_missing_which_is_told():
    field, broad = pair(10)
    found = told((field, broad), (pair(15)[1],))
    assert found.alone == ("b15",)
    beside = found.next  # which comes first
    assert (beside.broadheads, beside.field_points) == (0, 4)
    assert beside.distance_m == pytest.approx(15 * YARD_M)
    assert beside.reading_m == pair(15)[1].reading_m


def test_field_points_go_no_farther_beside_broadheads_than_their_own_rule_opens():
    broad = pair(15)[1]
    field = tuple(one for one in groups(SHEET, TRUTH, arrows=6) if one.distance_m < 25 * YARD_M)
    for last in (
        replace(broad, distance_m=55 * YARD_M),  # field points have hit 20 yd: 30 are open
        replace(broad, reading_m=broad.reading_m + 0.06),  # 0.6 m from the middle of the butt
        replace(broad, pin=2),  # 4 mm below the first: whose mark nobody is told
    ):
        sheet = replace(SHEET, sight=replace(SHEET.sight, pins_below_first_m=(Belief(4e-3, 1e-4),)))
        answer = calibrate(sheet, (*field, last), GRID_M, GRID_M)
        found = compare_points(answer, GRID_M[::10], 60 * YARD_M, BUTT, YARD_M, 0.03)
        assert found.alone == ("b15",)
        assert found.next is None or found.next.broadheads == 4, last


def test_broadheads_move_no_mark_and_leave_the_fingerprint():
    shots = groups(SHEET, TRUTH, arrows=6)
    alone = calibrate(SHEET, shots, GRID_M, GRID_M)
    with_them = calibrate(SHEET, (*shots, pair(10, up=-3.0)[1]), GRID_M, GRID_M)
    assert (with_them.bands.reading_m == alone.bands.reading_m).all()
    assert with_them.fingerprint == alone.fingerprint
    assert [one.group.name for one in with_them.others] == ["b10"]


def test_one_past_the_butt_is_shot_again_from_nearer():
    gone = replace(pair(15)[1], group=Group("b15", (past_butt(4),)))
    found = told(pair(10), (gone,))
    assert found.trusted_m <= 10 * YARD_M + 1e-6
    assert found.next.distance_m <= 10 * YARD_M + 1e-6


def test_what_cannot_be_told_is_refused_with_its_mend():
    few = calibrate(SHEET, (), GRID_M, GRID_M)
    with pytest.raises(BadInput, match="field points first"):
        compare_points(few, GRID_M, 40.0, BUTT, YARD_M, 0.03)
    with pytest.raises(BadInput, match="that of a broadhead already"):
        told(sheet=replace(SHEET, arrow=replace(SHEET.arrow, point="broadhead")))
    short = replace(SHEET, bow=replace(SHEET.bow, rest_ahead_m=0.1, draw_length_m=0.74))
    short = replace(short, arrow=replace(short.arrow, length_m=0.735))
    answer = replace(calibrate(SHEET, (), GRID_M, GRID_M), rig=short)
    with pytest.raises(Withheld):
        compare_points(answer, GRID_M, 40.0, BUTT, YARD_M, 0.03)


def test_a_change_to_broadheads_trusts_nothing_and_then_no_farther_than_they_hit():
    shots = groups(SHEET, TRUTH, arrows=6)
    old = calibrate(SHEET, shots, GRID_M[:1], GRID_M)
    arrow = replace(SHEET.arrow, point="broadhead", blade_diameter_m=0.03)
    rig_now = replace(SHEET, arrow=arrow)
    assert old.trusted_m[0] == pytest.approx(60 * YARD_M)
    new = change_rig(old, rig_now, (), GRID_M, BUTT)
    assert new.to_broadheads
    assert (new.new.trusted_m[0], new.new.is_earned) == (0.0, False)
    assert new.steps[0].distance_m <= 10 * YARD_M + 1e-6
    near = replace(pair(10)[1], head="")
    after = change_rig(old, rig_now, (near,), GRID_M, BUTT)
    assert after.new.trusted_m[0] == pytest.approx(10 * YARD_M)
    other = replace(SHEET, arrow=replace(arrow, blade_diameter_m=0.036))
    far = tuple(replace(pair(one)[1], head="") for one in (12, 20, 40, 60))
    hunted = change_rig(old, rig_now, far, GRID_M, BUTT).new
    assert hunted.trusted_m[0] == pytest.approx(60 * YARD_M)
    blades = change_rig(hunted, other, (near,), GRID_M, BUTT)  # of another size: as the first ones
    assert blades.to_broadheads
    assert blades.new.trusted_m[0] == pytest.approx(10 * YARD_M)
    assert blades.new.ladder.farthest_m == pytest.approx(15 * YARD_M)
    same = replace(rig_now, arrow=replace(arrow, vane_height_m=0.011))
    assert not change_rig(hunted, same, (), GRID_M, BUTT).to_broadheads
    field = replace(SHEET, arrow=replace(SHEET.arrow, vane_height_m=0.011))
    assert not change_rig(old, field, (), GRID_M, BUTT).to_broadheads


def test_broadheads_shot_far_colder_tell_nothing_beside_field_points_of_home():
    """The sheet's air less 20 K; the same blades at home are told as without them."""
    field, blades = pair(20, up=-8.0)
    air = replace(SHEET.air, temperature_k=SHEET.air.temperature_k - 20.0)
    cold = replace(blades, air=air, group=Group("cold", blades.group.impacts))
    home = told(pair(10))
    both = told(pair(10), (replace(field, air=air), cold))
    assert both.elsewhere == ("cold",)
    assert both.alone == ()
    assert [one.name for one in both.checks] == ["b10"]
    assert both.at_wanted.up_m == pytest.approx(home.at_wanted.up_m)
    assert home.elsewhere == ()

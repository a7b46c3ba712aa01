from dataclasses import replace

import numpy as np
import pytest
from exact_units import FOOT_M, YARD_M
from faults import USUAL
from sessions import group, groups, moved, rig, truth_near

from tapewright.calibration.fit import fit_bow
from tapewright.calibration.rig import Belief
from tapewright.confidence.bands import drawn_marks
from tapewright.confidence.diagnosis import Cause, Verdict, prove
from tapewright.confidence.posterior import draw_posterior
from tapewright.ground.errors import LaunchUnreachable
from tapewright.sight.level import swung_level_cant
from tapewright.sight.prediction import Aim, impact, mark
from tapewright.target.group import Impact

FAMILIES = {"span": "far marks", "drag or air": "far marks"}  # alike, but for still farther groups

ALIKE = dict.fromkeys(("span", "drag or air", "speed"), ("far marks", "speed"))

PROVED_YD = (20, 40, 60, 80)
TRIED_M = np.arange(10, 101, 10) * YARD_M
SIDEWAYS = ("windage", "sideways", "wind or cant", "third axis")
# of so much, in usual sizes, that each is plain to see
PLAIN = dict.fromkeys(USUAL, 2.0) | {"wind or cant": 3.0, "third axis": 4.0}


def drawn(sheet, shots):
    return draw_posterior(fit_bow(sheet, shots), np.random.default_rng(1))


@pytest.fixture(scope="module", params=["increases", "decreases"])
def calibrated(request):
    sheet = rig({"farther": request.param, "pins_below_first_m": (Belief(9e-3, 0.2e-3),)})
    truth = truth_near(sheet)
    return sheet, truth, drawn(sheet, groups(sheet, truth, (20, 30, 45, 60, 75, 80), arrows=6))


def tape(sheet, truth, posterior, slopes_rad=(0, 0, 0, 0), pin=1, arrows=6):
    """A proving session dialled by the tape, where the calibration's own middle puts it."""
    shots = []
    for place, (yards, slope) in enumerate(zip(PROVED_YD, slopes_rad, strict=True)):
        marks = drawn_marks(posterior, [yards * YARD_M], pin, Aim(slope_rad=slope))
        shot = group(sheet, truth, yards * YARD_M, arrows, float(np.median(marks)), str(place),
                     pin=pin, slope_rad=slope)  # fmt: skip
        shots.append(shot)
    return tuple(shots)


SLOPES = np.radians([0, 20, -20, 20])


def effect(truth, shots, name, size):
    """By how much a cause moves each group, made in the forward model by moving the bow."""
    bow = truth.unknowns.bow(truth.vector)
    distance = np.array([one.distance_m for one in shots])
    reading = np.array([one.reading_m for one in shots])
    slope = np.array([one.slope_rad for one in shots])
    below = truth.unknowns.pin_below(truth.vector, np.array([one.pin for one in shots]))
    aim = Aim(slope_rad=slope, pin_below_m=below)
    before = np.stack(impact(bow, distance, reading, aim))
    scale = bow.scale
    if name == "zero":
        slid = scale.zero_reading_m - scale.reading_per_tangent_m * size
        bow = replace(bow, scale=replace(scale, zero_reading_m=slid))
    elif name == "height":
        bow = replace(bow, peep_height_m=bow.peep_height_m - size)
    elif name == "span":
        near, far = mark(bow, np.array([20, 60]) * YARD_M)
        first = reading + scale.reading_per_tangent_m * below / scale.sight_radius_m
        reading = reading - (first - near) / abs(far - near) * size
    elif name == "drag or air":
        aim = replace(aim, density_ratio=np.exp(size))
    elif name == "speed":
        bow = replace(bow, speed_mps=bow.speed_mps * np.exp(size))
    elif name == "one distance":
        distance = distance + size * (distance == distance[2])
    elif name == "windage":
        bow = replace(bow, windage_rad=bow.windage_rad + size)
    elif name == "sideways":
        bow = replace(bow, side_m=bow.side_m + size)
    else:
        # turned about the line of sight: what the arrow fell goes aside
        line = replace(bow, speed_mps=2e4 * np.ones(1), drag_per_m=1e-9 * np.ones(1))
        fall = impact(line, distance, reading, aim)[1] - before[1]
        turn = np.full_like(fall, size)
        if name == "third axis":
            turn = swung_level_cant(size, slope)
        return np.stack([fall * np.sin(turn), fall * (np.cos(turn) - 1.0)], axis=1)
    return (np.stack(impact(bow, distance, reading, aim)) - before).T


def with_fault(calibrated, name, size, pin=1):
    sheet, truth, posterior = calibrated
    shots = tape(sheet, truth, posterior, SLOPES if name == "third axis" else (0,) * 4, pin)
    return posterior, moved(shots, effect(truth, shots, name, size))


def test_nothing_wrong_is_said_to_be_nothing(calibrated):
    sheet, truth, posterior = calibrated
    verdict = prove(posterior, tape(sheet, truth, posterior), TRIED_M)
    assert verdict.causes[0].name == "nothing"
    assert verdict.families[0][0] == "nothing"
    assert verdict.is_the_tapes
    # only a wrong peg stays possible, and no group elsewhere can tell that
    assert [name for name, _ in verdict.rivals] == ["one distance"]
    assert verdict.telling_m is None
    assert sum(one.odds for one in verdict.causes) == pytest.approx(1.0)
    assert sum(odds for _, odds in verdict.families) == pytest.approx(1.0)
    for one in verdict.proofs:
        assert abs(one.miss_up_m) < 2 * one.doubt_up_m
        assert abs(one.miss_right_m) < 2 * one.doubt_right_m


@pytest.mark.parametrize("sign", [1, -1])
@pytest.mark.parametrize("name", USUAL)
def test_one_plain_cause_is_found_with_its_size(calibrated, name, sign):
    size = sign * PLAIN[name] * USUAL[name]
    posterior, shots = with_fault(calibrated, name, size)
    verdict = prove(posterior, shots, TRIED_M)
    assert verdict.families[0][0] == FAMILIES.get(name, name)
    odds = dict(verdict.families)
    # another speed is a strip and a zero: it is kept beside both far marks
    assert sum(odds[one] for one in ALIKE.get(name, (name,))) > 0.8
    found = next(one for one in verdict.causes if one.name == name)
    # its band reaches a little farther than 90 %: the usual sizes pull large ones down
    reach = 1.5 * (found.high - found.low)
    assert found.low - reach < size < found.high + reach
    assert np.sign(found.size) == sign
    if name == "one distance":
        assert found.group == 2


@pytest.mark.parametrize("name", ["zero", "span", "windage"])
def test_a_cause_is_found_with_the_second_pin(calibrated, name):
    size = PLAIN[name] * USUAL[name]
    posterior, shots = with_fault(calibrated, name, size, pin=2)
    verdict = prove(posterior, shots)
    assert verdict.families[0][0] == FAMILIES.get(name, name)


@pytest.mark.parametrize("name", ["zero", "one distance", "wind or cant"])
def test_the_order_of_groups_does_not_matter(calibrated, name):
    posterior, shots = with_fault(calibrated, name, PLAIN[name] * USUAL[name])
    one, other = prove(posterior, shots, TRIED_M), prove(posterior, shots[::-1], TRIED_M)
    assert one.families[0][0] == other.families[0][0]
    for (family, odds), (again, same) in zip(one.families, other.families, strict=True):
        assert family == again
        assert odds == pytest.approx(same, abs=1e-6)
    assert one.telling_m == other.telling_m


def halved(shots, axis):
    kept = {
        "up": lambda hit: Impact(None, hit.up_m),
        "right": lambda hit: Impact(hit.right_m, None),
    }
    return tuple(
        replace(one, group=replace(one.group, impacts=tuple(map(kept[axis], one.group.impacts))))
        for one in shots
    )


@pytest.mark.parametrize(("axis", "name"), [("up", "zero"), ("right", "windage")])
def test_one_axis_alone_is_enough(calibrated, axis, name):
    posterior, shots = with_fault(calibrated, name, PLAIN[name] * USUAL[name])
    verdict = prove(posterior, halved(shots, axis), TRIED_M)
    assert verdict.causes[0].name == name
    names = {one.name for one in verdict.causes}
    assert not names & (set(SIDEWAYS) if axis == "up" else set(USUAL) - set(SIDEWAYS))
    for one in verdict.proofs:
        assert np.isnan(one.miss_right_m if axis == "up" else one.miss_up_m)


def test_a_third_axis_is_looked_for_on_slopes_only(calibrated):
    sheet, truth, posterior = calibrated
    level = prove(posterior, tape(sheet, truth, posterior))
    assert "third axis" not in {one.name for one in level.causes}
    steep = prove(posterior, tape(sheet, truth, posterior, SLOPES))
    assert "third axis" in {one.name for one in steep.causes}


def test_groups_at_one_peg_share_its_error(calibrated):
    sheet, truth, posterior = calibrated
    shots = tape(sheet, truth, posterior)
    far = shots[-1]
    again = tuple(replace(far, group=replace(far.group, name=f"far {place}")) for place in range(4))
    high = [(0.0, 0.0)] * 3 + [(0.0, -0.35)] * 5
    verdict = prove(posterior, moved((*shots, *again), high), TRIED_M)
    # five groups at one wrong peg are one wrong peg, not five groups that speak for another cause
    assert verdict.causes[0].name == "one distance"
    assert verdict.causes[0].group == 3
    assert len([one for one in verdict.causes if one.name == "one distance"]) == len(PROVED_YD)


def test_a_stated_distance_error_is_taken():
    sheet = rig(archer={"distance_sd_m": 0.01})
    truth = truth_near(sheet)
    sure = drawn(sheet, groups(sheet, truth, (20, 45, 60, 80), arrows=6))
    sheet = rig()
    unsure = drawn(sheet, groups(sheet, truth, (20, 45, 60, 80), arrows=6))
    doubts = [prove(one, tape(sheet, truth, one)).proofs[-1].doubt_up_m for one in (sure, unsure)]
    assert doubts[0] < doubts[1]


def test_a_bare_mark_can_prove(calibrated):
    sheet, truth, posterior = calibrated
    shots = tape(sheet, truth, posterior)
    marks = tuple(
        replace(one, group=replace(one.group, impacts=(Impact(0.004 * one.distance_m, 0.0, 3),)))
        for one in shots
    )
    assert prove(posterior, marks).causes[0].name == "windage"


def test_the_telling_shot_is_where_two_causes_part(calibrated):
    posterior, shots = with_fault(calibrated, "zero", 1.2e-3)
    far_out = prove(posterior, shots[2:], TRIED_M)
    names = {one for one, _ in far_out.families[:2]}
    # two far groups cannot tell an angle from a slower arrow: a near one does
    assert names == {"zero", "speed"}
    assert far_out.telling_m == TRIED_M[0]
    assert prove(posterior, shots[2:]).telling_m is None  # nowhere to shoot


def test_causes_along_different_axes_need_no_telling_shot(calibrated):
    sheet, truth, posterior = calibrated
    shots = tape(sheet, truth, posterior)
    verdict = prove(posterior, moved(shots, [(0.034, 0.028)] * 4), TRIED_M)
    assert [name for name, _ in (verdict.families[0], *verdict.rivals)] == ["sideways", "speed"]
    assert verdict.telling_m is None


def test_an_arrow_that_cannot_get_there_is_refused(calibrated):
    sheet, truth, _ = calibrated
    slow = replace(sheet, bow=replace(sheet.bow, launch_speed_mps=Belief(60 * FOOT_M, 1 * FOOT_M)))
    lame = drawn(slow, ())
    steep = (replace(group(sheet, truth, 40 * YARD_M), slope_rad=1.0),)
    with pytest.raises(LaunchUnreachable):
        prove(lame, steep, ends_m=(8.0, 16.0))


def test_windage_that_is_told_with_a_proof_is_no_fault(calibrated):
    sheet, truth, posterior = calibrated
    radius_m = posterior.calibration.evidence.prior.unknowns.sight_radius_m
    shots = tape(sheet, truth, posterior)
    # turned by 2 mrad to the right between the second and third group: the pin went left
    turned = moved(
        shots, [(0.0 if i < 2 else 2e-3 * one.distance_m, 0.0) for i, one in enumerate(shots)]
    )
    told = tuple(
        replace(one, windage_m=0.0 if i < 2 else -2e-3 * radius_m) for i, one in enumerate(turned)
    )
    assert prove(posterior, told).causes[0].name == "nothing"
    assert prove(posterior, turned).causes[0].name != "nothing"
    wrong = tuple(replace(one, windage_m=-one.windage_m) for one in told)
    assert prove(posterior, wrong).causes[0].name != "nothing"


def test_a_proof_by_paces_says_little_against_a_tape(calibrated):
    sheet, truth, posterior = calibrated
    shots = tape(sheet, truth, posterior)
    paced = tuple(replace(one, distances="paces") for one in shots)
    plain, doubted = prove(posterior, shots).proofs, prove(posterior, paced).proofs
    # a path falls by 8 % at 80 yd: 3 % of the distance are 17 cm
    assert doubted[-1].doubt_up_m > 2 * plain[-1].doubt_up_m
    assert doubted[-1].doubt_up_m > 0.1
    assert doubted[-1].doubt_right_m == pytest.approx(plain[-1].doubt_right_m, rel=0.05)


def test_rivals_are_what_stays_possible_and_none_is_beside_nothing_that_is_sure():
    def rivals(*odds):
        causes = zip(("nothing", "span", "drag or air", "zero"), odds, strict=True)
        return Verdict((), tuple(Cause(*one) for one in causes), None).rivals

    assert rivals(0.81, 0.1, 0.05, 0.04) == ()
    assert rivals(0.7, 0.14, 0.12, 0.04) == (("far marks", pytest.approx(0.26)),)
    assert rivals(0.06, 0.04, 0.0, 0.9) == (("nothing", 0.06),)

from dataclasses import replace

import numpy as np
import pytest
from exact_units import YARD_M
from sessions import group, groups, rig, truth_near
from written_out import IMPERIAL

from tapewright.ground.errors import BadInput
from tapewright.services.advise import Butt, PlanOrder, Wish, plan_shots
from tapewright.services.calibrate import calibrate
from tapewright.services.prove import accept_proof, distances_left, joined_groups, prove_tape
from tapewright.target.group import Impact
from tapewright.words.cautions import caution_words

GRID_M = np.arange(10, 126) * YARD_M
ASKED_M = np.arange(20, 81, 20) * YARD_M
ENDS_M = (20 * YARD_M, 60 * YARD_M)
TRIED_M = np.arange(10, 101, 10) * YARD_M


@pytest.fixture(scope="module", params=["increases", "decreases"])
def answer(request):
    clicks = {"elevation_click_m": 0.1e-3, "windage_click_m": 0.05e-3}
    sheet = rig({"farther": request.param, **clicks})
    shots = groups(sheet, truth_near(sheet), arrows=6)
    return calibrate(sheet, shots, ASKED_M, GRID_M)


def shot(answer, right_rad=0.0, up_rad=0.0):
    truth = truth_near(answer.rig)
    session = []
    for place, (distance_m, reading_m) in enumerate(
        zip(ASKED_M, answer.bands.reading_m, strict=True), 1
    ):
        # arrows of their own: hits that stand in the calibration, too, would be refused
        one = group(
            answer.rig, truth, distance_m, 6, float(reading_m), str(place), spread_rad=0.58e-3
        )
        impacts = tuple(
            Impact(hit.right_m + right_rad * distance_m, hit.up_m + up_rad * distance_m)
            for hit in one.group.impacts
        )
        session.append(replace(one, group=replace(one.group, impacts=impacts)))
    return tuple(session)


def test_a_good_tape_has_no_cause_and_no_mend(answer):
    found = prove_tape(answer, shot(answer), TRIED_M, ENDS_M)
    assert found.cause is None
    assert found.mend.reading_m is None
    assert (found.clicks, found.right_clicks) == (None, None)
    assert found.spread.dispersion_rad.value == pytest.approx(0.6e-3, rel=0.2)


def test_broadheads_prove_no_tape_of_field_points(answer):
    own = shot(answer)
    low = tuple(replace(one, head="broadhead") for one in shot(answer, up_rad=-4e-3))
    found = prove_tape(answer, (*own, *low), TRIED_M, ENDS_M)
    assert (found.cause, found.shot) == (None, own)
    with pytest.raises(BadInput, match="another point than the tape"):
        prove_tape(answer, low, TRIED_M, ENDS_M)


def test_a_moved_zero_asks_for_clicks(answer):
    found = prove_tape(answer, shot(answer, up_rad=2e-3), TRIED_M, ENDS_M)
    assert found.cause.name == "zero"
    gain_m = 1.6 * 33 * 0.0254
    assert abs(found.clicks) == pytest.approx(2e-3 * gain_m / 0.1e-3, rel=0.15)
    toward_near = -1 if answer.rig.sight.farther == "increases" else 1
    assert np.sign(found.clicks) == toward_near
    assert found.mend.pin_up == 1
    assert found.right_clicks is None


def test_windage_asks_for_clicks_of_its_own(answer):
    found = prove_tape(answer, shot(answer, right_rad=-2e-3), TRIED_M, ENDS_M)
    assert found.cause.name == "windage"
    assert found.mend.pin_right_m < 0
    assert found.right_clicks == pytest.approx(-2e-3 * 33 * 0.0254 / 0.05e-3, abs=4)
    assert found.clicks is None


def test_the_spans_of_three_strips_are_told(answer):
    less, same, more = prove_tape(answer, shot(answer), TRIED_M, ENDS_M).lengths_m
    assert less < same < more


def test_names_stay_unique_when_groups_are_joined(answer):
    joined = joined_groups(answer.observations, shot(answer))
    names = [one.group.name for one in joined]
    assert len(set(names)) == len(names)
    assert names[: len(answer.observations)] == [one.group.name for one in answer.observations]
    assert "1 proof" in names
    twice = joined_groups(joined, shot(answer))
    assert "1 proof1" in [one.group.name for one in twice]
    other = tuple(replace(one, group=replace(one.group, name="x" + one.group.name))
                  for one in shot(answer))  # fmt: skip
    assert joined_groups(answer.observations, other)[-1].group.name == "x4"


def test_accepting_a_proof_refits_with_all_arrows(answer):
    found = prove_tape(answer, shot(answer), TRIED_M, ENDS_M)
    accepted = accept_proof(found, GRID_M)
    assert len(accepted.answer.observations) == len(answer.observations) + len(ASKED_M)
    assert accepted.answer.fingerprint != answer.fingerprint
    assert accepted.answer.trusted_m[0] >= answer.trusted_m[0]
    # balanced arrows on a good tape move nothing that a band would show
    widths = answer.bands.high_m - answer.bands.low_m
    assert (np.abs(accepted.moved_m) < 0.5 * widths).all()


def test_a_proof_taken_in_counts_with_the_odds_of_two_bows(answer):
    found = prove_tape(answer, shot(answer), TRIED_M, ENDS_M)
    taken = accept_proof(found, GRID_M).answer
    assert all(one.proved for one in taken.observations[-len(ASKED_M) :])
    assert 0.0 < taken.two_bows_odds < 0.4
    assert answer.two_bows_odds == 0.0


def test_arrows_of_two_bows_taken_in_all_the_same_lose_their_trust(answer):
    high = joined_groups(answer.observations, shot(answer, up_rad=2e-3))
    doubted = calibrate(answer.rig, high, ASKED_M, GRID_M)
    plain = tuple(replace(one, proved=False) for one in high)
    blind = calibrate(answer.rig, plain, ASKED_M, GRID_M)
    assert doubted.two_bows_odds > 0.9
    assert (doubted.bands.reading_m == blind.bands.reading_m).all()  # no mark moves
    assert doubted.trusted_m[0] < 0.8 * blind.trusted_m[0]
    told = next(one for one in doubted.cautions if one.kind == "two bows")
    assert told.subject == "zero"
    wanted = PlanOrder(95 * YARD_M, Wish(0.0762, Butt(3.0, 3.0)), 60, (95 * YARD_M,))
    assert plan_shots(doubted, wanted).trusted_m == doubted.trusted_m[0]
    assert plan_shots(blind, wanted).trusted_m == blind.trusted_m[0]
    words = caution_words(told, doubted, IMPERIAL)
    assert words == (
        "Something may have changed between the arrows taken in from a proof and those before "
        "(the zero), odds over 99 %. The trusted distance allows for it; prove the tape once more."
    )
    assert not [one for one in blind.cautions if one.kind == "two bows"]


def test_what_the_equipment_missed_is_not_taken_in(answer):
    for turned, words in (({"up_rad": 2e-3}, "zero"), ({"right_rad": 2e-3}, "windage")):
        found = prove_tape(answer, shot(answer, **turned), TRIED_M, ENDS_M)
        with pytest.raises(BadInput, match=f"{words}.* between two bows"):
            accept_proof(found, GRID_M)


def test_one_group_beside_one_of_the_same_name_gets_another(answer):
    (one,) = shot(answer)[:1]
    assert [two.group.name for two in joined_groups((one,), (one,))] == ["1", "1 proof"]


def test_a_proof_is_shot_where_arrows_have_hit_and_far_apart(answer):
    """Groups hit at 20 to 70 yd, and the tape is trusted farther: nothing past 70 yd is named."""
    step_m = 5 * YARD_M
    assert answer.trusted_m[0] > 75 * YARD_M
    needed, wanted_m = distances_left(answer, (), step_m)
    assert needed == 3
    assert np.divide(wanted_m, YARD_M) == pytest.approx([20, 40, 70])  # a quarter and six tenths
    session = shot(answer)
    needed, wanted_m = distances_left(answer, session[:2], step_m)  # 20 and 40 yd are shot
    assert needed == 1
    assert np.divide(wanted_m, YARD_M) == pytest.approx([70])
    assert distances_left(answer, session, step_m) == (0, ())
    assert distances_left(None, session[:1], step_m) == (2, ())
    hall = replace(answer, trusted_m=(27 * YARD_M,))  # none at 5 yd, where marks run back
    assert np.divide(distances_left(hall, (), step_m)[1], YARD_M) == pytest.approx([10, 15, 25])

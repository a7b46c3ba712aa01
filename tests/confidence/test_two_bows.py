from dataclasses import replace

import numpy as np
import pytest
from exact_units import YARD_M
from sessions import group, groups, rig, truth_near

from tapewright.calibration.fit import fit_bow
from tapewright.confidence.bands import drawn_marks, spread_of_marks, trusted_of
from tapewright.confidence.posterior import draw_posterior
from tapewright.confidence.two_bows import (
    proved_from,
    two_bows,
    two_bows_cautions,
    with_two_bows,
)
from tapewright.sight.prediction import mark
from tapewright.target.group import Impact

PROVED_M = np.array([20, 40, 60, 80]) * YARD_M
ASKED_M = np.array([25, 50, 75]) * YARD_M
RNG = np.random.default_rng


@pytest.fixture(scope="module", params=["increases", "decreases"])
def calibrated(request):
    sheet = rig({"farther": request.param})
    shots = groups(sheet, truth_near(sheet), (20, 30, 45, 60, 75, 80), arrows=6)
    return sheet, shots, draw_posterior(fit_bow(sheet, shots), RNG(1))


def proof(calibrated, up_rad=0.0):
    """Groups dialled by the tape, all of them so much higher."""
    sheet, _, posterior = calibrated
    readings = np.median(drawn_marks(posterior, PROVED_M), axis=0)
    session = []
    for place, (distance_m, reading_m) in enumerate(zip(PROVED_M, readings, strict=True)):
        one = group(sheet, truth_near(sheet), distance_m, 6, float(reading_m), f"p{place}")
        hits = tuple(Impact(h.right_m, h.up_m + up_rad * distance_m) for h in one.group.impacts)
        session.append(replace(one, group=replace(one.group, impacts=hits), proved=True))
    return tuple(session)


def test_arrows_may_be_anothers_from_the_last_proof_on(calibrated):
    _, shots, _ = calibrated
    plain, proved = shots[0], replace(shots[0], proved=True)
    assert proved_from((plain, plain)) == 0
    assert proved_from(()) == 0
    assert proved_from((proved, plain)) == 0  # nothing stood before it
    assert proved_from((plain, plain, proved, proved, plain)) == 2
    assert proved_from((plain, proved, plain, proved, proved)) == 3


def test_a_proof_that_fits_speaks_little_for_two_bows_and_one_that_does_not_for_them(calibrated):
    posterior = calibrated[2]
    sound, high = (two_bows(posterior, proof(calibrated, up)) for up in (0.0, 2e-3))
    assert sound.odds < 0.3
    assert high.odds > 0.95
    assert high.moved[0].cause.name == "zero"
    (caution,) = two_bows_cautions(high)
    assert (caution.kind, caution.subject, caution.numbers) == ("two bows", "zero", (high.odds,))
    assert two_bows_cautions(None) == ()
    assert two_bows_cautions(replace(sound, moved=())) == ()


@pytest.mark.parametrize("up_rad", [2e-3, -1.5e-3])
def test_draws_of_the_changed_bow_have_its_marks(calibrated, up_rad):
    sheet, shots, posterior = calibrated
    later = proof(calibrated, up_rad)
    joined = draw_posterior(fit_bow(sheet, (*shots, *later)), RNG(1))
    spread = spread_of_marks(joined, ASKED_M)
    doubted = with_two_bows(spread, two_bows(posterior, later), 1, RNG(2))
    truth = truth_near(sheet)
    bow = truth.unknowns.bow(truth.vector)
    scale = bow.scale
    slid_m = scale.zero_reading_m - scale.reading_per_tangent_m * up_rad
    true_m = mark(replace(bow, scale=replace(scale, zero_reading_m=slid_m)), ASKED_M)
    middle_m = np.median(doubted.marks_m, axis=0)
    # at the target 2 cm at most, where the two bows part by 12 to 14 cm at 75 yd
    assert (np.abs((middle_m - true_m) * spread.up_per_reading) < 0.02).all()
    assert len(doubted.marks_m) == len(spread.marks_m)
    # the marks that are told stay those of all arrows
    assert (doubted.reading_m == spread.reading_m).all()
    assert (doubted.low_m < doubted.high_m).all()


def test_trust_falls_where_two_bows_may_be_mixed_and_hardly_where_not(calibrated):
    sheet, shots, posterior = calibrated
    grid_m = np.arange(10, 101) * YARD_M
    trusted = {}
    for up_rad in (0.0, 2e-3):
        later = proof(calibrated, up_rad)
        joined = draw_posterior(fit_bow(sheet, (*shots, *later)), RNG(1))
        spread = spread_of_marks(joined, grid_m)
        doubted = with_two_bows(spread, two_bows(posterior, later), 1, RNG(2))
        trusted[up_rad] = [trusted_of(one, 0.0762) / YARD_M for one in (spread, doubted)]
    assert trusted[0.0][1] > trusted[0.0][0] - 4
    # settled between two bows it would be trusted to 92 yd; either is 76 mm off at 83 yd
    assert trusted[2e-3][0] > 83
    assert trusted[2e-3][1] < 65

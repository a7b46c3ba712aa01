"""The misfit against dense integration, numerical derivatives and its own two forms."""

import itertools
from dataclasses import replace

import numpy as np
import pytest
from exact_units import YARD_M
from scipy.integrate import trapezoid
from scipy.stats import norm, t
from sessions import DISPERSION_RAD, bare, group, groups, rig, truth_near

from tapewright.calibration import misfit
from tapewright.calibration.evidence import evidence_from
from tapewright.calibration.misfit import (
    group_sds,
    log_posterior,
    predicted_angles,
    robust_centres,
    with_set_up_doubt,
)
from tapewright.calibration.residual import whitened_jacobian, whitened_residual
from tapewright.calibration.rig import Belief
from tapewright.flight.air import Air
from tapewright.target.group import Group, Impact

CENTRE_VARIANCE = (
    2.0 / 1.1416**2
)  # of a centre of n arrows, times n, over dispersion²: Student-t with 4
CORE = 1.1416  # of a Student-t with 4 degrees of freedom 68.27 % lie within so many scales
FREEDOMS = 4.0  # of the arrows' Student-t

THIN = Air(288.15, 80_000.0, 0.5)
PINS = {"pins_below_first_m": (Belief(9e-3, 0.3e-3),)}
ARM = {"arm_length_m": 0.09, "arm_level_reading_m": 0.03}


def everything(sight=None):
    """Pins, slopes, thin air, a shared distance, a mark, an axis not measured, a large group."""
    sheet = rig(PINS | (sight or {}))
    truth = truth_near(sheet, {"log_speed": 1.0, "log_drag": -1.0}, zero_reading=0.004)
    shots = (
        group(sheet, truth, 18.0, 4, name="1"),
        replace(group(sheet, truth, 18.0, 3, name="2", slope_rad=0.2), distances="paces"),
        group(sheet, truth, 45.0, 5, 0.028, name="3", pin=2),
        group(sheet, truth, 55.0, 6, name="4", air=THIN, slope_rad=-0.3),
        bare(group(sheet, truth, 30.0, name="5"), 3),
        group(sheet, truth, 60.0, 40, name="6"),
        replace(
            group(sheet, truth, 35.0, name="7"),
            group=Group("7", (Impact(None, 0.01), Impact(None, -0.02))),
        ),
        replace(
            group(sheet, truth, 36.0, name="8"),
            group=Group("8", (Impact(0.01, None), Impact(-0.02, None))),
        ),
    )
    evidence = evidence_from(sheet, shots)
    return with_set_up_doubt(evidence, evidence.prior.mean)


def only_heights(evidence):
    """The same session with nothing measured to the right, all its distances by one source."""
    shots = tuple(
        replace(
            one,
            distances="",
            group=replace(
                one.group,
                impacts=tuple(replace(hit, right_m=None) for hit in one.group.impacts),
            ),
        )
        for one in evidence.observations
    )
    again = evidence_from(rig(PINS), shots)
    return with_set_up_doubt(again, again.prior.mean)


def dense_log(grid, angles, arrows, spread):
    """Log density of arrows, SciPy's Student-t, for each place of their centre."""
    dense = np.zeros_like(grid)
    for angle, count in zip(angles, arrows, strict=True):
        if count > 1:
            dense += norm.logpdf(angle, grid, spread * np.sqrt(CENTRE_VARIANCE / count))
        else:
            dense += t.logpdf(angle, FREEDOMS, grid, spread / CORE)
    return dense


def by_dense_integration(evidence, vector):
    """Log likelihood of all heights, each group's shift integrated on a fine grid."""
    unknowns = evidence.prior.unknowns
    wobble = np.exp(vector[unknowns.place("log_wobble")])
    spread = np.exp(vector[unknowns.place("log_dispersion_up")])
    _, up = predicted_angles(evidence, vector)
    total = 0.0
    for place, one in enumerate(evidence.observations):
        values, arrows = one.group.along("up")
        if not len(values):
            continue
        angles = values / one.distance_m
        shift, centre = np.hypot(wobble, evidence.set_up_sd_rad[place]), up[place]
        lowest = min(centre - 9 * shift, angles.min() - 9 * spread)
        highest = max(centre + 9 * shift, angles.max() + 9 * spread)
        grid = np.linspace(lowest, highest, 4_001)
        dense = norm.logpdf(grid, centre, shift) + dense_log(grid, angles, arrows, spread)
        top = dense.max()
        total += top + np.log(trapezoid(np.exp(dense - top), grid))
    return total


def likelihood(evidence, vector):
    prior = evidence.prior
    return log_posterior(evidence, vector[None])[0] + 0.5 * np.square(prior.whitened(vector)).sum()


def test_likelihood_agrees_with_dense_integration():
    evidence = only_heights(everything())
    rng = np.random.default_rng(5)
    off = []
    for _ in range(12):
        vector = evidence.prior.mean + evidence.prior.sd * rng.normal(
            0, 0.7, len(evidence.prior.sd)
        )
        vector[evidence.prior.unknowns.place("zero_tangent")] = 0.003 + rng.normal(0, 2e-4)
        vector[evidence.prior.unknowns.place("windage")] = rng.normal(0, 3e-4)
        off.append(likelihood(evidence, vector) - by_dense_integration(evidence, vector))
    assert np.abs(off).max() < 1e-4  # changes a draw's weight by a ten-thousandth


WILD = {
    "one wild arrow": [0.0, 0.3, -0.4, 12.0],
    "two wild arrows": [0.0, -9.0, -0.4, 12.0],
    "two camps": [-5.0, -5.2, 5.0, 5.1],
    "a pair far apart": [-8.0, 8.0],
    "a single arrow": [0.7],
    "a single arrow far from where it should be": [25.0],
    "a whole group far off": [20.0, 20.4, 19.3],
}


def off_for(wild, wobble_rad):
    sheet = rig()
    truth = truth_near(sheet, zero_reading=0.004, log_wobble=np.log(wobble_rad))
    near = group(sheet, truth, 30.0)
    arrows = tuple(Impact(None, 30 * DISPERSION_RAD * value) for value in WILD[wild])
    evidence = evidence_from(sheet, (replace(near, group=Group("1", arrows)),))
    evidence = with_set_up_doubt(evidence, truth.vector)
    return likelihood(evidence, truth.vector) - by_dense_integration(evidence, truth.vector)


@pytest.mark.parametrize("wild", WILD)
@pytest.mark.parametrize("wobble_rad", [0.03e-3, 0.13e-3, 0.6e-3])
def test_likelihood_of_wild_arrows_agrees_with_dense_integration(wild, wobble_rad):
    # A ten-thousandth of a natural unit changes a draw's weight by a ten-thousandth.
    assert abs(off_for(wild, wobble_rad)) < 1e-4


@pytest.mark.parametrize("wild", [name for name in WILD if "far from" not in name])
def test_likelihood_holds_for_a_wobble_that_nobody_has(wild):
    # Fifteen times the usual: a weight off by two per cent decides nothing.
    assert abs(off_for(wild, 2e-3)) < 0.02


def test_a_vector_that_describes_no_flight_has_no_weight():
    evidence = everything()
    slow = evidence.prior.mean.copy()
    slow[evidence.prior.unknowns.place("log_speed")] = np.log(3.0)
    assert log_posterior(evidence, slow[None])[0] == -np.inf


def test_many_vectors_are_weighed_one_by_one():
    evidence = everything()
    rng = np.random.default_rng(2)
    mean, sd = evidence.prior.mean, evidence.prior.sd
    vectors = mean + 0.1 * sd * rng.standard_normal((7, len(mean)))
    together = log_posterior(evidence, vectors)
    alone = [log_posterior(evidence, vector[None])[0] for vector in vectors]
    assert together == pytest.approx(alone, abs=1e-8)


def test_chunks_do_not_show(monkeypatch):
    evidence = everything()
    rng = np.random.default_rng(2)
    mean, sd = evidence.prior.mean, evidence.prior.sd
    vectors = mean + 0.1 * sd * rng.standard_normal((40, len(mean)))
    whole = log_posterior(evidence, vectors)
    monkeypatch.setattr(misfit, "CHUNK", 30)
    assert log_posterior(evidence, vectors) == pytest.approx(whole, abs=1e-9)
    monkeypatch.setattr(misfit, "LEAST_DRAWS", 10)  # groups by threes, draws by tens
    assert evidence.groups % 3 == 2  # the last block is a short one
    assert log_posterior(evidence, vectors) == pytest.approx(whole, abs=1e-9)


def test_without_groups_only_beliefs_weigh():
    evidence = evidence_from(rig(), ())
    mean, sd = evidence.prior.mean, evidence.prior.sd
    assert log_posterior(evidence, (mean + sd)[None])[0] == pytest.approx(-0.5 * len(mean))
    assert with_set_up_doubt(evidence, mean) is evidence
    nothing = (np.zeros(0), np.zeros(0))
    assert whitened_residual(evidence, mean + sd, nothing, nothing) == pytest.approx(
        np.ones(len(mean))
    )
    assert np.diag(whitened_jacobian(evidence, mean, nothing)) == pytest.approx(1 / sd)


@pytest.mark.parametrize(
    "sight", [{}, ARM, {"farther": "decreases"}, ARM | {"farther": "decreases"}]
)
def test_jacobian_agrees_with_central_differences(sight):
    evidence = everything(sight)
    vector = evidence.prior.mean.copy()
    vector[evidence.prior.unknowns.place("zero_tangent")] = 0.003
    vector[evidence.prior.unknowns.place("distance_error_1")] = 0.1
    vector[evidence.prior.unknowns.place("distances_by_paces")] = 0.03
    vector[evidence.prior.unknowns.place("side")] = 0.002
    centres, sds = robust_centres(evidence, vector), group_sds(evidence, vector)
    found = whitened_jacobian(evidence, vector, sds)
    spreads = {"log_dispersion_up", "log_dispersion_right", "log_wobble"}
    for place, name in enumerate(evidence.prior.unknowns.names):
        step = np.zeros(len(vector))
        step[place] = 1e-4 * min(evidence.prior.sd[place], 0.05)
        ahead = whitened_residual(evidence, vector + step, centres, sds)
        behind = whitened_residual(evidence, vector - step, centres, sds)
        slope = (ahead - behind) / (2 * step[place])
        size = np.abs(slope).max() + (1.0 if name in spreads else 0.0)
        assert np.abs(found[:, place] - slope).max() < 1e-5 * size, name


def test_doubts_of_groups_not_measured_are_infinite():
    evidence = everything()
    right, up = group_sds(evidence, evidence.prior.mean)
    assert np.isinf(right[6])
    assert np.isinf(up[7])
    assert np.isfinite(up[:7]).all()
    residual = whitened_residual(
        evidence, evidence.prior.mean, robust_centres(evidence, evidence.prior.mean), (right, up)
    )
    assert np.isfinite(residual).all()


def test_more_arrows_leave_less_doubt_but_never_less_than_the_set_up():
    sheet = rig()
    truth = truth_near(sheet, zero_reading=0.004)
    sds = []
    for arrows in (1, 2, 4, 16, 99):
        evidence = evidence_from(sheet, (group(sheet, truth, 40 * YARD_M, arrows),))
        evidence = with_set_up_doubt(evidence, truth.vector)
        sds.append(group_sds(evidence, truth.vector)[1][0])
    assert all(more < fewer for fewer, more in itertools.pairwise(sds))
    wobble = np.exp(truth.vector[truth.unknowns.place("log_wobble")])
    assert sds[-1] > np.hypot(wobble, evidence.set_up_sd_rad[0])


def test_each_direction_is_weighed_by_its_own_dispersion():
    sheet = rig()
    truth = truth_near(sheet, log_dispersion_right=np.log(3e-3), log_wobble=np.log(1e-6))
    evidence = evidence_from(sheet, (group(sheet, truth, 40.0, 4),))
    right, up = group_sds(evidence, truth.vector)
    spread_up = np.exp(truth.vector[truth.unknowns.place("log_dispersion_up")])
    assert right[0] / up[0] == pytest.approx(3e-3 / spread_up, rel=1e-3)


def test_set_up_doubt_is_what_distance_and_reading_errors_do():
    sheet = rig(archer={"distance_sd_m": 0.3, "reading_sd_m": 0.2e-3})
    truth = truth_near(sheet, zero_reading=0.004)
    shot = group(sheet, truth, 50.0)
    evidence = with_set_up_doubt(evidence_from(sheet, (shot,)), truth.vector)

    def up(distance_m, reading_m):
        moved = replace(shot, distance_m=distance_m, reading_m=reading_m)
        there = evidence_from(sheet, (moved,))
        return distance_m * predicted_angles(there, truth.vector)[1][0]

    by_distance = up(50.3, shot.reading_m) - up(49.7, shot.reading_m)
    by_reading = up(50.0, shot.reading_m + 0.2e-3) - up(50.0, shot.reading_m - 0.2e-3)
    wanted = 0.5 * np.hypot(by_distance, by_reading) / 50.0
    assert evidence.set_up_sd_rad[0] == pytest.approx(wanted, rel=1e-3)


def test_crosswind_pushes_groups_its_own_way_and_hardly_up():
    sheet = rig()
    truth = truth_near(sheet, zero_reading=0.004)
    calm, left, right = (
        predicted_angles(
            evidence_from(sheet, (group(sheet, truth, 60.0, crosswind_mps=wind),)), truth.vector
        )
        for wind in (0.0, -3.0, 3.0)
    )
    assert left[0][0] < calm[0][0] < right[0][0]
    assert left[0][0] == pytest.approx(-right[0][0], rel=0.01)
    assert abs(right[1][0] - calm[1][0]) < 1e-4


def test_all_groups_of_a_session_are_predicted_where_the_truth_put_them():
    sheet = rig()
    truth = truth_near(sheet, {"log_speed": 2.0}, zero_reading=0.004, windage=5e-4)
    evidence = evidence_from(sheet, groups(sheet, truth))
    right, up = robust_centres(evidence, truth.vector)
    assert up == pytest.approx(np.zeros(6), abs=1e-6)  # balanced arrows on the dialled mark
    assert right == pytest.approx(np.full(6, 5e-4), abs=1e-6)


WINDAGE_SD_RAD, SIDE_SD_M = 8e-3, 5e-3  # believed before the first arrow
MOVED_SD_RAD = 3e-3  # believed of windage that was newly set


def sideways(shots):
    """Evidence of groups of which only the sides were measured, as angles in mrad."""
    sheet = rig()
    observed = tuple(
        replace(
            group(sheet, truth_near(sheet), metres, name=str(place)),
            group=Group(str(place), tuple(Impact(1e-3 * metres * at, None) for at in angles)),
            session=session,
        )
        for place, (metres, angles, session) in enumerate(shots)
    )
    return evidence_from(sheet, observed)


def dense_sideways(evidence, vector, moved):
    """Two groups, windage and side and each group's shift on grids; moved between them or not."""
    unknowns = evidence.prior.unknowns
    wobble = np.exp(vector[unknowns.place("log_wobble")])
    spread = np.exp(vector[unknowns.place("log_dispersion_right")])
    windage, side = np.linspace(-14e-3, 14e-3, 561), np.linspace(-25e-3, 25e-3, 41)
    shift = np.linspace(-6 * wobble, 6 * wobble, 31)
    told = []
    for one in evidence.observations:
        values, arrows = one.group.along("right")
        centre = (
            windage[:, None, None] + side[None, :, None] / one.distance_m + shift[None, None, :]
        )
        dense = np.exp(dense_log(centre, values / one.distance_m, arrows, spread))
        told.append(trapezoid(dense * norm.pdf(shift, 0, wobble), shift, axis=2))
    first, second = told
    before = norm.pdf(windage, 0, WINDAGE_SD_RAD)[:, None]
    after = norm.pdf(windage, 0, MOVED_SD_RAD)[:, None]
    stays = trapezoid(first * second * before, windage, axis=0)
    goes = trapezoid(first * before, windage, axis=0) * trapezoid(second * after, windage, axis=0)
    both = (1 - moved) * stays + moved * goes
    return np.log(trapezoid(both * norm.pdf(side, 0, SIDE_SD_M), side))


@pytest.mark.parametrize(("session", "moved"), [("", 0.2), ("evening", 0.02)])
@pytest.mark.parametrize(
    "angles",
    [
        ([0.3, -0.6, 0.9], [0.2, 0.5, -0.1, 0.0]),  # windage that stayed
        ([0.3, -0.6, 0.9], [2.2, 2.5, 1.9]),  # moved, or so it seems
        ([0.3, -0.6, 0.9], [1.4, 1.1]),  # who knows
        ([0.3, -0.6, 4.9, 0.1], [0.2, 0.5]),  # one wild arrow
    ],
)
def test_windage_that_nobody_told_is_integrated_out(session, moved, angles):
    evidence = sideways([(18.0, angles[0], session), (45.0, angles[1], session)])
    vector = evidence.prior.mean.copy()
    vector[evidence.prior.unknowns.place("log_dispersion_right")] = np.log(0.6e-3)
    wanted = dense_sideways(evidence, vector, moved)
    # arrows of one group become a Gaussian: a weight off by a tenth decides nothing
    assert likelihood(evidence, vector) == pytest.approx(wanted, abs=0.1)


def test_arrows_say_nothing_of_windage_and_side_of_a_vector():
    evidence = everything()
    other = evidence.prior.mean.copy()
    for name, value in (("windage", 9e-3), ("side", -0.02)):
        other[evidence.prior.unknowns.place(name)] = value
    first, second = log_posterior(evidence, np.stack([evidence.prior.mean, other]))
    believed = 0.5 * ((9e-3 / WINDAGE_SD_RAD) ** 2 + (0.02 / SIDE_SD_M) ** 2)
    assert first - second == pytest.approx(believed)

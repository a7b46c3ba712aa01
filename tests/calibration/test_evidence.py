from dataclasses import replace

import numpy as np
import pytest
from exact_units import YARD_M
from scipy.stats import norm, t
from sessions import bare, group, groups, rig, truth_near

from tapewright.calibration.evidence import evidence_from
from tapewright.calibration.observation import Observation, distance_doubt
from tapewright.flight.air import Air
from tapewright.target.group import Group, Impact

CENTRE_VARIANCE = (
    2.0 / 1.1416**2
)  # of a centre of n arrows, times n, over dispersion²: Student-t with 4
CORE = 1.1416  # of a Student-t with 4 degrees of freedom 68.27 % lie within so many scales
FREEDOMS = 4.0  # of the arrows' Student-t
INFORMATION = 5.0 / 7.0 * 1.1416**2  # (f + 1) / (f + 3) of a Student-t, in dispersions

SPREAD = 0.6e-3


def seen(*impacts, distance_m=20.0):
    shot = Observation(Group("1", impacts), distance_m, 0.02)
    return evidence_from(rig(), (shot,))


def ups(values_m, distance_m=20.0):
    return seen(*(Impact(0.0, value) for value in values_m), distance_m=distance_m)


def test_a_dispersion_holds_two_arrows_in_three_like_a_gaussian():
    inside = t.cdf(CORE, FREEDOMS) - t.cdf(-CORE, FREEDOMS)
    # four digits of CORE leave 0.00003 of the share
    assert inside == pytest.approx(norm.cdf(1) - norm.cdf(-1), abs=5e-5)


def test_a_centre_of_many_varies_as_the_law_of_its_arrows():
    assert pytest.approx(t.var(FREEDOMS) / CORE**2) == CENTRE_VARIANCE


def test_one_arrow_tells_as_much_as_the_law_allows():
    # Fisher information of the place of a Student-t, integrated; in dispersions
    x = np.linspace(-400, 400, 2_000_001)
    slope = (FREEDOMS + 1) * x / (FREEDOMS + x**2)
    information = np.trapezoid(slope**2 * t.pdf(x, FREEDOMS), x)
    assert pytest.approx(information * CORE**2, rel=1e-4) == INFORMATION


def test_impacts_become_angles_from_the_aim():
    two = seen(Impact(0.02, -0.04), Impact(-0.02, 0.08))
    assert two.up.arrow[0] == pytest.approx([-0.002, 0.004])
    assert two.right.arrow[0] == pytest.approx([0.001, -0.001])


def test_what_was_not_measured_is_not_there():
    only_up = seen(Impact(None, 0.01))
    assert only_up.up.seen.tolist() == [True]
    assert only_up.right.seen.tolist() == [False]


def test_groups_of_different_size_are_padded_with_nothing():
    sheet = rig()
    truth = truth_near(sheet)
    small = group(sheet, truth, 20.0, arrows=2, name="1")
    large = group(sheet, truth, 30.0, arrows=5, name="2")
    both = evidence_from(sheet, (small, large))
    assert both.up.there.sum(axis=1).tolist() == [2, 5]
    assert (both.up.arrow[both.up.there == 0] == 0).all()


def test_no_groups_make_empty_evidence():
    none = evidence_from(rig(), ())
    assert none.groups == 0
    assert none.up.seen.shape == (0,)


def test_the_robust_centre_of_a_balanced_group_is_its_mean():
    assert ups([-0.01, 0.01, 0.02, 0.04]).up.robust_centre(SPREAD) == pytest.approx([0.015 / 20])


def test_the_robust_centre_of_a_tight_group_ignores_an_arrow_gone_wild():
    centre_m = 20 * ups([-0.01, 0.0, 0.01, 0.5]).up.robust_centre(SPREAD)[0]
    assert abs(centre_m) < 0.003  # its mean lies 12.5 cm high


def test_the_robust_centre_is_the_most_likely_place():
    values = np.array([-0.01, 0.004, 0.013, 0.055])
    found = 20 * ups(values).up.robust_centre(SPREAD)[0]
    grid = np.linspace(-0.05, 0.1, 150_001)
    scale = 20 * SPREAD / CORE
    likely = t.logpdf((values[:, None] - grid) / scale, FREEDOMS).sum(axis=0)
    assert found == pytest.approx(grid[likely.argmax()], abs=1e-5)  # eight steps of reweighting


def test_a_centre_that_stands_for_more_arrows_pulls_more():
    def middle(arrows):
        pair = seen(Impact(0.0, 0.0, 2), Impact(0.0, 0.02, arrows))
        return 20 * pair.up.robust_centre(SPREAD)[0]

    assert middle(2) == pytest.approx(0.01)
    assert middle(6) == pytest.approx(0.015)


def test_a_group_not_measured_along_an_axis_has_its_centre_nowhere_else_than_zero():
    assert seen(Impact(None, 0.01)).right.robust_centre(SPREAD).tolist() == [0]


def test_information_grows_with_arrows_and_falls_with_dispersion():
    two, four = ups([0.0, 0.01]), ups([0.0, 0.01, 0.0, 0.01])
    one = two.up.information(np.array([SPREAD]))[0]
    assert four.up.information(np.array([SPREAD]))[0] == pytest.approx(2 * one)
    assert two.up.information(np.array([2 * SPREAD]))[0] == pytest.approx(one / 4)


def test_groups_at_one_distance_share_its_error():
    sheet = rig()
    shots = groups(sheet, truth_near(sheet), (20, 40, 20, 60, 40))
    found = evidence_from(sheet, shots)
    assert found.shared.tolist() == [0, 1, 0, -1, 1]
    assert found.prior.unknowns.shared_distances == 2
    assert found.distance_sd_m[:3].tolist() == [0, 0, 0]
    assert found.distance_sd_m[3] == distance_doubt(60 * YARD_M)
    place = found.prior.unknowns.place("distance_error_2")
    assert found.prior.sd[place] == distance_doubt(40 * YARD_M)


def test_a_said_doubt_of_distance_overrules_the_usual():
    sheet = rig(archer={"distance_sd_m": 0.07})
    found = evidence_from(sheet, groups(sheet, truth_near(sheet), (20, 60)))
    assert found.distance_sd_m.tolist() == [0.07, 0.07]


def test_a_group_of_another_day_is_weighed_in_its_own_air():
    sheet = rig()
    mountain = Air(sheet.air.temperature_k, 0.8 * sheet.air.pressure_pa, 0.0)
    shots = groups(sheet, truth_near(sheet), (20, 60), air=None)
    thin = group(sheet, truth_near(sheet), 50.0, name="3", air=mountain)
    ratio = evidence_from(sheet, (*shots, thin)).aim.density_ratio
    assert ratio[:2].tolist() == [1, 1]
    assert ratio[2] == pytest.approx(0.8, abs=0.005)  # dry against half-moist air


def test_a_bare_mark_counts_as_its_arrows():
    sheet = rig()
    mark = bare(group(sheet, truth_near(sheet), 20.0), 3)
    found = evidence_from(sheet, (mark,))
    assert found.up.weight.tolist() == [[3]]
    assert found.up.there.shape == (1, 0)
    told = found.up.information(np.array([SPREAD]))[0]
    assert told == pytest.approx(3 / (CENTRE_VARIANCE * SPREAD**2))


def test_called_bad_shots_are_no_evidence():
    sheet = rig()
    sound = group(sheet, truth_near(sheet), 18.0, 4)
    hits = (*sound.group.impacts, Impact(1.0, -1.0, called_bad=True))
    with_bad = replace(sound, group=Group("1", hits))
    one, two = (evidence_from(sheet, (shot,)) for shot in (sound, with_bad))
    assert (one.up.arrow == two.up.arrow).all()
    assert (one.right.there == two.right.there).all()

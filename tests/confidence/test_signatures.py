"""What each cause does over distance, against the forward model and by hand."""

from dataclasses import replace

import numpy as np
import pytest
from exact_units import GRAIN_KG, YARD_M
from sessions import groups, rig, truth_near

from tapewright.calibration.fit import fit_bow
from tapewright.confidence.misses import misses_of
from tapewright.confidence.posterior import draw_posterior
from tapewright.confidence.signatures import (
    Signature,
    free_covariance,
    moving_mass,
    nothing,
    shapes_on_tape,
    signatures,
    weigh,
)
from tapewright.sight.prediction import impact, mark

ENDS_M = (20 * YARD_M, 60 * YARD_M)
TRIED_M = np.array([15, 35, 55, 75]) * YARD_M


@pytest.fixture(scope="module")
def misses():
    sheet = rig()
    truth = truth_near(sheet)
    posterior = draw_posterior(fit_bow(sheet, groups(sheet, truth)), np.random.default_rng(1))
    return misses_of(posterior, groups(sheet, truth, (20, 40, 60), arrows=4), ENDS_M)


def moved_by(misses, bow):
    """Angles by which groups rise when a bow shoots with the marks of the middle one."""
    marks = mark(misses.bow, TRIED_M)
    return np.asarray(impact(bow, TRIED_M, marks)[1]) / TRIED_M


def test_a_faster_bow_strikes_higher_as_its_forward_model_says(misses):
    bow = replace(misses.bow, speed_mps=misses.bow.speed_mps * np.exp(2e-3))
    there = shapes_on_tape(misses, TRIED_M)["speed"]
    # half a per cent: the second order of 0.2 % of the speed
    assert there[:4] == pytest.approx(moved_by(misses, bow) / 2e-3, rel=5e-3)
    assert not there[4:].any()


def test_another_arrow_is_slower_and_keeps_its_speed_better(misses):
    was_kg = misses.posterior.calibration.rig.arrow.mass_kg.value
    more_kg = 2.0 * GRAIN_KG
    moving_kg = 45.0 * GRAIN_KG  # of a compound, docs/physics.md eq. (4.2)
    slower = np.sqrt((was_kg + moving_kg) / (was_kg + more_kg + moving_kg))
    bow = replace(
        misses.bow,
        speed_mps=misses.bow.speed_mps * slower,
        drag_per_m=misses.bow.drag_per_m * was_kg / (was_kg + more_kg),
    )
    there = shapes_on_tape(misses, TRIED_M)["another arrow"][:4]
    # two per cent: the second order, 2 of some 420 grains
    assert there * np.log(slower) == pytest.approx(moved_by(misses, bow), rel=2e-2)
    plain = shapes_on_tape(misses, TRIED_M)["speed"][:4]
    assert (np.abs(there) < np.abs(plain)).all()
    assert moving_mass(misses.posterior.calibration.rig) == pytest.approx(moving_kg)


def test_a_wrong_peg_and_nothing_move_no_group_that_stands_elsewhere(misses):
    there = shapes_on_tape(misses, TRIED_M)
    assert not there["one distance"].any()
    assert not there[""].any()


def test_another_arrow_leaves_at_an_angle_that_all_groups_share(misses):
    found = {one.law: one for one in signatures(misses)}
    assert {found[law].cause for law in ("speed", "another arrow")} == {"speed"}
    assert (found["another arrow"].free_rad, found["speed"].free_rad) == (0.5e-3, 0.0)
    free = free_covariance(found["another arrow"], 2, 3)
    assert free.shape == (4, 6)
    assert free[:2, :3] == pytest.approx(2.5e-7)
    assert free[2:, 3:] == pytest.approx(2.5e-7)
    assert not free[:2, 3:].any()
    assert not free_covariance(found["speed"], 2, 2).any()


def test_evidence_is_that_of_a_student_t_with_the_size_integrated_out(misses):
    """One hypothesis by numbers: Gaussian integrals by a fine grid of sizes, many freedoms."""
    quiet = replace(misses, miss_rad=np.array([1.0, 2.0, 3.0, 0.0, 0.0, 0.0]) * 1e-4)
    shape = Signature("zero", np.array([1.0, 1.0, 1.0, 0.0, 0.0, 0.0]))
    weighed = weigh(quiet, shape)
    inverse = np.linalg.inv(quiet.covariance)
    sizes = np.linspace(-4e-3, 4e-3, 4001)
    left = quiet.miss_rad - sizes[:, None] * shape.shape
    far2 = np.einsum("sg,gh,sh->s", left, inverse, left)
    likely = np.exp(-0.5 * far2 - 0.5 * (sizes / 1.5e-3) ** 2)
    middle = float((likely * sizes).sum() / likely.sum())
    assert weighed.size == pytest.approx(middle, rel=1e-3)
    spread = np.sqrt(float((likely * (sizes - middle) ** 2).sum() / likely.sum()))
    # 90 % of a Student-t with 18 freedoms reach 1.734 scales; the scale is 12/18 and what is left
    left2 = float(quiet.miss_rad @ inverse @ quiet.miss_rad) - middle**2 / spread**2
    assert weighed.half == pytest.approx(1.734 * spread * np.sqrt((12 + left2) / 18), rel=2e-3)
    assert weigh(quiet, nothing(quiet)).size == 0.0
    assert nothing(quiet).cause == "nothing"

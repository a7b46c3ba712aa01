import numpy as np
import pytest
from sessions import rig

from tapewright.calibration.prior import prior_from_rig
from tapewright.calibration.rig import Belief
from tapewright.calibration.unknowns import unknowns_of
from tapewright.sight.prediction import mark

TWO_PINS = (Belief(9e-3), Belief(17e-3))


def unknowns(shared=0, **sight):
    return unknowns_of(rig(sight).sight, 0.84, shared)


def test_every_name_has_its_own_place():
    several = unknowns(shared=2, pins_below_first_m=TWO_PINS)
    places = [several.place(name) for name in several.names]
    assert places == list(range(len(several.names)))
    assert {"pin_2_below", "pin_3_below", "distance_error_1", "distance_error_2"} <= set(
        several.names
    )


def test_a_vector_is_as_long_as_its_prior():
    prior = prior_from_rig(rig({"pins_below_first_m": TWO_PINS}), np.array([0.3]))
    assert len(prior.mean) == len(prior.sd) == len(prior.unknowns.names)


def test_the_first_pin_sits_below_nothing_and_others_where_the_vector_says():
    two = unknowns(pins_below_first_m=TWO_PINS)
    vectors = np.arange(float(2 * len(two.names))).reshape(2, -1)
    below = two.pin_below(vectors, np.array([1, 3, 2]))
    assert below.shape == (2, 3)
    assert (below[:, 0] == 0).all()
    assert below[1, 1] == vectors[1, two.place("pin_3_below")]
    assert below[0, 2] == vectors[0, two.place("pin_2_below")]


def test_a_distance_of_its_own_has_no_shared_error():
    two = unknowns(shared=2)
    vector = np.arange(float(len(two.names)))
    errors = two.distance_errors(vector, np.array([-1, 1, 0]))
    assert errors[0] == 0
    assert errors[1] == vector[two.place("distance_error_2")]
    assert errors[2] == vector[two.place("distance_error_1")]


def test_no_shared_distance_means_no_error_at_all():
    none = unknowns()
    assert (none.distance_errors(np.ones(len(none.names)), np.array([-1, -1])) == 0).all()


def test_the_direction_of_the_numbers_follows_the_sheet():
    assert unknowns(farther="increases").direction == 1
    assert unknowns(farther="decreases").direction == -1


@pytest.mark.parametrize("farther", ["increases", "decreases"])
def test_marks_run_the_way_the_sheet_says(farther):
    prior = prior_from_rig(rig({"farther": farther}), np.zeros(0))
    near, far = mark(prior.unknowns.bow(prior.mean), np.array([30.0, 60.0]))
    assert bool(far > near) == (farther == "increases")


def test_a_bow_of_many_vectors_broadcasts_against_distances():
    prior = prior_from_rig(rig(), np.zeros(0))
    bows = prior.unknowns.bow(np.stack([prior.mean, prior.mean, prior.mean]))
    assert mark(bows, np.array([20.0, 30.0])).shape == (3, 2)

"""The questions of the front door: whatever holds plain numbers is taken, and changes nothing."""

import numpy as np
import pandas as pd
import pytest

import tapewright.api as tw
from tapewright.services import calibrate as below

YARDS_M = [18.288, 54.864, 91.44]  # 20, 60, 100 yd


def read_only(values):
    found = np.array(values)
    found.flags.writeable = False
    return found


@pytest.mark.parametrize(
    "distances",
    [
        YARDS_M,
        tuple(YARDS_M),
        read_only(YARDS_M),
        np.array(YARDS_M, dtype=object),
        pd.Series(YARDS_M, index=["c", "a", "b"]),
        pd.Series(YARDS_M, dtype="Float64"),
        np.array([0.0, *YARDS_M, 0.0])[1:-1],
        np.array([0.0, *YARDS_M])[::-1][:3][::-1],
    ],
    ids=["list", "tuple", "read-only", "object", "series", "nullable", "part", "backwards"],
)
def test_distances_may_come_in_whatever_holds_them(bench, distances):
    found = tw.bands(bench.answer.posterior, distances)
    assert found.reading_m.tolist() == bench.answer.bands.reading_m.tolist()


def test_whole_numbers_and_single_ones_are_numbers(bench):
    draws = bench.answer.posterior
    whole = tw.bands(draws, np.array([20, 60], dtype=np.int32)).reading_m
    assert whole.tolist() == tw.bands(draws, [20.0, 60.0]).reading_m.tolist()
    assert tw.bands(draws, 60).reading_m.tolist() == whole[1:].tolist()
    assert tw.bands(draws, []).reading_m.shape == (0,)
    assert tw.bands(draws, np.float32(60)).reading_m[0] == whole[1]


def test_the_front_door_answers_as_the_house_does(bench):
    grid_m = np.arange(10, 115.0)
    inside = below.calibrate(bench.rig, bench.shots, YARDS_M, grid_m, 4, 0.5)
    ours = tw.calibrate(bench.rig, list(bench.shots), YARDS_M, seed=4, probability=0.5)
    assert ours.bands.low_m.tolist() == inside.bands.low_m.tolist()
    assert (ours.trusted_m, ours.fingerprint) == (inside.trusted_m, inside.fingerprint)


def test_the_same_seed_gives_the_same_answer_and_another_another(bench):
    draws = [
        tw.calibrate(bench.rig, bench.shots, [60.0], seed=seed) for seed in (7, np.int64(7), 8)
    ]
    first, same, other = (one.posterior.vectors for one in draws)
    assert (first == same).all()
    assert (first != other).any()


def test_what_is_given_is_not_changed(bench):
    distances = np.array(YARDS_M)
    tw.calibrate(bench.rig, bench.shots, distances)
    assert distances.tolist() == YARDS_M


def test_trust_ends_where_bands_alone_end(bench):
    reach = tw.trusted_distance(bench.answer.posterior, 0.0762, np.arange(10.0, 115.0))
    assert reach >= bench.answer.trusted_m[0] > 60.0
    near = tw.trusted_distance(bench.answer.posterior, 0.02, np.arange(10.0, 115.0))
    assert 10.0 <= near < reach


def test_draws_of_the_bow_tell_the_marks_of_the_bands(bench):
    marks = tw.mark(bench.answer.posterior.bows(), YARDS_M)
    assert marks.shape == (2000, 3)
    off = np.abs(np.median(marks, axis=0) - bench.answer.bands.reading_m)
    assert off.max() < 5e-6  # of curves between nodes, against each solved
    right, up = tw.impact(bench.answer.posterior.bows(), 54.864, bench.answer.bands.reading_m[1])
    assert right.shape == up.shape == (2000, 1)
    assert abs(np.median(up)) < 2e-3


def test_numbers_that_fall_toward_farther_targets_are_followed():
    arrow = tw.Arrow(mass_kg=tw.Belief(0.0272, 0.0001), shaft_diameter_m=0.006)
    rig = tw.Rig("Wren", arrow, sight=tw.Sight(farther="decreases"))
    frame = {"distance_m": [18, 30, 50, 70], "reading_mm": [60.0, 51.2, 35.1, 17.0]}
    shots, notes = tw.observations_from_frame(frame, rig)
    assert notes == ()
    marks = tw.calibrate(rig, shots, [20.0, 40.0, 60.0]).bands.reading_m
    assert 0.06 > marks[0] > marks[1] > marks[2] > 0.017

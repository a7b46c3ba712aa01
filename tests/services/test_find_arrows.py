"""Arrows of a set: which stand out, told for what was shot beside them."""

import numpy as np
import pytest

from tapewright.calibration.observation import Observation
from tapewright.ground.errors import BadInput
from tapewright.services.find_arrows import find_arrows
from tapewright.target.group import Group, Impact


def shot(off_m, names=("7", "8", "9", "10"), rounds=8, more=()):
    """Groups at 20 m and 40 m in turn, arrow 7 off at 20 m by so much right, twice that at 40."""
    rng = np.random.default_rng(6)
    groups = []
    for place in range(rounds):
        distance_m = (20.0, 40.0)[place % 2]
        hits = []
        for one in names:
            right_m, up_m = rng.normal(0.0, 0.01, 2) + np.array([off_m * (one == "7"), 0.0])
            scale = distance_m / 20.0
            hits.append(Impact(scale * right_m, scale * up_m, arrow=one))
        groups.append(Observation(Group(f"g{place}", (*hits, *more)), distance_m, 0.03))
    return tuple(groups)


def test_the_arrow_that_is_off_is_named_with_its_angle():
    found = find_arrows(shot(0.06))
    (off,) = found.off
    assert (off.name, off.shots) == ("7", 8)
    assert off.right_rad == pytest.approx(3e-3, abs=0.6e-3)  # 60 mm at 20 m
    assert off.up_rad == pytest.approx(0.0, abs=0.6e-3)
    assert off.odds > 100.0
    assert [one.name for one in found.arrows] == ["7", "8", "9", "10"]
    assert all(one.band_rad < 0.5e-3 and abs(one.right_rad) < 0.3e-3 for one in found.arrows[1:])
    assert found.others.dispersion_rad.value == pytest.approx(0.5e-3, rel=0.25)
    assert found.every.dispersion_rad.value > 1.4 * found.others.dispersion_rad.value


def test_a_sound_set_is_left_in_peace_and_says_what_it_would_find():
    found = find_arrows(shot(0.0, more=(Impact(0.0, 0.0), Impact(0.1, None, arrow="7"))))
    assert found.off == ()
    assert found.every == found.others
    assert found.unnumbered == 16
    assert 0.5e-3 < found.to_tell_rad < 2.5e-3
    assert found.groups == 8


def test_two_that_are_off_are_named_one_after_the_other():
    groups = list(shot(0.08, names=[str(one) for one in range(5, 17)], rounds=10))
    for place, one in enumerate(groups):
        hits = tuple(
            Impact(hit.right_m, hit.up_m - 0.003 * one.distance_m * (hit.arrow == "12"),
                   arrow=hit.arrow)
            for hit in one.group.impacts
        )  # fmt: skip
        groups[place] = Observation(Group(one.group.name, hits), one.distance_m, 0.03)
    found = find_arrows(groups)
    assert {one.name for one in found.off} == {"7", "12"}
    assert len(found.arrows) == 12


def test_what_cannot_be_compared_is_refused_with_its_mend():
    with pytest.raises(BadInput, match=r"2 arrows of this rig .*column arrow"):
        find_arrows(shot(0.0, names=["7", "8"]))
    with pytest.raises(BadInput, match="no arrows of this rig"):
        find_arrows(())
    with pytest.raises(BadInput, match="no arrow was shot often enough"):
        find_arrows(shot(0.0, rounds=1))


def test_where_another_set_hits_does_not_count():
    rng = np.random.default_rng(5)

    def group(place, names, aside_m):
        hits = rng.normal(0.0, 0.01, (3, 2)) + np.array([aside_m, 0.0])
        hits[:, 0] += [0.15 * (one == "1") for one in names]
        impacts = (Impact(*hit, arrow=one) for one, hit in zip(names, hits, strict=True))
        return Observation(Group(f"g{place}", tuple(impacts)), 20.0, 0.03)

    found = find_arrows(
        [group(place, "123", 0.3) for place in range(4)]
        + [group(place, "456", -0.3) for place in range(4)]
    )
    (off,) = found.off
    assert 20.0 * off.right_rad == pytest.approx(0.15, abs=0.02)


def test_an_arrow_that_is_far_off_is_named_after_few_shots():
    hits = [("1", 0.5, 0.0), ("2", 0.01, 0.0), ("3", -0.01, 0.01), ("4", 0.0, -0.01)]
    again = [("1", 0.51, 0.01), ("2", 0.0, 0.01), ("1", 0.5, 0.0), ("1", 0.49, 0.0)]
    found = find_arrows([
        Observation(Group(name, tuple(Impact(x, y, arrow=one) for one, x, y in told)), 20.0, 0.03)
        for name, told in (("a", hits), ("b", again))
    ])  # fmt: skip
    assert [one.name for one in found.off] == ["1"]

"""Arrows that two groups share."""

import numpy as np
import pytest

from tapewright.target.group import Group, Impact
from tapewright.target.repeats import shared_arrows

IN = 0.0254
# Read in hundredths of an inch, as a pencil and a rule allow.
FINE = ((0.50, 0.60), (0.18, 0.07), (0.01, 0.04), (0.74, 0.41))
NEW = ((-0.26, -0.40), (0.45, -0.06), (0.03, -0.16))
QUARTERS = ((0.25, 0.75), (-0.5, 1.25), (1.0, -0.25), (0.0, 0.5), (-0.75, -0.5))


def group(hits, unit=IN):
    return Group("any", tuple(Impact(x * unit, y * unit) for x, y in hits))


@pytest.mark.parametrize(
    ("hits", "places"),
    [
        (FINE, (0, 1, 2, 3)),
        ((*NEW, FINE[2], FINE[0]), (3, 4)),  # in another order, behind new ones
        ((FINE[3], NEW[0], FINE[1], NEW[1]), (0, 2)),
        ((NEW[0], *FINE), (1, 2, 3, 4)),
        ((*NEW, FINE[2]), ()),  # one arrow may hit alike
        (NEW, ()),
        ((FINE[0], FINE[0], *NEW), ()),  # one arrow there is one here
    ],
)
def test_arrows_that_stand_in_another_group_are_found(hits, places):
    assert shared_arrows(group(hits), group(FINE)) == places


def test_coarse_readings_ask_for_more_arrows():
    other = (0.5, 0.0)
    assert shared_arrows(group((*QUARTERS[:4], other)), group(QUARTERS)) == (0, 1, 2, 3)
    four = (*QUARTERS[:2], other, QUARTERS[3])
    assert shared_arrows(group(four), group(QUARTERS[:4])) == ()
    shuffled = (QUARTERS[2], other, QUARTERS[1], QUARTERS[0], QUARTERS[3])
    assert shared_arrows(group(shuffled), group(QUARTERS)) == ()


def test_tight_groups_ask_for_more_arrows():
    tight = ((0.01, 0.03), (0.04, 0.01), (0.05, 0.04), (0.02, 0.06))
    assert shared_arrows(group(((0.03, 0.02), *tight[1:])), group(tight)) == ()


def test_bad_shots_and_centres_share_nothing_and_keep_their_places():
    bad, centre = Impact(0.5 * IN, 0.6 * IN, called_bad=True), Impact(0.004, 0.002, 4)
    mixed = Group("m", (bad, centre, *group(FINE[1:]).impacts, Impact(0.1, 0.1)))
    assert shared_arrows(mixed, group(FINE)) == (2, 3, 4)


@pytest.mark.parametrize(("step", "spread"), [(0.25 * IN, 0.5 * IN), (0.001, 0.008), (0.01, 0.03)])
def test_honest_groups_are_left_alone_however_coarse_they_are_read(step, spread):
    rng = np.random.default_rng(17)
    for _ in range(400):
        one, other = (
            group(step * np.round(rng.normal(0.0, spread, (6, 2)) / step), 1.0) for _ in range(2)
        )
        assert shared_arrows(one, other) == ()


def test_two_heights_alike_are_no_repeat():
    heights = Group("any", (Impact(None, 0.5 * IN), Impact(None, -0.25 * IN)))
    assert shared_arrows(heights, heights) == ()

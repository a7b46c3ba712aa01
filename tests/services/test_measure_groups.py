from math import isnan, sqrt

import pytest
from sessions import rig

from tapewright.calibration.observation import Observation
from tapewright.calibration.rig import Belief, Bow
from tapewright.services.measure_groups import known_scatter, measure_groups
from tapewright.target.group import Group, Impact

USUAL_DISPERSION_RAD = (0.67e-3, 0.5)  # median of handicap 10 [AGB23], log sd [rad]
LEAST_DISPERSION_RAD = 0.05e-3  # a millimetre at 20 m: nobody shoots closer

FIVE = ((0.01, 0.02), (-0.02, 0.01), (0.0, -0.02), (0.02, 0.0), (-0.01, 0.01))


def shot(pairs=FIVE, distance_m=20.0, name="1"):
    return Observation(Group(name, tuple(Impact(*one) for one in pairs)), distance_m, 0.02)


def test_arrows_tell_their_own_scatter():
    known = known_scatter([shot(), shot(distance_m=40.0)], rig())
    assert (known.source, known.freedoms) == ("arrows", 16)
    squares = sum((x - 0.0) ** 2 + (y - 0.004) ** 2 for x, y in FIVE)
    assert known.dispersion_rad == pytest.approx(sqrt(squares * (1 / 400 + 1 / 1600) / 16))


def test_one_arrow_is_judged_by_the_sheet_or_by_a_usual_archer():
    alone = [shot(FIVE[:1])]
    usual = known_scatter(alone)
    assert (usual.source, usual.dispersion_rad) == ("usual", pytest.approx(USUAL_DISPERSION_RAD[0]))
    assert usual.freedoms == pytest.approx(2.0)
    assert known_scatter(alone, rig()).source == "usual"
    sheet = known_scatter(alone, rig(archer={"dispersion_rad": Belief(0.4e-3)}))
    assert (sheet.source, sheet.dispersion_rad) == ("sheet", pytest.approx(0.4e-3))
    sure = known_scatter(alone, rig(archer={"dispersion_rad": Belief(0.4e-3, 0.04e-3)}))
    assert sure.freedoms == pytest.approx(50.0)
    assert sheet.freedoms < sure.freedoms


@pytest.mark.parametrize(("kind", "mrad", "wobble_mrad"), [("recurve", 1.6, 0.3),
                                                           ("longbow", 3.2, 0.6)])  # fmt: skip
def test_a_usual_archer_shoots_the_sheets_kind_of_bow(kind, mrad, wobble_mrad):
    usual = known_scatter([shot(FIVE[:1])], rig(bow=Bow(kind=kind)))
    assert (usual.source, usual.dispersion_rad) == ("usual", pytest.approx(mrad * 1e-3))
    assert usual.wobble_rad == pytest.approx(wobble_mrad * 1e-3)


def test_a_group_shows_all_it_can():
    measured = measure_groups([shot(), shot(FIVE[:2], name="2"), shot(FIVE[:1], name="3")])
    full, two, one = measured.groups
    assert full.hotelling is not None
    assert full.flyer is not None
    assert full.findable[0] < full.findable[1]
    assert full.extreme_spread_m > full.mean_radius_m > 0
    assert full.flyer_at_m in FIVE
    assert (two.hotelling, two.flyer, two.findable) == (None, None, None)
    assert two.spread.freedoms == 2
    assert isnan(one.spread.dispersion_rad.value)
    assert not isnan(one.centre.chance)
    assert measured.together.freedoms == 10
    assert measured.together.arrows == 7


def test_one_axis_has_its_own_flyer():
    heights = tuple(Impact(None, up) for up in (0.0, 0.01, -0.01, 0.0, 0.01, 0.5))
    widths = tuple(Impact(one.up_m, None) for one in heights)
    both = [
        Observation(Group("up", heights), 20.0, 0.02),
        Observation(Group("right", widths), 20.0, 0.02),
    ]
    up, right = measure_groups(both).groups
    assert up.flyer.is_flyer
    assert right.flyer.is_flyer
    assert up.flyer_at_m[1] == right.flyer_at_m[0] == 0.5
    assert isnan(up.flyer_at_m[0])
    assert up.findable[0] == pytest.approx(right.findable[0])


def test_arrows_in_one_hole_are_no_certainty():
    hole = shot([(0.001, 0.001)] * 3)
    measured = measure_groups([hole])
    assert measured.known.dispersion_rad == LEAST_DISPERSION_RAD
    assert measured.groups[0].centre.chance > 0.5
    assert measured.groups[0].flyer is None

import numpy as np
import pytest
from exact_units import INCH_M, YARD_M
from sessions import groups, rig, truth_near

from tapewright.calibration.fit import fit_bow
from tapewright.calibration.rig import Arrow, Belief
from tapewright.confidence.bolting import Mounting, Seen, mounting_reaches, scale_of
from tapewright.confidence.limits import reaches
from tapewright.confidence.posterior import draw_posterior

ENDS = {"travel_ends_m": (0.028, 0.06)}
TWO_PINS = ENDS | {"pins_below_first_m": (Belief(9e-3, 0.2e-3),)}
WANTED = (25 * YARD_M, 60 * YARD_M)
LOOK = Seen(0.031, 5 * YARD_M, 4e-3)


def drawn(sight, *, shoot=True, zero_reading=0.004, **parts):
    sheet = rig(sight, **parts)
    shots = groups(sheet, truth_near(sheet, zero_reading=zero_reading)) if shoot else ()
    return draw_posterior(fit_bow(sheet, shots), np.random.default_rng(1))


def found(posterior, *mountings, wanted_m=WANTED, seen=None):
    rng = np.random.default_rng(2)
    travel_m = posterior.calibration.rig.sight.travel_ends_m
    return mounting_reaches(posterior, mountings or (Mounting(),), wanted_m, travel_m, seen, rng)


@pytest.fixture(scope="module")
def shot():
    return drawn(TWO_PINS)


def test_as_bolted_now_each_pin_reaches_what_the_limits_say(shot):
    (one,) = found(shot)
    for here, there in zip(one.pins, reaches(shot), strict=True):
        assert here.pin == there.pin
        # The sight radius has its own doubt here, which moves the second pin alone
        assert here.farthest_m == pytest.approx(there.farthest_m, abs=0.4)
        assert here.nearest_m == pytest.approx(there.nearest_m, abs=0.2)
    assert one.farthest_m == one.pins[1].farthest_m
    assert one.nearest_m == one.pins[0].nearest_m
    assert one.chance == 1.0
    assert one.looked_to_m == 120.0


def test_chance_asks_both_ends(shot):
    far, near = found(shot)[0].farthest_m[0], found(shot)[0].nearest_m[0]
    chance = found(shot, wanted_m=(WANTED[0], far))[0].chance
    assert chance == pytest.approx(0.5, abs=0.02)
    assert found(shot, wanted_m=(near, 50.0))[0].chance == pytest.approx(0.5, abs=0.02)
    assert found(shot, wanted_m=(WANTED[0], far + 20.0))[0].chance == 0.0


def test_lower_and_nearer_reach_farther(shot):
    now, lower, ahead = found(
        shot, Mounting(), Mounting(2, up_m=-0.006), Mounting(1, 2, ahead_m=0.075)
    )
    assert lower.farthest_m[0] > now.farthest_m[0] + 5.0
    assert lower.nearest_m[0] > now.nearest_m[0] + 3.0
    assert ahead.farthest_m[0] < now.farthest_m[0] - 2.0
    # 0.5° of lean on 75 mm: 0.7 mm of pin either way
    assert ahead.farthest_m[2] - ahead.farthest_m[1] > 1.2 * (now.farthest_m[2] - now.farthest_m[1])


def test_much_too_high_reaches_nothing(shot):
    (one,) = found(shot, Mounting(2, up_m=0.2))
    assert one.nearest_m == one.farthest_m == (0.0, 0.0, 0.0)
    assert one.chance == 0.0


def test_housings_stop_it_as_computed_or_as_measured_of_the_present_one():
    computed = drawn(ENDS | {"travel_ends_m": (0.028, 0.12), "housing_below_pin_m": 0.045})
    short, same, tall = (
        found(computed, Mounting(below_pin_m=below))[0].farthest_m[0]
        for below in (0.04, 0.045, 0.05)
    )
    assert short > same + 2.0 > tall + 4.0
    assert same == found(computed)[0].farthest_m[0]
    measured = drawn(
        ENDS | {"travel_ends_m": (0.028, 0.12), "clearance_reading_m": 0.05,
                "housing_below_pin_m": 0.045}
    )  # fmt: skip
    known = drawn({"travel_ends_m": (0.028, 0.05)})
    assert found(measured)[0].farthest_m == pytest.approx(found(known)[0].farthest_m, abs=0.3)
    longer = found(measured, Mounting(below_pin_m=0.05))[0].farthest_m[0]
    nearer = drawn({"travel_ends_m": (0.028, 0.05 - 1.6 * 0.005)})
    assert longer == pytest.approx(found(nearer)[0].farthest_m[0], abs=0.5)


def test_blades_over_the_vanes_shorten_a_measured_clearance():
    sheet = ENDS | {"clearance_reading_m": 0.05}
    arrow = Arrow(Belief(0.0272, 0.0001), 6e-3, 28.5 * INCH_M, vane_height_m=0.01)
    bladed = Arrow(
        Belief(0.0272, 0.0001), 6e-3, 28.5 * INCH_M, "broadhead", 0.01, blade_diameter_m=0.036
    )
    plain, cut = (found(drawn(sheet, arrow=one))[0].farthest_m[0] for one in (arrow, bladed))
    assert cut < plain - 1.0


@pytest.mark.parametrize("farther", ["increases", "decreases"])
def test_one_look_along_the_arrow_gives_the_zero_with_a_wide_band(farther):
    way = 1 if farther == "increases" else -1
    ends = tuple(sorted((way * 0.012, way * 0.055)))
    unshot = drawn({"travel_ends_m": ends, "farther": farther}, shoot=False)
    look, sharp = (Seen(way * 0.031, 5 * YARD_M, sd) for sd in (4e-3, 1e-3))
    wide, narrow = found(unshot, seen=look)[0], found(unshot, seen=sharp)[0]
    assert 30.0 < wide.farthest_m[0] < 90.0
    assert (
        wide.farthest_m[2] - wide.farthest_m[1] > narrow.farthest_m[2] - narrow.farthest_m[1] > 2.0
    )
    scale = scale_of(unshot, look, np.random.default_rng(2))
    # 4.6 in of peep height over 5 yd: 25.6 mrad, ± 4 of the look and 0.8 of the peep
    assert np.median(scale.tangent(way * 0.031)) == pytest.approx(25.6e-3, abs=0.3e-3)
    assert scale.tangent(way * 0.031).std() == pytest.approx(4.1e-3, rel=0.08)


def test_the_sight_radius_is_as_doubtful_as_the_sheet_says_and_goes_with_the_gain():
    unshot = drawn(ENDS, shoot=False)
    scale = scale_of(unshot, LOOK, np.random.default_rng(2))
    radius = scale.sight_radius_m[:, 0]
    assert np.median(radius) == pytest.approx(33 * INCH_M, rel=0.002)
    assert radius.std() == pytest.approx(0.5 * INCH_M, rel=0.08)
    gear = np.abs(scale.reading_per_tangent_m[:, 0]) / radius
    assert gear.std() == pytest.approx(0.05, rel=0.08)
    assert abs(np.corrcoef(gear, radius)[0, 1]) < 0.08


def test_an_unknown_gear_and_radius_are_as_wide_as_what_is_usual():
    unshot = drawn(ENDS | {"reading_per_travel": None, "sight_radius_m": None}, shoot=False)
    scale = scale_of(unshot, LOOK, np.random.default_rng(2))
    assert np.std(scale.sight_radius_m) == pytest.approx(1.5 * INCH_M, rel=0.1)

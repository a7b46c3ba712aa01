from dataclasses import replace
from math import log

import numpy as np
import pytest
from exact_units import GRAIN_KG, INCH_M, YARD_M
from sessions import groups, rig, truth_near

from tapewright.calibration.fit import fit_bow
from tapewright.calibration.prior import prior_from_rig
from tapewright.calibration.rig import Belief, Chronograph, HouseValue, HouseValues, Rating
from tapewright.confidence.bands import drawn_marks
from tapewright.confidence.posterior import draw_posterior
from tapewright.field.change import (
    carried_draws,
    carried_prior,
    has_another_scale,
    in_distances_of,
    other_scale,
)
from tapewright.flight.air import Air

USUAL_VIRTUAL_MASS_KG = 45.0 * 0.45359237 / 7000.0  # 45 grains; common practice [kg]
BAR_LEAN_RAD = 0.02  # a sight's bar against the arrow; common practice
RADIUS_M = 33 * INCH_M  # of the sheet

OLD = rig()


@pytest.fixture(scope="module")
def old():
    shot = groups(OLD, truth_near(OLD))
    return draw_posterior(fit_bow(OLD, (*shot, *shot[:1])), np.random.default_rng(1))


def carry(old, new, seed=3, sheet=OLD, **how):
    unknowns = old.calibration.evidence.prior.unknowns
    cloud = carried_draws(old.vectors, unknowns, sheet, new, np.random.default_rng(seed), **how)
    names = prior_from_rig(new, np.zeros(0)).unknowns
    had = {
        name: old.vectors[:, unknowns.place(name)] for name in names.names if name in unknowns.names
    }
    now = {name: cloud[:, names.place(name)] for name in names.names}
    return now, {name: now[name] - had[name] for name in had}, cloud


def arrow(**parts):
    return replace(OLD, arrow=replace(OLD.arrow, **parts))


def sight(**parts):
    return replace(OLD, sight=replace(OLD.sight, **parts))


def bow(**parts):
    return replace(OLD, bow=replace(OLD.bow, **parts))


def test_no_change_changes_nothing(old):
    _, by, _ = carry(old, OLD)
    assert max(np.abs(one).max() for one in by.values()) == 0.0


def test_a_heavier_arrow_is_slower_by_virtual_mass_and_drags_less(old):
    heavy = arrow(mass_kg=Belief(500 * GRAIN_KG, 2 * GRAIN_KG))
    _, by, _ = carry(old, heavy)
    kept = USUAL_VIRTUAL_MASS_KG
    was, now = OLD.arrow.mass_kg.value, heavy.arrow.mass_kg.value
    wanted = 0.5 * log((was + kept) / (now + kept))
    assert np.median(by["log_speed"]) == pytest.approx(wanted, abs=5e-4)
    assert np.median(by["log_drag"]) == pytest.approx(log(was / now), abs=3e-3)
    assert by["log_drag"].std() == pytest.approx(np.hypot(0.02, 0.0062), rel=0.1)
    assert np.abs(by["peep_height"]).max() == 0.0


def test_what_another_mass_leaves_open_grows_with_it(old):
    """0.25 mrad and 2 mrad an e-fold of mass; speed 0.2 %, 2 % an e-fold, virtual mass ± 40 %."""
    told = {grains: arrow(mass_kg=Belief(grains * GRAIN_KG)) for grains in (421, 460, 525)}
    sheet = arrow(mass_kg=Belief(420 * GRAIN_KG))
    for grains, flight_rad, speed in (
        (421, 0.25e-3, 0.0020), (460, 0.31e-3, 0.0031), (525, 0.51e-3, 0.0061),
    ):  # fmt: skip
        _, by, _ = carry(old, told[grains], sheet=sheet)
        assert by["zero_tangent"].std() == pytest.approx(flight_rad, rel=0.06)
        assert by["log_speed"].std() == pytest.approx(speed, rel=0.06)
        assert by["windage"].std() == pytest.approx(0.5e-3, rel=0.06)


def test_a_mass_that_was_weighed_roughly_leaves_more_open(old):
    """Of 420 and 500 gr, each ± 20 gr: half of the arrow's share of what moves, both together."""
    rough = [arrow(mass_kg=Belief(grains * GRAIN_KG, 20 * GRAIN_KG)) for grains in (420, 500)]
    sharp = [arrow(mass_kg=Belief(grains * GRAIN_KG)) for grains in (420, 500)]
    spread = [carry(old, new, sheet=was)[1]["log_speed"].std() for was, new in (rough, sharp)]
    more = np.sqrt(spread[0] ** 2 - spread[1] ** 2)
    assert more == pytest.approx(np.hypot(0.5 * 20 / 465, 0.5 * 20 / 545), rel=0.08)


def test_a_thin_shaft_drags_less_by_its_diameter(old):
    """Skin goes with the diameter, base with its square, vanes with neither: ± 0.3 about one."""
    thin = arrow(shaft_diameter_m=5.0e-3, mass_kg=Belief(OLD.arrow.mass_kg.value))
    _, by, _ = carry(old, thin)
    assert np.median(by["log_speed"]) == pytest.approx(0.0, abs=2e-4)
    assert by["log_speed"].std() == pytest.approx(0.002, rel=0.08)
    assert np.median(by["log_drag"]) == pytest.approx(log(5.0 / 6.0), abs=3e-3)
    assert by["log_drag"].std() == pytest.approx(np.hypot(0.02, 0.3 * log(6 / 5)), rel=0.08)
    # half a millimetre lower on the rest, 0.7 m before the nock
    assert by["zero_tangent"].std() == pytest.approx(np.hypot(0.5e-3, 0.414e-3), rel=0.08)


def test_a_mass_without_doubt_is_taken_at_its_word(old):
    _, by, _ = carry(old, arrow(mass_kg=Belief(500 * GRAIN_KG)))
    assert np.median(by["log_speed"]) < 0.0


def test_other_vanes_leave_drag_open_and_little_else(old):
    _, by, _ = carry(old, arrow(vane_height_m=0.5 * INCH_M))
    assert np.median(by["log_drag"]) == pytest.approx(0.0, abs=0.012)
    assert by["log_drag"].std() == pytest.approx(0.14, rel=0.08)
    assert by["zero_tangent"].std() == pytest.approx(0.25e-3, rel=0.08)
    assert np.abs(by["log_speed"]).max() == 0.0


def test_a_broadhead_drags_and_may_fly_elsewhere(old):
    _, by, _ = carry(old, arrow(point="broadhead"))
    assert np.median(by["log_drag"]) == pytest.approx(log(2.6 / 2.1), abs=0.012)
    assert by["log_drag"].std() == pytest.approx(0.14, rel=0.08)
    for name in ("zero_tangent", "windage"):
        assert by[name].std() == pytest.approx(1.5e-3, rel=0.08)


def test_blades_of_another_size_are_another_point(old):
    wide, narrow, bare = (
        arrow(point="broadhead", blade_diameter_m=size) for size in (32e-3, 25e-3, None)
    )
    _, by, _ = carry(old, wide, sheet=narrow)
    assert by["zero_tangent"].std() == pytest.approx(1.5e-3, rel=0.08)
    assert np.median(by["log_drag"]) == pytest.approx(0.0, abs=0.012)
    _, by, _ = carry(old, wide, sheet=bare)  # told for the first time
    assert np.abs(by["zero_tangent"]).max() == 0.0


def test_a_longer_arrow_leaves_the_string_farther_ahead_and_has_more_skin(old):
    _, by, _ = carry(old, arrow(length_m=30.5 * INCH_M))
    assert by["launch_ahead"] == pytest.approx(2.0 * INCH_M)
    assert np.median(by["log_drag"]) == pytest.approx(0.5 * log(30.5 / 28.5), abs=2e-3)


def test_other_air_is_other_drag(old):
    thin = Air(288.15, 90000.0, 0.0)
    _, by, _ = carry(old, replace(OLD, air=thin))
    assert by["log_drag"] == pytest.approx(log(thin.density_kg_m3 / OLD.air.density_kg_m3))


def test_another_temperature_leaves_speed_open(old):
    """0.00075 a kelvin, either way, of limbs that nobody has measured."""
    cold = Air(OLD.air.temperature_k - 20.0, OLD.air.pressure_pa, 0.0)
    _, by, _ = carry(old, replace(OLD, air=cold))
    assert np.median(by["log_speed"]) == pytest.approx(0.0, abs=1e-3)
    assert by["log_speed"].std() == pytest.approx(0.015, rel=0.08)
    assert np.abs(by["zero_tangent"]).max() == 0.0


def test_bulky_clothes_leave_angle_and_draw_open(old):
    """1 mrad up and sideways, a quarter of an inch of draw; common practice, no source."""
    _, by, _ = carry(old, OLD, other_clothes=True)
    assert by["zero_tangent"].std() == pytest.approx(1.0e-3, rel=0.08)
    assert by["windage"].std() == pytest.approx(1.0e-3, rel=0.08)
    # 0.74 of a compound's share of stroke (9.19): 29 in less 1.75 and some 6.5 of brace height
    assert by["log_speed"].std() == pytest.approx(0.74 * 0.25 / 20.75, rel=0.1)
    assert abs(np.median(by["log_speed"])) < 1e-3


def test_more_draw_weight_is_more_speed_and_leaves_the_zero_open(old):
    """The trade's 15 to 20 ft/s for 10 of 70 lbf, up to the root of energy alone."""
    heavy, light = (bow(draw_weight_n=force) for force in (300.0, 270.0))
    _, by, _ = carry(old, heavy, sheet=light)
    assert np.median(by["log_speed"]) == pytest.approx(0.42 * log(300 / 270), abs=1e-3)
    spread = np.hypot(0.06 * log(300 / 270), 0.42 * np.sqrt(2) * 0.008)
    assert by["log_speed"].std() == pytest.approx(spread, rel=0.08)
    assert by["zero_tangent"].std() == pytest.approx(0.5e-3, rel=0.08)
    assert by["windage"].std() == pytest.approx(0.5e-3, rel=0.08)
    assert np.abs(by["log_gain"]).max() == 0.0
    _, by, _ = carry(old, heavy)  # the old sheet does not tell the weight: nothing is known
    assert np.abs(by["log_speed"]).max() == 0.0


def test_a_longer_draw_is_more_speed_and_the_eye_goes_back_with_it(old):
    """Half an inch of a stroke of 20¾ in; the pin is half an inch farther from the eye."""
    short, long = (bow(draw_length_m=inches * INCH_M) for inches in (29.0, 29.5))
    now, by, _ = carry(old, long, sheet=short)
    assert np.median(by["log_speed"]) == pytest.approx(0.74 * log(21.25 / 20.75), abs=1e-3)
    spread = np.hypot(0.14 * log(21.25 / 20.75), 0.74 * 0.1 / 21.25)
    assert by["log_speed"].std() == pytest.approx(spread, rel=0.08)
    assert by["launch_ahead"] == pytest.approx(0.5 * INCH_M)
    assert np.median(by["log_gain"]) == pytest.approx(log(33.5 / 33.0), abs=3e-4)
    assert by["log_gain"].std() == pytest.approx(0.1 / 33.5, rel=0.08)
    assert by["peep_height"].std() == pytest.approx(0.08 * 0.5 * INCH_M, rel=0.08)
    before = now["zero_tangent"] - by["zero_tangent"]
    open_rad = now["zero_tangent"] - before * 33.0 / 33.5
    assert open_rad.std() == pytest.approx(np.hypot(0.5e-3, 1.016e-3 / RADIUS_M), rel=0.08)


def test_lengths_measured_anew_are_taken_in_place_of_what_the_draw_tells(old):
    short = bow(draw_length_m=29.0 * INCH_M)
    told = {"sight_radius_m": Belief(34 * INCH_M), "peep_height_m": Belief(0.12)}
    long = replace(
        short, bow=replace(short.bow, draw_length_m=30.0 * INCH_M),
        sight=replace(short.sight, **told),
    )  # fmt: skip
    exact = replace(short, sight=replace(
        short.sight, sight_radius_m=Belief(33 * INCH_M), peep_height_m=Belief(0.118)))  # fmt: skip
    _, by, _ = carry(old, long, sheet=exact)
    assert by["log_gain"] == pytest.approx(log(34 / 33))
    assert by["peep_height"] == pytest.approx(0.002)


def test_a_draw_told_for_the_first_time_is_no_longer_draw(old):
    _, by, _ = carry(old, bow(draw_length_m=29.5 * INCH_M))
    assert np.abs(by["log_speed"]).max() == 0.0
    assert np.abs(by["log_gain"]).max() == 0.0
    _, by, _ = carry(old, OLD, sheet=bow(draw_length_m=29.5 * INCH_M))
    assert np.abs(by["log_speed"]).max() == 0.0


def test_a_greater_brace_height_is_less_speed(old):
    low, high = (bow(brace_height_m=inches * INCH_M) for inches in (6.5, 7.0))
    _, by, _ = carry(old, high, sheet=low)
    assert np.median(by["log_speed"]) == pytest.approx(0.74 * log(20.25 / 20.75), abs=1e-3)
    assert np.abs(by["log_gain"]).max() == 0.0


def test_a_new_string_is_told_by_the_archer_and_its_peep_tied_again(old):
    """Peep within 1.5 mm, nocking point within half a millimetre, speed within 1 %."""
    _, by, _ = carry(old, OLD, new_string=True)
    assert np.median(by["log_speed"]) == pytest.approx(0.0, abs=1e-3)
    assert by["log_speed"].std() == pytest.approx(0.01, rel=0.08)
    assert np.abs(by["log_drag"]).max() == 0.0
    assert by["peep_height"].std() == pytest.approx(1.5e-3, rel=0.08)
    assert by["zero_tangent"].std() == pytest.approx(np.hypot(0.9e-3, 1.79e-3), rel=0.08)
    assert by["windage"].std() == pytest.approx(0.5e-3, rel=0.08)


def test_a_peep_measured_on_the_new_string_is_where_it_was_measured(old):
    was, told = (sight(peep_height_m=Belief(height)) for height in (0.117, 0.119))
    _, by, _ = carry(old, told, sheet=was, new_string=True)
    assert by["peep_height"] == pytest.approx(0.002)


def test_a_raised_peep_lifts_every_mark_alike(old):
    raised = OLD.sight.peep_height_m.value + 5e-3
    _, by, _ = carry(old, sight(peep_height_m=Belief(raised)), sheet=sight(
        peep_height_m=Belief(OLD.sight.peep_height_m.value)))  # fmt: skip
    assert by["peep_height"] == pytest.approx(5e-3)
    assert by["zero_tangent"] == pytest.approx(-5e-3 / OLD.sight.sight_radius_m.value)


def test_a_raised_peep_moves_far_marks_by_what_the_triangle_says(old):
    """At a far target the eye that rises by a needs the pin lower by nearly a, less a L/R."""
    before = sight(peep_height_m=Belief(OLD.sight.peep_height_m.value))
    after = sight(peep_height_m=Belief(OLD.sight.peep_height_m.value + 5e-3))
    _, _, cloud = carry(old, after, sheet=before)
    prior = carried_prior(cloud, after, 60.0)
    now = draw_posterior(fit_bow(after, (), prior), np.random.default_rng(1))
    at = np.array([60.0 * YARD_M])
    moved = np.median(drawn_marks(now, at)) - np.median(drawn_marks(old, at))
    gain = OLD.sight.reading_per_travel.value
    radius = OLD.sight.sight_radius_m.value
    # the reading counts pin travel down: up goes the pin with the eye, but for a L/R
    wanted = -gain * 5e-3 * (1.0 - radius / at[0])
    assert moved == pytest.approx(wanted, abs=0.25e-3)


def test_a_pin_farther_out_stretches_the_scale(old):
    radius = OLD.sight.sight_radius_m
    out = sight(sight_radius_m=Belief(radius.value + INCH_M, radius.sd))
    now, by, _ = carry(old, out)
    assert np.median(by["log_gain"]) == pytest.approx(log(34 / 33), abs=2e-3)
    unknowns = old.calibration.evidence.prior.unknowns
    before = old.vectors[:, unknowns.place("zero_tangent")]
    slid = now["zero_tangent"] - before * 33 / 34
    assert slid.std() == pytest.approx(BAR_LEAN_RAD / 34, rel=0.2)
    bare = sight(sight_radius_m=Belief(radius.value + INCH_M))
    _, by, _ = carry(old, bare, sheet=sight(sight_radius_m=Belief(radius.value)))
    assert by["log_gain"] == pytest.approx(log(34 / 33))


def test_pins_that_are_new_or_moved_are_where_the_sheet_says(old):
    two = sight(pins_below_first_m=(Belief(9e-3, 0.2e-3),))
    now, _, _ = carry(old, two)
    assert np.median(now["pin_2_below"]) == pytest.approx(9e-3, abs=2e-5)
    unknowns = prior_from_rig(two, np.zeros(0)).unknowns
    cloud = carry(old, two)[2]
    moved = sight(pins_below_first_m=(Belief(12e-3, 0.2e-3), Belief(20e-3)))
    again = carried_draws(cloud, unknowns, two, moved, np.random.default_rng(1))
    place = prior_from_rig(moved, np.zeros(0)).unknowns.place
    assert np.median(again[:, place("pin_2_below")]) == pytest.approx(12e-3, abs=2e-5)
    assert np.median(again[:, place("pin_3_below")]) == pytest.approx(20e-3, abs=2e-5)
    kept = carried_draws(cloud, unknowns, two, two, np.random.default_rng(1))
    assert kept == pytest.approx(cloud)


def test_a_speed_read_with_the_new_arrow_is_weighed_in(old):
    heavy = arrow(mass_kg=Belief(500 * GRAIN_KG, 2 * GRAIN_KG))
    guessed, _, _ = carry(old, heavy)
    for told in (
        replace(heavy, bow=replace(heavy.bow, launch_speed_mps=Belief(77.0, 0.2))),
        replace(heavy, bow=replace(heavy.bow, chronograph=(Chronograph(Belief(77.0, 0.2), 1e-3),))),
    ):
        now, _, _ = carry(old, told)
        assert now["log_speed"].std() < 0.6 * guessed["log_speed"].std()
        assert np.median(np.exp(now["log_speed"])) == pytest.approx(77.0, abs=0.25)
        assert not np.array_equal(now["zero_tangent"], guessed["zero_tangent"])


def test_what_both_sheets_tell_is_neither_news_nor_in_doubt(old):
    """A rating that both tell is not heard, and speeds of two arrows do not disagree."""
    rating = Rating(Belief(150.0), 300.0, 0.76, 350 * GRAIN_KG)  # m/s, N, m: much too fast
    read = replace(OLD.bow, rating=rating)
    heavy = arrow(mass_kg=Belief(500 * GRAIN_KG, 2 * GRAIN_KG))
    told = replace(heavy, bow=replace(read, launch_speed_mps=Belief(77.0, 0.2)))
    now, _, cloud = carry(old, told, sheet=replace(OLD, bow=read))
    assert np.median(np.exp(now["log_speed"])) == pytest.approx(77.0, abs=0.25)
    assert prior_from_rig(told, np.zeros(0)).disagreements
    assert carried_prior(cloud, told, 60.0).disagreements == ()


def test_what_the_old_sheet_left_out_is_weighed_in(old):
    """A height, a drag, a scale that is measured at last is news, not a change."""
    bare = sight(peep_height_m=None, reading_per_travel=None)
    told = replace(OLD, arrow=replace(OLD.arrow, drag_coefficient=Belief(2.3, 0.05)))
    now, _, _ = carry(old, told, sheet=bare)
    plain, _, _ = carry(old, bare, sheet=bare)
    for name in ("peep_height", "log_gain", "log_drag"):
        assert now[name].std() < plain[name].std()


def test_a_sight_measured_for_the_first_time_has_not_moved(old):
    _, by, _ = carry(old, OLD, sheet=sight(sight_radius_m=None))
    assert np.abs(by["log_gain"]).max() == 0.0


@pytest.mark.parametrize(
    ("change", "other"),
    [
        ({"farther": "decreases"}, True),
        ({"arm_length_m": 0.09}, True),
        ({"arm_level_reading_m": 0.03}, True),
        ({"reading_per_travel": Belief(1.9, 0.05)}, True),
        ({"reading_per_travel": None}, False),
        ({"peep_height_m": Belief(0.12)}, False),
    ],
)
def test_another_scale_is_seen(change, other):
    assert has_another_scale(OLD, sight(**change)) is other
    keys = tuple(key.removesuffix("_m") for key in change)
    assert other_scale(OLD, sight(**change)) == (keys if other else ())


def test_a_bow_for_the_other_hand_is_another_bow():
    assert other_scale(OLD, replace(OLD, hand="left")) == ("hand",)


@pytest.mark.parametrize("arm_m", [None, 0.09])
def test_an_arm_carries_a_moved_peep_or_sight_as_the_triangle_says(old, arm_m):
    """Plain geometry, no source: a peep 5 mm higher leaves the pin of every reading 5 mm farther
    below the line through the eye, and a sight slid along its bar leaves all of them where they
    were or, if the bar leans, all shifted alike. On an arm as on a straight slide."""
    arm = {"arm_length_m": arm_m, "arm_level_reading_m": 0.03 if arm_m else 0.0}
    exact = {"peep_height_m": Belief(0.117), "sight_radius_m": Belief(0.84)}
    sheet, readings = sight(**arm, **exact), np.array([0.01, 0.03, 0.06])
    unknowns = old.calibration.evidence.prior.unknowns

    def drops(**changed):
        now = sight(**arm, **(exact | changed))
        cloud = carried_draws(old.vectors, unknowns, sheet, now, np.random.default_rng(7))
        found = prior_from_rig(now, np.zeros(0)).unknowns.bow(cloud).scale.drop(readings)
        return np.asarray(found)

    before = drops()
    lifted = drops(peep_height_m=Belief(0.122)) - before
    assert lifted == pytest.approx(np.full(lifted.shape, 5e-3), abs=1e-9)
    slid = drops(sight_radius_m=Belief(0.865)) - before
    assert np.ptp(slid, axis=1).max() < 1e-9
    assert np.median(slid) == pytest.approx(0.0, abs=5e-5)  # 2 % lean of 25 mm, 4000 draws


def test_the_belief_has_the_clouds_mean_and_covariance(old):
    heavy = arrow(mass_kg=Belief(500 * GRAIN_KG, 2 * GRAIN_KG))
    _, _, cloud = carry(old, heavy)
    prior = carried_prior(cloud, heavy, 60.0)
    assert prior.is_carried
    assert prior.assumed == ()
    assert prior.mean == pytest.approx(cloud.mean(axis=0))
    white = prior.whitened(cloud)
    assert np.cov(white.T) == pytest.approx(np.eye(len(prior.mean)), abs=1e-6)


def test_new_arrows_narrow_the_carried_belief(old):
    heavy = arrow(mass_kg=Belief(500 * GRAIN_KG, 2 * GRAIN_KG))
    _, _, cloud = carry(old, heavy)
    prior = carried_prior(cloud, heavy, 60.0)
    rng = np.random.default_rng
    bare = draw_posterior(fit_bow(heavy, (), prior), rng(1))
    truth = truth_near(heavy, log_speed=float(np.median(cloud[:, 0])))
    shot = groups(heavy, truth, (60,))
    fitted = draw_posterior(fit_bow(heavy, shot, prior), rng(1))
    at = np.array([60.0, 80.0]) * YARD_M
    assert (drawn_marks(fitted, at).std(axis=0) < 0.6 * drawn_marks(bare, at).std(axis=0)).all()
    assert bare.method == "carried"
    assert fitted.method == "importance sampling"


def test_another_kind_of_bow_carries_nothing_over():
    recurve = replace(OLD, bow=replace(OLD.bow, kind="recurve"))
    assert other_scale(OLD, recurve) == ("kind",)
    assert other_scale(OLD, replace(OLD, bow=replace(OLD.bow, kind="compound"))) == ()


@pytest.mark.parametrize(("kind", "moving_gr"), [("recurve", 85), ("longbow", 225)])
def test_an_arrow_is_carried_over_by_the_kinds_own_virtual_mass(old, kind, moving_gr):
    was = replace(OLD, bow=replace(OLD.bow, kind=kind))
    heavy = replace(was, arrow=replace(was.arrow, mass_kg=Belief(500 * GRAIN_KG)))
    _, by, _ = carry(old, heavy, sheet=was)
    kg = moving_gr * GRAIN_KG
    wanted = 0.5 * log((was.arrow.mass_kg.value + kg) / (500 * GRAIN_KG + kg))
    assert np.median(by["log_speed"]) == pytest.approx(wanted, abs=1e-3)


TRAVEL = "sight.reading_per_travel"


def housed(travel, kind="", *, is_from_house=True):
    """The old sheet with a reading per travel of the house, or stated."""
    value = Belief(travel, 0.01 * travel)
    house = HouseValues("Reed", (HouseValue(TRAVEL, value, kind),)) if is_from_house else None
    return replace(sight(reading_per_travel=value, kind=kind), house=house)


@pytest.mark.parametrize(
    ("before", "after", "keys"),
    [
        (housed(1.573), housed(1.573), ()),
        # the sheet states what the house had stood in for: measured, not moved
        (housed(1.573), housed(1.60, is_from_house=False), ()),
        (housed(1.573, "slider"), housed(1.71, "arm"), ("reading_per_travel", "kind of sight")),
        (housed(1.573, "slider"), housed(1.573, "Slider"), ()),
        (
            housed(1.6, "slider", is_from_house=False),
            housed(1.6, "arm", is_from_house=False),
            ("kind of sight",),
        ),
        (housed(1.6, "", is_from_house=False), housed(1.6, "arm", is_from_house=False), ()),
    ],
)
def test_a_house_value_is_no_statement_and_another_kind_is_another_sight(before, after, keys):
    assert other_scale(before, after) == keys


def test_a_sight_measured_after_its_house_value_is_weighed_in(old):
    measured = sight(reading_per_travel=Belief(1.60, 0.001), sight_radius_m=Belief(0.84, 1e-4))
    still = replace(measured, house=None)
    was = replace(measured, house=HouseValues("Reed", (HouseValue(TRAVEL, Belief(1.6, 0.001)),)))
    _, by, _ = carry(old, still, sheet=was)
    assert np.abs(by["log_gain"]).max() > 0.0
    _, by, _ = carry(old, still, sheet=still)
    assert np.abs(by["log_gain"]).max() == 0.0


def test_marks_for_other_distances_doubt_the_speed_by_half_of_what_those_are_off(old):
    _, _, cloud = carry(old, OLD)
    rng = np.random.default_rng(1)
    assert in_distances_of(cloud, OLD, "pegs", "pegs", rng) is cloud
    other = in_distances_of(cloud, OLD, "paces", "tape", rng) - cloud
    speed = prior_from_rig(OLD, np.zeros(0)).unknowns.place("log_speed")
    assert other[:, speed].std() == pytest.approx(0.015, rel=0.05)  # half of 3 %, of 2,000 draws
    assert np.abs(np.delete(other, speed, axis=1)).max() == 0.0

"""What a sheet says before the first arrow; sums worked out by hand stand beside each check."""

from dataclasses import replace
from math import exp, hypot, log

import numpy as np
import pytest
from exact_units import FOOT_M, GRAIN_KG, INCH_M, POUND_FORCE_N
from sessions import rig

from tapewright.calibration.prior import prior_from_rig, sideways_belief
from tapewright.calibration.rig import Arrow, Belief, Bow, Chronograph, Rating, Rig

LOG_SD_OF_CHRONOGRAPH = 0.01  # 1 % of speed where a chronograph says nothing of its doubt
LOG_SD_OF_RATING = 0.05  # 5 % of speed from a rating
USUAL_DRAG = {"field": (2.1, 0.26), "broadhead": (2.6, 0.30)}  # median, log sd; [ORT20], [MIY21]
USUAL_PEEP_HEIGHT_M = Belief(0.1143, 0.01016)  # 4.5 ± 0.4 in; common practice [m]
USUAL_VIRTUAL_MASS_KG = 45.0 * 0.45359237 / 7000.0  # 45 grains; common practice [kg]

FPS = FOOT_M
LB = POUND_FORCE_N


def prior(sheet, shared=()):
    return prior_from_rig(sheet, np.array(shared, float))


def speed_fps(sheet):
    found = prior(sheet)
    place = found.unknowns.place("log_speed")
    return exp(found.mean[place]) / FPS, found.sd[place]


def said(sheet, name):
    found = prior(sheet)
    place = found.unknowns.place(name)
    return found.mean[place], found.sd[place]


def test_a_speed_on_the_sheet_is_taken_with_its_doubt():
    value, doubt = speed_fps(rig(bow=Bow(launch_speed_mps=Belief(278 * FPS, 3 * FPS))))
    assert value == pytest.approx(278)
    assert doubt == pytest.approx(3 / 278)


def test_a_speed_without_a_doubt_gets_that_of_a_chronograph():
    _, doubt = speed_fps(rig(bow=Bow(launch_speed_mps=Belief(278 * FPS))))
    assert doubt == LOG_SD_OF_CHRONOGRAPH


def test_a_chronograph_down_the_line_means_a_faster_launch():
    near = Bow(chronograph=(Chronograph(Belief(270 * FPS), 0.0),))
    far = Bow(chronograph=(Chronograph(Belief(270 * FPS), 20.0),))
    assert speed_fps(rig(bow=near))[0] == pytest.approx(270, abs=0.01)
    # Drag costs about exp(−κx) of the speed: κ from the prior's own drag.
    kappa = exp(said(rig(bow=far), "log_drag")[0])
    assert speed_fps(rig(bow=far))[0] == pytest.approx(270 * exp(kappa * 20.0), rel=1e-3)


def test_a_chronograph_of_a_lighter_arrow_means_a_slower_own():
    own, lighter = 420 * GRAIN_KG, 380 * GRAIN_KG
    other = Bow(chronograph=(Chronograph(Belief(290 * FPS), 0.0, lighter),))
    value, doubt = speed_fps(rig(bow=other))
    # eq. (4.2): v' = v √((m + m_v) / (m' + m_v)), m_v 45 grains
    virtual = 45 * GRAIN_KG
    assert value == pytest.approx(290 * ((lighter + virtual) / (own + virtual)) ** 0.5, abs=0.05)
    assert doubt > LOG_SD_OF_CHRONOGRAPH


def test_a_lighter_arrow_lost_more_speed_on_its_way_to_the_gate():
    own, lighter, virtual = 420 * GRAIN_KG, 300 * GRAIN_KG, 45 * GRAIN_KG
    other = Bow(chronograph=(Chronograph(Belief(290 * FPS), 30.0, lighter),))
    kappa = exp(said(rig(bow=other), "log_drag")[0]) * own / lighter
    wanted = 290 * exp(kappa * 30.0) * ((lighter + virtual) / (own + virtual)) ** 0.5
    assert speed_fps(rig(bow=other))[0] == pytest.approx(wanted, rel=2e-3)


def test_two_chronographs_are_weighed_by_their_doubts():
    both = Bow(
        chronograph=(
            Chronograph(Belief(270 * FPS, 2.7 * FPS), 0.0),
            Chronograph(Belief(275 * FPS, 5.5 * FPS), 0.0),
        )
    )
    value, doubt = speed_fps(rig(bow=both))
    # relative doubts 1 % and 2 %: weights 4 to 1
    assert value == pytest.approx(exp((4 * log(270) + log(275)) / 5), abs=0.05)
    assert doubt == pytest.approx(0.01 / (1 + 1 / 4) ** 0.5)
    assert prior(rig(bow=both)).disagreements == ()


def test_two_speeds_that_differ_count_as_wide_as_they_differ():
    both = Bow(
        launch_speed_mps=Belief(270 * FPS, 1 * FPS),
        chronograph=(Chronograph(Belief(292 * FPS, 1 * FPS), 0.0),),
    )
    value, doubt = speed_fps(rig(bow=both))
    # weights of logarithms 270² to 292²; of two alike in doubt, half the difference
    middle = (270**2 * log(270) + 292**2 * log(292)) / (270**2 + 292**2)
    assert value == pytest.approx(exp(middle), abs=0.01)
    assert value * doubt == pytest.approx(11.0, abs=0.1)
    (told,) = prior(rig(bow=both)).disagreements
    assert told.name == "launch_speed"
    assert [who for who, _, _ in told.said] == ["launch_speed", "chronograph 1"]
    assert [speed / FPS for _, speed, _ in told.said] == pytest.approx([270, 292], rel=1e-5)
    assert [sd / FPS for _, _, sd in told.said] == pytest.approx([1, 1], rel=1e-5)
    assert told.weighed.value / FPS == pytest.approx(value)
    assert told.weighed.scale == pytest.approx(11 * 2**0.5, rel=0.01)


def test_a_rating_is_heard_beside_a_chronograph_only_if_one_of_them_must_be_wrong():
    def sheet(rated_fps):
        rated = Rating(Belief(rated_fps * FPS), 70 * LB, 30 * INCH_M, 420 * GRAIN_KG)
        measured = Belief(300 * FPS, 9 * FPS)
        bow = Bow(draw_weight_n=70 * LB, draw_length_m=30 * INCH_M, rating=rated,
                  launch_speed_mps=measured)  # fmt: skip
        return rig(bow=bow)

    assert speed_fps(sheet(330)) == (pytest.approx(300), pytest.approx(0.03))
    assert prior(sheet(330)).disagreements == ()
    weighed = 0.5 * sheet(380).arrow.mass_kg.sd / (420 * GRAIN_KG + USUAL_VIRTUAL_MASS_KG)
    rating2 = LOG_SD_OF_RATING**2 + weighed**2
    share = (1 / 0.03**2) / (1 / 0.03**2 + 1 / rating2)
    value, doubt = speed_fps(sheet(380))
    assert value == pytest.approx(exp(share * log(300) + (1 - share) * log(380)), rel=1e-6)
    scale = log(380 / 300) / hypot(0.03, rating2**0.5)  # of two: their difference over its doubt
    assert doubt == pytest.approx(scale * (1 / 0.03**2 + 1 / rating2) ** -0.5, rel=1e-6)
    (told,) = prior(sheet(380)).disagreements
    assert [who for who, _, _ in told.said] == ["launch_speed", "rated_speed"]


def test_a_rating_at_its_own_conditions_is_the_speed():
    mass = 420 * GRAIN_KG
    rated = Rating(Belief(330 * FPS, 3.3 * FPS), 70 * LB, 30 * INCH_M, mass)
    bow = Bow(draw_weight_n=70 * LB, draw_length_m=30 * INCH_M, rating=rated)
    value, doubt = speed_fps(rig(bow=bow))
    assert value == pytest.approx(330)
    weighed = 0.5 * rig(bow=bow).arrow.mass_kg.sd / (mass + USUAL_VIRTUAL_MASS_KG)
    assert doubt == pytest.approx(hypot(LOG_SD_OF_RATING, 0.01, weighed))


def test_less_draw_weight_than_rated_is_slower_by_the_root():
    rated = Rating(Belief(330 * FPS), 70 * LB, 30 * INCH_M, 420 * GRAIN_KG)
    bow = Bow(draw_weight_n=60 * LB, draw_length_m=30 * INCH_M, rating=rated)
    assert speed_fps(rig(bow=bow))[0] == pytest.approx(330 * (60 / 70) ** 0.5)


def test_a_longer_draw_than_rated_is_faster_by_the_root_of_the_stroke():
    rated = Rating(Belief(330 * FPS), 70 * LB, 30 * INCH_M, 420 * GRAIN_KG)
    bow = Bow(draw_length_m=31 * INCH_M, brace_height_m=6.5 * INCH_M, rating=rated)
    # power stroke: draw length − 1¾ in − brace height
    stroke = (31 - 1.75 - 6.5) / (30 - 1.75 - 6.5)
    assert speed_fps(rig(bow=bow))[0] == pytest.approx(330 * stroke**0.5)


def test_no_word_of_speed_is_a_usual_bow_and_is_said():
    silent = rig(bow=Bow())
    assert 250 < speed_fps(silent)[0] < 330
    assert any("launch speed" in words for words in prior(silent).assumed)


@pytest.mark.parametrize("point", ["field", "broadhead"])
def test_unsaid_drag_is_usual_for_its_point_and_is_said(point):
    arrow = Arrow(Belief(420 * GRAIN_KG), 6e-3, point=point)
    found = prior(rig(arrow=arrow))
    place = found.unknowns.place("log_drag")
    # κ = ρ C A / 2m in the standard's 1.225 kg/m³ (moist air a little less)
    area = np.pi * 3e-3**2
    coefficient = exp(found.mean[place]) * 2 * 420 * GRAIN_KG / (1.225 * area)
    assert coefficient == pytest.approx(USUAL_DRAG[point][0], rel=0.01)
    assert found.sd[place] == USUAL_DRAG[point][1]
    assert any("drag coefficient" in words for words in found.assumed)


def test_said_drag_is_taken_with_the_doubt_of_the_mass():
    arrow = Arrow(Belief(420 * GRAIN_KG, 42 * GRAIN_KG), 6e-3, drag_coefficient=Belief(2.0, 0.2))
    found = prior(rig(arrow=arrow))
    assert found.sd[found.unknowns.place("log_drag")] == pytest.approx(hypot(0.1, 0.1))
    assert not any("drag" in words for words in found.assumed)


def test_unsaid_peep_and_radius_are_usual_and_are_said():
    silent = rig({"peep_height_m": None, "sight_radius_m": None})
    assert said(silent, "peep_height") == (USUAL_PEEP_HEIGHT_M.value, USUAL_PEEP_HEIGHT_M.sd)
    words = " ".join(prior(silent).assumed)
    assert "peep height" in words
    assert "sight radius" in words


def test_a_peep_measured_without_a_doubt_is_known_better_than_an_unsaid_one():
    _, doubt = said(rig({"peep_height_m": Belief(0.12)}), "peep_height")
    assert 0 < doubt < USUAL_PEEP_HEIGHT_M.sd


def test_unsaid_reading_per_travel_is_wide_open_and_is_said():
    _, tight = said(rig(), "log_gain")
    silent = rig({"reading_per_travel": None})
    _, wide = said(silent, "log_gain")
    assert wide > 10 * tight
    assert any("reading per travel" in words for words in prior(silent).assumed)


def test_gain_is_reading_per_travel_times_radius():
    mean, doubt = said(rig(), "log_gain")
    assert exp(mean) == pytest.approx(1.6 * 33 * INCH_M)
    assert doubt == pytest.approx(hypot(0.05 / 1.6, 0.5 / 33))


def test_pins_are_taken_from_the_sheet():
    pins = rig({"pins_below_first_m": (Belief(9e-3), Belief(17e-3, 1e-3))})
    assert said(pins, "pin_2_below") == (9e-3, 0.2e-3)
    assert said(pins, "pin_3_below") == (17e-3, 1e-3)


def test_a_shared_distance_has_the_doubt_handed_in():
    found = prior(rig(), shared=[0.3, 0.4])
    assert found.sd[found.unknowns.place("distance_error_2")] == 0.4
    assert found.mean[found.unknowns.place("distance_error_2")] == 0


def test_a_said_dispersion_is_taken():
    mean, doubt = said(rig(archer={"dispersion_rad": Belief(0.9e-3, 0.09e-3)}), "log_dispersion_up")
    assert exp(mean) == pytest.approx(0.9e-3)
    assert doubt == pytest.approx(0.1)


def test_whitened_beliefs_are_deviations():
    found = prior(rig())
    assert (found.whitened(found.mean) == 0).all()
    assert found.whitened(found.mean + 2 * found.sd) == pytest.approx(np.full(len(found.mean), 2))


def test_the_least_sheet_makes_a_prior():
    found = prior(Rig("Heron", Arrow(Belief(0.027), 0.006)))
    assert np.isfinite(found.mean).all()
    assert (found.sd > 0).all()
    assert len(found.assumed) >= 5


def test_what_the_least_sheet_leaves_open_is_the_trades_usual():
    """Common practice, no source, but for the drag ([ORT20]) and the dispersion ([AGB23])."""
    least = Rig("Heron", Arrow(Belief(420 * GRAIN_KG), 0.006))
    # rated 315 ft/s at 70 lb, 30 in, 350 grains, with 45 grains of virtual mass; eq. (4.2)
    value, doubt = speed_fps(least)
    assert value == pytest.approx(315 * ((350 + 45) / (420 + 45)) ** 0.5, rel=1e-9)
    assert doubt == pytest.approx(hypot(0.05, 15 / 315))
    assert said(least, "peep_height") == pytest.approx((4.5 * INCH_M, 0.4 * INCH_M))
    assert said(least, "log_gain") == pytest.approx((log(1.4 * 33 * INCH_M), hypot(0.5, 1.5 / 33)))
    assert said(least, "log_dispersion_up") == pytest.approx((log(0.67e-3), 0.5))
    assert said(least, "log_dispersion_right") == pytest.approx((log(0.67e-3), 0.5))
    assert said(least, "log_wobble") == pytest.approx((log(0.13e-3), 0.5))
    words = prior(least).assumed
    assert "drag coefficient 2.1 (factor 1.30 either way)" in words
    assert "peep height 4.5 in" in words
    assert "sight radius 33.0 in" in words
    # one brace height for both strokes: a longer draw by the root of the stroke
    drawn = speed_fps(Rig("Heron", least.arrow, Bow(draw_length_m=28 * INCH_M)))[0]
    assert drawn / value == pytest.approx(((28 - 1.75 - 6.5) / (30 - 1.75 - 6.5)) ** 0.5)
    weaker = speed_fps(Rig("Heron", least.arrow, Bow(draw_weight_n=60 * LB)))[0]
    assert weaker / value == pytest.approx((60 / 70) ** 0.5)


def bow_of(kind, pounds=None, draw_in=None, brace_in=None, **more):
    sizes = {
        "draw_weight_n": None if pounds is None else pounds * LB,
        "draw_length_m": None if draw_in is None else draw_in * INCH_M,
        "brace_height_m": None if brace_in is None else brace_in * INCH_M,
    }
    return Bow(kind=kind, **sizes, **more)


def speed_of(kind, grains, *said, **more):
    arrow = Arrow(Belief(grains * GRAIN_KG), 6e-3)
    found = prior(rig(bow=bow_of(kind, *said, **more), arrow=arrow))
    place = found.unknowns.place("log_speed")
    return exp(found.mean[place]), found.sd[place], found.assumed


def test_a_recurves_speed_comes_from_its_draw():
    # 0.58 × 50 lbf × (29 − 1.75 − 8.75) in and 107 gr beside the arrow's 370 gr
    energy_j = 0.58 * 50 * LB * 18.5 * INCH_M
    metres, doubt, assumed = speed_of("recurve", 370, 50, 29, 8.75)
    assert metres == pytest.approx((2 * energy_j / (477 * GRAIN_KG)) ** 0.5, rel=1e-9)
    # 5 % of the weight, ¼ in of 18½, a share known to 0.01, virtual mass to 20 %: half their sum
    spread = hypot(hypot(0.05, 0.01 / 0.58), hypot(0.25 / 18.5, 0.2 * 107 / 477))
    assert doubt == pytest.approx(0.5 * spread, rel=1e-9)
    assert "launch speed from draw weight and draw length (give launch_speed)" in assumed
    assert not any("rating" in words for words in assumed)


def test_a_recurve_described_honestly_is_no_compound():
    metres, doubt, _ = speed_of("recurve", 330, 42, 28.5)
    assert abs(metres / FPS - 190) < 2 * doubt * 190  # what such a bow was measured to shoot
    assert speed_of(None, 330, 42, 28.5)[0] / FPS > 220


def test_an_open_draw_is_a_usual_one_and_is_said():
    measured = speed_of("longbow", 450, 45, 28, 6.75)
    open_too = speed_of("longbow", 450)
    assert open_too[0] == pytest.approx(measured[0], rel=1e-9)
    assert open_too[1] > 2 * measured[1]
    assert {"draw weight 45 lbf", "draw length 28 in"} <= set(open_too[2])


def test_a_measured_speed_of_a_recurve_is_taken_alone():
    metres, doubt, assumed = speed_of("recurve", 330, 42, launch_speed_mps=Belief(57.0, 0.5))
    assert (metres, doubt) == (pytest.approx(57.0), pytest.approx(0.5 / 57.0))
    assert not any("speed" in words for words in assumed)


@pytest.mark.parametrize(("kind", "moving_gr"), [("compound", 45), ("recurve", 107),
                                                 ("longbow", 230)])  # fmt: skip
def test_a_speed_is_carried_to_another_arrow_by_the_bows_own_virtual_mass(kind, moving_gr):
    read = (Chronograph(Belief(60.0, 0.6), 0.0, 350 * GRAIN_KG),)
    metres, _, _ = speed_of(kind, 450, chronograph=read)
    assert metres / 60.0 == pytest.approx(((350 + moving_gr) / (450 + moving_gr)) ** 0.5, rel=1e-5)


@pytest.mark.parametrize(
    ("kind", "words", "height_in", "radius_in", "mrad"),
    [("compound", "peep height 4.5 in", 4.5, 33.0, 0.67),
     ("recurve", "eye height 4.6 in", 4.6, 35.0, 1.6),
     ("longbow", "eye height 4.2 in", 4.2, 28.5, 3.2)],
)  # fmt: skip
def test_what_is_open_is_the_kinds_own(kind, words, height_in, radius_in, mrad):
    silent = rig({"peep_height_m": None, "sight_radius_m": None}, bow=Bow(kind=kind))
    assert words in prior(silent).assumed
    assert f"sight radius {radius_in} in" in prior(silent).assumed
    assert said(silent, "peep_height")[0] == pytest.approx(height_in * INCH_M)
    for name in ("log_dispersion_up", "log_dispersion_right"):
        assert exp(said(silent, name)[0]) == pytest.approx(mrad * 1e-3)


def test_a_kind_that_is_not_said_is_said_to_be_a_compound():
    assert "a compound bow" in prior(rig()).assumed
    assert "a compound bow" not in prior(rig(bow=Bow(kind="compound"))).assumed


def test_a_known_bias_is_taken_off_and_its_doubt_is_left_whole():
    # 281 ft/s read 1.2 % too high at the string are 277.67 flown; ten such readings, each ±1 ft/s,
    # are no surer of the bias than one: (1/281)² + n (0.004/1.012)² each, over n
    def sheet(count):
        read = Chronograph(Belief(281 * FPS, 1 * FPS), 0.0, bias=Belief(1.012, 0.004))
        return rig(bow=Bow(chronograph=(read,) * count))

    share, bias = 1 / 281, 0.004 / 1.012
    for count in (1, 10):
        value, doubt = speed_fps(sheet(count))
        assert value == pytest.approx(281 / 1.012, abs=0.02)  # a millimetre of flight beside it
        assert doubt == pytest.approx(hypot(share / count**0.5, bias), rel=1e-6)


def test_a_reading_without_its_own_doubt_counts_half_a_percent_once_the_bias_is_known():
    read = Chronograph(Belief(281 * FPS), 0.0, bias=Belief(1.0, 0.003))
    _, doubt = speed_fps(rig(bow=Bow(chronograph=(read,))))
    assert doubt == pytest.approx(hypot(0.005, 0.003), rel=1e-6)
    other = Chronograph(Belief(281 * FPS), 0.0, instrument="other")
    _, doubt = speed_fps(rig(bow=Bow(chronograph=(other,))))
    assert doubt == pytest.approx(0.01, rel=1e-6)


def test_two_instruments_do_not_share_a_doubt():
    first = Chronograph(Belief(281 * FPS, 1 * FPS), 0.0, instrument="a", bias=Belief(1.0, 0.004))
    second = replace(first, instrument="b")
    _, doubt = speed_fps(rig(bow=Bow(chronograph=(first, second))))
    assert doubt == pytest.approx(hypot(1 / 281, 0.004) / 2**0.5, rel=1e-6)


def test_an_anchor_on_the_face_holds_the_nock_farther_forward():
    def ahead_m(kind):
        sizes = {"draw_length_m": 28 * INCH_M, "brace_height_m": 8 * INCH_M}
        return said(rig(bow=Bow(kind=kind, **sizes)), "launch_ahead")[0]

    assert ahead_m("recurve") - ahead_m("compound") == pytest.approx(0.06)
    assert ahead_m("longbow") - ahead_m("compound") == pytest.approx(0.05)


@pytest.mark.parametrize(("kind", "mrad"), [("compound", 0.13), ("recurve", 0.3), ("longbow", 0.6)])
def test_whole_groups_of_bows_that_scatter_more_wander_more(kind, mrad):
    middle, log_sd = said(rig(bow=Bow(kind=kind)), "log_wobble")
    assert (exp(middle), log_sd) == (pytest.approx(mrad * 1e-3), 0.5)


def test_windage_and_side_of_carried_beliefs_follow_the_other_unknowns():
    bare = prior_from_rig(rig(), np.zeros(0))
    count, place = len(bare.mean), bare.unknowns.place
    root = np.random.default_rng(4).standard_normal((count, count))
    covariance = root @ root.T
    carried = replace(bare, whitener=np.linalg.inv(np.linalg.cholesky(covariance)))
    two = [place("windage"), place("side")]
    rest = [one for one in range(count) if one not in two]
    vectors = bare.mean + np.random.default_rng(5).standard_normal((3, count))
    mean, found = sideways_belief(carried, vectors)
    # the law of conditional Gaussians, by the covariance where the program goes by its inverse
    gain = covariance[np.ix_(two, rest)] @ np.linalg.inv(covariance[np.ix_(rest, rest)])
    wanted = bare.mean[two] + (vectors - bare.mean)[:, rest] @ gain.T
    left = covariance[np.ix_(two, two)] - gain @ covariance[np.ix_(rest, two)]
    assert mean == pytest.approx(wanted)
    assert found == pytest.approx(left)
    alone, own = sideways_belief(bare, vectors)
    assert alone == pytest.approx(np.zeros((3, 2)))
    assert np.sqrt(np.diag(own)) == pytest.approx([8e-3, 5e-3])

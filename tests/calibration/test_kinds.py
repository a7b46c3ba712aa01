"""What is usual of each kind of bow; the published numbers stand beside each check."""

from math import log

import pytest
from exact_units import GRAIN_KG, INCH_M, POUND_FORCE_N
from sessions import rig

from tapewright.calibration.kinds import kind_of, usual_of
from tapewright.calibration.rig import Bow


def usual(kind):
    return usual_of(Bow(kind=kind))


def test_a_bow_whose_kind_is_not_said_is_a_compound():
    assert kind_of(Bow()) == "compound"
    assert usual(None) is usual("compound")
    assert kind_of(rig(bow=Bow(kind="longbow")).bow) == "longbow"


def test_a_recurves_share_is_that_of_five_measured_bows():
    # [TUI92] table I: 42.6 J of 170.5 N over 0.430 m and three more; [OLS] 43.00 J of 35 lbf
    measured = (42.6 / (170.5 * 0.430), 50.3 / (170 * 0.509), 45.6 / (178 * 0.440),
                33.2 / (130 * 0.429), 43.00 / (35 * POUND_FORCE_N * 0.48))  # fmt: skip
    share = usual("recurve").stored_share
    for one in measured:
        assert abs(one - share.value) < 2.0 * share.sd
    assert max(measured) < usual("recurve").most_stored
    assert usual("compound").stored_share is None  # its rating tells it


def test_virtual_masses_are_those_that_were_measured():
    # [OLS] 5.7697 g + 0.0583 m for an arrow of 20 g; six longbows of [HICK47] by their speeds
    kg, log_sd = usual("recurve").virtual_mass_kg
    assert kg == pytest.approx(5.7697e-3 + 0.0583 * 0.020, rel=0.005)
    kg, log_sd = usual("longbow").virtual_mass_kg
    six = [log(grains * GRAIN_KG) for grains in (188, 245, 245, 278, 197, 245)]
    middle = sum(six) / 6
    assert log(kg) == pytest.approx(middle, abs=0.01)
    assert log_sd == pytest.approx((sum((one - middle) ** 2 for one in six) / 5) ** 0.5, abs=0.005)
    assert usual("compound").virtual_mass_kg == (pytest.approx(45 * GRAIN_KG), 0.3)


def test_lighter_bows_ask_for_more_of_an_arrow():
    per_pound = {
        kind: usual(kind).least_mass_per_n * POUND_FORCE_N / GRAIN_KG
        for kind in ("compound", "recurve", "longbow")
    }
    assert per_pound == pytest.approx({"compound": 5.0, "recurve": 6.0, "longbow": 8.0})


def test_anchors_of_chin_and_cheek_lie_within_two_deviations():
    # eye over the arrow: 0.10 to 0.14 m under the chin, 0.06 to 0.09 m beside the face
    for kind, nearest_m in (("recurve", 0.082), ("longbow", 0.062)):
        height = usual(kind).eye_height_m
        assert height.value - 2.0 * height.sd < nearest_m
        assert height.value + 2.0 * height.sd > 0.14


def test_what_a_sheet_leaves_open_is_the_bows_own():
    assert usual("recurve").brace_height_m == pytest.approx(8.6 * INCH_M)
    assert usual("longbow").brace_height_m == pytest.approx(6.75 * INCH_M)
    assert usual("recurve").sight_radius_m.value == pytest.approx(35.0 * INCH_M)
    assert usual("longbow").sight_radius_m.value == pytest.approx(28.5 * INCH_M)
    assert usual("recurve").wobble_rad == (0.3e-3, 0.5)
    assert usual("longbow").wobble_rad == (0.6e-3, 0.5)
    assert usual("recurve").nock_behind_eye_m == 0.02
    assert usual("longbow").nock_behind_eye_m == 0.03

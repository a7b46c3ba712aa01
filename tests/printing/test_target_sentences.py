import pytest
from exact_units import YARD_M

from tapewright.printing.target import (
    aiming_mark_words,
    circle_words,
    distance_words,
    target_words,
)
from tapewright.services.print_target import TargetOrder, plan_target


def words(order, rig="", unit="yd"):
    return target_words(plan_target(order), rig, unit, "2026-05-01")


def test_a_target_without_a_rig_is_called_what_it_is():
    plain = words(TargetOrder("cm", paper="Letter"))
    assert plain.title == "Sighting target"
    assert "centimetres from the aim, right and up are +" in plain.subtitle
    assert "Letter, print at 100 %" in plain.subtitle
    named = words(TargetOrder(), "Heron")
    assert named.title == "Heron"
    assert named.subtitle.startswith("Sighting target")


def test_boxes_hold_what_is_known():
    fields = {name: value for name, value, _ in words(TargetOrder(), "Heron").fields}
    assert fields == {"rig": "Heron", "distance": "", "reading": "", "arrows": "", "date": ""}
    order = TargetOrder(distance_m=60.0 * YARD_M)
    fields = {name: value for name, value, _ in words(order).fields}
    assert fields["distance"] == "60 yd"


@pytest.mark.parametrize(
    ("distance_m", "unit", "said"),
    [
        (60.0 * YARD_M, "yd", "60 yd"),
        (18.0, "m", "18 m"),
        (18.3, "m", "18.3 m"),
        (9.6, "yd", "10.5 yd"),
    ],
)
def test_distances_have_no_needless_digits(distance_m, unit, said):
    assert distance_words(distance_m, unit) == said


def test_the_small_print_tells_for_which_distance_the_mark_is():
    def mark(order, distance=""):
        return aiming_mark_words(plan_target(order), distance)

    assert mark(TargetOrder()) == "Aiming mark 73 mm across, for about 20 to 60 yd."
    assert "18 to 55 m" in mark(TargetOrder("cm"))
    assert mark(TargetOrder(distance_m=50.0), "50 m") == "Aiming mark 100 mm across, for 50 m."
    assert "180 mm would be seen better" in mark(TargetOrder(distance_m=90.0), "90 m")


def test_the_small_print_tells_what_the_circle_is():
    assert circle_words(plan_target(TargetOrder())) == ()
    (inches,) = circle_words(plan_target(TargetOrder(tolerance_m=0.0762)))
    assert inches == "Broken circle: the tolerance, 3 in."
    (large,) = circle_words(plan_target(TargetOrder("cm", tolerance_m=0.125)))
    assert large == "Broken circle: the tolerance, 12.5 cm; only part of it fits."


def test_date_and_version_stand_in_the_small_print():
    assert words(TargetOrder()).notes[-1].startswith("Printed 2026-05-01, Tapewright ")

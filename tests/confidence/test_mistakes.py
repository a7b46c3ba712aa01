"""What may have been meant leads back to what was written, and no farther."""

import pytest

from tapewright.calibration.observation import Observation
from tapewright.confidence.mistakes import mistakes_in, mistakes_in_all
from tapewright.target.group import Group, Impact

YARD_M = 0.9144


def shot(name, distance_m, reading_m, pin=1, hits=((0.02, -0.05), (None, 0.04))):
    impacts = tuple(Impact(right_m, up_m) for right_m, up_m in hits)
    return Observation(Group(name, impacts), distance_m, reading_m, pin)


THREE = (
    shot("near", 20 * YARD_M, 0.0161),
    shot("mid", 36 * YARD_M, 0.0464),
    shot("far", 50 * YARD_M, 0.0717),
)


def meant(kind, shots=THREE, place=1, pins=1):
    found = [one for one in mistakes_in(shots, place, pins) if one.kind == kind]
    assert all(one.places == (place,) for one in found)
    return [one.meant[0] for one in found]


def readings_mm(observations):
    return {round(one.reading_m * 1e3, 4) for one in observations}


def test_another_pin_is_any_that_the_sight_has():
    assert [one.pin for one in meant("pin", pins=3)] == [2, 3]
    assert meant("pin") == []


def test_distance_and_reading_are_exchanged_in_the_units_they_were_written_in():
    (other,) = meant("exchanged")
    assert other.distance_m == pytest.approx(46.4 * YARD_M)
    assert other.reading_m == pytest.approx(36e-3)
    metres = (shot("a", 18.0, 0.0161), shot("b", 50.0, 0.0464))
    (other,) = meant("exchanged", metres)
    assert (other.distance_m, other.reading_m) == pytest.approx((46.4, 50e-3))
    assert meant("exchanged", (shot("a", 18.0, -0.0161), *metres), 0) == []  # no distance is −16


def test_a_sign_is_that_of_up_or_of_the_reading():
    ups, reading = meant("sign")
    assert [(hit.right_m, hit.up_m) for hit in ups.group.impacts] == [(0.02, 0.05), (None, -0.04)]
    assert reading.reading_m == -0.0464
    assert reading.group == THREE[1].group


def test_inches_for_centimetres_and_back():
    larger, smaller = meant("inches")
    assert larger.group.impacts[0].up_m == pytest.approx(-0.127)
    assert smaller.group.impacts[0].right_m == pytest.approx(0.02 / 2.54)


def test_yards_for_metres_and_back():
    assert [one.distance_m for one in meant("yards")] == pytest.approx([36.0, 36 * YARD_M**2])


def test_digits_are_exchanged_or_wrong_or_the_point_is():
    found = meant("digit")
    of_reading = readings_mm(one for one in found if one.distance_m == THREE[1].distance_m)
    assert {64.4, 44.6, 47.4, 16.4, 464.0, 4.64} <= of_reading
    assert 48.8 not in of_reading  # two wrong digits
    yards = {round(one.distance_m / YARD_M, 6) for one in found if one.reading_m == 0.0464}
    assert {63.0, 86.0, 31.0, 3.6} <= yards
    assert 360.0 not in yards  # nobody shoots so far


def test_digits_are_those_that_were_written():
    inches = (shot("a", 20.0, 1.25 * 0.0254), shot("b", 30.0, 2.75 * 0.0254))
    found = {round(one.reading_m / 0.0254, 4) for one in meant("digit", inches)}
    assert {7.25, 2.57} <= found
    odd = (shot("a", 20.0, 0.0123456789), shot("b", 30.0, 0.0464))
    assert meant("digit", odd)  # written so by nobody: three digits behind the point are taken


def test_another_place_is_one_shot_from_or_five_or_ten_away():
    yards = {round(one.distance_m / YARD_M, 3) for one in meant("peg")}
    assert yards == {20.0, 50.0, 26.0, 31.0, 41.0, 46.0}


def test_the_neighbours_reading_is_suspected_only_where_both_are_the_same():
    assert meant("neighbour") == []
    same = (THREE[0], shot("mid", 36 * YARD_M, 0.0161), THREE[2])
    (found,) = [one for one in mistakes_in(same, 1, 1) if one.kind == "neighbour"]
    assert found.is_reading_open
    assert found.names == ("mid",)


def test_what_holds_of_all_rows_and_of_two():
    found = mistakes_in_all(THREE, 1)
    exchanged = next(one for one in found if one.kind == "exchanged")
    assert exchanged.places == (0, 1, 2)
    assert [one.reading_m for one in exchanged.meant] == pytest.approx([20e-3, 36e-3, 50e-3])
    swapped = [one for one in found if one.kind == "swapped"]
    assert [one.places for one in swapped] == [(0, 1), (1, 2)]
    assert [one.reading_m for one in swapped[1].meant] == [0.0717, 0.0464]
    assert [one.distance_m for one in swapped[1].meant] == [36 * YARD_M, 50 * YARD_M]
    negative = (shot("low", 20 * YARD_M, -0.0161), *THREE[1:])
    assert "exchanged" not in {one.kind for one in mistakes_in_all(negative, 1)}
    twice = (THREE[0], shot("again", 20 * YARD_M, 0.0161))
    assert "swapped" not in {one.kind for one in mistakes_in_all(twice, 1)}


def test_chances_of_a_kind_sum_to_no_more_than_it_is_usual():
    for kind in ("pin", "sign", "inches", "yards", "digit", "peg"):
        found = [one.chance for one in mistakes_in(THREE, 1, 3) if one.kind == kind]
        assert 0.0 < sum(found) <= 0.05 / 9 + 1e-12

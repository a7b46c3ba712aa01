from math import nan

import pytest
from written_out import IMPERIAL, METRIC

from tapewright.questions.clicks import learnt_words
from tapewright.services.correct import AxisMove, group_shifts
from tapewright.services.learn_clicks import LearntClick
from tapewright.services.measure_groups import Banded, measure_groups
from tapewright.services.move_sight import SightMove
from tapewright.services.record_groups import Impact, observe_group
from tapewright.words.sight_moves import (
    click_words,
    elevation_words,
    few_arrows_words,
    flyer_words,
    group_words,
    hit_words,
    leave_words,
    scatter_words,
    windage_words,
)
from tapewright.words.sight_moves import shift_words as shift_turns

INCH_M = 0.0254


def shift_words(measure, right, up, units):
    return group_words(measure, shift_turns(measure, right, up), units)


def measured(*hits_in):
    impacts = [Impact(x * INCH_M, y * INCH_M) for x, y in hits_in]
    return measure_groups([observe_group("a", impacts, distance_m=18.288, reading_m=0.016)])


def test_where_it_hit():
    assert hit_words(-INCH_M, 2 * INCH_M, "in") == "2.00 in high and 1.00 in left"
    assert hit_words(0.03, nan, "cm") == "3.0 cm right"
    assert hit_words(nan, nan, "cm") == "not measured"


@pytest.mark.parametrize(
    ("clicks", "per_turn", "said"),
    [
        (None, 20, ""),
        (1, None, ", 1 click"),
        (-29, None, ", 29 clicks"),
        (-29, 20, ", 29 clicks (1 turn and 9 clicks)"),
        (40, 20, ", 40 clicks (2 turns)"),
        (21, 20, ", 21 clicks (1 turn and 1 click)"),
        (19, 20, ", 19 clicks"),
    ],
)
def test_turns_are_told_when_clicks_are_many(clicks, per_turn, said):
    assert click_words(clicks, per_turn) == said


def test_moves():
    move = SightMove(0.0189, 0.0029, 29, -1, -0.00048, -5)
    assert elevation_words(move, 0.016, 20) == (
        "pin down, 2.90 mm toward larger numbers to 18.90 mm, 29 clicks (1 turn and 9 clicks)"
    )
    assert windage_words(move) == "pin left by 0.48 mm, 5 clicks"
    back = SightMove(0.0131, -0.0029, None, 1, 0.00048, None)
    assert elevation_words(back, 0.016) == "pin up, 2.90 mm toward smaller numbers to 13.10 mm"
    assert windage_words(back) == "pin right by 0.48 mm"
    told = SightMove(0.0131, 0.0, None, 0, 0.00048, 5, -0.0012)
    assert windage_words(told) == "pin right by 0.48 mm to −1.20 mm, 5 clicks"


def test_a_move_has_as_many_digits_as_are_known_of_it():
    rough = SightMove(0.001617, -0.010383, None, 1, 0.0031, None, None, 0.0081, 0.0004)
    assert elevation_words(rough, 0.012) == (
        "pin up, 10 mm toward smaller numbers to 2 mm (within ±8 mm)"
    )
    assert windage_words(rough) == "pin right by 3.1 mm"
    finer = SightMove(0.001617, -0.010383, None, 1, 0.0031, None, None, 0.0004, 0.00001)
    assert elevation_words(finer, 0.012) == "pin up, 10.4 mm toward smaller numbers to 1.6 mm"
    assert windage_words(finer) == "pin right by 3.10 mm"


def test_leaving_it_says_why():
    chance = AxisMove(0.01, 1.0, 0.0, 0, "within chance")
    assert leave_words(chance, 0.14) == "leave it, a zeroed bow puts one group in 7 as far off"
    assert leave_words(chance, 0.9) == "leave it, a zeroed bow puts most groups as far off"
    click = AxisMove(0.01, 1.0, 0.0, 0, "under half a click")
    assert leave_words(click, 0.0) == "leave it, the move would be under half a click"
    assert leave_words(AxisMove(nan, 1.0, 0.0, None, "not measured"), nan) == "not measured"


def test_without_a_sheet_moves_are_angles_and_follow_the_arrow():
    found = measured((-2.9, 3.9), (-3.1, 4.1), (-3.0, 4.0), (-3.0, 4.0))
    said = shift_words(found.groups[0], *group_shifts(found.groups[0], found.known), IMPERIAL)
    assert said.startswith("Group a, 20 yd: centre 4.00 in high and 3.00 in left. ")
    assert "Elevation: pin up by 5.5" in said
    assert "Windage: pin left by 4.1" in said
    lone = measured((0.1, 0.1))
    said = shift_words(lone.groups[0], *group_shifts(lone.groups[0], lone.known), METRIC)
    assert said.count("leave it") == 2
    assert said.startswith("Group a, 18.3 m: ")


def test_a_flyer_is_named_by_where_it_hit_and_counted():
    wild = measured((0.1, 0), (0, 0.1), (-0.1, 0), (0, -0.1), (0.1, 0.1), (2, -3))
    said = flyer_words(wild.groups[0], IMPERIAL)
    assert said.startswith("Group a: the arrow at 3.00 in low and 2.00 in right does not belong")
    assert "Look for a slip" in said
    assert "It is counted all the same" in said
    stray = measured((0.3, 0), (0, 0.4), (-0.3, 0), (0, -0.4), (0.2, 0.2), (1.5, 0.3))
    assert "1.50 in right strays from the others" in flyer_words(stray.groups[0], IMPERIAL)
    assert flyer_words(measured((0, 0), (1, 1)).groups[0], IMPERIAL) == ""
    assert flyer_words(measured((0, 0), (1, 1), (0, 1)).groups[0], IMPERIAL) == ""


def test_three_arrows_are_said_to_prove_little():
    assert "1.1547 standard deviations" in few_arrows_words(measured((0, 0), (1, 1), (0, 1)))
    assert "four never more than 1.5, however wild" in few_arrows_words(
        measured((0, 0), (1, 1), (0, 1), (1, 0))
    )
    assert few_arrows_words(measured((0, 0), (1, 1), (0, 1), (1, 0), (1, 2))) == ""
    assert few_arrows_words(measured((0, 0), (1, 1))) == ""
    mark = observe_group("mark", [Impact(0.0, 0.0, arrows=3)], distance_m=18.0, reading_m=0.01)
    assert few_arrows_words(measure_groups([mark])) == ""  # nobody looks for a flyer among these


def test_whose_scatter_judges():
    assert scatter_words(measured((0, 0)), IMPERIAL) == (
        "Centres are judged by a usual dispersion, 0.67 mrad per axis, and a usual wobble of "
        "0.13 mrad from group to group."
    )


def test_a_learnt_click():
    learnt = LearntClick("elevation", Banded(1.07e-4, 0.9e-4, 1.2e-4), Banded(8e-5, 7e-5, 9e-5),
                         2, 6)  # fmt: skip
    assert learnt_words(learnt, 0.9) == (
        "One elevation click is 0.105 mm of reading, 0.090 to 0.120 with 90 % chance; it moves "
        "the impact by 0.080 mrad. From 2 groups, 6 arrows."
    )
    unsure = LearntClick("windage", Banded(1e-5, -1e-5, 3e-5), Banded(8e-5, 7e-5, 9e-5), 2, 6)
    assert learnt_words(unsure, 0.9).endswith(
        "turn more clicks between groups, or shoot more arrows."
    )
    for axis, way in (
        ("elevation", "toward larger numbers"),
        ("windage", "with the pin going right"),
    ):
        wrong = LearntClick(axis, Banded(-2e-5, -3e-5, -1e-5), Banded(8e-5, 7e-5, 9e-5), 2, 6)
        assert learnt_words(wrong, 0.9).endswith(f"the clicks were not counted {way}.")

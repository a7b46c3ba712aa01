"""Windage between groups: what is told of it, and what one windage is worth that nobody told."""

from dataclasses import replace

import numpy as np
import pytest
from sessions import group, rig, truth_near

from tapewright.calibration.evidence import evidence_from
from tapewright.calibration.fit import fit_bow
from tapewright.calibration.misfit import steered_by
from tapewright.calibration.observation import source_doubt
from tapewright.calibration.rig import Belief
from tapewright.calibration.windage import told_turns, turns_of
from tapewright.confidence.checks import group_checks
from tapewright.reading.csv_columns import read_choice
from tapewright.target.group import Group, Impact

CLICK = {"windage_click_m": 0.2e-3}
RADIUS_M = 0.84
AT_M = (18.0, 27.0, 36.0, 45.0, 55.0, 64.0)


def shots(sheet=None, windages=(0.0,) * 6, **said):
    """Groups of four whose windage is so many rad, with a small scatter of their own."""
    sheet = sheet or rig()
    true = truth_near(sheet, zero_reading=0.004)
    found = []
    for place, (metres, windage) in enumerate(zip(AT_M, windages, strict=False)):
        one = group(sheet, true, metres, name=str(place))
        arrows = tuple(
            Impact(metres * (windage + 1e-3 * right), metres * 1e-3 * up)
            for right, up in ((0.5, 0.2), (-0.4, -0.5), (0.1, 0.6), (-0.2, -0.3))
        )
        told = {name: values[place] for name, values in said.items()}
        found.append(replace(one, group=Group(str(place), arrows), **told))
    return tuple(found)


def windage_of(calibration):
    """Windage after the last group and its doubt, mrad."""
    found = steered_by(calibration.evidence, calibration.best[None])
    return 1e3 * found.windage_rad[0], 1e3 * np.sqrt(found.windage_rad2[0])


def test_a_pin_that_went_right_turns_the_arrows_left():
    first, second = shots()[:2]
    before, after = replace(first, windage_m=1.0e-3), replace(second, windage_m=1.42e-3)
    assert told_turns(before, after, None, RADIUS_M) == pytest.approx(-0.5e-3)
    before, after = replace(first, windage_clicks=-3.0), replace(second, windage_clicks=1.2)
    assert told_turns(before, after, 0.2e-3, RADIUS_M) == pytest.approx(-1e-3)
    assert told_turns(first, after, 0.2e-3, RADIUS_M) is None
    assert told_turns(replace(first, windage_m=0.0), after, 0.2e-3, RADIUS_M) is None
    assert told_turns(before, after, None, RADIUS_M) is None
    assert told_turns(after, after, None, RADIUS_M) == 0.0


def test_clicks_of_unknown_size_tell_that_nothing_was_moved_or_that_something_was():
    one = shots(windage_clicks=(0.0, 0.0, 7.0, 7.0, 7.0, 9.0))
    moved = turns_of(one, None, RADIUS_M, (0.02, 0.1e-3)).moved
    assert moved == pytest.approx([0, 0, 1, 0, 0, 1], abs=1e-6)


def test_what_is_told_on_one_scale_stands_together_and_the_last_group_last():
    one = shots(windage_m=(0.0, None, 1e-3, None, 1e-3, None), session=("", "a", "", "b", "", "a"))
    turns = turns_of(one, None, RADIUS_M, (0.02, 0.1e-3))
    assert turns.order.tolist() == [3, 0, 2, 4, 1, 5]
    assert turns.moved == pytest.approx([0, 0.2, 0, 0, 0.2, 0.02])
    assert 1e3 * turns.turned_rad == pytest.approx([0, 0, -1 / 0.84, 0, 0, 0])
    # 2 % of the turn, and setting the pointer twice to 0.1 mm, where it was set at all
    wanted = np.hypot(0.02 * 1 / 0.84, np.sqrt(2) * 0.1 / 0.84)
    assert 1e3 * turns.turned_sd_rad == pytest.approx([0, 0, wanted, 0, 0, 0])


def test_after_a_change_the_windage_may_have_been_moved_before_the_first_group():
    one = shots()[:1]
    assert turns_of(one, None, RADIUS_M, (0.02, 1e-4), is_carried=True).moved.tolist() == [0.2]
    assert turns_of((), None, RADIUS_M, (0.02, 1e-4)).order.tolist() == []


def test_windage_left_alone_is_known_nearly_as_well_as_one_for_all():
    sheet = rig()
    alone = windage_of(fit_bow(sheet, shots(sheet)))
    told = windage_of(fit_bow(sheet, shots(sheet, windage_m=(0.0,) * 6)))
    assert alone[0] == pytest.approx(told[0], abs=0.05)
    assert 1.0 < alone[1] / told[1] < 1.4


@pytest.mark.parametrize("said", [{}, {"session": ("evening",) * 6}])
def test_windage_turned_between_groups_is_no_contradiction(said):
    sheet, windages = rig(), (2.4e-3, 0.3e-3, 0.3e-3, -0.2e-3, -0.2e-3, -0.2e-3)
    moved, still = (
        fit_bow(sheet, shots(sheet, each, **said)) for each in (windages, (-0.2e-3,) * 6)
    )
    assert not any(one.is_odd for one in group_checks(moved))
    place = moved.evidence.prior.unknowns.place("log_dispersion_right")
    assert np.exp(moved.best[place] - still.best[place]) == pytest.approx(1.0, abs=0.1)
    assert windage_of(moved)[0] == pytest.approx(-0.2, abs=0.15)


def test_windage_told_is_taken_at_its_word_and_a_wrong_side_is_odd():
    sheet = rig({"sight_radius_m": Belief(RADIUS_M, 5e-3)})
    windages = (2.5e-3, 0.0, 0.0, 0.0, 0.0, 0.0)
    right = (0.0, 2.1e-3, 2.1e-3, 2.1e-3, 2.1e-3, 2.1e-3)  # 2.5 mrad of 0.84 m
    good = fit_bow(sheet, shots(sheet, windages, windage_m=right))
    assert not any(one.is_odd for one in group_checks(good))
    assert windage_of(good)[0] == pytest.approx(0.0, abs=0.1)
    wrong = fit_bow(sheet, shots(sheet, windages, windage_m=tuple(-one for one in right)))
    assert [one.is_odd for one in group_checks(wrong)] == [True, *[False] * 5]


def test_a_group_far_beside_where_anybody_sets_windage_is_odd():
    sheet = rig()
    found = group_checks(fit_bow(sheet, shots(sheet, (0, 0, 0, 15e-3, 0, 0))))
    assert [one.is_odd for one in found] == [False, False, False, True, False, False]
    heights = replace(shots(sheet)[0], group=Group("h", (Impact(None, 0.01),)))
    untold = group_checks(fit_bow(sheet, (heights, *shots(sheet)[1:])))[0]
    assert np.isnan(untold.miss_right_m)


def test_a_group_is_held_against_the_windage_it_was_shot_with():
    sheet = rig()
    found = group_checks(fit_bow(sheet, shots(sheet, (4e-3, 4e-3, 4e-3, 0, 0, 0))))
    assert all(abs(one.miss_right_m) < 0.4e-3 * one.distance_m for one in found)


@pytest.mark.parametrize("source", ["tape", "range finder", "pegs", "paces"])
def test_distances_of_one_source_cost_only_the_sheets_word_of_speed(source):
    sheet = rig()
    speed = evidence_from(sheet, ()).prior.unknowns.place("log_speed")
    said = evidence_from(sheet, shots(sheet, distances=(source,) * 6)).prior
    stated = {"tape": 0.0005, "range finder": 0.006, "pegs": 0.006, "paces": 0.015}[source]
    assert said.sd[speed] == pytest.approx(np.hypot(3 / 278, stated), rel=1e-6)
    assert "distances" not in " ".join(said.unknowns.names)
    assert evidence_from(sheet, ()).prior.sd[speed] == pytest.approx(np.hypot(3 / 278, 0.0025))


def test_another_source_has_an_error_of_its_own_against_that_for_which_marks_are_told():
    sheet = rig()
    some = shots(sheet, distances=("pegs", "", "tape", "tape", "paces", "tape"))
    prior = evidence_from(sheet, some).prior
    names = ("distances_by_pegs", "distances_by_no_word", "distances_by_paces")
    assert prior.unknowns.names[6:9] == names
    wanted = np.hypot([0.012, 0.012, 0.03], 0.001)
    assert prior.sd[6:9] == pytest.approx(wanted)
    for_pegs = replace(sheet, archer=replace(sheet.archer, distances="pegs"))
    unknowns = evidence_from(for_pegs, some).prior.unknowns
    assert unknowns.sources == ("", "tape", "paces")
    away = np.zeros((1, len(unknowns.names)))
    away[0, unknowns.place("distances_by_tape")] = 0.02
    source = evidence_from(for_pegs, some).source
    assert unknowns.source_errors(away, source)[0].tolist() == [0, 0, 0.02, 0.02, 0, 0.02]


def test_every_word_for_a_source_that_may_be_written_has_its_doubt():
    doubts = {"tape": 0.001, "range finder": 0.012, "pegs": 0.012, "paces": 0.03, "": 0.012}
    for word, doubt in doubts.items():
        assert read_choice(word.upper().replace(" ", "_"), "distances", "here") == word
        other = "pegs" if word == "tape" else "tape"
        assert source_doubt(word, other) == pytest.approx(np.hypot(doubt, doubts[other]))
        assert source_doubt(word, word) == 0.0

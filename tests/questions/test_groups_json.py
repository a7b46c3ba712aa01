import json

import numpy as np
import pytest
from sessions import group as shot
from sessions import rig, truth_near
from written_out import IMPERIAL, METRIC

from tapewright.questions.clicks import QUESTION as CLICKS
from tapewright.questions.group import MOVES
from tapewright.questions.group import QUESTION as GROUP
from tapewright.services.correct import arrow_by_arrow, correct, group_shifts
from tapewright.services.correct_groups import FoundGroups
from tapewright.services.learn_clicks import FoundClicks, LearntClick, click_table
from tapewright.services.measure_groups import Banded, measure_groups
from tapewright.services.move_sight import SightMove, fitted_sight
from tapewright.words.answer_columns import records

INCH_M = 0.0254


@pytest.fixture
def case():
    sheet = rig(sight={"elevation_click_m": 1e-4, "windage_click_m": 5e-5})
    here = truth_near(sheet)
    groups = [shot(sheet, here, 18.288, 6, 0.02, "1"), shot(sheet, here, 18.288, 1, 0.02, "2")]
    return fitted_sight(sheet), measure_groups(groups, sheet), groups


def keys_of(written):
    if isinstance(written, dict):
        return set(written) | {key for one in written.values() for key in keys_of(one)}
    if isinstance(written, list):
        return {key for one in written for key in keys_of(one)}
    return set()


def test_groups_are_what_was_measured(case):
    fitted, measured, _ = case
    moves = [correct(fitted, one, measured.known) for one in measured.groups]
    written = json.loads(
        json.dumps(GROUP.write(FoundGroups(measured, tuple(moves)), IMPERIAL), allow_nan=False)
    )
    first, second = written["groups"]
    assert written["schema"] == "tapewright.group/1"
    assert written["band"] == 0.9
    assert first["distance_yd"] == 20.0
    assert first["centre_up_in"] == pytest.approx(measured.groups[0].centre.up_m / INCH_M, abs=1e-4)
    assert first["correction"]["new_reading_mm"] == pytest.approx(1e3 * moves[0].move.reading_m)
    assert first["correction"]["pin_vertical"] in {"up", "down", ""}
    assert first["ellipse"]["major_in"] >= first["ellipse"]["minor_in"]
    assert first["flyer"]["findable_90_dispersions"] > first["flyer"]["findable_50_dispersions"]
    assert second["ellipse"] is second["flyer"] is second["dispersion_mrad"] is None
    assert written["together"]["arrows"] == 6


def test_without_a_sight_only_shifts_are_told(case):
    _, measured, _ = case
    shifts = [group_shifts(one, measured.known) for one in measured.groups]
    written = GROUP.write(FoundGroups(measured, shifts=tuple(shifts)), METRIC)
    assert set(written["groups"][0]["correction"]) == {
        "share", "elevation", "windage", "shift_up_cm", "shift_right_cm",
    }  # fmt: skip
    assert not any(key.endswith(("_in", "_yd")) for key in keys_of(written))


def test_steps_and_clicks(case):
    fitted, measured, groups = case
    steps = arrow_by_arrow(fitted, groups, measured.known)
    written = json.loads(
        json.dumps(GROUP.write(FoundGroups(measured, steps=steps), IMPERIAL), allow_nan=False)
    )
    assert [one["arrow"] for one in written["arrows"]] == list(range(1, 8))
    assert written["arrows"][0]["share"] == pytest.approx(0.99, abs=2e-3)
    rows = click_table(fitted, np.array([18.288, 54.864]))
    plain = CLICKS.write(FoundClicks(fitted.rig, rows, (), 0.9), IMPERIAL)
    assert "learnt" not in plain
    assert plain["clicks"][0]["distance_yd"] == 20.0
    assert plain["clicks"][0]["up_in_per_click"] == pytest.approx(
        0.1 * plain["clicks"][0]["up_in_per_mm"], abs=1e-5
    )
    learnt = LearntClick("elevation", Banded(1e-4, 9e-5, 11e-5), Banded(8e-5, 7e-5, 9e-5), 2, 6)
    told = CLICKS.write(FoundClicks(fitted.rig, rows, (learnt,), 0.9), METRIC)["learnt"][0]
    assert (told["click_mm"], told["click_low_mm"], told["angle_mrad"]) == (0.1, 0.09, 0.08)


def test_a_move_is_sent_with_its_side():
    moves = (
        SightMove(0.0189, 0.0029, 29, -1, -0.00048, -5, 0.0021),
        SightMove(0.0131, -0.0029, None, 1, 0.0, None),
        SightMove(0.016, 0.0, 0, 0, 0.0, 0),
    )
    down, up, still = records(MOVES, moves, IMPERIAL)
    assert down == {
        "new_reading_mm": 18.9, "by_reading_mm": 2.9, "reading_clicks": 29,
        "pin_vertical": "down", "pin_right_mm": -0.48, "right_clicks": -5,
        "new_windage_mm": 2.1,
    }  # fmt: skip
    assert (up["pin_vertical"], up["reading_clicks"], up["right_clicks"]) == ("up", None, None)
    assert (still["pin_vertical"], still["right_clicks"]) == ("", 0)

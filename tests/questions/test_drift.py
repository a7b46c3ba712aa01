"""Drift over the season: sentences and numbers written out by hand from what was found."""

from math import nan

import pytest
from written_out import IMPERIAL, METRIC

from tapewright.calibration.observation import Observation
from tapewright.confidence.drift import Found
from tapewright.ground.errors import BadInput
from tapewright.questions.drift import QUESTION as DRIFT
from tapewright.questions.question import Said
from tapewright.services.watch_drift import Drift, Season, SetupChange, Watched
from tapewright.target.group import Group, Impact
from tapewright.words.answer_blocks import Drawing, Mind

AT_M = 18.288


def watched(day, up_in, statistic):
    shot = Observation(Group(f"of {day}", (Impact(0.0, 0.0),)), AT_M, 0.016, date=day)
    return Watched(shot, 0.0, 0.0254 * up_in, 0.005, 0.005, nan, -1.25, statistic)


def found(quiet, name="zero", slow=0.9, alarm=2, **more):
    """Three groups, the last of which raises an alarm."""
    groups = (
        watched("2026-04-20", -0.05, 1.5),
        watched("2026-05-04", -0.12, 11.4),
        watched("2026-05-18", -0.35, 41.6),
    )
    calibrating = (groups[0].group,) * 7
    change = Found(name, 0.93, slow, 1, -0.4e-3, 0.1e-3, -0.4e-3)
    season = Season(quiet, changes=(SetupChange("2026-01-02", "new string"),))
    sizes = {"moved_m": -0.0071, "half_m": 0.0028, "a_month_m": -0.00762, "level_m": 0.0} | more
    return Drift(season, groups, calibrating, 0, change, alarm, AT_M, **sizes)


def test_a_slow_change_is_told_by_the_month_with_where_to_look(quiet):
    first, look, press, then, picture, rows, against, how, still = DRIFT.tell(
        found(quiet), IMPERIAL
    )
    assert first == Mind(
        "20 yd is sinking 0.30 in a month: 0.28 in ± 0.11 in until now, since 2026-05-04."
    )
    assert look.text.startswith("Look at peep and string first")
    assert "press work" in press.text
    assert "near group first" in then.text
    assert isinstance(picture, Drawing)
    assert "high and low at 20 yd, in" in picture.svg
    assert "2026-01-02: new string" in picture.svg
    assert rows.rows[2] == ("2026-05-18", "of 2026-05-18", "20", "−0.35", "0.00", "0.32", "42")
    assert rows.faint == frozenset({0, 1})
    assert against == "Watched against 7 groups shot before 2026-04-20."
    assert "once in 40 groups in the mean, or more rarely" in how
    assert "windage" in still


@pytest.mark.parametrize(
    ("name", "slow", "moved_m", "told", "look"),
    [
        ("zero", 0.1, 0.0071, "18.3 m rose by 0.7 cm ± 0.3 cm at once, about 2026-05-04.", "peep"),
        ("far", 0.1, -0.0071, "18.3 m sank by 0.7 cm ± 0.3 cm at once, about 2026-05-04.",
         "string and cables"),
        ("right", 0.1, 0.0071, "18.3 m went right by 0.7 cm ± 0.3 cm at once, about 2026-05-04.",
         "rest and the windage"),
        ("right", 0.9, -0.0071,
         "18.3 m is going left 0.8 cm a month: 0.7 cm ± 0.3 cm until now, since 2026-05-04.",
         "rest and the windage"),
    ],
)  # fmt: skip
def test_each_change_is_told_its_way(quiet, name, slow, moved_m, told, look):
    first, second, *_ = DRIFT.tell(found(quiet, name, slow, moved_m=moved_m), METRIC)
    assert first.text == told
    assert look in second.text
    assert ("press work" in str(_)) == (name != "right")


def test_an_alarm_that_stands_for_a_while_says_since_when(quiet):
    first, *_ = DRIFT.tell(found(quiet, alarm=1), IMPERIAL)
    assert first.text.endswith("Seen first on 2026-05-04.")


def test_where_nothing_drifts_nothing_is_looked_at(quiet):
    first, picture, rows, *_ = DRIFT.tell(found(quiet, alarm=None), IMPERIAL)
    assert first == "Nothing drifts that shows: 3 groups watched, the last of 2026-05-18."
    assert "alarm" not in picture.svg
    assert rows.faint == frozenset()


def test_of_a_long_season_the_newest_groups_are_shown(quiet):
    long = found(quiet)
    many = tuple(watched(f"2026-06-{day:02d}", 0.0, 2.0e6) for day in range(1, 14))
    long = Drift(long.season, many, long.calibrating, 3, long.found, 0, AT_M, 0.0, 0.0, 0.0, 0.0)
    *_, rows, against, _, _ = DRIFT.tell(long, IMPERIAL)
    assert len(rows.rows) == 12
    assert rows.rows[-1][-1] == "over 999"
    assert "3 groups left out: older than these, or without a day." in against


def test_programs_get_the_same(quiet):
    sent = DRIFT.write(found(quiet), IMPERIAL)
    assert (sent["schema"], sent["is_drifting"], sent["drifts"]) == (
        "tapewright.drift/1", True, "zero",
    )  # fmt: skip
    assert (sent["at_yd"], sent["moved_in"], sent["a_month_in"]) == (20.0, -0.2795, -0.3)
    assert (sent["began"], sent["alarm_since"]) == ("2026-05-04", "2026-05-18")
    assert sent["groups_between_false_alarms"] == 40.0
    assert sent["changes"] == [{"date": "2026-01-02", "words": "new string"}]
    assert sent["groups"][2] == {
        "date": "2026-05-18", "group": "of 2026-05-18", "distance_yd": 20.0, "up_in": -0.35,
        "right_in": 0.0, "up_sd_in": 0.1969, "right_sd_in": 0.1969, "up_error": -1.25,
        "right_error": None, "statistic": 41.6,
    }  # fmt: skip
    still = DRIFT.write(found(quiet, alarm=None), IMPERIAL)
    assert (still["is_drifting"], still["drifts"], still["alarm_since"]) == (False, None, None)


def test_shots_without_days_and_days_that_are_none_are_refused(answer):
    with pytest.raises(BadInput, match="column date"):
        DRIFT.ask(answer, Said({}), IMPERIAL)
    with pytest.raises(BadInput, match="no day of the calendar"):
        DRIFT.ask(answer, Said({"since": "14 May"}), IMPERIAL)

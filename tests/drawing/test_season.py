"""The picture of a season: where days and misses stand on it, measured in its shapes."""

from math import nan

import pytest

from tapewright.drawing.season import Dot, Panel, SeasonPicture, season_sheet
from tapewright.drawing.shapes import Box, Line, Text

UP = Panel(
    "high and low",
    (Dot(100.0, 0.5, 0.25, is_old=True), Dot(150.0, -1.0, 0.25), Dot(200.0, nan, nan)),
    ((100.0, 0.0), (150.0, 0.0), (200.0, -1.0)),
)
RIGHT = Panel("left and right", (Dot(125.0, 0.0, 0.0),))


def drawn(**more):
    picture = SeasonPicture("Heron", (UP, RIGHT), ((100.0, "Mar 2026"), (131.0, "Apr")), **more)
    return season_sheet(picture)


def kinds(sheet, kind):
    return [one for one in sheet.shapes if isinstance(one, kind)]


def test_groups_stand_at_their_days_and_misses():
    old, new, still = kinds(drawn(), Box)
    assert (old.grey, new.grey) == (pytest.approx(0.62), 0.0)
    # 14 mm is the first day and 94 the last of one hundred; 20 mm from the middle is 1.35
    assert old.x_mm + 0.75 == pytest.approx(14.0)
    assert new.x_mm + 0.75 == pytest.approx(54.0)
    assert old.y_mm + 0.75 == pytest.approx(26.0 - 20.0 * 0.5 / 1.35)
    assert new.y_mm + 0.75 == pytest.approx(26.0 + 20.0 * 1.0 / 1.35)
    assert still.y_mm + 0.75 == pytest.approx(75.0)  # the lower panel's middle
    whiskers = [one for one in kinds(drawn(), Line) if one.width_mm == 0.2 and one.grey == 0.45]
    assert abs(whiskers[0].y2_mm - whiskers[0].y1_mm) == pytest.approx(20.0 * 0.5 / 1.35)


def test_the_trend_runs_through_its_corners():
    flat, down = [one for one in kinds(drawn(), Line) if one.width_mm == 0.6]
    assert (flat.y1_mm, flat.y2_mm) == (26.0, 26.0)
    assert (down.x1_mm, down.x2_mm) == pytest.approx((54.0, 94.0))
    assert down.y2_mm == pytest.approx(26.0 + 20.0 / 1.35)


def test_changes_are_numbered_and_told_below_and_the_alarm_stands_upright():
    words = "2026-04-10: new string " + "x" * 90
    sheet = drawn(changes=((110.0, words),), alarm=180.0)
    told = [one for one in kinds(sheet, Text) if one.words.startswith("1  2026-04-10")]
    assert len(told) == 1
    assert len(told[0].words) < 60
    assert [one.words for one in kinds(sheet, Text)].count("1") == 2
    dashed = [one for one in kinds(sheet, Line) if one.dashed]
    assert [one.x1_mm for one in dashed] == pytest.approx([22.0, 22.0])
    alarms = [one for one in kinds(sheet, Text) if one.words == "alarm"]
    assert [one.anchor for one in alarms] == ["end", "end"]
    assert sheet.paper.height_mm > drawn().paper.height_mm
    early = [one for one in kinds(drawn(alarm=105.0), Text) if one.words == "alarm"]
    assert early[0].anchor == "start"


def test_months_and_numbers_stand_where_there_is_room():
    words = [one.words for one in kinds(drawn(), Text)]
    assert "Mar 2026" in words
    assert "Apr" in words
    assert "−1" in words
    assert "+1" in words
    months = tuple((100.0 + day, "Mar") for day in (0.0, 2.0, 99.0))
    few = season_sheet(SeasonPicture("Heron", (UP, RIGHT), months))
    assert [one.words for one in kinds(few, Text)].count("Mar") == 1


def test_one_day_and_one_group_on_the_aim_are_drawn_too():
    one = Panel("high and low", (Dot(100.0, 0.0, 0.0),))
    (box,) = kinds(season_sheet(SeasonPicture("Heron", (one,), ())), Box)
    assert (box.x_mm + 0.75, box.y_mm + 0.75) == (14.0, 26.0)

"""Watched groups: which calibrate and which are watched, told where and how."""

from dataclasses import replace
from datetime import date, timedelta
from types import SimpleNamespace

import numpy as np
import pytest
from archers import random_sheet, random_truth, shoot

from tapewright.calibration.fit import fit_bow
from tapewright.confidence.posterior import draw_posterior
from tapewright.ground.errors import BadInput
from tapewright.services.draw_season import draw_season
from tapewright.services.watch_drift import (
    Season,
    SetupChange,
    Shot,
    watch_drift,
    watch_earlier,
)
from tapewright.target.group import Group, Impact

YARD_M = 0.9144


@pytest.fixture(scope="module")
def season():
    """A bow sighted in on 1 March and shot at 20 and 40 yd until the middle of May."""
    rng = np.random.default_rng(11)
    rig = random_sheet(rng)
    truth = random_truth(rig, rng, 0.5e-3, 0.05e-3)
    shots = []
    for place, yards in enumerate((10, 20, 30, 40, 50, 60)):
        reading_m = round(truth.marks([yards * YARD_M])[0], 4)
        one = shoot(truth, yards * YARD_M, reading_m, 6, rng, f"s{place}", 0.0)
        shots.append(replace(one, date="2026-03-01"))
    for place in range(20):
        yards = (20, 40)[place % 2]
        reading_m = round(truth.marks([yards * YARD_M])[0], 4)
        one = shoot(truth, yards * YARD_M, reading_m, 6, rng, f"w{place}", 0.0)
        day = date(2026, 3, 8) + timedelta(days=3 * place)
        shots.append(replace(one, date=day.isoformat()))
    return Season(SimpleNamespace(rig=rig, observations=tuple(shots), posterior=None))


def moved(season, rad, since="2026-04-12", axis="up"):
    """The same, all impacts off by an angle from a day on."""

    def away(one):
        if one.date < since:
            return one
        off_m = one.distance_m * rad
        hits = tuple(
            replace(hit, **{f"{axis}_m": getattr(hit, f"{axis}_m") + off_m})
            for hit in one.group.impacts
        )
        return replace(one, group=Group(one.group.name, hits))

    answer = season.answer
    shots = tuple(map(away, answer.observations))
    return replace(season, answer=SimpleNamespace(**vars(answer) | {"observations": shots}))


def test_a_sound_season_raises_no_alarm(season):
    drift = watch_drift(season)
    assert drift.alarm is None
    assert [one.group.group.name for one in drift.watched] == [f"w{place}" for place in range(20)]
    assert [one.group.name for one in drift.calibrating] == [f"s{place}" for place in range(6)]
    errors = np.array([(one.up_error, one.right_error) for one in drift.watched])
    assert 0.6 < errors.std() < 1.4
    assert all(0.0 < one.up_sd_m < 0.03 for one in drift.watched)


@pytest.mark.parametrize(("axis", "name"), [("up", "zero"), ("right", "right")])
def test_a_slip_is_told_with_its_day_and_its_size(season, axis, name):
    drift = watch_drift(moved(season, -1.5e-3, axis=axis))
    assert drift.found.name == name
    assert drift.is_sideways == (axis == "right")
    assert not drift.is_slow
    assert drift.watched[drift.found.first].group.date == "2026-04-13"
    assert drift.watched[drift.alarm].group.date <= "2026-04-25"
    assert drift.at_m == pytest.approx(20 * YARD_M)
    assert drift.moved_m == pytest.approx(-1.5e-3 * 20 * YARD_M, rel=0.25)
    assert 0.0 < drift.half_m < 0.01
    assert abs(drift.level_m) < 0.01


def test_what_grows_with_distance_is_the_far_marks(season):
    # A slower bow: 30 mm low at 40 yd, a quarter of that at 20, as the drop grows
    answer, shots = season.answer, []
    for one in season.answer.observations:
        slow = one.date >= "2026-04-12"
        off_m = slow * -0.03 * (one.distance_m / 36.576) ** 2
        hits = tuple(replace(hit, up_m=hit.up_m + off_m) for hit in one.group.impacts)
        shots.append(replace(one, group=Group(one.group.name, hits)))
    away = SimpleNamespace(**vars(answer) | {"observations": tuple(shots)})
    drift = watch_drift(replace(season, answer=away))
    assert (drift.found.name, drift.at_m) == ("far", pytest.approx(40 * YARD_M))
    assert -0.05 < drift.moved_m < -0.02


def test_groups_of_another_point_are_not_watched(season):
    low = moved(season, -4e-3, "2026-03-08").answer.observations
    broad = tuple(replace(one, head="broadhead") for one in low if one.date > "2026-03-01")
    answer = SimpleNamespace(
        rig=season.answer.rig, observations=(*season.answer.observations, *broad), posterior=None
    )
    assert len(watch_earlier(answer)) == 20
    assert len(watch_drift(replace(season, proofs=broad)).watched) == 20


def test_since_when_it_is_watched_may_be_said_or_is_the_tapes_day(season):
    assert len(watch_drift(season, "2026-04-13").watched) == 8
    stuck = replace(season, since="2026-03-20")
    assert watch_drift(stuck).watched[0].group.date == "2026-03-20"
    never = replace(season, since="2026-02-01")  # before anything was shot
    assert len(watch_drift(never).watched) == 20


def test_groups_without_a_day_calibrate_and_proofs_are_only_watched(season):
    shots = season.answer.observations
    undated = tuple(replace(one, date="") for one in shots[:6])
    proofs = (*shots[20:], replace(shots[0], date=""))
    answer = SimpleNamespace(**vars(season.answer) | {"observations": undated + shots[6:20]})
    drift = watch_drift(replace(season, answer=answer, proofs=proofs))
    assert [one.group.name for one in drift.calibrating] == [f"s{place}" for place in range(6)]
    assert len(drift.watched) == 20
    assert drift.left_out == 1
    alone = SimpleNamespace(**vars(season.answer) | {"observations": undated, "posterior": None})
    assert len(watch_drift(replace(season, answer=alone, proofs=shots[6:])).watched) == 20


def test_only_the_newest_groups_are_watched(season, monkeypatch):
    monkeypatch.setattr("tapewright.services.watch_drift.MOST", 5)
    drift = watch_drift(season)
    assert [one.group.group.name for one in drift.watched] == [f"w{one}" for one in range(15, 20)]
    assert drift.left_out == 15


def test_draws_that_are_there_are_used(season, monkeypatch):
    answer = season.answer
    sighted, later = answer.observations[:6], answer.observations[6:]
    whole = watch_drift(season)
    posterior = whole_posterior(season, sighted)
    one = SimpleNamespace(rig=answer.rig, observations=sighted, posterior=posterior)
    monkeypatch.setattr("tapewright.services.watch_drift.fit_bow", None)  # called by nobody
    same = watch_drift(Season(one, proofs=later), "2026-03-08")
    assert same.watched[-1].statistic == pytest.approx(whole.watched[-1].statistic, rel=0.3)


def whole_posterior(season, shots):
    return draw_posterior(fit_bow(season.answer.rig, shots), np.random.default_rng(1))


@pytest.mark.parametrize(
    ("since", "shown", "why"),
    [
        ("2026-03-01", 26, "no group was shot before 2026-03-01"),
        ("2027-01-01", 26, "no group was shot since 2027-01-01"),
        ("", 6, "none came after"),
        ("", 0, "on which day"),
    ],
)
def test_what_cannot_be_watched_is_refused(season, since, shown, why):
    shots = season.answer.observations[:shown]
    answer = SimpleNamespace(**vars(season.answer) | {"observations": shots})
    with pytest.raises(BadInput, match=why):
        watch_drift(replace(season, answer=answer), since)


def test_a_picture_shows_earlier_set_ups_and_changes(season):
    shots = season.answer.observations
    back = timedelta(days=100)
    early = tuple(
        replace(one, date=(date.fromisoformat(one.date) - back).isoformat()) for one in shots
    )
    changes = (SetupChange("2025-01-01", "long ago"), SetupChange("2026-02-20", "new peep"))
    few = Shot(season.answer.rig, early[:3])  # too few: left out without a word
    whole = replace(season, earlier=(Shot(season.answer.rig, early), few), changes=changes)
    assert len(watch_earlier(whole.earlier[0])) == 20
    drift = watch_drift(moved(whole, -1.5e-3))
    svg = draw_season(drift, 0.0254, ("high and low, in", "left and right, in"), "Heron")
    assert svg.count("<rect") == 2 * (20 + 20)
    assert "2026-02-20: new peep" in svg
    assert "long ago" not in svg
    assert 'aria-label="alarm"' in svg
    assert "<title>Heron</title>" in svg
    assert 'aria-label="Nov 2025"' in svg
    slow = replace(drift.found, slow_chance=0.9)
    for one in (replace(drift, found=slow), replace(drift, alarm=None)):
        assert "<svg" in draw_season(one, 0.01, ("a", "b"), "Heron")


def test_groups_of_one_side_are_watched_by_it(season):
    shots = tuple(
        replace(one, group=Group(one.group.name, tuple(
            Impact(None, hit.up_m) for hit in one.group.impacts)))
        for one in season.answer.observations
    )  # fmt: skip
    answer = SimpleNamespace(**vars(season.answer) | {"observations": shots})
    drift = watch_drift(replace(season, answer=answer))
    assert all(np.isnan(one.right_m) and np.isnan(one.right_error) for one in drift.watched)
    assert drift.alarm is None

"""Ladders: whatever places a range has, each plan climbs by the rule or says what is missing."""

import json
import re

import pytest
from click.testing import CliRunner

from tapewright.faces.cli.commands import main

HIT_YD = {"left-hander": 70, "string": 70}  # farthest group of the demo's archer
FIRST_YD = 10.0


@pytest.fixture
def demo(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert CliRunner().invoke(main, ["demo"]).exit_code == 0
    return tmp_path / "tapewright-demo"


def asked(*typed, status=0):
    done = CliRunner().invoke(main, [str(one) for one in typed])
    assert done.exit_code == status, done.output
    return json.loads(done.stdout)


def climbs(steps, unit, hit=0.0, before=0.0):
    """Whether each step obeys the rule: near first, then half as far again at the most."""
    first = FIRST_YD if unit == "yd" else 9.144
    for step in steps:
        assert step["safe"]
        assert step["chance_on_butt"] >= 0.99
        far = max(1.5 * hit, before) if hit else first
        assert step[f"distance_{unit}"] <= far + 1e-3
        hit = max(hit, step[f"distance_{unit}"])
    return True


@pytest.mark.parametrize(
    ("places", "unit", "butt"),
    [
        ("18,30,50,70m", "m", "36x36 in"),
        ("20,40,60yd", "yd", "60x60 cm"),
        ("20yd", "yd", "36x36 in"),
    ],
)
def test_a_never_shot_rig_gets_on_where_one_may_walk(demo, places, unit, butt):
    typed = ("plan", demo / "heron.toml", "--distances", places, "--butt", butt)
    plan = asked(*typed, *(["--metric"] if unit == "m" else []), "--json")
    assert plan["plan"][0]["walk"]
    assert climbs(plan["plan"], unit)
    lanes = [float(one) for one in re.findall(r"\d+", places)]
    assert {step[f"distance_{unit}"] for step in plan["plan"] if not step["walk"]} <= set(lanes)


@pytest.mark.parametrize("places", ["18,30,50,70m", "20,40,60yd", "20yd"])
def test_where_walking_is_forbidden_it_says_which_place_would_do(demo, places):
    plan = asked(
        "plan", demo / "heron.toml", "--distances", places, "--walk", "no", "--metric", "--json"
    )
    assert plan["plan"] == []
    assert plan["hindrance"]["kind"] == "place"
    assert 3.0 <= plan["hindrance"]["distance_m"] <= 9.144
    near = asked(
        "plan", demo / "heron.toml", "--distances", f"9m,{places}".replace("yd", "m"),
        "--walk", "no", "--metric", "--json",
    )  # fmt: skip
    assert near["plan"][0]["distance_m"] == 9
    assert climbs(near["plan"], "m")


def test_lanes_too_far_apart_end_where_they_do(demo):
    typed = ("plan", demo / "heron.toml", "--distances", "9,18,40m", "--walk", "no", "--metric")
    plan = asked(*typed, "--json")
    assert [step["distance_m"] for step in plan["plan"]][:1] == [9]
    assert max(step["distance_m"] for step in plan["plan"]) <= 13.6  # 18 m is twice 9 m
    assert plan["hindrance"]["kind"] == "place"


def test_a_left_hander_climbs_like_everybody(demo):
    sheet = (demo / "heron.toml").read_text(encoding="utf-8")
    mirrored = re.sub(r'hand = "right"', 'hand = "left"', sheet)
    assert mirrored != sheet
    (demo / "left.toml").write_text(mirrored, encoding="utf-8")
    assert climbs(asked("plan", demo / "left.toml", "--json")["plan"], "yd")
    shot = asked("plan", demo / "left.toml", demo / "heron-shots.csv", "--json")
    assert shot["farthest_hit_yd"] == 70
    assert climbs(shot["plan"], "yd", hit=70.0)


def test_a_recurve_with_little_on_its_sheet_is_asked_first_and_then_climbs(demo):
    bare = 'name = "Alder"\n[arrow]\nmass = "330 gr"\nshaft_diameter = "5.5 mm"\n'
    (demo / "alder.toml").write_text(bare, encoding="utf-8")
    withheld = asked("plan", demo / "alder.toml", "--metric", "--json", status=2)
    assert withheld["plan"] == []
    assert withheld["questions"]
    told = bare.replace('mm"\n', 'mm"\nlength = "29.5 in"\n') + (
        '[bow]\ndraw_weight = "42 lbf"\ndraw_length = "28.5 in"\nbrace_height = "8.5 in"\n'
        'rest = "none"\n'
    )
    (demo / "alder.toml").write_text(told, encoding="utf-8")
    plan = asked("plan", demo / "alder.toml", "--metric", "--json")
    assert plan["plan"]
    assert climbs(plan["plan"], "m")


def test_a_proven_rig_with_a_new_string_shoots_near_once_and_then_where_it_had_hit(demo):
    found = asked(
        "change", demo / "heron.toml", demo / "heron-shots.csv", demo / "heron.toml",
        "--new-string", "--json",
    )  # fmt: skip
    assert found["trusted_distance_yd"] is None
    near, *others = [one["distance_yd"] for one in found["confirm"]]
    assert near <= 10
    assert others
    assert others[0] <= 70  # as far as groups had hit, and no farther

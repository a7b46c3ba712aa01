"""The commands ``group`` and ``clicks``: what is typed, and what is refused."""

import json

import pytest

SHOTS = (
    "group,distance_yd,reading_mm,right_in,up_in,note\n"
    "a,20,16.1,-0.9,-3.9,\na,20,16.1,-1.1,-4.1,\na,20,16.1,-1.0,-4.2,\na,20,16.1,-1.0,-3.8,\n"
    "a,20,16.1,9,9,bad: plucked\n"
)
SINGLE = (
    "distance_yd,reading_mm,right_in,up_in\n20,10.0,1.3,-4.1\n20,15.2,-0.5,0.5\n20,15.3,0.2,0.3\n"
)
TURNED = (
    "group,distance_yd,clicks,up_in,windage_clicks,right_in\n"
    "a,20,0,0.3,0,0.1\na,20,0,-0.3,0,-0.4\na,20,0,0.1,0,0.1\n"
    "b,20,40,2.5,20,-0.7\nb,20,40,2.7,20,-1.4\nb,20,40,1.8,20,-0.7\n"
)


@pytest.fixture
def files(bench):
    for name, text in (("low.csv", SHOTS), ("single.csv", SINGLE), ("turned.csv", TURNED)):
        (bench / name).write_text(text, encoding="utf-8")
    return bench


@pytest.fixture
def typed(run, files):
    assert files.exists()
    return run


def test_group_says_what_to_move(typed):
    said = typed("group", "rig.toml", "low.csv", "--clicks-per-turn", "20").stdout
    assert "Group a: 1 arrow called bad, left out." in said
    assert "Elevation: pin down, " in said
    assert "clicks (3 turns and " in said
    assert "Windage: pin left by " in said


def test_group_json_follows_the_screen(typed):
    written = json.loads(typed("group", "rig.toml", "low.csv", "--json").stdout)
    (one,) = written["groups"]
    assert (one["arrows"], one["called_bad"]) == (4, 1)
    assert one["centre_up_in"] == pytest.approx(-4.0, abs=1e-3)
    assert one["correction"]["pin_vertical"] == "down"
    assert one["correction"]["new_reading_mm"] > 16.1


def test_group_needs_no_rig_sheet(typed):
    said = typed("group", "low.csv", "--metric").stdout
    assert "Elevation: pin down by 5.5" in said
    assert said.endswith("Give the rig sheet, too, for readings and clicks.\n")
    written = json.loads(typed("group", "low.csv", "--json").stdout)
    assert "new_reading_mm" not in written["groups"][0]["correction"]


def test_a_trusted_zero_moves_less(typed):
    shifts = [
        json.loads(typed("group", "rig.toml", "low.csv", "--json", *more).stdout)
        ["groups"][0]["correction"]["shift_up_in"]
        for more in ((), ("--zero-within", "0.1 in"))
    ]  # fmt: skip
    assert 0 < shifts[1] < shifts[0]


def test_arrow_by_arrow(typed):
    said = typed("group", "rig.toml", "single.csv", "--arrow-by-arrow").stdout
    assert said.startswith("Arrow by arrow\n")
    assert "Before arrow 4: elevation: pin " in said
    written = json.loads(
        typed("group", "rig.toml", "single.csv", "--arrow-by-arrow", "--json").stdout
    )
    assert [one["share"] for one in written["arrows"]] == pytest.approx(
        [1, 1 / 2, 1 / 3], rel=0.011
    )
    still = json.loads(
        typed("group", "rig.toml", "single.csv", "--arrow-by-arrow", "--windage", "still",
              "--json").stdout
    )  # fmt: skip
    pins = [one["arrows"][-1]["pin_right_mm"] for one in (written, still)]
    assert pins[1] > pins[0]  # the mean of what was seen, and nothing moved yet


def test_clicks_table_and_learning(typed):
    said = typed("clicks", "rig.toml", "shots.csv", "--distances", "20,60 m").stdout
    assert "distance m" in said
    assert "One elevation click is 0.1 mm of reading." in said
    assert "windage_click is not on the rig sheet" in said
    said = typed("clicks", "rig.toml", "--learn", "turned.csv").stdout
    assert "One elevation click is 0.1" in said
    assert "One windage click is 0.05" in said
    written = json.loads(typed("clicks", "rig.toml", "--learn", "turned.csv", "--json").stdout)
    assert [one["axis"] for one in written["learnt"]] == ["elevation", "windage"]
    assert len(written["clicks"]) == 7


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("group", "rig.toml"), "no file of shots stands behind it"),
        (("group", "rig.toml", "low.csv", "low.csv"), "3 files are named"),
        (("group", "rig.toml", "gone.csv"), "gone.csv: there is no such file"),
        (("group", "single.csv", "--arrow-by-arrow"), "no rig sheet is given"),
        (("group", "rig.toml", "low.csv", "--zero-within", "-1 in"), "is not above zero"),
        (("group", "rig.toml", "low.csv", "--zero-within", "far"), "--zero-within"),
        (("group", "rig.toml", "low.csv", "--zero-within", ""), "nothing stands behind it"),
        (("group", "rig.toml", "low.csv", "--clicks-per-turn", "1"), "from 2 to 1000"),
        (("clicks", "rig.toml", "--learn", "low.csv"), "has no use in a file of clicks"),
        (("group", "rig.toml", "none.csv"), "there are no arrows in it"),
        (("group", "rig.toml", "marks.csv", "--arrow-by-arrow"), "no arrow of the last distance"),
    ],
)
def test_wrong_input_ends_in_one_paragraph(typed, files, words, said):
    (files / "none.csv").write_text("distance_yd,reading_mm\n", encoding="utf-8")
    (files / "marks.csv").write_text("distance_yd,reading_mm\n20,16\n", encoding="utf-8")
    refused = typed(*words)
    assert refused.exit_code == 2
    assert said in refused.stderr
    assert "Traceback" not in refused.stderr

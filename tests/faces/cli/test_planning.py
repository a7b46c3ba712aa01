"""The plan command."""

import pytest
from screen import answered_json as said
from screen import refused_words as refused

PLAN_KEYS = {
    "slips",
    "schema", "rig", "fingerprint", "band", "most_arrows", "candidates", "plan", "plan_arrows",
    "gets_there", "first_arrow", "hindrance", "spare_group", "first_shot", "walk_back",
    "walk_back_gets_there", "cautions", "stop", "questions", "checks", "near_arrow_first",
    "correction_share", "windage_first", "measure_first",
}  # fmt: skip
YARD_KEYS = {
    "wanted_distance_yd", "tolerance_in", "butt_width_in", "butt_height_in", "trusted_distance_yd",
    "band_in", "farthest_hit_yd", "next_step_to_yd", "left_out_yd", "past_butt_yd",
}  # fmt: skip


def plan(run, *typed):
    return said(run("plan", "rig.toml", *typed, "--json"))


def test_json_has_the_documented_keys_and_no_other(run):
    answer = plan(run, "--to", "60 yd")
    assert set(answer) == PLAN_KEYS | YARD_KEYS
    assert answer["schema"] == "tapewright.plan/1"
    place = {"distance_yd", "chance_on_butt", "safe"}
    bought = {"arrows", "band_in", "trusted_distance_yd"}
    for one in answer["candidates"]:
        assert set(one) == place | {"groups"}
        assert [set(group) for group in one["groups"]] == [bought] * 4
    for one in answer["plan"]:
        assert set(one) == place | bought | {"reading_mm", "walk"}
    assert set(answer["first_arrow"]) == {"distance_yd", "low_in", "high_in"}
    small = plan(run, "--butt", "3x3 in")
    assert set(small["hindrance"]) == {
        "kind", "distance_yd", "butt_width_in", "butt_height_in",
    }  # fmt: skip
    sure = plan(run, "shots.csv", "--to", "50 yd")
    assert set(sure["spare_group"]) == place | bought
    for one in answer["walk_back"]:
        assert set(one) == place | {"arrows"}
    assert set(answer["first_shot"]) == place | {
        "reading_mm", "low_in", "high_in", "butt_height_95_in", "butt_height_99_in",
    }  # fmt: skip


NEAR = "group,distance_yd,reading_mm,right_in,up_in,note\na,10,12.3,1,-6,\na,10,12.3,0.6,-6.2,\n"


def with_shots(tmp_path, rows):
    (tmp_path / "near.csv").write_text(NEAR + rows)
    return "near.csv"


def test_after_a_miss_the_plan_comes_nearer_and_says_so(run, tmp_path):
    before = plan(run, with_shots(tmp_path, ""), "--to", "60 yd")
    assert before["next_step_to_yd"] == 15
    assert (before["past_butt_yd"], before["correction_share"]) == (None, 1)
    near = with_shots(tmp_path, "b,15,13.5,,,missed\n")
    after = plan(run, near, "--to", "60 yd")
    assert (after["next_step_to_yd"], after["past_butt_yd"]) == (10, 15)
    assert after["correction_share"] == 0.5
    (only,) = after["plan"]
    assert only["distance_yd"] == 10
    assert after["trusted_distance_yd"] <= 10
    text = " ".join(run("plan", "rig.toml", near, "--to", "60 yd").stdout.split())
    assert "Dial half of the correction only" in text
    assert "Arrows went past the butt at 15 yd: back to where they are sure to hit." in text
    said_of_it = "Arrows shot from 15 yd went past the butt: nothing is trusted there or farther"
    for asked in (("fit", "rig.toml", near), ("slopes", "rig.toml", near, "--distances", "10yd")):
        assert said_of_it in " ".join(run(*asked).output.split())


def test_after_three_misses_nothing_more_is_planned(run, tmp_path):
    rows = "".join(
        f"{name},{yards},13.5,,,missed\n" for name, yards in (("b", 15), ("c", 10), ("d", 5))
    )
    near = with_shots(tmp_path, rows)
    answer = plan(run, near, "--to", "60 yd")
    assert answer["plan"] == []
    assert answer["hindrance"]["kind"] == "misses"
    assert "shoot no more" in run("plan", "rig.toml", near, "--to", "60 yd").stdout


def test_a_first_arrow_past_the_butt_is_shot_again_from_half_as_far(run, tmp_path):
    (tmp_path / "near.csv").write_text(NEAR.splitlines()[0] + "\na,10,12.3,,,missed\n")
    answer = plan(run, "near.csv", "--to", "60 yd")
    assert answer["next_step_to_yd"] == 5
    assert answer["plan"][0]["distance_yd"] == 5
    assert answer["plan"][0]["reading_mm"] is None
    text = run("plan", "rig.toml", "near.csv", "--to", "60 yd").stdout
    assert "Nearer, since arrows went past the butt." in text


def test_arrows_past_the_butt_turn_nothing_and_prove_nothing(run, tmp_path):
    (tmp_path / "near.csv").write_text(NEAR.splitlines()[0] + "\na,40,22.3,,,missed\n")
    told = run("group", "rig.toml", "near.csv")
    assert "every arrow went past the butt, so nothing was measured" in refused(told)
    told = run("prove", "rig.toml", "shots.csv", "near.csv")
    assert "arrows of a went past the butt: what sends them there is not proven" in refused(told)


def test_from_no_arrow_a_whole_session_is_planned(run):
    answer = plan(run, "--to", "70 yd", "--tolerance", "3 in", "--butt", "36x36 in")
    assert answer["trusted_distance_yd"] is None
    assert answer["farthest_hit_yd"] is None
    assert answer["next_step_to_yd"] == 10
    assert answer["plan"][0]["distance_yd"] <= 10
    assert [one["reading_mm"] for one in answer["plan"]] == [None] * len(answer["plan"])
    assert answer["first_arrow"]["low_in"] is None
    assert answer["gets_there"]
    assert answer["plan"][-1]["trusted_distance_yd"] == 70
    assert all(one["safe"] for one in answer["plan"])
    assert answer["plan_arrows"] == sum(one["arrows"] for one in answer["plan"]) <= 60
    assert not answer["first_shot"]["safe"]
    assert answer["walk_back_gets_there"]
    assert answer["walk_back"][-1]["distance_yd"] == 70
    text = run("plan", "rig.toml", "--to", "70 yd").stdout
    for words in (
        "No arrow was shot yet",
        "First from 10 yd, the sight set by eye: one arrow, then look",
        "by eye",
        "unsafe",
        "The way there: 10 yd, 15 yd",
        "safe stop",
    ):
        assert words in text


def test_what_is_trusted_already_is_said(run):
    done = run("plan", "rig.toml", "shots.csv", "--to", "50 yd")
    assert "no arrow is needed" in done.stdout
    answer = plan(run, "shots.csv", "--to", "50 yd")
    assert answer["plan"] == []
    assert answer["gets_there"]


def test_metres_ask_for_a_metric_answer(run):
    answer = plan(run, "--to", "50 m", "--butt", "90x120 cm")
    assert answer["wanted_distance_m"] == 50
    assert answer["butt_width_cm"] == 90
    assert answer["butt_height_cm"] == 120
    assert answer["candidates"][0]["distance_m"] == 10
    usual = plan(run, "--metric")
    assert usual["wanted_distance_m"] % 10 == 0
    assert usual["plan"][0]["distance_m"] <= 9


def test_what_is_wanted_when_nobody_says_is_the_farthest_ten_not_yet_trusted(run):
    assert plan(run)["wanted_distance_yd"] == 70  # the bands alone would carry 54 yd
    shot = plan(run, "shots.csv")
    assert shot["wanted_distance_yd"] % 10 == 0
    assert shot["wanted_distance_yd"] > shot["trusted_distance_yd"]


def test_no_step_is_longer_than_half_as_far_again_as_the_farthest_hit(run):
    answer = plan(run, "shots.csv")
    hit = answer["farthest_hit_yd"]
    assert hit == 70
    assert answer["next_step_to_yd"] == 105
    text = run("plan", "rig.toml", "shots.csv").stdout
    assert "The farthest group that fits hit at 70 yd, so no arrow is shot past 105 yd" in text


def test_windage_that_was_moved_since_is_planned_as_told(run):
    still = plan(run, "shots.csv", "--to", "50 yd")
    assert plan(run, "shots.csv", "--to", "50 yd", "--windage", "still") == still
    moved = plan(run, "shots.csv", "--to", "50 yd", "--windage", "moved")
    assert moved["trusted_distance_yd"] == still["trusted_distance_yd"]
    assert "--windage" in refused(run("plan", "rig.toml", "--windage", "perhaps"))


def test_cold_today_asks_for_one_near_arrow_first(run):
    at_home = plan(run, "shots.csv", "--to", "50 yd", "--temperature", "1 °C")
    assert at_home == plan(run, "shots.csv", "--to", "50 yd")  # 14 °C colder is not far
    assert not at_home["near_arrow_first"]
    cold = plan(run, "shots.csv", "--to", "50 yd", "--temperature", "32 °F")
    assert cold["near_arrow_first"]
    assert (cold["farthest_hit_yd"], cold["next_step_to_yd"]) == (None, 10)
    assert cold["trusted_distance_yd"] == at_home["trusted_distance_yd"] == 50
    assert cold["plan"][0]["distance_yd"] <= 10
    assert "The air of today is 15 °C colder than where arrows were shot" in cold["cautions"][0]
    text = run("plan", "rig.toml", "shots.csv", "--temperature", "35 °C").stdout
    assert "It stands near by, since limbs and string shoot otherwise in such air." in text
    assert "The air of today is 20 °C warmer" in " ".join(text.split())
    afar = ("--temperature", "-5 °C", "--distances", "40,60yd", "--walk", "no")
    assert plan(run, "shots.csv", "--to", "60 yd", *afar)["plan"] == []


def test_groups_shot_in_such_cold_count(run, bench):
    head, *rows = (bench / "shots.csv").read_text(encoding="utf-8").splitlines()
    cold = [f"{head},temperature_c", *(f"{row},{-5 if ',60,' in row else ''}" for row in rows)]
    (bench / "cold.csv").write_text("\n".join(cold) + "\n", encoding="utf-8")
    asked = ("cold.csv", "--to", "60 yd", "--temperature", "-10 °C")
    answer = plan(run, *asked)
    assert (answer["farthest_hit_yd"], answer["next_step_to_yd"]) == (60, 90)
    assert "The air of today" not in answer["cautions"][0]


def test_cold_says_nothing_new_before_the_first_arrow(run):
    assert plan(run, "--temperature", "-20 °C") == plan(run)
    wrong = refused(run("plan", "rig.toml", "--temperature", "95 °C"))
    assert "--temperature" in wrong
    assert "Write -35 to 50 °C" in wrong


def test_a_range_with_fixed_places_says_where_to_walk_or_what_would_do(run):
    lanes = ("--distances", "18,30,50,70m", "--metric")
    answer = plan(run, *lanes)
    assert answer["plan"][0]["distance_m"] <= 9
    assert answer["plan"][0]["walk"]
    assert {one["distance_m"] for one in answer["plan"] if not one["walk"]} <= {18, 30, 50, 70}
    text = run("plan", "rig.toml", *lanes).stdout
    assert "Walk up to there, with the range's leave" in text
    fixed = plan(run, *lanes, "--walk", "no")
    assert fixed["plan"] == []
    assert fixed["hindrance"]["kind"] == "place"
    assert 8 < fixed["hindrance"]["distance_m"] <= 9.15
    text = run("plan", "rig.toml", *lanes, "--walk", "no").stdout
    assert "Nothing may be shot here. A place at" in text


@pytest.mark.parametrize("butt", ["36x36 in", "36 in x 36 in", "36×36in", "3 ft x 36 in"])
def test_a_butt_is_written_in_several_ways(run, butt):
    answer = plan(run, "--butt", butt)
    assert (answer["butt_width_in"], answer["butt_height_in"]) == (36, 36)


def test_a_smaller_butt_is_never_safer_and_unsafe_shots_are_never_planned(run):
    wide, narrow = (plan(run, "--butt", butt) for butt in ("60x60 in", "20x20 in"))
    for one, other in zip(wide["candidates"], narrow["candidates"], strict=True):
        assert one["chance_on_butt"] >= other["chance_on_butt"]
    unsafe = {one["distance_yd"] for one in narrow["candidates"] if not one["safe"]}
    assert unsafe
    assert narrow["plan"][0]["distance_yd"] not in unsafe


def test_a_butt_that_stops_nothing_gets_no_plan(run):
    done = run("plan", "rig.toml", "--butt", "3x3 in", "--to", "60 yd")
    assert "this butt is too small: one" in done.stdout
    answer = plan(run, "--butt", "3x3 in")
    assert answer["hindrance"]["kind"] == "butt"
    assert answer["hindrance"]["butt_height_in"] > answer["hindrance"]["butt_width_in"] > 3
    assert answer["plan"] == []
    assert not answer["gets_there"]


def test_too_few_arrows_end_short(run):
    done = run("plan", "rig.toml", "--to", "90 yd", "--arrows", "3")
    assert "It ends short of 90 yd" in done.stdout


def test_distances_may_be_named(run):
    answer = plan(run, "--distances", "18,36,54 m", "--to", "60 yd")
    assert [round(one["distance_yd"] * 0.9144) for one in answer["candidates"]] == [18, 36, 54]


def test_distances_past_the_clearance_are_left_out(run, bench):
    sheet = (bench / "rig.toml").read_text(encoding="utf-8")
    held = sheet.replace('housing_below_pin = "23 mm"', 'clearance_reading = "50 mm"')
    assert held != sheet
    (bench / "rig.toml").write_text(held, encoding="utf-8")
    answer = plan(run, "shots.csv", "--to", "90 yd", "--tolerance", "1 in")
    assert 90 in answer["left_out_yd"]
    assert answer["first_shot"] is None
    assert max(one["distance_yd"] for one in answer["candidates"]) < 70
    text = run("plan", "rig.toml", "shots.csv", "--to", "90 yd", "--tolerance", "1 in").stdout
    assert "does not surely reach" in text


def test_the_same_seed_plans_the_same(run):
    typed = ("plan", "rig.toml", "--to", "60 yd", "--json", "--seed", "3")
    assert run(*typed).stdout == run(*typed).stdout


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        (("--to", "60"), "--to"),
        (("--to", " "), "--to: nothing stands behind it"),
        (("--to", "40,60 yd"), "not one distance"),
        (("--to", "5 yd"), "nearer than a trusted distance"),
        (("--to", "sixty"), "--to"),
        (("--tolerance", "0 in"), "no miss to ask for"),
        (("--tolerance", "3"), "--tolerance"),
        (("--butt", "36 in"), "not width x height"),
        (("--butt", "36xtall in"), "--butt"),
        (("--butt", "36x36"), "--butt"),
        (("--butt", "1x1 mm"), "stops no arrow"),
        (("--butt", "-36x36 in"), "stops no arrow"),
        (("--arrows", "2"), "--arrows"),
        (("--distances", "20,90 yd", "--to", "60 yd"), "past the wanted distance"),
        (("--distances", "x"), "--distances"),
    ],
)
def test_wrong_options_are_refused_in_a_paragraph(run, typed, told):
    assert told in refused(run("plan", "rig.toml", *typed))


def test_a_missing_file_is_refused(run):
    assert "no such file" in refused(run("plan", "none.toml"))


def test_less_than_the_sheet_wants_is_explained(run, bench):
    """The sight ends at 40 mm: the sheet's 70 yd is out of its reach."""
    sheet = (bench / "rig.toml").read_text(encoding="utf-8")
    kept = [one for one in sheet.splitlines() if not one.startswith(("travel_ends", "farthest"))]
    sheet = "\n".join(kept).replace("[sight]\n", '[sight]\ntravel_ends = ["0 mm", "40 mm"]\n')
    sheet = sheet.replace("[archer]\n", '[archer]\nfarthest = "70 yd"\n')
    (bench / "short.toml").write_text(sheet, encoding="utf-8")
    (bench / "near.csv").write_text(
        "group,distance_yd,reading_mm,right_in,up_in\na,10,16,0,0.2\na,10,16,0.1,-0.1\n",
        encoding="utf-8",
    )
    said = run("plan", "short.toml", "near.csv").stdout.splitlines()[0]
    assert "The sheet's 70 yd is not wanted yet: the sight does not surely reach it." in said
    asked = run("plan", "rig.toml", "near.csv").stdout.splitlines()[0]
    assert "not wanted yet" not in asked

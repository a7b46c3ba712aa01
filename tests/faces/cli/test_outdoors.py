"""The commands slopes, weather and wind as a person types them."""

import json

import pytest
from screen import answered, refused, rows_under


def test_without_shots_a_card_is_a_guess_and_says_so(run):
    said = answered(run("card", "rig.toml", "--distances", "20,40yd"))
    assert "this is a starting strip" in said
    assert "Do not set the sight past" in said
    for other in (["slopes"], ["weather", "--temperature", "0 °C"]):
        assert "starting strip" in answered(run(other[0], "rig.toml", *other[1:]))


def test_slopes_on_screen_and_in_json_agree(run):
    typed = ("slopes", "rig.toml", "shots.csv", "--distances", "20,60 yd", "--slopes", "30,45°")
    said = answered(run(*typed))
    found = json.loads(answered(run(*typed, "--json")))
    assert found["schema"] == "tapewright.slopes/1"
    assert [one["slope_deg"] for one in found["slopes"]] == [-45.0, -30.0, 30.0, 45.0]
    up = found["slopes"][2]["marks"]
    assert up[0]["dial_yd"] is None
    assert "low" in said
    assert "lower than any level mark" in said
    # columns: distance, then -45, -30, 30 and 45 degrees
    assert rows_under(said, "Dial")[1][3] == pytest.approx(up[1]["dial_yd"], abs=0.051)
    miss = rows_under(said, "Miss of the rule")[1][3]
    assert miss == pytest.approx(up[1]["horizontal_miss_in"], abs=0.051)
    assert up[1]["horizontal_yd"] == pytest.approx(51.96, abs=0.01)
    assert "bend at the hips" in said


def test_gentle_slopes_have_a_mark_for_all(run):
    said = answered(run("slopes", "rig.toml", "shots.csv", "--slopes", "5", "--metric"))
    assert "lower than any" not in said


@pytest.mark.parametrize("angles", ["0", "70", "x", "-20", ",".join(map(str, range(1, 15)))])
def test_wrong_slopes_are_refused(run, angles):
    assert "--slopes" in refused(run("slopes", "rig.toml", "shots.csv", "--slopes", angles))


def test_a_slope_for_a_missing_pin_is_refused(run):
    assert "2 pins" in refused(run("slopes", "rig.toml", "shots.csv", "--pin", "4"))


def test_weather_on_screen_and_in_json_agree(run):
    typed = ("weather", "rig.toml", "shots.csv", "--temperature", "-5 °C", "--altitude", "1800 m")
    said = answered(run(*typed))
    found = json.loads(answered(run(*typed, "--json")))
    assert found["schema"] == "tapewright.weather/1"
    assert found["air"]["temperature_c"] == -5.0
    assert 0.8 < found["air"]["density_ratio"] < 0.9
    last = found["marks"][-1]
    row = rows_under(said, "Marks at home")[-1]
    known_mm = (last["away_high_mm"] - last["away_low_mm"]) / 6  # a third of half the band
    assert row[2] == pytest.approx(last["away_mm"], abs=0.5 * known_mm)
    assert row[5] == pytest.approx(last["miss_in"], abs=0.051)
    assert "thinner than at home" in said
    assert "dial the marks of the day" in said
    assert "Cold limbs" in said


def test_weather_that_hardly_matters_is_said_to(run):
    typed = ("weather", "rig.toml", "shots.csv", "--temperature", "10 °C", "--humidity", "70 %")
    said = answered(run(*typed, "--metric", "--pin", "2"))
    assert "The marks of home serve" in said
    assert "thicker" in said


def test_a_reports_pressure_is_brought_to_the_spot(run):
    typed = ("weather", "rig.toml", "shots.csv", "--sea-level-pressure", "1013 hPa", "--json")
    found = json.loads(answered(run(*typed, "--altitude", "6000 ft")))
    assert found["air"]["pressure_hpa"] == pytest.approx(812, abs=2)
    found = json.loads(answered(run("weather", "rig.toml", "--pressure", "850 hPa", "--json")))
    assert found["air"]["pressure_hpa"] == 850.0


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ([], "nothing is said of the air away"),
        (["--sea-level-pressure", "1013 hPa"], "without the altitude"),
        (["--sea-level-pressure", "1013 hPa", "--altitude", "1 km", "--pressure", "900 hPa"],
         "leaves nothing for --sea-level-pressure to say"),
        (["--pressure", "900 hPa", "--altitude", "1 km"], "leaves nothing for --altitude to say"),
        (["--temperature", "200 °C"], "--temperature: air temperature comes to 200 °C"),
        (["--altitude", "9 km"], "--altitude: air pressure comes to 308 hPa"),
        (["--pressure", "20 hPa"], "--pressure: air pressure comes to 20 hPa"),
        (["--humidity", "130 %"], "--humidity: humidity comes to 130 %"),
        (["--temperature", "20"], "no unit"),
        (["--altitude", "20 °C"], "is a temperature"),
        (["--altitude", "300 m", "--pin", "3"], "2 pins"),
    ],
)  # fmt: skip
def test_wrong_weather_is_refused(run, typed, words):
    assert words in refused(run("weather", "rig.toml", "shots.csv", *typed))


def test_wind_on_screen_and_in_json_agree(run):
    typed = ("wind", "rig.toml", "shots.csv", "--distances", "60 yd", "--spot", "5 in")
    said = answered(run(*typed))
    found = json.loads(answered(run(*typed, "--json")))
    row = found["misses"][0]
    assert found["schema"] == "tapewright.wind/1"
    assert row["hold_off_right_in"] == -row["right_in"]
    assert row["hold_off_right_spots"] == pytest.approx(-row["right_in"] / 5.0, abs=2e-3)
    known_in = (row["right_high_in"] - row["right_low_in"]) / 6
    ((_, side, told, spots, *_),) = rows_under(said, "Wind:")
    assert (side, told) == ("left", pytest.approx(row["right_in"], abs=0.5 * known_in))
    assert spots == pytest.approx(row["right_in"] / 5.0, abs=0.0051)
    assert "10 mph blow to the right" in said
    assert "hold off to the left" in said


def test_wind_from_the_right_and_from_ahead(run):
    said = answered(run("wind", "rig.toml", "shots.csv", "--cross", "-4 m/s", "--metric"))
    assert "4 m/s blow to the left" in said
    said = answered(run("wind", "rig.toml", "shots.csv", "--head", "10 mph"))
    assert "Head wind of 10 mph: arrows land low; the last column" in said
    assert "-0.00" not in said
    assert "blow to the" not in said
    said = answered(run("wind", "rig.toml", "shots.csv", "--head", "-5 m/s", "--metric"))
    assert "Tail wind" in said


def test_metres_typed_ask_for_the_wind_and_the_spot_that_are_usual_in_metres(run):
    said = answered(run("wind", "rig.toml", "shots.csv", "--distances", "18,30 m"))
    assert "5 m/s blow to the right" in said
    assert "a spot of 10 cm" in said


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        (["--cross", "0 mph"], "no wind blows"),
        (["--cross", "90 mph"], "gale"),
        (["--cross", "10"], "no unit"),
        (["--head", "-30 m/s"], "gale"),
        (["--spot", "1 mm"], '--spot: "1 mm" is too little. Write 0.5 to 200 cm'),
        (["--spot", ""], "--spot: nothing stands behind it"),
        (["--cross", ""], "--cross: nothing stands behind it"),
    ],
)
def test_wrong_wind_is_refused(run, typed, words):
    assert words in refused(run("wind", "rig.toml", "shots.csv", *typed))


@pytest.mark.parametrize("command", ["slopes", "weather", "wind", "budget", "card"])
def test_marks_on_which_no_arrow_was_shot_are_told_of_everywhere(run, command):
    more = ["--altitude", "1000 m"] if command == "weather" else []
    said = answered(run(command, "rig.toml", *more))
    assert "Mind: No arrow was shot yet" in said
    found = json.loads(answered(run(command, "rig.toml", *more, "--json")))
    assert any("No arrow was shot yet" in one for one in found["cautions"])


def test_the_same_air_is_said_to_be_the_same(run):
    said = answered(run("weather", "rig.toml", "shots.csv", "--temperature", "15 °C"))
    assert "air as dense as at home" in said
    assert "-0.0 " not in said


def test_slopes_take_their_sign_of_degrees_at_each(run):
    plain = answered(run("slopes", "rig.toml", "shots.csv", "--slopes", "10,20"))
    assert answered(run("slopes", "rig.toml", "shots.csv", "--slopes", "10°, 20deg")) == plain
    many = ",".join(str(one) for one in range(1, 14))
    assert "holds 13 slopes" in refused(run("slopes", "rig.toml", "shots.csv", "--slopes", many))


def test_a_hold_that_leaves_the_butt_is_told_where_it_begins(run):
    typed = ("wind", "rig.toml", "shots.csv", "--cross", "30 mph", "--distances", "10:80:10yd")
    found = json.loads(answered(run(*typed, "--json")))
    fit = json.loads(answered(run("fit", "rig.toml", "shots.csv", "--json")))
    spread = fit["unknowns"]["dispersion_right"]["median"] / 1e3
    off = [
        abs(row["hold_off_right_in"]) + 3 * spread * 36 * row["distance_yd"] > 18
        for row in found["misses"]
    ]
    assert [not row["stays_on_butt"] for row in found["misses"]] == off
    assert 0 < sum(off) < len(off)
    first = found["misses"][off.index(True)]["distance_yd"]
    text = " ".join(answered(run(*typed)).split())
    assert (
        f"From {first:g} yd on an arrow that is held off and meets a lull misses a butt 36" in text
    )
    assert "So strong a wind nobody judges well" in text
    assert "off the butt" in text
    wide = json.loads(answered(run(*typed, "--butt", "40x20 ft", "--json")))
    assert all(row["stays_on_butt"] for row in wide["misses"])
    assert wide["butt_width_in"] == 480


def test_a_gentle_wind_near_by_is_told_without_a_word_of_the_butt(run):
    text = answered(
        run("wind", "rig.toml", "shots.csv", "--cross", "5 mph", "--distances", "20 yd")
    )
    assert "butt" not in text
    assert "So strong" not in text


@pytest.mark.parametrize(
    ("away", "far"), [("-15 °C", True), ("0 °C", True), ("1 °C", False), ("30 °C", True)]
)
def test_far_from_where_arrows_were_shot_one_near_arrow_comes_first(run, away, far):
    typed = ("weather", "rig.toml", "shots.csv", "--temperature", away, "--distances", "20 yd")
    text = " ".join(answered(run(*typed)).split())
    assert ("Shoot one near arrow first" in text) is far
    assert ("The marks of home serve" in text) is not far
    found = json.loads(answered(run(*typed, "--json")))
    assert found["near_arrow_first"] is far
    assert found["warmer_c"] == float(away.split()[0]) - 15  # the sheet's 15 °C


def test_what_limbs_may_do_is_told_in_per_cent_of_speed(run):
    # 30 K below: 0.0005 to 0.001 a kelvin
    text = answered(run("weather", "rig.toml", "shots.csv", "--temperature", "-15 °C"))
    assert "by 1.5 to 3.0 % of arrow speed" in " ".join(text.split())

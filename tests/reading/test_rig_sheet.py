"""Rig sheet: what the archer wrote is what the rig holds, and what is odd is said."""

import math
import re
import tomllib
from dataclasses import astuple

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from written_out import STANDARD_AIR

from tapewright.ground.errors import BadRigSheet, OutsideValidRange, TapewrightError
from tapewright.reading.rig_sheet import load_rig_sheet, new_rig_sheet, read_rig_sheet
from tapewright.reading.rig_sheet_fields import KEYS as DECLARED
from tapewright.reading.rig_sheet_fields import TABLES
from tapewright.reading.sheet_cautions import rig_cautions
from tapewright.reading.sheet_values import amount_number, key_names, read_amount, read_keys
from tapewright.services.equip import Belief, air_from_weather
from tapewright.words.stops import QUESTIONS

SHEET = """
schema = 1
name = "Heron"
hand = "left"
[bow]
draw_weight = "60 lbf"
draw_length = "29 in"
brace_height = "6.5 in"
nock_height = "0.25 in"
launch_speed = "278 ft/s ± 3"
rated_speed = "330 ft/s ± 2 %"
least_arrow_mass = "350 gr"
rest = "-4 mm"
[[bow.chronograph]]
speed = "274 ft/s ± 1"
at = "3 yd"
arrow_mass = "425 gr"
[[bow.chronograph]]
speed = "84 m/s"
at = "1 m"
[arrow]
mass = "420 gr ± 2"
shaft_diameter = "6.0 mm"
length = "28.5 in"
point = "broadhead"
vane_height = "0.45 in"
drag_coefficient = "2.1 ± 30 %"
blade_diameter = "29 mm"
[sight]
peep_height = "4.6 in ± 0.15"
sight_radius = "33 in ± 0.5"
reading_per_travel = "1.60 ± 0.05"
farther = "decreases"
pins_below_first = ["9 mm", "17 mm ± 0.2"]
housing_below_pin = "23 mm"
clearance_reading = "66 mm"
travel_ends = ["85 mm", "-2 mm"]
arrow_margin = "5 mm"
elevation_click = "0.10 mm"
windage_click = "0.05 mm"
arm_length = "90 mm"
arm_level_reading = "32 mm"
[archer]
dispersion = "0.6 mrad ± 0.1"
tolerance = "3 in"
distance_error = "0.5 yd"
reading_error = "0.2 mm"
[air]
temperature = "15 °C"
pressure = "1013 hPa"
humidity = "50 %"
[checks]
bow = "sound"
nock = "sound"
"""
LEAST = 'name = "Heron"\n[arrow]\nmass = "420 gr"\nshaft_diameter = "6 mm"\n'
WITH_AIR = LEAST + '[bow]\nlaunch_speed = "278 ft/s"\n[air]\ntemperature = "15 °C"\n'
COMPOUND = WITH_AIR.replace("[bow]", '[bow]\nkind = "compound"')
LONG_DRAW = WITH_AIR.replace("[bow]", '[bow]\ndraw_length = "33 in"')


def nearly(value):
    return pytest.approx(value, rel=1e-12)  # floating point only


def test_every_key_of_the_sheet_reaches_the_rig():
    rig, warnings = read_rig_sheet(SHEET, "rig.toml")
    assert warnings == ()
    assert (rig.name, rig.hand) == ("Heron", "left")
    # by hand from the definitions of pound, inch, foot and grain
    assert rig.bow.draw_weight_n == nearly(60 * 4.4482216152605)
    assert rig.bow.draw_length_m == nearly(0.7366)
    assert rig.bow.brace_height_m == nearly(0.1651)
    assert astuple(rig.bow.launch_speed_mps) == (nearly(84.7344), nearly(0.9144))
    assert astuple(rig.bow.rating.speed_mps) == (nearly(100.584), nearly(2.01168))
    assert rig.bow.rating.draw_weight_n == nearly(70 * 4.4482216152605)
    assert rig.bow.rating.draw_length_m == nearly(0.762)
    assert rig.bow.rating.arrow_mass_kg == nearly(350 * 64.79891e-6)
    first, second = rig.bow.chronograph
    assert astuple(first.speed_mps) == (nearly(83.5152), nearly(0.3048))
    assert (first.at_m, first.arrow_mass_kg) == (nearly(2.7432), nearly(425 * 64.79891e-6))
    assert (second.speed_mps, second.at_m, second.arrow_mass_kg) == (Belief(84.0, None), 1.0, None)
    assert astuple(rig.arrow.mass_kg) == (nearly(0.0272155422), nearly(0.00012959782))
    assert rig.arrow.shaft_diameter_m == nearly(0.006)
    assert rig.arrow.length_m == nearly(0.7239)
    assert rig.arrow.point == "broadhead"
    assert rig.arrow.vane_height_m == nearly(0.01143)
    assert astuple(rig.arrow.drag_coefficient) == (2.1, nearly(0.63))
    assert rig.bow.least_arrow_mass_kg == nearly(350 * 64.79891e-6)
    assert rig.bow.rest_ahead_m == nearly(-0.004)
    assert rig.arrow.blade_diameter_m == nearly(0.029)
    assert (rig.sound, rig.damaged) == (("bow", "nock"), ())
    assert astuple(rig.sight.peep_height_m) == (nearly(0.11684), nearly(0.00381))
    assert astuple(rig.sight.sight_radius_m) == (nearly(0.8382), nearly(0.0127))
    assert rig.sight.reading_per_travel == Belief(1.6, 0.05)
    assert rig.sight.farther == "decreases"
    second, third = rig.sight.pins_below_first_m
    assert astuple(second) == (nearly(0.009), None)
    assert astuple(third) == (nearly(0.017), nearly(0.0002))
    assert rig.sight.housing_below_pin_m == nearly(0.023)
    assert rig.sight.clearance_reading_m == nearly(0.066)
    assert rig.sight.travel_ends_m == (nearly(-0.002), nearly(0.085))
    assert rig.sight.arrow_margin_m == nearly(0.005)
    assert rig.sight.elevation_click_m == nearly(0.0001)
    assert rig.sight.windage_click_m == nearly(0.00005)
    assert rig.sight.arm_length_m == nearly(0.09)
    assert rig.sight.arm_level_reading_m == nearly(0.032)
    assert astuple(rig.archer.dispersion_rad) == (nearly(0.0006), nearly(0.0001))
    assert rig.archer.tolerance_m == nearly(0.0762)
    assert rig.archer.distance_sd_m == nearly(0.4572)
    assert rig.archer.reading_sd_m == nearly(0.0002)
    assert rig.air.temperature_k == nearly(288.15)
    assert rig.air.pressure_pa == nearly(101300.0)
    assert rig.air.relative_humidity == nearly(0.5)


def test_what_is_not_said_stays_unsaid():
    rig, warnings = read_rig_sheet(LEAST)
    assert rig.air == STANDARD_AIR
    assert rig.bow.launch_speed_mps is None
    assert rig.bow.rating is None
    assert rig.bow.chronograph == ()
    assert rig.sight.pins_below_first_m == ()
    assert rig.sight.clearance_reading_m is None
    assert rig.sight.travel_ends_m is None
    assert rig.sight.arrow_margin_m is None
    assert rig.sight.arm_level_reading_m == 0.0
    assert rig.archer.reading_sd_m == nearly(0.0001)
    assert [one.split(":")[0] for one in warnings] == [
        "rig sheet, bow.kind", "rig sheet, bow", "rig sheet, air",
    ]  # fmt: skip
    assert rig.bow.kind is None


def test_the_height_of_the_nocking_point_is_kept_and_moves_no_mark():
    sheet = WITH_AIR.replace("[bow]", '[bow]\nnock_height = "0.25 in"')
    assert read_rig_sheet(sheet) == read_rig_sheet(WITH_AIR)
    (warning,) = read_rig_sheet(sheet.replace("0.25 in", "-12 mm"), "rig.toml")[1]
    assert warning.startswith("rig.toml, line 6, bow.nock_height: -0.4724 in is possible, but")
    with pytest.raises(BadRigSheet, match=r"above the limit of 2 in"):
        read_rig_sheet(sheet.replace("0.25 in", "25 in"))


def test_rating_conditions_overrule_the_usual_ones():
    rig, _ = read_rig_sheet(
        WITH_AIR.replace("launch_speed", "rated_speed").replace(
            "[air]",
            'rated_draw_weight = "60 lbf"\nrated_draw_length = "28 in"\n'
            'rated_arrow_mass = "540 gr"\n[air]',
        )
    )
    assert rig.bow.rating.draw_weight_n == nearly(60 * 4.4482216152605)
    assert rig.bow.rating.draw_length_m == nearly(0.7112)
    assert rig.bow.rating.arrow_mass_kg == nearly(540 * 64.79891e-6)


def test_byte_order_mark_and_carriage_returns_do_no_harm():
    plain, _ = read_rig_sheet(SHEET)
    windows, _ = read_rig_sheet("\ufeff" + SHEET.replace("\n", "\r\n"))
    assert windows == plain


def test_dotted_and_inline_tables_are_the_same_sheet():
    inline = 'name = "Heron"\narrow = { mass = "420 gr", shaft_diameter = "6 mm" }\n'
    dotted = 'name = "Heron"\narrow.mass = "420 gr"\narrow . "shaft_diameter" = "6 mm"\n'
    assert read_rig_sheet(inline)[0] == read_rig_sheet(dotted)[0] == read_rig_sheet(LEAST)[0]


def test_a_plain_number_needs_no_quotes_where_there_is_no_unit():
    rig, _ = read_rig_sheet(LEAST + "drag_coefficient = 2.1\n[sight]\nreading_per_travel = 2\n")
    assert rig.arrow.drag_coefficient == Belief(2.1, None)
    assert rig.sight.reading_per_travel == Belief(2.0, None)


@pytest.mark.parametrize(
    ("air", "pressure_pa", "temperature_k"),
    [
        # ISO 2533 table at 1000 and 2000 m, rounded there to six figures
        ('altitude = "1000 m"', 89876.3, 281.651),
        ('altitude = "2000 m"', 79501.4, 275.154),
        ('altitude = "1000 m"\ntemperature = "20 °C"', 89876.3, 293.15),
        ('sea_level_pressure = "1013.25 hPa"\naltitude = "1000 m"', 89876.3, 281.651),
        ('humidity = "20 %"', 101325.0, 288.15),
    ],
)
def test_air_is_put_together_from_what_was_read_off(air, pressure_pa, temperature_k):
    rig, _ = read_rig_sheet(LEAST + "[air]\n" + air)
    assert rig.air.pressure_pa == pytest.approx(pressure_pa, rel=1e-5)  # table's last figure
    assert rig.air.temperature_k == pytest.approx(temperature_k, abs=1e-3)  # table's last figure
    assert rig.air.relative_humidity == (0.2 if "humidity" in air else 0.5)


def test_pressure_on_the_spot_overrules_the_altitude():
    assert air_from_weather(pressure_pa=90_000.0, altitude_m=0.0).pressure_pa == 90_000.0
    with pytest.raises(OutsideValidRange):
        air_from_weather(temperature_k=500.0)


@pytest.mark.parametrize(
    ("sheet", "says"),
    [
        (
            WITH_AIR.replace("420 gr", "280 gr").replace("[bow]", '[bow]\ndraw_weight = "60 lbf"'),
            ["line 3, arrow.mass", "STOP: an arrow of 280 gr", "300 gr", "do not shoot"],
        ),
        (
            WITH_AIR.replace("[air]", '[air]\naltitude = "1500 m"\npressure = "1013 hPa"'),
            ["line 9, air.pressure", "1013 hPa", "1500 m", "sea_level_pressure", "station"],
        ),
        (
            WITH_AIR + '[sight]\npeep_height = "2.4 in"',
            ["line 10, sight.peep_height", "2.4 in", "unusual", "2.5 to 7 in"],
        ),
        (WITH_AIR + '[sight]\npeep_height = "18 cm"', ["peep_height", "7.087 in", "unusual"]),
        (WITH_AIR + '[sight]\nsight_radius = "19 in"', ["sight_radius", "20 to 45 in"]),
        (WITH_AIR + '[sight]\nsight_radius = "46 in"', ["sight_radius", "20 to 45 in"]),
        (COMPOUND.replace("278", "129"), ["line 7, bow.launch_speed", "130 to 380 ft/s"]),
        (LONG_DRAW.replace("278", "381"), ["bow.launch_speed", "130 to 380 ft/s"]),
        (
            WITH_AIR.replace("[bow]", 'drag_coefficient = "0.9"\n[bow]'),
            ["arrow.drag_coefficient", "0.9 is possible", "1 to 4"],
        ),
        (WITH_AIR.replace("[bow]", 'drag_coefficient = "4.1"\n[bow]'), ["drag", "1 to 4"]),
        (
            WITH_AIR.replace("[bow]", '[bow]\ndraw_weight = "60 lbf ± 1"'),
            ["line 6, bow.draw_weight", "± is not used", "Leave it out"],
        ),
        (
            WITH_AIR.replace("[bow]", '[bow]\nrated_arrow_mass = "350 gr"'),
            ["line 6, bow.rated_arrow_mass", "not used without rated_speed"],
        ),
        (
            WITH_AIR.replace("[air]", '[[bow.chronograph]]\nspeed = "270 ft/s"\n[air]'),
            ["line 7, bow.chronograph[1]", "at is not said", "3 ft"],
        ),
        (
            WITH_AIR.replace("[air]", '[[bow.chronograph]]\nspeed = "99 ft/s"\nat="1 m"\n[air]'),
            ["line 8, bow.chronograph[1].speed", "99 ft/s", "unusual"],
        ),
        (
            WITH_AIR.replace("[bow]", 'length = "26 in"\n[bow]\ndraw_length = "29 in"'),
            ["line 5, arrow.length", "STOP", "ends 32 mm (1.2 in) behind it", "draw_length"],
        ),
        (WITH_AIR + '[sight]\narm_level_reading = "3 mm"', ["arm_level_reading", "arm_length"]),
        (
            WITH_AIR + '[sight]\nclearance_reading = "9 cm"\ntravel_ends = ["85 mm", "0 mm"]',
            ["line 10, sight.clearance_reading", "past the end of the travel", "travel_ends"],
        ),
        (
            WITH_AIR + '[sight]\narrow_margin = "6 mm"',
            ["line 10, sight.arrow_margin", "not used without housing_below_pin"],
        ),
    ],
)
def test_what_is_odd_but_possible_is_said_once_and_goes_on(sheet, says):
    rig, warnings = read_rig_sheet(sheet, "rig.toml")
    assert rig.name == "Heron"
    assert len(warnings) == 1
    for words in ["rig.toml, ", *says]:
        assert words in warnings[0]


@pytest.mark.parametrize(
    "sheet",
    [
        WITH_AIR,
        WITH_AIR.replace("420 gr", "300 gr").replace("[bow]", '[bow]\ndraw_weight = "60 lbf"'),
        WITH_AIR.replace("[air]", '[air]\naltitude = "1500 m"\npressure = "850 hPa"'),
        WITH_AIR.replace("[bow]", 'length = "28.3 in"\n[bow]\ndraw_length = "29 in"'),
        WITH_AIR + '[sight]\npeep_height = "7 in"\nsight_radius = "20 in"',
        WITH_AIR + '[sight]\narm_length = "90 mm"\narm_level_reading = "0 mm"',
        LONG_DRAW.replace("278", "380"),
        WITH_AIR + '[sight]\nclearance_reading = "85 mm"\ntravel_ends = ["85 mm", "0 mm"]',
        WITH_AIR + '[sight]\nclearance_reading = "85 mm"',
        COMPOUND.replace('launch_speed = "278 ft/s"', 'draw_weight = "60 lbf"'),
        WITH_AIR.replace(
            'launch_speed = "278 ft/s"', '[[bow.chronograph]]\nspeed = "274 ft/s"\nat = "2 yd"'
        ),
    ],
)
def test_what_is_usual_is_passed_in_silence(sheet):
    assert read_rig_sheet(sheet)[1] == ()


@settings(deadline=None)  # machines may be busy
@given(pounds=st.floats(20, 90), grains=st.floats(120, 600))
def test_stop_is_said_exactly_below_five_grains_per_pound(pounds, grains):
    sheet = WITH_AIR.replace("420 gr", f"{grains!r} gr").replace(
        "[bow]", f'[bow]\ndraw_weight = "{pounds!r} lbf"'
    )
    stop = any("STOP" in one for one in read_rig_sheet(sheet)[1])
    if abs(grains - 5 * pounds) > 1e-3:
        assert stop == (grains < 5 * pounds)


@pytest.mark.parametrize("metric", [False, True])
@pytest.mark.parametrize("hand", ["right", "left"])
def test_a_new_sheet_reads_back_without_errors(metric, hand):
    rig, warnings = read_rig_sheet(new_rig_sheet("Old  oak", hand, metric))
    assert (rig.name, rig.hand) == ("Old oak", hand)
    assert [one for one in warnings if "speed" not in one] == []


@pytest.mark.parametrize("metric", [False, True])
def test_every_example_in_a_new_sheet_is_right(metric):
    lines = new_rig_sheet("Heron", "right", metric).splitlines()
    filled = [
        one[1:] if one.startswith("#") and one[1:2] not in (" ", "") else one
        for one in lines
        if not one.startswith("#pressure")  # the one key that excludes another
    ]
    rig, warnings = read_rig_sheet("\n".join(filled))
    assert warnings == ()
    for said in (rig.bow.draw_weight_n, rig.bow.rating, rig.arrow.length_m):
        assert said is not None
    assert rig.sight.windage_click_m == nearly(0.0001)
    assert len(rig.sight.pins_below_first_m) == 2


@pytest.mark.parametrize(
    ("metric", "begun"),
    [
        (False, ['mass = "420 gr ± 40"', 'tolerance = "3 in"', 'altitude = "1000 ft"']),
        (True, ['mass = "27.2 g ± 2.6"', 'tolerance = "75 mm"', 'altitude = "300 m"']),
    ],
)
def test_a_new_sheet_begins_with_a_guess_and_leaves_the_rest_open(metric, begun):
    lines = new_rig_sheet("Heron", "left", metric).splitlines()
    said = [line for line in lines if line and line[0] not in "#["]
    assert [line for line in said if line in begun] == begun
    keys = [line.split(" = ")[0] for line in said]
    assert keys == ["schema", "name", "hand", "mass", "shaft_diameter", "point", "farther",
                    "tolerance", "temperature", "altitude"]  # fmt: skip
    assert 'hand = "left"' in said


def test_inches_and_metres_of_a_new_sheet_are_the_same_bow():
    def amounts(metric):
        tables = tomllib.loads(new_rig_sheet("Heron", "right", metric))
        values, faults = read_keys(tables)
        assert not faults
        return values["arrow.mass"], values["archer.tolerance"], values["air.altitude"]

    for ours, theirs in zip(amounts(metric=False), amounts(metric=True), strict=True):
        assert ours.value == pytest.approx(theirs.value, rel=0.02)  # rounded for people


def test_a_new_sheet_explains_every_key():
    text = new_rig_sheet("Heron", "right", metric=True)
    heading, before, told = "", "", {}
    for line in text.splitlines():
        if found := re.fullmatch(r"#?\[+([a-z.]+)\]+", line):
            heading = found[1]
        elif found := re.match(r"#?([a-z_]+) = ", line):
            told[f"{heading}.{found[1]}".removeprefix(".")] = before
        before = line
    assert told.pop("schema")
    assert list(told) == [name for name in DECLARED if name != "sight.eye_height"]
    assert all(words.startswith("# ") for words in told.values())


def outcome(read, *given_to):
    """What was read, or the sentence that refuses it; any other error passes through."""
    try:
        return read(*given_to)
    except TapewrightError as bad:
        return str(bad)


@settings(deadline=None)  # machines may be busy
@given(name=st.text(max_size=80))
def test_any_name_is_refused_or_kept(name):
    sheet = outcome(new_rig_sheet, name, "right", False)  # noqa: FBT003
    if sheet.startswith("name: "):
        assert "Heron" in sheet
    else:
        assert read_rig_sheet(sheet)[0].name == " ".join(name.split())


def test_every_key_with_limits_has_an_example_inside_what_is_usual():
    count = 0
    for name, key in DECLARED.items():
        if key.kind is not None:
            told = (key.example(metric=False), key.example(metric=True))
            ours, theirs = (read_amount(key, text).value for text in told)
            low, high = key.usual or key.limits
            assert low <= amount_number(key, ours) <= high, name
            assert ours == pytest.approx(theirs, rel=0.1 if "distance" in name else 0.02), name
            count += 1
    # chronograph 3, bow 11, arrow 6, sight 13, archer 5, air 5
    assert count == 43


def test_what_is_asked_before_the_first_arrow_has_the_examples_of_its_key():
    for name, (_, answer) in QUESTIONS.items():
        told = re.search(rf'{name.rpartition(".")[2]} = "([^"]+)"', answer)[1]
        assert told in DECLARED[name].examples, name


def test_doubt_of_an_unused_place_is_the_only_caution_of_a_key():
    values, _ = read_keys(tomllib.loads(WITH_AIR + 'humidity = "50 % ± 5"'))
    assert [one.path for one in rig_cautions(values)] == [("air", "humidity")]


def test_a_file_is_read_like_its_text(tmp_path):
    path = tmp_path / "heron.toml"
    path.write_text(SHEET, encoding="utf-8-sig")
    assert load_rig_sheet(path) == read_rig_sheet(SHEET, "heron.toml")


@settings(deadline=None)  # machines may be busy
@given(text=st.text())
def test_random_text_raises_nothing_but_our_own_error(text):
    assert outcome(read_rig_sheet, text, "rig.toml").startswith("rig.toml")


KEYS = sorted({word for table in TABLES for word in key_names(table)})
values = st.one_of(
    st.text(max_size=12).map(lambda text: '"' + text.replace('"', "").replace("\\", "") + '"'),
    st.floats().map(repr),
    st.integers().map(str),
    st.sampled_from(["true", "[]", "{}", "[[1]]", "1979-05-27", "07:32:00", '"6 mm"', '"4 in"']),
    st.tuples(
        st.floats(0, 1e4), st.sampled_from(["mm", "in", "gr", "ft/s", "°C", "± 2", "% "])
    ).map(lambda pair: f'"{pair[0]!r} {pair[1]}"'),
)
lines = st.one_of(
    st.tuples(st.sampled_from(KEYS), values).map(" = ".join),
    st.sampled_from(["[bow]", "[arrow]", "[sight]", "[air]", "[[bow.chronograph]]", "[x]", "#"]),
)


@settings(max_examples=300, deadline=None)  # machines may be busy
@given(lines=st.lists(lines, max_size=12))
def test_almost_sheets_raise_nothing_but_our_own_error(lines):
    match outcome(read_rig_sheet, "\n".join(lines), "rig.toml"):
        case str(sentence):
            assert all(one.startswith("rig.toml") for one in sentence.split("\n"))
        case rig, warnings:
            assert math.isfinite(rig.arrow.mass_kg.value)
            assert all(one.startswith("rig.toml, ") for one in warnings)


@settings(deadline=None)  # machines may be busy
@given(raw=st.binary(max_size=300))
def test_random_bytes_raise_nothing_but_our_own_error(raw, tmp_path_factory):
    path = tmp_path_factory.mktemp("raw") / "rig.toml"
    path.write_bytes(raw)
    with pytest.raises(BadRigSheet, match=r"^rig\.toml"):
        load_rig_sheet(path)


@pytest.mark.parametrize(("key", "kind"), [("eye_height", "recurve"), ("peep_height", "compound"),
                                           ("eye_height", "compound")])  # fmt: skip
def test_eye_and_peep_height_are_one_length(key, kind):
    rig, _ = read_rig_sheet(LEAST + f'[bow]\nkind = "{kind}"\n[sight]\n{key} = "4.6 in ± 0.15"\n')
    assert astuple(rig.sight.peep_height_m) == (nearly(0.11684), nearly(0.00381))
    assert rig.bow.kind == kind


def test_a_kind_that_no_bow_is_is_refused():
    with pytest.raises(BadRigSheet, match='Write "compound" or "recurve" or "longbow"'):
        read_rig_sheet(LEAST + '[bow]\nkind = "crossbow"\n')


@pytest.mark.parametrize("metric", [False, True])
@pytest.mark.parametrize("kind", ["recurve", "longbow"])
def test_a_new_sheet_without_a_peep_says_nothing_of_one(metric, kind):
    text = new_rig_sheet("Heron", "left", metric, kind)
    assert f'\nkind = "{kind}"\n' in text
    words = text.replace("Of a bow with a peep it is peep_height", "").replace("or the peep", "")
    words = " ".join(words.replace("\n#", "").split()).replace("and a compound's cams and peep", "")
    for word in ("peep", "cam", "rated", "let-off", "timing", "release"):
        assert word not in words, word
    assert "#eye_height = " in text


@pytest.mark.parametrize("metric", [False, True])
@pytest.mark.parametrize(("kind", "pounds", "grains"), [("recurve", 40, 330), ("longbow", 45, 450)])
def test_every_example_in_a_sheet_of_another_bow_is_right(metric, kind, pounds, grains):
    lines = new_rig_sheet("Heron", "right", metric, kind).splitlines()
    filled = [
        one[1:] if one.startswith("#") and one[1:2] not in (" ", "") else one
        for one in lines
        if not one.startswith("#pressure")  # the one key that excludes another
    ]
    rig, warnings = read_rig_sheet("\n".join(filled))
    assert warnings == ()
    assert rig.bow.draw_weight_n == pytest.approx(pounds * 4.4482216152605, rel=2e-3)
    assert rig.arrow.mass_kg.value == pytest.approx(grains * 64.79891e-6, rel=2e-3)
    assert rig.sight.peep_height_m.value == pytest.approx(0.117, abs=3e-4)


def test_the_kind_is_the_first_line_of_its_table():
    text = new_rig_sheet("Heron", "right", metric=False)
    assert text.index("#kind = ") < text.index("draw_weight = ")
    assert '#kind = "compound"\n' in text

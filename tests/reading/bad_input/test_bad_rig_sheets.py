"""Every wrong rig sheet is told file, line, field, what is wrong and what would be right."""

import pytest

from tapewright.ground.errors import BadRigSheet
from tapewright.reading.rig_sheet import load_rig_sheet, read_rig_sheet
from tapewright.reading.sheet_values import field_name, read_keys

# the sound sheet that each case spoils; its lines are counted from 1
SOUND = """\
name = "Heron"
hand = "right"
[bow]
draw_weight = "60 lbf"
launch_speed = "278 ft/s ± 3"
[arrow]
mass = "420 gr"
shaft_diameter = "6 mm"
[sight]
peep_height = "4.6 in"
farther = "increases"
pins_below_first = ["9 mm"]
[air]
temperature = "15 °C"
"""

# what is spoilt, into what, line, field, what is wrong, what would be right
SPOILT = [
    # beyond the limits
    (
        '"278 ft/s ± 3"',
        '"2,850 ft/s"',
        5,
        "bow.launch_speed",
        "is 2.85 ft/s, below",
        "60 to 500 ft/s",
    ),
    (
        '"278 ft/s ± 3"',
        '"2850 ft/s"',
        5,
        "bow.launch_speed",
        "above the limit of 500",
        "278 ft/s ± 3",
    ),
    (
        '"278 ft/s ± 3"',
        '"-278 ft/s"',
        5,
        "bow.launch_speed",
        "below the limit of 60",
        "278 ft/s ± 3",
    ),
    (
        '"278 ft/s ± 3"',
        '"278 m/s"',
        5,
        "bow.launch_speed",
        "is 912.1 ft/s, above",
        "60 to 500 ft/s",
    ),
    ('"420 gr"', '"-420 gr"', 7, "arrow.mass", "below the limit of 100 gr", "100 to 1500 gr"),
    ('"420 gr"', '"420 g"', 7, "arrow.mass", "is 6482 gr, above", '"420 gr ± 2"'),
    ('"420 gr"', '"42 gr"', 7, "arrow.mass", "below the limit of 100 gr", '"420 gr ± 2"'),
    ('"6 mm"', '"60 mm"', 8, "arrow.shaft_diameter", "above the limit of 12 mm", "3 to 12 mm"),
    ('"6 mm"', '"6 in"', 8, "arrow.shaft_diameter", "is 152.4 mm, above", '"6.0 mm"'),
    ('"4.6 in"', '"3 m"', 10, "sight.peep_height", "is 118.1 in, above", "0.5 to 12 in"),
    ('"4.6 in"', '"4.6 mm"', 10, "sight.peep_height", "below the limit of 0.5 in", "0.5 to 12 in"),
    ('"15 °C"', '"200 °C"', 14, "air.temperature", "above the limit of 50 °C", "-35 to 50 °C"),
    ('"15 °C"', '"15 K"', 14, "air.temperature", "is -258.1 °C, below", '"15 °C"'),
    ('"60 lbf"', '"6 lbf"', 4, "bow.draw_weight", "below the limit of 10 lbf", "10 to 120 lbf"),
    ('"60 lbf"', '"600 lbf"', 4, "bow.draw_weight", "above the limit of 120 lbf", '"60 lbf"'),
    (
        '["9 mm"]',
        '["9 in"]',
        12,
        "sight.pins_below_first[1]",
        "is 228.6 mm, above",
        "0.5 to 150 mm",
    ),
    ('["9 mm"]', '["9 mm", "-2 mm"]', 12, "sight.pins_below_first[2]", "below", "0.5 to 150 mm"),
    (
        "[air]",
        '[air]\nhumidity = "101 %"',
        14,
        "air.humidity",
        "above the limit of 100 %",
        "0 to 100 %",
    ),
    (
        "[air]",
        '[air]\naltitude = "29000 ft"',
        14,
        "air.altitude",
        "is 8839 m, above",
        "-450 to 5500 m",
    ),
    ("[air]", '[air]\npressure = "29.92 hPa"', 14, "air.pressure", "below", "500 to 1100 hPa"),
    ("[sight]", '[sight]\nsight_radius = "3 in"', 10, "sight.sight_radius", "below", "10 to 60 in"),
    (
        "[sight]",
        '[sight]\nreading_per_travel = "0"',
        10,
        "sight.reading_per_travel",
        "below",
        "1.60",
    ),
    (
        "[sight]",
        '[sight]\nelevation_click = "10 mm"',
        10,
        "sight.elevation_click",
        "above",
        "0.10 mm",
    ),
    (
        "[arrow]",
        '[arrow]\ndrag_coefficient = "21"',
        7,
        "arrow.drag_coefficient",
        "above",
        "2.1 ± 30 %",
    ),
    (
        "[air]",
        '[archer]\ndispersion = "6 deg"\n[air]',
        14,
        "archer.dispersion",
        "above",
        "0.6 mrad",
    ),
    # units
    ('"60 lbf"', '"60 gr"', 4, "bow.draw_weight", "is a mass, where a force", "lbf, N or kgf"),
    ('"4.6 in"', '"33 gr"', 10, "sight.peep_height", "is a mass, where a length", "in, ft or yd"),
    ('"4.6 in"', '"4.6 inn"', 10, "sight.peep_height", '"inn" is not a unit', 'Did you mean "in"'),
    ('"420 gr"', '"420"', 7, "arrow.mass", '"420" has no unit', "gr, g, oz or kg"),
    ('"420 gr"', "420", 7, "arrow.mass", '"420" has no unit', '"420 gr ± 2"'),
    ('"420 gr"', "0x" + "f" * 5000, 7, "arrow.mass", "thousands of digits", '"420 gr ± 2"'),
    ('"420 gr"', "true", 7, "arrow.mass", '"True" does not start with a number', "420 gr"),
    ('"420 gr"', '["420 gr"]', 7, "arrow.mass", "does not start with a number", "420 gr"),
    ('"420 gr"', "nan", 7, "arrow.mass", '"nan" does not start with a number', "420 gr"),
    ('"420 gr"', '"four hundred gr"', 7, "arrow.mass", "does not start with a number", "420 gr"),
    ('"420 gr"', '""', 7, "arrow.mass", '"" does not start with a number', "420 gr"),
    (
        "[air]",
        '[air]\npressure = "1,013.25 hPa"',
        14,
        "air.pressure",
        "number",
        "none for thousands",
    ),
    ('"15 °C"', '"15 °"', 14, "air.temperature", "is an angle, where a temperature", "°C, °F or K"),
    (
        "[arrow]",
        '[arrow]\ndrag_coefficient = "2 mm"',
        7,
        "arrow.drag_coefficient",
        "plain",
        "alone",
    ),
    # ±
    ("± 3", "± -3", 5, "bow.launch_speed", "not above zero", "two times in three"),
    ("± 3", "± 0", 5, "bow.launch_speed", "not above zero", "two times in three"),
    ("± 3", "± 300", 5, "bow.launch_speed", "larger than the number", "two times in three"),
    ("± 3", "± 3 ± 2", 5, "bow.launch_speed", "more than one ±", "278 ft/s ± 3"),
    ("± 3", "± 3 gr", 5, "bow.launch_speed", "is a mass", "ft/s, m/s"),
    ('"15 °C"', '"15 °C ± 2 %"', 14, "air.temperature", "per cent of a temperature", "±"),
    # keys
    ("peep_height", "peep_hight", 10, "sight.peep_hight", "no such key", '"peep_height"'),
    ("peep_height", "Peep-Height", 10, "sight.Peep-Height", "no such key", '"peep_height"'),
    ("peep_height", "peep", 10, "sight.peep", "no such key", '"peep_height"'),
    ("[sight]", "[sights]", 9, "sights", "no such key", '"sight"'),
    ("[sight]", '[sight]\nmass = "3 gr"', 10, "sight.mass", "no such key", "belongs under [arrow]"),
    ("[sight]", '[sight]\nat = "3 ft"', 10, "sight.at", "no such key", "under [[bow.chronograph]]"),
    ("[sight]", '[sight]\nbrace_hight = "6 in"', 10, "sight.brace_hight", "no such", "under [bow]"),
    (
        "[sight]",
        '[sight]\ncolour = "red"',
        10,
        "sight.colour",
        "no such key",
        "keys under [sight] are",
    ),
    (
        'hand = "right"',
        'xyz = "right"',
        2,
        "xyz",
        "no such key",
        "keys outside every table are schema",
    ),
    # choices, lists, tables, texts
    ('hand = "right"', 'hand = "both"', 2, "hand", '"both" is not one of', '"right" or "left"'),
    ('"increases"', '"up"', 11, "sight.farther", '"up" is not', '"increases" or "decreases"'),
    (
        "[arrow]",
        '[arrow]\npoint = "bodkin"',
        7,
        "arrow.point",
        "is not one",
        '"field" or "broadhead"',
    ),
    ('hand = "right"', "schema = 2", 2, "schema", '"2" is not one of the choices', "Write 1"),
    ('["9 mm"]', '"9 mm"', 12, "sight.pins_below_first", "where a list belongs", '["9 mm"]'),
    (
        '["9 mm"]',
        '["17 mm", "9 mm"]',
        12,
        "sight.pins_below_first",
        "top to bottom",
        "top one first",
    ),
    (
        '["9 mm"]',
        "[" + '"9 mm",' * 11 + "]",
        12,
        "sight.pins_below_first",
        "more than 10",
        "no more",
    ),
    (
        'farther = "increases"',
        'travel_ends = ["0 mm"]',
        11,
        "sight.travel_ends",
        "two ends",
        '["0 mm", "85 mm"]',
    ),
    (
        'farther = "increases"',
        'travel_ends = ["5 mm", "5 mm"]',
        11,
        "sight.travel_ends",
        "that differ",
        '["0 mm", "85 mm"]',
    ),
    (
        'farther = "increases"',
        'travel_ends = "85 mm"',
        11,
        "sight.travel_ends",
        "where a list belongs",
        '["0 mm", "85 mm"]',
    ),
    (
        'farther = "increases"',
        'clearance_reading = "78"',
        11,
        "sight.clearance_reading",
        "has no unit",
        "78 mm",
    ),
    ('name = "Heron"', "name = 3", 1, "name", '"3" is not text in quotes', 'name = "Heron"'),
    ('name = "Heron"', 'name = " "', 1, "name", "the name is empty", '"Heron"'),
    ('name = "Heron"', f'name = "{"x" * 61}"', 1, "name", "61 letters", "at most 60"),
    ('name = "Heron"', 'name = "a\\u0007"', 1, "name", "cannot be printed", "letters, digits"),
    (
        "[bow]",
        '[bow]\nchronograph = "270 ft/s"',
        4,
        "bow.chronograph",
        "a list",
        "[[bow.chronograph]]",
    ),
    (
        "[bow]",
        "[bow]\nchronograph = [3]",
        4,
        "bow.chronograph[1]",
        "a table",
        "[[bow.chronograph]]",
    ),
    (
        "[arrow]",
        '[[bow.chronograph]]\nspeed="270 ft/s"\n[[bow.chronograph]]\nat="1 m"\n[arrow]',
        8,
        "bow.chronograph[2].speed",
        "missing",
        'speed = "278 ft/s ± 3"',
    ),
    ('mass = "420 gr"\n', "", 6, "arrow.mass", "this key is missing", 'mass = "420 gr ± 2"'),
    # what keys say together
    (
        "[air]",
        '[air]\npressure = "950 hPa"\nsea_level_pressure = "1013 hPa"\naltitude = "500 m"',
        15,
        "air.sea_level_pressure",
        "both given",
        "Keep pressure if a barometer was read",
    ),
    (
        "[air]",
        '[air]\nsea_level_pressure = "1013 hPa"',
        14,
        "air.sea_level_pressure",
        "without the altitude",
        'altitude = "300 m"',
    ),
    (
        "[air]",
        '[air]\nsea_level_pressure = "850 hPa"\naltitude = "5500 m"',
        13,
        "air",
        "Air pressure",
        "Check altitude",
    ),
]

# the same for what is not TOML: spoilt, into what, line, what is wrong, what would be right
NOT_TOML = [
    ('"420 gr"', "420 gr", 7, "behind the value", 'mass = "420 gr"'),
    ('"420 gr"', '"420 gr', 7, "no closing quote", "Close it on the same line"),
    ('"420 gr"', "“420 gr”", 7, "there is no value", "straight quotes"),
    ('"420 gr"', '"420 gr" ± 2', 7, "behind the value", "in quotes"),
    ('"420 gr"', "", 7, "there is no value", 'mass = "420 gr"'),
    ("mass =", "mass", 7, "no = behind it", 'key = "value"'),
    ("mass =", "mass:", 7, "no = behind it", 'key = "value"'),
    ("peep_height", "peep height", 10, "no = behind it", "no spaces"),
    ("[sight]", "[sight", 9, "no ] behind it", "[bow]"),
    ("[sight]", "[bow]", 9, "second time", "under one heading"),
    ("shaft_diameter", "mass", 8, "second time", "Keep one"),
    ('["9 mm"]', '["9 mm"', 13, "behind", "[air]"),
    ('"420 gr"', '"420 \\gr"', 7, "backslash", "twice"),
    ("[sight]", "= 3", 9, "no line of a sheet", "key"),
    ('"420 gr"', "1" * 5000, 7, "not TOML", "key"),
    ('"420 gr"', "'420 gr", 7, "no closing quote", "Close it"),
]


def one_paragraph(text):
    with pytest.raises(BadRigSheet) as caught:
        read_rig_sheet(text, "heron.toml")
    sentence = str(caught.value)
    assert "\n" not in sentence
    assert sentence.endswith(".")
    assert len(sentence) < 500
    return sentence


@pytest.mark.parametrize("case", SPOILT, ids=lambda case: f"{case[3]} {case[4]}")
def test_the_error_names_file_line_field_wrong_and_right(case):
    old, new, line, field, wrong, right = case
    assert SOUND.count(old) == 1
    sentence = one_paragraph(SOUND.replace(old, new))
    place, _, rest = sentence.partition(": ")
    assert place == f"heron.toml, line {line}, {field}"
    assert wrong in rest
    assert right in rest


@pytest.mark.parametrize(("old", "new", "line", "wrong", "right"), NOT_TOML)
def test_what_is_not_toml_is_shown_with_line_and_column(old, new, line, wrong, right):
    assert SOUND.count(old) == 1
    sentence = one_paragraph(SOUND.replace(old, new))
    place, _, rest = sentence.partition(": ")
    assert place.startswith(f"heron.toml, line {line}, column ")
    assert wrong in rest
    assert right in rest


@pytest.mark.parametrize(
    ("text", "line", "wrong"),
    [
        ('name = "Heron"\npins = ["9 mm"\n# the archer\'s\n', 2, "a list has no ] behind it"),
        ('name = "Heron"\npins = ["9 mm",\n', 2, "there is no value"),
        ('hand = "right" # it\'s\nname = "Heron', 2, "no closing quote"),
        ("name = 'Heron\n# a word\n", 1, "no closing quote"),
        ('name = "Heron"\n[arrow\n', 2, "no ] behind it"),
        ('a.b = 1\na = "2"\n\n', 2, "second time"),
        ("\n\n[arrow", 3, "no ] behind it"),
    ],
)
def test_a_complaint_about_the_end_is_traced_to_where_it_began(text, line, wrong):
    sentence = one_paragraph(text)
    assert sentence.startswith(f"heron.toml, line {line}, column ")
    assert wrong in sentence


def test_lists_inside_lists_inside_lists_are_refused():
    assert "too deeply" in one_paragraph("x = " + "[" * 5000)


@pytest.mark.parametrize(
    ("text", "field"), [('name = "Heron"\n', "arrow"), ('[arrow]\nmass = "420 gr"\n', "name")]
)
def test_what_is_missing_is_named_with_an_example(text, field):
    with pytest.raises(BadRigSheet) as caught:
        read_rig_sheet(text, "heron.toml")
    paragraphs = str(caught.value).split("\n")
    (missing,) = [one for one in paragraphs if one.startswith(f"heron.toml, {field}: ")]
    assert "this key is missing" in missing
    assert {"arrow": "shaft_diameter", "name": 'name = "Heron"'}[field] in missing


def test_all_errors_are_told_at_once():
    text = SOUND
    for old, new in [("60 lbf", "6 lbf"), ("420 gr", "420"), ('"right"', '"both"'), ("15 °C", "x")]:
        text = text.replace(old, new)
    with pytest.raises(BadRigSheet) as caught:
        read_rig_sheet(text, "heron.toml")
    paragraphs = str(caught.value).split("\n")
    lines = sorted(int(one.split("line ")[1].split(",")[0]) for one in paragraphs)
    assert lines == [2, 4, 7, 14]
    assert all(one.startswith("heron.toml, ") and one.endswith(".") for one in paragraphs)


def test_a_table_written_as_a_text_is_told_its_heading():
    sentence = one_paragraph('sight = "good"\n' + SOUND.partition("[sight]")[0])
    assert sentence.startswith('heron.toml, line 1, sight: "good" stands where a table belongs')
    assert "[sight] as a heading" in sentence


def test_a_field_with_a_strange_name_is_shown_on_one_line():
    assert field_name(("a\nb", 0, "c" * 200)).startswith("a b[1].ccc")
    assert len(field_name(("c" * 200,))) == 80


def test_a_complaint_without_context_still_makes_a_sentence():
    (fault,) = read_keys({"name": None, "arrow": {"mass": "420 gr", "shaft_diameter": "6 mm"}})[1]
    assert (fault.wrong, fault.mend) == ('"None" is not text in quotes', 'Write name = "Heron"')


@pytest.mark.parametrize(
    ("raw", "line", "wrong", "right"),
    [
        (b"", "", "the rig sheet is empty", "Begin with name"),
        (b" \r\n\n", "", "the rig sheet is empty", "Begin with name"),
        (b"\xef\xbb\xbf", "", "the rig sheet is empty", "Begin with name"),
        ('name = "H"\ntemp = "15 °C"\n'.encode("latin-1"), ", line 2", "0xb0", "UTF-8"),
        ('name = "H"'.encode("utf-16"), "", "UTF-16", "UTF-8"),
        ('name = "H"'.encode("utf-16-be"), "", "zero bytes", "UTF-8"),
        (b"# x\n" * 50_000, "", "larger than 100 kB (25000 lines and more)", "right one"),
    ],
)
def test_a_file_that_is_no_sheet_is_told_why(tmp_path, raw, line, wrong, right):
    path = tmp_path / "heron.toml"
    path.write_bytes(raw)
    with pytest.raises(BadRigSheet) as caught:
        load_rig_sheet(path)
    sentence = str(caught.value)
    assert sentence.startswith(f"heron.toml{line}: ")
    assert wrong in sentence
    assert right in sentence


def test_a_missing_file_a_folder_and_an_impossible_name_are_told(tmp_path):
    for path, wrong in [
        (tmp_path / "none.toml", "none.toml: there is no such file"),
        (tmp_path, "this is a folder, not a file"),
        (tmp_path / "a\0b", "cannot be opened: embedded null byte"),
        (tmp_path / ("x" * 5000), "cannot be opened: file name too long"),
        (tmp_path / "none.toml" / "x", "there is no such file"),
    ]:
        with pytest.raises(BadRigSheet) as caught:
            load_rig_sheet(path)
        assert wrong in str(caught.value)

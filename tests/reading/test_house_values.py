"""A file of house values is read whole, or every mistake is told with its place and mend."""

import pytest

from tapewright.calibration.rig import Arrow, Belief, HouseValue, HouseValues, Rig, Sight
from tapewright.ground.errors import BadHouseValues
from tapewright.reading.house_values import (
    filled_rig,
    house_template,
    load_house,
    read_house,
    typed_house,
)

WHOLE = """
schema = 1
name = "Reed Lane Archers"
[[sight]]
kind = "counter  slider"
reading_per_travel = "1.573 ± 0.010"
[[sight]]
reading_per_travel = "1.7 ± 2 %"
[[arrow]]
kind = "thin"
drag_coefficient = "2.05 ± 0.10"
broadhead_drag_coefficient = "2.7 ± 0.2"
[[chronograph]]
instrument = "counter"
reads = "101.2 % ± 0.4"
[[archer]]
kind = "first year"
dispersion = "0.9 mrad ± 0.3"
"""

TWICE = (
    'name = "R"\n[[archer]]\n{}dispersion = "1 mrad ± 0.2"\n'
    '[[archer]]\n{}dispersion = "1 mrad ± 0.3"'
)


def test_a_whole_file_is_read_in_si():
    found = read_house(WHOLE, "house.toml")
    assert found.name == "Reed Lane Archers"
    told = [
        (one.key, one.kind, one.point, round(one.value.value, 9), round(one.value.sd, 9))
        for one in found.values
    ]
    assert told == [
        ("sight.reading_per_travel", "counter slider", "", 1.573, 0.01),
        ("sight.reading_per_travel", "", "", 1.7, 0.034),
        ("arrow.drag_coefficient", "thin", "field", 2.05, 0.1),
        ("arrow.drag_coefficient", "thin", "broadhead", 2.7, 0.2),
        ("chronograph.reads", "counter", "", 1.012, 0.004),
        ("archer.dispersion", "first year", "", 0.0009, 0.0003),
    ]


@pytest.mark.parametrize(
    ("text", "place", "words"),
    [
        ("", "house.toml", "the file is empty"),
        ('[[sight]]\nreading_per_travel = "1.6 ± 0.01"', "house.toml, name", "this key is missing"),
        ('name = "R"\n[[sight]]\nkind = "a"', "line 2, sight[1].reading_per_travel", "missing"),
        ('name = "R"\n[[sight]]\nreading_per_travel = "1.6"', "line 3", "no ± stands behind it"),
        ('name = "R"\n[[arrow]]\nkind = "a"', "line 2, arrow[1]", 'drag_coefficient = "2.05'),
        ('name = "R"\n[sight]\nkind = "a"', "line 2, sight", "its own heading [[sight]]"),
        ('name = "R"\n[sight]\n[sight]\n', "line 3", "two brackets, such as [[sight]]"),
        ('name = "R"\n[[sights]]\n', "line 2, sights", 'The nearest key is "sight"'),
        (
            'name = "R"\n[[chronograph]]\nreads = "1.2 % ± 0.4"',
            "line 3, chronograph[1].reads",
            "below the limit of 80 %",
        ),
        (
            TWICE.format('kind = "A"\n', 'kind = "a"\n'),
            "line 5, archer[2]",
            'kind "a" stands here for the second time',
        ),
        (
            TWICE.format("", ""),
            "line 4",
            "a block without kind stands here for the second time",
        ),
        (TWICE.format(f'kind = "{61 * "x"}"\n', ""), "line 3, archer[1].kind", "at most 60"),
        ('name = ""', "line 1, name", "the name is empty"),
        ('name = "R', "line 1", "a text has no closing quote"),
        ('schema = 2\nname = "R"', "line 1, schema", "Write 1"),
        (200_001 * "#", "house.toml", "characters"),
    ],
)  # fmt: skip
def test_a_bad_file_is_refused_with_place_and_mend(text, place, words):
    with pytest.raises(BadHouseValues) as told:
        read_house(text, "house.toml")
    assert place in str(told.value)
    assert words in str(told.value)


def test_several_mistakes_are_told_together():
    with pytest.raises(BadHouseValues) as told:
        read_house('name = "R"\n[[sight]]\nreading_per_travel = "1.6"\n[[arrow]]\nkind = "a"', "h")
    assert str(told.value).count("h, line") == 2


def test_the_file_to_fill_in_says_nothing_yet_and_everything_once_opened(tmp_path):
    text = house_template("Reed Lane", metric=True)
    (tmp_path / "house.toml").write_text(text, encoding="utf-8")
    assert load_house(tmp_path / "house.toml") == HouseValues("Reed Lane")
    opened = "\n".join(
        line[1:] if line.startswith(("#[", "#kind", "#in", "#re", "#dr", "#br", "#di")) else line
        for line in text.splitlines()
    )
    assert len(read_house(opened).values) == 5
    assert "calliper" in text
    assert "the bow at rest" in text
    with pytest.raises(BadHouseValues, match="no such file"):
        load_house(tmp_path / "nowhere.toml")


def test_a_form_becomes_the_same_text_or_faults():
    text, faults = typed_house(
        {"name": "R", "sight[3].kind": "a", "sight[3].reading_per_travel": "1.6 ± 0.01"}
    )
    assert faults == ()
    assert read_house(text).values == (
        HouseValue("sight.reading_per_travel", Belief(1.6, 0.01), "a"),
    )
    _, faults = typed_house({"sight[1].reading_per_travel": "1.6"})
    assert [one.path for one in faults] == [("name",)]


def test_a_kind_named_in_vain_is_told_with_the_nearest_names():
    rig = Rig("Heron", Arrow(Belief(0.027), 0.006), sight=Sight(kind="counter slidr"))
    filled, notes = filled_rig(rig, read_house(WHOLE))
    assert filled.sight.reading_per_travel is None
    (note,) = notes
    assert note == (
        "The house values of Reed Lane Archers have no reading per travel for a kind of sight "
        'called "counter slidr". They name "counter slider".'
    )
    many = "".join(
        f'[[sight]]\nkind = "s{n}"\nreading_per_travel = "1.6 ± 0.01"\n' for n in range(9)
    )
    _, (note,) = filled_rig(rig, read_house(f'name = "R"\n{many}'))
    assert note.endswith("and 4 more.")

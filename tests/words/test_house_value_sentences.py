"""House values that were used are named, with whose they are."""

from tapewright.calibration.rig import Arrow, Belief, HouseValue, HouseValues, Rig
from tapewright.words.house_value_sentences import house_json, house_rows, house_words

HOUSE = HouseValues(
    "Reed Lane",
    (
        HouseValue("arrow.drag_coefficient", Belief(2.7, 0.2), "thin", "broadhead"),
        HouseValue("archer.dispersion", Belief(0.9e-3, 0.3e-3)),
        HouseValue("chronograph.reads", Belief(1.012, 0.004), "counter"),
    ),
)
RIG = Rig("Heron", Arrow(Belief(0.027), 0.006), house=HOUSE)


def test_a_sentence_names_each_value_with_its_doubt_and_kind():
    assert house_words(RIG) == (
        "Not on the sheet, house values of Reed Lane taken: drag coefficient 2.7 ± 0.2 (thin, "
        "broadhead); dispersion 0.9 mrad ± 0.3; chronograph reads 101.2 % ± 0.4 (counter)."
    )
    assert house_words(Rig("Heron", RIG.arrow)) == ""


def test_programs_read_the_same():
    assert house_json(Rig("Heron", RIG.arrow)) is None
    assert house_json(RIG)["name"] == "Reed Lane"
    assert house_json(RIG)["values"][2] == {
        "key": "chronograph.reads", "kind": "counter", "point": None, "value": 101.2, "sd": 0.4,
        "unit": "%",
    }  # fmt: skip
    assert house_json(RIG)["values"][0]["point"] == "broadhead"
    assert house_json(RIG)["values"][1]["kind"] is None


def test_a_table_says_what_each_value_is_for():
    assert house_rows(HOUSE) == (
        ("drag coefficient, broadhead", "thin", "2.7", "0.2"),
        ("dispersion", "any", "0.9 mrad", "0.3 mrad"),
        ("chronograph reads", "counter", "101.2 %", "0.4 %"),
    )

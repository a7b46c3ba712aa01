"""Set-up records read: values with their doubts, faults with their lines, the commented file."""

import pytest

from tapewright.ground.errors import BadRigSheet
from tapewright.reading.set_up_record import read_set_up, set_up_template, typed_set_up
from tapewright.reading.set_up_record_fields import SET_UP

RECORD = """schema = 1
name = "Heron"
measured_on = "2026-11-20"
photo = "heron.jpg"
note = "cams timed"
[limbs]
brace_height = "6.5 in ± 0.04"
upper_bolt = "3.5 ± 0.06"
[string]
string = "24 strands,  May"
shots = 900
[sight]
hole = 2
"""


def test_what_was_measured_is_read_in_metres_turns_and_counts():
    found = read_set_up(RECORD)
    brace, bolt = found.measured["limbs.brace_height"], found.measured["limbs.upper_bolt"]
    assert (brace.value, brace.sd) == (pytest.approx(0.1651), pytest.approx(0.001016))
    assert (bolt.value, bolt.sd) == (3.5, 0.06)
    assert found.measured["sight.hole"].value == 2.0
    assert (found.name, found.measured_on, found.photo) == ("Heron", "2026-11-20", "heron.jpg")
    assert (found.string, found.shots, found.note) == ("24 strands, May", 900, "cams timed")
    assert read_set_up('\ufeff[limbs]\r\ntiller = "3 mm"\r\n').shots is None


@pytest.mark.parametrize(
    ("text", "place", "wrong"),
    [
        (" \n", "bow.toml", "nothing stands in it"),
        ("x" * 300_000, "bow.toml", "characters"),
        ("limbs", "bow.toml, line 1", "has no ="),
        ('[limbs]\nbrace = "7 in"\n', "line 2, limbs.brace", "no such key"),
        ('[limbs]\ntiller = "7 in"\n', "line 2, limbs.tiller", "above the limit"),
        ("[sight]\nhole = 2.5\n", "line 2, sight.hole", "no whole number"),
        ('measured_on = "May"\n[limbs]\ntiller = "3 mm"\n', "line 1, measured_on", "no day"),
        ('name = " "\n[limbs]\ntiller = "3 mm"\n', "line 1, name", "empty"),
        ('note = "a\\u0007"\n[limbs]\ntiller = "3 mm"\n', "line 1, note", "printed"),
        ('name = "Heron"\n', "limbs.brace_height", "nothing is measured"),
    ],
)
def test_a_fault_is_named_with_its_line_and_its_mend(text, place, wrong):
    with pytest.raises(BadRigSheet) as refused:
        read_set_up(text, "bow.toml")
    assert place in refused.value.place
    assert wrong in str(refused.value)
    assert "gr" not in refused.value.mend.split()


def test_the_commented_file_holds_what_a_bow_has_and_can_be_filled_in():
    for kind, has, lacks in (("compound", "peep_height", "none"),
                             ("recurve", "upper_bolt", "peep_height"),
                             ("longbow", "tiller", "[rest]")):  # fmt: skip
        text = set_up_template("Heron", metric=True, kind=kind)
        assert has in text
        assert lacks not in text
        filled = "\n".join(
            line.removeprefix("#") if " = " in line and not line.startswith("# ") else line
            for line in text.splitlines()
        )
        found = read_set_up(filled)
        assert found.measured["limbs.brace_height"].value == pytest.approx(0.178)
    assert '"7 in ± 0.04"' in set_up_template("Heron", metric=False)


def test_what_may_be_nought_has_its_doubt_all_the_same():
    found = read_set_up('[limbs]\ntiller = "0 mm ± 1"\nupper_bolt = "0 ± 0.06"\n').measured
    assert (found["limbs.tiller"].value, found["limbs.tiller"].sd) == (0.0, pytest.approx(0.001))
    assert found["limbs.upper_bolt"].sd == 0.06


def test_a_form_becomes_the_same_text_and_tells_its_faults():
    text, faults = typed_set_up({"limbs.brace_height": "178 mm", "sight.hole": "2"})
    assert faults == ()
    assert read_set_up(text).measured["limbs.brace_height"].value == pytest.approx(0.178)
    _, faults = typed_set_up({"limbs.brace_height": "178"})
    assert faults[0].path == ("limbs", "brace_height")


def test_every_number_says_how_well_it_is_set_again_or_is_counted():
    for name, key in SET_UP.keys.items():
        if key.limits and name not in ("string.shots", "sight.hole", "sight.notch"):
            assert key.doubt, name
            assert "(common practice, no source)" in key.measure, name

"""What scripts read of a number, and what the notebook reads of the same."""

import json
import shutil
import subprocess
from importlib.resources import files

import pytest

from tapewright.faces.web.group_form import GroupForm
from tapewright.ground.errors import TapewrightError
from tapewright.words.quantity_parser import length_in, read_distances, read_number, read_quantity

NODE = shutil.which("node")
SCRIPT = files("tapewright.faces.web") / "static" / "numbers.js"
ASK = """
const { numberOf, lengthOf, isFar, unitIn, inUnit, distancesOf } = globalThis.tapewrightNumbers;
const asked = JSON.parse(require("fs").readFileSync(0, "utf8"));
console.log(JSON.stringify(asked.map((text) => {
    const length = lengthOf(text, "yd");
    return { number: numberOf(text), metres: length && length.metres, inches: inUnit(text, "in"),
        far: length && unitIn(text) ? isFar(length.unit) : null, all: distancesOf(text, "m") };
})));
"""
pytestmark = pytest.mark.skipif(NODE is None, reason="no node here; Chromium reads them elsewhere")

NUMBERS = {
    "1.5": 1.5, "1,5": 1.5, ",5": 0.5, "2.": 2.0, "-1.5": -1.5, "\u22121,5": -1.5, "\u20131": -1.0,
    "+3": 3.0, "1/2": 0.5, "1 1/2": 1.5, "-1 3/4": -1.75, "1-1/2": 1.5, "2½": 2.5, "¼": 0.25,
    "1 250": 1250.0, "1\u2009250,5": 1250.5, "1e1": 10.0, " 7 ": 7.0, "007": 7.0,
}  # fmt: skip
NO_NUMBERS = ["", " ", "one", "1.2.3", "1,2,3", "1/2/3", "1/0", "--1", "0x10", "Infinity", "nan",
              "1 2", "5 in", '1.2"', "1e999"]  # fmt: skip
LENGTHS = {
    '1.2"': (0.03048, False), "3 in.": (0.0762, False), "2 ″": (0.0508, False),
    "4 cm": (0.04, False), "31,2mm": (0.0312, False), "20": (18.288, None), "18 m": (18.0, True),
    "20 yards": (18.288, True), "60'": (18.288, True), "18 METRES": (18.0, True),
    "20 1/2 yd": (18.7452, True),
}  # fmt: skip
SPELLED = """mm millimetre millimetres millimeter millimeters cm centimetre centimetres centimeter
    centimeters m metre metres meter meters km in inch inches ins in. ″ ” '' " ft foot feet ft. ' ′
    ’ yd yard yards yds yd. Yards INCHES grams ells kg mi"""
LISTS = {"18, 30 m": [18.0, 30.0], "20,30yd": [18.288, 27.432], "20:40:10": [20.0, 30.0, 40.0],
         "18": [18.0], "18;30,5": [18.0, 30.5]}  # fmt: skip


def read(texts):
    program = SCRIPT.read_text(encoding="utf-8") + ASK
    done = subprocess.run([NODE, "-e", program], input=json.dumps(texts), capture_output=True,
                          text=True, timeout=120, check=True)  # fmt: skip
    return json.loads(done.stdout)


def test_numbers_are_read_as_people_write_them_and_nothing_else_is():
    told = [one["number"] for one in read([*NUMBERS, *NO_NUMBERS])]
    assert told[: len(NUMBERS)] == pytest.approx(list(NUMBERS.values()))
    assert told[len(NUMBERS) :] == [None] * len(NO_NUMBERS)
    assert [read_number(one, "here") for one in NUMBERS] == pytest.approx(list(NUMBERS.values()))
    for one in NO_NUMBERS:
        with pytest.raises(TapewrightError):
            read_number(one, "here")


def test_lengths_and_their_kinds_are_those_of_the_notebook():
    for (text, (metres, far)), one in zip(LENGTHS.items(), read(list(LENGTHS)), strict=True):
        assert (one["metres"], one["far"]) == (pytest.approx(metres), far), text
        assert length_in(text) == {None: "", True: "distance", False: "sight"}[far], text
    inches = [one["inches"] for one in read(["2", "5.08 cm", "two"])]
    assert inches == [pytest.approx(2.0), pytest.approx(2.0), None]
    spelled = [f"3 {one}" for one in SPELLED.split()]
    for text, one in zip(spelled, read(spelled), strict=True):
        try:
            wanted = pytest.approx(read_quantity(text, "length", "here"))
        except TapewrightError:
            wanted = None
        assert one["metres"] == wanted, text


def test_lists_of_distances_are_read_as_a_plan_reads_them():
    wrong = ["18, far", "0", "20:10:5", "20,5", "30, 18", "18, 18", "18, 900", "1:200:0.05"]
    told = [one["all"] for one in read([*LISTS, *wrong])]
    assert told == [*map(pytest.approx, LISTS.values()), *[None] * len(wrong)]
    for one in wrong:
        with pytest.raises(TapewrightError):
            read_distances(f"{one} m", "here")
    for text, metres in LISTS.items():
        typed = text if text[-1].isalpha() else f"{text} m"
        assert read_distances(typed, "here").distances_m == pytest.approx(tuple(metres))


@pytest.mark.parametrize("typed", ["20", "20,5", "20 1/2", "20½", "−20"])
def test_the_unit_that_a_button_chose_stands_behind_any_number(typed):
    assert GroupForm({"distance": typed, "distance_in": "m"})["distance"] == f"{typed} m"
    assert GroupForm({"distance": f"{typed} yd", "distance_in": "m"})["distance"] == f"{typed} yd"

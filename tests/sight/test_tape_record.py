"""The file of a tape's record: read as it stands, written as it is read, refused with the place."""

import json

import pytest

from tapewright.ground.errors import BadInput
from tapewright.sight.stickings import Sticking
from tapewright.sight.tape_record import read_record, record_text

PIN = {"distances": [20, 25, 30], "readings_mm": [12.34, 13.9, 16.02]}
LONGER = {"distances": [20, 25, 30], "readings_mm": [12.34, 14.1, 16.6]}
FILE = {
    "schema": "tapewright.tape/1", "rig": "Heron", "fingerprint": "1c1a54d0",
    "made": "2026-05-02", "unit": "yd", "white_mm": 5.2,
    "strips": [{"name": "start here", "pins": [PIN]}, {"name": "longer", "pins": [LONGER]}],
    "stuck": {"strip": 1, "name": "", "sticking_mm": 0.3},
}  # fmt: skip


def record(**stuck):
    return read_record(json.dumps(FILE | {"stuck": FILE["stuck"] | stuck}), "h.tape.json")


def test_a_record_is_the_tape_on_the_sight():
    tape = record().tape()
    assert tape.reading_of(25 * 0.9144) == pytest.approx(13.9e-3)
    assert (tape.unit, tape.sd_m, tape.white_m) == ("yd", 0.3e-3, 5.2e-3)
    assert tape.scales == (Sticking("1c1a54d0 strip 1", 0.3e-3),)


def test_another_strip_another_place_another_sticking():
    tape = record(strip=2, name="again", sticking_mm=0.5, tick=20, at_mm=12.84).tape()
    assert tape.reading_of(30 * 0.9144) == pytest.approx(17.1e-3)  # 16.6 and 0.5 farther along
    assert tape.scales == (Sticking("again", 0.5e-3),)


def test_laid_on_another_scale_and_by_hits():
    below = [{"name": "first tape", "sticking_mm": 0.4}, {"name": "gauge 2"}]
    tape = record(aligned_on=below, aligned_by=["1", "2"]).tape()
    assert tape.aligned_on == (Sticking("first tape", 0.4e-3), Sticking("gauge 2", 0.3e-3))
    assert tape.scales_of("2") == tape.aligned_on
    shot = record().stuck.by_shooting("mine", ("7",))
    assert (shot.sd_m, shot.aligned_on) == (0.3e-3, (Sticking("mine before", 0.05),))
    assert record().stuck.by_shooting("mine", ()).sd_m == 0.05


def test_what_is_read_is_what_is_written():
    below = [{"name": "first", "sticking_mm": 0.4}]
    one = record(strip=2, tick=25, at_mm=14.0, aligned_on=below, aligned_by=["g"])
    again = read_record(record_text(one), "again")
    assert record_text(again) == record_text(one)
    assert again.tape() == one.tape()
    assert json.loads(record_text(one))["strips"] == FILE["strips"]


def without(key):
    return {name: value for name, value in FILE.items() if name != key}


@pytest.mark.parametrize(
    ("file", "place"),
    [
        (without("schema"), "h.tape.json, schema"),
        (FILE | {"schema": "other/1"}, "h.tape.json"),
        (FILE | {"unit": "ft"}, "h.tape.json, unit"),
        (FILE | {"strips": []}, "h.tape.json, stuck.strip"),
        (FILE | {"strips": {}}, "h.tape.json, strips"),
        (FILE | {"strips": [{"pins": [{**PIN, "distances": [20, True, 30]}]}]},
         "h.tape.json, strips 1, pins 1, distances"),
        (FILE | {"strips": [{"pins": [{**PIN, "distances": [20, 30]}]}]},
         "h.tape.json, strips 1, pins 1"),
        (FILE | {"stuck": {"strip": 3}}, "h.tape.json, stuck.strip"),
        (FILE | {"stuck": {"strip": 1.5}}, "h.tape.json, stuck, strip"),
        (FILE | {"stuck": {"sticking_mm": 60}}, "h.tape.json, stuck, sticking_mm"),
        (FILE | {"stuck": {"tick": 20}}, "h.tape.json, stuck, at_mm"),
        (FILE | {"stuck": {"tick": 90, "at_mm": 1}}, "h.tape.json, dialled"),
        (FILE | {"stuck": {"aligned_by": [1]}}, "h.tape.json, stuck, aligned_by"),
        (FILE | {"stuck": []}, "h.tape.json, stuck"),
        (FILE | {"white_mm": float("inf")}, "h.tape.json, white_mm"),
        ([], "h.tape.json"),
    ],
)  # fmt: skip
def test_what_is_wrong_is_told_with_its_place(file, place):
    with pytest.raises(BadInput) as bad:
        read_record(json.dumps(file), "h.tape.json")
    assert bad.value.place == place


@pytest.mark.parametrize("text", ["", "{", "[" * 100_000, "nonsense", '{"schema": 1}'])
def test_what_is_no_record_is_refused(text):
    with pytest.raises(BadInput, match=r"h\.tape\.json"):
        read_record(text, "h.tape.json")


def test_a_tape_laid_where_the_print_says_is_written_without_a_place():
    written = json.loads(record_text(record(strip=2)))
    assert written["stuck"] == {"strip": 2, "name": "", "sticking_mm": 0.3}
    assert read_record(json.dumps(written), "again") == record(strip=2)

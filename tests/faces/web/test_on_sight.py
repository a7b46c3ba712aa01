"""A printed tape is stuck on: from then on pages take and tell what it shows.

The sample's tape is in yards; what it shows at 60 yd is 60, whatever the reading is in mm.
"""

import json
import re
from dataclasses import replace
from datetime import UTC, datetime
from importlib.resources import files

import pytest

from tapewright.faces.kept_rigs import kept_rig
from tapewright.faces.kept_tapes import tapes_of
from tapewright.reading.sheet_form_lines import sheet_values
from tapewright.services.keep import (
    KeptCalibration,
    KeptGroup,
    KeptPrint,
    KeptTape,
    Source,
    kept_as,
)

HERON = (files("tapewright.faces") / "sample" / "heron.toml").read_text(encoding="utf-8")
NOW = datetime(2026, 11, 30, 9, 0, tzinfo=UTC)
A_TICK = 0.1  # of what the tape shows: finer nobody sets a pointer
GROUP = {"distance": "60 yd", "right-1": "0.4", "up-1": "-0.3", "right-2": "-0.2", "up-2": "0.5",
         "right-3": "0.1", "up-3": "-0.1"}  # fmt: skip


@pytest.fixture
def on(client, rig_id):
    """The sample with its printed tape stuck on."""
    client.post(f"/rigs/{rig_id}/tape", data={"distances": "15:90:1 yd"})
    sent = client.post(f"/rigs/{rig_id}/on-sight", data={"strip": "2"})
    assert sent.status_code == 303, sent.text
    return rig_id


def keep_group(client, rig_id, reading, **more):
    page = client.get(f"/rigs/{rig_id}/groups/new").text
    entry = re.search(r'name="entry" value="([0-9a-f]{20})"', page)[1]
    data = GROUP | {"reading": reading, "entry": entry, "keep": "yes"} | more
    return client.post(f"/rigs/{rig_id}/groups/new", data=data)


def test_after_printing_the_rig_asks_whether_it_is_on_the_sight(client, rig_id):
    assert "Is it on the sight?" not in client.get(f"/rigs/{rig_id}").text
    client.post(f"/rigs/{rig_id}/tape", data={})
    assert "Is it on the sight?" in client.get(f"/rigs/{rig_id}").text
    client.post(f"/rigs/{rig_id}/on-sight", data={"strip": "2"})
    assert "Is it on the sight?" not in client.get(f"/rigs/{rig_id}").text


def test_which_strip_and_where_it_was_aligned_is_kept(client, rig_id, notebook):
    client.post(f"/rigs/{rig_id}/tape", data={"distances": "15:90:1 yd"})
    data = {"strip": "3", "tick": "30", "at": "21.9 mm", "stuck_on": "2026-11-21"}
    assert client.post(f"/rigs/{rig_id}/on-sight", data=data).status_code == 303
    (on,) = tapes_of(notebook, rig_id)
    assert (on.body.stuck_on, on.record.stuck.strip) == ("2026-11-21", 3)
    assert on.tape.reading_of(30 * 0.9144) == pytest.approx(0.0219, abs=1e-6)
    assert on.tape.unit == "yd"


def of_a_start(record_text):
    """The file of a print as it would be, had it been made before the first arrow."""
    told = json.loads(record_text)
    told["stuck"] = {"strip": 2, "name": "", "sticking_mm": 50.0}
    return {"file": ("x.tape.json", json.dumps(told).encode(), "application/json")}


def test_a_told_reading_lays_a_strip_as_well_as_the_command_does(client, on, notebook):
    """Of a known zero 0.3 mm; of a starting strip 0.1 mm of that reading besides; else anywhere."""
    record = kept_as(notebook.entries("tape", on)[0], KeptTape).record_text
    told = {"tick": "20", "at": "15.6 mm"}
    client.post(f"/rigs/{on}/on-sight", data=told)
    file = of_a_start(record)
    sent = client.post(f"/rigs/{on}/on-sight", data=told, files=file)
    assert sent.status_code == 303, sent.text
    asked = client.post(f"/rigs/{on}/on-sight", files=file)
    assert asked.status_code == 200
    assert "nothing says yet where it belongs" in asked.text
    sent = client.post(f"/rigs/{on}/on-sight", data={"record": file["file"][1].decode()})
    assert sent.status_code == 303, sent.text
    laid = [1e3 * one.tape.sd_m for one in tapes_of(notebook, on)]
    assert laid == pytest.approx([0.3, 0.3, 0.3162, 50.0], abs=1e-4)


def test_a_strip_may_have_been_aligned_where_a_group_hit(client, on, notebook):
    """On a tape that stood at 38.5 when that group hit, the new strip's tick 40 went there."""
    keep_group(client, on, "38.5", distance="40 yd", name="near")
    page = client.get(f"/rigs/{on}/on-sight").text
    assert "where near hit: 40 yd dialled 38.5" in page
    client.post(f"/rigs/{on}/on-sight", data={"strip": "2", "by": "group near"})
    first, second = (one.tape for one in tapes_of(notebook, on))
    shown_m = first.reading_of(38.5 * 0.9144)
    assert second.reading_of(40 * 0.9144) == pytest.approx(shown_m, abs=1e-6)
    assert second.aligned_on == first.scales
    gone = client.post(f"/rigs/{on}/on-sight", data={"strip": "2", "by": "group nobody"})
    assert gone.status_code == 422
    assert "that group is not there any more" in gone.text


def test_a_strip_laid_by_hits_that_nobody_wrote_down_lies_anywhere(client, on, notebook):
    client.post(f"/rigs/{on}/on-sight", data={"by": "hits"})
    tape = tapes_of(notebook, on)[-1].tape
    assert (tape.sd_m, tape.aligned_on) == (0.05, ())


def test_forms_take_what_the_tape_shows(client, on, notebook):
    page = client.get(f"/rigs/{on}/groups/new").text
    assert "What the tape shows" in page
    assert "Reading, mm" not in page
    sent = keep_group(client, on, "59.5")
    assert sent.status_code == 303, sent.text
    (tape,) = (one.tape for one in tapes_of(notebook, on))
    shot = kept_as(notebook.newest("group", on), KeptGroup).observation
    assert shot.scales == tape.scales
    told = client.post(f"/rigs/{on}/groups/so-far", data=GROUP | {"reading": "59.5"}).text
    assert re.search(r"instead of 59\.5|leave it", told)
    mm = GROUP | {"reading": "46.1", "reading_in": "mm", "right-1": "0.7"}
    keep_group(client, on, **mm)
    in_mm = kept_as(notebook.newest("group", on), KeptGroup).observation
    assert (in_mm.reading_m, in_mm.scales) == (pytest.approx(0.0461), tape.scales)
    assert shot.reading_m == pytest.approx(tape.reading_of(59.5 * 0.9144), abs=1e-9)
    kept = re.search("[0-9a-f]{20}$", sent.headers["location"])[0]
    page = client.get(f"/rigs/{on}/groups/{kept}").text
    assert 'value="59.5"' in page
    assert "dialled 59.5" in page


def test_mm_are_understood_when_they_are_said(client, on, notebook):
    (tape,) = (one.tape for one in tapes_of(notebook, on))
    at_60_mm = 1e3 * tape.reading_of(60 * 0.9144)
    keep_group(client, on, f"{at_60_mm:.3f} mm")
    shot = kept_as(notebook.newest("group", on), KeptGroup).observation
    assert 1e3 * shot.reading_m == pytest.approx(at_60_mm, abs=0.001)


def test_a_number_that_the_tape_does_not_have_is_refused_with_its_ends(client, on):
    sent = keep_group(client, on, "140")
    assert sent.status_code == 422
    assert "does not have 140 yd" in sent.text
    assert "from 15 to 90 yd" in sent.text


def test_a_distance_in_a_field_of_mm_is_refused_with_the_mend(client, rig_id):
    sent = keep_group(client, rig_id, "60 yd")
    assert sent.status_code == 422
    assert "no tape is known to be on the sight" in sent.text
    assert "5.486e+04" not in sent.text


def test_groups_from_before_keep_their_mm(client, on, notebook):
    old = notebook.entries("group", on)[0]
    shot = kept_as(old, KeptGroup).observation
    page = client.get(f"/rigs/{on}/groups/{old.id}").text
    assert "Reading, mm" in page
    assert f'value="{1e3 * shot.reading_m:.4g}"' in page


@pytest.mark.parametrize("path", ["marks", "plan", "ask/card", "ask/weather?temperature=0+°C",
                                  "ask/wind?head=10+mph", "ask/hold"])  # fmt: skip
def test_pages_tell_what_the_tape_shows(client, on, path):
    page = client.get(f"/rigs/{on}/{path}").text
    assert re.search(r"<th scope=\"col\">(home )?dial( yd)?</th>", page)


def test_slopes_tell_the_tick_of_the_tape(client, on):
    page = client.get(f"/rigs/{on}/ask/slopes").text
    assert "Dial on the tape, yd" in page
    assert "Dial the mark for" not in page


def test_programs_get_what_to_dial_beside_mm(client, on):
    told = client.get(f"/api/rigs/{on}/calibration?distances=20:80:20yd").json()
    for mark in told["marks"]:
        assert mark["reading_mm"] > 0.0
        assert mark["dialled_yd"] == pytest.approx(mark["distance_yd"], abs=A_TICK)


def test_the_marks_stay_when_the_tape_is_stuck_on_as_the_sheet_says(client, rig_id):
    ask = f"/api/rigs/{rig_id}/calibration?distances=20:80:20yd"
    before = [one["reading_mm"] for one in client.get(ask).json()["marks"]]
    client.post(f"/rigs/{rig_id}/tape", data={})
    client.post(f"/rigs/{rig_id}/on-sight", data={"strip": "2"})
    after = [one["reading_mm"] for one in client.get(ask).json()["marks"]]
    assert after == pytest.approx(before, abs=0.1)  # mm; sticking doubts add spread, no shift


def test_another_strip_begins_a_scale_of_its_own(client, on, notebook):
    keep_group(client, on, "60")
    client.post(f"/rigs/{on}/on-sight", data={"strip": "1"})
    first, second = (one.tape for one in tapes_of(notebook, on))
    assert (first.name, second.name) == ("tape 1", "tape 2")
    assert second.aligned_on == first.scales
    assert kept_rig(notebook, on).rig.sight.tape == second
    shot = notebook.newest("group", on)
    page = client.get(f"/rigs/{on}/groups/{shot.id}").text
    assert 'value="60"' in page  # told by the tape it was shot on


def test_a_tape_that_came_off_gives_the_mm_back(client, on, notebook):
    (tape,) = notebook.entries("tape", on)
    client.post(f"/rigs/{on}/on-sight/{tape.id}/off")
    assert kept_as(notebook.entry(tape.id), KeptTape).taken_off
    assert "Reading, mm" in client.get(f"/rigs/{on}/groups/new").text


def test_the_same_form_sent_twice_sticks_one_tape(client, rig_id, notebook):
    client.post(f"/rigs/{rig_id}/tape", data={})
    data = {"strip": "2", "entry": "0123456789abcdef0123"}
    answers = [client.post(f"/rigs/{rig_id}/on-sight", data=data).status_code for _ in range(2)]
    assert answers == [303, 303]
    assert len(notebook.entries("tape", rig_id)) == 1


def test_the_record_of_a_print_made_elsewhere_is_taken_in(client, on, notebook):
    record = kept_as(notebook.entries("tape", on)[0], KeptTape).record_text
    told = json.loads(record) | {"rig": "Elsewhere"}
    files = {"file": ("x.tape.json", json.dumps(told).encode(), "application/json")}
    assert client.post(f"/rigs/{on}/on-sight", files=files).status_code == 303
    assert [one.record.rig for one in tapes_of(notebook, on)][-1] == "Elsewhere"


def test_a_print_from_before_records_is_rebuilt_from_the_marks_kept_with_it(
    client, rig_id, notebook
):
    """As 0.1 kept it, of a sight with one pin."""
    calibration = notebook.newest("calibration", rig_id)
    kept = replace(kept_as(calibration, KeptCalibration), trusted_m=(64.0,))
    notebook.save(calibration.id, kept, seen=calibration.number, now=NOW)
    made_from = (Source(calibration.id, calibration.number + 1),)
    printed = KeptPrint("tape", kept.fingerprint, None, {}, "2026-11-21")
    notebook.add(printed, rig_id=rig_id, sources=made_from, entry_id="a" * 20, now=NOW)
    assert client.post(f"/rigs/{rig_id}/on-sight", data={}).status_code == 303
    (on,) = tapes_of(notebook, rig_id)
    at_60 = next(row for row in kept.marks if abs(row[0] - 60 * 0.9144) < 1e-6)
    assert on.tape.reading_of(60 * 0.9144) == pytest.approx(at_60[1], abs=1e-6)


def test_a_print_of_two_pins_from_before_records_is_calibrated_anew(client, rig_id, notebook):
    calibration = notebook.newest("calibration", rig_id)
    kept = kept_as(calibration, KeptCalibration)
    made_from = (Source(calibration.id, calibration.number),)
    printed = KeptPrint("tape", kept.fingerprint, None, {}, "2026-11-21")
    notebook.add(printed, rig_id=rig_id, sources=made_from, entry_id="a" * 20, now=NOW)
    keep_group(client, rig_id, "46.1 mm")  # shot since: what was calibrated then counts
    assert client.post(f"/rigs/{rig_id}/on-sight", data={}).status_code == 303
    (on,) = tapes_of(notebook, rig_id)
    assert len(on.tape.pins) == 2
    at_60 = next(row for row in kept.marks if abs(row[0] - 60 * 0.9144) < 1e-6)
    assert on.tape.reading_of(60 * 0.9144, 1) == pytest.approx(at_60[1], abs=1e-5)
    other = replace(printed, fingerprint="3f2a", printed_on="2026-11-22")
    notebook.add(other, rig_id=rig_id, sources=made_from, entry_id="b" * 20, now=NOW)
    asked = client.get(f"/rigs/{rig_id}/on-sight").text
    assert "cannot be made again, the marks of one pin alone are kept" in asked
    first_m, second_m = (on.tape.reading_of(60 * 0.9144, pin) for pin in (1, 2))
    assert abs(second_m - first_m) > 2e-3  # the lower pin is at 60 yd where the sight is higher


def test_a_print_whose_record_cannot_be_rebuilt_asks_for_it(client, rig_id, notebook):
    printed = KeptPrint("tape", "3f2a", None, {}, "2026-11-21")
    notebook.add(printed, rig_id=rig_id, entry_id="a" * 20, now=NOW)
    page = client.get(f"/rigs/{rig_id}/on-sight")
    assert "the tape printed 2026-11-21 has no record" in page.text
    assert ".tape.json" in page.text


def test_a_broken_record_is_refused_and_nothing_is_kept(client, rig_id, notebook):
    files = {"file": ("x.tape.json", b"{", "application/json")}
    sent = client.post(f"/rigs/{rig_id}/on-sight", files=files)
    assert sent.status_code == 422
    assert "not JSON" in sent.text
    assert notebook.entries("tape", rig_id) == ()


def test_a_proof_is_written_by_what_the_tape_shows_and_mended_on_it(client, on, notebook):
    """Every number dialled stands 2 mm farther than the distance, and the arrows hit the aim."""
    (tape,) = (one.tape for one in tapes_of(notebook, on))
    session = client.post(f"/rigs/{on}/prove").headers["location"].rpartition("session=")[2]
    for place, yards in enumerate((20, 40, 60)):
        dialled = tape.dialled_of(tape.reading_of(yards * 0.9144) + 0.002) / 0.9144
        more = {"distance": f"{yards} yd", "session": session, "name": f"p{place}"}
        more |= {"right-1": f"0.{place}3", "up-2": f"0.{place}1"}
        assert keep_group(client, on, f"{dialled:.1f}", **more).status_code == 303
    page = client.get(f"/rigs/{on}/prove").text
    assert re.search(r"20 yd dialled 2[2-4]", page)
    assert "zero moved" in page
    assert re.search(r"dial [\d.]+ instead of 2[\d.]+, or move the tape [\d.]+ mm", page)


def test_a_change_says_what_becomes_of_the_tape(client, on):
    typed = {"seen": "1", "why": "changed", "words": "heavier points"}
    changed = sheet_values(HERON) | {"arrow.mass": "455 gr"} | typed
    page = client.post(f"/rigs/{on}/change/try", data=changed)
    assert page.status_code == 200
    assert "The tape on the sight stays a scale to dial by" in page.text
    assert "old dial" in page.text
    assert "new dial" in page.text


def test_the_pocket_card_carries_the_tape(client, on):
    page = client.get(f"/rigs/{on}/pocket.html").text
    numbers = json.loads(re.search(r'id="numbers">(.*?)</script>', page, re.DOTALL)[1])
    assert numbers["tape"]["unit"] == "yd"
    assert numbers["tape"]["pins"][0]["distance_m"][-1] == 82.296  # 90 yd
    assert '<th scope="col">pin 1</th>' in page or '<th scope="col">dial yd</th>' in page

"""No list lacks a STOP, whoever kept what, and no list reads a sheet that was judged before."""

import sqlite3
from contextlib import closing
from datetime import UTC, datetime

import pytest
from set_ups import HERON, STOPPED

import tapewright
from tapewright.faces import kept_stops as room
from tapewright.faces.kept_stops import kept_stops, stops_verdict
from tapewright.faces.rig_list import list_rigs
from tapewright.ground.errors import NotebookUnusable
from tapewright.services.keep import KeptRig, RigsAsked, open_notebook

NOW = datetime(2026, 11, 28, 9, 30, tzinfo=UTC)
SHORT = STOPPED["short: 27.3 in at 29 in"][1]
SOUND_ID, SHORT_ID, ODD_ID = (f"{number:020x}" for number in (1, 2, 3))
RIGS = (
    (SOUND_ID, KeptRig(HERON, "Heron")),
    (SHORT_ID, KeptRig(SHORT, "Short")),
    (ODD_ID, KeptRig("no sheet", "Odd")),
)


def opened(path, judge=stops_verdict):
    return open_notebook(f"sqlite:///{path}", judge)


@pytest.fixture(autouse=True)
def _no_sheet_is_remembered():
    room.read_once.cache_clear()
    yield
    room.read_once.cache_clear()


@pytest.fixture(params=["kept", "not kept"])
def path(request, tmp_path):
    """A notebook of three rigs, kept by this program or by one that judged nothing."""
    notebook = opened(tmp_path / "n.db", stops_verdict if request.param == "kept" else None)
    for rig_id, body in RIGS:
        notebook.add(body, entry_id=rig_id, now=NOW)
    notebook.close()
    room.read_once.cache_clear()
    return tmp_path / "n.db"


@pytest.fixture
def unread(monkeypatch):
    """From when it is called on, a sheet that is read is told of."""

    def from_now_on():
        def read(*_sheet):
            raise AssertionError("a sheet was read")

        room.read_once.cache_clear()
        monkeypatch.setattr("tapewright.reading.rig_sheet.read_rig_sheet", read)

    return from_now_on


def stops_listed(notebook):
    return {one.entry.id: one.stops for one in list_rigs(notebook, RigsAsked())[1]}


def assert_right(listed):
    assert listed.keys() == {SOUND_ID, SHORT_ID, ODD_ID}
    assert listed[SOUND_ID] == listed[ODD_ID] == ()
    (line,) = listed[SHORT_ID]
    assert line.startswith("STOP: ")
    # 27.3 in of shaft, 29 in less 1.75 in of draw, a rest 5 mm before the grip: 1.3 mm less 5 mm.
    assert "ends 4 mm (0.1 in) behind" in line


def test_a_list_tells_stops_and_the_next_one_reads_no_sheet(path, unread):
    notebook = opened(path)
    assert_right(stops_listed(notebook))
    notebook.close()
    unread()
    notebook = opened(path)
    assert_right(stops_listed(notebook))
    assert_right({one.id: kept_stops(one) for one in notebook.entries("rig")})
    notebook.close()


def test_rigs_kept_by_this_program_are_listed_unread(tmp_path, unread):
    notebook = opened(tmp_path / "n.db")
    for rig_id, body in RIGS:
        notebook.add(body, entry_id=rig_id, now=NOW)
    unread()
    assert_right(stops_listed(notebook))
    notebook.close()


def test_what_another_program_found_is_worked_out_anew(path, monkeypatch):
    with monkeypatch.context() as before:  # a program to which nothing is too short
        before.setattr(room, "PROGRAM", "0.2.0 0123456789abcdef")
        before.setattr("tapewright.words.stops.stops", lambda _rig: ())
        notebook = opened(path)
        assert set(stops_listed(notebook).values()) == {()}
        notebook.close()
    with closing(sqlite3.connect(path)) as file:
        (kept,) = file.execute("SELECT verdict FROM entry WHERE id = ?", (SHORT_ID,)).fetchone()
    assert kept == '["0.2.0 0123456789abcdef"]'
    notebook = opened(path)
    assert_right({one.id: kept_stops(one) for one in notebook.entries("rig")})
    assert_right(stops_listed(notebook))
    notebook.close()


def test_a_corrected_sheet_is_told_of_no_more_and_a_spoilt_one_is(path):
    notebook = opened(path)
    stops_listed(notebook)
    notebook.save(SHORT_ID, KeptRig(HERON, "Short"), seen=1, now=NOW)
    notebook.save(SOUND_ID, KeptRig(SHORT, "Heron"), seen=1, now=NOW)
    listed = stops_listed(notebook)
    assert listed[SHORT_ID] == ()
    assert listed[SOUND_ID][0].startswith("STOP: ")
    notebook.close()


def test_a_list_is_shown_where_nothing_can_be_kept(path, monkeypatch):
    notebook = opened(path)

    def full(_rigs):
        raise NotebookUnusable("n.db", "the disk is full", "Make room")

    monkeypatch.setattr(notebook, "keep_verdicts", full)
    assert_right(stops_listed(notebook))
    monkeypatch.undo()
    notebook.is_read_only = True
    assert_right(stops_listed(notebook))
    notebook.close()


def test_another_limit_makes_another_program(monkeypatch, tmp_path):
    here = room._program()  # noqa: SLF001 — what verdicts are marked with
    assert stops_verdict(KeptRig("no sheet", "Odd")) == f'["{here}"]'
    assert here.startswith(f"{tapewright.__version__} ")
    (tmp_path / "flight").mkdir()
    limit = tmp_path / "flight" / "bow.py"
    monkeypatch.setattr(tapewright, "__file__", str(tmp_path / "__init__.py"))
    found = set()
    for source in ("LEAST = 5.0\n", "LEAST = 6.0\n"):
        limit.write_text(source, encoding="utf-8")
        found.add(room._program())  # noqa: SLF001 — the same
    assert len(found | {here}) == 3

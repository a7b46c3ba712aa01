"""What earlier versions wrote is read by this one: nothing of theirs is lost.

The numbers beside the files are what those versions answered: regression, not evidence.
"""

import json
import shutil
from pathlib import Path

import psycopg
import pytest
from notebooks import server
from written_out import IMPERIAL, METRIC

from tapewright.faces.history import history_of
from tapewright.faces.kept_rigs import kept_answer, kept_rig
from tapewright.reading.rig_sheet import read_rig_sheet
from tapewright.reading.shots_reader import load_shots
from tapewright.reading.strip_side_click_tables import read_side_groups, read_strips, read_turned
from tapewright.services.keep import open_notebook
from tapewright.services.move_notebook import load_archive, take_in
from tapewright.storage.check import check_notebook
from tapewright.storage.plain import plain

__all__ = ["server"]

pytestmark = pytest.mark.regression
KEPT = Path(__file__).parents[1] / "kept" / "0.1"
HERON, IBIS, EGRET = (f"{number:020x}" for number in (0xA1, 0xC0, 0xC8))


def rows():
    return json.loads((KEPT / "versions.json").read_text(encoding="utf-8"))


@pytest.fixture(scope="module")
def kept_file(tmp_path_factory):
    path = tmp_path_factory.mktemp("kept") / "notebook.db"
    shutil.copyfile(KEPT / "notebook.db", path)
    return f"sqlite:///{path}"


@pytest.fixture(params=["file", "dump", "archive"])
def notebook(request, kept_file, tmp_path):
    """The notebook of 0.1, in each form in which it was kept."""
    if request.param == "file":
        opened = open_notebook(kept_file)
    elif request.param == "dump":
        there = request.getfixturevalue("server")
        name = there.new_database()
        with psycopg.connect(there.url(name), autocommit=True) as connection:
            connection.execute((KEPT / "postgresql.sql").read_text(encoding="utf-8"))
        opened = open_notebook(there.url(name))
    else:
        opened = open_notebook(f"sqlite:///{tmp_path / 'taken.db'}")
        take_in(opened, load_archive(KEPT / "archive.json"))
    opened.form = request.param
    yield opened
    opened.close()


def narrowed(value, like):
    """A value with those keys alone that there were then."""
    if isinstance(like, dict):
        assert like.keys() <= value.keys()
        return {key: narrowed(value[key], inner) for key, inner in like.items()}
    if isinstance(like, list):
        assert len(value) == len(like)
        return [narrowed(one, inner) for one, inner in zip(value, like, strict=True)]
    return value


def test_every_version_of_every_entry_is_as_it_was(notebook):
    for row in rows():
        if notebook.form == "archive" and row["kind"] == "job":
            continue  # archives never held jobs
        entry = notebook.entry(row["id"], row["number"])
        assert (entry.kind, entry.rig_id) == (row["kind"], row["rig_id"])
        assert (entry.number, entry.saved_at) == (row["number"], row["saved_at"])
        assert entry.is_withdrawn == (row["withdrawn_at"] is not None)
        assert [[one.entry_id, one.number] for one in entry.sources] == row["made_from"]
        assert narrowed(plain(entry.body), row["body"]) == row["body"]
        assert notebook.entry(row["id"]).number == row["latest"]


def test_the_lists_are_as_long_as_they_were(notebook):
    def count(kind, rig_id=None, **how):
        return len(notebook.entries(kind, rig_id, **how))

    assert (count("rig"), count("rig", withdrawn=True)) == (2, 1)
    assert (count("printer"), count("printer", withdrawn=True)) == (1, 1)
    assert (count("session", HERON), count("group", HERON)) == (4, 13)
    assert count("group", HERON, withdrawn=True) == 1
    assert (count("change", HERON), count("change", HERON, withdrawn=True)) == (1, 1)
    assert (count("print", HERON), count("calibration", HERON)) == (6, 2)
    assert (count("group", IBIS), count("calibration", IBIS)) == (4, 2)
    if notebook.form != "archive":
        assert (count("job"), count("job", withdrawn=True)) == (1, 1)


def test_all_of_it_is_sound(notebook):
    assert check_notebook(notebook).is_sound


def answers():
    for line in (KEPT / "answers.txt").read_text(encoding="utf-8").splitlines():
        if not line.startswith("#"):
            yield line.split(" | ")


def test_what_calibrations_said_is_kept_and_who_said_it(notebook):
    for _, entry_id, number, fingerprint, program, arrows, groups, trusted, marks in answers():
        entry = notebook.entry(entry_id)
        body = entry.body
        assert (entry.number, body.fingerprint, body.program) == (int(number), fingerprint, program)
        assert program == "0.1.0"
        assert (body.arrows, body.groups) == (int(arrows), int(groups))
        assert ",".join(f"{one:.4f}" for one in body.trusted_m) == trusted
        told = [[float(cell) for cell in one.split()] for one in marks.split("; ")]
        for (distance_m, *mm), mark in zip(told, body.marks[5::20], strict=True):
            assert distance_m == pytest.approx(mark[0], abs=1e-6)
            assert mm == pytest.approx([1e3 * one for one in mark[1:]], abs=1e-5)
        lines = [one.words for one in history_of(notebook, entry.rig_id, IMPERIAL)]
        assert any(f"{fingerprint}, by Tapewright 0.1.0" in one for one in lines)


@pytest.mark.parametrize(
    ("rig_id", "units", "calibration"),
    [(HERON, IMPERIAL, f"{0xB3:020x}"), (IBIS, METRIC, f"{0xC7:020x}"),
     (EGRET, IMPERIAL, f"{0xC9:020x}")],
)  # fmt: skip
def test_the_same_question_has_the_same_answer_and_fingerprint(
    kept_file, rig_id, units, calibration
):
    """Whoever changes the answer on purpose changes ANSWERS_SINCE, and says by how many mm.

    Since 0.2 windage between groups is open and distances are doubted by half a per cent, so an
    answer of 0.1 comes again with another fingerprint, marks within 0.15 mm and bands within 0.4.
    """
    opened = open_notebook(kept_file)
    answer, then = kept_answer(kept_rig(opened, rig_id), units), opened.entry(calibration).body
    opened.close()
    assert answer.fingerprint != then.fingerprint
    # 0.1 told what the bands alone carry; today hits must carry it, too.
    assert answer.once_zeroed_m == pytest.approx(then.trusted_m, abs=1.0)
    both = zip(answer.trusted_m, answer.once_zeroed_m, strict=True)
    assert all(one <= other for one, other in both)
    found = answer.bands
    now = zip(found.distance_m, found.reading_m, found.low_m, found.high_m, strict=True)
    for one, other in zip(now, then.marks, strict=True):
        assert one[:2] == pytest.approx(other[:2], abs=1.5e-4)
        assert one[2:] == pytest.approx(other[2:], abs=4e-4)


@pytest.mark.parametrize("name", ["heron", "ibis", "egret"])
def test_sheets_are_read(name):
    rig, cautions = read_rig_sheet((KEPT / f"{name}.toml").read_text(encoding="utf-8"), name)
    assert rig.name.casefold().startswith(name)
    assert len(cautions) == (1 if name == "egret" else 0)  # it tells of no air


def test_files_are_read():
    shots, _ = load_shots(KEPT / "heron-shots.csv")
    assert len(shots) == 8
    sides, turned, strips = (
        (KEPT / f"{name}.csv").read_text(encoding="utf-8") for name in ("sides", "turned", "strips")
    )
    assert [one.arrows for one in read_side_groups(sides)] == [3, 4, 3, 2]
    assert len(read_turned(turned)) == 4
    assert [one.name for one in read_strips(strips)] == ["near", "middle", "far"]


def test_prints_say_who_made_them():
    for name in ("heron-tape.svg", "heron-pocket.html"):
        text = (KEPT / name).read_text(encoding="utf-8")
        assert "0.1.0" in text or name.endswith("svg")  # text in SVG is outlines
    assert (KEPT / "heron-tape.pdf").read_bytes().startswith(b"%PDF")

import csv
import errno
import json
import os
import re
from datetime import UTC, datetime
from itertools import count
from pathlib import Path

import pdfplumber
import pytest
from click.testing import CliRunner
from many_rigs import texts, write_rigs

from tapewright.faces.cli.batch_summary import Row, summary_csv, summary_table
from tapewright.faces.cli.commands import main
from tapewright.services import share_work
from tapewright.services.keep import KeptGroup, KeptRig, KeptSession, open_notebook
from tapewright.services.move_notebook import archive_text

NOW = datetime(2026, 11, 25, 9, 30, tzinfo=UTC)
DAY = ("--date", "2026-11-25")


def typed(*words):
    return CliRunner().invoke(main, ["batch", *map(str, words), *DAY, "--workers", "2"])


def files_in(folder):
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file()
    }


@pytest.fixture(scope="module")
def refitted(tmp_path_factory):
    """Three rigs, one of them in a sub-folder, one that cannot be read, one without shots."""
    folder = tmp_path_factory.mktemp("many")
    write_rigs(folder / "rigs", 2, groups=4)
    write_rigs(folder / "rigs" / "club", 1, groups=2, arrows=3, first=7)
    sheet, _ = texts(9)
    (folder / "rigs" / "bare.toml").write_text(sheet, encoding="utf-8")
    (folder / "rigs" / "wrong.toml").write_text(sheet.replace("gr ±", "stone ±"), encoding="utf-8")
    (folder / "rigs" / "latin.toml").write_bytes("name = 'Möwe'".encode("latin-1"))
    done = typed(folder / "rigs", "--out", folder / "out")
    return folder, done


def summary(folder):
    text = (folder / "out" / "summary.json").read_text(encoding="utf-8")
    return {row["rig"]: row for row in json.loads(text)["rigs"]}


def test_one_bad_rig_never_stops_the_rest(refitted):
    folder, done = refitted
    assert done.exit_code == 1
    rows = summary(folder)
    assert list(rows) == ["bare", "club/rig-0007", "latin", "rig-0000", "rig-0001", "wrong"]
    assert [name for name, row in rows.items() if row["why"]] == ["latin", "wrong"]
    assert "wrong.toml, line 4, arrow.mass" in rows["wrong"]["why"]
    assert "UTF-8" in rows["latin"]["why"]
    assert "Traceback" not in done.output


def test_each_rig_has_its_calibration_and_its_tape(refitted):
    folder, _ = refitted
    written = files_in(folder / "out")
    for name in ("bare", "club/rig-0007", "rig-0000", "rig-0001"):
        record = json.loads(written[f"calibrations/{name}.json"])
        assert record["schema"] == "tapewright.calibration/1"
        assert record["marks"][0]["distance_yd"] == 10
        assert written[f"tapes/{name}.pdf"].startswith(b"%PDF")
    assert not [name for name in written if ".part" in name]


def test_a_batch_says_what_fit_says(refitted):
    folder, _ = refitted
    sheet, shots = (folder / "rigs" / f"rig-0000.{ending}" for ending in ("toml", "csv"))
    words = ["fit", str(sheet), str(shots), "--json", "--distances", "10:120:5yd"]
    alone = json.loads(CliRunner().invoke(main, words).stdout)
    record = json.loads((folder / "out" / "calibrations" / "rig-0000.json").read_bytes())
    assert {key: record[key] for key in alone} == alone


def test_the_summary_tells_what_to_shoot_next(refitted):
    rows = summary(refitted[0])
    assert rows["rig-0000"]["next"] == "2 arrows at 50 yd"  # its hits do not carry 60 yd
    assert rows["club/rig-0007"]["next"].endswith(" yd")
    assert rows["club/rig-0007"]["arrows"] == 6
    assert rows["bare"]["trusted_distance_yd"] is None
    assert rows["bare"]["next"] == "answer the rig sheet's questions first"
    assert rows["bare"]["cautions"][0].startswith("No arrow was shot yet")


def test_the_table_for_spreadsheets_has_a_row_for_each_rig(refitted):
    folder, done = refitted
    text = (folder / "out" / "summary.csv").read_text(encoding="utf-8-sig")
    rows = list(csv.DictReader(text.splitlines()))
    assert [row["rig"] for row in rows] == list(summary(folder))
    assert rows[-1]["why"].startswith("wrong.toml")
    assert "rig-0001" in done.stdout


def test_what_is_done_is_not_done_again(refitted):
    folder, _ = refitted
    before = files_in(folder / "out")
    stamps = {path: path.stat().st_mtime_ns for path in (folder / "out").glob("*/**/*.*")}
    again = typed(folder / "rigs", "--out", folder / "out")
    assert "4, 4 of them done before" in again.output
    assert files_in(folder / "out") == before
    assert stamps == {path: path.stat().st_mtime_ns for path in stamps}


@pytest.mark.usefixtures("in_this_process")
def test_what_changed_or_was_harmed_is_done_again(tmp_path):
    write_rigs(tmp_path / "rigs", 3, groups=2, arrows=3)
    out = tmp_path / "out"
    typed(tmp_path / "rigs", "--out", out)
    before = files_in(out)
    shots = tmp_path / "rigs" / "rig-0000.csv"
    text = shots.read_text(encoding="utf-8")
    shots.write_text(text[: text.rstrip().rfind("\n") + 1], encoding="utf-8")  # an arrow less
    (out / "tapes" / "rig-0001.pdf").write_bytes(b"half a fi")
    again = typed(tmp_path / "rigs", "--out", out)
    assert "1 of them done before" in again.output
    after = files_in(out)
    assert after["tapes/rig-0001.pdf"] == before["tapes/rig-0001.pdf"]
    changed = [name for name in after if after[name] != before[name]]
    assert "calibrations/rig-0000.json" in changed
    assert not [name for name in changed if "0001" in name or "0002" in name]


def test_one_worker_or_many_write_the_same_bytes(refitted):
    folder, _ = refitted
    words = ["batch", str(folder / "rigs"), "--out", str(folder / "one"), *DAY, "--workers", "1"]
    CliRunner().invoke(main, words)
    assert files_in(folder / "one") == files_in(folder / "out")


@pytest.mark.usefixtures("in_this_process")
def test_records_and_house_values_may_lie_beside_the_sheets(tmp_path):
    write_rigs(tmp_path / "rigs", 1, groups=2, arrows=3)
    for name, option in (("setup.toml", "--setup"), ("house.toml", "--house")):
        CliRunner().invoke(main, ["new", str(tmp_path / "rigs" / name), option])
    house = tmp_path / "rigs" / "house.toml"
    filled = house.read_text(encoding="utf-8").replace("#[[sight]]", "[[sight]]")
    house.write_text(filled, encoding="utf-8")
    done = typed(tmp_path / "rigs", "--out", tmp_path / "out", "--no-tapes", "--workers", "1")
    assert done.exit_code == 0, done.output
    assert "Calibrated: 1. Failed: 0." in done.output


def test_tapes_may_be_left_out(tmp_path):
    write_rigs(tmp_path / "rigs", 1, groups=2, arrows=3)
    done = typed(tmp_path / "rigs", "--out", tmp_path / "out", "--no-tapes", "--json", "--metric")
    assert done.exit_code == 0
    said = json.loads(done.stdout)
    assert said["schema"] == "tapewright.batch/1"
    assert said["done"] == 1
    assert said["rigs"][0]["tape"] == ""
    assert not (tmp_path / "out" / "tapes").exists()


@pytest.mark.usefixtures("in_this_process")
def test_tapes_of_a_batch_look_as_it_was_told(tmp_path):
    write_rigs(tmp_path / "rigs", 1, groups=2, arrows=3)
    look = ("--paper", "Letter", "--proof", "99,101", "--far-end", "up")
    typed(tmp_path / "rigs", "--out", tmp_path / "out", *look)
    with pdfplumber.open(tmp_path / "out" / "tapes" / "rig-0000.pdf") as book:
        page = book.pages[0]
        assert (float(page.width), float(page.height)) == pytest.approx((612.0, 792.0), abs=0.1)
    plain = tmp_path / "plain"
    typed(tmp_path / "rigs", "--out", plain, "--paper", "Letter", "--far-end", "up")
    (tape,) = plain.glob("tapes/*.pdf")
    assert tape.read_bytes() != (tmp_path / "out" / "tapes" / "rig-0000.pdf").read_bytes()


@pytest.fixture
def kept(tmp_path, monkeypatch):
    """A notebook with two rigs of one name."""
    path = tmp_path / "notebook.db"
    monkeypatch.setenv("TAPEWRIGHT_NOTEBOOK", str(path))
    from tapewright.reading.rig_sheet import read_rig_sheet
    from tapewright.reading.shots_reader import read_shots

    notebook = open_notebook(f"sqlite:///{path}")
    ids = (f"{number:020x}" for number in count(1 << 60))
    for seed in (1, 2):
        sheet, shots = texts(seed, groups=3, arrows=3)
        sheet = sheet.replace(f"Rig {seed}", "Heron")
        rig_id, session_id = next(ids), next(ids)
        notebook.add(KeptRig(sheet, "Heron"), now=NOW, entry_id=rig_id)
        session = KeptSession("2026-11-25", "sighting", "", 0)
        notebook.add(session, rig_id=rig_id, now=NOW, entry_id=session_id)
        for one in read_shots(shots, "shots", read_rig_sheet(sheet)[0])[0]:
            body = KeptGroup(session_id, one, "")
            notebook.add(body, rig_id=rig_id, now=NOW, entry_id=next(ids))
    yield notebook
    notebook.close()


@pytest.mark.usefixtures("in_this_process")
def test_the_notebook_and_its_archive_give_the_same(kept, tmp_path):
    (tmp_path / "archive.json").write_text(archive_text(kept), encoding="utf-8")
    one = typed("--notebook", "--out", tmp_path / "one", "--no-tapes")
    other = typed("--archive", tmp_path / "archive.json", "--out", tmp_path / "two", "--no-tapes")
    assert (one.exit_code, other.exit_code) == (0, 0), one.output + other.output
    assert files_in(tmp_path / "one") == files_in(tmp_path / "two")
    names = [row["rig"] for row in json.loads((tmp_path / "one/summary.json").read_text())["rigs"]]
    assert len(set(names)) == 2
    assert all(name.startswith("Heron-") for name in names)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ((), "not one source of rigs"),
        (("{}", "--notebook"), "not one source of rigs"),
        (("nowhere",), "there is no such folder"),
        (("{}",), "no rig sheet is in this folder"),
        (("{}", "--to", "20,30 yd"), "is not one distance"),
        (("{}", "--date", "yesterday"), "is no day"),
        (("{}", "--proof", "100"), "is not two lengths"),
        (("--archive", "{}/none.json"), "none.json"),
    ],
)
def test_mistakes_are_named(words, said, tmp_path):
    done = CliRunner().invoke(main, ["batch", *(word.format(tmp_path) for word in words)])
    assert done.exit_code == 2
    assert said in done.stderr
    assert "Traceback" not in done.output


def test_a_cell_that_a_spreadsheet_would_run_is_made_harmless():
    text = summary_csv([Row("rig", "=1+1", 60.0)], "yd")
    assert "'=1+1" in text


def test_of_very_many_rigs_those_to_look_at_are_shown():
    rows = [Row(f"{number:03}", "Heron", 60.0) for number in range(99)]
    rows += [Row("bad", why="no such mass " * 20), Row("odd", "Heron", 60.0, odd_groups=("3",))]
    shown = summary_table(rows, "yd")
    assert [row[0] for row in shown.rows] == ["bad", "odd"]
    assert shown.rows[0][-1].endswith("…")
    assert shown.title == "Rigs to look at first: 2 of 2, of 101 in all"


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="pipes with a name")
@pytest.mark.usefixtures("in_this_process")
def test_a_pipe_in_the_folder_is_told_of_and_not_waited_for(tmp_path):
    write_rigs(tmp_path / "rigs", 2, groups=2, arrows=3)
    (tmp_path / "rigs" / "rig-0001.csv").unlink()
    os.mkfifo(tmp_path / "rigs" / "rig-0001.csv")
    os.mkfifo(tmp_path / "rigs" / "line.toml")
    done = typed(tmp_path / "rigs", "--out", tmp_path / "out")
    assert done.exit_code == 1
    rows = summary(tmp_path)
    assert rows["line"]["why"].startswith("line.toml: this is a pipe or a device, not a file.")
    assert rows["rig-0001"]["why"].startswith("rig-0001.csv: this is a pipe or a device")
    assert rows["rig-0000"]["why"] == ""


def test_a_full_disk_is_told_with_the_file_and_leaves_no_draft(tmp_path, monkeypatch):
    def refuse(path, content):
        with path.open("wb") as file:
            file.write(content[:10])
        raise OSError(errno.ENOSPC, "No space left on device")

    write_rigs(tmp_path / "rigs", 2, groups=2, arrows=3)
    monkeypatch.setattr(Path, "write_bytes", refuse)
    done = typed(tmp_path / "rigs", "--out", tmp_path / "out")
    assert done.exit_code == 2
    assert re.search(r"out/tapes/rig-000\d\.pdf: No space left on device\.", done.stderr)
    assert files_in(tmp_path / "out") == {}


@pytest.mark.usefixtures("in_this_process")
def test_a_rig_that_kills_every_worker_is_told_of_and_the_rest_goes_on(tmp_path, monkeypatch):
    write_rigs(tmp_path / "rigs", 2, groups=2, arrows=3)
    real = share_work.shared_by_processes

    def given_up(work, pieces, workers, preload):
        for piece, made in real(work, pieces, workers, preload):
            yield piece, share_work.GivenUp("It died.") if piece.name == "rig-0001" else made

    monkeypatch.setattr(share_work, "shared_by_processes", given_up)
    done = typed(tmp_path / "rigs", "--out", tmp_path / "out")
    assert done.exit_code == 1
    assert "rig-0001: It died." in done.stderr
    assert {rig: row["why"] for rig, row in summary(tmp_path).items()} == {
        "rig-0000": "",
        "rig-0001": "It died.",
    }

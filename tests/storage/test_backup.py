import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from notebooks import BODIES, JOB, NOW, RIG, fill

from tapewright.ground.errors import BadArchive, BadInput, NotebookUnusable
from tapewright.storage import backup as room
from tapewright.storage.archive import archive_text
from tapewright.storage.backup import backup, load_archive, restore
from tapewright.storage.notebook import open_notebook
from tapewright.storage.records import KeptRig

KEPT = Path(__file__).parent / "kept"


@pytest.fixture
def empty(file_notebook):
    """A notebook in a file, with nothing in it."""
    return file_notebook


def test_a_backup_holds_everything_and_goes_into_an_empty_notebook(notebook, empty, tmp_path):
    fill(notebook)
    backup(notebook, tmp_path / "saved")
    assert restore(empty, tmp_path / "saved").new == 7
    assert archive_text(empty) == archive_text(notebook)
    assert sorted(path.name for path in tmp_path.glob("saved*")) == ["saved"]


def test_an_archive_is_restored_as_a_backup_is(notebook):
    restore(notebook, KEPT / "archive-1.json")
    assert notebook.entry(RIG).number == 2
    with pytest.raises(BadInput, match="not empty"):
        restore(notebook, KEPT / "archive-1.json")


def test_the_backup_of_a_file_is_a_notebook_itself_jobs_and_all(empty, tmp_path):
    fill(empty)
    backup(empty, tmp_path / "saved.db")
    opened = open_notebook(f"sqlite:///{tmp_path / 'saved.db'}")
    assert opened.entry(JOB).body == BODIES[JOB]
    opened.close()


def test_a_backup_of_an_older_schema_is_read_and_left_as_it_is(empty, tmp_path):
    path = tmp_path / "old.db"
    with closing(sqlite3.connect(path)) as file:
        file.executescript((KEPT / "notebook-0001.sql").read_text(encoding="utf-8"))
    before = path.read_bytes()
    assert restore(empty, path).new == 7
    assert path.read_bytes() == before


def test_a_notebook_in_use_can_be_restored_from(empty, tmp_path):
    busy = open_notebook(f"sqlite:///{tmp_path / 'busy.db'}")
    fill(busy)  # lies in the log beside the file, not in the file
    assert restore(empty, tmp_path / "busy.db").new == 7
    busy.close()


def test_a_backup_never_overwrites(notebook, tmp_path):
    path = tmp_path / "saved"
    path.write_text("precious", encoding="utf-8")
    with pytest.raises(BadInput, match="there is such a file already"):
        backup(notebook, path)
    assert path.read_text(encoding="utf-8") == "precious"
    assert not (tmp_path / "saved.part").exists()


def test_a_backup_that_cannot_be_written_leaves_nothing_behind(notebook, tmp_path):
    with pytest.raises(NotebookUnusable, match="no such file or directory"):
        backup(notebook, tmp_path / "nowhere" / "saved")
    assert not (tmp_path / "nowhere").exists()


def test_a_backup_that_is_not_there_is_told(empty, tmp_path):
    with pytest.raises(BadInput, match="there is no such file"):
        restore(empty, tmp_path / "nowhere.backup")


def test_a_damaged_notebook_is_not_backed_up_as_if_it_were_sound(empty, tmp_path):
    fill(empty)
    with empty.writing() as connection:
        connection.exec_driver_sql("PRAGMA writable_schema=ON")
        connection.exec_driver_sql(  # rigs belong to no rig, which breaks this promise
            "UPDATE sqlite_master SET sql = replace(sql, 'rig_id VARCHAR(20),',"
            " 'rig_id VARCHAR(20) NOT NULL,') WHERE name = 'entry'"
        )
    with pytest.raises(NotebookUnusable, match="damaged"):
        backup(empty, tmp_path / "saved")
    assert not list(tmp_path.glob("saved*"))


@pytest.mark.parametrize(
    ("written", "words"),
    [
        (b"\xff\xd8\xff\xe0 a picture", "no archive of Tapewright"),
        (b"distance,reading\n", "no archive of Tapewright"),
        (b"", "no archive of Tapewright"),
    ],
)
def test_a_file_that_is_neither_is_refused(empty, tmp_path, written, words):
    (tmp_path / "file").write_bytes(written)
    with pytest.raises(BadArchive, match=words):
        restore(empty, tmp_path / "file")


@pytest.mark.parametrize("damage", ["cut short", "overwritten", "only its beginning"])
def test_a_damaged_backup_is_refused_and_nothing_taken_in(empty, tmp_path, damage):
    good = open_notebook(f"sqlite:///{tmp_path / 'good.db'}")
    fill(good)
    backup(good, tmp_path / "saved")
    good.close()
    whole = (tmp_path / "saved").read_bytes()
    (tmp_path / "bad").write_bytes(
        {
            "cut short": whole[: len(whole) // 2],
            "overwritten": whole[:4096] + b"\x5a" * (len(whole) - 4096),
            "only its beginning": whole[:16],
        }[damage]
    )
    with pytest.raises((NotebookUnusable, BadArchive), match=r"damaged|another program's"):
        restore(empty, tmp_path / "bad")
    assert empty.entries("rig") == ()


def test_somebody_elses_database_is_refused(empty, tmp_path):
    with closing(sqlite3.connect(tmp_path / "songs.db")) as file:
        file.execute("CREATE TABLE songs (title TEXT)")
    with pytest.raises(NotebookUnusable, match="another program's tables"):
        restore(empty, tmp_path / "songs.db")


def test_a_backup_runs_while_others_write(empty, tmp_path, monkeypatch):
    fill(empty)
    copy = room._copy  # noqa: SLF001 — the moment between copying and naming

    def write_between(notebook, part):
        copy(notebook, part)
        notebook.save(RIG, KeptRig("b = 1\n", "Egret"), seen=2, now=NOW)

    monkeypatch.setattr(room, "_copy", write_between)
    backup(empty, tmp_path / "saved")
    found = {one.id: one for one in load_archive(tmp_path / "saved").histories}
    assert len(found[RIG].versions) == 2
    assert empty.entry(RIG).number == 3

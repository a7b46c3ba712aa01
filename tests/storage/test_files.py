"""What a notebook's file is, told apart in words of files; never a word of servers."""

import os
import shutil
import sqlite3
import stat
import subprocess
from contextlib import closing
from pathlib import Path

import pytest
from notebooks import BODIES, GROUP, NOW, RIG, fill

from tapewright.ground.errors import NotebookDamaged, NotebookUnusable
from tapewright.storage.backup import backup, load_archive
from tapewright.storage.files import make_private, new_file
from tapewright.storage.notebook import open_notebook

KEPT = Path(__file__).parent / "kept"
POSIX = pytest.mark.skipif(os.name != "posix", reason="other systems have other permissions")


@pytest.fixture
def file(tmp_path):
    """The file of a notebook with a bit of everything, put away."""
    path = tmp_path / "notebook.db"
    opened = open_notebook(f"sqlite:///{path}")
    fill(opened)
    opened.close()
    return path


def read_rig(path):
    opened = open_notebook(f"sqlite:///{path}")
    try:
        return opened.entry(RIG)
    finally:
        opened.close()


def refusal(path, kind=NotebookUnusable):
    before = path.read_bytes() if path.is_file() else None
    with pytest.raises(kind) as told:
        read_rig(path)
    assert (path.read_bytes() if path.is_file() else None) == before
    assert "server" not in str(told.value)
    assert str(told.value).startswith(str(path))
    return str(told.value)


def test_an_empty_file_is_no_new_notebook(tmp_path):
    path = tmp_path / "notebook.db"
    path.touch()
    assert "the file is empty, and a notebook never is. If it held something" in refusal(path)


def test_another_kind_of_file_is_said_to_be_one(tmp_path):
    path = tmp_path / "notebook.db"
    for written in (b"Dear archer, " * 500, bytes(8192), b"x", b"SQLite format 3\x00" + bytes(200)):
        path.write_bytes(written)
        assert "it is no notebook, but another kind of file" in refusal(path)


def test_another_programs_database_is_said_to_be_one(tmp_path):
    path = tmp_path / "notebook.db"
    with closing(sqlite3.connect(path)) as songs:
        songs.execute("CREATE TABLE songs (title TEXT)")
    with pytest.raises(NotebookUnusable, match="another program's tables"):
        open_notebook(f"sqlite:///{path}")


def test_a_folder_is_said_to_be_one(tmp_path):
    assert "it is a folder, not a file" in refusal(tmp_path)


def test_a_file_cut_short_says_by_how_much(file):
    whole = file.read_bytes()
    file.write_bytes(whole[:20_000])
    told = refusal(file, NotebookDamaged)
    assert f"it was cut short: 20000 bytes are there of {len(whole)}" in told


@pytest.mark.parametrize("place", [0, 21, 18, 100])
def test_a_notebook_whose_first_bytes_are_damaged_is_still_known_as_one(file, place):
    whole = bytearray(file.read_bytes())
    whole[place] ^= 0x11
    file.write_bytes(whole)
    assert "the file is damaged. Leave it as it is. tapewright check" in refusal(
        file, NotebookDamaged
    )


def test_a_notebook_that_shows_no_tables_is_damaged_not_new(file):
    with closing(sqlite3.connect(file, isolation_level=None)) as opened:
        opened.execute("PRAGMA writable_schema=ON")
        opened.execute("DELETE FROM sqlite_master")
    assert "the file is damaged" in refusal(file, NotebookDamaged)


def test_letters_that_are_none_are_damage_not_a_server(file):
    with closing(sqlite3.connect(file, isolation_level=None)) as opened:
        opened.execute("UPDATE version SET body = CAST(x'ff7b' AS TEXT)")
    assert "the file is damaged" in refusal(file, NotebookDamaged)


@pytest.mark.parametrize("new", ["0999", "junk", None], ids=str)
def test_steps_of_another_program_change_nothing(file, new):
    with closing(sqlite3.connect(file, isolation_level=None)) as opened:
        opened.execute("UPDATE OR REPLACE alembic_version SET version_num = ?", (new or "",))
    told = refusal(file)
    assert ("a newer Tapewright made it" if new == "0999" else "the file is damaged") in told


def test_an_old_notebook_that_is_damaged_is_not_brought_up_to_date(tmp_path):
    path = tmp_path / "notebook.db"
    with closing(sqlite3.connect(path)) as made:
        made.executescript((KEPT / "notebook-0001.sql").read_text(encoding="utf-8"))
        made.execute("PRAGMA journal_mode=WAL")
        made.execute("PRAGMA writable_schema=ON")
        made.execute("DELETE FROM sqlite_master WHERE name = 'entry_by_kind'")
        made.commit()
    assert "the file is damaged" in refusal(path, NotebookDamaged)


@POSIX
def test_a_new_notebook_is_the_owners_alone_whatever_the_mask(tmp_path):
    path = tmp_path / "shared" / "notebook.db"
    path.parent.mkdir(mode=0o777)
    before = os.umask(0)
    try:
        opened = open_notebook(f"sqlite:///{path}")
        fill(opened)
        backup(opened, path.parent / "saved.db")
        modes = {one.name: oct(stat.S_IMODE(one.stat().st_mode)) for one in path.parent.iterdir()}
        opened.close()
    finally:
        os.umask(before)
    assert modes == dict.fromkeys(
        ("notebook.db", "notebook.db-wal", "notebook.db-shm", "saved.db"), "0o600"
    )
    assert sorted(one.name for one in path.parent.iterdir()) == ["notebook.db", "saved.db"]


@pytest.fixture
def mounted(tmp_path):
    """A folder whose files may be written, and the same mounted for reading alone."""
    disk, shown = tmp_path / "disk", tmp_path / "shown"
    disk.mkdir()
    shown.mkdir()
    lines = (("mount", "--bind", disk, shown), ("mount", "-o", "remount,ro,bind", disk, shown))
    if os.geteuid() or any(
        subprocess.run(line, check=False, capture_output=True).returncode for line in lines
    ):
        subprocess.run(("umount", shown), check=False, capture_output=True)
        pytest.skip("only root may mount; folders without permission are tested all the same")
    yield disk, shown
    subprocess.run(("umount", shown), check=True)


def read_and_refused(path):
    opened = open_notebook(f"sqlite:///{path}")
    assert opened.is_read_only
    assert opened.entry(GROUP).body == BODIES[GROUP]
    assert opened.entry(RIG).number == 2
    with pytest.raises(NotebookUnusable, match="it may only be read here, so nothing was kept"):
        opened.add(BODIES[RIG], entry_id="f" * 20, now=NOW)
    with pytest.raises(NotebookUnusable, match="it may only be read here"):
        opened.withdraw(RIG, seen=2, now=NOW)
    opened.close()


def test_a_notebook_on_a_disk_for_reading_is_read(mounted, file):
    disk, shown = mounted
    shutil.copyfile(file, disk / "notebook.db")
    read_and_refused(shown / "notebook.db")
    backup_read = load_archive(shown / "notebook.db")
    assert len(backup_read.histories) == 7
    assert [one.name for one in disk.iterdir()] == ["notebook.db"]


def test_what_still_stands_in_the_log_is_read_there_too(mounted, tmp_path):
    disk, shown = mounted
    busy = open_notebook(f"sqlite:///{tmp_path / 'busy.db'}")
    fill(busy)
    for end in ("", "-wal"):
        shutil.copyfile(tmp_path / f"busy.db{end}", disk / f"notebook.db{end}")
    busy.close()
    read_and_refused(shown / "notebook.db")


def test_an_older_notebook_is_brought_up_to_date_in_a_copy(mounted):
    disk, shown = mounted
    with closing(sqlite3.connect(disk / "notebook.db")) as made:
        made.executescript((KEPT / "notebook-0001.sql").read_text(encoding="utf-8"))
    before = (disk / "notebook.db").read_bytes()
    read_and_refused(shown / "notebook.db")
    assert (disk / "notebook.db").read_bytes() == before


def test_a_new_notebook_on_a_disk_for_reading_says_so(mounted):
    _, shown = mounted
    with pytest.raises(NotebookUnusable, match="it may only be read here"):
        open_notebook(f"sqlite:///{shown / 'notebook.db'}")


@pytest.mark.parametrize("has_links", [True, False])
def test_whoever_was_quicker_made_the_file(tmp_path, monkeypatch, has_links):
    def refuse(*_):
        raise OSError(1, "Operation not permitted")

    if not has_links:
        monkeypatch.setattr(os, "link", refuse)
    path = tmp_path / "notebook.db"
    with new_file(path) as draft:
        draft.write_bytes(b"slower")
        path.write_bytes(b"quicker")
    assert path.read_bytes() == b"quicker"
    assert list(tmp_path.iterdir()) == [path]


@POSIX
def test_a_name_that_leads_elsewhere_is_not_taken(tmp_path):
    path = tmp_path / "notebook.db"
    path.symlink_to(tmp_path / "disk that is not there" / "notebook.db")
    with new_file(path) as draft:
        draft.write_bytes(b"new")
    assert path.is_symlink()
    assert list(tmp_path.iterdir()) == [path]


@POSIX
def test_a_mask_takes_nothing_from_the_owner(tmp_path):
    before = os.umask(0o777)
    try:
        make_private(tmp_path / "a")
    finally:
        os.umask(before)
    assert stat.S_IMODE((tmp_path / "a").stat().st_mode) == 0o600


def test_a_disk_without_names_for_links_still_gets_a_notebook(tmp_path, monkeypatch):
    def refuse(*_):
        raise OSError(1, "Operation not permitted")

    monkeypatch.setattr(os, "link", refuse)
    opened = open_notebook(f"sqlite:///{tmp_path / 'notebook.db'}")
    fill(opened)
    opened.close()
    assert [one.name for one in tmp_path.iterdir()] == ["notebook.db"]

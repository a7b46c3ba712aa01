"""A disk that is full, a folder that may not be written in: a clear sentence, and nothing lost."""

import os
import shutil
import sqlite3
import subprocess
import tempfile
from contextlib import closing
from pathlib import Path

import pytest
from crowd import write_as_nobody, write_until_told
from notebooks import BODIES, NOW, RIG, some_id

from tapewright.ground.errors import NotebookUnusable
from tapewright.storage.backup import backup
from tapewright.storage.notebook import open_notebook
from tapewright.storage.records import KeptRig


def intact(path):
    with closing(sqlite3.connect(path)) as file:
        return file.execute("PRAGMA integrity_check").fetchall() == [("ok",)]


def heard(fork, write, *words):
    """All that a process of its own was told until it ended."""
    hear, tell = fork.Pipe(duplex=False)
    writer = fork.Process(target=write, args=(words[0], tell, *words[1:]), daemon=True)
    writer.start()
    tell.close()
    said = []
    try:
        while True:
            said.append(hear.recv())
    except EOFError:
        writer.join(60)
    return said


@pytest.fixture
def small_disk(tmp_path):
    """A disk of one megabyte, half of it taken by something that can be removed."""
    folder = tmp_path / "disk"
    folder.mkdir()
    mount = ["mount", "-t", "tmpfs", "-o", "size=1m", "tmpfs", str(folder)]
    if os.geteuid() or subprocess.run(mount, check=False, capture_output=True).returncode:
        pytest.skip("only root may make a small disk; the limit on files is tested all the same")
    (folder / "ballast").write_bytes(bytes(500_000))
    yield folder
    subprocess.run(["umount", str(folder)], check=True)


def test_a_disk_that_fills_up_loses_nothing_and_goes_on_when_there_is_room(small_disk):
    opened = open_notebook(f"sqlite:///{small_disk / 'notebook.db'}")
    kept = []

    def add_until_told():
        for number in range(1000):
            body = KeptRig("#" * 5000, str(number))
            kept.append(opened.add(body, entry_id=some_id(number), now=NOW))

    with pytest.raises(NotebookUnusable, match=r"the disk is full.*Make room"):
        add_until_told()
    assert kept
    assert list(opened.entries("rig")) == kept
    with pytest.raises(NotebookUnusable, match=r"the disk is full|no space left on device"):
        backup(opened, small_disk / "saved")
    assert sorted(path.name for path in small_disk.glob("saved*")) == []
    (small_disk / "ballast").unlink()
    opened.add(BODIES[RIG], entry_id=some_id(2000), now=NOW)
    backup(opened, small_disk.parent / "saved")
    opened.close()
    assert intact(small_disk / "notebook.db")
    again = open_notebook(f"sqlite:///{small_disk / 'notebook.db'}")
    assert list(again.entries("rig"))[:-1] == kept
    again.close()


def test_a_disk_with_no_room_at_all_says_so(small_disk):
    (small_disk / "more").write_bytes(bytes(540_000))
    with pytest.raises(NotebookUnusable, match=r"the disk is full|the disk refuses"):
        open_notebook(f"sqlite:///{small_disk / 'notebook.db'}")


def test_a_limit_on_files_is_as_a_full_disk(tmp_path, fork):
    path = tmp_path / "notebook.db"
    url = f"sqlite:///{path}"
    open_notebook(url).close()
    *said, told = heard(fork, write_until_told, url, 7, 300_000)
    assert told[0] == "told"
    assert "nothing new was kept" in told[1] or "the disk refuses" in told[1]
    assert intact(path)
    opened = open_notebook(url)
    rigs = [words[1] for words in said if words[0] == "pair"]
    assert len(rigs) > 3
    assert {one.id for one in opened.entries("rig")} >= set(rigs)
    opened.save(rigs[0], BODIES[RIG], seen=opened.entry(rigs[0]).number, now=NOW)
    opened.close()


@pytest.fixture
def open_folder():
    """A folder that anybody may enter."""
    folder = Path(tempfile.mkdtemp(prefix="tw"))
    folder.chmod(0o755)
    yield folder
    folder.chmod(0o755)
    shutil.rmtree(folder)


@pytest.mark.parametrize("there", [True, False], ids=["an old notebook", "no notebook yet"])
def test_a_folder_that_may_only_be_read_says_so(open_folder, fork, there):
    path = open_folder / "notebook.db"
    if there:
        opened = open_notebook(f"sqlite:///{path}")
        opened.add(BODIES[RIG], entry_id=RIG, now=NOW)
        opened.close()
        path.chmod(0o444)
    before = path.read_bytes() if there else None
    open_folder.chmod(0o555)
    *opened, told = heard(fork, write_as_nobody, f"sqlite:///{path}", 7)
    assert told[0] == "told"
    if there:
        assert opened == [("open",)]  # what is kept can be read
        assert "it may only be read here, so nothing was kept" in told[1]
    else:
        assert opened == []
        assert f"{path}: permission denied. Check that the folder is there and yours" in told[1]
    assert sorted(one.name for one in open_folder.iterdir()) == (["notebook.db"] if there else [])
    assert (path.read_bytes() if path.exists() else None) == before


def test_a_folder_that_may_not_be_made_says_so(open_folder, fork):
    open_folder.chmod(0o555)
    (told,) = heard(fork, write_as_nobody, f"sqlite:///{open_folder / 'mine' / 'notebook.db'}", 7)
    assert "permission denied. Check that the folder is there and yours" in told[1]


def test_a_file_that_became_read_only_is_still_read(open_folder, fork):
    path = open_folder / "notebook.db"
    open_notebook(f"sqlite:///{path}").close()
    path.chmod(0o444)
    open_folder.chmod(0o777)
    (said, told) = heard(fork, write_as_nobody, f"sqlite:///{path}", 7)
    assert said == ("open",)
    assert "may only be read here, so nothing was kept" in told[1]
    open_folder.chmod(0o755)

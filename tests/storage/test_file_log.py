import shutil
import sqlite3
from contextlib import closing
from random import Random

import pytest

from tapewright.storage import file_log
from tapewright.storage.file_log import refuse_damaged_log
from tapewright.storage.sums import Damaged


@pytest.fixture(autouse=True)
def at_once(monkeypatch):
    monkeypatch.setattr(file_log, "_PAUSE_S", 0.0)


@pytest.fixture(params=[512, 4096])
def busy(request, tmp_path):
    """A file with its log as a killed program leaves them: twenty saves, none gone over yet."""
    with closing(sqlite3.connect(tmp_path / "source.db", isolation_level=None)) as source:
        source.execute(f"PRAGMA page_size={request.param}")
        source.execute("PRAGMA journal_mode=WAL")
        source.execute("CREATE TABLE t (x)")
        for _ in range(20):
            source.execute("INSERT INTO t VALUES (randomblob(3000))")
        for end in ("", "-wal", "-shm"):
            shutil.copyfile(tmp_path / f"source.db{end}", tmp_path / f"busy.db{end}")
    return tmp_path / "busy.db"


def log_of(path):
    return path.with_name(f"{path.name}-wal")


def index_of(path):
    return path.with_name(f"{path.name}-shm")


@pytest.mark.parametrize("alone", [False, True])
def test_a_whole_log_passes(busy, alone):
    if alone:
        index_of(busy).unlink()
    refuse_damaged_log(busy)


@pytest.mark.parametrize("alone", [False, True])
def test_no_damaged_bit_of_the_log_passes(busy, alone):
    if alone:
        index_of(busy).unlink()
    whole, chance = log_of(busy).read_bytes(), Random(5)
    for _ in range(40):
        data = bytearray(whole)
        data[chance.randrange(len(data))] ^= 1 << chance.randrange(8)
        log_of(busy).write_bytes(data)
        with pytest.raises(Damaged, match="the last saves in it cannot be read"):
            refuse_damaged_log(busy)


@pytest.mark.parametrize("place", [0, 6, 10, 13, 17, 25])  # kind, version, page, count, salt, sum
@pytest.mark.parametrize("alone", [False, True])
def test_a_log_whose_head_is_damaged_says_so(busy, place, alone):
    if alone:
        index_of(busy).unlink()
    data = bytearray(log_of(busy).read_bytes())
    data[place] ^= 0x11
    log_of(busy).write_bytes(data)
    with pytest.raises(Damaged, match="its beginning is damaged"):
        refuse_damaged_log(busy)


@pytest.mark.parametrize("place", [None, 3, 20, 60])
def test_what_stands_beside_the_log_is_relied_on_only_if_it_is_whole(busy, place):
    """Both copies of its head must agree and fit their sum; else the log speaks for itself."""
    index, log = bytearray(index_of(busy).read_bytes()), log_of(busy).read_bytes()
    if place is None:
        index = index[:135]
    else:
        index[place] ^= 1
    index_of(busy).write_bytes(index)
    refuse_damaged_log(busy)
    log_of(busy).write_bytes(log[:-600])  # a last save, torn: it was none
    refuse_damaged_log(busy)
    damaged = bytearray(log)
    damaged[5000] ^= 1
    log_of(busy).write_bytes(damaged)
    with pytest.raises(Damaged, match="the last saves in it cannot be read"):
        refuse_damaged_log(busy)


@pytest.mark.parametrize("left", [0, 20, 32, 40_000, -1, -600])
def test_a_log_cut_short_does_not_pass(busy, left):
    log_of(busy).write_bytes(log_of(busy).read_bytes()[:left])
    with pytest.raises(Damaged):
        refuse_damaged_log(busy)


def test_a_missing_log_does_not_pass(busy):
    log_of(busy).unlink()
    with pytest.raises(Damaged, match="it is missing or empty"):
        refuse_damaged_log(busy)


def test_a_save_torn_by_a_power_failure_was_none_and_passes(busy):
    """After one the file -shm is stale, so the log speaks for itself: its last save may be torn."""
    index_of(busy).write_bytes(bytes(32_768))
    data = bytearray(log_of(busy).read_bytes())
    data[-10] ^= 1
    log_of(busy).write_bytes(data)
    refuse_damaged_log(busy)
    data[5000] ^= 1  # an earlier save had been confirmed
    log_of(busy).write_bytes(data)
    with pytest.raises(Damaged):
        refuse_damaged_log(busy)


def test_a_log_that_was_begun_anew_passes_with_old_frames_behind(tmp_path):
    with closing(sqlite3.connect(tmp_path / "a.db", isolation_level=None)) as file:
        file.execute("PRAGMA journal_mode=WAL")
        file.execute("CREATE TABLE t (x)")
        for _ in range(20):
            file.execute("INSERT INTO t VALUES (randomblob(3000))")
        file.execute("PRAGMA wal_checkpoint(RESTART)")
        file.execute("INSERT INTO t VALUES (1)")
        refuse_damaged_log(tmp_path / "a.db")


def test_no_log_at_all_passes(tmp_path):
    (tmp_path / "a.db").write_bytes(b"x")
    refuse_damaged_log(tmp_path / "a.db")

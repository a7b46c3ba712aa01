import shutil
import sqlite3
from contextlib import closing
from types import SimpleNamespace

import psycopg
import pytest
from notebooks import BODIES, NOW, RIG, SESSION
from sqlalchemy.exc import DBAPIError, IntegrityError
from sqlalchemy.exc import TimeoutError as NoConnectionFree

from tapewright.ground.errors import NotebookUnusable
from tapewright.storage import engine as engine_room
from tapewright.storage.notebook import open_notebook
from tapewright.storage.records import KeptRig
from tapewright.storage.trouble import usable


def sentence_of(error):
    with pytest.raises(NotebookUnusable) as told, usable("there"):
        raise error
    assert told.value.place == "there"
    return str(told.value)


def server_says(state, *, away=False):
    error = psycopg.Error()
    error.sqlstate = state
    return DBAPIError("SELECT", {}, error, connection_invalidated=away)


@pytest.mark.parametrize(
    ("state", "words"),
    [
        ("53100", "disk is full"),
        ("53300", "too many people"),
        ("55P03", "locked for too long"),
        ("40P01", "too many people"),
        ("25006", "may only be read"),
        ("28P01", "refuses user, password or database"),
        ("3D000", "refuses user, password or database"),
        ("42501", "refuses user, password or database"),
        ("57P01", "does not answer"),
        ("57014", "does not answer"),
        ("25P03", "does not answer"),
        ("08006", "does not answer"),
        (None, "does not answer"),
        ("XX000", "cannot do this"),
    ],
)
def test_a_servers_code_becomes_a_sentence(state, words):
    assert words in sentence_of(server_says(state))


def test_a_connection_that_broke_is_said_so_whatever_the_code():
    assert "went away" in sentence_of(server_says("XX000", away=True))


def test_a_crowd_is_said_so():
    assert "too many people" in sentence_of(NoConnectionFree())


def test_a_disk_that_refuses_is_named():
    assert sentence_of(OSError(5, "Input/output error")).startswith("there: input/output error.")
    assert "the disk refuses" in sentence_of(OSError())


@pytest.mark.parametrize(
    ("code", "free", "words"),
    [
        ("SQLITE_IOERR_WRITE", 39_999, "the disk is full"),
        ("SQLITE_CANTOPEN", 39_999, "the disk is full"),
        ("SQLITE_CORRUPT", 39_999, "the file is damaged"),
        ("SQLITE_IOERR_WRITE", 40_000, "the disk refuses to read or write"),
        ("SQLITE_CANTOPEN", 40_000, "it cannot be opened"),
        ("SQLITE_CANTOPEN", None, "it cannot be opened"),  # the folder is not there
    ],
)
def test_a_disk_without_room_is_full_whatever_it_says(tmp_path, monkeypatch, code, free, words):
    def usage(folder):
        assert folder == tmp_path
        if free is None:
            raise FileNotFoundError
        return SimpleNamespace(free=free)

    monkeypatch.setattr(shutil, "disk_usage", usage)
    error = sqlite3.OperationalError()
    error.sqlite_errorname = code
    place = str(tmp_path / "notebook.db")
    with pytest.raises(NotebookUnusable, match=words), usable(place):
        raise error


def test_news_passes():
    with pytest.raises(IntegrityError), usable("there"):
        raise IntegrityError("INSERT", {}, sqlite3.IntegrityError())


def test_a_file_that_is_no_notebook_is_left_as_it_is(tmp_path):
    path = tmp_path / "letter.txt"
    path.write_text("Dear archer, " * 500, encoding="utf-8")
    before = path.read_bytes()
    with pytest.raises(NotebookUnusable, match="no notebook, but another kind of file"):
        open_notebook(f"sqlite:///{path}")
    assert path.read_bytes() == before


def test_a_folder_is_no_notebook(tmp_path):
    with pytest.raises(NotebookUnusable, match="cannot be opened"):
        open_notebook(f"sqlite:///{tmp_path}")


def test_a_notebook_that_another_program_keeps_locked_says_so(tmp_path, monkeypatch):
    monkeypatch.setattr(engine_room, "BUSY_MS", 50)
    opened = open_notebook(f"sqlite:///{tmp_path / 'notebook.db'}")
    opened.add(BODIES[RIG], entry_id=RIG, now=NOW)
    with closing(sqlite3.connect(tmp_path / "notebook.db", isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(NotebookUnusable, match="locked for too long"):
            opened.save(RIG, BODIES[RIG], seen=1, now=NOW)
        other.execute("ROLLBACK")
    assert opened.save(RIG, BODIES[RIG], seen=1, now=NOW).number == 2
    opened.close()


def test_a_full_disk_says_so_and_loses_nothing(file_notebook):
    opened = file_notebook
    opened.add(BODIES[RIG], entry_id=RIG, now=NOW)
    with opened.reading() as connection:  # the one that the next writer will be given
        connection.exec_driver_sql("PRAGMA max_page_count=20")
    with pytest.raises(NotebookUnusable, match=r"disk is full.*Make room"):
        opened.save(RIG, KeptRig("#" * 100_000, "Heron"), seen=1, now=NOW)
    assert opened.entry(RIG).number == 1
    opened.add(BODIES[SESSION], entry_id=SESSION, now=NOW, rig_id=RIG)


def test_a_server_that_is_not_there_says_so(server):
    with pytest.raises(NotebookUnusable, match="does not answer"):
        open_notebook(f"postgresql://postgres@/x?host={server.folder}/nowhere")
    with pytest.raises(NotebookUnusable, match="password and name of the database are right"):
        open_notebook(server.url("nowhere"))


def test_a_server_that_went_away_says_so_and_is_found_again(server):
    opened = open_notebook(server.url(server.new_database()))
    opened.add(BODIES[RIG], entry_id=RIG, now=NOW)
    server.stop()
    with pytest.raises(NotebookUnusable, match="does not answer, or went away"):
        opened.entry(RIG)
    server.start()
    assert opened.save(RIG, BODIES[RIG], seen=1, now=NOW).number == 2
    opened.close()


def test_a_server_that_may_only_be_read_says_so(server):
    name = server.new_database()
    opened = open_notebook(server.url(name))
    opened.add(BODIES[RIG], entry_id=RIG, now=NOW)
    opened.close()
    server.ask(f"ALTER DATABASE {name} SET default_transaction_read_only = on")
    opened = open_notebook(server.url(name))
    assert opened.entry(RIG).number == 1
    with pytest.raises(NotebookUnusable, match="may only be read"):
        opened.save(RIG, BODIES[RIG], seen=1, now=NOW)
    opened.close()


def test_a_server_where_we_may_make_no_tables_says_so(server):
    name = server.new_database()
    server.ask("CREATE ROLE guest LOGIN")
    with pytest.raises(NotebookUnusable, match="may create tables"):
        open_notebook(server.url(name).replace("postgres@", "guest@"))

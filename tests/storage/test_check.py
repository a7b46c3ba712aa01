# ruff: noqa: S608
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from notebooks import (
    BODIES,
    GROUP,
    NOW,
    PRINT,
    PRINTER,
    RIG,
    SESSION,
    fill,
    say_behind,
    write_by_hand,
)
from sqlalchemy import text

from tapewright.storage.archive import archive_of, read_archive, text_of
from tapewright.storage.check import check_notebook, sound_archive
from tapewright.storage.notebook import open_notebook


def change(notebook, *lines):
    with notebook.writing() as connection:
        for line in lines:
            connection.execute(text(line))


def test_a_sound_notebook_is_counted(notebook):
    fill(notebook)
    found = check_notebook(notebook)
    assert found.is_sound
    assert found.entries == dict.fromkeys(
        ("rig", "session", "group", "calibration", "print", "change", "printer", "job"), 1
    )
    assert found.versions == 9
    assert sound_archive(notebook) == archive_of(notebook)


def test_an_empty_notebook_is_sound(notebook):
    found = check_notebook(notebook)
    assert (found.is_sound, found.versions) == (True, 0)


def test_each_fault_is_named_and_the_rest_is_counted(notebook):
    fill(notebook)
    change(
        notebook,
        f"UPDATE version SET body = '{{}}' WHERE entry_id = '{GROUP}'",
        f"UPDATE entry SET withdrawn_at = NULL WHERE id = '{PRINTER}'",
    )
    found = check_notebook(notebook)
    assert not found.is_sound
    told = {one.where: one.wrong for one in found.faults}
    assert told[f"group {GROUP}, version 1"] == "what is there is not what was written"
    assert told[f"printer {PRINTER}"] == "what is there is not what was written"
    assert found.entries["session"] == 1
    assert found.entries["group"] == 0


def test_what_is_sound_can_be_saved_without_what_leads_to_a_fault(notebook):
    fill(notebook)
    change(notebook, f"UPDATE version SET body = '{{}}' WHERE entry_id = '{SESSION}'")
    saved = read_archive(text_of(sound_archive(notebook)))
    kinds = sorted(one.kind for one in saved.histories)
    # the group was shot in that session, the calibration made from the group, the print from that
    assert kinds == ["change", "printer", "rig"]
    assert {one.id for one in saved.histories if one.kind == "rig"} == {RIG}


def test_a_count_that_was_changed_is_named(notebook):
    fill(notebook)
    change(notebook, f"DELETE FROM tally WHERE scope = '{RIG}'")
    (fault,) = check_notebook(notebook).faults
    assert fault.where == f"of rig {RIG}"
    assert "the count of what belongs to it is missing" in fault.wrong


def test_faults_beyond_a_hundred_are_counted(notebook):
    from notebooks import BODIES, NOW, some_id

    from tapewright.storage.entries import Write

    writes = [Write(some_id(number), BODIES[PRINTER]) for number in range(100, 250)]
    notebook.save_all(writes, NOW)
    change(notebook, "UPDATE version SET body = '{}'")
    found = check_notebook(notebook)
    assert (len(found.faults), found.more) == (100, 50)


@pytest.mark.parametrize("old", ["entry_by_kind", "entry_by_rig"])
def test_an_index_that_lost_a_row_is_told(file_notebook, old):
    fill(file_notebook)
    with file_notebook.writing() as connection:
        connection.exec_driver_sql("PRAGMA writable_schema=ON")
        connection.exec_driver_sql(
            "UPDATE sqlite_master SET rootpage = (SELECT rootpage FROM sqlite_master"
            f" WHERE name = 'sqlite_autoindex_tally_1') WHERE name = '{old}'"
        )
    file_notebook.close()
    from tapewright.faces.notebook_check import checked_at

    checked, _ = checked_at(f"sqlite:///{file_notebook.place}")
    assert not checked.is_sound


def faults_of(notebook):
    found = check_notebook(notebook)
    assert not found.is_sound
    return {(one.where, one.wrong) for one in found.faults}


def test_a_body_that_is_none_is_named_and_the_rest_is_counted(notebook):
    fill(notebook)
    write_by_hand(notebook, RIG, "{")
    found = check_notebook(notebook)
    assert [(one.where, one.wrong) for one in found.faults] == [
        (f"rig {RIG}, version 2", "what is kept there is no JSON")
    ]
    assert found.entries["session"] == 1


def test_a_count_that_does_not_fit_its_sum_is_named(notebook):
    fill(notebook)
    change(notebook, f"UPDATE tally SET entries = entries + 1 WHERE scope = '{RIG}'")
    assert faults_of(notebook) == {(f"of rig {RIG}", "the count of what belongs to it was changed")}


def test_a_rig_lost_with_all_its_rows_is_named(notebook, notebook_url):
    notebook.add(BODIES[RIG], entry_id=RIG, now=NOW)
    say_behind(
        notebook_url,
        f"DELETE FROM version WHERE entry_id = '{RIG}'",
        f"DELETE FROM entry WHERE id = '{RIG}'",
    )
    assert (f"of rig {RIG}", "it is missing altogether") in faults_of(notebook)


def test_versions_and_sources_of_nothing_are_named(notebook, notebook_url):
    fill(notebook)
    say_behind(
        notebook_url,
        f"DELETE FROM entry WHERE id IN ('{PRINTER}', '{PRINT}')",
        f"DELETE FROM version WHERE entry_id = '{PRINT}'",
    )
    told = faults_of(notebook)
    assert (f"entry {PRINTER}", "versions of it are there, the entry is missing") in told
    assert (f"entry {PRINT}", "its sources are there, the entry is missing") in told
    if notebook_url.startswith("sqlite"):  # a server makes no such rows by itself
        assert ("table version", "a row leads to a entry that is not there") in told


@pytest.fixture
def damaged(file_notebook):
    """Change the bytes of the list of all ids, and check what is there then."""
    fill(file_notebook)
    path = file_notebook.place
    file_notebook.close()

    def check(spoil):
        with closing(sqlite3.connect(path)) as file:
            ((page,),) = file.execute(
                "SELECT rootpage FROM sqlite_master WHERE name = 'sqlite_autoindex_entry_1'"
            )
            ((size,),) = file.execute("PRAGMA page_size")
        content = bytearray(Path(path).read_bytes())
        here = slice((page - 1) * size, page * size)
        content[here] = spoil(bytes(content[here]))
        Path(path).write_bytes(content)
        opened = open_notebook(f"sqlite:///{path}")
        try:
            return faults_of(opened)
        finally:
            opened.close()

    return check


def test_ids_that_are_in_one_list_alone_are_named(damaged):
    told = damaged(lambda page: page.replace(RIG.encode(), b"z" + RIG[1:].encode()))
    assert (f"entry {RIG}", "it is in one list and not in another") in told
    assert (f"entry z{RIG[1:]}", "it is in one list and not in another") in told


def test_a_list_that_cannot_be_read_is_named(damaged):
    unreadable = "the file is damaged there, and the database cannot read it"
    told = damaged(lambda page: bytes(len(page)))
    assert ("the list of all entries", unreadable) in told


def test_an_id_that_is_no_text_is_named(file_notebook):
    fill(file_notebook)
    place = f"sqlite:///{file_notebook.place}"
    say_behind(place, f"UPDATE entry SET id = CAST(id AS BLOB) WHERE id = '{PRINTER}'")
    assert ("an entry", "its id is not what was written") in faults_of(file_notebook)

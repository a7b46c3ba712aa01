# ruff: noqa: S608
import pytest
from notebooks import GROUP, PRINTER, RIG, SESSION, fill
from sqlalchemy import text

from tapewright.storage.archive import archive_of, read_archive, text_of
from tapewright.storage.check import check_notebook, sound_archive


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
    from tapewright.faces.soundness import checked_at

    checked, _ = checked_at(f"sqlite:///{file_notebook.place}")
    assert not checked.is_sound

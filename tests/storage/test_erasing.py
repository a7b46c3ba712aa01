# ruff: noqa: S608
import sqlite3
from contextlib import closing
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest
from notebooks import (
    BODIES,
    GROUP,
    JOB,
    NOW,
    PRINT,
    PRINTER,
    RIG,
    SESSION,
    fill,
    say_behind,
    some_id,
)

from tapewright.ground.errors import (
    EditedMeanwhile,
    NotebookDamaged,
    NotebookUnusable,
    NotKept,
)
from tapewright.storage import erasing, writing
from tapewright.storage.archive import archive_text, read_archive
from tapewright.storage.backup import backup, restore
from tapewright.storage.check import check_notebook, sound_archive
from tapewright.storage.entries import RigsAsked, Write
from tapewright.storage.erasing import erase, sweep, where_named
from tapewright.storage.notebook import open_notebook
from tapewright.storage.records import KeptErased, KeptParked, KeptRig
from tapewright.storage.taking_in import Counts, take_in

LATER = NOW + timedelta(days=1)
NAME = "Hedwig Zwölfender"  # nobody's
OTHER = some_id(40)


def fill_with_names(notebook):
    """A rig whose every part names a person, twice over, and another rig that does not."""
    fill(notebook)
    named = KeptRig(f'name = "{NAME}"\n# {NAME}, left-eyed\n' + "# a long sheet\n" * 300, NAME)
    notebook.judge = lambda rig: f"judged {rig.name}"
    notebook.save(RIG, named, seen=2, now=NOW)
    notebook.save(SESSION, replace(BODIES[SESSION], note=f"with {NAME}"), seen=1, now=NOW)
    notebook.save(GROUP, replace(BODIES[GROUP], note=f"{NAME} plucked"), seen=1, now=NOW)
    parked = KeptParked(GROUP, f'{{"rig_name": "{NAME}"}}', "late")
    notebook.add(parked, entry_id=some_id(41), now=NOW, rig_id=RIG)
    twins = [Write(some_id(50 + at), KeptRig(f"# {NAME}\n", NAME)) for at in range(4)]
    notebook.save_all(twins, NOW)
    notebook.save(some_id(50), KeptRig(f"# {NAME}\n", "renamed"), seen=1, now=NOW)
    notebook.add(KeptRig('name = "Egret"\n', "Egret"), entry_id=OTHER, now=NOW)
    return [notebook.entry(one) for one in (RIG, *(twin.entry_id for twin in twins))]


def bytes_of(notebook_url, request):
    """All bytes that the database's own files hold just now."""
    if notebook_url.startswith("sqlite"):
        path = Path(notebook_url.removeprefix("sqlite:///"))
        files = sorted(path.parent.glob(f"{path.name}*"))
        assert files[0] == path
    else:
        server = request.getfixturevalue("server")
        name = notebook_url.partition("@/")[2].partition("?")[0]
        server.ask("CHECKPOINT")
        ((number,),) = server.ask(f"SELECT oid FROM pg_database WHERE datname = '{name}'")
        files = sorted((server.folder / "cluster" / "base" / str(number)).glob("*"))
        assert len(files) > 100
    return b"".join(one.read_bytes() for one in files)


def test_no_byte_of_an_erased_name_is_left_and_the_notebook_is_sound(
    notebook, notebook_url, request, tmp_path
):
    rigs = fill_with_names(notebook)
    if not notebook.is_file:  # what a server notes down of its tables
        with notebook.reading() as connection:
            connection.exec_driver_sql("ANALYZE")
    name = NAME.encode()
    assert bytes_of(notebook_url, request).count(name) > 10
    assert [one.id for one in where_named(notebook, "hedwig ZWölfender")] == [
        RIG, SESSION, GROUP, some_id(41), *(some_id(50 + at) for at in range(4)),
    ]  # fmt: skip
    assert erase(notebook, rigs, LATER) == 12
    assert sweep(notebook) == ""
    left = bytes_of(notebook_url, request)
    for lost in (name, NAME.casefold().encode(), b"Hedwig", b"hedwig", b"fender", b"left-eyed"):
        assert lost not in left, lost
    assert where_named(notebook, NAME) == ()
    checked = check_notebook(notebook)
    assert checked.is_sound, checked.faults
    assert dict(checked.entries) == {"erased": 12, "printer": 1, "rig": 1}
    assert name not in archive_text(notebook).encode()
    assert [one.id for one in sound_archive(notebook).histories] == [PRINTER, OTHER]
    backup(notebook, tmp_path / "after")
    assert name not in (tmp_path / "after").read_bytes()
    assert [one.body.name for one in notebook.rigs(RigsAsked()).rigs] == ["Egret"]
    assert notebook.rigs(RigsAsked(withdrawn=True)).rigs == ()
    assert notebook.number_of("job") == 0
    again = open_notebook(notebook_url)
    assert check_notebook(again).is_sound
    again.close()


def test_what_an_older_program_left_in_the_free_space_goes_too(file_notebook):
    rigs, path = fill_with_names(file_notebook), Path(file_notebook.place)
    with closing(sqlite3.connect(path, isolation_level=None)) as older:
        older.execute("PRAGMA secure_delete=OFF")
        older.execute("CREATE TABLE old (words TEXT)")
        older.execute("INSERT INTO old VALUES (?)", (f"forgotten {NAME}",))
        older.execute("DROP TABLE old")
        older.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    assert b"forgotten" in path.read_bytes()
    erase(file_notebook, rigs, LATER)
    assert sweep(file_notebook) == ""
    assert b"forgotten" not in path.read_bytes()


def test_what_was_erased_is_an_empty_row_and_cannot_be_saved_on(notebook):
    rigs = fill_with_names(notebook)[:1]
    job = notebook.entry(JOB)
    erase(notebook, rigs, LATER)
    left = notebook.entry(RIG)
    assert left.kind == "erased"
    assert left.is_withdrawn
    assert isinstance(left.body, KeptErased)
    assert len(left.body.salted) == 64
    assert len(notebook.history(RIG)) == 3
    assert notebook.entries("group", RIG) == ()
    assert notebook.latest("calibration", (RIG,)) == {}
    for late in (
        lambda: notebook.save(RIG, BODIES[RIG], seen=3, now=LATER),
        lambda: notebook.add(BODIES[SESSION], entry_id=some_id(60), now=LATER, rig_id=RIG),
        lambda: notebook.add(BODIES[SESSION], entry_id=SESSION, now=LATER, rig_id=OTHER),
        lambda: notebook.restore(RIG, seen=3, now=LATER),
        lambda: notebook.finish_job(job, "late", LATER),
        lambda: erase(notebook, rigs, LATER),
        lambda: erase(notebook, [replace(rigs[0], id=some_id(77))], LATER),
        lambda: archive_text(notebook, (RIG,)),
        lambda: notebook.rigs(RigsAsked(after=RIG)),
    ):
        with pytest.raises(NotKept):
            late()
    notebook.keep_verdicts([replace(rigs[0], verdict=f"judged {NAME}")])
    assert check_notebook(notebook).is_sound


def test_it_does_not_come_back_from_an_archive_but_the_rest_does(notebook):
    rigs = fill_with_names(notebook)[:1]
    before = read_archive(archive_text(notebook))
    erase(notebook, rigs, LATER)
    same = Counts(new=0, longer=0, same=6, erased=7)
    assert take_in(notebook, before) == same
    assert notebook.entry(GROUP).kind == "erased"
    assert check_notebook(notebook).is_sound


def test_a_backup_of_it_can_be_restored(file_notebook, tmp_path):
    erase(file_notebook, fill_with_names(file_notebook)[:1], LATER)
    backup(file_notebook, tmp_path / "kept.db")
    fresh = open_notebook(f"sqlite:///{tmp_path / 'fresh.db'}")
    assert restore(fresh, tmp_path / "kept.db").new == 6
    assert check_notebook(fresh).is_sound
    fresh.close()


def test_only_what_was_seen_is_erased(notebook):
    rigs = fill_with_names(notebook)
    with pytest.raises(EditedMeanwhile):
        erase(notebook, [replace(rigs[0], number=2)], LATER)
    assert notebook.entry(RIG).kind == "rig"
    assert check_notebook(notebook).is_sound


@pytest.mark.parametrize(
    "line",
    [
        f"UPDATE version SET body = replace(body, 'windy', 'calm') WHERE entry_id = '{SESSION}'",
        f"DELETE FROM version WHERE entry_id = '{SESSION}' AND number = 1",
        f"DELETE FROM tally WHERE scope = '{RIG}'",
    ],
)
def test_damage_is_not_erased_with_the_rest(file_notebook, line):
    rigs = fill_with_names(file_notebook)[:1]
    say_behind(f"sqlite:///{file_notebook.place}", line)
    with pytest.raises(NotebookDamaged):
        erase(file_notebook, rigs, LATER)
    assert file_notebook.entry(PRINT).kind == "print"


@pytest.mark.parametrize(
    "line",
    [
        f"UPDATE version SET body = replace(body, 'a', 'b') WHERE entry_id = '{GROUP}'",
        f"UPDATE version SET body = '{{}}' WHERE entry_id = '{GROUP}'",
        f"UPDATE version SET salt = '00' WHERE entry_id = '{RIG}'",
        f"DELETE FROM version WHERE entry_id = '{GROUP}' AND number = 1",
        f"UPDATE entry SET kind = 'rig' WHERE id = '{RIG}'",
        "DELETE FROM tally WHERE scope = 'erased'",
        f"UPDATE version SET salt = NULL WHERE entry_id = '{OTHER}'",
    ],
)
def test_a_changed_empty_row_is_still_noticed(file_notebook, line):
    erase(file_notebook, fill_with_names(file_notebook)[:1], LATER)
    assert check_notebook(file_notebook).is_sound
    say_behind(f"sqlite:///{file_notebook.place}", line)
    assert not check_notebook(file_notebook).is_sound


def test_a_parked_group_of_no_rig_is_erased_alone(file_notebook):
    rigs = fill_with_names(file_notebook)[:1]
    parked = KeptParked(some_id(62), "{}", "late")
    file_notebook.add(parked, entry_id=some_id(63), now=NOW)
    assert erase(file_notebook, [file_notebook.entry(some_id(63))], LATER) == 1
    assert file_notebook.entries("parked") != ()
    assert check_notebook(file_notebook).is_sound
    with pytest.raises(NotKept):  # it goes with its rig
        erase(file_notebook, [file_notebook.entry(some_id(41))], LATER)
    assert erase(file_notebook, rigs, LATER) == 8
    assert file_notebook.entries("parked") == ()
    assert check_notebook(file_notebook).is_sound


def test_somebody_who_reads_is_told_of(file_notebook):
    erase(file_notebook, fill_with_names(file_notebook), LATER)
    path = file_notebook.place
    with closing(sqlite3.connect(path, isolation_level=None)) as reader:
        reader.execute("BEGIN")
        reader.execute("SELECT count(*) FROM entry").fetchone()
        with file_notebook.reading() as connection:
            connection.exec_driver_sql("PRAGMA busy_timeout=50")
            told = erasing._sweep_file(connection)  # noqa: SLF001 — five seconds less
            connection.exec_driver_sql("PRAGMA busy_timeout=5000")
        assert "others are reading" in told
    assert sweep(file_notebook) == ""
    assert NAME.encode() not in Path(path).read_bytes()


def test_a_sweep_that_cannot_be_is_told(file_notebook, monkeypatch):
    def refused(_connection):
        raise NotebookUnusable("here", "the disk is full", "Make room")

    monkeypatch.setattr(erasing, "_sweep_file", refused)
    assert sweep(file_notebook) == "the disk is full"


def test_whoever_does_not_own_the_database_is_told_what_is_left(server):
    for url in server.lend():
        open_notebook(url).close()
        name = url.partition("@/")[2].partition("?")[0]
        for line in (
            "DROP ROLE IF EXISTS clerk",
            "CREATE ROLE clerk LOGIN",
            *(f"ALTER TABLE {table} OWNER TO clerk"
              for table in ("entry", "version", "made_from", "tally", "alembic_version")),
        ):  # fmt: skip
            server.ask(line, name)
        clerks = open_notebook(url.replace("postgres@", "clerk@"))
        fill(clerks)
        erase(clerks, [clerks.entry(RIG)], LATER)
        assert "VACUUM FULL pg_catalog.pg_statistic" in sweep(clerks)
        clerks.close()


@pytest.mark.parametrize(
    "late",
    [
        Write(some_id(61), BODIES[SESSION], rig_id=RIG),  # counted with its rig
        Write(SESSION, BODIES[SESSION], 1),
    ],
)
def test_what_is_saved_in_the_same_moment_finds_nothing(server, empty_database, late, monkeypatch):
    """The rig is erased after a writer looked, and before the writer writes."""
    for url in server.lend(empty_database):
        notebook, others = open_notebook(url), open_notebook(url)
        fill(notebook)
        rig = notebook.entry(RIG)
        with notebook.writing() as connection:
            known = writing.standing(connection, {RIG, SESSION})
            erase(others, [rig], LATER)
            seen = {one: known[one] for one in (RIG, late.entry_id) if one in known}
            monkeypatch.setattr(writing, "standing", lambda *_, seen=seen: seen)
            with pytest.raises(NotKept):
                writing.write_all(connection, (late,), LATER)
            monkeypatch.undo()
            connection.rollback()
        assert check_notebook(notebook).is_sound
        others.close()
        notebook.close()

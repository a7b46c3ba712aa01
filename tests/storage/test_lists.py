import json
import sqlite3
from contextlib import closing
from datetime import timedelta
from itertools import pairwise
from pathlib import Path

import pytest
from notebooks import BODIES, NOW, PRINTER, RIG, SESSION, fill, say_behind, some_id
from sqlalchemy import text

from tapewright.ground.errors import BadArchive, NotebookDamaged, NotKept
from tapewright.storage.archive import archive_text, read_archive, text_of
from tapewright.storage.check import check_notebook, sound_archive
from tapewright.storage.entries import RigsAsked, Write
from tapewright.storage.notebook import open_notebook
from tapewright.storage.records import KeptJob, KeptRig, KeptSession
from tapewright.storage.taking_in import take_in

NAMES = ("Wren", "anna", "Müller", "muller", "Anna", "Zoë 100%", "b_1", "bx1")
BY_NAME = ("anna", "Anna", "b_1", "bx1", "Müller", "muller", "Wren", "Zoë 100%")


@pytest.fixture(params=[0, 200], ids=["long", "short"], autouse=True)
def wholly_read(request, monkeypatch):
    """Every list as one too long to be read wholly, and as a short one."""
    monkeypatch.setattr("tapewright.storage.lists.WHOLLY_READ", request.param)
    return request.param > 0


@pytest.fixture
def rigs(notebook):
    """A notebook with eight rigs, the later ones added earlier in the alphabet or not."""
    for place, name in enumerate(NAMES):
        now = NOW + timedelta(seconds=place)
        notebook.add(KeptRig("", name), entry_id=some_id(90 - place), now=now)
    return notebook


def named(page):
    return tuple(one.body.name for one in page.rigs)


def test_rigs_come_by_name_and_then_in_the_order_they_were_added(rigs):
    page = rigs.rigs(RigsAsked())
    assert named(page) == BY_NAME
    assert (page.found, page.before, page.after) == (8, None, None)
    assert {one.body.name for one in page.rigs if one.id in page.twins} == {
        "anna", "Anna", "Müller", "muller",
    }  # fmt: skip


SEARCHES = (
    ("MULL", ("Müller", "muller")),
    (" müller ", ("Müller", "muller")),
    ("0%", ("Zoë 100%",)),
    ("100%", ("Zoë 100%",)),  # three letters and more: a server has an index of these
    ("1%0", ()),
    ("b_1", ("b_1",)),
    ("wre", ("Wren",)),
    ("_", ("b_1",)),
    ("/", ()),
    ("\\", ()),
    ("'", ()),
    ("1", ("b_1", "bx1", "Zoë 100%")),
    ("nobody", ()),
    ("\u0000", BY_NAME),  # nothing that can be seen: no search
)


def test_a_search_finds_what_a_name_holds(rigs):
    for search, found in SEARCHES:
        page = rigs.rigs(RigsAsked(search))
        assert named(page) == found, search
        assert page.found == len(found), search


def test_pages_forward_and_backward_hold_every_rig_once(rigs):
    for search in ("", "a", "1"):
        whole = named(rigs.rigs(RigsAsked(search)))
        for limit in (1, 2, 3, 7, 8, 9):
            walk(rigs, whole, search, limit)


def walk(rigs, whole, search, limit):
    pages, asked = [], RigsAsked(search, limit=limit)
    while True:
        page = rigs.rigs(asked)
        pages.append(page)
        assert page.found == len(whole)
        assert len(page.rigs) == limit or page.after is None
        if page.after is None:
            break
        asked = RigsAsked(search, after=page.after, limit=limit)
    assert sum(map(named, pages), ()) == whole
    assert pages[0].before is None
    for earlier, later in pairwise(pages):
        assert rigs.rigs(RigsAsked(search, before=later.before, limit=limit)) == earlier


def test_the_last_page_is_asked_for_from_the_end(rigs):
    page = rigs.rigs(RigsAsked(before="end", limit=3))
    assert named(page) == ("muller", "Wren", "Zoë 100%")
    assert (page.before, page.after) == (some_id(87), None)
    assert rigs.rigs(RigsAsked(before="end", limit=8)).before is None


def test_too_near_to_the_start_the_first_page_is_whole(rigs):
    second = rigs.rigs(RigsAsked(limit=3)).rigs[1]
    assert named(rigs.rigs(RigsAsked(before=second.id, limit=3))) == BY_NAME[:3]


def test_a_page_goes_on_where_a_rig_stood_that_was_withdrawn_meanwhile(rigs):
    rigs.withdraw(some_id(88), seen=1, now=NOW)  # Müller
    page = rigs.rigs(RigsAsked(after=some_id(88), limit=2))
    assert named(page) == ("muller", "Wren")
    assert page.twins == frozenset()
    aside = rigs.rigs(RigsAsked(withdrawn=True))
    assert (named(aside), aside.found, aside.twins) == (("Müller",), 1, frozenset())
    rigs.restore(some_id(88), seen=1, now=NOW)
    assert named(rigs.rigs(RigsAsked())) == BY_NAME


def test_a_new_name_is_found_and_the_old_one_no_more(rigs):
    rigs.save(some_id(90), KeptRig("", "Ångström"), seen=1, now=NOW)
    assert named(rigs.rigs(RigsAsked("wren"))) == ()
    assert named(rigs.rigs(RigsAsked("angst"))) == ("Ångström",)


def test_no_page_begins_at_what_is_no_rig(rigs):
    fill(rigs)
    for nobody in (some_id(999), PRINTER):
        with pytest.raises(NotKept):
            rigs.rigs(RigsAsked(after=nobody))
        with pytest.raises(NotKept):
            rigs.rigs(RigsAsked(before=nobody))


def test_rigs_taken_in_are_found(rigs, tmp_path):
    rigs.save(some_id(88), KeptRig("", "Möller"), seen=1, now=NOW)
    rigs.withdraw(some_id(90), seen=1, now=NOW)
    other = open_notebook(f"sqlite:///{tmp_path / 'other.db'}")
    other.add(KeptRig("", "Müller"), entry_id=some_id(88), now=NOW + timedelta(seconds=2))
    take_in(other, read_archive(archive_text(rigs)))
    expected = ("anna", "Anna", "b_1", "bx1", "Möller", "muller", "Zoë 100%")
    assert named(other.rigs(RigsAsked())) == expected
    assert named(other.rigs(RigsAsked(withdrawn=True))) == ("Wren",)
    other.close()


def test_every_rig_comes_in_its_turn(rigs, monkeypatch):
    monkeypatch.setattr("tapewright.storage.notebook.AT_ONCE", 3)
    assert tuple(one.body.name for one in rigs.each_rig()) == BY_NAME
    assert tuple(one.body.name for one in rigs.each("rig")) == NAMES
    assert rigs.number_of("rig") == 8
    assert rigs.number_of("job") == 0


def test_counting_of_what_was_looked_for_ends_where_nobody_reads_on(rigs, monkeypatch, wholly_read):
    monkeypatch.setattr("tapewright.storage.lists.MOST_COUNTED", 4)
    found = rigs.rigs(RigsAsked("n", limit=2)).found  # Wren, anna, Anna
    assert found == 3
    rigs.add(KeptRig("", "Nora"), entry_id=some_id(91), now=NOW)
    rigs.add(KeptRig("", "Finch"), entry_id=some_id(92), now=NOW)
    assert rigs.rigs(RigsAsked("n", limit=2)).found == (5 if wholly_read else None)
    assert rigs.rigs(RigsAsked(limit=2)).found == 10


def test_a_name_damaged_in_the_list_is_told(rigs):
    with rigs.writing() as connection:
        wrong = "UPDATE entry SET folded_name = 'wrex' WHERE folded_name = 'wren'"
        connection.execute(text(wrong))
    for ask in (lambda: rigs.rigs(RigsAsked()), lambda: rigs.entry(some_id(90)), rigs.each_rig):
        with pytest.raises(NotebookDamaged, match=rf"rig {some_id(90)}: its name in the list"):
            list(ask()) if ask == rigs.each_rig else ask()


def change(notebook, line, **told):
    with notebook.writing() as connection:
        assert connection.execute(text(line), told).rowcount


HIDDEN = "UPDATE entry SET folded_name = :name WHERE id = :id"


@pytest.mark.parametrize("name", [None, "", "zzz"])
def test_a_rig_hidden_from_a_short_list_is_missed_by_every_question(rigs, wholly_read, name):
    change(rigs, HIDDEN, name=name, id=some_id(90))
    asked = [RigsAsked(), RigsAsked("wren"), RigsAsked("anna"), RigsAsked(before="end", limit=1)]
    if not wholly_read:  # the list itself tells: by the count, or by the rig in a wrong place
        asked = asked[:1]
    for one in asked:
        with pytest.raises(NotebookDamaged):
            rigs.rigs(one)
    with pytest.raises(NotebookDamaged, match="its name in the list is not the one it has"):
        rigs.entry(some_id(90))
    with pytest.raises(NotebookDamaged):
        tuple(rigs.each_rig())
    assert [one.where for one in check_notebook(rigs).faults] == [f"rig {some_id(90)}"]
    saved = read_archive(text_of(sound_archive(rigs)))
    assert len(saved.histories) == 8  # what the sheet says is sound
    rigs.save(some_id(90), KeptRig("", "Wren"), seen=1, now=NOW)
    assert named(rigs.rigs(RigsAsked("wren"))) == ("Wren",)


def test_a_lost_rig_is_missed_by_the_count(rigs, wholly_read):
    for table, column in (("version", "entry_id"), ("entry", "id")):
        change(rigs, f"DELETE FROM {table} WHERE {column} = :id", id=some_id(90))  # noqa: S608
    for ask in (
        lambda: rigs.rigs(RigsAsked(limit=2)),
        lambda: rigs.number_of("rig"),
        lambda: tuple(rigs.each("rig")),
        lambda: tuple(rigs.each_rig()),
    ):
        with pytest.raises(NotebookDamaged, match="7 are there, 8 were kept"):
            ask()
    if wholly_read:
        with pytest.raises(NotebookDamaged, match="7 are there, 8 were kept"):
            rigs.rigs(RigsAsked("anna"))


def test_a_kind_that_has_a_name_for_lists_and_is_no_rig_is_told(notebook):
    fill(notebook)
    change(notebook, HIDDEN, name="den", id=SESSION)
    with pytest.raises(NotebookDamaged, match="its name in the list is not the one it has"):
        notebook.entry(SESSION)
    assert [one.where for one in check_notebook(notebook).faults] == [f"session {SESSION}"]


def test_a_list_takes_hundreds_of_rigs_at_once(notebook):
    ids = [some_id(number) for number in range(1000, 2300)]
    notebook.save_all([Write(one, KeptRig("", f"Rig {one}")) for one in ids], NOW)
    held = [
        Write(some_id(5000 + place), KeptSession("2026-11-25", "sighting", "", 0), rig_id=one)
        for place, one in enumerate(ids[::2])
    ]
    notebook.save_all(held, NOW)
    assert notebook.latest("session", ids).keys() == set(ids[::2])
    assert sum(1 for _ in notebook.each_rig()) == 1300


def test_failed_jobs_are_those_that_no_later_one_mended(notebook):
    rigs = [some_id(number) for number in (1, 2, 3)]
    for rig_id in rigs:
        notebook.add(KeptRig("", rig_id), entry_id=rig_id, now=NOW)
    outcomes = [
        (0, True, "bad"),
        (0, False, "well"),
        (1, False, '"state":"failed"'),
        (2, True, "no"),
    ]
    for place, (rig, failed, told) in enumerate(outcomes):
        now = NOW + timedelta(minutes=place)
        job_id = some_id(50 + place)
        notebook.add(KeptJob("refit"), entry_id=job_id, rig_id=rigs[rig], now=now)
        notebook.finish_job(notebook.take_job("w", now, 9.0), told, now, failed=failed)
    assert [(one.rig_id, one.body.told) for one in notebook.failed_jobs(9)] == [(rigs[2], "no")]


def test_a_job_far_behind_jobs_in_hand_is_found(notebook):
    writes = [Write(some_id(100 + place), KeptJob(str(place))) for place in range(130)]
    notebook.save_all(writes, NOW)
    taken = [notebook.take_job("worker", NOW, 60.0).body.what for _ in range(130)]
    assert taken == [str(place) for place in range(130)]
    assert notebook.take_job("worker", NOW, 60.0) is None


@pytest.fixture
def old(tmp_path):
    """A file as schema 0001 wrote it, with a rig whose body is damaged."""
    path = tmp_path / "notebook.db"
    kept = Path(__file__).parent / "kept" / "notebook-0001.sql"
    with closing(sqlite3.connect(path)) as file:
        file.executescript(kept.read_text(encoding="utf-8"))
        for number, body in ((70, '{"nam'), (71, "[]"), (72, json.dumps({"name": "Ünal"}))):
            row = (some_id(number), "rig", "2026-11-25T09:30:00.000000+00:00", 1)
            file.execute("INSERT INTO entry VALUES (?, ?, NULL, ?, ?, NULL)", row)
            row = (some_id(number), 1, body, "2026-11-25T09:30:00.000000+00:00")
            file.execute("INSERT INTO version VALUES (?, ?, ?, ?)", row)
        file.commit()
    return path


def test_an_older_notebook_gets_its_names(old, wholly_read):
    opened = open_notebook(f"sqlite:///{old}")
    if wholly_read:  # every row is read, those that were damaged then as well
        with pytest.raises(BadArchive, match="what is kept there is no JSON"):
            opened.rigs(RigsAsked("HERON"))
    else:
        assert named(opened.rigs(RigsAsked("HERON"))) == ("Heron",)
    assert opened.entry(RIG, 1).body == BODIES[RIG]
    opened.close()
    with closing(sqlite3.connect(old)) as file:
        asked = "SELECT folded_name FROM entry WHERE kind = 'rig' ORDER BY id"
        assert file.execute(asked).fetchall() == [("heron",), ("",), ("",), ("unal",)]
        asked = "SELECT count(*) FROM entry WHERE kind != 'rig' AND folded_name IS NOT NULL"
        assert file.execute(asked).fetchone() == (0,)


def test_the_step_keeps_a_rig_whose_version_was_lost_in_the_list(file_notebook):
    fill(file_notebook)
    path = file_notebook.place
    file_notebook.close()
    with closing(sqlite3.connect(path, isolation_level=None)) as file:  # as schema 0002 drew it
        for line in (
            "DROP INDEX rig_in_list",
            "DROP INDEX rig_aside",
            "ALTER TABLE entry DROP COLUMN folded_name",
            "ALTER TABLE entry DROP COLUMN verdict",
            "ALTER TABLE entry DROP COLUMN verdict_sum",
            "UPDATE alembic_version SET version_num = '0002'",
        ):
            file.execute(line)
        file.execute("DELETE FROM version WHERE entry_id = ? AND number = 2", (RIG,))
    opened = open_notebook(f"sqlite:///{path}")
    with pytest.raises(NotebookDamaged, match=f"rig {RIG}: its version 2 is missing"):
        opened.rigs(RigsAsked())
    opened.close()


@pytest.fixture
def behind_the_list(file_notebook):
    """Change rigs of a notebook while its list by name stays as it was: as a damaged one would."""
    file_notebook.save_all(
        [Write(some_id(90 - place), KeptRig("", name)) for place, name in enumerate(NAMES)], NOW
    )
    path = file_notebook.place
    file_notebook.close()

    def change_rigs(by):
        with closing(sqlite3.connect(path, isolation_level=None)) as file:
            file.execute("PRAGMA writable_schema=ON")
            (row,) = file.execute("SELECT * FROM sqlite_master WHERE name = 'rig_in_list'")
            file.execute("DELETE FROM sqlite_master WHERE name = 'rig_in_list'")
        by(f"sqlite:///{path}")
        with closing(sqlite3.connect(path, isolation_level=None)) as file:
            file.execute("PRAGMA writable_schema=ON")
            file.execute("INSERT INTO sqlite_master VALUES (?, ?, ?, ?, ?)", row)
        return f"sqlite:///{path}"

    return change_rigs


def test_a_rig_that_is_in_the_list_alone_is_told(behind_the_list, wholly_read):
    lines = [
        f"DELETE FROM {table} WHERE {column} = '{some_id(90)}'"  # noqa: S608
        for table, column in (("version", "entry_id"), ("entry", "id"))
    ]
    opened = open_notebook(behind_the_list(lambda url: say_behind(url, *lines)))
    told = (
        "the list of kind rig: 7 are there, 8 were kept"
        if wholly_read
        else f"rig {some_id(90)}: it is in one list and not in another"
    )
    with pytest.raises(NotebookDamaged, match=told):
        opened.rigs(RigsAsked("wren"))
    opened.close()


def test_a_rig_found_by_a_name_that_it_no_longer_has_is_told(behind_the_list, wholly_read):
    def rename(url):
        opened = open_notebook(url)
        opened.save(some_id(90), KeptRig("", "Egret"), seen=1, now=NOW)
        opened.close()

    opened = open_notebook(behind_the_list(rename))
    if wholly_read:  # the list is not asked
        assert named(opened.rigs(RigsAsked("wren"))) == ()
        assert named(opened.rigs(RigsAsked("egret"))) == ("Egret",)
    else:
        told = f"rig {some_id(90)}: it is in a list where it does not belong"
        with pytest.raises(NotebookDamaged, match=told):
            opened.rigs(RigsAsked("wren"))
    opened.close()

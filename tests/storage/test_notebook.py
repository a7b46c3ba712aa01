# ruff: noqa: S608
from dataclasses import replace
from datetime import timedelta

import pytest
from notebooks import (
    BODIES,
    CALIBRATION,
    GROUP,
    NOW,
    PRINTER,
    RIG,
    SESSION,
    fill,
    say_behind,
    some_id,
    write_by_hand,
)

from tapewright.ground.errors import (
    BadArchive,
    BadInput,
    EditedMeanwhile,
    NotebookDamaged,
    NotebookUnusable,
    NotKept,
)
from tapewright.storage.entries import Entry, Source, Write
from tapewright.storage.notebook import open_damaged_copy, open_notebook
from tapewright.storage.records import KeptPrinter, KeptRig, KeptSession, kind_of

HERON, EGRET = KeptRig("a = 1\n", "Heron"), KeptRig("a = 2\n", "Egret")
LATER = NOW + timedelta(seconds=1)


@pytest.fixture
def rig(notebook):
    return notebook.add(HERON, entry_id=RIG, now=NOW)


def test_what_was_added_comes_back_to_the_last_digit(notebook):
    fill(notebook)
    for entry_id, body in BODIES.items():
        kept = notebook.entry(entry_id, 1)
        assert kept.body == body
        assert kept.kind == kind_of(body)
        assert kept.saved_at == "2026-11-25T09:30:00.000000+00:00"
    assert notebook.entry(CALIBRATION).sources == (Source(RIG, 2), Source(GROUP, 1))
    assert notebook.entry(GROUP).rig_id == RIG


def test_adding_returns_what_reading_will(notebook, rig):
    assert notebook.entry(RIG) == rig
    sources = (Source(RIG, 1), Source(RIG, 1))
    session = notebook.add(
        BODIES[SESSION], entry_id=SESSION, now=LATER, rig_id=RIG, sources=sources
    )
    assert notebook.entry(SESSION) == session
    saved = notebook.save(SESSION, replace(BODIES[SESSION], note="x"), seen=1, now=LATER)
    assert notebook.entry(SESSION) == saved
    assert saved.rig_id == RIG
    assert saved.sources == ()


def test_nothing_is_overwritten(notebook, rig):
    second = notebook.save(RIG, EGRET, seen=1, now=LATER)
    assert notebook.history(RIG) == (second, rig)
    assert notebook.entry(RIG, 1) == rig
    assert notebook.entry(RIG) == second
    assert second.number == 2


def test_the_second_editor_is_told_and_sees_what_stands_now(notebook, rig):
    second = notebook.save(RIG, EGRET, seen=rig.number, now=LATER)
    with pytest.raises(EditedMeanwhile, match="version 2") as told:
        notebook.save(RIG, HERON, seen=rig.number, now=LATER)
    assert told.value.newer == second
    with pytest.raises(EditedMeanwhile):
        notebook.withdraw(RIG, seen=1, now=LATER)
    assert notebook.history(RIG)[0] == second


def test_withdrawing_can_be_undone(notebook, rig):
    notebook.withdraw(RIG, seen=1, now=NOW)
    notebook.withdraw(RIG, seen=1, now=LATER)  # twice is as good as once
    withdrawn = replace(rig, is_withdrawn=True)
    assert notebook.entry(RIG) == withdrawn
    assert notebook.entries("rig") == ()
    assert notebook.entries("rig", withdrawn=True) == (withdrawn,)
    with pytest.raises(EditedMeanwhile, match="Restore it first"):
        notebook.save(RIG, EGRET, seen=1, now=LATER)
    notebook.restore(RIG, seen=1, now=LATER)
    notebook.restore(RIG, seen=1, now=LATER)
    assert notebook.entries("rig") == (rig,)
    assert notebook.save(RIG, EGRET, seen=1, now=LATER).number == 2


def test_what_is_kept_and_what_is_put_aside_with_it_go_together(notebook, rig):
    other = notebook.add(EGRET, entry_id=some_id(7), now=NOW)
    newer = notebook.save(other.id, HERON, seen=1, now=LATER)
    with pytest.raises(EditedMeanwhile):
        notebook.save_all((Write(some_id(8), HERON),), LATER, aside=(rig, other))
    assert notebook.entries("rig") == (rig, newer)
    (kept,) = notebook.save_all((Write(some_id(8), HERON),), LATER, aside=(rig, newer))
    assert notebook.entries("rig") == (kept,)
    assert len(notebook.entries("rig", withdrawn=True)) == 2


def test_a_form_that_was_sent_twice_is_kept_once(notebook, rig):
    with pytest.raises(EditedMeanwhile) as told:
        notebook.add(EGRET, entry_id=RIG, now=LATER)
    assert told.value.newer == rig


@pytest.mark.usefixtures("rig")
def test_what_is_not_kept_is_said_so(notebook):
    nobody = some_id(99)
    for errand in (
        lambda: notebook.entry(nobody),
        lambda: notebook.history(nobody),
        lambda: notebook.save(nobody, HERON, seen=1, now=NOW),
        lambda: notebook.withdraw(nobody, seen=1, now=NOW),
        lambda: notebook.restore("../../etc", seen=1, now=NOW),
        lambda: notebook.add(BODIES[SESSION], entry_id=SESSION, now=NOW, rig_id=nobody),
        lambda: notebook.add(BODIES[GROUP], entry_id=GROUP, now=NOW, rig_id=RIG),
        lambda: notebook.add(HERON, entry_id=SESSION, now=NOW, sources=(Source(nobody, 1),)),
    ):
        with pytest.raises(NotKept, match="Nothing is kept as"):
            errand()
    with pytest.raises(NotKept, match="in version 7"):
        notebook.entry(RIG, 7)
    for number in (0, 2):
        with pytest.raises(NotKept, match=f"in version {number}"):
            notebook.add(
                BODIES[SESSION], entry_id=SESSION, now=NOW, rig_id=RIG,
                sources=(Source(RIG, number),),
            )  # fmt: skip
    assert notebook.entries("session") == ()


def test_a_thing_stays_what_it_is(notebook, rig):
    with pytest.raises(NotKept):
        notebook.save(RIG, BODIES[SESSION], seen=1, now=NOW)
    with pytest.raises(NotKept):
        notebook.add(BODIES[PRINTER], entry_id=PRINTER, now=NOW, rig_id=PRINTER)
    notebook.add(BODIES[SESSION], entry_id=SESSION, now=NOW, rig_id=RIG)
    with pytest.raises(NotKept):  # a session is no rig
        notebook.add(BODIES[GROUP], entry_id=GROUP, now=NOW, rig_id=SESSION)
    assert notebook.entry(RIG) == rig
    # what is asked of it as of a rig is nothing, and no damage
    assert notebook.entries("group", SESSION) == ()
    assert notebook.latest("calibration", (SESSION,)) == {}


@pytest.mark.parametrize("wrong", ["", "1", "g" * 20, "A" * 20, "0" * 21, "0" * 20 + "\n"])
def test_only_ids_are_ids(notebook, wrong):
    with pytest.raises(BadInput, match="is no id"):
        notebook.add(HERON, entry_id=wrong, now=NOW)


@pytest.mark.usefixtures("rig")
def test_several_writes_are_all_or_nothing(notebook):
    session = Write(SESSION, BODIES[SESSION], rig_id=RIG, sources=(Source(RIG, 2),))
    with pytest.raises(EditedMeanwhile):
        notebook.save_all((session, Write(RIG, EGRET, seen=3)), LATER)
    assert notebook.entries("session") == ()
    kept = notebook.save_all((session, Write(RIG, EGRET, seen=1)), LATER)
    assert kept == (notebook.entry(SESSION), notebook.entry(RIG, 2))


def test_a_new_rig_and_what_belongs_to_it_go_in_together(notebook):
    writes = [
        Write(GROUP, BODIES[GROUP], rig_id=RIG),
        Write(SESSION, BODIES[SESSION], rig_id=RIG, sources=(Source(RIG, 1),)),
        Write(RIG, HERON),
    ]
    assert [one.id for one in notebook.save_all(writes, NOW)] == [GROUP, SESSION, RIG]
    assert notebook.entry(GROUP).rig_id == RIG


@pytest.mark.usefixtures("rig")
def test_lists_are_in_the_order_of_adding(notebook):
    for number, later in ((30, 3), (10, 1), (20, 2)):
        body = KeptSession("2026-11-25", "proving", str(later), 0)
        now = NOW + timedelta(minutes=later)
        notebook.add(body, entry_id=some_id(number), now=now, rig_id=RIG)
    first = notebook.entries("session", RIG)[0]
    notebook.save(first.id, replace(first.body, note="1, mended"), seen=1, now=LATER)
    assert [one.body.note for one in notebook.entries("session")] == ["1, mended", "2", "3"]
    assert notebook.entries("session", some_id(99)) == ()


def test_the_newest_of_each_rig_is_the_last_of_its_list(notebook):
    rigs = [some_id(number) for number in range(100, 103)]
    for rig_id in rigs:
        notebook.add(HERON, entry_id=rig_id, now=NOW)
    for number in range(6):
        rig_id = rigs[number % 2]
        now = NOW + timedelta(seconds=number // 4)  # two of a rig in the same moment
        body = KeptSession("2026-11-25", "proving", str(number), 0)
        notebook.add(body, entry_id=some_id(number), now=now, rig_id=rig_id)
    notebook.withdraw(some_id(5), seen=1, now=NOW)
    newest = notebook.latest("session", rigs)
    assert newest == {rig_id: notebook.entries("session", rig_id)[-1] for rig_id in rigs[:2]}
    assert newest[rigs[1]].body.note == "3"
    assert [notebook.newest("session", rig_id) for rig_id in rigs] == [*newest.values(), None]
    assert notebook.latest("session", rigs[1:]).keys() == {rigs[1]}
    assert notebook.newest("session").id == some_id(4)
    assert notebook.latest("rig", rigs) == {}


@pytest.mark.parametrize(
    ("kept", "where"),
    [
        ("{", "no JSON"),
        ("[" * 100_000, "no JSON"),
        ('{"sheet":"a"}', "version 1, name: the field is missing"),
        ('{"sheet":"a","name":1}', "version 1, name: a text is wanted"),
        ('{"sheet":"a","name":"b","colour":"red"}', "no field 'colour'"),
    ],
)
@pytest.mark.usefixtures("rig")
def test_what_another_program_wrote_is_named_with_its_field(notebook, kept, where):
    write_by_hand(notebook, RIG, kept)
    with pytest.raises(BadArchive, match=where) as told:
        notebook.entry(RIG)
    assert RIG in told.value.place


def test_a_text_is_kept_whatever_is_in_it(notebook):
    odd = "\x00 \x1f 'quotes' \"double\" \\ 🏹 é ́ \u202e '); DROP TABLE entry; -- \r\n"
    notebook.add(KeptRig(odd * 50, odd), entry_id=RIG, now=NOW)
    assert notebook.entry(RIG).body == KeptRig(odd * 50, odd)


def test_a_moment_without_its_zone_is_a_mistake_of_ours(notebook):
    with pytest.raises(AssertionError, match="zone"):
        notebook.add(HERON, entry_id=RIG, now=NOW.replace(tzinfo=None))


def test_moments_are_kept_in_universal_time(notebook):
    from datetime import timezone

    east = NOW.astimezone(timezone(timedelta(hours=5, minutes=30)))
    kept = notebook.add(HERON, entry_id=RIG, now=east)
    assert kept.saved_at == "2026-11-25T09:30:00.000000+00:00"


def test_a_closed_notebook_is_as_it_was_when_it_is_opened_again(notebook, notebook_url):
    fill(notebook)
    before = [notebook.history(entry_id) for entry_id in BODIES]
    notebook.close()
    again = open_notebook(notebook_url)
    assert [again.history(entry_id) for entry_id in BODIES] == before
    assert all(isinstance(one, Entry) for one in again.entries("group"))
    again.close()


def test_what_is_written_together_is_listed_in_the_order_written(notebook):
    ids = [some_id(number) for number in (90, 70, 80)]
    notebook.save_all([Write(one, KeptPrinter(one, 100.0, 100.0)) for one in ids], NOW)
    assert [one.id for one in notebook.entries("printer")] == ids


def test_an_id_of_which_rows_are_left_is_not_given_again(notebook, notebook_url):
    fill(notebook)
    say_behind(notebook_url, f"DELETE FROM entry WHERE id = '{RIG}'")
    with pytest.raises(NotebookDamaged, match="what is kept contradicts itself"):
        notebook.add(HERON, entry_id=RIG, now=NOW)


def test_the_newest_of_no_rig_is_none_and_that_of_a_lost_one_is_told(notebook, notebook_url):
    fill(notebook)
    assert notebook.latest("session", [RIG, some_id(999)]).keys() == {RIG}
    assert notebook.newest("session", some_id(999)) is None
    say_behind(notebook_url, f"DELETE FROM tally WHERE scope = '{RIG}'")
    with pytest.raises(NotebookDamaged, match=f"entry {RIG}: only a part of it is there"):
        notebook.newest("session", RIG)


def test_read_briefly_marks_are_left_out_and_one_that_was_changed_is_noticed(
    notebook, notebook_url
):
    fill(notebook)
    kinds = ("calibration", "session")
    brief = notebook.latest_of_each(kinds, (RIG,), briefly=True)
    assert brief["calibration"][RIG].body == replace(BODIES[CALIBRATION], marks=())
    assert brief["session"][RIG] == notebook.newest("session", RIG)
    assert notebook.newest("calibration", RIG).body == BODIES[CALIBRATION]
    say_behind(notebook_url, "UPDATE version SET body = replace(body, '0.0615', '0.0616')")
    with pytest.raises(NotebookDamaged, match="what is there is not what was written"):
        notebook.latest_of_each(kinds, (RIG,), briefly=True)


def test_a_damaged_notebook_is_looked_at_in_a_copy_of_its_file(file_notebook, tmp_path):
    fill(file_notebook)
    copy = open_damaged_copy(f"sqlite:///{file_notebook.place}")
    file_notebook.withdraw(RIG, seen=2, now=NOW)
    assert not copy.entry(RIG).is_withdrawn
    copy.close()
    (tmp_path / "letter.db").write_bytes(b"Dear archer, " * 500)
    with pytest.raises(NotebookUnusable):
        open_damaged_copy(f"sqlite:///{tmp_path / 'letter.db'}")
    with pytest.raises(NotebookDamaged, match="what is kept contradicts itself"):
        open_damaged_copy("postgresql://postgres@/notebook")


def test_a_notebook_that_is_there_answers_a_knock_and_one_that_is_gone_does_not(file_notebook):
    file_notebook.knock()
    with file_notebook.writing() as connection:
        connection.exec_driver_sql("DROP TABLE alembic_version")
    with pytest.raises(NotebookUnusable):
        file_notebook.knock()

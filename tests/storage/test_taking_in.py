from dataclasses import replace
from datetime import timedelta

import pytest
from notebooks import BODIES, GROUP, JOB, NOW, PRINTER, RIG, SESSION, fill, some_id

from tapewright.ground.errors import BadArchive, BadInput, NotebookUnusable
from tapewright.storage import taking_in
from tapewright.storage.archive import archive_of, archive_text, read_archive
from tapewright.storage.entries import Write
from tapewright.storage.queries import standing
from tapewright.storage.records import KeptHouse, KeptParked, KeptRig, KeptSetup, KeptTape
from tapewright.storage.taking_in import Counts, take_in

LATER = NOW + timedelta(days=1)


@pytest.fixture
def other(file_notebook):
    """Another notebook, filled, and gone its own way as the test likes."""
    fill(file_notebook)
    return file_notebook


def carry(one, another, **asked):
    return take_in(another, read_archive(archive_text(one)), **asked)


def test_an_empty_notebook_becomes_the_other_one(notebook, other):
    assert carry(other, notebook, only_if_empty=True) == Counts(new=7, longer=0, same=0)
    assert archive_text(notebook) == archive_text(other)
    assert notebook.entry(PRINTER).is_withdrawn
    assert [one.id for one in notebook.entries("group")] == [GROUP]


def test_a_second_time_changes_nothing(notebook, other):
    carry(other, notebook)
    assert carry(other, notebook) == Counts(new=0, longer=0, same=7)
    assert archive_text(notebook) == archive_text(other)


def test_the_longer_history_is_taken_and_the_shorter_left(notebook, other):
    carry(other, notebook)
    egret = KeptRig("b = 1\n", "Egret")
    other.save(RIG, egret, seen=2, now=LATER)
    other.save(RIG, BODIES[RIG], seen=3, now=LATER)
    other.withdraw(RIG, seen=4, now=LATER)
    notebook.save(SESSION, replace(BODIES[SESSION], note="calm"), seen=1, now=LATER)
    assert carry(other, notebook) == Counts(new=0, longer=1, same=6)
    assert notebook.history(RIG) == other.history(RIG)
    assert notebook.entry(RIG).is_withdrawn
    assert notebook.entry(SESSION).body.note == "calm"
    # and the way back brings the session
    assert carry(notebook, other) == Counts(new=0, longer=1, same=6)
    assert archive_text(notebook) == archive_text(other)


def test_a_mark_of_withdrawal_alone_does_not_travel(notebook, other):
    carry(other, notebook)
    other.withdraw(RIG, seen=2, now=LATER)
    carry(other, notebook)
    assert not notebook.entry(RIG).is_withdrawn


def test_histories_that_differ_are_refused_by_name_and_nothing_is_taken_in(notebook, other):
    carry(other, notebook)
    notebook.save(SESSION, replace(BODIES[SESSION], note="calm"), seen=1, now=LATER)
    other.save(SESSION, replace(BODIES[SESSION], note="storm"), seen=1, now=LATER)
    other.add(KeptRig("b = 1\n", "Egret"), entry_id=some_id(50), now=LATER)
    before = archive_text(notebook)
    with pytest.raises(BadArchive, match=f"session {SESSION} of rig 'Heron': from version 2 on"):
        carry(other, notebook)
    assert archive_text(notebook) == before


def test_another_thing_under_the_same_id_is_refused(notebook, other):
    notebook.add(KeptRig("b = 1\n", "Egret"), entry_id=SESSION, now=NOW)
    with pytest.raises(BadArchive, match=f"session {SESSION} of rig 'Heron': from version 1 on"):
        carry(other, notebook)
    with pytest.raises(BadArchive, match=f"session {SESSION} of rig"):
        carry(other, notebook)
    assert len(notebook.entries("rig")) == 1


def test_a_printer_that_differs_is_named_without_a_rig(notebook, other):
    notebook.add(replace(BODIES[PRINTER], name="shed"), entry_id=PRINTER, now=NOW)
    with pytest.raises(BadArchive, match=f"printer {PRINTER}: from version 1"):
        carry(other, notebook)


def test_a_notebook_that_is_to_be_empty_must_be(notebook, other):
    notebook.add(BODIES[JOB], entry_id=JOB, now=NOW)
    with pytest.raises(BadInput, match="not empty"):
        carry(other, notebook, only_if_empty=True)
    assert notebook.entries("rig") == ()


def test_whole_numbers_typed_for_lengths_are_no_difference(notebook, other):
    body = replace(BODIES[PRINTER], across_mm=99, down_mm=101)
    other.add(body, entry_id=some_id(60), now=NOW)
    carry(other, notebook)
    assert carry(other, notebook).same == 8
    assert carry(notebook, other).same == 8


def test_hundreds_of_entries_go_in_at_once(notebook, other):
    sessions = [
        Write(some_id(1000 + number), BODIES[SESSION], rig_id=RIG) for number in range(1100)
    ]
    other.save_all(sessions, LATER)
    assert carry(other, notebook) == Counts(new=1107, longer=0, same=0)
    assert carry(other, notebook) == Counts(new=0, longer=0, same=1107)
    assert archive_text(notebook) == archive_text(other)


def test_somebody_who_saves_in_the_same_moment_is_not_overrun(notebook, other, monkeypatch):
    carry(other, notebook)
    other.save(RIG, BODIES[RIG], seen=2, now=LATER)
    earlier = {one.id: one for one in archive_of(notebook).histories}
    notebook.save(RIG, KeptRig("b = 1\n", "Egret"), seen=2, now=LATER)
    monkeypatch.setattr(taking_in, "_ours", lambda *_: earlier)  # read before that save
    with pytest.raises(NotebookUnusable, match="same moment"):
        carry(other, notebook)
    with notebook.reading() as connection:
        (now,) = standing(connection, {RIG}).values()
    before = {RIG: now._replace(latest=2)}
    monkeypatch.setattr(taking_in, "standing", lambda *_: before)  # read before that save, too
    with pytest.raises(NotebookUnusable, match=r"same moment.*Import again"):
        carry(other, notebook)
    monkeypatch.setattr(taking_in, "_ours", lambda *_: {})  # read before anything was there
    with pytest.raises(NotebookUnusable, match=r"same moment.*Import again"):
        carry(other, notebook)
    assert notebook.entry(RIG).body.name == "Egret"


HOUSE = some_id(30)


def test_a_tape_goes_with_its_rig(notebook, other):
    tape = KeptTape('{"schema": "tapewright.tape/1"}', 0, "2026-11-25")
    other.add(tape, rig_id=RIG, entry_id=some_id(31), now=NOW)
    assert carry(other, notebook) == Counts(new=8, longer=0, same=0)
    assert [one.body for one in notebook.entries("tape", RIG)] == [tape]
    assert archive_text(notebook) == archive_text(other)


def test_a_parked_group_goes_with_its_rig(notebook, other):
    parked = KeptParked(some_id(32), '{"id": "x", "fields": {}}', "its name is taken")
    other.add(parked, rig_id=RIG, entry_id=some_id(31), now=NOW)
    assert carry(other, notebook) == Counts(new=8, longer=0, same=0)
    assert [one.body for one in notebook.entries("parked", RIG)] == [parked]
    assert archive_text(notebook) == archive_text(other)


def test_a_set_up_record_and_its_picture_go_with_their_rig(notebook, other):
    record = KeptSetup('[limbs]\nbrace_height = "178 mm ± 1"\n', "2026-11-25")
    picture = KeptSetup("", "2026-11-25", picture="/9j/4A==")
    for number, one in ((31, record), (32, picture)):
        other.add(one, rig_id=RIG, entry_id=some_id(number), now=NOW)
    assert carry(other, notebook) == Counts(new=9, longer=0, same=0)
    assert [one.body for one in notebook.entries("setup", RIG)] == [record, picture]
    assert archive_text(notebook) == archive_text(other)


def housed(notebook, name="Reed Lane"):
    notebook.add(KeptHouse(f'name = "{name}"\n', name), entry_id=HOUSE, now=NOW)


def test_house_values_stand_in_an_empty_notebook(notebook, other):
    housed(other)
    assert carry(other, notebook) == Counts(new=8, longer=0, same=0)
    assert not notebook.entry(HOUSE).is_withdrawn
    assert archive_text(notebook) == archive_text(other)


def test_house_values_from_elsewhere_lie_aside_where_rigs_are(notebook, other):
    housed(other)
    notebook.add(KeptRig('name = "Wren"', "Wren"), entry_id=some_id(40), now=NOW)
    assert carry(other, notebook) == Counts(new=8, longer=0, same=0, houses_aside=1)
    assert notebook.entries("house") == ()
    assert notebook.entry(HOUSE).is_withdrawn
    assert carry(other, notebook) == Counts(new=0, longer=0, same=8)


def test_later_versions_leave_house_values_where_they_lie(notebook, other):
    housed(other)
    notebook.add(KeptRig('name = "Wren"', "Wren"), entry_id=some_id(40), now=NOW)
    carry(other, notebook)
    other.save(HOUSE, KeptHouse('name = "Reed"\n', "Reed"), seen=1, now=LATER)
    assert carry(other, notebook).longer == 1
    assert notebook.entry(HOUSE).body.name == "Reed"
    assert notebook.entries("house") == ()
    notebook.restore(HOUSE, seen=2, now=LATER)
    other.save(HOUSE, KeptHouse('name = "Rill"\n', "Rill"), seen=2, now=LATER)
    assert carry(other, notebook).longer == 1
    assert [one.body.name for one in notebook.entries("house")] == ["Rill"]


def test_house_values_of_two_notebooks_do_not_meet(notebook, other):
    housed(other)
    notebook.add(KeptHouse('name = "Mill End"\n', "Mill End"), entry_id=some_id(41), now=LATER)
    carry(other, notebook)
    assert [one.body.name for one in notebook.entries("house")] == ["Mill End"]

# ruff: noqa: S608
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
)

from tapewright.ground.errors import NotebookDamaged, NotKept
from tapewright.storage.archive import archive_text
from tapewright.storage.entries import Source
from tapewright.storage.sums import new_salt, salted_sum, tally_sum, version_sum


def test_a_salted_sum_does_not_betray_its_body_and_the_chain_needs_no_body():
    one, other = (salted_sum(new_salt(), "same") for _ in range(2))
    assert one != other
    assert len({new_salt() for _ in range(100)}) == 100
    before = version_sum(RIG, 1, "then", (), None, one)
    after = version_sum(RIG, 2, "then", (Source(GROUP, 1),), before, other)
    # whoever keeps the salted sum in place of the erased body works out the same sums
    assert version_sum(RIG, 2, "then", (Source(GROUP, 1),), before, other) == after


def test_every_cell_of_a_version_counts():
    sums = {
        version_sum(RIG, 1, "then", (), None, "a"),
        version_sum(GROUP, 1, "then", (), None, "a"),
        version_sum(RIG, 2, "then", (), None, "a"),
        version_sum(RIG, 1, "later", (), None, "a"),
        version_sum(RIG, 1, "then", (Source(GROUP, 1),), None, "a"),
        version_sum(RIG, 1, "then", (Source(GROUP, 2),), None, "a"),
        version_sum(RIG, 1, "then", (), "b", "a"),
        version_sum(RIG, 1, "then", (), None, "b"),
    }
    assert len(sums) == 8


def test_what_nobody_wrote_fits_nothing():
    assert tally_sum("rig", 1, b"{}") == "unreadable"
    assert tally_sum("rig", 1.0, "{}") == "unreadable"
    assert salted_sum("0", "\ud800") == "unreadable"


LATER = "2026-11-26T09:30:00.000000+00:00"
EGRET = "UPDATE version SET body = replace(body, 'Heron', 'Egret')"
ASKED = {
    "the rig": lambda n: n.entry(RIG),
    "its first version": lambda n: n.entry(RIG, 1),
    "its history": lambda n: n.history(RIG),
    "rigs": lambda n: n.entries("rig"),
    "printers put aside": lambda n: n.entries("printer", withdrawn=True),
    "groups": lambda n: n.entries("group", RIG),
    "sessions": lambda n: n.entries("session", RIG),
    "the newest calibration": lambda n: n.newest("calibration", RIG),
    "the calibration": lambda n: n.entry(CALIBRATION),
    "newest of each": lambda n: n.latest("session", (RIG,)),
    "a save": lambda n: n.save(RIG, BODIES[RIG], seen=2, now=NOW),
    "another session": lambda n: n.add(BODIES[SESSION], entry_id=some_id(9), now=NOW, rig_id=RIG),
    "the printer": lambda n: n.entry(PRINTER),
    "an archive": archive_text,
}


@pytest.mark.parametrize(
    ("line", "asked"),
    [
        (f"{EGRET} WHERE entry_id = '{RIG}' AND number = 2",
         ("the rig", "its history", "rigs", "an archive")),
        (f"{EGRET} WHERE entry_id = '{RIG}' AND number = 1",
         ("its first version", "its history", "an archive")),
        (f"UPDATE version SET saved_at = '{LATER}' WHERE entry_id = '{RIG}' AND number = 2",
         ("the rig", "rigs")),
        (f"DELETE FROM version WHERE entry_id = '{RIG}' AND number = 2",
         ("the rig", "its history", "rigs", "a save", "an archive")),
        (f"DELETE FROM version WHERE entry_id = '{RIG}' AND number = 1",
         ("the rig", "its first version", "its history", "an archive")),
        (f"DELETE FROM entry WHERE id = '{GROUP}'", ("groups", "an archive")),
        (f"DELETE FROM entry WHERE id = '{PRINTER}'",
         ("the printer", "printers put aside", "an archive")),
        (f"DELETE FROM made_from WHERE source_id = '{GROUP}'",
         ("the calibration", "the newest calibration", "an archive")),
        (f"UPDATE made_from SET source_number = 1 WHERE source_id = '{RIG}'",
         ("the calibration",)),
        (f"UPDATE entry SET kind = 'group' WHERE id = '{SESSION}'",
         ("sessions", "groups", "newest of each")),
        (f"UPDATE entry SET withdrawn_at = NULL WHERE id = '{PRINTER}'",
         ("the printer", "printers put aside")),
        (f"UPDATE entry SET latest = 1 WHERE id = '{RIG}'", ("the rig", "its history", "a save")),
        (f"UPDATE entry SET added_at = '{LATER}' WHERE id = '{RIG}'",
         ("the rig", "rigs")),
        (f"DELETE FROM tally WHERE scope = '{RIG}'",
         ("groups", "sessions", "another session", "an archive")),
        ("DELETE FROM tally WHERE scope = 'rig'", ("rigs", "an archive")),
        (f"UPDATE tally SET counts = replace(counts, '1', '2') WHERE scope = '{RIG}'",
         ("groups", "another session")),
    ],
)  # fmt: skip
def test_neither_a_changed_row_nor_a_lost_one_passes(notebook, notebook_url, line, asked):
    fill(notebook)
    say_behind(notebook_url, line)
    for one in asked:
        with pytest.raises(NotebookDamaged, match="tapewright check says what is sound"):
            ASKED[one](notebook)


def test_an_entry_lost_with_every_row_of_it_is_missed(notebook, notebook_url):
    fill(notebook)
    say_behind(
        notebook_url,
        f"DELETE FROM made_from WHERE entry_id = '{CALIBRATION}' OR source_id = '{CALIBRATION}'",
        f"DELETE FROM version WHERE entry_id = '{CALIBRATION}'",
        f"DELETE FROM entry WHERE id = '{CALIBRATION}'",
    )
    for one in ("the newest calibration", "the calibration", "an archive"):
        with pytest.raises(NotebookDamaged):
            ASKED[one](notebook)


def test_what_was_never_there_is_still_said_not_to_be_kept(notebook):
    fill(notebook)
    for ask in (
        lambda: notebook.entry(some_id(99)),
        lambda: notebook.entry(RIG, 3),
        lambda: notebook.history(some_id(99)),
        lambda: notebook.withdraw(some_id(99), seen=1, now=NOW),
    ):
        with pytest.raises(NotKept):
            ask()
    assert notebook.entries("group", some_id(99)) == ()


def test_what_is_written_after_every_kind_of_step_fits_its_sums(notebook):
    fill(notebook)
    notebook.restore(PRINTER, seen=1, now=NOW)
    notebook.save(PRINTER, BODIES[PRINTER], seen=1, now=NOW)
    notebook.withdraw(PRINTER, seen=2, now=NOW)
    notebook.withdraw(RIG, seen=2, now=NOW)
    notebook.restore(RIG, seen=2, now=NOW)
    job = notebook.take_job("me", NOW, 60.0)
    notebook.finish_job(job, "done", NOW)
    for one in notebook.entries("rig"):
        assert notebook.history(one.id)
    assert len(notebook.entries("printer", withdrawn=True)) == 1
    assert len(notebook.entries("job", withdrawn=True)) == 1
    assert archive_text(notebook)

"""What is judged of a rig is kept for the very sheet it was judged of, and for no other."""

from dataclasses import replace
from datetime import timedelta

import pytest
from notebooks import NOW, RIG, SESSION, fill, some_id
from sqlalchemy import text

from tapewright.ground.errors import NotebookDamaged, NotebookUnusable
from tapewright.storage.archive import archive_text, read_archive
from tapewright.storage.check import check_notebook
from tapewright.storage.entries import RigsAsked, Write
from tapewright.storage.notebook import open_notebook
from tapewright.storage.records import KeptRig
from tapewright.storage.taking_in import take_in

WREN, EGRET = some_id(90), some_id(91)
LATER = NOW + timedelta(days=1)


def judge(kept):
    """Whose sheet it is, and how many letters it has: unequal for every sheet below."""
    return f"{kept.name}: {len(kept.sheet)}"


@pytest.fixture
def judged(notebook):
    """A notebook with a judge and two rigs."""
    notebook.judge = judge
    notebook.save_all(
        [Write(WREN, KeptRig("a", "Wren")), Write(EGRET, KeptRig("bb", "Egret"))], NOW
    )
    return notebook


@pytest.fixture(params=[0, 200], ids=["long", "short"], autouse=True)
def _every_list(request, monkeypatch):
    monkeypatch.setattr("tapewright.storage.lists.WHOLLY_READ", request.param)


def of_list(notebook, **asked):
    return {one.id: one.verdict for one in notebook.rigs(RigsAsked(**asked)).rigs}


def test_what_is_judged_when_a_rig_is_saved_stands_in_every_list(judged):
    assert of_list(judged) == {EGRET: "Egret: 2", WREN: "Wren: 1"}
    assert judged.entry(WREN).verdict == "Wren: 1"
    assert {one.id: one.verdict for one in judged.entries("rig")} == of_list(judged)
    judged.withdraw(WREN, seen=1, now=LATER)
    assert of_list(judged, withdrawn=True) == {WREN: "Wren: 1"}
    judged.restore(WREN, seen=1, now=LATER)
    assert of_list(judged)[WREN] == "Wren: 1"


def test_a_new_sheet_is_judged_anew_and_the_old_one_no_more(judged):
    saved = judged.save(WREN, KeptRig("abc", "Wren"), seen=1, now=LATER)
    assert saved.verdict == "Wren: 3"
    assert [one.verdict for one in judged.history(WREN)] == ["Wren: 3", ""]
    assert judged.entry(WREN, 1).verdict == ""
    assert judged.entry(WREN, 2) == saved


def test_a_sheet_saved_without_a_judge_has_no_verdict(judged):
    judged.judge = None
    assert judged.save(WREN, KeptRig("abc", "Wren"), seen=1, now=LATER).verdict == ""
    assert of_list(judged) == {EGRET: "Egret: 2", WREN: ""}
    assert check_notebook(judged).is_sound


def test_nothing_but_a_rig_is_judged(judged):
    fill(judged)
    assert judged.entry(SESSION).verdict == ""
    assert judged.entry(RIG).verdict == f"Heron: {len(judged.entry(RIG).body.sheet)}"


def test_rigs_taken_in_are_judged(judged, tmp_path):
    other = open_notebook(f"sqlite:///{tmp_path}/other.db")
    for number, sheet in enumerate(("a" * 5, "a" * 6)):
        other.save_all([Write(RIG, KeptRig(sheet, "Heron"), number)], NOW)
        take_in(judged, read_archive(archive_text(other)))
        assert judged.entry(RIG).verdict == ("Heron: 5", "Heron: 6")[number]
    other.close()
    assert check_notebook(judged).is_sound


def test_a_verdict_passed_later_is_kept(notebook):
    notebook.add(KeptRig("a", "Wren"), entry_id=WREN, now=NOW)
    seen = notebook.entry(WREN)
    assert seen.verdict == ""
    notebook.keep_verdicts([replace(seen, verdict="late")])
    assert of_list(notebook) == {WREN: "late"}
    assert check_notebook(notebook).is_sound


def test_a_verdict_on_a_sheet_that_was_changed_meanwhile_is_not_kept(judged):
    seen = judged.entry(WREN)
    judged.save(WREN, KeptRig("abc", "Wren"), seen=1, now=LATER)
    judged.keep_verdicts(
        [replace(seen, verdict="stale"), replace(judged.entry(EGRET), verdict="new")]
    )
    assert of_list(judged) == {EGRET: "new", WREN: "Wren: 3"}
    judged.keep_verdicts([replace(seen, id=some_id(99))])  # nor that of a rig that is not there
    assert check_notebook(judged).is_sound


def test_whoever_saves_goes_first(judged):
    seen = judged.entry(WREN)
    with judged._turn:  # noqa: SLF001 — a long import has it
        judged.keep_verdicts([replace(seen, verdict="late")])
    assert judged.entry(WREN).verdict == "Wren: 1"


def test_nothing_is_kept_where_nobody_may_write(judged):
    judged.is_read_only = True
    with pytest.raises(NotebookUnusable, match="only be read"):
        judged.keep_verdicts([judged.entry(WREN)])


@pytest.mark.parametrize(
    "wrong",
    [
        "verdict = 'Wren: 2'",
        "verdict = NULL",
        "verdict_sum = NULL",
        "(verdict, verdict_sum) = (SELECT verdict, verdict_sum FROM entry WHERE id = '{other}')",
    ],
)
def test_a_verdict_that_is_not_what_was_written_is_told(judged, wrong):
    line = f"UPDATE entry SET {wrong.format(other=EGRET)} WHERE id = '{WREN}'"  # noqa: S608
    with judged.writing() as connection:
        assert connection.execute(text(line)).rowcount == 1
    told = f"rig {WREN}: what is kept of it for the list is not what was written"
    for ask in (lambda: judged.rigs(RigsAsked()), lambda: judged.entry(WREN)):
        with pytest.raises(NotebookDamaged, match=told):
            ask()
    faults = check_notebook(judged).faults
    assert [f"{one.where}: {one.wrong}" for one in faults] == [told]


def test_a_verdict_on_what_is_no_rig_is_told(judged):
    fill(judged)
    line = f"UPDATE entry SET verdict = 'x' WHERE id = '{SESSION}'"  # noqa: S608
    with judged.writing() as connection:
        assert connection.execute(text(line)).rowcount == 1
    with pytest.raises(NotebookDamaged, match=f"session {SESSION}: what is kept of it for the"):
        judged.entry(SESSION)
    assert [one.where for one in check_notebook(judged).faults] == [f"session {SESSION}"]


def test_an_archive_holds_no_verdict(judged):
    assert "Wren: 1" not in archive_text(judged)

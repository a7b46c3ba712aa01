"""Many at once: nobody's work is lost, and nobody does another's."""

from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from itertools import chain, pairwise
from random import Random

import pytest
from crowd import edit_by_turns, work
from notebooks import NOW, RIG, some_id

from tapewright.ground.errors import EditedMeanwhile
from tapewright.storage import writing
from tapewright.storage.entries import Write
from tapewright.storage.notebook import open_notebook
from tapewright.storage.records import KeptJob, KeptRig


def test_eight_threads_on_one_entry_lose_nothing(notebook):
    notebook.add(KeptRig("0", "Heron"), entry_id=RIG, now=NOW)

    def edit(worker):
        confirmed = []
        for turn in range(12):
            seen = notebook.entry(RIG)
            words = f"{worker}.{turn}"
            try:
                kept = notebook.save(
                    RIG, KeptRig(words, seen.body.sheet), seen=seen.number, now=NOW
                )
            except EditedMeanwhile:
                pass
            else:
                confirmed.append((kept.number, words, seen.body.sheet))
        return confirmed

    with ThreadPoolExecutor(8) as pool:
        confirmed = sorted(chain(*pool.map(edit, range(8))))
    history = notebook.history(RIG)[::-1]
    assert len(confirmed) == history[-1].number - 1
    # every version stands on the one that its writer saw, and says what its writer wrote
    told = [(one.number, one.body.sheet, one.body.name) for one in history[1:]]
    assert told == confirmed
    assert all(after.body.name == before.body.sheet for before, after in pairwise(history))


def test_processes_on_one_entry_lose_nothing(notebook, notebook_url, fork):
    notebook.add(KeptRig("0", "Heron"), entry_id=RIG, now=NOW)
    with fork.Pool(4) as pool:
        kept = pool.starmap(edit_by_turns, [(notebook_url, RIG, 15)] * 4)
    assert any(kept)
    assert sum(kept) == notebook.entry(RIG).number - 1


def test_every_job_is_done_exactly_once_by_several_processes(notebook, notebook_url, fork):
    jobs = [some_id(number) for number in range(40)]
    notebook.save_all([Write(job, KeptJob("calibrate")) for job in jobs], NOW)
    with fork.Pool(4) as pool:
        done = pool.starmap(work, [(notebook_url, str(worker)) for worker in range(4)])
    assert sorted(chain(*done)) == jobs
    assert notebook.entries("job") == ()
    for job in jobs:
        states = [one.body.state for one in notebook.history(job)]
        assert states == ["done", "taken", "waiting"]


def test_two_who_save_several_things_crosswise_do_not_block_each_other(notebook):
    rigs = [some_id(number) for number in range(6)]
    notebook.save_all([Write(rig, KeptRig("0", "Heron")) for rig in rigs], NOW)

    def edit(worker):
        chance, confirmed = Random(worker), 0
        for _ in range(15):
            chosen = chance.sample(rigs, 3)
            seen = [notebook.entry(rig).number for rig in chosen]
            writes = [
                Write(rig, KeptRig(str(worker), "Heron"), number)
                for rig, number in zip(chosen, seen, strict=True)
            ]
            try:
                notebook.save_all(writes, NOW)
                confirmed += 1
            except EditedMeanwhile:
                pass
        return confirmed

    with ThreadPoolExecutor(6) as pool:
        confirmed = sum(pool.map(edit, range(6)))
    assert confirmed
    assert sum(notebook.entry(rig).number - 1 for rig in rigs) == 3 * confirmed


def test_two_forms_with_one_id_are_kept_once(notebook):
    def add(worker):
        try:
            return notebook.add(KeptRig(str(worker), "Heron"), entry_id=RIG, now=NOW)
        except EditedMeanwhile as told:
            return told.newer

    with ThreadPoolExecutor(8) as pool:
        assert len(set(pool.map(add, range(8)))) == 1
    assert len(notebook.history(RIG)) == 1


def test_an_id_that_was_added_while_we_looked_is_seen_at_the_second_look(notebook, monkeypatch):
    first = notebook.add(KeptRig("0", "Heron"), entry_id=RIG, now=NOW)
    early = iter([True])
    look = writing.standing
    monkeypatch.setattr(
        writing, "standing", lambda *asked: {} if next(early, False) else look(*asked)
    )
    with pytest.raises(EditedMeanwhile) as told:
        notebook.add(KeptRig("1", "Heron"), entry_id=RIG, now=NOW + timedelta(seconds=1))
    assert told.value.newer == first


def test_several_programs_may_have_one_notebook_open(notebook, notebook_url):
    another = open_notebook(notebook_url)
    notebook.add(KeptRig("0", "Heron"), entry_id=RIG, now=NOW)
    another.save(RIG, KeptRig("1", "Heron"), seen=1, now=NOW)
    assert notebook.entry(RIG).body.sheet == "1"
    another.close()

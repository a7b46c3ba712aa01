from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from itertools import count
from threading import Lock

import pytest
from notebooks import NOW, some_id

from tapewright.ground.errors import CalibrationFailed, NotebookUnusable
from tapewright.services.refit_kept import ask_for_refits, open_refits, work_off
from tapewright.storage.records import KeptJob, KeptRig

LEASE_S = 120.0  # who is silent for two minutes has died


@pytest.fixture
def ids():
    numbers = count(1000)
    return lambda: some_id(next(numbers))


@pytest.fixture
def rigs(notebook):
    kept = [some_id(900 + number) for number in range(6)]
    for rig_id in kept:
        notebook.add(KeptRig('name = "A"\n', "A"), now=NOW, entry_id=rig_id)
    return kept


def clock():
    return NOW


def test_every_rig_becomes_one_job_however_often_it_is_asked_for(notebook, rigs, ids):
    assert ask_for_refits(notebook, NOW, ids) == 6
    assert ask_for_refits(notebook, NOW, ids) == 0
    assert sorted(job.rig_id for job in open_refits(notebook)) == sorted(rigs)


def test_jobs_are_worked_off_and_nothing_is_left(notebook, rigs, ids):
    ask_for_refits(notebook, NOW, ids)
    done = []
    assert work_off(notebook, lambda rig: done.append(rig) or "done", "one", clock) == 6
    assert sorted(done) == sorted(rigs)
    assert open_refits(notebook) == ()
    assert work_off(notebook, done.append, "one", clock) == 0


def test_several_workers_share_the_work_and_do_none_twice(notebook, rigs, ids):
    ask_for_refits(notebook, NOW, ids)
    done, lock = [], Lock()

    def refit(rig_id):
        with lock:
            done.append(rig_id)
        return "done"

    def worker(name):
        return work_off(notebook, refit, name, clock)

    with ThreadPoolExecutor(4) as pool:
        shares = list(pool.map(worker, ["a", "b", "c", "d"]))
    # A worker may go home while another still holds the last job: all are done, none twice.
    assert sorted(done) == sorted(rigs)
    assert sum(shares) == 6


def test_a_rig_that_fails_says_why_and_the_rest_goes_on(notebook, rigs, ids):
    ask_for_refits(notebook, NOW, ids)

    def refit(rig_id):
        if rig_id == rigs[2]:
            raise CalibrationFailed("It does not settle", "Look at the sheet")
        if rig_id == rigs[3]:
            raise ZeroDivisionError("by zero")
        return "done"

    assert work_off(notebook, refit, "one", clock) == 6
    told = {
        job.rig_id: (job.body.state, job.body.told)
        for job in notebook.entries("job", withdrawn=True)
    }
    assert told[rigs[2]] == ("failed", "It does not settle. Look at the sheet.")
    assert told[rigs[3]] == ("failed", "Unexpected fault: ZeroDivisionError: by zero")
    assert told[rigs[0]] == ("done", "done")


def test_a_job_whose_worker_died_is_done_by_another_later(notebook, rigs, ids):
    ask_for_refits(notebook, NOW, ids)
    assert notebook.take_job("dead", NOW, LEASE_S) is not None
    assert work_off(notebook, lambda _: "done", "one", clock) == 5

    def later():
        return NOW + timedelta(seconds=LEASE_S + 1)

    assert work_off(notebook, lambda _: "done", "two", later) == 1
    assert open_refits(notebook) == ()
    assert len(rigs) == 6


def test_a_worker_thought_dead_does_not_count_what_another_took_over(notebook, ids):
    notebook.add(KeptRig('name = "A"\n', "A"), now=NOW, entry_id=some_id(900))
    ask_for_refits(notebook, NOW, ids)
    later = NOW + timedelta(seconds=LEASE_S + 1)

    def slow(_):
        assert notebook.take_job("other", later, LEASE_S) is not None
        return "done"

    assert work_off(notebook, slow, "slow", clock) == 0
    (job,) = open_refits(notebook)
    assert job.body.worker == "other"


def test_an_unusable_notebook_leaves_the_job_for_later(notebook, rigs, ids):
    ask_for_refits(notebook, NOW, ids)

    def refit(_):
        raise NotebookUnusable("disk", "it is full", "Make room")

    with pytest.raises(NotebookUnusable):
        work_off(notebook, refit, "one", clock)
    assert len(open_refits(notebook)) == len(rigs)


def test_work_that_nobody_knows_is_refused_in_words(notebook, ids):
    notebook.add(KeptJob("something else"), now=NOW, entry_id=ids())
    assert work_off(notebook, lambda _: "done", "one", clock) == 1
    (job,) = notebook.entries("job", withdrawn=True)
    assert job.body.told == "This program does not know such work."

from datetime import timedelta

import pytest
from notebooks import JOB, NOW, fill, some_id

from tapewright.ground.errors import EditedMeanwhile
from tapewright.storage.jobs import ripe_jobs, take_one
from tapewright.storage.records import KeptJob


def after(seconds):
    return NOW + timedelta(seconds=seconds)


def test_a_job_is_taken_by_one_worker_only(notebook):
    fill(notebook)
    job = notebook.take_job("first", NOW, 60.0)
    assert job.body == KeptJob("calibrate", "taken", "2026-11-25T09:31:00.000000+00:00", "first")
    assert notebook.entry(JOB) == job
    assert notebook.take_job("second", after(1), 60.0) is None


def test_the_longest_waiting_job_comes_first(notebook):
    for number, seconds in ((1, 5), (2, 3), (3, 4)):
        notebook.add(KeptJob(str(number)), entry_id=some_id(number), now=after(seconds))
    taken = [notebook.take_job("worker", after(9), 60.0).body.what for _ in range(3)]
    assert taken == ["2", "3", "1"]
    assert notebook.take_job("worker", after(9), 60.0) is None


def test_a_worker_that_fell_silent_is_relieved_and_told_when_it_comes_back(notebook):
    fill(notebook)
    silent = notebook.take_job("first", NOW, 60.0)
    taken = notebook.take_job("second", after(61), 60.0)
    assert (taken.id, taken.body.worker) == (JOB, "second")
    with pytest.raises(EditedMeanwhile):
        notebook.finish_job(silent, "done at last", after(62))
    notebook.finish_job(taken, "done", after(63))
    assert notebook.entry(JOB).body.told == "done"


@pytest.mark.parametrize(("failed", "state"), [(False, "done"), (True, "failed")])
def test_a_finished_job_is_put_away_with_what_it_told(notebook, failed, state):
    fill(notebook)
    done = notebook.finish_job(
        notebook.take_job("first", NOW, 60.0), "all is well", after(1), failed=failed
    )
    assert (done.body.state, done.body.told, done.is_withdrawn) == (state, "all is well", True)
    assert notebook.entry(JOB) == done
    assert notebook.entries("job") == ()
    assert notebook.entries("job", withdrawn=True) == (done,)
    assert notebook.take_job("second", after(999), 60.0) is None


def test_a_job_that_was_taken_between_looking_and_taking_is_left(notebook):
    fill(notebook)
    with notebook.reading() as connection:
        ripe = ripe_jobs(connection, NOW)
    assert notebook.take_job("quick", NOW, 60.0) is not None
    with notebook.writing() as connection:
        assert take_one(connection, ripe, "slow", NOW, 60.0) is None

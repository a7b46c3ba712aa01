import os
import signal
import sys
from contextlib import contextmanager

import pieces_of_work as given
import pytest
from clusters import running

from tapewright.ground.errors import BadInput, MissingExtra
from tapewright.services import by_cluster
from tapewright.services.share_work import GivenUp, shared_by_cluster


def test_without_its_extra_a_cluster_is_refused(monkeypatch):
    monkeypatch.setitem(sys.modules, "distributed", None)
    with pytest.raises(MissingExtra, match=r"run --with cluster$"):
        next(shared_by_cluster(given.double, [1], "localhost:1"))


def test_a_cluster_that_does_not_answer_is_refused(monkeypatch):
    pytest.importorskip("distributed")
    monkeypatch.setattr(by_cluster, "SOON_S", 0.3)
    with pytest.raises(BadInput, match=r"no cluster answers at 'tcp://127\.0\.0\.1:9'"):
        next(shared_by_cluster(given.double, [1], "tcp://127.0.0.1:9"))


@contextmanager
def within(workers):
    """Address of a cluster inside this process."""
    distributed = pytest.importorskip("distributed")
    with distributed.LocalCluster(
        n_workers=workers, threads_per_worker=2, processes=False, dashboard_address=None,
        silence_logs=50,
    ) as cluster:  # fmt: skip
        yield cluster.scheduler_address


def test_every_piece_is_done_once_by_a_cluster():
    with within(1) as address:
        done = list(shared_by_cluster(given.double, range(30), address))
    assert sorted(done) == [(number, 2 * number) for number in range(30)]


def test_what_raises_on_a_cluster_is_told_with_its_piece():
    with within(1) as address:
        done = dict(shared_by_cluster(given.raise_at_three, range(6), address))
    assert done.pop(3) == GivenUp("It could not be worked on: ZeroDivisionError: three.")
    assert done == {0: 0, 1: 2, 2: 4, 4: 8, 5: 10}


def test_a_cluster_without_a_worker_is_refused(monkeypatch):
    with within(0) as address:
        monkeypatch.setattr(by_cluster, "SOON_S", 1.0)
        with pytest.raises(BadInput, match=r"cluster: the cluster has no worker\. Start workers"):
            next(shared_by_cluster(given.double, [1], address))


@pytest.mark.parametrize("told", [given.double_with_older_version, given.fail_for_want_of_a_module])
def test_a_worker_of_another_version_is_refused_whenever_it_came(monkeypatch, told):
    monkeypatch.setattr(by_cluster, "told_with_version", told)
    with within(1) as address, pytest.raises(BadInput, match=r"not every worker has Tapewright"):
        list(shared_by_cluster(given.double, range(6), address))


def test_a_cluster_that_finishes_nothing_is_not_waited_for_for_ever(monkeypatch):
    monkeypatch.setattr(by_cluster, "PATIENCE_S", 0.6)
    monkeypatch.setattr(by_cluster, "STEP_S", 0.2)
    with within(1) as address, pytest.raises(BadInput, match=r"no worker finished a rig for 0 min"):
        list(shared_by_cluster(given.double_in_two_seconds, range(6), address))


@pytest.mark.skipif(sys.platform == "win32", reason="signals of POSIX")
@pytest.mark.parametrize(
    ("harm", "said"),
    [
        (signal.SIGSTOP, r"cluster: its scheduler no longer answers\. Run the same command"),
        (signal.SIGKILL, r"cluster: the cluster went away in the middle\. Run the same command"),
    ],
)
def test_a_scheduler_that_stops_or_dies_is_told_of(monkeypatch, tmp_path, harm, said):
    pytest.importorskip("distributed")
    with running(tmp_path, workers=1) as cluster:
        shared = shared_by_cluster(given.double, range(10_000), cluster.address)
        assert next(shared)[1] is not None
        monkeypatch.setattr(by_cluster, "SOON_S", 2.0)
        monkeypatch.setattr(by_cluster, "STEP_S", 0.5)
        os.kill(cluster.scheduler.pid, harm)
        with pytest.raises(BadInput, match=said):
            list(shared)


@pytest.mark.skipif(sys.platform == "win32", reason="signals of POSIX")
def test_a_piece_that_always_kills_its_worker_is_given_up_by_a_cluster_and_no_other(tmp_path):
    pytest.importorskip("distributed")
    with running(tmp_path, workers=1, deaths=0) as cluster:
        done = dict(shared_by_cluster(given.double_but_not_seven, range(12), cluster.address))
    assert isinstance(done.pop(7), GivenUp)
    assert done == {number: 2 * number for number in range(12) if number != 7}

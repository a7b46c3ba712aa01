"""A shop refits its rigs while workers are killed, by the real program in processes of its own."""

import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest
from many_rigs import write_rigs
from processes import descendants, when

RIGS = 6
pytestmark = pytest.mark.skipif(not Path("/proc/self/stat").exists(), reason="looks at /proc")


def command(folder, out, *more):
    words = [folder / "rigs", "--out", out, "--date", "2026-11-25", *more]
    return [sys.executable, "-m", "tapewright", "batch", *map(str, words)]


def files_in(folder):
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file() and not path.name.endswith(".part")
    }


@pytest.fixture(scope="module")
def shop(tmp_path_factory):
    """A folder of rigs, one of them bad, and what one worker makes of it undisturbed."""
    folder = tmp_path_factory.mktemp("shop")
    write_rigs(folder / "rigs", RIGS, groups=4, arrows=4)
    (folder / "rigs" / "bad.toml").write_text("schema = 1\n[arrow]\n", encoding="utf-8")
    done = subprocess.run(command(folder, folder / "quiet", "--workers", "1"), check=False)
    assert done.returncode == 1  # the bad one
    return folder


def written(out):
    return len(list((out / "calibrations").glob("*.json")))


def test_a_worker_killed_in_the_middle_changes_no_byte(shop):
    out = shop / "harmed"
    with subprocess.Popen(command(shop, out, "--workers", "2")) as program:
        when(lambda: written(out) >= 1)
        for worker in descendants(program.pid):
            os.kill(worker, signal.SIGKILL)
    assert program.returncode == 1
    assert files_in(out) == files_in(shop / "quiet")


def test_the_whole_run_killed_and_started_again_goes_on(shop):
    out = shop / "stopped"
    with subprocess.Popen(command(shop, out, "--workers", "2")) as program:
        when(lambda: written(out) >= 2)
        program.kill()
    before = files_in(out)
    assert 2 <= len([name for name in before if name.startswith("calibrations")]) <= RIGS
    again = subprocess.run(
        command(shop, out, "--workers", "2"), check=False, capture_output=True, text=True
    )
    assert "done before" in again.stdout
    assert files_in(out) == files_in(shop / "quiet")
    assert all(files_in(out)[name] == content for name, content in before.items())


@pytest.mark.long
def test_a_cluster_that_loses_a_worker_changes_no_byte(shop):
    distributed = pytest.importorskip("distributed")
    out = shop / "cluster"
    with distributed.LocalCluster(
        n_workers=4, threads_per_worker=1, dashboard_address=None, silence_logs=50
    ) as cluster:
        one = next(iter(cluster.workers.values())).pid
        address = cluster.scheduler_address
        with subprocess.Popen(command(shop, out, "--cluster", address)) as program:
            when(lambda: written(out) >= 1)
            os.kill(one, signal.SIGKILL)
        assert program.returncode == 1
    assert files_in(out) == files_in(shop / "quiet")

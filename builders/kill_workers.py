"""Kill workers: batches of rigs whose workers are killed at random instants, compared byte by byte.

Beside them busy loops take the processors. Every wait has a limit; a batch that reaches it counts
as hung. Processes are those of the real command; the cluster is a real one of Dask.

Holds:  the runs, the kills, the count of what hung, differed or was blamed.
Never:  what a batch is.
"""

import argparse
import json
import os
import random
import signal
import subprocess
import sys
import tempfile
import threading
import time
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack, contextmanager, suppress
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from threading import Event

ROOT = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(ROOT / "src"), str(ROOT / "tests" / "support")]

from clusters import running  # noqa: E402 — found by the line above
from many_rigs import write_rigs  # noqa: E402
from pieces_of_work import large_answer  # noqa: E402
from processes import descendants  # noqa: E402

from tapewright.services.share_work import GivenUp, shared_by_processes  # noqa: E402

LIMIT_S = 600.0
TINY = 60
DAY = "2026-11-25"


@dataclass
class Count:
    """What became of all batches.

    Parameters
    ----------
    batches, kills, hung, differing, blamed, short : int
        Batches; workers killed; batches that never ended, that wrote other bytes; rigs that
        failed; batches that ended before all their kills. [-]
    slowest_s : float
        The longest batch. [s]
    """

    batches: int = 0
    kills: int = 0
    hung: int = 0
    differing: int = 0
    blamed: int = 0
    short: int = 0
    slowest_s: float = 0.0
    lock: threading.Lock = field(default_factory=threading.Lock)

    def __str__(self) -> str:
        """The figures in a sentence."""
        return (
            f"{self.batches} batches, {self.kills} workers killed: {self.hung} hung, "
            f"{self.differing} different in any byte, {self.blamed} rigs blamed; "
            f"{self.short} ended before their last kill; slowest {self.slowest_s:.0f} s"
        )


def surroundings() -> dict[str, str]:
    """The environment of a user: bytecode is written once, and read."""
    environment = {name: text for name, text in os.environ.items() if "BYTECODE" not in name}
    return environment | {"PYTHONPATH": os.pathsep.join([str(ROOT / "src"), *sys.path])}


def batch(rigs: Path, out: Path, *more: str) -> subprocess.Popen[bytes]:
    """The command, begun."""
    words = ["-m", "tapewright", "batch", str(rigs), "--out", str(out), "--date", DAY, *more]
    return subprocess.Popen(
        [sys.executable, *words],
        env=surroundings(),
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )


def files_in(folder: Path) -> dict[str, bytes]:
    """Every file that was written."""
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file()
    }


def killed_at(program, instants, living, rng) -> int:
    """Kill one of those living at each instant, while the program runs; how many were."""
    begun, kills = time.monotonic(), 0
    for instant in instants:
        while program.poll() is None:
            if time.monotonic() - begun >= instant and (alive := living()):
                with suppress(ProcessLookupError):
                    os.kill(rng.choice(alive), signal.SIGKILL)
                    kills += 1
                break
            if time.monotonic() - begun > LIMIT_S:
                return kills
            time.sleep(0.01)
    return kills


def judged(program, out, quiet, count, kills, wanted) -> float:
    """Wait for a batch, compare it and count it; how long it took from here. [s]"""
    begun = time.monotonic()
    try:
        program.wait(LIMIT_S)
        is_hung = False
    except subprocess.TimeoutExpired:
        program.kill()
        program.wait(LIMIT_S)
        is_hung = True
    found = files_in(out)
    summary = json.loads(found.get("summary.json", b'{"rigs": []}'))
    with count.lock:
        count.batches += 1
        count.kills += kills
        count.hung += is_hung
        count.short += kills < wanted
        count.differing += found != quiet
        count.blamed += sum(bool(rig["why"]) for rig in summary["rigs"])
    return time.monotonic() - begun


def one_batch(number, folder, wishes, quiet, expected, count) -> None:
    """A batch of the command's own processes, workers killed in the middle."""
    rng = random.Random(number)  # noqa: S311 — chance that can be repeated
    instants = sorted(rng.uniform(0.0, 0.7 * expected[0]) for _ in range(wishes.kills))
    out, begun = folder / f"out-{number}", time.monotonic()
    program = batch(folder / "rigs", out, "--workers", str(wishes.workers))
    kills = killed_at(program, instants, lambda: sorted(descendants(program.pid)), rng)
    judged(program, out, quiet, count, kills, wishes.kills)
    took = time.monotonic() - begun
    expected[0] += 0.2 * (took - expected[0])
    count.slowest_s = max(count.slowest_s, took)
    if number % 10 == 9:
        print(f"... {count}", flush=True)


def by_processes(folder: Path, wishes: argparse.Namespace, quiet: dict[str, bytes]) -> Count:
    """So many batches by processes."""
    count, expected = Count(), [wishes.first_s]
    with ThreadPoolExecutor(wishes.at_once) as hands:
        tasks = [
            hands.submit(one_batch, number, folder, wishes, quiet, expected, count)
            for number in range(wishes.batches)
        ]
        for task in tasks:
            task.result()
    return count


def by_tiny_pieces(wishes: argparse.Namespace) -> Count:
    """Many short batches of large answers, so that many a worker dies in the middle of one."""
    count = Count()
    for number in range(wishes.tiny):
        rng, before = random.Random(number), set(descendants(os.getpid()))  # noqa: S311 — the same
        instants = sorted(rng.uniform(0.0, 0.05 * TINY) for _ in range(wishes.kills))
        shared = shared_by_processes(large_answer, range(TINY), 3)
        living = partial(_fresh, before)
        running_on = Event()
        running_on.poll = lambda seen=running_on: True if seen.is_set() else None  # as a process's
        with ThreadPoolExecutor(1) as killer:
            kills = killer.submit(killed_at, running_on, instants, living, rng)
            begun = time.monotonic()
            done = dict(shared)
            took = time.monotonic() - begun
            running_on.set()
            count.kills += (killed := kills.result(LIMIT_S))
        count.batches += 1
        count.short += killed < wishes.kills
        count.hung += took > LIMIT_S
        given_up = [piece for piece, made in done.items() if isinstance(made, GivenUp)]
        count.blamed += len(given_up)
        count.differing += done != {piece: large_answer(piece) for piece in range(TINY)}
        count.slowest_s = max(count.slowest_s, took)
        if number % 50 == 49:
            print(f"... {count}", flush=True)
    return count


def _fresh(before: set[int]) -> list[int]:
    return sorted(descendants(os.getpid()) - before)


def by_cluster(folder: Path, wishes: argparse.Namespace, quiet: dict[str, bytes]) -> Count:
    """Batches on one cluster until so many of its workers were killed."""
    count, rng = Count(), random.Random(1)  # noqa: S311 — chance that can be repeated
    place = folder / "cluster"
    place.mkdir()
    expected = wishes.first_s
    with running(place, workers=4) as cluster:
        address = cluster.address
        while count.kills < wishes.cluster_kills and count.batches < wishes.cluster_kills:
            instants = sorted(rng.uniform(0.0, 0.7 * expected) for _ in range(wishes.kills))
            out, begun = place / f"out-{count.batches}", time.monotonic()
            program = batch(folder / "rigs", out, "--cluster", address)
            kills = killed_at(program, instants, cluster.worker_ids, rng)
            judged(program, out, quiet, count, kills, wishes.kills)
            took = time.monotonic() - begun
            expected += 0.3 * (took - expected)
            count.slowest_s = max(count.slowest_s, took)
            print(f"... {count}", flush=True)
    return count


@contextmanager
def busy(loops: int):
    """So many busy loops beside."""
    with ExitStack() as ended:
        for _ in range(loops):
            loop = subprocess.Popen([sys.executable, "-c", "while True: pass"])
            ended.callback(loop.wait, 60.0)
            ended.callback(loop.kill)
        yield


def main() -> None:
    """Run what the words ask for and print the figures."""
    words = argparse.ArgumentParser(description=__doc__)
    words.add_argument("--batches", type=int, default=100)
    words.add_argument("--kills", type=int, default=5, help="in each batch")
    words.add_argument("--cluster-kills", type=int, default=50, help="in all")
    words.add_argument("--tiny", type=int, default=200, help="batches of tiny pieces")
    words.add_argument("--busy", type=int, default=4, help="busy loops beside")
    words.add_argument("--rigs", type=int, default=8)
    words.add_argument("--workers", type=int, default=2)
    words.add_argument("--at-once", type=int, default=1, help="batches beside each other")
    words.add_argument("--first-s", type=float, default=8.0, help="guess of a batch's time")
    wishes = words.parse_args()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        if wishes.tiny:
            with busy(wishes.busy):
                print("tiny pieces:", by_tiny_pieces(wishes), flush=True)
        if not wishes.batches + wishes.cluster_kills:
            return
        write_rigs(folder / "rigs", wishes.rigs, groups=4, arrows=4)
        undisturbed = batch(folder / "rigs", folder / "quiet", "--workers", "1")
        if undisturbed.wait(LIMIT_S):
            sys.exit("the undisturbed batch failed")
        quiet = files_in(folder / "quiet")
        with busy(wishes.busy):
            if wishes.batches:
                print("processes:", by_processes(folder, wishes, quiet), flush=True)
            if wishes.cluster_kills:
                print("cluster:", by_cluster(folder, wishes, quiet), flush=True)


if __name__ == "__main__":
    main()

"""Lists: what a page costs in a notebook of very many rigs, measured over a real connection.

Alone it makes a notebook and prints what it finds:

    PYTHONPATH=tests/support python benches/lists.py 100000 [sqlite:///PATH|postgresql://...]

Holds:  invented rigs in bulk, through the notebook's own writing; server times of list, search
        and rig page.
Never:  assertions; a slow machine is not a failure.
"""

import http.client
import os
import random
import secrets
import sys
import tempfile
import time
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from statistics import median
from urllib.parse import urlencode

from web import ask, served

from tapewright.faces.kept_rigs import calibration_of, kept_answer, kept_rig
from tapewright.faces.kept_stops import stops_verdict
from tapewright.reading.rig_sheet import read_rig_sheet
from tapewright.reading.shots_reader import read_shots
from tapewright.services.keep import (
    KeptGroup,
    KeptRig,
    KeptSession,
    RigsAsked,
    Source,
    Write,
    open_notebook,
)
from tapewright.words.unit_system import IMPERIAL

SAMPLE = Path("src/tapewright/faces/sample")
BEGUN = datetime(2026, 1, 1, tzinfo=UTC)
FIRST = "Anna Ben Carla Dörte Emil Finn Greta Hans Ida Jørgen Kim Léa Max Nora Otto Zoë"
LAST = "Heron Finch Wren Stork Crane Raven Kestrel Osprey Robin Müller"
AT_ONCE = 250  # rigs in one transaction
ASKED = 60  # times each page is asked for


def new_id():
    """Id of something new."""
    return secrets.token_hex(10)


def names(count):
    """So many names: half of them of hunters, one in fifty shared with others."""
    chance = random.Random(7)  # noqa: S311 — names, not secrets
    for place in range(count):
        who = f"{chance.choice(FIRST.split())} {chance.choice(LAST.split())}"
        number = "" if place % 50 == 0 else f" {place}"
        yield f"{who}{number} {'hunter' if place % 2 else 'target'}"


def fill(url, count):
    """Keep so many rigs, each with a session, its groups and a calibration of its own."""
    notebook = open_notebook(url, stops_verdict)
    sheet = (SAMPLE / "heron.toml").read_text(encoding="utf-8")
    rig, _ = read_rig_sheet(sheet)
    shots, _ = read_shots((SAMPLE / "heron-shots.csv").read_text(encoding="utf-8"), "s", rig)
    made, writes, ids = None, [], []
    for place, name in enumerate(names(count)):
        rig_id, held, now = new_id(), new_id(), BEGUN + timedelta(minutes=place)
        groups = [Write(new_id(), KeptGroup(held, one, ""), rig_id=rig_id) for one in shots]
        writes += [
            Write(rig_id, KeptRig(sheet.replace("Heron", name, 1), name)),
            Write(held, KeptSession(f"{now:%Y-%m-%d}", "sighting", "", 0), rig_id=rig_id),
            *groups,
        ]
        if made is None:
            notebook.save_all(writes, now)
            made = calibration_of(kept_answer(kept_rig(notebook, rig_id), IMPERIAL))
            writes = []
        own = replace(made, fingerprint=new_id()[:8], next_shot=f"{place % 40 + 20} yd")
        sources = (Source(rig_id, 1), *(Source(one.entry_id, 1) for one in groups))
        writes.append(Write(new_id(), own, rig_id=rig_id, sources=sources))
        ids.append(rig_id)
        if place % AT_ONCE == 0:
            notebook.save_all(writes, now)
            writes = []
    notebook.save_all(writes, BEGUN + timedelta(minutes=count))
    notebook.close()
    return ids


def pages(url):
    """Addresses of every kind of page, each of them different at every call."""
    notebook = open_notebook(url)
    page = notebook.rigs(RigsAsked(before=RigsAsked.END))
    far = page.before
    notebook.close()
    return {
        "first page": lambda _: "/rigs",
        "deep page": lambda _: f"/rigs?before={far}",
        "last page": lambda _: "/rigs?before=end",
        "search, one hit": lambda place: f"/rigs?{urlencode({'find': f' {1499 + 50 * place} '})}",
        "search, no hit": lambda place: f"/rigs?find=nobody{place}",
        "search, half of all": lambda _: "/rigs?find=hunter",
        "search, half of all, next": lambda _: f"/rigs?find=hunter&before={far}",
        "search, accents": lambda _: "/rigs?find=dorte+muller",
    }


def processor_s(of=None):
    """Processor time of all processes that this one began and that are still there. [s]"""
    here, spent = os.getpid() if of is None else of, 0.0
    for task in Path(f"/proc/{here}/task").iterdir():
        for child in (task / "children").read_text(encoding="ascii").split():
            stat = Path(f"/proc/{child}/stat").read_text(encoding="utf-8").rpartition(")")[2]
            ticks = sum(map(int, stat.split()[11:13]))  # its own, in user's and system's mode
            spent += ticks / os.sysconf("SC_CLK_TCK") + processor_s(child)
    return spent


def measured(port, url, ids):
    """Of each page the median and longest server time, its processor time, and its length.

    In ms, and kB. On a machine that others use, only the processor time says anything.
    """
    line, found = http.client.HTTPConnection("127.0.0.1", port), {}
    chance = random.Random(11)  # noqa: S311
    asked = pages(url) | {
        "list, random page": lambda _: f"/rigs?after={chance.choice(ids)}",
        "api, 50 of list": lambda _: f"/api/rigs?limit=50&after={chance.choice(ids)}",
        "rig page, another each time": lambda _: f"/rigs/{chance.choice(ids)}",
    }
    for name, address in asked.items():
        ask(line, "GET", address(ASKED))  # what is made once is made
        before = processor_s()
        answers = [ask(line, "GET", address(place)) for place in range(ASKED)]
        own = 1e3 * (processor_s() - before) / ASKED
        assert {status for status, _, _ in answers} == {200}, (name, answers[0])
        times = [spent for _, _, spent in answers]
        longest = max(len(text) for _, text, _ in answers) / 1e3
        found[name] = median(times), max(times), own, longest
    return found


def long_lists(count=5_000):
    """Server time of every such page among 5,000 rigs, as (name, measured, wanted, sense)."""
    with tempfile.TemporaryDirectory() as folder:
        url = f"sqlite:///{folder}/notebook.db"
        ids = fill(url, count)
        with served(url) as port:
            for name, (middle, *_) in measured(port, url, ids).items():
                yield f"{name}, {count:,} rigs", middle, 20.0, "at most, ms at the median"


def main(count, url):
    """Make such a notebook and print what its pages cost."""
    start = time.perf_counter()
    ids = fill(url, count)
    spent = time.perf_counter() - start
    print(f"{count:,} rigs written in {spent:.0f} s, {1e3 * spent / count:.2f} ms each")
    with served(url) as port:
        for name, (middle, most, own, size) in measured(port, url, ids).items():
            times = f"{middle:6.1f} ms  at most {most:6.1f} ms  processor {own:5.1f} ms"
            print(f"  {name:30} {times}  {size:6.1f} kB")


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as folder:
        main(int(sys.argv[1]), [*sys.argv, f"sqlite:///{folder}/notebook.db"][2])

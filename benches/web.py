"""Web: the speed targets of the app, measured from outside over a real connection.

Holds:  a notebook of fifty rigs, a server of its own, a plain client; one function a target.
Never:  assertions; a slow machine is not a failure.
"""

import contextlib
import http.client
import json
import secrets
import socket
import subprocess
import sys
import tempfile
import threading
import time
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from statistics import median
from urllib.parse import urlencode

import numpy as np
from archers import random_truth, session

from tapewright.faces.kept_rigs import calibration_of, kept_answer, kept_rig
from tapewright.reading.rig_sheet import read_rig_sheet
from tapewright.reading.shots_reader import read_shots
from tapewright.services.keep import (
    KeptCalibration,
    KeptGroup,
    KeptRig,
    KeptSession,
    Write,
    open_notebook,
)
from tapewright.words.unit_system import IMPERIAL

SAMPLE = Path("src/tapewright/faces/sample")
RIGS, CLIENTS, EDITS = 50, 50, 4
NOW = datetime(2026, 11, 25, tzinfo=UTC)


def new_id():
    """Id of something new."""
    return secrets.token_hex(10)


def fill(url):
    """Fifty rigs, each with a session, its groups and a calibration; the ids of the rigs."""
    notebook = open_notebook(url)
    sheet = (SAMPLE / "heron.toml").read_text(encoding="utf-8")
    rig, _ = read_rig_sheet(sheet)
    shots, _ = read_shots((SAMPLE / "heron-shots.csv").read_text(encoding="utf-8"), "s", rig)
    made, rigs = None, []
    for number in range(RIGS):
        rig_id, held = new_id(), new_id()
        writes = [
            Write(rig_id, KeptRig(sheet.replace("Heron", f"Heron {number}"), f"Heron {number}")),
            Write(held, KeptSession("2026-11-25", "sighting", "", 0), rig_id=rig_id),
            *(Write(new_id(), KeptGroup(held, one, ""), rig_id=rig_id) for one in shots),
        ]
        notebook.save_all(writes, NOW)
        if made is None:
            made = calibration_of(kept_answer(kept_rig(notebook, rig_id), IMPERIAL))
        assert isinstance(made, KeptCalibration)
        notebook.add(made, rig_id=rig_id, entry_id=new_id(), now=NOW)
        rigs.append(rig_id)
    notebook.close()
    return rigs


def free_port():
    """Port that nobody listens on."""
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return one.getsockname()[1]


@contextlib.contextmanager
def served(url, workers=1):
    """The program's own server over a notebook; its port."""
    port = free_port()
    command = [sys.executable, "-m", "tapewright", "serve", "--no-browser", "--port", str(port)]
    command += ["--workers", str(workers), "--notebook", url]
    server = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    try:
        for _ in range(200):
            with contextlib.suppress(OSError):
                if ask(http.client.HTTPConnection("127.0.0.1", port), "GET", "/health")[0] == 200:
                    break
            time.sleep(0.1)
        yield port
    finally:
        server.terminate()
        server.wait(20)


def ask(line, method, path, fields=None, body=None):
    """One request on an open line: status, text, server time in ms."""
    headers = {}
    if fields is not None:
        body = urlencode(fields)
        headers["Content-Type"] = "application/x-www-form-urlencoded"
    elif body is not None:
        body = json.dumps(body)
        headers["Content-Type"] = "application/json"
    line.request(method, path, body, headers)
    answer = line.getresponse()
    text = answer.read().decode()
    timing = answer.getheader("Server-Timing", "app;dur=0")
    return answer.status, text, float(timing.rpartition("=")[2])


def list_of_rigs(port):
    """Requests a second on the list of fifty rigs, eight lines at once, and its server time."""
    counts, times, stop = [], [], time.perf_counter() + 5.0

    def browse():
        line, seen = http.client.HTTPConnection("127.0.0.1", port), 0
        while time.perf_counter() < stop:
            line.request("GET", "/rigs")
            line.getresponse().read()
            seen += 1
        counts.append(seen)

    alone = http.client.HTTPConnection("127.0.0.1", port)
    times = [ask(alone, "GET", "/rigs")[2] for _ in range(100)]
    stop = time.perf_counter() + 5.0
    threads = [threading.Thread(target=browse) for _ in range(8)]
    for one in threads:
        one.start()
    for one in threads:
        one.join()
    return sum(counts) / 5.0, median(times)


def pages(port, rig_id):
    """Median server time of each page of one rig, warm. [ms]"""
    line = http.client.HTTPConnection("127.0.0.1", port)
    found = {}
    names = ("", "/sheet", "/shoot", "/plan", "/marks", "/tape", "/prove", "/history")
    names += tuple(f"/ask/{one}" for one in ("card", "slopes", "wind", "limits", "strips"))
    for name in names:
        answers = [ask(line, "GET", f"/rigs/{rig_id}{name}") for _ in range(12)]
        assert {status for status, _, _ in answers} == {200}, name
        found[name or "/"] = median(spent for _, _, spent in answers[2:])
    return found


def edit_to_bands(port, url):
    """Milliseconds from sending an edited arrow to having the page with the new bands."""
    rng = np.random.default_rng(3)
    sheet = (SAMPLE / "heron.toml").read_text(encoding="utf-8")
    truth, shot = random_truth(read_rig_sheet(sheet)[0], rng), []
    while len(shot) < 8:
        shot += [one for one in session(truth, rng, 5) if len(one.group.impacts) == 6]
    shot = [
        replace(one, group=replace(one.group, name=str(place))) for place, one in enumerate(shot)
    ]
    notebook, rig_id, held = open_notebook(url), new_id(), new_id()
    writes = [
        Write(rig_id, KeptRig(sheet, "Edited")),
        Write(held, KeptSession("2026-11-25", "sighting", "", 0), rig_id=rig_id),
    ]
    ids = [new_id() for _ in shot[:8]]
    writes += [
        Write(one, KeptGroup(held, what, ""), rig_id=rig_id)
        for one, what in zip(ids, shot, strict=False)
    ]
    notebook.save_all(writes, NOW)
    notebook.close()
    line, spent = http.client.HTTPConnection("127.0.0.1", port), []
    address = f"/api/rigs/{rig_id}/groups/{ids[0]}"
    status, text, _ = ask(line, "GET", address)
    assert status == 200, text
    kept = json.loads(text)
    for place in range(9):
        names = ("name", "distance_m", "reading_mm", "impacts", "pin", "slope_deg", "note")
        body = {"seen": kept["number"], **{one: kept[one] for one in names}}
        body["impacts"][0]["up_mm"] = 1.0 * place
        time.sleep(1.0)  # nobody edits faster
        start = time.perf_counter()
        status, text, _ = ask(line, "PUT", address, body=body)
        assert status == 200, text
        ask(line, "GET", f"/rigs/{rig_id}/marks")
        spent.append(1e3 * (time.perf_counter() - start))
        kept = json.loads(text)
    return median(spent[1:])


def crowd(port, rig_id):
    """Fifty clients writing into one note: updates lost, and answers that are our own fault."""
    tallies, lock = [], threading.Lock()
    line = http.client.HTTPConnection("127.0.0.1", port)
    (held,) = json.loads(ask(line, "GET", f"/api/rigs/{rig_id}/sessions")[1])
    address = f"/api/rigs/{rig_id}/sessions/{held['id']}"

    def edit(number):
        line, saved, broken = http.client.HTTPConnection("127.0.0.1", port), 0, 0
        while saved < EDITS:
            kept = json.loads(ask(line, "GET", address)[1])
            note = f"{kept['note']}{number}.{saved} "[-500:]
            body = {"shot_on": kept["shot_on"], "note": note, "seen": kept["number"]}
            status, _, _ = ask(line, "PUT", address, body=body)
            saved += status == 200
            broken += status >= 500
        with lock:
            tallies.append((saved, broken))

    threads = [threading.Thread(target=edit, args=(one,)) for one in range(CLIENTS)]
    for one in threads:
        one.start()
    for one in threads:
        one.join()
    line = http.client.HTTPConnection("127.0.0.1", port)
    after = json.loads(ask(line, "GET", address)[1])["number"]
    saved, broken = (sum(one) for one in zip(*tallies, strict=True))
    return saved - (after - held["number"]), broken


def web():
    """All targets of the app in one run, as (name, measured, wanted, sense)."""
    with tempfile.TemporaryDirectory() as folder:
        url = f"sqlite:///{folder}/notebook.db"
        rigs = fill(url)
        with served(url) as port:
            rate, middle = list_of_rigs(port)
            yield "list of fifty rigs on one worker", rate, 150.0, "at least, a second"
            yield "its server time", middle, 20.0, "at most, ms at the median"
            for name, spent in pages(port, rigs[0]).items():
                yield f"page {name}", spent, 20.0, "at most, ms at the median"
            spent = edit_to_bands(port, url)
            yield "edited arrow to new bands", spent, 200.0, "at most, ms"
            lost, broken = crowd(port, rigs[1])
            yield f"updates lost among {CLIENTS} clients", lost, 0.0, "at most"
            yield "answers that were our fault", broken, 0.0, "at most"

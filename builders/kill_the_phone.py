"""Kill the phone: a browser that keeps groups is killed at random instants, again and again.

``python builders/kill_the_phone.py 100 5000`` kills Chromium a hundred times while its pages keep
groups with the app's own outbox, until five thousand were acknowledged; then it opens once more,
counts what is there, hands everything over, and counts what the notebook has. Every wait has a
limit. It ends with 1 if one acknowledged group is lost or one stands twice.

Holds:  the browser, its killing, the counting.
Never:  groups that somebody shot.
"""

import contextlib
import os
import random
import signal
import socket
import subprocess
import sys
import tempfile
import threading
import time
from pathlib import Path

import uvicorn
from playwright.sync_api import Error, sync_playwright

from tapewright.faces.web.app import build_app
from tapewright.faces.web.page_request import PageRequest
from tapewright.faces.web.server.security import Rules
from tapewright.services.keep import open_notebook

sys.path.insert(0, str(Path(__file__).parents[1] / "tests" / "support"))
from browser import FLAGS, PROGRAM
from rigs_kept import keep_rig

WAIT_S = 60.0
LONGEST_S = 2.5  # between the first group of a life and the kill
KEEP = """async ({ rig, seen, life }) => {
  const box = window.tapewrightOutbox;
  for (let number = 0; ; number += 1) {
    const id = box.newId();
    const place = () => String((8 * Math.random() - 4).toFixed(3));
    await box.put({
      id, rig, rig_name: "Heron", rig_number: seen, tape: "", units: "imperial",
      shot_on: "2031-04-05", kept_at: new Date().toISOString(),
      part: `${String(life).padStart(4, "0")}5e555e555e555e55`, session: "", seen: 0,
      fields: { distance: "43 yd", reading: "33.1", "right-1": place(), "up-1": place(),
                "right-2": place(), "up-2": place() },
      state: "waiting", revision: id,
    });
    acknowledged(id);
    await new Promise((resolve) => { setTimeout(resolve, 30 * Math.random()); });
  }
}"""


def free_port():
    """A port that nobody listens on."""
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return one.getsockname()[1]


class Phone:
    """Chromium with a folder of its own, which outlives it."""

    def __init__(self, folder):
        self._folder, self._port = folder, free_port()

    def start(self):
        """Start it; it is ours alone, with all its processes."""
        words = [PROGRAM, *FLAGS, "--headless=new", f"--user-data-dir={self._folder}",
                 f"--remote-debugging-port={self._port}", "about:blank"]  # fmt: skip
        self._program = subprocess.Popen(
            words, start_new_session=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
        )

    def connect(self, play):
        """The browser, as soon as it answers."""
        until = time.monotonic() + WAIT_S
        while time.monotonic() < until:
            with contextlib.suppress(Error):
                return play.chromium.connect_over_cdp(f"http://127.0.0.1:{self._port}")
            time.sleep(0.05)
        raise TimeoutError(self._port)

    def kill(self):
        """Kill it and all that it started, at once."""
        with contextlib.suppress(ProcessLookupError):
            os.killpg(self._program.pid, signal.SIGKILL)
        self._program.wait(WAIT_S)


def serve(notebook):
    """The app, without calibrating after every hand-over; its address and how to stop it."""
    PageRequest.recalibrate = lambda *_: None
    app = build_app(notebook, Rules(frozenset({"127.0.0.1"})))
    port = free_port()
    server = uvicorn.Server(uvicorn.Config(app, port=port, log_level="error", lifespan="off"))
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    until = time.monotonic() + WAIT_S
    while not server.started and time.monotonic() < until:
        time.sleep(0.02)

    def stop():
        server.should_exit = True
        thread.join(WAIT_S)

    return f"http://127.0.0.1:{port}", stop


def one_life(play, phone, home, rig, life, chance):
    """Keep groups until the browser is killed; ids that were acknowledged."""
    acknowledged = []
    phone.start()
    browser = phone.connect(play)
    page = browser.contexts[0].new_page()
    page.expose_function("acknowledged", lambda entry_id: acknowledged.append(entry_id))  # noqa: PLW0108 — the library marks it
    # what waits is not handed over here: it must outlive all the kills
    page.route("**/api/**", lambda one: one.abort())
    page.goto(f"{home}/outbox")
    page.evaluate(
        f"(told) => {{ ({KEEP})(told); }}", {"rig": rig.id, "seen": rig.number, "life": life}
    )
    page.wait_for_timeout(1000 * chance.uniform(0.05, LONGEST_S))
    killer = threading.Thread(target=phone.kill)
    killer.start()
    killer.join(WAIT_S)
    with contextlib.suppress(Error):
        browser.close()
    return acknowledged


def main(kills, wanted):
    """Kill so many times and until so many groups were acknowledged; count what is left."""
    chance, acknowledged, began_s = random.Random(11), [], time.monotonic()  # noqa: S311 — repeatable
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as folder:
        notebook = open_notebook(f"sqlite:///{folder}/notebook.db")
        rig_id = keep_rig(notebook)["rig_id"]
        rig = notebook.entry(rig_id)
        before = len(notebook.entries("group", rig_id))
        (home, stop), phone, life = serve(notebook), Phone(Path(folder) / "phone"), 0
        while life < kills or len(acknowledged) < wanted:
            with sync_playwright() as play:
                acknowledged += one_life(play, phone, home, rig, life, chance)
            life += 1
            if life % 10 == 0:
                print(f"{life} kills, {len(acknowledged)} acknowledged", flush=True)
        with sync_playwright() as play:
            phone.start()
            page = phone.connect(play).contexts[0].new_page()
            page.route("**/api/**", lambda one: one.abort())
            page.goto(f"{home}/outbox")
            there = page.evaluate("tapewrightOutbox.all().then((all) => all.map((one) => one.id))")
            page.close()
            page = phone.connect(play).contexts[0].new_page()
            page.on("console", lambda one: print(one.text))
            page.goto(f"{home}/outbox")
            until, left = time.monotonic() + WAIT_S + len(there) / 5, len(there)
            while left and time.monotonic() < until:
                page.wait_for_timeout(500)
                left = page.evaluate("tapewrightOutbox.all().then((all) => all.length)")
            page.context.browser.close()
            phone.kill()
        kept = [one.id for one in notebook.entries("group", rig_id)]
        parked = [one.body.group_id for one in notebook.entries("parked", rig_id)]
        stop()
        notebook.close()
    lost = set(acknowledged) - set(there)
    missing, doubles = set(there) - set(kept) - set(parked), len(kept) - len(set(kept))
    took_s = time.monotonic() - began_s
    print(
        f"{life} kills, {len(acknowledged)} groups acknowledged, {len(there)} on the phone at the"
    )
    print(f"end: {len(lost)} lost. Handed over: {len(kept) - before} kept, {len(parked)} parked,")
    print(f"{left} left, {len(missing)} missing, {doubles} twice. {took_s:.0f} s.")
    return int(bool(lost or missing or doubles or left))


if __name__ == "__main__":
    sys.exit(main(*map(int, sys.argv[1:3])))

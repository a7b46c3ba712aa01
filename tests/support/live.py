"""Live: the real server in a process of its own, as a person starts it, and people who visit.

Holds:  the server with its notebook; emptying it; a page in which nothing may go wrong.
Never:  tests.
"""

import contextlib
import re
import socket
import sqlite3
import subprocess
import sys
import time
import urllib.error
import urllib.request

from browser import PATIENCE_MS, PHONE

from tapewright.services.keep import open_notebook
from tapewright.storage.tallies import Tally, tally_row

UP_S = 120.0
KINDS = (
    "rig", "session", "group", "calibration", "print", "change", "printer", "job", "house",
    "tape", "parked", "erased", "setup",
)  # fmt: skip
OWN = ("blob:", "chrome:", "chrome-extension:")  # the browser's own viewer for PDF
BLOCKED = "Service Worker registration blocked"  # by the tests, below
REFUSED = re.compile(r"Failed to load resource: the server responded with a status of (\d+)")


class Live:
    """A server, told where to listen and what to keep.

    Parameters
    ----------
    folder : Path
        Where its notebook is.
    """

    def __init__(self, folder):
        self.file = folder / "notebook.db"
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port = free.getsockname()[1]
        self.home = f"http://127.0.0.1:{self.port}"

    @contextlib.contextmanager
    def serve(self, more=()):
        """Serve until the tests are over, or as long as is needed."""
        words = ["--no-browser", "--port", self.port, "--notebook", f"sqlite:///{self.file}", *more]
        command = [sys.executable, "-m", "tapewright", "serve", *map(str, words)]
        with subprocess.Popen(command, stdout=subprocess.DEVNULL) as program:
            try:
                self._wait_until_up(program)
                yield self
            finally:
                program.terminate()

    def _wait_until_up(self, program):
        until = time.monotonic() + UP_S
        while time.monotonic() < until:
            assert program.poll() is None, "the server ended by itself"
            with contextlib.suppress(urllib.error.URLError):
                return urllib.request.urlopen(f"{self.home}/health", timeout=60).close()  # noqa: S310 — our own
            time.sleep(0.05)
        raise TimeoutError(self.home)

    def empty(self):
        """Make the notebook as it was on the first day."""
        with contextlib.closing(sqlite3.connect(self.file, timeout=60)) as file, file:
            for table in ("made_from", "version", "entry", "tally"):
                file.execute(f"DELETE FROM {table}")  # noqa: S608 — four known names
            rows = [tally_row(Tally(kind, {})) for kind in KINDS]
            file.executemany("INSERT INTO tally VALUES (:scope, :entries, :counts, :sum)", rows)

    @contextlib.contextmanager
    def notebook(self):
        """The same notebook, opened beside the server."""
        opened = open_notebook(f"sqlite:///{self.file}")
        yield opened
        opened.close()


@contextlib.contextmanager
def visit(browser, home, refused=(), **how):
    """A page of somebody who visits; only refusals that are told of beforehand may be logged."""
    wrong = []
    usual = {
        "viewport": PHONE, "has_touch": True, "reduced_motion": "reduce",
        "service_workers": "block",  # a page is looked at as the notebook sends it
    }  # fmt: skip
    context = browser.new_context(base_url=home, **(usual | how))
    context.set_default_timeout(PATIENCE_MS)
    page = context.new_page()

    def listen(one):
        told = REFUSED.match(one.text)
        where = one.location.get("url", "")
        asked_by_viewer = where == f"{home}/favicon.ico"  # a PDF cannot name its icon
        if one.text.startswith(BLOCKED):
            return
        if not (asked_by_viewer or (told and int(told[1]) in refused)):
            wrong.append(f"{one.text} ({where})")

    page.on("console", listen)
    page.on("pageerror", lambda one: wrong.append(str(one)))
    page.on("request", lambda one: one.url.startswith((home, *OWN)) or wrong.append(one.url))
    page.on("dialog", lambda one: (wrong.append(one.message), one.dismiss()))
    page.on("response", lambda one: one.status < 500 or wrong.append(f"{one.status} {one.url}"))
    yield page
    assert not wrong, wrong
    context.close()

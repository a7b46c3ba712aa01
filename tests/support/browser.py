"""Browser: headless Chromium for tests of pages, with the network off.

To start one takes a second and a half of processor, so one serves all tests of a process.

Holds:  the browser; a phone's page in it; what axe-core finds.
Never:  a download: without Chromium the tests are skipped loudly, and fail where CI is set.
"""

import atexit
import contextlib
import hashlib
import os
import pathlib
import shutil
from asyncio import _get_running_loop, _set_running_loop

import pytest

PROGRAM = os.environ.get("TAPEWRIGHT_CHROMIUM") or shutil.which("chromium")
MEND = "sudo apt-get install -y --no-install-recommends chromium"
PHONE = {"width": 390, "height": 844}
FLAGS = [
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
    "--disable-dev-shm-usage", "--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1",
]  # fmt: skip
AXE = pathlib.Path(__file__).parent / "vendor" / "axe.min.js"
AXE_SHA256 = "29348999450cdf2849a8e70b7912fc2da85a849da39c0d0d5394f51d4a9ed95c"
PATIENCE_MS = 60_000  # a busy machine answers late
BAD = {"serious", "critical"}


class Shared:
    """The browser that is lent, how many have it, and what ends it."""

    def __init__(self):
        self.browser, self.lent, self.ends = None, 0, contextlib.ExitStack()
        self._loop = None  # the browser's, that stands still while nobody has it

    def rest(self):
        """Let others run a loop of their own until the browser is asked again."""
        self._loop = _get_running_loop()
        _set_running_loop(None)

    def wake(self):
        """The browser is asked again."""
        _set_running_loop(self._loop)

    def close(self):
        """End it; the next who asks gets another."""
        if self.browser is not None:
            self.wake()
            self.ends.close()
            self.browser = self._loop = None
            _set_running_loop(None)


SHARED = Shared()
atexit.register(SHARED.close)


@contextlib.contextmanager
def open_browser():
    """Chromium as if it were new, for what was opened is closed again; or a loud skip."""
    if PROGRAM is None:
        words = f"SKIPPED: no Chromium to test pages with. Install it with: {MEND}"
        if os.environ.get("CI"):
            pytest.fail(words)
        pytest.skip(words)
    from playwright.sync_api import expect, sync_playwright

    expect.set_options(timeout=PATIENCE_MS)

    if SHARED.browser is not None and not SHARED.lent:
        SHARED.wake()
        if not SHARED.browser.is_connected():
            SHARED.close()
    if SHARED.browser is None:
        play = SHARED.ends.enter_context(sync_playwright())
        SHARED.browser = play.chromium.launch(executable_path=PROGRAM, args=FLAGS)
        SHARED.ends.callback(SHARED.browser.close)
    opened = list(SHARED.browser.contexts)
    SHARED.lent += 1
    try:
        yield SHARED.browser
    finally:
        for one in SHARED.browser.contexts:
            if one not in opened:
                one.close()
        SHARED.lent -= 1
        if not SHARED.lent:
            SHARED.rest()


@contextlib.contextmanager
def open_phone(browser, path, **how):
    """A file opened on a phone without a signal; nothing may be fetched, nothing may go wrong."""
    context = browser.new_context(
        **(
            {"viewport": PHONE, "has_touch": True, "offline": True, "reduced_motion": "reduce"}
            | how
        )
    )
    page, wrong = context.new_page(), []
    page.on("console", lambda one: wrong.append(one.text))
    page.on("pageerror", lambda one: wrong.append(str(one)))
    page.on("request", lambda one: one.url == path.as_uri() or wrong.append(one.url))
    page.goto(path.as_uri())
    yield page
    assert not wrong
    context.close()


def faults(page, impacts=BAD):
    """What axe-core finds in a page that is serious or critical, or of other impacts."""
    source = AXE.read_text(encoding="utf-8")
    assert hashlib.sha256(source.encode()).hexdigest() == AXE_SHA256
    page.evaluate(source)  # by the debugger: a script tag would be refused by the page's policy
    found = page.evaluate(
        "async () => (await axe.run({resultTypes: ['violations'], preload: false})).violations"
    )
    return [(one["id"], one["nodes"][0]["html"]) for one in found if one["impact"] in impacts]

"""Browser: headless Chromium for tests of pages, with the network off.

Holds:  one browser for a test's life; a phone's page in it; what axe-core finds.
Never:  a download: without Chromium the tests are skipped loudly, and fail where CI is set.
"""

import contextlib
import hashlib
import os
import pathlib
import shutil

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


@contextlib.contextmanager
def open_browser():
    """Chromium, or a loud skip."""
    if PROGRAM is None:
        words = f"SKIPPED: no Chromium to test pages with. Install it with: {MEND}"
        if os.environ.get("CI"):
            pytest.fail(words)
        pytest.skip(words)
    from playwright.sync_api import expect, sync_playwright

    expect.set_options(timeout=PATIENCE_MS)

    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=PROGRAM, args=FLAGS)
        yield browser
        browser.close()


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

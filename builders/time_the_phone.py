"""Time the phone: how large a carried rig is, and how soon its pages stand without the notebook.

``python builders/time_the_phone.py`` carries a rig into Chromium, stops the server, and opens pages
of the phone at full speed and four times slowed. Times are of a quiet machine, or say nothing.

Holds:  sizes of what is carried, packed and not; milliseconds until a page's script has run.
Never:  a limit.
"""

import gzip
import sys
import tempfile
from pathlib import Path
from statistics import median

from playwright.sync_api import expect, sync_playwright

sys.path.insert(0, str(Path(__file__).parents[1] / "tests" / "support"))
from browser import FLAGS, PHONE, PROGRAM
from live import Live
from rigs_kept import keep_rig

OFTEN, SLOWED, WAIT_MS = 9, (1, 4), 60_000
CARRIED = """async (rig) => {
  const cache = await caches.open(`tapewright-rig-${rig}`), found = [];
  for (const one of await cache.keys()) {
    const { pathname } = new URL(one.url), whole = await tapewrightAlong.pageKept(rig, pathname);
    const kept = await (await cache.match(one)).arrayBuffer();
    found.push([pathname, kept.byteLength, await whole.text()]);
  }
  return found;
}"""
STOOD = "performance.getEntriesByType('navigation')[0].domContentLoadedEventEnd"


def carry(page, own, rig_id):
    """Carry a rig; addresses, bytes and texts of what is on the phone then."""
    with own.serve():
        page.goto(f"/rigs/{rig_id}")
        page.get_by_role("button", name="Carry this rig").tap()
        expect(page.locator("#carry-told")).to_contain_text("Carried", timeout=WAIT_MS)
        return page.evaluate(CARRIED, rig_id)


def times(context, address, slowed):
    """Milliseconds from the tap until the page stood, several times."""
    found = []
    for _ in range(OFTEN):
        page = context.new_page()
        rate = {"rate": slowed}
        context.new_cdp_session(page).send("Emulation.setCPUThrottlingRate", rate)
        page.goto(address, timeout=WAIT_MS)
        found.append(page.evaluate(STOOD))
        page.close()
    return found


def main():
    """Carry, measure, tell."""
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as play:
        own = Live(Path(folder))
        with own.notebook() as notebook:
            rig_id = keep_rig(notebook)["rig_id"]
        browser = play.chromium.launch(executable_path=PROGRAM, args=FLAGS)
        context = browser.new_context(viewport=PHONE, has_touch=True, base_url=own.home)
        carried = carry(context.new_page(), own, rig_id)
        kept, whole = (
            sum(sizes)
            for sizes in zip(*((one, len(text.encode())) for _, one, text in carried), strict=True)
        )
        line = sum(len(gzip.compress(text.encode(), 6)) for *_, text in carried)
        print(f"A carried rig: {line / 1000:.0f} kB over the line, {kept / 1000:.0f} kB on disk, "
              f"{whole / 1000:.0f} kB unpacked.")  # fmt: skip
        for path, one, _ in sorted(carried, key=lambda each: -each[1])[:4]:
            print(f"  {path.replace(rig_id, '…')}: {one / 1000:.1f} kB")
        for slowed in SLOWED:
            for end in ("", "/groups/new", "/carried"):
                found = sorted(times(context, f"/rigs/{rig_id}{end}", slowed))
                print(f"{slowed} times slowed, /rigs/…{end}: median {median(found):.0f} ms,"
                      f" slowest {found[-1]:.0f} ms")  # fmt: skip
        browser.close()


if __name__ == "__main__":
    main()

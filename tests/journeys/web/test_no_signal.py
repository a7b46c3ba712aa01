"""At the range without a signal: the rig is carried, groups are kept on the phone, nothing is lost.

``localhost`` counts as a secure context, so no certificate is needed here; https itself is tried in
tests/faces/web/test_certificates.py and, with a browser that trusts the authority, in the long test
below.
"""

import contextlib
import os
import re
import shutil
import subprocess
import threading
from dataclasses import replace
from datetime import UTC, datetime
from functools import partial
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer

import pytest
from browser import FLAGS, PHONE, PROGRAM
from live import Live
from playwright.sync_api import expect
from rigs_kept import keep_rig

from tapewright.faces.web import serving

PATIENCE_MS = 60_000
# How many groups the calibration knows of that a phone carries; null: it carries none
HELD = """async (id) => {
    const pack = await tapewrightAlong.pageKept(id, `/api/rigs/${id}/pack`);
    return pack ? (await pack.json()).holds.length : null;
}"""


@pytest.fixture
def own(tmp_path):
    """A server of its own, which is stopped and started again."""
    return Live(tmp_path)


class _Proxy(BaseHTTPRequestHandler):
    """What a proxy says whose program is away."""

    def do_GET(self):
        self.send_response(502)
        self.end_headers()
        self.wfile.write(b"<h1>Bad Gateway</h1>")

    def log_message(self, *_):
        pass


@contextlib.contextmanager
def proxy_alone(port):
    """A proxy with nothing behind it, where the notebook was."""
    with ThreadingHTTPServer(("127.0.0.1", port), _Proxy) as server:
        threading.Thread(target=server.serve_forever, daemon=True).start()
        yield
        server.shutdown()


@contextlib.contextmanager
def phone(chromium, home):
    """A phone with the app; only what must not happen is listened for."""
    context = chromium.new_context(
        base_url=home, viewport=PHONE, has_touch=True, reduced_motion="reduce"
    )
    context.set_default_timeout(PATIENCE_MS)
    yield context
    context.close()


class Down(BaseHTTPRequestHandler):
    """What a proxy says to everything while the notebook behind it is down."""

    def do_GET(self):
        """Answer as proxies do."""
        text = b"<html><h1>502 Bad Gateway</h1></html>"
        self.send_response(502)
        self.send_header("Content-Type", "text/html")
        self.send_header("Content-Length", str(len(text)))
        self.end_headers()
        self.wfile.write(text)

    do_PUT = do_POST = do_GET  # noqa: N815 — the same

    def log_message(self, *_):
        """Nothing."""


@contextlib.contextmanager
def only_a_proxy(port):
    """A proxy alone where the notebook was."""
    with ThreadingHTTPServer(("127.0.0.1", port), Down) as proxy:
        thread = threading.Thread(target=proxy.serve_forever)
        thread.start()
        yield
        proxy.shutdown()
        thread.join(timeout=60)


def carried_kb(page, rig):
    """Carry a rig; how much room its page says that it takes on the phone."""
    page.goto(rig)
    page.get_by_role("button", name="Carry this rig").tap()
    expect(page.locator("#carry-told")).to_contain_text("Carried just now")
    expect(page.locator("#carry-told")).to_contain_text("marks and trust")
    return int(re.search(r"(\d+) kB", page.locator("#carry-told").inner_text())[1])


def carried_behind_a_proxy(context, port, rig):
    """The rig from this phone, and what it keeps in the place of a page that it does not carry."""
    with only_a_proxy(port):
        page = context.new_page()
        page.goto(rig)
        expect(page.get_by_role("heading", level=1)).to_have_text("Heron")
        expect(page.locator("#stamp")).to_contain_text("Carried on")
        page.goto("/wishes")
        expect(page.locator("#not-carried")).to_be_visible()
        expect(page.locator("#waiting")).to_have_text("3 waiting")
        page.close()


def shoot(page, distance, reading, *arrows, tap=True):
    """Fill in the form of a group and keep it."""
    page.get_by_label("Distance", exact=True).fill(distance)
    page.get_by_label("Reading, mm").fill(reading)
    for row, (right, up) in enumerate(arrows, 1):
        page.locator(f"#right-{row}").fill(right)
        page.locator(f"#up-{row}").fill(up)
    button = page.get_by_role("button", name="Keep this group").last
    button.tap() if tap else button.click()


def asks_at_once(page):
    """What cannot be read is asked about while arrows still stand in the butt; all stays typed."""
    told, waiting = page.locator("#outbox-told"), page.locator("#waiting")
    for distance, reading, arrow, asked in (
        ("16,5x6", "33.1", "1", "Write the distance as a number"),
        ("43 yd", "abc", "1", "Write what the sight shows as a number"),
        ("43 yd", "33.1", "one", "Write where the arrow hit as a number"),
        ("43 yd", "33.1", "", "Tap or write where an arrow hit"),
    ):
        shoot(page, distance, reading, (arrow, ""))
        expect(told).to_contain_text(f"Not kept yet. {asked}")
        expect(page.get_by_label("Reading, mm")).to_have_value(reading)
        expect(waiting).to_be_hidden()


def sees_its_own(page, rig, port):
    """The notebook is away and a proxy says so: a phone shows what it carries and keeps."""
    with proxy_alone(port):
        page.goto(rig)
        expect(page.get_by_role("heading", level=1)).to_have_text("Heron")
        expect(page.locator("#stamp")).to_contain_text("Carried on")
        page.goto("/rigs")
        expect(page.locator("#no-signal")).to_be_visible()


def test_a_rig_is_carried_and_groups_are_kept_without_a_signal(own, chromium):
    with own.notebook() as notebook:
        ids = keep_rig(notebook)
        before = len(notebook.entries("group", ids["rig_id"]))
    rig = f"/rigs/{ids['rig_id']}"
    with phone(chromium, own.home) as context:
        page = context.new_page()
        with own.serve():
            assert carried_kb(page, rig) <= 100
            page.goto(f"{rig}/groups/new")
            expect(page.locator("#stamp")).to_be_hidden()
        context.set_offline(True)
        asks_at_once(page)
        shoot(page, "43 yd", "33.1", ("1.2", "-0.5"), ("0.4", "2.1"), ("-1", "0.3"))
        expect(page.locator("#outbox-told")).to_contain_text(
            "Kept on this phone: 43 yd at 33.1, 3 arrows."
        )
        expect(page.locator("#waiting")).to_have_text("1 waiting")
        shoot(page, "52 yd", "41.2", ("0.7", "1.5"), ("2.4", "0.1"))
        expect(page.locator("#waiting")).to_have_text("2 waiting")
        page.close()

        page = context.new_page()
        page.goto(f"{rig}/groups/new?distance=61+yd&reading=49.4")
        expect(page.locator("#stamp")).to_contain_text("no signal now")
        expect(page.get_by_label("Distance", exact=True)).to_have_value("61 yd")
        shoot(page, "61 yd", "49.4", ("-2.2", "0.8"), ("1.9", "-1.1"))
        expect(page.locator("#waiting")).to_have_text("3 waiting")
        page.goto("/rigs")
        expect(page.locator("#no-signal")).to_be_visible()
        expect(page.locator("#groups li")).to_have_count(3)
        page.locator("#carried a").first.tap()
        expect(page.get_by_role("heading", level=1)).to_have_text("Heron")
        expect(page.locator("#stamp")).to_contain_text("Carried on")
        page.goto(f"{rig}/ask/wind?speed=9+mph")  # another question than the one that is carried
        expect(page.locator("#not-carried")).to_be_visible()
        page.close()

        context.set_offline(False)
        carried_behind_a_proxy(context, own.port, rig)
        with own.serve(), own.notebook() as notebook:
            page = context.new_page()
            page.goto("/outbox")
            expect(page.locator("#outbox-told")).to_contain_text("3 groups handed over.")
            expect(page.locator("#waiting")).to_be_hidden()
            assert page.evaluate(HELD, ids["rig_id"]) in (None, before + 3)
            page.goto(rig)
            expect(page.locator("#stamp")).to_be_hidden()
            kept = notebook.entries("group", ids["rig_id"])
            assert len(kept) == before + 3
            readings = [one.body.observation.reading_m for one in kept[before:]]
            assert sorted(readings) == pytest.approx([0.0331, 0.0412, 0.0494])
            assert notebook.entries("parked", ids["rig_id"]) == ()

        sees_its_own(page, rig, own.port)


def test_a_phone_that_can_keep_or_read_nothing_says_so(own, chromium):
    own.file.parent.mkdir(exist_ok=True)
    with own.notebook() as notebook:
        rig_id = keep_rig(notebook)["rig_id"]
    with phone(chromium, own.home) as context, own.serve():
        page = context.new_page()
        page.goto(f"/rigs/{rig_id}")
        page.evaluate("navigator.serviceWorker.ready.then(() => true)")
        tight = {"origin": own.home, "quotaSize": 1000}
        context.new_cdp_session(page).send("Storage.overrideQuotaForOrigin", tight)
        page.get_by_role("button", name="Carry this rig").tap()
        expect(page.locator("#carry-told")).to_contain_text("no room")
        page.close()
        page = context.new_page()
        page.add_init_script("indexedDB.open = () => { throw new Error('damaged'); };")
        page.goto("/outbox")
        expect(page.locator("#groups-told")).to_contain_text("cannot be read now")
        expect(page.locator("#groups-told")).not_to_contain_text("Nothing waits")


@pytest.mark.long
@pytest.mark.timeout(1800)
def test_two_phones_and_a_laptop_lose_and_double_nothing(own, chromium):
    """Both phones shoot without a signal, one of them changes what the laptop changes, too.

    Answers get lost on the way back; both hand over at once.
    """
    with own.notebook() as notebook:
        ids = keep_rig(notebook)
        before = {one.id for one in notebook.entries("group", ids["rig_id"])}
    rig, at_home = f"/rigs/{ids['rig_id']}", ids["group_id"]
    with phone(chromium, own.home) as one, phone(chromium, own.home) as other:
        pages = [each.new_page() for each in (one, other)]
        with own.serve():
            for page in pages:
                page.goto(rig)
                page.get_by_role("button", name="Carry this rig").tap()
                expect(page.locator("#carry-told")).to_contain_text("Carried just now")
                page.goto(f"{rig}/groups/new")
            changing = one.new_page()
            changing.goto(f"{rig}/groups/{at_home}")
            with own.notebook() as laptop:
                entry = laptop.entry(at_home)
                body = replace(entry.body, note="mended on the laptop")
                laptop.save(at_home, body, seen=entry.number, now=datetime.now(UTC))
        for context in (one, other):
            context.set_offline(True)
        for number, page in enumerate(pages):
            for group in range(3):
                places = [(f"{number - 0.7}", f"{group + 0.1}"), (f"{0.4 * group}", f"-{number}.6")]
                shoot(page, f"{41 + 10 * group} yd", f"{31 + 8 * group}.{number + 1}", *places)
                expect(page.locator("#waiting")).to_have_text(f"{group + 1} waiting")
        changing.get_by_text("Look at it or change it").tap()
        changing.locator("summary", has_text="More").first.tap()
        changing.get_by_label("Note").fill("changed on the phone")
        changing.get_by_role("button", name="Keep the change").last.tap()
        expect(changing.locator("#waiting")).to_have_text("4 waiting")
        changing.close()
        for context in (one, other):
            context.set_offline(False)
        with own.serve(), own.notebook() as notebook:
            lost = []
            for page in pages:
                page.route("**/hand-over/**", partial(lose_answer, lost), times=2)
                page.goto("/outbox")
            for page in pages:
                hand_over_now(page)
            assert len(lost) >= 2
            kept = [each.id for each in notebook.entries("group", ids["rig_id"])]
            assert len(kept) == len(set(kept)) == len(before) + 6
            assert notebook.entry(at_home).body.note == "mended on the laptop"
            (parked,) = notebook.entries("parked", ids["rig_id"])
            assert "changed on the phone" in parked.body.sent
            pages[0].goto(f"{rig}/parked")
            expect(pages[0].locator("main")).to_contain_text("mended on the laptop")
            expect(pages[0].locator("main")).to_contain_text("changed on the phone")


@pytest.mark.long
@pytest.mark.timeout(1800)
@pytest.mark.skipif(shutil.which("certutil") is None, reason="needs certutil (libnss3-tools)")
def test_a_browser_that_trusts_the_authority_carries_and_hands_over_by_https(chromium, tmp_path):
    """As on the local network: https, a passcode, an authority that the browser was told to trust.

    The passcode is chosen anew meanwhile, and the authority distrusted: what is carried still
    opens, what waits stays, nothing passes for handed over that is not.
    """
    own, home = Live(tmp_path), tmp_path / "home"
    store = home / ".pki" / "nssdb"
    store.mkdir(parents=True)
    with own.notebook() as notebook:
        ids = keep_rig(notebook)
    rig, address = f"/rigs/{ids['rig_id']}", f"https://127.0.0.1:{own.port + 1}"
    file = own.file.with_name("notebook.passcode")
    serving.choose_passcode(file, "open the old barn")
    more = ["--https", "--name", "notebook.local"]
    with own.serve(more):
        authority = own.file.with_name("notebook.https") / "authority.pem"
        trust(store, "-N", "--empty-password")
        trust(store, "-A", "-n", "own", "-t", "C,,", "-i", authority)
    with phone_with_a_home(chromium, tmp_path, home) as context:
        page = context.new_page()
        with own.serve(more):
            come_in(page, address, "open the old barn")
            page.goto(f"{address}{rig}")
            page.get_by_role("button", name="Carry this rig").click()
            expect(page.locator("#carry-told")).to_contain_text("Carried just now")
        page.goto(f"{address}{rig}/groups/new")
        expect(page.locator("#stamp")).to_contain_text("no signal now")
        shoot(page, "43 yd", "33.1", ("1.2", "-0.5"), ("0.4", "2.1"), tap=False)
        expect(page.locator("#waiting")).to_have_text("1 waiting")
        serving.choose_passcode(file, "another old barn")
        with own.serve(more):
            page.goto(f"{address}/outbox")
            expect(page.locator("#outbox-told")).to_contain_text("asks for the passcode")
            expect(page.locator("#waiting")).to_have_text("1 waiting")
            page.goto(f"{address}{rig}")
            expect(page.get_by_role("heading", level=1)).to_have_text("Passcode")
        page.goto(f"{address}{rig}")  # the entrance did not take the place of what is carried
        expect(page.get_by_role("heading", level=1)).to_have_text("Heron")
        with own.serve(more):
            come_in(page, address, "another old barn")
            page.goto(f"{address}/outbox")
            expect(page.locator("#groups-told")).to_contain_text("Nothing waits here")
            page.goto(f"{address}{rig}/shoot")
            expect(page.locator("main")).to_contain_text("43 yd")
            expect(page.locator("#waiting")).to_be_hidden()
    trust(store, "-D", "-n", "own")
    with phone_with_a_home(chromium, tmp_path, home) as context, own.serve(more):
        page = context.new_page()
        page.goto(f"{address}{rig}/groups/new")
        expect(page.locator("#stamp")).to_contain_text("Carried on")
        shoot(page, "52 yd", "41.1", ("1.2", "-0.5"), ("0.4", "2.1"), tap=False)
        expect(page.locator("#waiting")).to_have_text("1 waiting")


def lose_answer(lost, route):
    """Let the notebook have what is sent, and nobody its answer."""
    route.fetch()
    lost.append(route.request.url)
    route.abort()


def hand_over_now(page):
    """Ask again and again until nothing waits."""
    for _ in range(10):
        page.get_by_role("button", name="Hand over now").tap()
        page.wait_for_timeout(1000)
        if page.locator("#waiting").is_hidden():
            break
    expect(page.locator("#waiting")).to_be_hidden()


def come_in(page, address, passcode):
    """Enter the passcode."""
    page.goto(f"{address}/enter")
    page.get_by_label("Passcode").fill(passcode)
    page.get_by_role("button", name="Open the notebook").click()
    page.wait_for_url("**/rigs")


def trust(store, *words):
    """Tell the browser's store of certificates something."""
    command = ["certutil", "-d", f"sql:{store}", *map(str, words)]
    subprocess.run(command, check=True, timeout=60)


@contextlib.contextmanager
def phone_with_a_home(chromium, tmp_path, home):
    """A browser with a folder of its own, and a home whose store of certificates it asks."""
    context = chromium.browser_type.launch_persistent_context(
        tmp_path / "phone", executable_path=PROGRAM, args=FLAGS, viewport=PHONE,
        env=os.environ | {"HOME": str(home)},
    )  # fmt: skip
    context.set_default_timeout(PATIENCE_MS)
    yield context
    context.close()

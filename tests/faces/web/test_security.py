"""What must not get in does not, and whatever gets in does no harm."""

import json
import re
import time

import pytest
from starlette.testclient import TestClient

from tapewright.faces.web.app import build_app
from tapewright.faces.web.server.passcode import Passcode, new_passcode
from tapewright.faces.web.server.security import Rules

COOKIE = "tapewright_pass"
DAYS = 60  # a device is remembered
MOST_BYTES = 2_000_000
HEADERS = {
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "geolocation=(), microphone=(), payment=()",
}

HERE = "http://127.0.0.1"
NASTY = "<script>alert(1)</script>\"'><img src=x onerror=alert(2)>{{7*7}}"
NASTY_NAME = "<script>x()</script>\"'><i>"
RIGHT = "open the barn"


@pytest.fixture(scope="module")
def passcode():
    return new_passcode(RIGHT)


@pytest.fixture
def lan(notebook, passcode):
    """A browser on the local network that has not come in yet."""
    app = build_app(notebook, Rules(frozenset({"127.0.0.1", "bows.local"}), passcode))
    return TestClient(app, base_url=HERE, follow_redirects=False)


@pytest.mark.parametrize(
    "host", ["evil.example", "", "127.0.0.1.evil.example", "127.0.0.1@evil.example", "[::1]", "[",
             "a]b[", "127.0.0.1/x", "bücher.example", "localhost:8000"],
)  # fmt: skip
def test_other_names_do_not_lead_here(client, host):
    told = client.get("/rigs", headers={"host": host.encode("latin-1", "replace")})
    assert told.status_code == 421
    assert "Rigs" not in told.text


@pytest.mark.parametrize("host", ["127.0.0.1", "127.0.0.1:8640", "127.0.0.1:"])
def test_the_own_name_leads_here_on_any_port(client, host):
    assert client.get("/rigs", headers={"host": host}).status_code == 200


@pytest.mark.parametrize("origin", ["http://evil.example", "null", "http://127.0.0.1:81", "http://[",
                                    "https://127.0.0.1.evil.example", ""])  # fmt: skip
@pytest.mark.parametrize("address", ["/sample", "/api/rigs", "/archive", "/enter"])
def test_other_sites_cannot_post_here(client, notebook, origin, address):
    told = client.post(address, data={}, headers={"origin": origin})
    assert told.status_code == 403
    assert notebook.entries("rig") == ()


def test_a_form_of_this_site_is_taken(client):
    assert client.post("/sample", headers={"origin": HERE}).status_code == 303
    assert client.post("/sample", headers={"sec-fetch-site": "cross-site"}).status_code == 403


@pytest.mark.parametrize("address", ["/rigs", "/rigs/none", "/static/style.css", "/api/rigs",
                                     "/api/nothing", "/wishes", "/archive/download"])  # fmt: skip
def test_every_answer_carries_the_headers(client, address):
    told = client.get(address)
    for name, value in HEADERS.items():
        assert told.headers[name] == value
    policy = told.headers["content-security-policy"]
    assert "unsafe" not in policy
    assert "frame-ancestors 'none'" in policy
    kept = "immutable" if address.startswith("/static") else "no-store"
    assert kept in told.headers["cache-control"]


@pytest.mark.parametrize("address", ["/rigs", "/wishes", "/archive", "/aside"])
def test_no_page_runs_or_loads_what_the_policy_would_stop(client, rig_id, address):
    for one in (address, f"/rigs/{rig_id}", f"/rigs/{rig_id}/history"):
        page = client.get(one).text
        assert not re.search(r"<script(?![^>]*\bsrc=)|<style|\son\w+=|\sstyle=|javascript:", page)
        assert not re.search(r"(src|href|action)=\"(https?:)?//", page)


def test_too_much_is_refused_before_it_is_read(client, notebook):
    text = "x" * (MOST_BYTES + 1)
    for told in (
        client.post("/api/rigs", content=text),
        client.post("/rigs/new", data={"name": text}),
        client.post("/api/rigs", content=iter([text.encode()])),  # says no length
        client.post("/rigs/new", content=iter([b"name=", text.encode()]),
                    headers={"content-type": "application/x-www-form-urlencoded"}),
    ):  # fmt: skip
        assert told.status_code == 413
        assert "smaller" in told.text
    assert notebook.entries("rig") == ()


def test_odd_lengths_do_not_confuse(client):
    for length in (b"\xb2", b"9" * 400, b"-1", b"1e9", b""):
        told = client.post("/sample", headers={"content-length": length})
        assert told.status_code in (303, 400, 413, 422)


def test_nobody_comes_in_without_the_passcode(lan):
    for address in ("/", "/rigs", "/wishes", "/archive/download", "/nothing"):
        told = lan.get(address)
        assert (told.status_code, told.headers["location"]) == (303, "/enter")
    assert lan.post("/sample").status_code == 303
    told = lan.get("/api/rigs")
    assert told.status_code == 401
    assert told.headers["content-type"] == "application/problem+json"
    assert lan.get("/enter").status_code == 200


@pytest.mark.parametrize("trick", ["/enter/../rigs", "/static/../rigs", "/static/%2e%2e/rigs",
                                   "//rigs", "/health/../rigs", "/RIGS", "/rigs/", "/enterx",
                                   "/static/..%2frigs", "/static/%5c..%5crigs"])  # fmt: skip
def test_no_detour_leads_past_the_passcode(lan, trick):
    told = lan.get(HERE + trick)
    assert told.status_code in (303, 404, 405)
    assert "Describe" not in told.text


def test_whoever_knows_the_passcode_comes_in(lan):
    told = lan.post("/enter", data={"passcode": RIGHT})
    assert told.status_code == 303
    cookie = told.headers["set-cookie"].casefold()
    assert "httponly" in cookie
    assert "samesite=strict" in cookie
    assert RIGHT not in cookie
    assert lan.get("/rigs").status_code == 200


def test_guessing_is_slowed(lan):
    told = [lan.post("/enter", data={"passcode": f"guess {one}"}).status_code for one in range(8)]
    assert told == [403] * 5 + [429] * 3
    assert lan.post("/enter", data={"passcode": RIGHT}).status_code == 429


def test_forged_and_old_cookies_open_nothing(lan, passcode):
    now = int(time.time())
    good = passcode.cookie(now + 60)
    other = Passcode(passcode.salt, passcode.digest, bytes(32)).cookie(now + 60)
    later = f"{now + 10**6}.{good.partition('.')[2]}"
    for cookie in (
        "",
        "x",
        ".",
        good[:-1],
        good + "0",
        good.upper(),
        other,
        later,
        passcode.cookie(now - 1),
        f"-{good}",
        f"{10**40}.{'0' * 64}",
        "٣.x",
        "1.é",
    ):
        told = lan.get("/rigs", headers={"cookie": f"{COOKIE}={cookie}".encode()})
        assert told.status_code == 303, cookie
    assert lan.get("/rigs", headers={"cookie": f"{COOKIE}={good}"}).status_code == 200
    assert passcode.is_valid_cookie(passcode.cookie(now + DAYS * 86400))


@pytest.mark.parametrize("path", ["../../etc/passwd", "..%2f..%2fetc%2fpasswd", "%2e%2e/app.py",
                                  "....//app.py", "/etc/passwd", "..\\app.py", "%00", "x%00.css",
                                  "templates/base.html", "../templates/base.html"])  # fmt: skip
def test_no_path_leads_out_of_the_static_files(client, path):
    told = client.get(f"{HERE}/static/{path}")
    assert told.status_code in (404, 405, 421)
    assert "root:" not in told.text
    assert "import " not in told.text


@pytest.mark.parametrize("rig", ["../x", "..%2f..%2fx", "%00", "x" * 5000, "é", "1e9", "None",
                                 "0000000000000000000A", "'; DROP TABLE entry; --"])  # fmt: skip
def test_no_id_is_taken_that_is_none(client, rig):
    for address in (f"/rigs/{rig}", f"/rigs/{rig}/history", f"/api/rigs/{rig}"):
        told = client.get(address)
        assert told.status_code in (404, 422)
        assert "Traceback" not in told.text


@pytest.fixture
def nasty(client, rig_id):
    """A rig whose every text tries to break out."""
    sheet = client.get(f"/api/rigs/{rig_id}").json()["sheet"]
    sheet = sheet.replace('name = "Heron"', f"name = '''{NASTY_NAME}'''") + f"\n# {NASTY}\n"
    saved = client.put(f"/api/rigs/{rig_id}", json={"sheet": sheet, "seen": 1})
    session = client.post(
        f"/api/rigs/{rig_id}/sessions", json={"shot_on": "2026-11-25", "note": NASTY}
    ).json()
    group = client.post(
        f"/api/rigs/{rig_id}/sessions/{session['id']}/groups",
        json={"name": NASTY_NAME, "distance_m": 30.0, "reading_mm": 23.0, "note": NASTY,
              "impacts": [{"right_mm": 1.0, "up_mm": 2.0}]},
    )  # fmt: skip
    changed = client.post(
        f"/api/rigs/{rig_id}/changes", json={"sheet": sheet, "seen": 2, "words": NASTY}
    )
    printer = client.post("/api/printers", json={"name": NASTY, "across_mm": 99.0, "down_mm": 99.0})
    if printer.status_code == 422:
        printer = client.post(
            "/api/printers", json={"name": NASTY_NAME, "across_mm": 99.0, "down_mm": 99.0}
        )
    printed = client.post(
        f"/api/rigs/{rig_id}/prints",
        json={"what": "tape", "printed_on": "2026-11-25", "printer_id": printer.json()["id"],
              "fingerprint": NASTY[:40], "choices": {NASTY: NASTY}},
    )  # fmt: skip
    assert [one.status_code for one in (saved, group, changed, printer, printed)] == [
        200, 201, 201, 201, 201,
    ]  # fmt: skip
    return rig_id, session["id"], group.json()["id"]


def test_texts_are_shown_and_never_run(client, nasty):
    rig_id, session_id, group_id = nasty
    here = f"/rigs/{rig_id}"
    pages = ["/rigs", "/printers", "/archive", f"/rigs?find={NASTY}", here, f"{here}/shoot",
             f"{here}/sessions/{session_id}", f"{here}/groups/{group_id}", f"{here}/history",
             f"{here}/history/sheet/2", f"{here}/marks", f"{here}/tape", f"{here}/sheet",
             f"{here}/change", f"{here}/prove", f"{here}/files", f"{here}/ask/limits",
             f"{here}/ask/level?cant={NASTY}", f"{here}/ask/strips?set={NASTY}",
             f"{here}/shots?session={session_id}", f"/nothing/{NASTY}"]  # fmt: skip
    shown = 0
    for address in pages:
        page = client.get(address).text
        for one in ("<script>x()", "<script>alert", "<img src=x", "'><i>", '"><i>'):
            assert one not in page, address
        assert "49" not in page or "{{7*7}}" in page or "7*7" not in page
        shown += "&lt;script&gt;" in page
    assert shown >= 10


def test_texts_in_answers_for_programs_stay_texts(client, nasty):
    rig_id, *_ = nasty
    told = client.get(f"/api/rigs/{rig_id}")
    assert told.headers["content-type"] == "application/json"
    assert told.headers["x-content-type-options"] == "nosniff"
    assert NASTY in told.json()["sheet"]
    svg = client.get(f"/api/rigs/{rig_id}/tape/svg")
    assert "<script" not in svg.text
    pocket = client.get(f"/api/rigs/{rig_id}/pocket").text
    assert "<script>x()" not in pocket


def test_names_of_files_cannot_split_a_header(client, rig_id):
    sheet = client.get(f"/api/rigs/{rig_id}").json()["sheet"]
    for name in ('a"; filename=b.exe', "../../x", "é ü 鷺"):
        text = sheet.replace('name = "Heron"', f"name = {json.dumps(name, ensure_ascii=False)}")
        made = client.post("/api/rigs", json={"sheet": text}).json()
        if "id" not in made:
            continue
        told = client.get(f"/rigs/{made['id']}/files/sheet.toml")
        header = told.headers["content-disposition"]
        assert header.startswith("attachment; filename*=UTF-8''")
        assert '"' not in header
        assert "/" not in header.replace("UTF-8''", "")


def test_half_characters_are_no_way_in(client, rig_id):
    """Some encodings make text of bytes that no text can hold."""
    kind = "multipart/form-data; boundary=b; charset=unicode_escape"
    body = b'--b\r\nContent-Disposition: form-data; name="find"\r\n\r\n\\ud800\r\n--b--\r\n'
    for address in (f"/rigs/{rig_id}/sheet", "/wishes", "/enter", f"/rigs/{rig_id}/groups/new"):
        told = client.post(address, content=body, headers={"content-type": kind})
        assert told.status_code < 500, address
    text = '{"name": "\\ud800", "across_mm": 99.0, "down_mm": 99.0}'
    told = client.post("/api/printers", content=text, headers={"content-type": "application/json"})
    assert told.status_code == 422


def test_what_breaks_is_told_without_its_inside(client, notebook, monkeypatch):
    def broken(*_):
        raise RuntimeError("secret inside")

    monkeypatch.setattr(type(notebook), "latest_of_each", broken)
    quiet = TestClient(client.app, base_url=HERE, raise_server_exceptions=False)
    for address in ("/rigs", "/api/rigs"):
        told = quiet.get(address)
        assert told.status_code == 500
        assert "secret" not in told.text
        assert "Traceback" not in told.text

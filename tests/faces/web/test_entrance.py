"""The first page, the passcode, a person's wishes."""

import asyncio
import time

import httpx2
import pytest
from starlette.testclient import TestClient

from tapewright.faces.web.app import build_app
from tapewright.faces.web.server.passcode import Passcode, new_passcode, save_passcode
from tapewright.faces.web.server.security import Rules
from tapewright.faces.web.serving import app_from_environment

COOKIE = "tapewright_pass"


@pytest.fixture
def stranger(notebook):
    """A browser on the local network that knows no passcode yet."""
    rules = Rules(frozenset({"127.0.0.1"}), new_passcode("quiet heron"))
    with TestClient(
        build_app(notebook, rules), base_url="http://127.0.0.1", follow_redirects=False
    ) as browser:
        yield browser


def test_the_first_page_leads_to_the_rigs(client):
    assert client.get("/").headers["location"] == "/rigs"


def test_the_server_answers_for_whoever_started_it(client):
    assert client.get("/health").text == "well"


def test_wishes_are_remembered_and_lead_back(client):
    page = client.post(
        "/wishes", data={"units": "metric"}, headers={"referer": "http://127.0.0.1/rigs?find=a"}
    )
    assert page.status_code == 303
    assert page.headers["location"] == "/rigs?find=a"
    assert "SameSite=lax" in page.headers["set-cookie"]
    client.post("/wishes", data={"theme": "sun"})
    page = client.get("/wishes").text
    assert 'data-theme="sun"' in page
    assert 'value="metric" aria-pressed="true"' in page


def test_a_wish_never_leads_to_another_site(client):
    for place in ("http://127.0.0.1//elsewhere.test/", "http://127.0.0.1/\\elsewhere.test", "x"):
        page = client.post("/wishes", data={"units": "metric"}, headers={"referer": place})
        assert page.headers["location"] == "/wishes"


def test_a_wish_that_is_none_is_passed_over(client):
    page = client.post("/wishes", data={"theme": "<script>"})
    assert "set-cookie" not in page.headers


def test_without_the_passcode_nobody_sees_a_rig(stranger):
    assert stranger.get("/rigs").headers["location"] == "/enter"
    assert stranger.get("/api/rigs").status_code == 401
    assert stranger.get("/enter").status_code == 200
    assert stranger.get("/static/style.css").status_code == 200


def test_the_passcode_lets_in_with_a_cookie_that_scripts_cannot_read(stranger):
    page = stranger.post("/enter", data={"passcode": "quiet heron"})
    assert page.status_code == 303
    cookie = page.headers["set-cookie"]
    assert cookie.startswith(f"{COOKIE}=")
    assert "HttpOnly" in cookie
    assert "SameSite=strict" in cookie
    assert stranger.get("/rigs").status_code == 200


def test_guessing_is_told_off_and_then_slowed(stranger):
    for _ in range(5):
        page = stranger.post("/enter", data={"passcode": "guess"})
        assert page.status_code == 403
        assert "That is not the passcode" in page.text
    page = stranger.post("/enter", data={"passcode": "quiet heron"})
    assert page.status_code == 429
    assert "Too many wrong guesses" in page.text


def test_guesses_made_at_once_are_counted_before_they_are_looked_at(notebook, monkeypatch):
    looked_at, real = [], Passcode.is_right

    def is_right(passcode, typed):
        looked_at.append(typed)
        return real(passcode, typed)

    monkeypatch.setattr(Passcode, "is_right", is_right)
    rules = Rules(frozenset({"127.0.0.1"}), new_passcode("quiet heron"))
    app = build_app(notebook, rules)

    async def all_at_once():
        async def enter(address, typed):
            way = httpx2.ASGITransport(app=app, client=(address, 1))
            async with httpx2.AsyncClient(transport=way, base_url="http://127.0.0.1") as browser:
                return (await browser.post("/enter", data={"passcode": typed})).status_code

        guessers = ("192.0.2.66", "2001:db8:1:2::%x", "::ffff:192.0.2.66")
        guesses = [
            enter(guessers[one % 3] % one if one % 3 == 1 else guessers[one % 3], f"guess {one}")
            for one in range(90)
        ]
        return await asyncio.gather(*guesses, enter("192.0.2.5", "quiet heron"))

    *told, owner = asyncio.run(asyncio.wait_for(all_at_once(), 120))
    assert owner == 303
    assert told.count(403) == 10  # five of IPv4, and five of one household of IPv6
    assert told.count(429) == 80
    assert len(looked_at) == 11


def test_a_device_that_is_locked_out_locks_nobody_else_out(stranger):
    for _ in range(6):
        stranger.post("/enter", data={"passcode": "guess"})
    owner = TestClient(stranger.app, base_url="http://127.0.0.1", client=("192.0.2.5", 1))
    assert owner.post(
        "/enter", data={"passcode": "quiet heron"}, follow_redirects=False
    ).is_redirect


def test_a_stranger_may_send_a_passcode_and_no_more(stranger):
    assert stranger.post("/enter", data={"passcode": "x" * 5000}).status_code == 413


def test_the_wall_clock_shortens_no_wait(stranger, monkeypatch):
    for _ in range(5):
        stranger.post("/enter", data={"passcode": "guess"})
    monkeypatch.setattr(time, "time", lambda: 4e9)
    assert stranger.post("/enter", data={"passcode": "guess"}).status_code == 429


@pytest.mark.parametrize(
    ("proxies", "told", "locked_out"),
    [
        ("", "198.51.100.7", True),  # nobody is believed
        ("203.0.113.9", "198.51.100.7", True),  # another one is
        ("192.0.2.1", "198.51.100.7", False),
        ("192.0.2.1", "192.0.2.66, 198.51.100.7", False),  # what a guesser wrote before it
        ("192.0.2.1", "nonsense", False),
    ],
)
def test_only_a_trusted_proxy_is_believed_for_whom_it_asks(tmp_path, proxies, told, locked_out):
    file = tmp_path / "passcode.json"
    save_passcode(new_passcode("quiet heron"), file)
    app = app_from_environment(
        {
            "TAPEWRIGHT_NOTEBOOK": f"sqlite:///{tmp_path}/notebook.db",
            "TAPEWRIGHT_PASSCODE_FILE": str(file),
            "TAPEWRIGHT_TRUSTED_PROXIES": proxies,
        }
    )
    browser = TestClient(
        app, base_url="http://127.0.0.1", client=("192.0.2.1", 1), follow_redirects=False
    )
    for _ in range(5):
        header = {"x-forwarded-for": "192.0.2.66"}
        browser.post("/enter", data={"passcode": "guess"}, headers=header)
    owner = browser.post(
        "/enter",
        data={"passcode": "quiet heron"},
        headers={"x-forwarded-for": told, "x-forwarded-proto": "https"},
    )
    assert owner.status_code == (429 if locked_out else 303)
    assert ("Secure" in owner.headers.get("set-cookie", "")) is not locked_out


def test_where_no_passcode_is_asked_the_door_is_open(client):
    assert client.post("/enter", data={"passcode": "x"}).headers["location"] == "/rigs"

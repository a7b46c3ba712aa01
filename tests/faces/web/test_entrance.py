"""The first page, the passcode, a person's wishes."""

import pytest
from starlette.testclient import TestClient

from tapewright.faces.web.app import build_app
from tapewright.faces.web.passcode import new_passcode
from tapewright.faces.web.safety import Rules

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


def test_where_no_passcode_is_asked_the_door_is_open(client):
    assert client.post("/enter", data={"passcode": "x"}).headers["location"] == "/rigs"

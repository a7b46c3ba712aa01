"""A shop's server as deploy/ has it, nginx or Caddy in front: people come in, and nothing is lost.

Long, and only where the proxy is installed: ``sudo apt-get install nginx caddy postgresql``, then
``python -m pytest -m long tests/journeys/web/test_behind_a_proxy.py``. With more people, more time
and figures: ``python builders/kill_behind_a_proxy.py``.
"""

import http.client
import json
import os
import re
import shutil
import signal
import tempfile
import urllib.request
from pathlib import Path

import pytest
from notebooks import server
from processes import when
from proxied import PASSCODE, Shop, lived_through

pytestmark = [pytest.mark.long, pytest.mark.timeout(1800)]
__all__ = ["server"]
FORM = {"Content-Type": "application/x-www-form-urlencoded"}


@pytest.fixture(params=["nginx", "caddy"])
def proxy(request):
    name = request.param
    if shutil.which(name) is None:
        pytest.skip(f"{name} is missing; install it with: sudo apt-get install {name}")
    return name


@pytest.fixture
def shop(proxy, server):
    folder = Path(tempfile.mkdtemp(prefix="tw"))
    with Shop(folder, server.url(server.new_database()), proxy).open() as one:
        yield one
    shutil.rmtree(folder)


def test_people_come_in_by_the_name_and_each_counts_for_oneself(shop):
    origin = f"https://shop.example:{shop.https}"
    right = f"passcode={PASSCODE.replace(' ', '+')}"
    host = {"Host": f"shop.example:{shop.https}"}

    line = http.client.HTTPConnection("127.0.0.1", shop.plain, timeout=60)
    line.request("GET", "/rigs?search=a", headers={"Host": "shop.example"})
    answer = line.getresponse()
    line.close()
    assert answer.status in (301, 308)
    assert answer.headers["Location"] == "https://shop.example/rigs?search=a"

    assert shop.ask("HEAD", "/health", headers=host)[0] == 200
    assert shop.ask("GET", "/health/notebook", headers=host)[2] == b"well"
    status, told, _ = shop.ask("GET", "/rigs", headers=host)
    assert (status, told["Location"]) == (303, "/enter")
    assert told["Strict-Transport-Security"] == "max-age=31536000"
    assert shop.ask("GET", "/metrics", headers=host)[0] == 303  # counts are told elsewhere
    assert shop.ask("GET", "/rigs", headers={"Host": "evil.example"})[0] in (200, 421)

    for guess in range(5):  # whoever claims to come from elsewhere is counted all the same
        claims = FORM | host | {"Origin": origin, "X-Forwarded-For": f"203.0.113.{guess}"}
        assert shop.ask("POST", "/enter", "passcode=wrong", claims, person=3)[0] == 403
    claims = FORM | host | {"Origin": origin, "X-Forwarded-For": "203.0.113.77"}
    assert shop.ask("POST", "/enter", right, claims, person=3)[0] == 429
    other = FORM | host | {"Origin": "https://evil.example"}
    assert shop.ask("POST", "/enter", right, other, person=4)[0] == 403
    status, told, _ = shop.ask("POST", "/enter", right, FORM | host | {"Origin": origin}, person=4)
    assert (status, told["Location"]) == (303, "/rigs")
    cookie = told["Set-Cookie"]
    assert re.match(
        r"tapewright_pass_https=\S+; HttpOnly; .*SameSite=strict; Secure", cookie, re.IGNORECASE
    )

    line, who = shop.line(5), {"Cookie": cookie.partition(";")[0]}
    for _ in range(3):  # one connection for all of them
        line.request("GET", "/rigs", headers=who)
        answer = line.getresponse()
        assert answer.status == 200
        answer.read()
        assert line.sock is not None
    line.close()


def test_large_pictures_pass_and_what_is_too_large_is_told_by_the_program(shop, proxy):
    who = shop.pass_of(1)
    rig = shop.ask("POST", "/sample", headers=who)[1]["Location"].rpartition("/")[2]
    path = f"/api/rigs/{rig}/photo?distance=20+yd&reading=31.2+mm"
    kind = {"Content-Type": "image/jpeg"}
    status, _, told = shop.ask("POST", path, b"x" * 40_000_000, who | kind)
    assert status == 422, told  # it came through and is no picture
    try:
        status, _, told = shop.ask("POST", path, b"x" * 61_000_000, who | kind)
    except OSError:  # it passes on what comes at once, and hangs up on who goes on sending
        assert proxy == "caddy"
    else:
        assert status == 413
        assert b"Send a smaller file" in told


def test_while_the_program_is_away_a_sentence_says_so(shop):
    workers = shop.workers()
    os.kill(shop.program.pid, signal.SIGKILL)  # first, so that nobody starts others
    for one in workers:
        os.kill(one, signal.SIGKILL)
    when(lambda: shop.ask("GET", "/rigs", headers=shop.pass_of(1))[0] in (502, 503))
    status, told, content = shop.ask("GET", "/rigs", headers=shop.pass_of(1))
    assert b"The notebook does not answer just now" in content
    assert told["Server-Timing"] is None  # by which an app on a phone knows it for the proxy's
    assert (status, told["Retry-After"]) in ((502, "5"), (503, "5"))


def test_nothing_that_was_confirmed_is_lost_while_workers_and_backends_are_killed(server, proxy):
    found = lived_through(server, proxy, seconds=20.0, people=4)
    print(json.dumps(found))  # noqa: T201 — figures, with -s
    assert found["workers_killed"] >= 2
    assert found["backends_killed"] >= 2
    assert found["lost"] == 0
    assert found["kept"] > 20
    assert {one for one in found["answers"] if one.startswith("GET")} <= {"GET 200", "GET 503"}


def test_counts_are_told_at_a_port_of_their_own(shop):
    with urllib.request.urlopen(f"http://127.0.0.1:{shop.metrics}/metrics", timeout=60) as answer:
        told = answer.read().decode()
    assert "tapewright_notebook_reachable 1.0" in told
    assert 'tapewright_requests_total{kind="health",status="200"}' in told
    assert "shop.example" not in told

"""Several workers: the dead and the stopped are replaced; what they count and write down."""

import json
import logging
import os
import re
import signal
import subprocess
import sys
import time
import urllib.error
import urllib.request

import pytest
from processes import descendants, when
from proxied import free_port

from tapewright.faces.web import serving
from tapewright.faces.web.server import host_names
from tapewright.faces.web.server.health import Pulse
from tapewright.faces.web.server.logs import JsonLines
from tapewright.faces.web.server.metrics import kind_of
from tapewright.ground.errors import NotebookUnusable

FOUND = re.compile(r"^tapewright_(\w+)(\{.*\})? (\S+)$", re.MULTILINE)


def plan(**more):
    usual = {"lan": False, "names": (), "passcode_file": None, "workers": 1}
    return serving.Plan("sqlite:///x", 8640, **(usual | more))


class Served:
    """The program with two workers, what it tells and what it writes."""

    def __init__(self, folder):
        self.port, self.metrics, self.log = free_port(), free_port(), folder / "log"
        words = ("--no-browser", "--workers", 2, "--port", self.port, "--log", "json",
                 "--metrics", self.metrics, "--notebook", folder / "notebook.db")  # fmt: skip
        with self.log.open("wb") as log:
            self.program = subprocess.Popen(
                [sys.executable, "-m", "tapewright", "serve", *map(str, words)],
                stdout=log, stderr=log,
            )  # fmt: skip

    def ask(self, path, port=None, host=None):
        request = urllib.request.Request(
            f"http://127.0.0.1:{port or self.port}{path}", headers={"Host": host} if host else {}
        )
        with urllib.request.urlopen(request, timeout=60) as answer:  # noqa: S310 — our own
            return answer.read().decode()

    def is_well(self):
        try:
            return self.ask("/health/notebook", host="whoever.asks") == "well"
        except (urllib.error.URLError, OSError):
            return False

    def counts(self):
        told = self.ask("/metrics", self.metrics)
        return {name + (labels or ""): float(value) for name, labels, value in FOUND.findall(told)}

    def lines(self):
        return [json.loads(one) for one in self.log.read_text(encoding="utf-8").splitlines()]

    def workers(self):
        started = (one for one in self.lines() if one["message"].startswith("Started server"))
        return {one["process"] for one in started} & descendants(self.program.pid)


@pytest.fixture
def served(tmp_path):
    one = Served(tmp_path)
    try:
        when(one.is_well)
        yield one
    finally:
        one.program.terminate()
        one.program.wait(60)


def test_workers_that_die_or_stop_are_replaced_and_all_is_told(served):
    first = when(lambda: found if len(found := served.workers()) == 2 else None)
    served.ask("/rigs?search=somebody")
    with pytest.raises(urllib.error.HTTPError, match="404"):
        served.ask("/api/rigs/0123456789abcdef0123")
    for one in first:
        os.kill(one, signal.SIGKILL)
    second = when(lambda: found if len(found := served.workers() - first) == 2 else None)
    when(served.is_well)
    stopped = min(second)
    os.kill(stopped, signal.SIGSTOP)
    # two minutes where it was stopped before it ever answered
    when(lambda: stopped not in served.workers() and len(served.workers()) == 2, 400.0)
    when(served.is_well)

    counts = served.counts()  # those of the dead, too
    assert counts['requests_total{kind="page",status="200"}'] == 1
    assert counts['requests_total{kind="api",status="404"}'] == 1
    assert counts['requests_total{kind="health",status="200"}'] >= 3
    assert counts['request_seconds_count{kind="page"}'] == 1
    assert (counts["notebook_reachable"], counts["workers"]) == (1, 2)
    assert "somebody" not in served.ask("/metrics", served.metrics)

    lines = served.lines()
    requests = [one for one in lines if one["from"] == "tapewright.requests"]
    assert [(one["method"], one["path"], one["status"]) for one in requests] == [
        ("GET", "/rigs", 200), ("GET", "/api/rigs/0123456789abcdef0123", 404),
    ]  # fmt: skip
    assert all(one["ms"] >= 0 for one in requests)
    assert "somebody" not in served.log.read_text()
    ended = [one for one in lines if "another takes its place" in one["message"]]
    assert len(ended) == 3
    assert {one["level"] for one in ended} == {"error"}
    assert any("is open at" in one["message"] for one in lines)


def test_a_name_or_a_proxy_elsewhere_opens_the_port_and_a_proxy_here_does_not():
    assert plan(names=("shop.example",)).bind == "0.0.0.0"  # noqa: S104 — asked for
    assert plan(proxies=("192.0.2.7",)).bind == "0.0.0.0"  # noqa: S104 — asked for
    behind = plan(names=("shop.example",), proxies=("127.0.0.1", "::1"))
    assert behind.bind == "127.0.0.1"
    assert set(behind.hosts) == {"127.0.0.1", "localhost", "shop.example"}


def test_only_a_name_that_leads_here_is_told_as_an_address(monkeypatch):
    leads = {
        "shop.example": ["198.51.100.9"],
        "loop.example": ["127.0.0.1"],
        "ours.example": ["10.0.0.1"],
    }
    monkeypatch.setattr(host_names, "_addresses_of", lambda name: leads.get(name, []))
    monkeypatch.setattr(
        host_names, "_is_ours", lambda address: address in ("10.0.0.1", "127.0.0.1")
    )
    host_names.addresses_of.cache_clear()
    asked = plan(names=("shop.example", "loop.example", "none.example", "ours.example"))
    assert asked.lan_address == "http://ours.example:8640/"
    assert asked.astray == {
        "shop.example": ("198.51.100.9",), "loop.example": ("127.0.0.1",), "none.example": (),
    }  # fmt: skip
    host_names.addresses_of.cache_clear()


def test_an_address_is_ours_if_it_can_be_listened_on():
    assert host_names._is_ours("127.0.0.1")  # noqa: SLF001
    assert not host_names._is_ours("192.0.2.44")  # noqa: SLF001 — for documents, RFC 5737


@pytest.mark.parametrize(
    ("path", "kind"),
    [
        ("/rigs", "page"), ("/api/rigs", "api"), ("/static/style.css", "static"),
        ("/worker.js", "static"), ("/health/notebook", "health"), ("/", "page"),
    ],
)  # fmt: skip
def test_of_an_address_its_kind_is_counted(path, kind):
    assert kind_of(path) == kind


def test_a_line_of_the_log_is_json_whatever_signs_a_console_lacks():
    record = logging.makeLogRecord({"name": "tapewright.web", "msg": "“Żuraw” is away"})
    line = JsonLines().format(record).encode("ascii")
    assert json.loads(line)["message"] == "“Żuraw” is away"


def test_a_notebook_that_hangs_is_asked_once_and_not_waited_for(monkeypatch):
    monkeypatch.setattr("tapewright.faces.web.server.health.WAIT_S", 0.05)
    asked = []

    def hang():
        asked.append(1)
        time.sleep(2.0)

    pulse = Pulse(hang)
    assert [pulse.beat() for _ in range(3)] == [None] * 3
    assert asked == [1]


def test_a_notebook_that_refuses_is_told_as_away_and_one_that_answers_with_its_time(monkeypatch):
    def refuse():
        raise NotebookUnusable("there", "it is away", "Wait")

    assert Pulse(refuse).beat() is None
    assert Pulse(lambda: None).beat() >= 0.0
    monkeypatch.setattr("tapewright.faces.web.server.health.FRESH_S", -1.0)
    answers = iter([refuse, lambda: None])
    pulse = Pulse(lambda: next(answers)())  # noqa: PLW0108 — another one each time
    assert pulse.beat() is None
    assert pulse.beat() is not None

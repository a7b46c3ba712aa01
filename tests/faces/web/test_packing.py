"""What goes over a slow line is packed, and HEAD asks for what GET would bring."""

import asyncio
import gzip
import threading

import httpx2
import pytest

from tapewright.faces.web.server import security
from tapewright.faces.web.server.security import Rules

ADDRESSES = ("/rigs", "/rigs/{}", "/rigs/{}/tape", "/rigs/{}/tape.pdf", "/api/rigs", "/wishes",
             "/health", "/static/style.css", "/api/openapi.json", "/archive/download")  # fmt: skip


@pytest.mark.parametrize("address", ADDRESSES)
def test_head_tells_what_get_would_bring(client, rig_id, address):
    address = address.format(rig_id)
    asked, brought = client.head(address), client.get(address)
    assert asked.status_code == brought.status_code == 200
    assert asked.content == b""
    for name in ("content-type", "content-length", "cache-control"):
        assert asked.headers.get(name) == brought.headers.get(name), name


def test_head_of_what_is_not_there_and_of_what_cannot_be_got(client):
    assert client.head("/nothing").status_code == 404
    told = client.head("/sample")
    assert told.status_code == 405
    assert told.headers["allow"] == "POST"


def test_a_refusal_names_everything_that_may_be_done(client, rig_id):
    told = client.delete("/api/printers")
    assert (told.status_code, told.headers["allow"]) == (405, "GET, HEAD, POST")
    told = client.options(f"/api/rigs/{rig_id}")
    assert (told.status_code, told.headers["allow"]) == (405, "GET, HEAD, PUT")
    assert client.post("/static/style.css").status_code == 405


def test_a_page_of_the_tape_comes_over_a_slow_line_in_seconds(client, rig_id):
    sent = 0
    for address in (f"/rigs/{rig_id}/tape", f"/rigs/{rig_id}/strip.svg"):
        told = client.get(address, headers={"accept-encoding": "gzip"})
        sent += int(told.headers["content-length"])
        assert told.headers["content-encoding"] == "gzip"
        assert "accept-encoding" in told.headers["vary"].casefold()
        plain = client.get(address, headers={"accept-encoding": "identity"})
        assert "content-encoding" not in plain.headers
        assert plain.content == told.content
    assert len(told.content) > 50_000  # eight seconds at 6 kB/s
    assert sent < 30_000  # five


@pytest.mark.parametrize("address", ["/health", "/rigs/{}/tape.pdf"])
def test_what_is_small_or_packed_already_is_sent_as_it_is(client, rig_id, address):
    told = client.get(address.format(rig_id), headers={"accept-encoding": "gzip"})
    assert told.status_code == 200
    assert "content-encoding" not in told.headers
    assert int(told.headers["content-length"]) == len(told.content)


def test_a_static_file_is_the_same_packed_and_plain(client):
    plain = client.get("/static/style.css", headers={"accept-encoding": "identity"}).content
    with client.stream("GET", "/static/style.css", headers={"accept-encoding": "gzip"}) as told:
        packed = b"".join(told.iter_raw())
    assert gzip.decompress(packed) == plain
    assert len(packed) < len(plain) / 3


class Kitchen:
    """An app in which one request is held until it is told to go on."""

    def __init__(self):
        self.begun, self.go_on, self.at_work, self.most = threading.Event(), asyncio.Event(), 0, 0

    async def __call__(self, scope, receive, send):
        self.at_work += 1
        self.most = max(self.most, self.at_work)
        if scope["path"].endswith("slow"):
            await self.go_on.wait()
        self.at_work -= 1
        await receive()
        await send({"type": "http.response.start", "status": 200, "headers": []})
        await send({"type": "http.response.body", "body": b"done"})


def asked(told, turn_s, monkeypatch):
    """What people are told who ask at once, each as (address, path)."""
    monkeypatch.setattr(security, "TURN_S", turn_s)
    kitchen = Kitchen()
    gate = security.Gate(kitchen, Rules(frozenset({"127.0.0.1"})))

    async def ask(address, path):
        way = httpx2.ASGITransport(app=gate, client=(address, 1))
        async with httpx2.AsyncClient(transport=way, base_url="http://127.0.0.1") as browser:
            return await browser.get(path)

    async def all_of_it():
        waiting = []
        for address, path in told:
            waiting.append(asyncio.create_task(ask(address, path)))
            await asyncio.sleep(0.01)
        done, _ = await asyncio.wait(waiting, timeout=3.0, return_when=asyncio.FIRST_COMPLETED)
        first = [one in done for one in waiting]
        await asyncio.sleep(0.3)
        kitchen.go_on.set()
        return first, await asyncio.gather(*waiting)

    return asyncio.run(asyncio.wait_for(all_of_it(), 60)), kitchen


def test_other_people_do_not_wait_for_ones_long_work(monkeypatch):
    people = [("192.0.2.1", "/rigs/a/slow"), ("192.0.2.1", "/rigs/b"), ("192.0.2.2", "/rigs/b")]
    (first, answers), _ = asked(people, 20.0, monkeypatch)
    assert first == [False, False, True]
    assert [one.status_code for one in answers] == [200, 200, 200]


def test_who_takes_in_what_a_phone_kept_works_on_one_thing_at_a_time(monkeypatch):
    people = [("192.0.2.1", "/hand-over/take/slow"), ("192.0.2.1", "/rigs/b")]
    (first, _), _ = asked(people, 20.0, monkeypatch)
    assert first == [False, False]


def test_who_waits_too_long_is_told_to_come_again(monkeypatch):
    people = [("192.0.2.1", "/rigs/a/slow"), ("192.0.2.1", "/api/rigs/b/x")]
    (first, answers), _ = asked(people, 0.05, monkeypatch)
    assert first == [False, True]
    assert answers[1].status_code == 429
    assert answers[1].headers["retry-after"] == "5"
    assert answers[1].json()["title"].endswith("nothing of this request was done.")
    assert answers[0].text == "done"


def test_long_work_does_not_keep_the_same_person_from_the_list(monkeypatch):
    people = [("192.0.2.1", "/rigs/a/slow"), ("192.0.2.1", "/rigs")]
    (first, _), _ = asked(people, 20.0, monkeypatch)
    assert first == [False, True]


def test_a_body_is_waited_for_before_its_turn_is_taken(client, rig_id):
    told = client.post(f"/rigs/{rig_id}/withdraw", data={"seen": "1"})
    assert told.status_code == 303
    assert (
        client.get("/api/rigs?withdrawn=true").json()[0]["id"] == rig_id
    )  # the turn was given back

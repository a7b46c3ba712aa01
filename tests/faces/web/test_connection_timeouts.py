"""Slow, many and twisted connections: each has an end, and other people are served meanwhile."""

import asyncio
import errno
import http.client
import logging
import socket
import threading
import time
from contextlib import suppress

import pytest
import uvicorn

from tapewright.faces.web.app import build_app
from tapewright.faces.web.server.connection_limits import Door, Limits, household
from tapewright.faces.web.server.connection_timeouts import Connection, new_loop
from tapewright.faces.web.server.security import Rules

WAIT_S = 60.0
HEAD = b"GET /health HTTP/1.1\r\nHost: 127.0.0.1\r\n"
WHOLE = HEAD + b"\r\n"


def serve(app, limits):
    """The app behind connections with limits of their own; its port and how to stop it."""
    kind = type("Limited", (Connection,), {"limits": limits})
    config = uvicorn.Config(
        app, port=0, log_level="error", http=kind, ws="none", lifespan="off", timeout_keep_alive=30,
        loop="tapewright.faces.web.server.connection_timeouts:new_loop",
        h11_max_incomplete_event_size=32_768,
        timeout_graceful_shutdown=5,
    )  # fmt: skip
    server, sock = uvicorn.Server(config), config.bind_socket()
    port = sock.getsockname()[1]
    thread = threading.Thread(target=server.run, kwargs={"sockets": [sock]})
    thread.start()
    until = time.monotonic() + WAIT_S
    while not server.started and time.monotonic() < until:
        time.sleep(0.02)

    def stop():
        server.should_exit = True
        thread.join(WAIT_S)
        assert not thread.is_alive()

    return port, stop


@pytest.fixture
def served(notebook):
    """Start the app with limits; its port."""
    stops = []

    def start(**limits):
        app = build_app(notebook, Rules(frozenset({"127.0.0.1"})))
        port, stop = serve(app, Limits(**limits))
        stops.append(stop)
        return port

    yield start
    for stop in stops:
        stop()


def connect(port, source="127.0.0.1"):
    line = socket.create_connection(("127.0.0.1", port), WAIT_S, source_address=(source, 0))
    line.settimeout(WAIT_S)
    return line


def everything(line):
    """All that comes until the other side closes."""
    found = b""
    try:
        while more := line.recv(65536):
            found += more
    except ConnectionError:
        pass
    return found


def is_closed_while(doing):
    """Whether the other side closes while something is done again and again."""
    until = time.monotonic() + WAIT_S
    try:
        while time.monotonic() < until:
            doing()
    except ConnectionError:
        return True
    return False


def status(port, source="127.0.0.1"):
    line = http.client.HTTPConnection("127.0.0.1", port, WAIT_S, source_address=(source, 0))
    line.request("GET", "/health")
    answer = line.getresponse()
    answer.read()
    line.close()
    return answer.status


@pytest.mark.parametrize(("sent", "told"), [(b"", b""), (b"GE", b"408"), (HEAD, b"408")])
def test_a_head_that_does_not_come_is_not_waited_for(served, sent, told):
    port = served(head_s=0.3)
    with connect(port) as line:
        line.sendall(sent)
        answer = everything(line)
    assert answer.startswith(b"HTTP/1.1 408" if told else b"")
    assert bool(answer) == bool(told)


def test_a_head_that_comes_byte_by_byte_is_not_waited_for(served):
    port = served(head_s=1.0)
    with connect(port) as line:
        line.sendall(HEAD)

        def drip():
            line.sendall(b"x")
            time.sleep(0.05)

        assert is_closed_while(drip)


def test_a_slow_body_is_not_waited_for_and_a_slow_phone_is(served):
    head = POST + FORM + b"Content-Length: %d\r\n\r\n"
    port = served(patience_s=0.5, least_bytes_s=200.0)
    with connect(port) as line:
        line.sendall(head % 100_000)
        line.sendall(b"0123456789")
        assert everything(line).startswith(b"HTTP/1.1 408")
    port = served(patience_s=20.0, least_bytes_s=200.0)
    with connect(port) as line:
        line.sendall(head % 40)
        for _ in range(4):
            line.sendall(b"units=xxx&")
            time.sleep(0.3)
        assert line.recv(15) == b"HTTP/1.1 303 Se"


def test_an_answer_that_nobody_takes_is_thrown_away(served):
    port = served(patience_s=0.5, least_bytes_s=1e6)
    with socket.socket() as line:
        line.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 4096)
        line.settimeout(WAIT_S)
        line.connect(("127.0.0.1", port))
        ask = b"GET /static/style.css HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n"

        def ask_on():  # and read nothing
            line.sendall(ask * 20)
            time.sleep(0.1)

        assert is_closed_while(ask_on)


def test_one_address_holds_so_many_connections_and_others_are_served(served):
    port = served(of_one=5, head_s=60.0)
    strangers = [connect(port, "127.0.0.7") for _ in range(12)]
    for line in strangers:
        line.sendall(HEAD)
    assert status(port, "127.0.0.8") == 200
    assert status(port, "127.0.0.7") == 200  # the longest waited for made room
    still_open = 0
    for line in strangers:
        line.settimeout(0.3)
        try:
            still_open += bool(line.recv(1)) and 0
        except TimeoutError:
            still_open += 1
        except ConnectionError:
            pass
        line.close()
    assert still_open in (4, 5)


def test_when_there_is_no_room_those_who_hold_most_go_first(served):
    port = served(of_all=32, of_one=20, head_s=60.0)
    kept = connect(port, "127.0.1.9")  # a person who asked, and whose line stays open
    kept.sendall(WHOLE)
    assert kept.recv(12) == b"HTTP/1.1 200"
    strangers = [connect(port, f"127.0.0.{2 + one % 10}") for one in range(300)]
    assert status(port, "127.0.1.8") == 200
    kept.sendall(WHOLE)
    time.sleep(0.1)
    assert b"HTTP/1.1 200" in kept.recv(65536)
    for line in (kept, *strangers):
        line.close()


GET = b"GET /rigs HTTP/1.1\r\nHost: 127.0.0.1\r\n"
POST = b"POST /wishes HTTP/1.1\r\nHost: 127.0.0.1\r\n"
CHUNKED, NO_MORE = b"Transfer-Encoding: chunked\r\n", b"\r\n0\r\n\r\n"
FORM = b"Content-Type: application/x-www-form-urlencoded\r\n"
TWISTED = [
    GET.replace(b"/rigs", b"http://127.0.0.1/rigs") + b"\r\n",
    GET.replace(b"GET /rigs", b"OPTIONS *") + b"\r\n",
    GET.replace(b"GET /rigs", b"CONNECT 127.0.0.1:80") + b"\r\n",
    POST + b"Content-Length: 5\r\n" + CHUNKED + NO_MORE + GET + b"\r\n",
    POST + b"Content-Length: 5\r\nContent-Length: 6\r\n\r\nabcdef",
    POST + b"Content-Length: +5\r\n\r\nabcde",
    POST + b"Content-Length: -5\r\n\r\nabcde",
    POST + b"Content-Length: 0x5\r\n\r\nabcde",
    POST + b"Transfer-Encoding: xchunked\r\n" + NO_MORE,
    POST + b"Transfer-Encoding: chunked, identity\r\n" + NO_MORE,
    POST.replace(b"1.1", b"1.0") + CHUNKED + NO_MORE,
    POST + b"Transfer-Encoding : chunked\r\n" + NO_MORE,
    GET + b"Host: other.example\r\n\r\n",
    b"GET /rigs HTTP/1.1\r\n\r\n",
    GET.replace(b"HTTP/1.1", b"HTTP/9.9") + b"\r\n",
    b"\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\x03" + b"\x00" * 60 + b"\r\n\r\n",
    GET + b"Cookie: " + b"x" * 40_000,
    b"GET /" + b"x" * 40_000,
    GET + b"".join(b"A%d: b\r\n" % one for one in range(9000)),
]


def test_twisted_requests_are_refused_and_closed(served, capfd):
    port = served(head_s=20.0, linger_s=0.5)
    for sent in TWISTED:
        with connect(port) as line:
            try:
                line.sendall(sent)
            except ConnectionError:
                continue  # closed while it was still sending
            told = everything(line)
        assert told == b"" or told.startswith(b"HTTP/1.1 4"), (sent[:80], told[:80])
        assert told.count(b"HTTP/1.1") <= 1, sent[:80]  # nothing behind it was read as a request
    assert status(port) == 200
    assert "Traceback" not in capfd.readouterr().err


@pytest.mark.parametrize("behind", [b"\x01\x02junk\r\n\r\n" * 50, WHOLE * 49])
def test_whatever_is_sent_into_an_answer_is_not_worked_on(served, behind):
    # fifty requests at once would be fifty answers for one place at the door
    port = served()
    with connect(port) as line:
        line.sendall(WHOLE + behind)
        told = everything(line)
    assert told.startswith(b"HTTP/1.1 200")
    assert told.count(b"HTTP/1.1 ") == 1
    assert status(port) == 200


def test_one_request_after_another_keeps_its_connection(served):
    port = served()
    line = http.client.HTTPConnection("127.0.0.1", port, timeout=WAIT_S)
    for _ in range(3):
        line.request("GET", "/health")
        assert line.getresponse().read() == b"well"
    assert line.sock is not None
    line.close()


def test_chunks_without_end_are_refused(served):
    port = served(linger_s=0.5)
    chunk = b"ffff\r\n" + b"x" * 0xFFFF + b"\r\n"
    with connect(port) as line:
        line.sendall(POST + CHUNKED + FORM + b"\r\n")
        assert is_closed_while(lambda: line.sendall(chunk))
    assert status(port) == 200


def test_the_old_version_of_the_protocol_is_answered_and_closed(served):
    port = served()
    with connect(port) as line:
        line.sendall(b"GET /health HTTP/1.0\r\nHost: 127.0.0.1\r\n\r\n")
        told = everything(line)
    assert told.startswith(b"HTTP/1.1 200")
    assert told.endswith(b"well")


def test_clients_that_hang_up_leave_no_trace(served, capfd):
    port = served()
    for sent in (
        b"",
        HEAD,
        WHOLE,
        WHOLE * 30,
        GET + b"\r\n",
        POST + FORM + b"Content-Length: 500\r\n\r\nname=",
        POST.replace(b"/wishes", b"/rigs/new") + FORM + b"Content-Length: 500\r\n\r\nname=",
        POST.replace(b"/wishes", b"/api/rigs") + b"Content-Length: 500\r\n\r\n{",
        POST.replace(b"/wishes", b"/archive") + b"Content-Length: 50000\r\n"
        b"Content-Type: multipart/form-data; boundary=b\r\n\r\n--b\r\n",
        POST.replace(b"/wishes", b"/api/archive") + CHUNKED + b"\r\n5\r\n[",
    ):
        for _ in range(3):
            line = connect(port)
            line.sendall(sent)
            line.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, b"\x01\0\0\0\0\0\0\0")
            time.sleep(0.02)
            line.close()  # at once, with a reset
    assert status(port) == 200
    told = capfd.readouterr()
    assert told.err == ""
    assert told.out == ""


def test_work_cut_short_by_a_stop_leaves_no_trace(caplog):
    new_loop().close()
    log = logging.getLogger("uvicorn.error")
    log.error("Exception in ASGI application", exc_info=asyncio.CancelledError())
    log.error("something else")
    assert caplog.messages == ["something else"]


def test_a_household_is_what_one_device_owns():
    assert household("192.0.2.7") == "192.0.2.7"
    assert household("::ffff:192.0.2.7") == "192.0.2.7"
    first = household("2001:db8:1:2::5")
    assert household("2001:db8:1:2:ffff:1:2:3") == first
    assert household("2001:db8:1:3::5") != first
    assert household("") == ""


def test_those_at_the_door_count_before_they_are_inside():
    loop = new_loop()
    door = Door(Limits(of_all=3), loop)
    for owner in ("greedy", "greedy"):
        assert door.is_welcome(owner)
        door.expect(owner)
    assert door.is_welcome("modest")
    door.expect("modest")
    assert not door.is_welcome("greedy")  # three are expected, two of them its own
    door.arrived("greedy")
    assert door.is_welcome("greedy")
    loop.close()


def test_some_are_closed_once_for_all_sockets_that_found_no_file():
    loop = new_loop()
    door = Door(Limits(of_all=3), loop)
    assert door.close_some()
    assert not door.close_some()
    loop.close()


def test_a_server_without_files_lets_slow_ones_go_and_says_so(served, monkeypatch, caplog):
    port = served(head_s=60.0)
    strangers = [connect(port, "127.0.0.7") for _ in range(8)]
    assert status(port, "127.0.0.8") == 200  # all of them are inside
    real, full = socket.socket.accept, [True]

    def accept(sock):
        if full:
            full.pop()
            raise OSError(errno.EMFILE, "Too many open files")
        return real(sock)

    monkeypatch.setattr(socket.socket, "accept", accept)
    assert status(port, "127.0.0.8") == 200
    assert caplog.messages == ["The system has no more files to open; slow connections are closed."]
    closed = 0
    for line in strangers:
        line.settimeout(0.2)
        with suppress(TimeoutError):
            closed += line.recv(1) == b""
        line.close()
    assert closed == 2  # a quarter

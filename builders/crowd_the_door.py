"""Crowd the door: thousands of slow strangers hold connections while other people want a page.

    python builders/crowd_the_door.py [--connections 10000] [--addresses 200] [--seconds 60]

The server runs with 1024 open files at most. Strangers send nothing, half a head, a byte of a head
a second, a body at ten bytes a second, or take no answer; whoever is closed comes again two
seconds later. Everything stays on this machine's own addresses and ends by itself.

Holds:  the strangers, the people, the server; one line of figures.
Never:  assertions: tests/faces/web/test_connection_timeouts.py has a small form of it.
"""

import argparse
import asyncio
import http.client
import json
import multiprocessing
import os
import random
import resource
import socket
import subprocess
import sys
import tempfile
import threading
import time
from contextlib import suppress
from pathlib import Path
from statistics import median

FILES = 1024
PEOPLE, PAUSE_S, AGAIN_S, UP_S = 5, 0.2, 2.0, 30.0
HEAD = b"GET /rigs HTTP/1.1\r\nHost: 127.0.0.1\r\n"
BODY = (
    b"POST /rigs/new HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Length: 100000\r\n"
    b"Content-Type: application/x-www-form-urlencoded\r\n\r\n"
)
ANSWERS = b"GET /static/style.css HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n"


async def stranger(number, addresses, port, until, tally):
    """Hold a connection as long as it is left open, in one of five ways, again and again."""
    way = number % 5
    source = (f"127.0.{1 + number % addresses // 250}.{2 + number % addresses % 250}", 0)
    await asyncio.sleep(random.Random(number).random() * AGAIN_S)  # noqa: S311 — no secret
    while time.monotonic() < until:
        try:
            reader, writer = await asyncio.wait_for(
                asyncio.open_connection("127.0.0.1", port, local_addr=source), 10
            )
        except (OSError, TimeoutError) as error:
            tally["refused"] += 1
            kind = f"{type(error).__name__} {getattr(error, 'errno', '')}"
            tally[kind] = tally.get(kind, 0) + 1
            await asyncio.sleep(AGAIN_S)
            continue
        tally["opened"] += 1
        with suppress(OSError):
            await hold(way, reader, writer, until)
        writer.transport.abort()
        await asyncio.sleep(AGAIN_S)


async def hold(way, reader, writer, until):
    """Keep the server waiting until it closes or the time is over."""
    first = (b"", HEAD, b"G", BODY, ANSWERS * 50)[way]
    writer.write(first)
    if way == 4:  # takes nothing: its own reader stops at 64 kB
        writer.transport.pause_reading()
    while time.monotonic() < until:
        if way in (2, 3):
            writer.write(b"x" if way == 2 else b"0123456789")
        with suppress(TimeoutError):
            if way != 4 and not await asyncio.wait_for(reader.read(1000), 1.0):
                return
        if way == 4:
            await asyncio.sleep(1.0)
            writer.write(b"x")  # finds out whether it was closed
        if writer.transport.is_closing():
            return


def strangers(connections, addresses, port, seconds, told):
    """All strangers, in a process of their own."""
    tally = {"opened": 0, "refused": 0}

    async def come():
        until = time.monotonic() + seconds
        every = (stranger(one, addresses, port, until, tally) for one in range(connections))
        await asyncio.wait_for(asyncio.gather(*every), seconds + 60)

    soft, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
    wanted = connections + 200
    resource.setrlimit(resource.RLIMIT_NOFILE, (wanted if hard < 0 else min(wanted, hard), hard))
    with suppress(TimeoutError):
        asyncio.run(come())
    told.put(tally | {"files": soft})


def person(number, port, until, spent, wrong):
    """Ask for a page again and again, each time on a connection of its own; seconds it took."""
    while time.monotonic() < until:
        start = time.monotonic()
        line = http.client.HTTPConnection(
            "127.0.0.1", port, timeout=10, source_address=(f"127.0.9.{1 + number}", 0)
        )
        try:
            line.request("GET", ("/rigs", "/wishes", "/health")[number % 3])
            answer = line.getresponse()
            answer.read()
            if answer.status != 200:
                wrong.append(answer.status)
        except (OSError, http.client.HTTPException) as error:
            wrong.append(repr(error))
        spent.append(time.monotonic() - start)
        line.close()
        time.sleep(PAUSE_S)


def free_port():
    """Port that nobody listens on."""
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return one.getsockname()[1]


def crowd(connections, addresses, seconds, files=FILES):
    """What people lived through, as a dictionary of figures."""
    port = free_port()
    with tempfile.TemporaryDirectory() as folder:
        command = [sys.executable, "-m", "tapewright", "serve", "--no-browser", "--port", str(port)]
        server = subprocess.Popen(
            [*command, "--notebook", f"{folder}/notebook.db"],
            stdout=subprocess.DEVNULL,
            stderr=subprocess.PIPE,
            preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_NOFILE, (files, files)),  # noqa: PLW1509 — no threads yet
        )
        try:
            return _figures(port, server, connections, addresses, seconds)
        finally:
            server.terminate()
            said = server.communicate(timeout=30)[1].decode()
            print(said[-2000:], file=sys.stderr)


def _figures(port, server, connections, addresses, seconds):
    until = time.monotonic() + UP_S
    while time.monotonic() < until and server.poll() is None:
        with suppress(OSError), socket.create_connection(("127.0.0.1", port), 1):
            break
        time.sleep(0.1)
    line = http.client.HTTPConnection("127.0.0.1", port, timeout=30)
    line.request("POST", "/sample")
    line.getresponse().read()
    told = multiprocessing.Queue()
    crowd = multiprocessing.Process(
        target=strangers, args=(connections, addresses, port, seconds, told)
    )
    spent, wrong = [], []
    until = time.monotonic() + seconds
    crowd.start()
    people = [
        threading.Thread(target=person, args=(one, port, until, spent, wrong))
        for one in range(PEOPLE)
    ]
    for one in people:
        one.start()
    for one in people:
        one.join(seconds + 60)
    worked = sum(map(int, Path(f"/proc/{server.pid}/stat").read_text().split()[13:15]))
    tally = told.get(timeout=90)
    crowd.join(30)
    return {
        "connections": connections, "addresses": addresses, "seconds": seconds,
        "strangers": tally,
        "requests": len(spent), "failed": len(wrong), "failures": wrong[:5],
        "server_worked_s": worked / os.sysconf("SC_CLK_TCK"),
        "median_s": round(median(spent), 3), "slowest_s": round(max(spent), 3),
    }  # fmt: skip


if __name__ == "__main__":
    asked = argparse.ArgumentParser()
    asked.add_argument("--connections", type=int, default=10_000)
    asked.add_argument("--addresses", type=int, default=200)
    asked.add_argument("--seconds", type=float, default=60.0)
    said = asked.parse_args()
    print(json.dumps(crowd(said.connections, said.addresses, said.seconds), indent=1))

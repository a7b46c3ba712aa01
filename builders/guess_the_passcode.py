"""Guess the passcode: a thousand guesses at once, while the owner comes from another address.

    python builders/guess_the_passcode.py [--guesses 1000] [--workers 1]

How many were looked at, and how long the owner waited. It stays on this machine's own addresses.

Holds:  the guessers, the owner, the server; one line of figures.
Never:  assertions: tests/faces/web/test_entrance.py has a small form of it.
"""

import argparse
import http.client
import json
import socket
import subprocess
import sys
import tempfile
import threading
import time
from collections import Counter
from contextlib import suppress
from pathlib import Path
from urllib.parse import urlencode

from tapewright.faces.web.server.passcode import new_passcode, save_passcode

RIGHT = "quiet heron by the mill"
UP_S = 60.0
FORM = {"Content-Type": "application/x-www-form-urlencoded"}


def enter(port, source, typed):
    """Status of an attempt and the seconds it took; 0 if the connection was refused."""
    start = time.monotonic()
    line = http.client.HTTPConnection("127.0.0.1", port, 60, source_address=(source, 0))
    try:
        line.request("POST", "/enter", urlencode({"passcode": typed}), FORM)
        status = line.getresponse().status
    except (OSError, http.client.HTTPException):
        status = 0
    finally:
        line.close()
    return status, time.monotonic() - start


def guess(guesses, workers):
    """What guessers and the owner lived through, as a dictionary of figures."""
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        port = one.getsockname()[1]
    with tempfile.TemporaryDirectory() as folder:
        save_passcode(new_passcode(RIGHT), Path(folder) / "notebook.passcode")
        command = [sys.executable, "-m", "tapewright", "serve", "--no-browser", "--port", str(port)]
        command += ["--workers", str(workers), "--name", "127.0.0.1"]
        command += ["--notebook", f"{folder}/notebook.db"]
        server = subprocess.Popen(command, stdout=subprocess.DEVNULL)
        try:
            until = time.monotonic() + UP_S
            while time.monotonic() < until:
                with suppress(OSError), socket.create_connection(("127.0.0.1", port), 1):
                    break
                time.sleep(0.1)
            return _figures(port, guesses, workers)
        finally:
            server.terminate()
            server.wait(30)


def _figures(port, guesses, workers):
    told = []
    threads = [
        threading.Thread(target=lambda n=n: told.append(enter(port, "127.0.0.66", f"guess {n}")))
        for n in range(guesses)
    ]
    for one in threads:
        one.start()
    status, spent_s = enter(port, "127.0.0.5", RIGHT)
    for one in threads:
        one.join(120)
    found = Counter(one for one, _ in told)
    return {
        "guesses": guesses, "workers": workers, "looked_at": found[403], "told_to_wait": found[429],
        "connection_closed": found[0],
        "owner": status, "owner_waited_s": round(spent_s, 3),
    }  # fmt: skip


if __name__ == "__main__":
    asked = argparse.ArgumentParser()
    asked.add_argument("--guesses", type=int, default=1000)
    asked.add_argument("--workers", type=int, default=1)
    said = asked.parse_args()
    print(json.dumps(guess(said.guesses, said.workers), indent=1))

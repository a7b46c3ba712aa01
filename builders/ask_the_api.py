"""Ask the API: a foreign generator asks all of it, in all its phases, over a real connection.

    python builders/ask_the_api.py [--minutes 10] [--seed 1]

Phases: examples, coverage, fuzzing, stateful. One check is left out, that whatever fits the
description is taken: a description cannot say what makes a rig sheet, a distance or an archive
right, and those refusals are documented. What is too long to be read (413) counts as refused. One
finding is known and stays: a head of more than 64 kB is refused in plain text by what speaks HTTP,
before anybody knows that it was meant for the API. The exit status is the generator's: 0 if
nothing was found.

Holds:  a server over a notebook of its own with the sample rig; the call.
Never:  assertions of ours.
"""

import argparse
import http.client
import socket
import subprocess
import sys
import tempfile
import time
from contextlib import suppress
from pathlib import Path

UP_S = 60.0
LEFT_OUT = "positive_data_acceptance"
REFUSED = """[checks.negative_data_rejection]
expected-statuses = ["400", "404", "409", "413", "415", "422"]
"""


def ask(minutes, seed):
    """Status of the generator, after it asked for so long."""
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        port = one.getsockname()[1]
    with tempfile.TemporaryDirectory() as folder:
        Path(folder, "schemathesis.toml").write_text(REFUSED, encoding="utf-8")
        command = [sys.executable, "-m", "tapewright", "serve", "--no-browser", "--port", str(port)]
        server = subprocess.Popen([*command, "--notebook", f"{folder}/notebook.db"])
        try:
            until = time.monotonic() + UP_S
            while time.monotonic() < until:
                with suppress(OSError), socket.create_connection(("127.0.0.1", port), 1):
                    break
                time.sleep(0.1)
            line = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
            line.request("POST", "/sample")
            line.getresponse().read()
            line.close()
            words = ["run", f"http://127.0.0.1:{port}/api/openapi.json", "--seed", str(seed)]
            words += [
                "--phases",
                "examples,coverage,fuzzing,stateful",
                "--exclude-checks",
                LEFT_OUT,
            ]
            words += ["--max-time", str(int(60 * minutes)), "--request-timeout", "60"]
            words += ["--continue-on-failure", "--max-failures", "500", "--no-color"]
            # the generator keeps files where it is called; so it is called where they vanish
            generator = Path(sys.executable).with_name("schemathesis")
            return subprocess.run([generator, *words], cwd=folder, check=False).returncode
        finally:
            server.terminate()
            server.wait(30)


if __name__ == "__main__":
    asked = argparse.ArgumentParser()
    asked.add_argument("--minutes", type=float, default=10.0)
    asked.add_argument("--seed", type=int, default=1)
    said = asked.parse_args()
    sys.exit(ask(said.minutes, said.seed))

"""Packed program: one folder that needs no Python: a double click opens the notebook.

Such a program is started by a person with words, by a double click without any, and by itself as a
worker of a batch or as a process of the server.

Holds:  what a start without words does, in a window that would close at once too.
Never:  commands (commands.py), how it is packed.
"""

import multiprocessing
import os
import socket
import sys
import webbrowser
from contextlib import suppress
from http.client import HTTPConnection, HTTPException

import click

from tapewright.faces.cli.commands import main as commands
from tapewright.services import by_processes

PORT, PORTS, APART = 8640, 20, 2  # where the notebook opens; further ones, as --https takes two
WAIT_S = 2.0
FOLDERS_OF_LIBRARIES = ("LD_LIBRARY_PATH", "DYLD_LIBRARY_PATH")


def main() -> None:
    """Do what was asked for; without words open the notebook in a browser."""
    multiprocessing.freeze_support()  # a process of the server ends here
    words = sys.argv[1:]
    if words == [by_processes.WORKER]:
        by_processes.serve()
        return
    _give_back_libraries()
    if words:
        commands(prog_name="tapewright")
        return
    asked = _without_words()
    if not asked:
        return
    try:
        status = commands(asked, prog_name="tapewright", standalone_mode=False)
    except click.exceptions.Exit as ended:
        status = ended.exit_code
    if status and sys.stdin is not None and sys.stdin.isatty():
        with suppress(EOFError, KeyboardInterrupt):
            input("Press Enter to close this window. ")
    sys.exit(status)


def _give_back_libraries() -> None:
    """A browser that we open looks for libraries where it always does, not among ours."""
    for name in FOLDERS_OF_LIBRARIES:
        before = os.environ.pop(f"{name}_ORIG", None)
        if before is not None:
            os.environ[name] = before
        else:
            os.environ.pop(name, None)
    os.environ["PYINSTALLER_RESET_ENVIRONMENT"] = "1"  # our own workers look among ours again


def _without_words() -> list[str]:
    """What a double click asks for: the notebook, if it is not open already and shown."""
    for port in range(PORT, PORT + PORTS * APART, APART):
        if _is_free(port):
            click.echo("This opens your notebook in a browser and stays open beside it.")
            click.echo("In a terminal the same program knows commands: tapewright -h lists them.\n")
            return ["serve", "--port", str(port)]
        if _is_ours(port):
            address = f"http://127.0.0.1:{port}/"
            click.echo(f"The notebook is open already, at {address}")
            webbrowser.open(address)
            return []
    return ["serve"]  # which says what is wrong with the port


def _is_free(port: int) -> bool:
    try:
        socket.create_connection(("127.0.0.1", port), timeout=WAIT_S).close()
    except ConnectionRefusedError:
        return True
    except OSError:
        return False
    return False


def _is_ours(port: int) -> bool:
    """Whether this program answers there."""
    asking = HTTPConnection("127.0.0.1", port, timeout=WAIT_S)
    try:
        asking.request("GET", "/rigs")
        answer = asking.getresponse()
        return b"Tapewright" in answer.read(100_000)
    except (OSError, HTTPException):
        return False
    finally:
        asking.close()

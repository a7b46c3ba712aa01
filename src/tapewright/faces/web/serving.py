"""Serving: the web app on a port: who may come in, under which names, with how many workers.

Holds:  the Plan of a server and running it; names of this machine on the local network; its
        certificate made ready; the app made anew in each worker from the environment.
Never:  pages, the words of the command (cli/serve.py).
"""

import errno
import logging
import os
import socket
import threading
import time
import webbrowser
from collections.abc import Collection, Mapping
from contextlib import ExitStack, closing, suppress
from dataclasses import dataclass
from datetime import datetime
from functools import partial
from ipaddress import ip_address
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

import uvicorn
from uvicorn.middleware.proxy_headers import ProxyHeadersMiddleware

from tapewright.faces.kept_stops import stops_verdict
from tapewright.faces.settings import VARIABLE
from tapewright.faces.web.app import build_app
from tapewright.faces.web.server.connection_limits import TRUSTED
from tapewright.faces.web.server.connection_timeouts import (
    HTTPS_FOLDER,
    HTTPS_PORT,
    KEEP_ALIVE_S,
    MOST_HEAD_BYTES,
    QUEUE,
    STOP_S,
    Connection,
)
from tapewright.faces.web.server.health import Pulse
from tapewright.faces.web.server.host_names import addresses_of, lan_names, leads_here
from tapewright.faces.web.server.logs import Log, settings
from tapewright.faces.web.server.metrics import FOLDER, Counts, prepare, tell
from tapewright.faces.web.server.passcode import choose_passcode, passcode_of, passcode_words
from tapewright.faces.web.server.security import Gate, Rules
from tapewright.faces.web.server.worker_processes import Workers
from tapewright.ground.errors import BadInput, NotebookUnusable
from tapewright.services.keep import open_notebook

if TYPE_CHECKING:
    from tapewright.faces.web.server.certificates import Ready

__all__ = ["choose_passcode", "passcode_of", "passcode_words"]  # of the command, too

HOSTS, PASSCODE_FILE = "TAPEWRIGHT_HOSTS", "TAPEWRIGHT_PASSCODE_FILE"
GUESSES_FILE = "TAPEWRIGHT_GUESSES_FILE"
FACTORY = "tapewright.faces.web.serving:app_from_environment"
LOOP = "tapewright.faces.web.server.connection_timeouts:new_loop"
LOG = logging.getLogger("tapewright.web")
HERE = ("127.0.0.1", "localhost")
ALONE: int = getattr(socket, "SO_EXCLUSIVEADDRUSE", socket.SO_REUSEADDR)  # Windows: else shared
UP_S, STEP_S = 20.0, 0.1
QUEUES = 4  # of those who wait to be taken in: 4096 each where the system allows it


@dataclass(frozen=True, slots=True)
class Plan:
    """How to serve."""

    notebook: str  # its address
    port: int  # where to listen
    lan: bool  # whether to the local network, too
    names: tuple[str, ...]  # further names under which the app is asked for
    passcode_file: Path | None  # where the passcode's hash is kept; None: nobody is asked for it
    workers: int  # processes
    proxies: tuple[str, ...] = ()  # addresses of servers that pass requests on and may say for whom
    https: Path | None = None  # folder of the certificate, if the app answers on https as well
    metrics: tuple[str, int] | None = None  # address and port at which counts are told
    log: Log = "errors"  # what is written while it runs

    @property
    def is_open(self) -> bool:
        """Whether others may come: by --lan, by a name of its own, or by a proxy elsewhere."""
        by_name = bool(self.names) and not self.proxies
        return self.lan or by_name or any(not ip_address(one).is_loopback for one in self.proxies)

    @property
    def bind(self) -> str:
        """Address to listen on."""
        return "0.0.0.0" if self.is_open else HERE[0]  # noqa: S104 — asked for

    @property
    def hosts(self) -> tuple[str, ...]:
        """Every name and address under which the app answers."""
        found = lan_names() if self.is_open else ()
        return tuple(dict.fromkeys((*HERE, *map(str.casefold, self.names), *found)))

    @property
    def address(self) -> str:
        """Address of the first page on this machine."""
        return f"http://{HERE[0]}:{self.port}/"

    @property
    def ports(self) -> tuple[int, ...]:
        """Where to listen: for https one higher than for http, always."""
        return (self.port,) if self.https is None else (self.port, self.port + 1)

    @property
    def lan_address(self) -> str:
        """Address of the first page for others."""
        return f"http://{self._for_others[0]}:{self.port}/"

    def https_address(self, left_out: Collection[str] = ()) -> str:
        """The same on https, under a name that the certificate holds."""
        named = [one for one in self._for_others if one not in left_out]
        return f"https://{named[0]}:{self.ports[-1]}/"

    @property
    def astray(self) -> dict[str, tuple[str, ...]]:
        """Names that lead elsewhere, or nowhere, and where to, as seen from here."""
        return {one: addresses_of(one) for one in self.names if not leads_here(one)}

    @property
    def _for_others(self) -> tuple[str, ...]:
        """Names that lead here first; those that do not (yet) are of no use to anybody."""
        names = filter(leads_here, self.names)
        return (*names, *(lan_names() if self.is_open else ()), HERE[0])


def make_ready(plan: Plan, now: datetime, *, anew: bool) -> "Ready":
    """Certificate for every name of a plan, made or renewed where that is due."""
    from tapewright.faces.web.server import certificates  # noqa: PLC0415 — slow, and seldom needed

    assert plan.https is not None
    return certificates.make_ready(plan.https, plan.hosts, now, anew=anew)


def refuse_taken(plan: Plan) -> None:
    """Refuse a port on which somebody listens already, or that may not be used."""
    for port in plan.ports:
        with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as tried:
            tried.setsockopt(socket.SOL_SOCKET, ALONE, 1)
            try:
                tried.bind((plan.bind, port))
            except (OSError, OverflowError) as refused:
                raise _taken(plan, port, refused) from None


def _taken(plan: Plan, port: int, refused: Exception) -> BadInput:
    """Why a port cannot be had."""
    if getattr(refused, "errno", 0) == errno.EADDRINUSE:
        wrong = f"somebody listens on port {port} already, perhaps this program"
        mend = f"Open {plan.address} to see, or choose another port with --port"
    else:
        wrong = (
            f"port {port} may not be used: {getattr(refused, 'strerror', '') or 'there is none'}"
        )
        mend = "Choose another with --port, above 1023"
    return BadInput("--port", wrong, mend)


def serve(plan: Plan, *, browser: bool) -> None:
    """Serve until somebody stops it; open a browser once it answers, if wanted."""
    refuse_taken(plan)
    if browser:
        threading.Thread(target=_open_when_up, args=(plan,), daemon=True).start()
    with TemporaryDirectory(prefix="tapewright-") as folder:
        os.environ |= surroundings(plan, Path(folder) / "guesses.db")
        if plan.metrics is not None:
            prepare(Path(folder) / "counts")
        _run(plan)


def _run(plan: Plan) -> None:
    config = uvicorn.Config(
        FACTORY,
        factory=True,
        host=plan.bind,
        port=plan.port,
        workers=plan.workers,
        http=Connection,
        ws="none",
        loop=LOOP,
        h11_max_incomplete_event_size=MOST_HEAD_BYTES,
        timeout_keep_alive=KEEP_ALIVE_S,
        timeout_graceful_shutdown=STOP_S,
        access_log=False,
        proxy_headers=False,
        server_header=False,
        **settings(plan.log),
    )
    with ExitStack() as until_end, suppress(KeyboardInterrupt):
        queues = [until_end.enter_context(closing(one)) for one in listening_sockets(plan)]
        workers = Workers(config, sockets=queues) if plan.workers > 1 else None
        if plan.metrics is not None:
            pulse = Pulse(partial(knock, plan.notebook))
            until_end.callback(tell(plan.metrics, pulse, workers.count if workers else lambda: 1))
        if workers:
            workers.run()
        else:
            uvicorn.Server(config).run(sockets=queues)


def knock(url: str) -> None:
    """Open a notebook and let it go: NotebookUnusable if it does not answer."""
    with closing(open_notebook(url)) as notebook:
        notebook.knock()


def listening_sockets(plan: Plan) -> list[socket.socket]:
    """Sockets at one address; whoever comes before the app is up waits there.

    The system keeps so many people waiting at each and asks the rest to come again after a second;
    where it lets several sockets share an address, it shares the people out among them. They
    listen at once, so that a second start of the program finds the port taken.
    """
    can_share = hasattr(socket, "SO_REUSEPORT")
    ports = [port for port in plan.ports for _ in range(QUEUES if can_share else 1)]
    sockets, port = [socket.socket() for _ in ports], plan.port
    try:
        for port, each in zip(ports, sockets, strict=True):
            each.setsockopt(socket.SOL_SOCKET, ALONE, 1)
            if can_share:
                each.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEPORT, 1)
            each.bind((plan.bind, port))
            each.set_inheritable(True)
            each.listen(QUEUE)
    except OSError as refused:
        for each in sockets:
            each.close()
        raise _taken(plan, port, refused) from None
    return sockets


def surroundings(plan: Plan, guesses_file: Path) -> dict[str, str]:
    """What a worker reads from its environment."""
    told = {
        VARIABLE: plan.notebook,
        HOSTS: ",".join(plan.hosts),
        TRUSTED: ",".join(plan.proxies),
        PASSCODE_FILE: "",
        GUESSES_FILE: str(guesses_file) if plan.workers > 1 else "",
        HTTPS_FOLDER: "" if plan.https is None else str(plan.https),
        HTTPS_PORT: str(plan.ports[-1]),
    }
    if plan.passcode_file is not None:
        told[PASSCODE_FILE] = str(plan.passcode_file)
    return told


def app_from_environment(
    environment: Mapping[str, str] = os.environ,
) -> Gate | ProxyHeadersMiddleware:
    """The app as the environment asks for it, once in each worker."""
    hosts = frozenset(one for one in environment.get(HOSTS, "").split(",") if one)
    file = environment.get(PASSCODE_FILE, "")
    passcode = passcode_of(Path(file)) if file else None
    if file and passcode is None:
        raise BadInput(file, "the passcode is gone", "Start the program anew")
    guesses = environment.get(GUESSES_FILE, "")
    rules = Rules(
        hosts or frozenset(HERE),
        passcode,
        Path(guesses) if guesses else None,
        https_folder=Path(folder) if (folder := environment.get(HTTPS_FOLDER, "")) else None,
        https_port=int(environment.get(HTTPS_PORT, "0")),
        counts=Counts() if environment.get(FOLDER) else None,
    )
    try:
        notebook = open_notebook(environment[VARIABLE], stops_verdict)
    except NotebookUnusable as away:  # a worker that takes another's place, and tries again
        LOG.error("%s", away)  # noqa: TRY400 — no fault of ours
        raise SystemExit(1) from away
    app = build_app(notebook, rules)
    proxies = [one for one in environment.get(TRUSTED, "").split(",") if one]
    if not proxies:
        return app
    return ProxyHeadersMiddleware(app, proxies)  # type: ignore[arg-type]  # narrower shapes


def _open_when_up(plan: Plan) -> None:
    until = time.monotonic() + UP_S
    while time.monotonic() < until:
        try:
            socket.create_connection((HERE[0], plan.port), timeout=STEP_S).close()
        except OSError:
            time.sleep(STEP_S)
        else:
            webbrowser.open(plan.address)
            return

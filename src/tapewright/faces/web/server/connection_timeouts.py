"""Connection timeouts: how long each may keep the server waiting.

The server library reads requests and runs the app; it has no time limit for heads and bodies and
no cap. The clocks stand here, on the class that it lets one exchange: whenever the next step
is the other side's, one runs. How many there may be is the door's business (connection_limits.py).

Holds:  a connection that keeps the Limits; the loop that takes in a few at once.
Never:  what a request may ask (security.py), pages.
"""

import asyncio
import errno
import logging
import os
import socket
import ssl
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

import h11
from uvicorn.config import Config
from uvicorn.protocols.http.h11_impl import H11Protocol
from uvicorn.server import ServerState

from tapewright.faces.web.server.connection_limits import FULL_S, Door, Limits, Step, household

MOST_HEAD_BYTES = 32_768
KEEP_ALIVE_S = 30
STOP_S = 10  # how long a stop waits for answers that are under way
AT_ONCE = 256  # looked at, at each socket, before those inside have their turn: most are closed
QUEUE = 4096  # those whom the system may keep waiting until then
HANDSHAKE_S, GOODBYE_S = 10.0, 1.0  # for what https needs before a request and at the end
HTTPS_PORT, HTTPS_FOLDER = "TAPEWRIGHT_HTTPS_PORT", "TAPEWRIGHT_HTTPS_FOLDER"
NO_ROOM = {errno.EMFILE, errno.ENFILE, errno.ENOBUFS, errno.ENOMEM}
BUSY = (
    b"HTTP/1.1 503 Service Unavailable\r\nretry-after: 5\r\nconnection: close\r\n"
    b"content-type: text/plain\r\ncontent-length: 54\r\n\r\n"
    b"Too many connections are open. Try again in 5 seconds."
)
LOG = logging.getLogger("tapewright.web")


class Connection(H11Protocol):
    """A connection whose every step has an end."""

    limits = Limits()

    def __init__(
        self,
        config: Config,
        server_state: ServerState,
        app_state: dict[str, Any],
        _loop: asyncio.AbstractEventLoop | None = None,
    ) -> None:
        super().__init__(config, server_state, app_state, _loop)
        self.door = Door.of(self.loop, self.limits)
        self.step, self.since_s = Step.FIRST, self.loop.time()
        self.owner = ""
        self._request: object = None  # to which the step belongs
        self._came = self._most_left = 0  # bytes in this step

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Take a place, or none if all are held by people who wait for us."""
        super().connection_made(transport)
        self.owner = household(self.client[0] if self.client else "")
        if not self.door.let_in(self):
            transport.write(BUSY)
            transport.close()

    def connection_lost(self, exc: Exception | None) -> None:
        """Leave the place; a client that hangs up is nothing to tell of."""
        self.door.leave(self)
        super().connection_lost(exc)

    def data_received(self, came: bytes) -> None:
        """Bytes came."""
        if self.transport.is_closing():
            return
        self._came += len(came)
        super().data_received(came)
        self.note()

    def on_response_complete(self) -> None:
        """An answer is written; who asked for more before it was out must come again.

        No browser sends the next request into an answer that is still due; a stranger who sends
        fifty at once would have fifty worked on for one place at the door.
        """
        if self.conn.trailing_data[0]:
            self.transport.close()
        super().on_response_complete()
        self.note()

    def pause_writing(self) -> None:
        """More is written than the other side takes."""
        super().pause_writing()
        self.note()

    def resume_writing(self) -> None:
        """The other side took what was written."""
        super().resume_writing()
        self.note()

    def note(self) -> None:
        """Begin the clock anew if another step has begun."""
        step, request = self._now(), self.cycle
        if step is not self.step or request is not self._request:
            self.step, self._request, self.since_s = step, request, self.loop.time()
            self._came = self._most_left = 0

    def _now(self) -> Step:
        """What stands to be done next."""
        body_is_due = self.conn.their_state is h11.SEND_BODY
        if self.cycle is None or self.cycle.response_complete:
            if body_is_due:
                return Step.LINGER
            if self.transport.get_write_buffer_size():
                return Step.SEND
            if self.conn.trailing_data[0]:
                return Step.HEAD
            return Step.FIRST if self.cycle is None else Step.IDLE
        if self.flow.write_paused:
            return Step.SEND
        return Step.BODY if body_is_due and not self.flow.read_paused else Step.WORK

    def is_overdue(self, now_s: float) -> bool:
        """Whether the other side has used up its time."""
        self.note()
        limits, spent_s = self.limits, now_s - self.since_s
        match self.step:
            case Step.FIRST | Step.HEAD:
                return spent_s > limits.head_s
            case Step.LINGER:
                return spent_s > limits.linger_s
            case Step.BODY:
                return spent_s > limits.body_s or spent_s > self._allowed_s(self._came)
            case Step.SEND:
                left = self.transport.get_write_buffer_size()
                self._most_left = max(self._most_left, left)
                return spent_s > self._allowed_s(self._most_left - left)
        return False  # idle connections are closed by the library, work is ours

    def _allowed_s(self, moved: int) -> float:
        return self.limits.patience_s + moved / self.limits.least_bytes_s

    def drop(self) -> None:
        """Close at once, with a word where one can still be said."""
        if self.step in (Step.HEAD, Step.BODY) and self.conn.our_state in (
            h11.IDLE,
            h11.SEND_RESPONSE,
        ):
            self.transport.write(
                b"HTTP/1.1 408 Request Timeout\r\nconnection: close\r\ncontent-length: 0\r\n\r\n"
            )
        self.transport.abort() if self.transport.get_write_buffer_size() else self.transport.close()


class _Loop(asyncio.SelectorEventLoop):
    """A loop that knows whom to take in before anything is made for a connection."""

    def __init__(self, https_port: int = 0, https: ssl.SSLContext | None = None) -> None:
        super().__init__()
        self._coming: set[asyncio.Task[Any]] = set()
        self._https_port, self._https = https_port, https

    async def create_server(self, *args: Any, **kwargs: Any) -> asyncio.Server:  # noqa: ANN401 — the library's own signature
        """Listen on a socket that is bound already, as several workers do on one."""
        server = await super().create_server(*args, **(kwargs | {"start_serving": False}))
        sock: socket.socket = kwargs["sock"]
        sock.settimeout(0.0)
        sock.listen(QUEUE)
        self.add_reader(sock.fileno(), self._take_in, sock, args[0])
        return server

    def _take_in(self, sock: socket.socket, protocol: Callable[[], Connection]) -> None:
        """Take in a few, so that those inside are not forgotten over those who come."""
        door = Door.known(self)
        for _ in range(1 if door is None else AT_ONCE):
            try:
                new, address = sock.accept()
            except (BlockingIOError, InterruptedError, ConnectionAbortedError):
                return  # another worker was first, or it is gone already
            except OSError as error:
                if error.errno not in NO_ROOM:
                    raise
                if door is None or door.close_some():
                    LOG.error("The system has no more files to open; slow connections are closed.")  # noqa: TRY400 — no fault of ours
                self.remove_reader(sock.fileno())
                self.call_later(FULL_S, self._listen_again, sock, protocol)
                return
            owner, how = household(address[0]), self._how(sock)
            if door is not None and not door.is_welcome(owner, is_long=bool(how)):
                new.close()
                continue
            new.settimeout(0.0)
            task = self.create_task(self.connect_accepted_socket(protocol, new, **how))
            self._coming.add(task)
            task.add_done_callback(self._came)
            if door is not None:
                door.expect(owner)
                task.add_done_callback(partial(door.arrived, owner))

    def _how(self, sock: socket.socket) -> dict[str, Any]:
        """What a connection needs before its first request: nothing, or a handshake."""
        if self._https is None or sock.getsockname()[1] != self._https_port:
            return {}
        return {
            "ssl": self._https,
            "ssl_handshake_timeout": HANDSHAKE_S,
            "ssl_shutdown_timeout": GOODBYE_S,
        }

    def _came(self, task: asyncio.Task[Any]) -> None:
        """Forget one that came; that a phone does not trust the certificate is no fault of ours."""
        self._coming.discard(task)
        if not task.cancelled():
            task.exception()

    def _listen_again(self, sock: socket.socket, protocol: Callable[[], Connection]) -> None:
        if sock.fileno() >= 0:  # not closed meanwhile
            self.add_reader(sock.fileno(), self._take_in, sock, protocol)


def _is_news(record: logging.LogRecord) -> bool:
    """Whether a line is worth telling: work cut short by a stop is not."""
    return not (record.exc_info and isinstance(record.exc_info[1], asyncio.CancelledError))


def new_loop() -> asyncio.AbstractEventLoop:
    """Loop for a server that people connect to."""
    logging.getLogger("uvicorn.error").addFilter(_is_news)
    logging.getLogger("asyncio").setLevel(logging.ERROR)  # it warns of each client that hangs up
    folder = os.environ.get(HTTPS_FOLDER, "")
    if not folder:
        return _Loop()
    from tapewright.faces.web.server.certificates import tls_context  # noqa: PLC0415 — seldom needed

    return _Loop(int(os.environ[HTTPS_PORT]), tls_context(Path(folder)))

"""Connections: who may hold one, how many, and how long they may keep the server waiting.

The server library reads requests and runs the app; it has no time limit for heads and bodies and
no cap. Both stand here, on the class that it lets one exchange. Whenever the next step is the
other side's, a clock runs; when there is no room, whoever holds most and has been waited for
longest goes first, so that many slow strangers do not keep one honest person out.

Holds:  the Limits; a connection that keeps them; the Door that counts connections; the loop that
        takes in a few at once.
Never:  what a request may ask (safety.py), pages.
"""

import asyncio
import errno
import logging
import os
import socket
from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from enum import Enum
from functools import lru_cache, partial
from ipaddress import IPv6Address, ip_address
from operator import attrgetter
from typing import Any, ClassVar
from weakref import WeakKeyDictionary

import h11
from uvicorn.config import Config
from uvicorn.protocols.http.h11_impl import H11Protocol
from uvicorn.server import ServerState

TRUSTED = "TAPEWRIGHT_TRUSTED_PROXIES"
MOST_HEAD_BYTES = 32_768
KEEP_ALIVE_S = 30
STOP_S = 10  # how long a stop waits for answers that are under way
AT_ONCE = 1024  # connections looked at before those inside have their turn: most are closed
QUEUE = 4096  # those whom the system may keep waiting until then
FULL_S = 0.1  # before listening again when there are no files
SWEEP_EVERY_S = 0.5
USUAL_FILES = 1024  # where the system does not say how many may be open
OF_FILES = 0.625  # share that may be connections; the rest is for the notebook and those just met
MOST = 2000  # a sweep looks at each: 2 ms
NO_ROOM = {errno.EMFILE, errno.ENFILE, errno.ENOBUFS, errno.ENOMEM}
BUSY = (
    b"HTTP/1.1 503 Service Unavailable\r\nretry-after: 5\r\nconnection: close\r\n"
    b"content-type: text/plain\r\ncontent-length: 54\r\n\r\n"
    b"Too many connections are open. Try again in 5 seconds."
)
LOG = logging.getLogger("tapewright.web")


@dataclass(frozen=True, slots=True)
class Limits:
    """How many connections there may be, and how long each may be waited for."""

    head_s: float = 10.0  # for a whole head, from the connection or its first byte
    patience_s: float = 20.0  # for a body, or for an answer to be taken, however few bytes come
    least_bytes_s: float = 256.0  # pace asked for beyond that
    body_s: float = 3600.0  # for a whole body at any pace
    linger_s: float = 5.0  # for a body nobody reads, once its answer is out
    of_one: int = 64  # connections of one address
    of_all: int | None = None  # connections in all; None: by the files that may be open


class Step(Enum):
    """What a connection waits for; all but the work is the other side's to do."""

    FIRST = "the first byte"
    IDLE = "another request"
    HEAD = "the rest of a head"
    BODY = "the rest of a body"
    WORK = "our answer"
    SEND = "an answer to be taken"
    LINGER = "a body that nobody reads"


@lru_cache(maxsize=4096)
def household(address: str) -> str:
    """Address as far as one device or household owns it: all of IPv4, half of IPv6."""
    try:
        found = ip_address(address)
    except ValueError:
        return address
    if not isinstance(found, IPv6Address):
        return str(found)
    if found.ipv4_mapped:
        return str(found.ipv4_mapped)
    return f"{IPv6Address(int(found) >> 64 << 64)}/64"


def most_connections() -> int:
    """Connections that leave enough files for everything else."""
    try:
        import resource  # noqa: PLC0415 — not on every system
    except ImportError:
        files = USUAL_FILES
    else:
        files = resource.getrlimit(resource.RLIMIT_NOFILE)[0]
        files = MOST * 2 if files < 0 else files
    return max(16, min(MOST, int(files * OF_FILES)))


PATIENT = {Step.WORK, Step.IDLE}  # what an honest browser holds


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


class Door:
    """All connections of one server."""

    _doors: ClassVar[WeakKeyDictionary[asyncio.AbstractEventLoop, "Door"]] = WeakKeyDictionary()

    def __init__(self, limits: Limits, loop: asyncio.AbstractEventLoop) -> None:
        self._of_one = limits.of_one
        self._of_all = limits.of_all or most_connections()
        self._loop = loop
        self._inside: set[Connection] = set()
        self._held: Counter[str] = Counter()
        self._slow: Counter[str] = Counter()  # as the last sweep found them, and new ones
        self._at_the_door: Counter[str] = Counter()  # welcome, and not inside yet
        self._shared = {household(one) for one in os.environ.get(TRUSTED, "").split(",") if one}
        self._is_sweeping = False

    @classmethod
    def of(cls, loop: asyncio.AbstractEventLoop, limits: Limits) -> "Door":
        """The door of the server on a loop."""
        if loop not in cls._doors:
            cls._doors[loop] = cls(limits, loop)
        return cls._doors[loop]

    @classmethod
    def known(cls, loop: asyncio.AbstractEventLoop) -> "Door | None":
        """The same, if anybody came through it yet."""
        return cls._doors.get(loop)

    def is_welcome(self, owner: str) -> bool:
        """Whether to look at somebody at all: not when it is full and its owner has a share.

        Thousands knock a second; this is asked before anything is made for them.
        """
        if len(self._inside) + self._at_the_door.total() < self._of_all or owner in self._shared:
            return True
        share = max(1, self._of_all // max(1, len(self._held), len(self._at_the_door)))
        return self._slow[owner] + self._at_the_door[owner] < share

    def expect(self, owner: str) -> None:
        """Count somebody who is welcome and not inside yet."""
        self._at_the_door[owner] += 1

    def arrived(self, owner: str, _done: object = None) -> None:
        """Count one who was expected no more: inside by now, or gone."""
        self._at_the_door[owner] -= 1
        if not self._at_the_door[owner]:
            del self._at_the_door[owner]

    def close_some(self) -> None:
        """Close a quarter of what is waited for: the system has no more files."""
        self._drop(self._inside, max(1, len(self._inside) // 4))

    def let_in(self, new: Connection) -> bool:
        """Whether there is a place for somebody, after others gave theirs up."""
        has_place = True
        if new.owner not in self._shared and self._held[new.owner] >= self._of_one:
            own = [one for one in self._inside if one.owner == new.owner]
            has_place = self._drop(own, 1)
        if has_place and len(self._inside) >= self._of_all:
            has_place = self._drop(self._inside, max(1, self._of_all // 32))
        if has_place:
            self._inside.add(new)
            self._held[new.owner] += 1
            self._slow[new.owner] += 1
            self._watch()
        return has_place

    def leave(self, gone: Connection) -> None:
        """Forget somebody."""
        if gone in self._inside:
            self._inside.discard(gone)
            for count in (self._held, self._slow):
                count[gone.owner] -= 1
                if count[gone.owner] <= 0:
                    del count[gone.owner]

    def _drop(self, among: Iterable[Connection], most: int) -> bool:
        """Close those of the greediest who were waited for longest; False if nobody is."""
        waited_for = [one for one in among if one.step is not Step.WORK]
        waited_for.sort(key=attrgetter("since_s"))
        waited_for.sort(key=self._greed, reverse=True)
        for one in waited_for[:most]:
            one.drop()
            self.leave(one)
        return bool(waited_for)

    def _greed(self, one: Connection) -> int:
        return 1 if one.owner in self._shared else self._held[one.owner]

    def _watch(self) -> None:
        if not self._is_sweeping:
            self._is_sweeping = True
            self._loop.call_later(SWEEP_EVERY_S, self._sweep)

    def _sweep(self) -> None:
        """Close whoever has used up its time."""
        self._is_sweeping = False
        now_s = self._loop.time()
        for one in list(self._inside):
            if one.is_overdue(now_s):
                one.drop()
                self.leave(one)
        self._slow = Counter(one.owner for one in self._inside if one.step not in PATIENT)
        if self._inside:
            self._watch()


class _Loop(asyncio.SelectorEventLoop):
    """A loop that knows whom to take in before anything is made for a connection."""

    def __init__(self) -> None:
        super().__init__()
        self._coming: set[asyncio.Task[Any]] = set()

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
                LOG.error("The system has no more files to open; slow connections are closed.")  # noqa: TRY400 — no fault of ours
                if door is not None:
                    door.close_some()
                self.remove_reader(sock.fileno())
                self.call_later(FULL_S, self._listen_again, sock, protocol)
                return
            owner = household(address[0])
            if door is not None and not door.is_welcome(owner):
                new.close()
                continue
            new.settimeout(0.0)
            task = self.create_task(self.connect_accepted_socket(protocol, new))
            self._coming.add(task)
            task.add_done_callback(self._coming.discard)
            if door is not None:
                door.expect(owner)
                task.add_done_callback(partial(door.arrived, owner))

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
    return _Loop()

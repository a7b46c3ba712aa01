"""Connection limits: how many there may be, of one address and in all; who goes first.

When there is no room, whoever holds most and has been waited for longest goes first, so that many
slow strangers do not keep one honest person out.

Holds:  the Limits; the steps of a connection; the Door that counts, sweeps and closes.
Never:  bytes (connection_timeouts.py), what a request may ask (security.py).
"""

import asyncio
import os
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from enum import Enum
from functools import lru_cache
from ipaddress import IPv6Address, ip_address
from operator import attrgetter
from typing import ClassVar, Protocol
from weakref import WeakKeyDictionary

SWEEP_EVERY_S = 0.5
FULL_S = 0.1  # before listening again when there are no files
USUAL_FILES = 512  # where the system does not say how many may be open: Windows waits for no more
OF_FILES = 0.625  # share that may be connections; the rest is for the notebook and those just met
MOST = 2000  # a sweep looks at each: 2 ms
TRUSTED = "TAPEWRIGHT_TRUSTED_PROXIES"


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


class Guest(Protocol):
    """A connection as the door knows it."""

    owner: str  # its household
    step: Step
    since_s: float  # when the step began

    def is_overdue(self, now_s: float) -> bool:
        """Whether the other side has used up its time."""

    def drop(self) -> None:
        """Close at once."""


class Door:
    """All connections of one server."""

    _doors: ClassVar[WeakKeyDictionary[asyncio.AbstractEventLoop, "Door"]] = WeakKeyDictionary()

    def __init__(self, limits: Limits, loop: asyncio.AbstractEventLoop) -> None:
        self._of_one = limits.of_one
        self._of_all = limits.of_all or most_connections()
        self._loop = loop
        self._inside: set[Guest] = set()
        self._held: Counter[str] = Counter()
        self._slow: Counter[str] = Counter()  # as the last sweep found them, and new ones
        self._at_the_door: Counter[str] = Counter()  # welcome, and not inside yet
        self._expected = 0  # all of these
        self._shared = {household(one) for one in os.environ.get(TRUSTED, "").split(",") if one}
        self._is_sweeping = False
        self._closed_s = -FULL_S  # when some were closed for want of files

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

    def is_welcome(self, owner: str, *, is_long: bool = False) -> bool:
        """Whether to look at somebody at all: not when it is full and its owner has a share.

        Thousands knock a second; this is asked before anything is made for them. Where it takes
        long to come in, no more of an owner may be at the door than inside.
        """
        if is_long and owner not in self._shared and self._at_the_door[owner] >= self._of_one:
            return False
        if len(self._inside) + self._expected < self._of_all or owner in self._shared:
            return True
        share = max(1, self._of_all // max(1, len(self._held), len(self._at_the_door)))
        return self._slow[owner] + self._at_the_door[owner] < share

    def expect(self, owner: str) -> None:
        """Count somebody who is welcome and not inside yet."""
        self._at_the_door[owner] += 1
        self._expected += 1

    def arrived(self, owner: str, _done: object = None) -> None:
        """Count one who was expected no more: inside by now, or gone."""
        self._expected -= 1
        self._at_the_door[owner] -= 1
        if not self._at_the_door[owner]:
            del self._at_the_door[owner]

    def close_some(self) -> bool:
        """Close a quarter of what is waited for: the system has no more files. False: just done."""
        if self._loop.time() < self._closed_s + FULL_S:
            return False
        self._closed_s = self._loop.time()
        self._drop(self._inside, max(1, len(self._inside) // 4))
        return True

    def let_in(self, new: Guest) -> bool:
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

    def leave(self, gone: Guest) -> None:
        """Forget somebody."""
        if gone in self._inside:
            self._inside.discard(gone)
            for count in (self._held, self._slow):
                count[gone.owner] -= 1
                if count[gone.owner] <= 0:
                    del count[gone.owner]

    def _drop(self, among: Iterable[Guest], most: int) -> bool:
        """Close those of the greediest who were waited for longest; False if nobody is."""
        waited_for = [one for one in among if one.step is not Step.WORK]
        waited_for.sort(key=attrgetter("since_s"))
        waited_for.sort(key=self._greed, reverse=True)
        for one in waited_for[:most]:
            one.drop()
            self.leave(one)
        return bool(waited_for)

    def _greed(self, one: Guest) -> int:
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

"""Entrance: the first page, the passcode, a person's wishes.

Holds:  /, /enter and its lock, /wishes, /health and /health/notebook.
Never:  how a passcode is hashed (passcode.py).
"""

import time
from functools import partial
from typing import Annotated

from anyio import CapacityLimiter, to_thread
from fastapi import APIRouter, Header
from fastapi.responses import PlainTextResponse, RedirectResponse, Response

from tapewright.faces.web.forms import Form
from tapewright.faces.web.page_request import At, Fields
from tapewright.faces.web.server.connection_limits import household
from tapewright.faces.web.server.passcode import (
    COOKIES,
    DAYS,
    HASHED_AT_ONCE,
    MOST_TO_HASH,
    Passcode,
)
from tapewright.storage.guesses import Guesses

ROUTER = APIRouter(include_in_schema=False)

DAY_S = 86_400
CROWDED = "Too many people are entering at once. Try again in a few seconds."
WISHES = {"units": ("imperial", "metric"), "theme": ("auto", "sun", "dark")}


@ROUTER.get("/")
def first_page() -> Response:
    """The rigs are where everything begins."""
    return RedirectResponse("/rigs", 307)


@ROUTER.get("/health")
def health() -> Response:
    """For whoever started the server: it answers."""
    return PlainTextResponse("well")


@ROUTER.get("/health/notebook")
async def notebook_health(at: At) -> Response:
    """The same, and its notebook does. A server whose notebook is away need not start anew."""
    state = at.request.app.state
    took_s = await to_thread.run_sync(state.pulse.beat, limiter=state.pulse_limit)
    if took_s is None:
        return PlainTextResponse("The notebook does not answer.", 503, {"Retry-After": "5"})
    return PlainTextResponse("well")


@ROUTER.get("/enter")
def enter_page(at: At) -> Response:
    """Ask for the passcode."""
    return at.page("enter.html", form=Form())


class Lock:
    """The door's lock: few keys are tried at once, and in no thread that pages need."""

    def __init__(self, guesses: Guesses) -> None:
        self._guesses = guesses
        self._counting, self._hashing = CapacityLimiter(1), CapacityLimiter(HASHED_AT_ONCE)

    async def fault(self, passcode: Passcode, typed: str, address: str) -> tuple[int, str]:
        """Status and words for a passcode that does not open; 0 if it does."""
        now_s = time.monotonic()
        count = partial(to_thread.run_sync, limiter=self._counting)
        wait_s = await count(self._guesses.begin, address, now_s)
        if wait_s > 0.0:
            return 429, f"Too many wrong guesses. Try again in {wait_s:.0f} seconds."
        if self._hashing.statistics().tasks_waiting >= MOST_TO_HASH:
            await count(self._guesses.take_back, address, now_s)
            return 429, CROWDED
        if not await to_thread.run_sync(passcode.is_right, typed, limiter=self._hashing):
            return 403, "That is not the passcode. It stands where the program runs."
        await count(self._guesses.take_back, address, now_s)
        return 0, ""


@ROUTER.post("/enter")
async def enter(at: At, fields: Fields) -> Response:
    """Let somebody in who knows the passcode."""
    request = at.request
    passcode = request.app.state.rules.passcode
    if passcode is None:
        return at.go("/rigs")
    address = household(request.client.host if request.client else "")
    lock: Lock = request.app.state.lock
    status, words = await lock.fault(passcode, fields.get("passcode", ""), address)
    if status:
        form = Form({"passcode": ""})
        form.faults["passcode"] = words
        return at.page("enter.html", status=status, form=form)
    answer, lasts_s = at.go("/rigs"), DAYS * DAY_S
    cookie, is_secure = passcode.cookie(int(time.time()) + lasts_s), request.url.scheme == "https"
    answer.set_cookie(
        COOKIES[is_secure], cookie, lasts_s, httponly=True, samesite="strict", secure=is_secure
    )
    return answer


@ROUTER.get("/wishes")
def wishes_page(at: At) -> Response:
    """Units, theme, and what concerns no single rig."""
    return at.page("wishes.html")


@ROUTER.post("/wishes")
def wish(at: At, fields: Fields, referer: Annotated[str, Header()] = "") -> Response:
    """Remember units or theme in a cookie and go back."""
    place = referer.partition("://")[2].partition("/")[2]
    answer = at.go(f"/{place}" if place and not place.startswith(("/", "\\")) else "/wishes")
    for name, choices in WISHES.items():
        if fields.get(name) in choices:
            answer.set_cookie(name, fields[name], 365 * DAY_S, httponly=True, samesite="lax")
    return answer

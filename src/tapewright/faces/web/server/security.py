"""Security: what every request must pass, and what every answer carries.

Other sites may not post here (Origin against Host), other names may not lead here (Host against
the allowed names), nothing is larger than it needs to be, nobody without the passcode gets in
from the local network, nobody's work keeps others waiting, and a page runs and loads only what
this program ships.

Holds:  the Rules record and the gate in front of the app.
Never:  hashing (passcode.py), pages.
"""

from collections.abc import Awaitable, Callable, MutableMapping
from dataclasses import dataclass
from http import HTTPStatus
from pathlib import Path
from time import perf_counter
from typing import Any
from urllib.parse import urlsplit

from starlette.datastructures import Headers, MutableHeaders
from starlette.exceptions import HTTPException
from starlette.middleware.gzip import DEFAULT_EXCLUDED_CONTENT_TYPES, GZipMiddleware
from starlette.requests import Request
from starlette.responses import JSONResponse, PlainTextResponse, RedirectResponse, Response

from tapewright.faces.web.server.connection_limits import household
from tapewright.faces.web.server.metrics import Counts, note_answer
from tapewright.faces.web.server.passcode import COOKIES, Passcode
from tapewright.faces.web.server.request_queue import Turns

Scope = MutableMapping[str, Any]
Message = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Message]]
Send = Callable[[Message], Awaitable[None]]
App = Callable[[Scope, Receive, Send], Awaitable[None]]

POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob:; "
    "connect-src 'self'; form-action 'self'; frame-ancestors 'none'; base-uri 'none'; "
    "manifest-src 'self'"
)
HEADERS = {
    "Content-Security-Policy": POLICY,
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "geolocation=(), microphone=(), payment=()",
}
SAFE_METHODS = {"GET", "HEAD", "OPTIONS"}
OPEN_TO_ALL = (
    "/enter",
    "/static/",
    "/health",
    "/phone",
    "/outbox",
    "/worker.js",
    "/app.webmanifest",
)
MOST_BYTES = 2_000_000
MOST_ENTRY_BYTES = 4_000  # a passcode is all that a stranger may send
MOST_UPLOAD_BYTES = 60_000_000
LARGE = ("/archive", "/api/archive", "/photo", "/hand-over/take")  # addresses that take files
LONG = ("/rigs/", "/api/rigs/", "/archive", "/api/archive", "/sample", "/refits", "/hand-over/take")
HEALTH = "/health"  # says nothing to anybody that another site could use, under whatever name
WITHOUT_TURN = ("/static/", HEALTH)
LONG_AT_ONCE, OTHERS_AT_ONCE, TURN_S = 1, 4, 20.0
AGAIN_S = 5
FEWEST_TO_PACK, PACKING = 1000, 5  # bytes; of nine, where more costs time and saves 2 %
PACKED = (*DEFAULT_EXCLUDED_CONTENT_TYPES, "application/pdf")  # already


TOO_LARGE = "More was sent than this page takes. Send a smaller file."


BUSY = (
    "Something else that you asked for is still being worked on. Try again in a few seconds; "
    "nothing of this request was done."
)


class TooLarge(HTTPException):
    """More was sent than the address takes, whatever its headers claimed."""

    def __init__(self) -> None:
        super().__init__(HTTPStatus.REQUEST_ENTITY_TOO_LARGE, TOO_LARGE)


class StillBusy(HTTPException):
    """One person asked for more at once than is worked on for one."""

    def __init__(self) -> None:
        again = {"Retry-After": str(AGAIN_S)}
        super().__init__(HTTPStatus.TOO_MANY_REQUESTS, BUSY, headers=again)


@dataclass(frozen=True, slots=True)
class Rules:
    """Who may come in."""

    hosts: frozenset[str]  # names and addresses under which the app answers, without port
    # Asked for on the local network; None: only this machine is served
    passcode: Passcode | None = None
    # In which several workers count guesses together; None: there is one worker
    guesses_file: Path | None = None
    # Of the certificate under which it answers on https, and where; None: on http alone
    https_folder: Path | None = None
    https_port: int = 0
    counts: Counts | None = None  # of answers; None: nobody asked for them


class Gate:
    """The gate in front of the app."""

    def __init__(self, app: App, rules: Rules) -> None:
        self._app: App = GZipMiddleware(app, FEWEST_TO_PACK, PACKING, exclude_content_types=PACKED)
        self._rules = rules
        self._long, self._others = Turns(LONG_AT_ONCE), Turns(OTHERS_AT_ONCE)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Refuse, or let through with headers on the way back and a limit on the way in."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        since = perf_counter()
        request, is_head = Request(scope), scope["method"] == "HEAD"
        turn = self._turn(request)

        async def answer(message: Message) -> None:
            if message["type"] == "http.response.start":
                turn.give()
                headers, took_s = MutableHeaders(scope=message), perf_counter() - since
                headers["Server-Timing"] = f"app;dur={1e3 * took_s:.1f}"
                note_answer(self._rules.counts, request, message["status"], took_s)
                for name, value in HEADERS.items():
                    headers.setdefault(name, value)
                headers.setdefault("Cache-Control", "no-store")
            elif is_head:
                message = {**message, "body": b""}
            await send(message)

        refusal = self._refusal(request)
        if refusal is None and not _has_body(request.headers) and not await turn.take():
            refusal = _refused(request, BUSY, HTTPStatus.TOO_MANY_REQUESTS)
            refusal.headers["Retry-After"] = str(AGAIN_S)
        if refusal is not None:
            await refusal(scope, receive, answer)
            return
        if is_head:
            scope = {**scope, "method": "GET"}
        try:
            await self._app(scope, _limited(scope, receive, turn), answer)
        finally:
            turn.give()

    def _turn(self, request: Request) -> "_Turn":
        """Turn that a request needs before it is worked on."""
        path, person = request.url.path, self._person(request)
        if path.startswith(WITHOUT_TURN):
            return _Turn(None, person)
        is_long = path.startswith(LONG) or (path == "/api/rigs" and request.method == "POST")
        return _Turn(self._long if is_long else self._others, person)

    def _person(self, request: Request) -> str:
        """Who asks: a device that knows the passcode, else an address."""
        passcode = self._rules.passcode
        if passcode is not None:
            for cookie in filter(passcode.is_valid_cookie, cookies_of(request)):
                return cookie
        return household(request.client.host if request.client else "")

    def _refusal(self, request: Request) -> Response | None:
        """Answer to who may not come in; None for everybody else."""
        headers = request.headers
        if _is_twisted(request):
            words = "The request is not put together as the standard says."
            refusal = _refused(request, words, HTTPStatus.BAD_REQUEST)
            refusal.headers["Connection"] = "close"
            return refusal
        if _host(headers) not in self._rules.hosts and not request.url.path.startswith(HEALTH):
            words = "This address is not one the program was told to answer to."
            return _refused(request, words, HTTPStatus.MISDIRECTED_REQUEST)
        if request.method not in SAFE_METHODS and _is_from_elsewhere(headers):
            words = "Refused: another site sent this form. Open the page itself and try again."
            return _refused(request, words, HTTPStatus.FORBIDDEN)
        length = headers.get("content-length", "0")
        if (
            length.isascii()
            and length.isdigit()
            and int(length[:18]) > _most_bytes(request.url.path)
        ):
            return _refused(request, TOO_LARGE, HTTPStatus.REQUEST_ENTITY_TOO_LARGE)
        passcode = self._rules.passcode
        if passcode is None or request.url.path.startswith(OPEN_TO_ALL):
            return None
        if any(map(passcode.is_valid_cookie, cookies_of(request))):
            return None
        if request.url.path.startswith("/api/"):
            return _refused(request, "The passcode is needed.", HTTPStatus.UNAUTHORIZED)
        return RedirectResponse("/enter", HTTPStatus.SEE_OTHER)


def cookies_of(request: Request) -> tuple[str, ...]:
    """What shows that the passcode is known: a cookie of http or of https."""
    return tuple(filter(None, map(request.cookies.get, COOKIES)))


class _Turn:
    """Turn of one request: taken once, given back once."""

    def __init__(self, turns: Turns | None, person: str) -> None:
        self._turns, self._person, self._holds = turns, person, False

    async def take(self) -> bool:
        if self._turns is None or self._holds:
            return True
        self._holds = await self._turns.take(self._person, TURN_S)
        return self._holds

    def give(self) -> None:
        if self._turns is not None and self._holds:
            self._holds = False
            self._turns.give(self._person)


def _is_twisted(request: Request) -> bool:
    """Whether two servers could read the request in two ways, or its target is no path here."""
    chunked = "transfer-encoding" in request.headers
    if chunked and "content-length" in request.headers:
        return True
    version = request.scope.get("http_version")
    if version not in ("1.0", "1.1") or (chunked and version == "1.0"):
        return True
    return not request.scope["path"].startswith("/")


def _has_body(headers: Headers) -> bool:
    """Whether something is still to come; long uploads keep no turn until they are here."""
    return "transfer-encoding" in headers or headers.get("content-length", "0").strip("0") != ""


def _host(headers: Headers) -> str:
    """Name that was asked for, without its port."""
    host = headers.get("host", "")
    if not host.isascii() or any(one in host for one in "/@?#\\ "):
        return ""
    try:
        return urlsplit(f"//{host}").hostname or ""
    except ValueError:  # brackets that do not belong there
        return ""


def _is_from_elsewhere(headers: Headers) -> bool:
    """Whether another site sent it; programs that are no browsers send no origin."""
    origin = headers.get("origin")
    if origin is None:
        return headers.get("sec-fetch-site", "same-origin") not in ("same-origin", "none")
    return origin.partition("://")[2] != headers.get("host")


def _most_bytes(path: str) -> int:
    """How much an address takes."""
    if path == "/enter":
        return MOST_ENTRY_BYTES
    return MOST_UPLOAD_BYTES if any(part in path for part in LARGE) else MOST_BYTES


def _refused(request: Request, words: str, status: HTTPStatus) -> Response:
    """Refusal, for a program (RFC 9457) or for a person."""
    if request.url.path.startswith("/api/"):
        body = {"title": words, "status": status}
        return JSONResponse(body, status, media_type="application/problem+json")
    return PlainTextResponse(words, status)


def _limited(scope: Scope, receive: Receive, turn: _Turn) -> Receive:
    """What comes in, counted, whatever its headers claim; its end waits for the person's turn."""
    left = _most_bytes(scope["path"])

    async def counted() -> Message:
        nonlocal left
        message = await receive()
        left -= len(message.get("body", b""))
        if left < 0:
            raise TooLarge
        is_whole = message["type"] == "http.request" and not message.get("more_body", False)
        if is_whole and not await turn.take():
            raise StillBusy
        return message

    return counted

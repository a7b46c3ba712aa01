"""Safety: what every request must pass, and what every answer carries.

Other sites may not post here (Origin against Host), other names may not lead here (Host against
the allowed names), nothing is larger than it needs to be, nobody without the passcode gets in
from the local network, and a page runs and loads only what this program ships.

Holds:  the Rules record and the gate in front of the app.
Never:  hashing (passcode.py), pages.
"""

from collections.abc import Awaitable, Callable, MutableMapping
from dataclasses import dataclass
from http import HTTPStatus
from time import perf_counter
from typing import Any
from urllib.parse import urlsplit

from starlette.datastructures import Headers, MutableHeaders
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, PlainTextResponse, RedirectResponse, Response

from tapewright.faces.web.passcode import COOKIE, Passcode

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
OPEN_TO_ALL = ("/enter", "/static/", "/health")
MOST_BYTES = 2_000_000
MOST_UPLOAD_BYTES = 60_000_000
LARGE = ("/archive", "/api/archive", "/photo")  # addresses that take files


TOO_LARGE = "More was sent than this page takes. Send a smaller file."


class TooLarge(HTTPException):
    """More was sent than the address takes, whatever its headers claimed."""

    def __init__(self) -> None:
        super().__init__(HTTPStatus.REQUEST_ENTITY_TOO_LARGE, TOO_LARGE)


@dataclass(frozen=True, slots=True)
class Rules:
    """Who may come in.

    Parameters
    ----------
    hosts : frozenset of str
        Names and addresses under which the app answers, without port.
    passcode : Passcode or None
        Asked for on the local network; None: only this machine is served.
    """

    hosts: frozenset[str]
    passcode: Passcode | None = None


class Gate:
    """The gate in front of the app.

    Parameters
    ----------
    app : App
        What lies behind it.
    rules : Rules
        Who may come in.
    """

    def __init__(self, app: App, rules: Rules) -> None:
        self._app = app
        self._rules = rules

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Refuse, or let through with headers on the way back and a limit on the way in."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        since = perf_counter()

        async def answer(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                headers["Server-Timing"] = f"app;dur={1e3 * (perf_counter() - since):.1f}"
                for name, value in HEADERS.items():
                    headers.setdefault(name, value)
                headers.setdefault("Cache-Control", "no-store")
            await send(message)

        refusal = self._refusal(Request(scope))
        if refusal is not None:
            await refusal(scope, receive, answer)
            return
        await self._app(scope, _limited(scope, receive), answer)

    def _refusal(self, request: Request) -> Response | None:
        """Answer to who may not come in; None for everybody else."""
        headers = request.headers
        if _host(headers) not in self._rules.hosts:
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
        if passcode.is_valid_cookie(request.cookies.get(COOKIE, "")):
            return None
        if request.url.path.startswith("/api/"):
            return _refused(request, "The passcode is needed.", HTTPStatus.UNAUTHORIZED)
        return RedirectResponse("/enter", HTTPStatus.SEE_OTHER)


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
    return MOST_UPLOAD_BYTES if any(part in path for part in LARGE) else MOST_BYTES


def _refused(request: Request, words: str, status: HTTPStatus) -> Response:
    """Refusal, for a program (RFC 9457) or for a person."""
    if request.url.path.startswith("/api/"):
        body = {"title": words, "status": status}
        return JSONResponse(body, status, media_type="application/problem+json")
    return PlainTextResponse(words, status)


def _limited(scope: Scope, receive: Receive) -> Receive:
    """What comes in, counted, whatever its headers claim."""
    left = _most_bytes(scope["path"])

    async def counted() -> Message:
        nonlocal left
        message = await receive()
        left -= len(message.get("body", b""))
        if left < 0:
            raise TooLarge
        return message

    return counted

"""Phone setup: the notebook taken along: what a phone must trust first, and what it then holds.

Holds:  /phone and the authority's file; /outbox, what a phone itself keeps; the app's manifest;
        the worker that keeps pages.
Never:  the authority's key, making certificates (certificates.py); what is handed over.
"""

import json
from functools import cache

import segno
from fastapi import APIRouter
from fastapi.responses import Response
from markupsafe import Markup

from tapewright.faces.web.page_request import At, PageRequest, attachment
from tapewright.faces.web.templating import STATIC, app_version, static
from tapewright.ground.errors import NotKept

ROUTER = APIRouter(include_in_schema=False)

FILE = "tapewright-authority.crt"
KIND = "application/x-x509-ca-cert"
ASKED_AGAIN = {"Cache-Control": "no-cache"}
ALONE = ("worker.js", "vendor/LICENSE")  # files of ours that no page loads
BORDER = 2  # modules of quiet paper beside a code on a screen


@ROUTER.get("/phone")
def phone_page(at: At) -> Response:
    """How a phone comes to trust this notebook, and how it stops."""
    folder, address = at.request.app.state.rules.https_folder, _https_address(at)
    if folder is None:
        return at.page("phone.html", address="")
    from tapewright.faces.web.server import certificates  # noqa: PLC0415 — slow, and seldom needed

    return at.page(
        "phone.html",
        address=address,
        code=code_of(address),
        fingerprint=certificates.fingerprint_of(folder).split(":"),
        called=certificates.authority_name(folder),
        file=f"/phone/{FILE}",
    )


@ROUTER.get(f"/phone/{FILE}")
def authority(at: At) -> Response:
    """The authority's certificate: public, and without its key."""
    folder = at.request.app.state.rules.https_folder
    if folder is None:
        raise NotKept(FILE)
    from tapewright.faces.web.server import certificates  # noqa: PLC0415 — slow, and seldom needed

    return Response(certificates.authority_file(folder), 200, attachment(FILE), KIND)


def _https_address(at: PageRequest) -> str:
    """The first page on https, under the name that this phone asked for."""
    host = at.request.url.hostname or ""
    return (
        f"https://{f'[{host}]' if ':' in host else host}:{at.request.app.state.rules.https_port}/"
    )


@ROUTER.get("/outbox")
def outbox_page(at: At) -> Response:
    """What this phone carries and has not handed over: filled in by its own script, offline too."""
    return at.page("outbox.html")


@ROUTER.get("/app.webmanifest")
def manifest() -> Response:
    """What the app is called and looks like on a home screen."""
    icons = [
        {"src": static(f"icon-{size}.png"), "sizes": f"{size}x{size}", "type": "image/png"}
        for size in (192, 512)
    ]
    whole = {"src": static("icon-whole-512.png"), "sizes": "512x512", "type": "image/png"}
    told = {
        "id": "/",
        "name": "Tapewright",
        "short_name": "Tapewright",
        "description": "Sighting in, sight tape and groups, at the range without a signal, too.",
        "start_url": "/rigs",
        "scope": "/",
        "display": "standalone",
        "background_color": "#fbf9f3",
        "theme_color": "#0d4f44",
        "icons": [*icons, whole | {"purpose": "maskable"}],
    }
    return Response(json.dumps(told), 200, ASKED_AGAIN, "application/manifest+json")


@ROUTER.get("/worker.js")
def worker() -> Response:
    """The worker, told its version and which files all pages share."""
    shared = [static(name) for name in sorted(STATIC) if not name.startswith(ALONE)]
    head = f"const VERSION = {json.dumps(app_version())}, SHARED = {json.dumps(shared)};\n"
    text = head.encode() + STATIC["worker.js"]
    return Response(text, 200, ASKED_AGAIN, "text/javascript")


@cache
def code_of(address: str) -> Markup:
    """An address as a code to scan, drawn."""
    made = segno.make(address, error="m", micro=False)
    drawn = made.svg_inline(omitsize=True, border=BORDER, dark="#000", light="#fff")
    return Markup(drawn)  # noqa: S704 — drawn by the library from an address of ours

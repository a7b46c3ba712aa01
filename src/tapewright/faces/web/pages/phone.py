"""Phone: the notebook taken along: what a phone must trust first, and what it then holds.

Holds:  /phone and the authority's file; /outbox, what a phone itself keeps; the app's manifest;
        the worker that keeps pages.
Never:  the authority's key, making certificates (certificates.py); what is handed over.
"""

from functools import cache

import segno
from fastapi import APIRouter
from fastapi.responses import Response
from markupsafe import Markup

from tapewright.faces.web.page_request import At, PageRequest, attachment
from tapewright.ground.errors import NotKept

ROUTER = APIRouter(include_in_schema=False)

FILE = "tapewright-authority.crt"
KIND = "application/x-x509-ca-cert"
BORDER = 2  # modules of quiet paper beside a code on a screen


@ROUTER.get("/phone")
def phone_page(at: At) -> Response:
    """How a phone comes to trust this notebook, and how it stops."""
    folder, address = at.request.app.state.rules.https_folder, _https_address(at)
    if folder is None:
        return at.page("phone.html", address="")
    from tapewright.faces.web import certificates  # noqa: PLC0415 — slow, and seldom needed

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
    from tapewright.faces.web import certificates  # noqa: PLC0415 — slow, and seldom needed

    return Response(certificates.authority_file(folder), 200, attachment(FILE), KIND)


def _https_address(at: PageRequest) -> str:
    """The first page on https, under the name that this phone asked for."""
    host = at.request.url.hostname or ""
    return (
        f"https://{f'[{host}]' if ':' in host else host}:{at.request.app.state.rules.https_port}/"
    )


@cache
def code_of(address: str) -> Markup:
    """An address as a code to scan, drawn."""
    made = segno.make(address, error="m", micro=False)
    drawn = made.svg_inline(omitsize=True, border=BORDER, dark="#000", light="#fff")
    return Markup(drawn)  # noqa: S704 — drawn by the library from an address of ours

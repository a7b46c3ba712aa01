"""Entrance: the first page, the passcode, a person's wishes.

Holds:  /, /enter, /wishes, /health.
Never:  how a passcode is hashed (passcode.py).
"""

import time
from typing import Annotated

from fastapi import APIRouter, Header
from fastapi.responses import PlainTextResponse, RedirectResponse, Response

from tapewright.faces.web.forms import Form
from tapewright.faces.web.passcode import COOKIE, DAYS
from tapewright.faces.web.visit import At, Fields

ROUTER = APIRouter(include_in_schema=False)

DAY_S = 86_400
WISHES = {"units": ("imperial", "metric"), "theme": ("auto", "sun", "dark")}


@ROUTER.get("/")
def first_page() -> Response:
    """The rigs are where everything begins."""
    return RedirectResponse("/rigs", 307)


@ROUTER.get("/health")
def health() -> Response:
    """For whoever started the server: it answers."""
    return PlainTextResponse("well")


@ROUTER.get("/enter")
def enter_page(at: At) -> Response:
    """Ask for the passcode."""
    return at.page("enter.html", form=Form())


@ROUTER.post("/enter")
def enter(at: At, fields: Fields) -> Response:
    """Let somebody in who knows the passcode."""
    passcode = at.request.app.state.rules.passcode
    if passcode is None:
        return at.go("/rigs")
    guesses = at.request.app.state.guesses
    address = at.request.client.host if at.request.client else ""
    now_s = time.time()
    wait_s = guesses.wait_s(address, now_s)
    form = Form({"passcode": ""})
    if wait_s > 0.0:
        form.faults["passcode"] = f"Too many wrong guesses. Try again in {wait_s:.0f} seconds."
        return at.page("enter.html", status=429, form=form)
    if not passcode.is_right(fields.get("passcode", "")):
        guesses.note_wrong(address, now_s)
        form.faults["passcode"] = "That is not the passcode. It stands where the program runs."
        return at.page("enter.html", status=403, form=form)
    answer = at.go("/rigs")
    until = int(now_s) + DAYS * DAY_S
    answer.set_cookie(
        COOKIE, passcode.cookie(until), max_age=DAYS * DAY_S, httponly=True, samesite="strict"
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
            answer.set_cookie(
                name, fields[name], max_age=365 * DAY_S, httponly=True, samesite="lax"
            )
    return answer

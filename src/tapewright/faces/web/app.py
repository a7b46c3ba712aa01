"""App: the web app put together from a notebook and who may come in.

Holds:  building the app; what every error looks like to a person and to a program.
Never:  pages (pages/), templates (templating.py), safety's rules (security.py).
"""

import logging
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from functools import cache
from http import HTTPStatus
from typing import Any

from anyio import CapacityLimiter
from fastapi import APIRouter, FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse, Response
from starlette.exceptions import HTTPException
from starlette.requests import ClientDisconnect
from starlette.routing import Match

from tapewright import __version__
from tapewright.faces.web.api import ask_and_print, offline_pack, phone_sync, resources
from tapewright.faces.web.api import notebook as api_notebook
from tapewright.faces.web.api import photo as api_photo
from tapewright.faces.web.api.endpoints import describe
from tapewright.faces.web.page_request import Answers, AppState, PageRequest
from tapewright.faces.web.pages import (
    archive,
    change,
    entrance,
    erase,
    give,
    groups,
    history,
    house,
    marks,
    offline_range,
    on_sight,
    outdoors,
    phone_groups,
    phone_setup,
    photo,
    plan,
    printed_sheets,
    printers,
    prove,
    question,
    rig,
    rigs,
    sheet,
    shoot,
)
from tapewright.faces.web.server.background_jobs import Background
from tapewright.faces.web.server.health import Pulse
from tapewright.faces.web.server.passcode import GUESSES, WINDOW_S
from tapewright.faces.web.server.security import Gate, Rules
from tapewright.faces.web.templating import TEMPLATES, static_file
from tapewright.ground import errors
from tapewright.services.keep import Notebook
from tapewright.storage.guesses import Guesses
from tapewright.words.stops import refused_words, withheld_json

PAGES = tuple(one.ROUTER for one in (
    prove, history, archive, entrance, sheet, change, rigs, rig, shoot, groups, photo, plan, marks,
    printed_sheets, on_sight, printers, outdoors, question, house, phone_setup, phone_groups,
    offline_range, erase, give,
))  # fmt: skip
API = (
    api_notebook.ROUTER, resources.ROUTER, api_photo.ROUTER, ask_and_print.ROUTER,
    phone_sync.ROUTER, offline_pack.ROUTER,
)  # fmt: skip
LOG = logging.getLogger("tapewright.web")
HEALTH_AT_ONCE = 4  # who wait for the notebook's pulse take no thread from pages
STATUS: tuple[tuple[type[Exception], HTTPStatus], ...] = (
    (errors.NotKept, HTTPStatus.NOT_FOUND),
    (errors.EditedMeanwhile, HTTPStatus.CONFLICT),
    (errors.NotebookUnusable, HTTPStatus.SERVICE_UNAVAILABLE),
    (errors.TapewrightError, HTTPStatus.UNPROCESSABLE_ENTITY),
)


def build_app(notebook: Notebook, rules: Rules) -> Gate:
    """Web app over a notebook."""
    app = FastAPI(
        title="Tapewright",
        version=__version__,
        summary="Rigs, groups, calibrations and tapes, as on the command line.",
        openapi_url="/api/openapi.json",
        docs_url=None,
        redoc_url=None,
        lifespan=_while_served,
        routes=_addresses().routes,
    )
    app.state.background = Background(notebook)
    app.state.app_state = AppState(notebook, TEMPLATES, Answers())
    app.state.rules = rules
    app.state.pulse, app.state.pulse_limit = Pulse(notebook.knock), CapacityLimiter(HEALTH_AT_ONCE)
    app.state.lock = entrance.Lock(Guesses(GUESSES, WINDOW_S, rules.guesses_file))
    describe(app)
    app.add_api_route("/static/{name:path}", static_file, include_in_schema=False)
    app.add_exception_handler(errors.TapewrightError, _refused)
    app.add_exception_handler(RequestValidationError, _misread)
    app.add_exception_handler(HTTPException, _no_page)
    app.add_exception_handler(ClientDisconnect, _gone)
    app.add_exception_handler(Exception, _broken)
    return Gate(app, rules)


@cache  # the library works out at the first request what an address takes, and keeps it there
def _addresses() -> APIRouter:
    every = APIRouter()
    for router in (*PAGES, *API):
        every.include_router(router)
    return every


@asynccontextmanager
async def _while_served(app: FastAPI) -> AsyncIterator[None]:
    """Work goes on in the background for as long as the app is served."""
    app.state.background.start()
    yield
    app.state.background.stop()


def _wrong(
    request: Request,
    status: int,
    words: str,
    title: str = "",
    **details: Any,  # noqa: ANN401 — any JSON
) -> Response:
    """What went wrong: a page for a person, a problem for a program (RFC 9457)."""
    if request.url.path.startswith("/api/"):
        body = {"title": title or words, "status": status, **details}
        return JSONResponse(body, status, media_type="application/problem+json")
    return PageRequest(request).page("wrong.html", status=status, words=words)


def _refused(request: Request, error: Exception) -> Response:
    status = next(code for kind, code in STATUS if isinstance(error, kind))
    return _wrong(request, status, refused_words(error), str(error), **_details(error))


def _details(error: Exception) -> dict[str, Any]:
    """Where a request was wrong, or what stands now."""
    if isinstance(error, errors.BadInput):
        return {"place": error.place, "mend": error.mend}
    if isinstance(error, errors.EditedMeanwhile):
        return {"newer": error.newer.number}
    if isinstance(error, errors.Withheld):
        return withheld_json(error)
    return {}


def _misread(request: Request, error: Exception) -> Response:
    """A request that is not shaped as documented; what was sent is never sent back."""
    assert isinstance(error, RequestValidationError)
    faults = [
        {"place": ".".join(map(str, one["loc"])), "wrong": one["msg"]} for one in error.errors()
    ]
    words = "; ".join(f"{one['place']}: {one['wrong']}" for one in faults)
    title = "The request is not shaped as documented."
    return _wrong(request, HTTPStatus.UNPROCESSABLE_ENTITY, words, title, faults=faults)


def _no_page(request: Request, error: Exception) -> Response:
    assert isinstance(error, HTTPException)
    words = {404: "There is no such page.", 405: "That cannot be done here."}.get(
        error.status_code, str(error.detail)
    )
    answer = _wrong(request, error.status_code, words)
    answer.headers.update(error.headers or {})
    if error.status_code == HTTPStatus.METHOD_NOT_ALLOWED:
        answer.headers["Allow"] = ", ".join(_methods(request))
    return answer


def _methods(request: Request) -> list[str]:
    """What may be done at an address; each route knows only its own."""
    routes = [route for router in (*PAGES, *API) for route in router.routes]
    found: set[str] = set()
    for route in (*request.app.routes, *routes):
        if route.matches(request.scope)[0] is not Match.NONE:
            found |= getattr(route, "methods", None) or set()
    return sorted(found | ({"HEAD"} if "GET" in found else set())) or ["GET", "HEAD"]


def _gone(_request: Request, _error: Exception) -> Response:
    """Whoever asked hung up before all of it was sent; nobody hears this."""
    return Response(status_code=HTTPStatus.BAD_REQUEST)


def _broken(request: Request, error: Exception) -> Response:
    """Our own fault: told plainly, noted in the log, nothing of it shown."""
    LOG.error("%s %s", request.method, request.url.path, exc_info=error)
    words = "Something went wrong in the program itself. What was kept before is safe."
    return _wrong(request, HTTPStatus.INTERNAL_SERVER_ERROR, words)

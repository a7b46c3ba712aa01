"""App: the web app put together from a notebook and who may come in.

Holds:  building the app; what every error looks like to a person and to a program.
Never:  pages (pages/), safety's rules (safety.py).
"""

import hashlib
import logging
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from functools import cache
from http import HTTPStatus
from importlib.resources import files
from mimetypes import guess_type
from pathlib import Path
from typing import Any

from fastapi import APIRouter, FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse, Response
from jinja2 import Environment, FileSystemLoader, StrictUndefined
from starlette.exceptions import HTTPException
from starlette.requests import ClientDisconnect
from starlette.routing import Match
from starlette.types import Receive, Scope, Send

from tapewright import __version__
from tapewright.faces.web.api import groups as api_groups
from tapewright.faces.web.api import kept_things as api_kept_things
from tapewright.faces.web.api import photo as api_photo
from tapewright.faces.web.api import printing as api_printing
from tapewright.faces.web.api import questions as api_questions
from tapewright.faces.web.api import rigs as api_rigs
from tapewright.faces.web.api.refusals import describe
from tapewright.faces.web.background import Background
from tapewright.faces.web.calibrations import Answers
from tapewright.faces.web.page_request import AppState, PageRequest
from tapewright.faces.web.pages import (
    archive,
    change,
    entrance,
    field,
    groups,
    history,
    marks,
    photo,
    plan,
    printed_sheets,
    printers,
    prove,
    question,
    refits,
    rigs,
    sheet,
    shoot,
)
from tapewright.faces.web.passcode import GUESSES, WINDOW_S
from tapewright.faces.web.safety import Gate, Rules
from tapewright.faces.web.templating import FILTERS, GLOBALS
from tapewright.ground.errors import (
    BadInput,
    EditedMeanwhile,
    NotebookUnusable,
    NotKept,
    TapewrightError,
    Withheld,
)
from tapewright.services.keep import Notebook
from tapewright.storage.guesses import Guesses
from tapewright.words.stops import refused_words, withheld_json

HERE = Path(str(files(__package__)))
PAGES = (
    prove.ROUTER,
    history.ROUTER,
    archive.ROUTER,
    entrance.ROUTER,
    sheet.ROUTER,
    change.ROUTER,
    rigs.ROUTER,
    shoot.ROUTER,
    groups.ROUTER,
    photo.ROUTER,
    plan.ROUTER,
    marks.ROUTER,
    printed_sheets.ROUTER,
    printers.ROUTER,
    refits.ROUTER,
    field.ROUTER,
    question.ROUTER,
)
API = (
    api_rigs.ROUTER,
    api_groups.ROUTER,
    api_photo.ROUTER,
    api_questions.ROUTER,
    api_printing.ROUTER,
    api_kept_things.ROUTER,
)
LOG = logging.getLogger("tapewright.web")
STATUS: tuple[tuple[type[Exception], HTTPStatus], ...] = (
    (NotKept, HTTPStatus.NOT_FOUND),
    (EditedMeanwhile, HTTPStatus.CONFLICT),
    (NotebookUnusable, HTTPStatus.SERVICE_UNAVAILABLE),
    (TapewrightError, HTTPStatus.UNPROCESSABLE_ENTITY),
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
    app.state.app_state = AppState(notebook, _sheets(), Answers())
    app.state.rules = rules
    app.state.lock = entrance.Lock(Guesses(GUESSES, WINDOW_S, rules.guesses_file))
    describe(app)
    app.mount("/static", _Lasting(HERE / "static"))
    app.add_exception_handler(TapewrightError, _refused)
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


class _Lasting:
    """Files that a browser may keep: their address changes when they do.

    They are read once: whoever takes no answer must not hold an open file with it.
    """

    def __init__(self, folder: Path) -> None:
        self._files = {
            f"/static/{one.relative_to(folder).as_posix()}": (
                one.read_bytes(),
                guess_type(one.name)[0] or "application/octet-stream",
            )
            for one in folder.rglob("*")
            if one.is_file()
        }

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer with a file, or that there is none."""
        found = self._files.get(scope["path"])
        if scope["type"] != "http" or scope["method"] != "GET":
            raise HTTPException(HTTPStatus.METHOD_NOT_ALLOWED)
        if found is None:
            raise HTTPException(HTTPStatus.NOT_FOUND)
        lasting = {"Cache-Control": "public, max-age=31536000, immutable"}
        await Response(found[0], 200, lasting, found[1])(scope, receive, send)


@cache  # to compile the templates takes longer than to show a page
def _sheets() -> Environment:
    sheets = Environment(
        loader=FileSystemLoader(HERE / "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        auto_reload=False,
    )
    sheets.filters.update(FILTERS)
    sheets.globals.update(GLOBALS, static=_static_address())
    return sheets


def _static_address() -> Any:  # noqa: ANN401 — a function for the templates
    """Function from a static file's name to its address, which changes with its content."""
    known: dict[str, str] = {}

    def address(name: str) -> str:
        if name not in known:
            digest = hashlib.sha256((HERE / "static" / name).read_bytes()).hexdigest()[:10]
            known[name] = f"/static/{name}?{digest}"
        return known[name]

    return address


def _is_for_program(request: Request) -> bool:
    return request.url.path.startswith("/api/")


def problem(status: int, title: str, **more: Any) -> Response:  # noqa: ANN401 — any JSON
    """What went wrong, for a program (RFC 9457)."""
    body = {"title": title, "status": status, **more}
    return JSONResponse(body, status, media_type="application/problem+json")


def _refused(request: Request, error: Exception) -> Response:
    status = next(code for kind, code in STATUS if isinstance(error, kind))
    if _is_for_program(request):
        return problem(status, str(error), **_details(error))
    return PageRequest(request).page("wrong.html", status=status, words=refused_words(error))


def _details(error: Exception) -> dict[str, Any]:
    """Where a request was wrong, or what stands now."""
    if isinstance(error, BadInput):
        return {"place": error.place, "mend": error.mend}
    if isinstance(error, EditedMeanwhile):
        return {"newer": error.newer.number}
    if isinstance(error, Withheld):
        return withheld_json(error)
    return {}


def _misread(request: Request, error: Exception) -> Response:
    """A request that is not shaped as documented; what was sent is never sent back."""
    assert isinstance(error, RequestValidationError)
    faults = [
        {"place": ".".join(map(str, one["loc"])), "wrong": one["msg"]} for one in error.errors()
    ]
    status = HTTPStatus.UNPROCESSABLE_ENTITY
    if _is_for_program(request):
        return problem(status, "The request is not shaped as documented.", faults=faults)
    words = "; ".join(f"{one['place']}: {one['wrong']}" for one in faults)
    return PageRequest(request).page("wrong.html", status=status, words=words)


def _no_page(request: Request, error: Exception) -> Response:
    assert isinstance(error, HTTPException)
    words = {404: "There is no such page.", 405: "That cannot be done here."}.get(
        error.status_code, str(error.detail)
    )
    if _is_for_program(request):
        answer = problem(error.status_code, words)
    else:
        answer = PageRequest(request).page("wrong.html", status=error.status_code, words=words)
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
    status = HTTPStatus.INTERNAL_SERVER_ERROR
    if _is_for_program(request):
        return problem(status, words)
    return PageRequest(request).page("wrong.html", status=status, words=words)

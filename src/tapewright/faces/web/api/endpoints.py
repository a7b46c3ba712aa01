"""Endpoints: how an address of the API is offered, and what each may say besides its answer.

Holds:  a function becomes an address; parts of addresses; documented refusals; the description
        of the API as a whole.
Never:  what an address answers; when a refusal is given (app.py, security.py).
"""

import re
from collections.abc import Callable, Mapping
from inspect import Parameter, Signature
from typing import Annotated, Any, Literal

from fastapi import APIRouter, FastAPI, Path, Query
from fastapi.openapi.utils import get_openapi

from tapewright.faces.web.api.schemas import Fault, Problem
from tapewright.faces.web.page_request import At, PageRequest
from tapewright.questions.question import Field
from tapewright.words.unit_system import IMPERIAL, METRIC
from tapewright.words.unit_system import Units as Read

REFUSALS = {
    400: "The request is broken: no JSON, or bytes that are no text.",
    401: "The passcode is needed.",
    403: "Another site sent this.",
    404: "Nothing is kept under this id.",
    409: "Somebody saved or withdrew it first; look at what stands now.",
    413: "More was sent than this address takes.",
    415: "What was sent is of another kind than this address takes.",
    421: "The program was not told to answer to this name.",
    422: "Something in the request is wrong; the place is named.",
    429: "Something that you asked for before is still being worked on.",
    503: "The notebook cannot be read or written now.",
}
REFERENCE = "#/components/schemas/"
PROBLEM = {"application/problem+json": {"schema": {"$ref": f"{REFERENCE}Problem"}}}
REFUSED: dict[int | str, dict[str, Any]] = {
    status: {"description": about, "content": PROBLEM} for status, about in REFUSALS.items()
}

ID = r"^[0-9a-f]{20}$"
RigId = Annotated[str, Path(pattern=ID, description="Twenty hexadecimal digits.")]
UnitsAsked = Annotated[
    Literal["imperial", "metric"],
    Query(description="Yards and inches, or metres and centimetres; keys say which."),
]
UNITS = (UnitsAsked, "imperial")
Aside = Annotated[bool, Query(description="Those that were put aside instead.")]
ASIDE = (Aside, False)
Asked = Mapping[str, Any]  # by its name: what kind it is, or that and the usual


def offer(
    router: APIRouter,
    path: str,
    call: Callable[..., Any],
    name: str,
    about: str,
    answer: Any,  # noqa: ANN401 — the kind of what it returns
    asked: Asked,
    **more: Any,  # noqa: ANN401 — as the router takes it
) -> None:
    """Offer a function at an address: it is told who asks, the parts of the path, what is asked."""
    parts = dict.fromkeys(re.findall(r"{(\w+)}", router.prefix + path), RigId)
    pairs = {
        name: kind if isinstance(kind, tuple) else (kind, Parameter.empty)
        for name, kind in ({"the_request": At} | parts | dict(asked)).items()
    }

    def called(the_request: PageRequest, **given: Any) -> Any:  # noqa: ANN401 — parameters, handed on by name
        return call(the_request, **given)

    called.__name__, called.__doc__ = name, about
    called.__signature__ = Signature(  # type: ignore[attr-defined]
        [
            Parameter(name, Parameter.KEYWORD_ONLY, annotation=kind, default=usual)
            for name, (kind, usual) in pairs.items()
        ],
        return_annotation=answer,
    )
    router.add_api_route(path, called, **({"methods": ["GET"]} | more))


def queries(fields: tuple[Field, ...], most_letters: int) -> dict[str, tuple[Any, Any]]:
    """Types of what may be said with fields, and what the description of the API says of them."""
    older = {one.before: f"Earlier name of {one.name}." for one in fields if one.before}
    return {field.name: _query(field, most_letters) for field in fields} | {
        name: (str, Query("", max_length=most_letters, description=about, deprecated=True))
        for name, about in older.items()
    }


def _query(field: Field, most_letters: int) -> tuple[Any, Any]:
    if field.ends:
        least, most = field.ends
        usual = int(field.usual)
        return int, Query(usual, ge=least, le=most, description=field.about)
    if field.choices:
        return Literal[("", *field.choices)], Query("", description=field.about)
    return str, Query("", max_length=most_letters, description=field.about)


def file_answer(kind: str, about: str, what: str) -> dict[int | str, dict[str, Any]]:
    """Documented answer that is a file."""
    return {200: {"description": about, "content": {kind: {"schema": {"type": what}}}}}


def units_of(asked: str) -> Read:
    """Units of an answer."""
    return METRIC if asked == "metric" else IMPERIAL


def describe(app: FastAPI) -> None:
    """Let the description of the API name the shape of its refusals."""

    def description() -> dict[str, Any]:
        if app.openapi_schema is None:
            found = get_openapi(
                title=app.title, version=app.version, summary=app.summary, routes=app.routes
            )
            schemas = found.setdefault("components", {}).setdefault("schemas", {})
            for one in (Problem, Fault):
                schema = one.model_json_schema(ref_template=f"{REFERENCE}{{model}}")
                schema.pop("$defs", None)
                schemas[one.__name__] = schema
            app.openapi_schema = found
        return app.openapi_schema

    app.openapi = description  # type: ignore[method-assign]

"""Refusals: what every address of the API may say besides what was asked for.

Holds:  documented refusals; parts of addresses; the description of the API as a whole.
Never:  when a refusal is given (app.py, safety.py).
"""

from typing import Annotated, Any, Literal

from fastapi import FastAPI, Path, Query
from fastapi.openapi.utils import get_openapi

from tapewright.faces.web.api.bodies import Fault, Problem
from tapewright.words.units import IMPERIAL, METRIC
from tapewright.words.units import Units as Read

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
ID = r"^[0-9a-f]{20}$"
REFERENCE = "#/components/schemas/"


def _as_documented(about: str) -> dict[str, Any]:
    schema = {"$ref": f"{REFERENCE}Problem"}
    return {"description": about, "content": {"application/problem+json": {"schema": schema}}}


REFUSED: dict[int | str, dict[str, Any]] = {
    status: _as_documented(about) for status, about in REFUSALS.items()
}

RigId = Annotated[str, Path(pattern=ID, description="Twenty hexadecimal digits.")]
EntryId = Annotated[str, Path(pattern=ID, description="Twenty hexadecimal digits.")]
UnitsAsked = Annotated[
    Literal["imperial", "metric"],
    Query(description="Yards and inches, or metres and centimetres; keys say which."),
]
Aside = Annotated[bool, Query(description="Those that were put aside instead.")]
Distances = Annotated[str, Query(max_length=400, description='Such as "20:60:10yd" or "18,30 m".')]


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

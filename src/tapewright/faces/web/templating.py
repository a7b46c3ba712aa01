"""Templating: the templates, what they may call beyond their own language, and what lies beside.

Holds:  the environment with its filters; static files and their addresses.
Never:  pages, computations.
"""

import re
from functools import cache
from hashlib import sha256
from importlib.resources import files
from mimetypes import MimeTypes
from pathlib import Path
from typing import Any

from fastapi.responses import Response
from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup
from starlette.exceptions import HTTPException

from tapewright import __version__
from tapewright.faces.offline_pack import script_text, units_here
from tapewright.faces.offline_sentences import range_words
from tapewright.faces.web.phone_sync.parked import parked_of
from tapewright.faces.web.session_lists import group_line, pin_count
from tapewright.faces.web.sheet_forms import form_words
from tapewright.ground.extras import adding
from tapewright.questions.all_questions import shelf
from tapewright.services.keep import KeptSession, kept_as
from tapewright.words.answer_blocks import Drawing, Mind, More, Table
from tapewright.words.cautions import SAFETY
from tapewright.words.number_format import plain
from tapewright.words.stops import QUESTIONS
from tapewright.words.unit_system import amount, round_amount

HERE = Path(str(files(__package__)))
# Read once: whoever takes no answer must not hold an open file with it.
STATIC = {
    one.relative_to(HERE / "static").as_posix(): one.read_bytes()
    for one in (HERE / "static").rglob("*")
    if one.is_file()
}
TYPES = MimeTypes()  # by Python's own list: some systems call a script plain text
LASTING = {"Cache-Control": "public, max-age=31536000, immutable"}


async def static_file(name: str) -> Response:
    """A file that a browser may keep: its address changes when it does."""
    if name not in STATIC:
        raise HTTPException(404)
    return Response(
        STATIC[name], 200, LASTING, TYPES.guess_type(name)[0] or "application/octet-stream"
    )


@cache
def static(name: str) -> str:
    """Address of a static file, which changes with its content."""
    return f"/static/{name}?{sha256(STATIC[name]).hexdigest()[:10]}"


@cache
def app_version() -> str:
    """Version of all that a browser may keep: another one when any page's looks change."""
    whole = sha256(__version__.encode())
    sheets = {path.name: path.read_bytes() for path in (HERE / "templates").rglob("*.html")}
    for _, content in (*sorted(STATIC.items()), *sorted(sheets.items())):
        whole.update(content)
    return f"{__version__}-{whole.hexdigest()[:10]}"


def kind(block: object) -> str:
    """Kind of a block: ``table``, ``mind``, ``drawing`` or ``text``."""
    kinds = {Table: "table", Mind: "mind", Drawing: "drawing", More: "more"}
    return kinds.get(type(block), "text")


def shelf_links(name: str, in_full: bool = False) -> tuple[tuple[str, str], ...]:  # noqa: FBT001, FBT002 — as templates call it
    """Names and addresses, under a rig, of the questions under one heading."""
    return tuple(
        (one.title if in_full or not one.short else one.short, f"/ask/{one.name}")
        for one in shelf(name)
    )


def spaced(text: str) -> str:
    """A number as people write it: a space before its unit, which a shell needs not."""
    return re.sub(r"(?<=\d)(yd|m)$", r" \1", text)


def _in_script(value: dict[str, Any]) -> Markup:
    return Markup(script_text(value))  # noqa: S704 — no name ends the script


def _range_here(at: Any, rig_id: str) -> Markup:  # noqa: ANN401 — a PageRequest, which knows this room
    """What a page says beside a pack: the reader's units, sessions whose groups only prove."""
    proving = [
        one.id
        for one in at.notebook.entries("session", rig_id)
        if kept_as(one, KeptSession).purpose == "proving"
    ]
    return _in_script(units_here(at.units) | {"proving": proving})


TEMPLATES = Environment(
    loader=FileSystemLoader(HERE / "templates"),
    autoescape=True,
    undefined=StrictUndefined,
    trim_blocks=True,
    lstrip_blocks=True,
    auto_reload=False,
)
TEMPLATES.filters.update(
    amount=amount,
    round_amount=round_amount,
    plain=plain,
    kind=kind,
    form_words=form_words,
    group_line=group_line,
    pin_count=pin_count,
    spaced=spaced,
)
TEMPLATES.tests["said"] = lambda block: kind(block) == "text"
TEMPLATES.tests["minded"] = lambda block: kind(block) == "mind"
TEMPLATES.globals.update(
    adding=adding,
    range_words=lambda probability: _in_script(range_words(probability)),
    range_here=_range_here,
    version=__version__,
    safety=SAFETY,
    shelf=shelf_links,
    static=static,
    parked=parked_of,
    before_arrow=frozenset(QUESTIONS) - {"arrow.blade_diameter"},  # that of a broadhead alone
)

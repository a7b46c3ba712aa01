"""Plain: kept records as plain JSON values, and back.

Every field is checked against the record's own annotations; numbers keep every digit.

Holds:  record → JSON text, JSON text → record, the one canonical way to write JSON.
Never:  tables, files, what a record means (records.py refuses nonsense).
"""

import json
import re
from collections.abc import Callable, Mapping
from dataclasses import MISSING, fields, is_dataclass
from functools import cache, lru_cache
from itertools import chain
from math import isfinite
from types import NoneType, UnionType
from typing import Any, Literal, NoReturn, get_args, get_origin, get_type_hints

from pydantic_core import from_json

from tapewright.ground.errors import BadArchive, BadInput, TapewrightError
from tapewright.storage.records import BODIES, Body, Kind, kind_of

UPDATE = "Take it from an untouched copy, or update Tapewright if a newer one wrote it"

# Fields that records gained later, written only where they say something: what is kept stays as it
# was, and an older program reads what it knows.
LATER = {
    "session", "windage_m", "windage_clicks", "distances", "missed", "back_to", "proved",
    "record_text", "taken_off", "scales", "date", "arrow", "head",
}  # fmt: skip

# Nine tenths of a calibration. A quote inside a text is kept with a stroke before it, so this is
# the field and nothing else.
_MARKS = re.compile(r'"marks":\[\[[-+.,e0-9\[\]]*\]\]')


def canonical(value: object) -> str:
    """JSON in the one way that is hashed and compared: keys in order, no blanks."""
    return json.dumps(
        value, ensure_ascii=False, allow_nan=False, sort_keys=True, separators=(",", ":")
    )


def body_text(body: Body) -> str:
    """A body as canonical JSON.

    Raises
    ------
    BadInput
        If it holds a number that is not finite, or half a character.
    """
    try:
        text = canonical(plain(body))
        text.encode()
    except UnicodeEncodeError as broken:
        raise BadInput(
            kind_of(body), "a text holds half a character", "Type the text again"
        ) from broken
    except ValueError as infinite:
        raise BadInput(
            kind_of(body), "a number is not finite", "Leave out what was not measured"
        ) from infinite
    return text


def body_from_text(kind: Kind, text: str, place: str, *, briefly: bool = False) -> Body:
    """The body that a JSON text holds; briefly, a calibration without its marks.

    Raises
    ------
    BadArchive
        If it cannot be read, naming the field.
    """
    # A print holds a dict, which somebody could change; a photograph is too large to be remembered.
    read = _read if kind in ("print", "setup") else _read_once
    if briefly and kind == "calibration":
        text = _MARKS.sub('"marks":[]', text, count=1)
    try:
        return read(kind, text)
    except _Misfit as misfit:
        raise BadArchive(f"{place}{misfit.path}", misfit.wrong, UPDATE) from misfit
    except (ValueError, RecursionError) as unreadable:
        raise BadArchive(place, "what is kept there is no JSON", UPDATE) from unreadable


def body_from_plain(kind: Kind, value: object, place: str) -> Body:
    """The body that a plain JSON value holds; as body_from_text."""
    try:
        return _fitted(kind, value)
    except _Misfit as misfit:
        raise BadArchive(f"{place}{misfit.path}", misfit.wrong, UPDATE) from misfit


def _fitted(kind: Kind, value: object) -> Body:
    record: Any = BODIES[kind]
    body: Body = _reader(record)(value)
    return body


def _read(kind: Kind, text: str) -> Body:
    try:
        value = from_json(text, allow_inf_nan=False)  # five times as quick with many numbers
    except (TypeError, ValueError):
        value = json.loads(text)  # takes what is wrong, too, for its field to be named
    return _fitted(kind, value)


_read_once = lru_cache(maxsize=4096)(_read)  # a list of fifty rigs is read again and again


def forget_bodies() -> None:
    """Forget the bodies that were read lately."""
    _read_once.cache_clear()


_ALREADY = {str, int, float, bool, NoneType}


def plain(value: object) -> object:
    """A record, and whatever it holds, as dicts, lists, texts and numbers."""
    if type(value) in _ALREADY:  # nearly everything: a calibration holds five hundred numbers
        return value
    if is_dataclass(value):
        said = ((field, getattr(value, field.name)) for field in fields(value))
        return {
            field.name: plain(inner)
            for field, inner in said
            if field.name not in LATER or inner != field.default
        }
    if isinstance(value, Mapping):
        return {key: plain(inner) for key, inner in value.items()}
    if isinstance(value, tuple):
        return [plain(inner) for inner in value]
    return value


Reader = Callable[[object], Any]


class _Misfit(Exception):
    """A value does not fit where it stands; the way to it grows from the inside out."""

    def __init__(self, wrong: str) -> None:
        super().__init__(wrong)
        self.wrong, self.path = wrong, ""


def _inside(name: str, reader: Reader, value: object) -> Any:  # noqa: ANN401 — as the reader says
    try:
        return reader(value)
    except _Misfit as misfit:
        misfit.path = f"{name}{misfit.path}"
        raise


@cache
def _reader(hint: Any) -> Reader:  # noqa: ANN401 — an annotation may be anything
    if is_dataclass(hint):
        return _record(hint)  # type: ignore[arg-type]
    if hint in _LEAVES:
        return _LEAVES[hint]
    return _COMPOUNDS[get_origin(hint)](get_args(hint))


def _record(record: type) -> Reader:
    hints = get_type_hints(record)
    readers = {field.name: _reader(hints[field.name]) for field in fields(record)}
    needed = [field.name for field in fields(record) if field.default is MISSING]

    def read(value: object) -> object:
        if not isinstance(value, dict):
            raise _Misfit("fields are missing altogether")
        for unknown in value.keys() - readers.keys():
            raise _Misfit(f"there is no field {str(unknown)[:40]!r}")
        for name in needed:
            if name not in value:
                _inside(f", {name}", _missing, None)
        found = {name: _inside(f", {name}", readers[name], inner) for name, inner in value.items()}
        try:
            return record(**found)
        except TapewrightError as nonsense:
            raise _Misfit(str(nonsense).removesuffix(".")) from nonsense

    return read


def _missing(_value: object) -> NoReturn:
    raise _Misfit("the field is missing")


def _text(value: object) -> str:
    if not isinstance(value, str):
        raise _Misfit("a text is wanted")
    try:
        value.encode()
    except UnicodeEncodeError as broken:
        raise _Misfit("the text holds half a character") from broken
    return value


def _truth(value: object) -> bool:
    if not isinstance(value, bool):
        raise _Misfit("true or false is wanted")
    return value


def _count(value: object) -> int:
    if not isinstance(value, int) or isinstance(value, bool):
        raise _Misfit("a whole number is wanted")
    return value


def _number(value: object) -> float:
    if not isinstance(value, int | float) or isinstance(value, bool):
        raise _Misfit("a number is wanted")
    try:
        number = float(value)
    except OverflowError as large:
        raise _Misfit("the number is too large") from large
    if not isfinite(number):
        raise _Misfit("the number is not finite")
    return number


def _choice(allowed: tuple[Any, ...]) -> Reader:
    def read(value: object) -> object:
        if value not in allowed:
            raise _Misfit(f"one of {', '.join(allowed)} is wanted")
        return value

    return read


def _optional(hints: tuple[Any, ...]) -> Reader:
    (hint,) = (hint for hint in hints if hint is not NoneType)
    reader = _reader(hint)
    return lambda value: None if value is None else reader(value)


def _tuple(hints: tuple[Any, ...]) -> Reader:
    alike = hints[-1] is Ellipsis
    readers = tuple(_reader(hint) for hint in hints if hint is not Ellipsis)
    row = get_args(hints[0]) if alike and get_origin(hints[0]) is tuple else ()
    columns = len(row) if set(row) == {float} else 0

    def read(value: object) -> tuple[Any, ...]:
        if not isinstance(value, list):
            raise _Misfit("a list is wanted")
        if columns and _is_table(value, columns):
            return tuple(map(tuple, value))
        if not alike and len(value) != len(readers):
            raise _Misfit(f"{len(readers)} values are wanted, there are {len(value)}")
        ways = readers * len(value) if alike else readers
        pairs = enumerate(zip(ways, value, strict=True), start=1)
        return tuple(_inside(f" {number}", way, inner) for number, (way, inner) in pairs)

    return read


def _is_table(rows: list[Any], columns: int) -> bool:
    """Whether these are rows of finite numbers and no more need be looked at.

    A list of fifty rigs reads 25,000 numbers: one by one they take four times as long.
    """
    alike = {list}.issuperset(map(type, rows)) and {columns}.issuperset(map(len, rows))
    return (
        alike
        and {float}.issuperset(map(type, chain.from_iterable(rows)))
        and isfinite(sum(chain.from_iterable(rows)))
    )


def _mapping(hints: tuple[Any, ...]) -> Reader:
    reader = _reader(hints[1])

    def read(value: object) -> Mapping[str, Any]:
        if not isinstance(value, dict):
            raise _Misfit("names with their values are wanted")
        return {_text(key): _inside(f", {key[:40]}", reader, inner) for key, inner in value.items()}

    return read


_LEAVES: Mapping[Any, Reader] = {str: _text, bool: _truth, int: _count, float: _number}
_COMPOUNDS: Mapping[Any, Callable[[tuple[Any, ...]], Reader]] = {
    Literal: _choice,
    UnionType: _optional,
    tuple: _tuple,
    Mapping: _mapping,
}

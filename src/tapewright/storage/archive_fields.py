"""Archive fields: one entry with all its versions, as it stands in an archive.

Holds:  History → plain JSON values and back, every field checked.
Never:  the file around it, references between entries (archive.py).
"""

from datetime import UTC, datetime
from typing import Any, NoReturn

from tapewright.ground.errors import BadArchive
from tapewright.storage.entries import History, Source, Version
from tapewright.storage.plain import body_from_plain, plain
from tapewright.storage.records import BODIES, is_id

ENTRY = {"id", "kind", "rig_id", "withdrawn_at", "versions"}
VERSION = {"number", "saved_at", "body", "made_from"}
SOURCE = {"id", "number"}
EXPORT = "Export it again, or use an untouched copy"


def plain_history(history: History) -> dict[str, Any]:
    """A history as plain JSON values."""
    return {
        "id": history.id,
        "kind": history.kind,
        "rig_id": history.rig_id,
        "withdrawn_at": history.withdrawn_at,
        "versions": [
            {
                "number": number,
                "saved_at": version.saved_at,
                "body": plain(version.body),
                "made_from": [
                    {"id": source.entry_id, "number": source.number} for source in version.sources
                ],
            }
            for number, version in enumerate(history.versions, start=1)
        ],
    }


def history_from_plain(value: object, place: str) -> History:
    """A history from plain JSON values.

    Raises
    ------
    BadArchive
        If a field is missing, too many, or not what it must be.
    """
    fields = _fields(value, ENTRY, place)
    entry_id, kind, rig_id = fields["id"], fields["kind"], fields["rig_id"]
    if not (isinstance(entry_id, str) and is_id(entry_id)):
        _wrong(f"{place}, id", "an id of twenty digits, 0 to 9 and a to f, is wanted")
    if kind in ("job", "erased") or kind not in list(
        BODIES
    ):  # a list: whatever stands there can be compared
        _wrong(f"{place}, kind", "there is no such kind")
    if rig_id is not None and (kind == "rig" or not (isinstance(rig_id, str) and is_id(rig_id))):
        _wrong(f"{place}, rig_id", "an id is wanted, or null for a rig")
    withdrawn_at = fields["withdrawn_at"]
    if withdrawn_at is not None:
        _refuse_no_moment(withdrawn_at, f"{place}, withdrawn_at")
    versions = fields["versions"]
    if not isinstance(versions, list) or not versions:
        _wrong(f"{place}, versions", "at least one version is wanted")
    read = [
        _version(kind, number, one, f"{kind} {entry_id}, version {number}")
        for number, one in enumerate(versions, start=1)
    ]
    return History(entry_id, kind, rig_id, withdrawn_at, tuple(read))


def _version(kind: Any, number: int, value: object, place: str) -> Version:  # noqa: ANN401
    fields = _fields(value, VERSION, place)
    if fields["number"] is True or fields["number"] != number:
        _wrong(f"{place}, number", f"{number} is wanted: versions are counted from 1")
    _refuse_no_moment(fields["saved_at"], f"{place}, saved_at")
    body = body_from_plain(kind, fields["body"], place)
    if not isinstance(fields["made_from"], list):
        _wrong(f"{place}, made_from", "a list is wanted")
    sources = [_source(one, f"{place}, made_from") for one in fields["made_from"]]
    if sources != sorted(set(sources)):
        _wrong(f"{place}, made_from", "the sources are not in order, or one stands there twice")
    return Version(fields["saved_at"], body, tuple(sources))


def _source(value: object, place: str) -> Source:
    fields = _fields(value, SOURCE, place)
    number = fields["number"]
    if not (isinstance(fields["id"], str) and isinstance(number, int)) or number is True:
        _wrong(place, "an id and a version's number are wanted")
    return Source(fields["id"], number)


def _fields(value: object, wanted: set[str], place: str) -> dict[str, Any]:
    if not isinstance(value, dict):
        _wrong(place, f"the fields {', '.join(sorted(wanted))} are wanted")
    if value.keys() != wanted:
        odd = ", ".join(sorted(value.keys() ^ wanted))[:80]
        _wrong(place, f"these fields are missing or too many: {odd}")
    return value


def _refuse_no_moment(value: object, place: str) -> None:
    try:
        right = isinstance(value, str) and value == datetime.fromisoformat(value).astimezone(
            UTC
        ).isoformat(timespec="microseconds")
    except (ValueError, OverflowError):
        right = False
    if not right:
        _wrong(place, "a moment in UTC is wanted, as 2026-11-25T09:30:00.000000+00:00")


def _wrong(place: str, wrong: str) -> NoReturn:
    raise BadArchive(place, wrong, EXPORT)

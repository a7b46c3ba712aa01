"""Archive: everything that is kept, or one rig of it, as one readable file.

The file's check is a sum against accidents, not a seal against forgers: whoever edits the file on
purpose can write a new sum.

Holds:  notebook → Archive → text and back; every reason to refuse a text.
Never:  changing a notebook (taking_in.py), files and folders (backup.py).
"""

import json
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from hashlib import sha256
from itertools import groupby
from typing import Any

from sqlalchemy import Connection, Row

from tapewright import __version__
from tapewright.ground.errors import BadArchive, NotKept
from tapewright.storage.archive_fields import history_from_plain, plain_history
from tapewright.storage.entries import History, Version
from tapewright.storage.notebook import Notebook
from tapewright.storage.plain import body_from_text, canonical
from tapewright.storage.queries import all_versions, batched, sources_from_text
from tapewright.storage.records import pointed_to
from tapewright.storage.tables import entry

SCHEMA = "tapewright.archive/1"
MOST_CHARACTERS = 64 * 1024 * 1024
KEYS = {"schema", "program", "entries", "check"}
COPY = "Copy the whole file again from where it was exported"
EXPORT = "Export it again, or use an untouched copy"
FEWER = "Export single rigs, or copy the whole notebook with tapewright backup"


@dataclass(frozen=True, slots=True)
class Archive:
    """What an archive holds; every reference leads to something inside.

    Parameters
    ----------
    program : str
        Version of the program that wrote it.
    histories : tuple of History
        Every entry with all its versions, in order of ids.
    """

    program: str
    histories: tuple[History, ...]


def archive_of(notebook: Notebook, rig_ids: Sequence[str] | None = None) -> Archive:
    """All that a notebook keeps, jobs left out; with rig_ids: those rigs and what they need.

    Raises
    ------
    NotKept
        If there is no such rig.
    """
    return Archive(__version__, tuple(_histories(notebook, rig_ids)))


def _histories(notebook: Notebook, rig_ids: Sequence[str] | None) -> Iterator[History]:
    """Histories in order of ids, as they all stood in one moment; of everything, one by one."""
    with notebook.snapshot() as connection:
        if rig_ids is None:
            rows = connection.execute(all_versions().where(entry.c.kind != "job"))
            yield from _each_history(rows)
        else:
            yield from _chosen(connection, rig_ids)


def archive_text(notebook: Notebook, rig_ids: Sequence[str] | None = None) -> str:
    """The same as the text of one readable file.

    Raises
    ------
    NotKept
        If there is no such rig.
    BadArchive
        If it would be too large to be read again.
    """
    # Part by part: a notebook of 100,000 rigs is refused before it fills the memory.
    check, size = sha256(b"["), 0
    parts: list[str] = []
    for one in _histories(notebook, rig_ids):
        value = plain_history(one)
        check.update(f"{',' if parts else ''}{canonical(value)}".encode())
        part = json.dumps(value, ensure_ascii=False, allow_nan=False, indent=1)
        parts.append(part.replace("\n", "\n  "))
        size += len(parts[-1])
        if size > MOST_CHARACTERS:
            raise BadArchive("the archive", _too_large(), FEWER)
    check.update(b"]")
    head = json.dumps({"schema": SCHEMA, "program": __version__}, ensure_ascii=False, indent=1)
    entries = "[\n  " + ",\n  ".join(parts) + "\n ]" if parts else "[]"
    text = f'{head[:-2]},\n "entries": {entries},\n "check": "{check.hexdigest()}"\n}}\n'
    if len(text) > MOST_CHARACTERS:
        raise BadArchive("the archive", _too_large(), FEWER)
    return text


def read_archive(text: str) -> Archive:
    """The archive that a text holds; nothing is half read.

    Raises
    ------
    BadArchive
        If it is truncated, edited, foreign, newer, too large, or leads to something outside.
    """
    if len(text) > MOST_CHARACTERS:
        raise BadArchive("the archive", _too_large(), "Import the rigs one by one")
    try:
        whole = _json(text)
        _refuse_foreign(whole)
        if whole["check"] != _check(whole["entries"]):
            raise BadArchive("the archive", "it was changed after it was exported", EXPORT)
        histories = tuple(
            history_from_plain(one, f"entry {number}")
            for number, one in enumerate(whole["entries"], start=1)
        )
    except RecursionError as deep:
        raise BadArchive("the archive", "it is nested too deeply", EXPORT) from deep
    _refuse_loose_ends(histories)
    return Archive(whole["program"], histories)


def histories_of(rows: Sequence[Row[Any]]) -> tuple[History, ...]:
    """Histories from rows of all_versions; BadArchive if a body cannot be read."""
    return tuple(_each_history(rows))


def _each_history(rows: Iterable[Row[Any]]) -> Iterator[History]:
    return (_history(list(group)) for _, group in groupby(rows, key=lambda row: row.id))


def _history(rows: Sequence[Row[Any]]) -> History:
    first = rows[0]
    versions = (
        Version(
            row.saved_at,
            body_from_text(row.kind, row.body, f"{row.kind} {row.id}, version {row.number}"),
            sources_from_text(row.sources),
        )
        for row in rows
    )
    return History(first.id, first.kind, first.rig_id, first.withdrawn_at, tuple(versions))


def _chosen(connection: Connection, rig_ids: Sequence[str]) -> list[History]:
    """Histories of these rigs, of what belongs to them, and of all that those name."""
    wanted = set(rig_ids)
    found = {one.id: one for one in _with_ids(connection, sorted(wanted))}
    for rig_id in rig_ids:
        if rig_id not in found or found[rig_id].kind != "rig":
            raise NotKept(rig_id)
    for some in batched(sorted(wanted)):
        theirs = all_versions().where(entry.c.rig_id.in_(some), entry.c.kind != "job")
        found.update((one.id, one) for one in histories_of(connection.execute(theirs).all()))
    ahead = {name for one in found.values() for name in one.named} - found.keys()
    while ahead:
        more = {one.id: one for one in _with_ids(connection, sorted(ahead)) if one.kind != "job"}
        found |= more
        ahead = {name for one in more.values() for name in one.named} - found.keys()
    return [found[name] for name in sorted(found)]


def _with_ids(connection: Connection, ids: Sequence[str]) -> Iterator[History]:
    for some in batched(ids):
        rows = connection.execute(all_versions().where(entry.c.id.in_(some)))
        yield from _each_history(rows.all())


def _too_large() -> str:
    return f"it has more than {MOST_CHARACTERS / 1e6:.0f} million characters"


def _check(entries: object) -> str:
    try:
        return sha256(canonical(entries).encode()).hexdigest()
    except ValueError as broken:
        # half a character, or 1e999: nothing that we write
        raise BadArchive("the archive", "a text or number in it cannot be", EXPORT) from broken


def _json(text: str) -> Any:  # noqa: ANN401 — whatever is in the file
    try:
        return json.loads(
            text.removeprefix("\ufeff"),
            object_pairs_hook=_without_twins,
            parse_constant=_refuse_constant,
        )
    except json.JSONDecodeError as broken:
        if not text.lstrip("\ufeff \t\r\n").startswith("{"):
            raise BadArchive("the archive", "it is no archive of Tapewright", EXPORT) from broken
        place = f"the archive, line {broken.lineno}, character {broken.colno}"
        raise BadArchive(place, "it ends too early or is damaged here", COPY) from broken
    except ValueError as long:  # a number of thousands of digits
        raise BadArchive("the archive", "a number in it is too long", EXPORT) from long


def _without_twins(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) < len(pairs):
        raise BadArchive("the archive", "a field stands in it twice", EXPORT)
    return found


def _refuse_constant(name: str) -> None:
    raise BadArchive("the archive", f"{name} stands in it, which is no number", EXPORT)


def _refuse_foreign(whole: Any) -> None:  # noqa: ANN401
    schema = whole.get("schema") if isinstance(whole, dict) else None
    if not isinstance(schema, str) or not schema.startswith("tapewright.archive/"):
        raise BadArchive("the archive, schema", "it is no archive of Tapewright", EXPORT)
    if schema != SCHEMA:
        raise BadArchive(
            "the archive, schema",
            f"it is of another kind ({schema[:40]}) than this program reads ({SCHEMA})",
            "Update Tapewright",
        )
    if whole.keys() != KEYS:
        odd = ", ".join(sorted(whole.keys() ^ KEYS))[:80]
        raise BadArchive("the archive", f"these fields are missing or too many: {odd}", EXPORT)
    if not (isinstance(whole["program"], str) and isinstance(whole["entries"], list)):
        raise BadArchive("the archive", "its entries are no list", EXPORT)


def _refuse_loose_ends(histories: Sequence[History]) -> None:
    known = {one.id: one for one in histories}
    if len(known) < len(histories):
        raise BadArchive("the archive", "an entry stands in it twice", EXPORT)
    for one in histories:
        for number, version in enumerate(one.versions, start=1):
            place = f"{one.kind} {one.id}, version {number}"
            for name, kind in pointed_to(version.body, one.rig_id):
                if name not in known or known[name].kind != kind:
                    raise BadArchive(place, f"its {kind} {name} is not in the archive", EXPORT)
            for source in version.sources:
                there = known.get(source.entry_id)
                if there is None or not 1 <= source.number <= len(there.versions):
                    outside = f"{source.entry_id} in version {source.number}"
                    raise BadArchive(
                        place, f"it was made from {outside}, which is not in the archive", EXPORT
                    )

"""Archive: everything that is kept, or one rig of it, as one readable file.

The file's check is a sum against accidents, not a seal against forgers: whoever edits the file on
purpose can write a new sum.

Holds:  notebook → Archive → text and back; every reason to refuse a text.
Never:  changing a notebook (taking_in.py), files and folders (backup.py).
"""

import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from hashlib import sha256
from io import BytesIO, StringIO, TextIOWrapper
from itertools import groupby
from typing import Any, TextIO

from sqlalchemy import Connection, Row

from tapewright import __version__
from tapewright.ground.errors import BadArchive, NotKept
from tapewright.storage import archive_stream
from tapewright.storage.archive_fields import history_from_plain, plain_history
from tapewright.storage.archive_stream import (
    ENTRY,
    EXPORT,
    archive_parts,
    refuse_large_entry,
    too_many,
)
from tapewright.storage.entries import History, Version
from tapewright.storage.notebook import Notebook
from tapewright.storage.plain import canonical
from tapewright.storage.queries import (
    AT_ONCE,
    all_versions,
    batched,
    entry_of_any_name,
    refuse_gap,
    refuse_traces,
)
from tapewright.storage.records import pointed_to
from tapewright.storage.sums import Damaged
from tapewright.storage.tables import entry
from tapewright.storage.tallies import Counted, refuse_lost_entries, refuse_lost_of_rigs

SCHEMA = "tapewright.archive/1"
KEYS = {"schema", "program", "entries", "check"}
FEWER = "Export single rigs, or copy the whole notebook with tapewright backup"
STAYS_HERE = ("job", "erased")  # kinds that no archive holds
_LARGE = 200_000  # characters; smaller entries are inside every limit


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
    """All that a notebook keeps, but jobs and what was erased.

    With rig_ids: those rigs and what they need.

    Raises
    ------
    NotKept
        If there is no such rig.
    """
    return Archive(__version__, tuple(_histories(notebook, rig_ids)))


def _histories(notebook: Notebook, rig_ids: Sequence[str] | None) -> Iterator[History]:
    """Histories in order of ids, as they all stood in one moment; of everything, one by one."""
    with notebook.snapshot() as connection:
        if rig_ids is not None:
            yield from _chosen(connection, rig_ids)
            return
        seen: list[Counted] = []
        asked = all_versions().execution_options(yield_per=AT_ONCE)
        with connection.execute(asked) as rows:
            for one in _each_history(rows):
                seen.append(Counted.of(one))
                if one.kind not in STAYS_HERE:
                    yield one
        refuse_lost_entries(connection, seen)


def archive_text(notebook: Notebook, rig_ids: Sequence[str] | None = None) -> str:
    """The same as the text of one readable file.

    Raises
    ------
    NotKept
        If there is no such rig.
    BadArchive
        If it would be too large to be read again.
    """
    return _text(__version__, _histories(notebook, rig_ids))


def text_of(archive: Archive) -> str:
    """An archive as the text of one readable file. BadArchive if it is too large to be read."""
    return _text(archive.program, archive.histories)


def _text(program: str, histories: Iterable[History]) -> str:
    # Part by part: a notebook of 100,000 rigs is refused before it fills the memory.
    check, size = _Check(), 0
    parts: list[str] = []
    for one in histories:
        value = plain_history(one)
        if check.add(value) > _LARGE:
            text = json.dumps(value, ensure_ascii=False, indent=4)  # no shorter than below
            refuse_large_entry(text, f"{one.kind} {one.id}")
        part = json.dumps(value, ensure_ascii=False, allow_nan=False, indent=1)
        parts.append(part.replace("\n", "\n  "))
        size += len(parts[-1])
        if size > archive_stream.MOST_CHARACTERS:
            raise too_many(FEWER)
    head = json.dumps({"schema": SCHEMA, "program": program}, ensure_ascii=False, indent=1)
    entries = "[\n  " + ",\n  ".join(parts) + "\n ]" if parts else "[]"
    text = f'{head[:-2]},\n "entries": {entries},\n "check": "{check.sum()}"\n}}\n'
    if len(text) > archive_stream.MOST_CHARACTERS:
        raise too_many(FEWER)
    return text


def read_archive(text: str) -> Archive:
    """The archive that a text holds; nothing is half read.

    Raises
    ------
    BadArchive
        If it is truncated, edited, foreign, newer, too large, or leads to something outside.
    """
    return read_archive_file(StringIO(text))


def read_archive_bytes(content: bytes) -> Archive:
    """The same of a file's bytes."""
    return read_archive_file(TextIOWrapper(BytesIO(content), "utf-8", newline=""))


def read_archive_file(file: TextIO) -> Archive:
    """The same of a file; each entry is read and checked before the next one is."""
    heads: dict[str, Any] = {}
    histories: list[History] = []
    check = _Check()
    for key, value in archive_parts(file, KEYS):
        if key == ENTRY:
            try:
                check.add(value)
                histories.append(history_from_plain(value, f"entry {len(histories) + 1}"))
            except BadArchive:
                _refuse_foreign(heads)  # whose entries these are matters more
                raise
            continue
        heads[key] = value
        if key == "schema":
            _refuse_foreign(heads)
    _refuse_foreign(heads)
    if heads.keys() != KEYS:
        odd = ", ".join(sorted(heads.keys() ^ KEYS))[:80]
        raise BadArchive("the archive", f"these fields are missing or too many: {odd}", EXPORT)
    if not (isinstance(heads["program"], str) and heads["entries"] is None):
        raise BadArchive("the archive", "its entries are no list", EXPORT)
    if heads["check"] != check.sum():
        raise BadArchive("the archive", "it was changed after it was exported", EXPORT)
    _refuse_loose_ends(histories)
    return Archive(heads["program"], tuple(histories))


def histories_of(rows: Sequence[Row[Any]]) -> tuple[History, ...]:
    """Histories from rows of all_versions; BadArchive if a body cannot be read, or Damaged."""
    return tuple(_each_history(rows))


def _each_history(rows: Iterable[Row[Any]]) -> Iterator[History]:
    return (_history(list(group)) for _, group in groupby(rows, key=lambda row: row.id))


def _history(rows: Sequence[Row[Any]]) -> History:
    refuse_gap(rows)
    entries = [entry_of_any_name(row) for row in rows]
    versions = tuple(Version(one.saved_at, one.body, one.sources) for one in entries)
    first = rows[0]
    return History(first.id, first.kind, first.rig_id, first.withdrawn_at, versions)


def _chosen(connection: Connection, rig_ids: Sequence[str]) -> list[History]:
    """Histories of these rigs, of what belongs to them, and of all that those name."""
    wanted = set(rig_ids)
    found = {one.id: one for one in _with_ids(connection, sorted(wanted))}
    for rig_id in rig_ids:
        if rig_id not in found:
            refuse_traces(connection, rig_id)
        if rig_id not in found or found[rig_id].kind != "rig":
            raise NotKept(rig_id)
    for some in batched(sorted(wanted)):
        theirs = all_versions().where(entry.c.rig_id.in_(some), entry.c.kind != "job")
        found.update((one.id, one) for one in histories_of(connection.execute(theirs).all()))
    refuse_lost_of_rigs(connection, wanted, map(Counted.of, found.values()))
    ahead = {name for one in found.values() for name in one.named} - found.keys()
    while ahead:
        more = {one.id: one for one in _with_ids(connection, sorted(ahead))}
        for name in sorted(ahead - more.keys()):
            raise Damaged(f"entry {name}", "it is missing, and others lead to it")
        found |= {name: one for name, one in more.items() if one.kind not in STAYS_HERE}
        ahead = {name for one in more.values() for name in one.named} - found.keys() - more.keys()
    return [found[name] for name in sorted(found)]


class _Check:
    """The sum of all entries, written in the one canonical way, entry by entry."""

    def __init__(self) -> None:
        self._sum, self._before = sha256(b"["), ""

    def add(self, entry: object) -> int:
        """Add an entry; how many characters it has."""
        try:
            text = canonical(entry)
            self._sum.update((self._before + text).encode())
        except ValueError as broken:
            # half a character, or 1e999: nothing that we write
            raise BadArchive("the archive", "a text or number in it cannot be", EXPORT) from broken
        self._before = ","
        return len(text)

    def sum(self) -> str:
        """The sum of what was added."""
        whole = self._sum.copy()
        whole.update(b"]")
        return whole.hexdigest()


def _with_ids(connection: Connection, ids: Sequence[str]) -> Iterator[History]:
    for some in batched(ids):
        rows = connection.execute(all_versions().where(entry.c.id.in_(some)))
        yield from _each_history(rows.all())


def _refuse_foreign(heads: Mapping[str, Any]) -> None:
    schema = heads.get("schema")
    if not isinstance(schema, str) or not schema.startswith("tapewright.archive/"):
        raise BadArchive("the archive, schema", "it is no archive of Tapewright", EXPORT)
    if schema != SCHEMA:
        raise BadArchive(
            "the archive, schema",
            f"it is of another kind ({schema[:40]}) than this program reads ({SCHEMA})",
            "Update Tapewright",
        )


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

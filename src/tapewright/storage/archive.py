"""Archive: everything that is kept, or one rig of it, as one readable file.

The file's check is a sum against accidents, not a seal against forgers: whoever edits the file on
purpose can write a new sum.

Holds:  notebook → Archive → text and back; every reason to refuse a text.
Never:  changing a notebook (taking_in.py), files and folders (backup.py).
"""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from hashlib import sha256
from io import BytesIO, StringIO, TextIOWrapper
from itertools import groupby
from typing import Any, TextIO

from sqlalchemy import Row

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
from tapewright.storage.queries import all_versions, entry_from_row, refuse_gap
from tapewright.storage.records import pointed_to
from tapewright.storage.tallies import refuse_lost_entries

SCHEMA = "tapewright.archive/1"
KEYS = {"schema", "program", "entries", "check"}
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
    """All that a notebook keeps, jobs left out; with rig_ids: those rigs and what they need.

    Raises
    ------
    NotKept
        If there is no such rig.
    """
    with notebook.snapshot() as connection:
        histories = histories_of(connection.execute(all_versions()).all())
        refuse_lost_entries(connection, histories)
    kept = {one.id: one for one in histories if one.kind != "job"}
    if rig_ids is not None:
        kept = _chosen(kept, rig_ids)
    return Archive(__version__, tuple(kept.values()))


def archive_text(notebook: Notebook, rig_ids: Sequence[str] | None = None) -> str:
    """The same as the text of one readable file.

    Raises
    ------
    NotKept
        If there is no such rig.
    BadArchive
        If it would be too large to be read again.
    """
    return text_of(archive_of(notebook, rig_ids))


def text_of(archive: Archive) -> str:
    """An archive as the text of one readable file. BadArchive if it is too large to be read."""
    entries = [plain_history(one) for one in archive.histories]
    check = _Check()
    for one in entries:
        if check.add(one) > _LARGE:
            text = json.dumps(one, ensure_ascii=False, indent=4)  # no shorter than below
            refuse_large_entry(text, f"{one['kind']} {one['id']}")
    whole = {
        "schema": SCHEMA,
        "program": archive.program,
        "entries": entries,
        "check": check.sum(),
    }
    text = json.dumps(whole, ensure_ascii=False, allow_nan=False, indent=1) + "\n"
    if len(text) > archive_stream.MOST_CHARACTERS:
        raise too_many("Export fewer rigs into each archive")
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
    return tuple(_history(list(group)) for _, group in groupby(rows, key=lambda row: row.id))


def _history(rows: Sequence[Row[Any]]) -> History:
    refuse_gap(rows)
    entries = [entry_from_row(row) for row in rows]
    versions = tuple(Version(one.saved_at, one.body, one.sources) for one in entries)
    first = rows[0]
    return History(first.id, first.kind, first.rig_id, first.withdrawn_at, versions)


def _chosen(kept: Mapping[str, History], rig_ids: Sequence[str]) -> dict[str, History]:
    for rig_id in rig_ids:
        if rig_id not in kept or kept[rig_id].kind != "rig":
            raise NotKept(rig_id)
    wanted = {name for name, one in kept.items() if {name, one.rig_id} & set(rig_ids)}
    ahead = set(wanted)
    while ahead:
        ahead = {name for one in ahead for name in kept[one].named} - wanted
        wanted |= ahead
    return {name: one for name, one in kept.items() if name in wanted}


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

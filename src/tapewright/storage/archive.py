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
from itertools import groupby
from typing import Any

from sqlalchemy import Row

from tapewright import __version__
from tapewright.ground.errors import BadArchive, NotKept
from tapewright.storage.archive_fields import history_from_plain, plain_history
from tapewright.storage.entries import History, Version
from tapewright.storage.notebook import Notebook
from tapewright.storage.plain import canonical
from tapewright.storage.queries import all_versions, entry_from_row, refuse_gap
from tapewright.storage.records import pointed_to
from tapewright.storage.tallies import refuse_lost_entries

SCHEMA = "tapewright.archive/1"
MOST_CHARACTERS = 64 * 1024 * 1024
KEYS = {"schema", "program", "entries", "check"}
COPY = "Copy the whole file again from where it was exported"
EXPORT = "Export it again, or use an untouched copy"


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
    whole = {
        "schema": SCHEMA,
        "program": archive.program,
        "entries": entries,
        "check": _check(entries),
    }
    text = json.dumps(whole, ensure_ascii=False, allow_nan=False, indent=1) + "\n"
    if len(text) > MOST_CHARACTERS:
        raise BadArchive("the archive", _too_large(text), "Export fewer rigs into each archive")
    return text


def read_archive(text: str) -> Archive:
    """The archive that a text holds; nothing is half read.

    Raises
    ------
    BadArchive
        If it is truncated, edited, foreign, newer, too large, or leads to something outside.
    """
    if len(text) > MOST_CHARACTERS:
        raise BadArchive("the archive", _too_large(text), "Import the rigs one by one")
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


def _too_large(text: str) -> str:
    return f"it has {len(text) / 1e6:.0f} million characters, more than {MOST_CHARACTERS / 1e6:.0f}"


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

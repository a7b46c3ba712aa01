"""Writing: new entries and new versions, inside a transaction that somebody else began.

Holds:  the steps of a save; the refusal of what was edited meanwhile; withdrawing and restoring.
Never:  beginning or ending transactions (notebook.py), changing a version.
"""

from collections.abc import Mapping, Sequence
from datetime import UTC, datetime, timedelta
from typing import Any

from sqlalchemy import Connection, insert, update

from tapewright.ground.errors import EditedMeanwhile, NotKept
from tapewright.storage.entries import Entry, Write
from tapewright.storage.names import kept_name
from tapewright.storage.plain import body_text
from tapewright.storage.queries import (
    Standing,
    entry_from_row,
    newest_row,
    refuse_traces,
    standing,
)
from tapewright.storage.records import KeptRig, kind_of, pointed_to, refuse_no_id
from tapewright.storage.sums import entry_sum, new_salt, salted_sum, verdict_sum, version_sum
from tapewright.storage.tables import entry, made_from, version
from tapewright.storage.tallies import Changes
from tapewright.storage.verdicts import Judge, verdict_cells


def utc_text(now: datetime) -> str:
    """A moment as it is kept: UTC, always equally long, so that texts sort as times do."""
    if now.tzinfo is None:
        raise AssertionError("a moment without its zone")
    return now.astimezone(UTC).isoformat(timespec="microseconds")


def write_all(
    connection: Connection, writes: Sequence[Write], now: datetime, judge: Judge | None = None
) -> tuple[Entry, ...]:
    """Write all or raise; the caller's transaction makes it all or nothing.

    Raises
    ------
    BadInput
        If an id is none, or a body holds what cannot be kept.
    NotKept
        If an entry, rig, source or anything named in a body is not kept.
    EditedMeanwhile
        If an entry is not as its writer saw it.
    """
    # A microsecond apart, so that lists keep the order of what was written together.
    moments = [utc_text(now + timedelta(microseconds=place)) for place in range(len(writes))]
    texts = [body_text(write.body) for write in writes]
    known = standing(connection, {name for write in writes for name in _named(write)})
    _refuse_unknown(writes, known)
    salts = [new_salt() for _ in writes]
    summed = [
        _version_sum(write, known, text, salt, saved_at)
        for write, text, salt, saved_at in zip(writes, texts, salts, moments, strict=True)
    ]
    heads = {write.entry_id: one for write, one in zip(writes, summed, strict=True)}
    verdicts = {
        write.entry_id: verdict_cells(judge, write.entry_id, write.body, heads[write.entry_id])
        for write in writes
    }
    # One order for everybody, so that two writers of the same entries never wait crosswise.
    for write in sorted(writes, key=lambda write: write.entry_id):
        if write.seen:
            verdict = verdicts[write.entry_id]
            _step_up(connection, write, known[write.entry_id], heads[write.entry_id], verdict)
        elif write.entry_id in known:
            raise EditedMeanwhile(now_standing(connection, write.entry_id))
    _insert(connection, writes, texts, moments, salts, summed, verdicts)
    _count_added(connection, writes)
    pairs = zip(writes, moments, strict=True)
    return tuple(
        _entry(write, known, saved_at, verdicts[write.entry_id]["verdict"] or "")
        for write, saved_at in pairs
    )


def _version_sum(
    write: Write, known: Mapping[str, Standing], text: str, salt: str, saved_at: str
) -> str:
    before = known[write.entry_id].head if write.seen else None
    sources = set(write.sources)
    salted = salted_sum(salt, text)
    return version_sum(write.entry_id, write.seen + 1, saved_at, sources, before, salted)


def _count_added(connection: Connection, writes: Sequence[Write]) -> None:
    changes = Changes()
    for write in writes:
        if not write.seen:
            changes.count(kind_of(write.body), write.rig_id, 1, 0)
            if isinstance(write.body, KeptRig):
                changes.open(write.entry_id)
    changes.write(connection)


def _named(write: Write) -> set[str]:
    sources = {source.entry_id for source in write.sources}
    pointed = {name for name, _ in pointed_to(write.body, write.rig_id)}
    return {write.entry_id, *pointed, *sources}


def _refuse_unknown(writes: Sequence[Write], known: Mapping[str, Standing]) -> None:
    latest = {name: row.latest for name, row in known.items()}
    kinds = {name: row.kind for name, row in known.items()}
    for write in writes:
        refuse_no_id(write.entry_id, "entry id")
        if write.seen and kinds.get(write.entry_id) != kind_of(write.body):
            raise NotKept(write.entry_id)
        latest[write.entry_id] = write.seen + 1
        kinds.setdefault(write.entry_id, kind_of(write.body))
    for write in writes:
        for name, kind in pointed_to(write.body, write.rig_id):
            if kinds.get(name) != kind:
                raise NotKept(name)
        for source in write.sources:
            if not 1 <= source.number <= latest.get(source.entry_id, 0):
                raise NotKept(source.entry_id, source.number)


def _step_up(
    connection: Connection,
    write: Write,
    known: Standing,
    head: str,
    verdict: Mapping[str, str | None],
) -> None:
    number = write.seen + 1
    cells = (write.entry_id, known.kind, known.rig_id, known.added_at, number, None)
    stepped = connection.execute(
        update(entry)
        .where(
            entry.c.id == write.entry_id,
            entry.c.latest == write.seen,
            entry.c.withdrawn_at.is_(None),
        )
        .values(
            latest=number,
            sum=entry_sum(*cells, head),
            folded_name=kept_name(write.body),
            **verdict,
        )
    )
    # the sum hangs on the version that was read; whoever saw another one is told
    if stepped.rowcount == 0 or known.latest != write.seen:
        raise EditedMeanwhile(now_standing(connection, write.entry_id))


def now_standing(connection: Connection, entry_id: str) -> Entry:
    """An entry as it stands. NotKept if it was erased."""
    now_there = entry_from_row(newest_row(connection, entry_id))
    if now_there.kind == "erased":
        raise NotKept(entry_id)
    return now_there


def _insert(
    connection: Connection,
    writes: Sequence[Write],
    texts: Sequence[str],
    moments: Sequence[str],
    salts: Sequence[str],
    summed: Sequence[str],
    verdicts: Mapping[str, Mapping[str, str | None]],
) -> None:
    added = [
        {
            "id": write.entry_id,
            "kind": kind_of(write.body),
            "rig_id": write.rig_id,
            "added_at": saved_at,
            "latest": 1,
            "sum": entry_sum(
                write.entry_id, kind_of(write.body), write.rig_id, saved_at, 1, None, head
            ),
            "folded_name": kept_name(write.body),
            **verdicts[write.entry_id],
        }
        for write, saved_at, head in zip(writes, moments, summed, strict=True)
        if not write.seen
    ]
    versions = [
        {
            "entry_id": write.entry_id,
            "number": write.seen + 1,
            "body": text,
            "saved_at": saved_at,
            "salt": salt,
            "sum": head,
        }
        for write, text, saved_at, salt, head in zip(
            writes, texts, moments, salts, summed, strict=True
        )
    ]
    sources = [
        {
            "entry_id": write.entry_id,
            "number": write.seen + 1,
            "source_id": source.entry_id,
            "source_number": source.number,
        }
        for write in writes
        for source in set(write.sources)
    ]
    insert_rows(connection, added, versions, sources)


def insert_rows(
    connection: Connection,
    added: list[dict[str, Any]],
    versions: list[dict[str, Any]],
    sources: list[dict[str, Any]],
) -> None:
    """Insert rows in the order that the keys between the tables ask for: rigs first."""
    added.sort(key=lambda row: row["rig_id"] is not None)
    for table, rows in ((entry, added), (version, versions), (made_from, sources)):
        if rows:
            connection.execute(insert(table), rows)


def _entry(write: Write, known: Mapping[str, Standing], saved_at: str, verdict: str) -> Entry:
    return Entry(
        write.entry_id,
        kind_of(write.body),
        write.rig_id if not write.seen else known[write.entry_id].rig_id,
        write.seen + 1,
        write.body,
        saved_at,
        is_withdrawn=False,
        sources=tuple(sorted(set(write.sources))),
        verdict=verdict,
    )


def write_verdicts(connection: Connection, rigs: Sequence[Entry]) -> None:
    """Keep verdicts passed on rigs that were read; one changed meanwhile is left as it is.

    Damaged if one is not as it was written.
    """
    known = standing(connection, {one.id for one in rigs})
    for one in sorted(rigs, key=lambda one: one.id):
        there = known.get(one.id)
        if there is not None and (there.kind, there.latest) == (one.kind, one.number):
            cells = {
                "verdict": one.verdict,
                "verdict_sum": verdict_sum(one.id, there.head, one.verdict),
            }
            is_rig = entry.c.kind == one.kind  # not erased meanwhile
            same = (entry.c.id == one.id, entry.c.latest == one.number, is_rig)
            connection.execute(update(entry).where(*same).values(cells))


def mark_withdrawn(connection: Connection, entry_id: str, seen: int, now: datetime | None) -> None:
    """Put the mark of withdrawal on an entry; None takes it off. Twice is as good as once.

    Raises
    ------
    NotKept, EditedMeanwhile
        As write_all.
    """
    mark = entry.c.withdrawn_at
    known = standing(connection, {entry_id}).get(entry_id)
    if known is None:
        refuse_traces(connection, entry_id)
    if known is None or known.kind == "erased":
        raise NotKept(entry_id)
    withdrawn_at = None if now is None else utc_text(now)
    cells = (entry_id, known.kind, known.rig_id, known.added_at, seen, withdrawn_at)
    marked = connection.execute(
        update(entry)
        .where(entry.c.id == entry_id, entry.c.latest == seen, entry.c.kind == known.kind)
        .where(mark.is_not(None) if now is None else mark.is_(None))
        .values(withdrawn_at=withdrawn_at, sum=entry_sum(*cells, known.head))
    )
    if marked.rowcount:  # whose latest was read as ``seen``: it only grows
        changes = Changes()
        changes.count(known.kind, known.rig_id, 0, -1 if now is None else 1)
        changes.write(connection)
        return
    now_there = now_standing(connection, entry_id)
    if now_there.number != seen:
        raise EditedMeanwhile(now_there)

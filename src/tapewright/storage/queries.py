"""Queries: the questions put to the tables, each one statement and so one snapshot.

Holds:  selects of versions with their entry and sources; a row as an Entry.
Never:  writing (writing.py), connections, transactions.
"""

from collections.abc import Iterator, Mapping, Sequence
from functools import cache
from typing import Any, NamedTuple

from sqlalchemy import (
    Connection,
    Row,
    Select,
    String,
    bindparam,
    cast,
    desc,
    exists,
    func,
    literal,
    select,
    tuple_,
)

from tapewright.storage.entries import Entry, Source
from tapewright.storage.plain import body_from_text
from tapewright.storage.records import Kind
from tapewright.storage.tables import entry, made_from, version

_SOURCES = (
    select(
        func.aggregate_strings(
            made_from.c.source_id + ":" + cast(made_from.c.source_number, String), " "
        )
    )
    .where(made_from.c.entry_id == version.c.entry_id, made_from.c.number == version.c.number)
    .scalar_subquery()
    .label("sources")
)
VERSIONS = select(
    entry.c.id,
    entry.c.kind,
    entry.c.rig_id,
    entry.c.withdrawn_at,
    version.c.number,
    version.c.saved_at,
    version.c.body,
    _SOURCES,
).join(version, version.c.entry_id == entry.c.id)
_LATEST = VERSIONS.where(version.c.number == entry.c.latest)
AT_ONCE = 500  # ids in one question, entries in one answer

Moment = tuple[str, str]  # when an entry was added, and its id


def versions_of(entry_id: str) -> Select[Any]:
    """All versions of an entry, newest first."""
    return VERSIONS.where(entry.c.id == entry_id).order_by(desc(version.c.number))


def one_version(entry_id: str, number: int | None) -> Select[Any]:
    """One version of an entry; None: the latest."""
    if number is None:
        return _LATEST.where(entry.c.id == entry_id)
    return VERSIONS.where(entry.c.id == entry_id, version.c.number == number)


def latest_versions(kind: Kind, rig_id: str | None, *, withdrawn: bool) -> Select[Any]:
    """Latest versions of a kind, in the order in which their entries were added."""
    chosen = _all_latest(kind, withdrawn=withdrawn)
    return chosen if rig_id is None else chosen.where(entry.c.rig_id == rig_id)


@cache  # a select takes longer to build than to run
def _all_latest(kind: Kind, *, withdrawn: bool) -> Select[Any]:
    mark = entry.c.withdrawn_at
    chosen = _LATEST.where(entry.c.kind == kind, mark.is_not(None) if withdrawn else mark.is_(None))
    return chosen.order_by(entry.c.added_at, entry.c.id)


def some_of(kind: Kind, after: Moment, at_once: int, *, withdrawn: bool) -> Select[Any]:
    """So many latest versions of a kind, added after another, in the order they were added."""
    later = tuple_(entry.c.added_at, entry.c.id) > tuple_(*map(literal, after))
    return _all_latest(kind, withdrawn=withdrawn).where(later).limit(at_once)


def number_of(kind: Kind) -> Select[Any]:
    """How many entries of a kind are not withdrawn."""
    here = entry.c.kind == kind, entry.c.withdrawn_at.is_(None)
    return select(func.count()).select_from(entry).where(*here)


def newest_of(kind: Kind, rig_id: str | None) -> Select[Any]:
    """The entry of a kind that was added last to a rig; None: to any."""
    chosen = _LATEST.where(entry.c.kind == kind, entry.c.withdrawn_at.is_(None))
    chosen = chosen if rig_id is None else chosen.where(entry.c.rig_id == rig_id)
    return chosen.order_by(desc(entry.c.added_at), desc(entry.c.id)).limit(1)


@cache
def newest_of_these_rigs(kind: Kind) -> Select[Any]:
    """The entry of a kind that was added last, for each of the rigs bound as ``rigs``."""
    rig, one = entry.alias("rig"), entry.alias("one")
    newest = (
        select(one.c.id)
        .where(one.c.rig_id == rig.c.id, one.c.kind == kind, one.c.withdrawn_at.is_(None))
        .order_by(desc(one.c.added_at), desc(one.c.id))
        .limit(1)
        .correlate(rig)
        .scalar_subquery()
    )
    these = rig.c.id.in_(bindparam("rigs", expanding=True))
    return _LATEST.join(rig, entry.c.id == newest).where(these)


def failed_lately(most: int) -> Select[Any]:
    """Finished jobs that failed and were the last of their rig, in no order."""
    later = entry.alias("later")
    again = select(later.c.id).where(
        later.c.rig_id == entry.c.rig_id,
        later.c.kind == "job",
        later.c.withdrawn_at.is_not(None),
        later.c.added_at > entry.c.added_at,
    )
    # A quote inside a text is kept with a stroke before it, so this is the field and nothing else.
    failed = version.c.body.contains('"state":"failed"', autoescape=True)
    finished = (entry.c.kind == "job", entry.c.withdrawn_at.is_not(None))
    return _LATEST.where(*finished, failed, ~exists(again)).limit(most)


def all_versions() -> Select[Any]:
    """Every version of every entry; entries in the order of their ids."""
    return VERSIONS.order_by(entry.c.id, version.c.number)


def entry_from_row(row: Row[Any]) -> Entry:
    """A row of the selects above as an Entry.

    Raises
    ------
    BadArchive
        If the body that is kept cannot be read.
    """
    entry_id, kind, rig_id, withdrawn_at, number, saved_at, text, sources, *_ = tuple(row)
    body = body_from_text(kind, text, f"{kind} {entry_id}, version {number}")
    made = sources_from_text(sources)
    return Entry(entry_id, kind, rig_id, number, body, saved_at, withdrawn_at is not None, made)


def sources_from_text(text: str | None) -> tuple[Source, ...]:
    """Sources as the selects above gather them."""
    if not text:
        return ()
    pairs = (pair.split(":") for pair in text.split())
    return tuple(sorted(Source(source_id, int(number)) for source_id, number in pairs))


class Standing(NamedTuple):
    """How an entry stands: what it is, whose, and its latest number."""

    kind: Kind
    rig_id: str | None
    latest: int


def standing(connection: Connection, ids: set[str]) -> Mapping[str, Standing]:
    """Which of these entries there are, and how they stand."""
    columns = (entry.c.id, entry.c.kind, entry.c.rig_id, entry.c.latest)
    known: dict[str, Standing] = {}
    for some in batched(sorted(ids)):
        found = connection.execute(select(*columns).where(entry.c.id.in_(some)))
        known.update((row.id, Standing(row.kind, row.rig_id, row.latest)) for row in found.all())
    return known


def batched(ids: Sequence[str]) -> Iterator[Sequence[str]]:
    """Ids, so many at a time: an engine takes no more than some thousands in one question."""
    return (ids[start : start + AT_ONCE] for start in range(0, len(ids), AT_ONCE))

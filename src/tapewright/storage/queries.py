"""Queries: the questions put to the tables, each one statement and so one snapshot.

Holds:  selects of versions with their entry and sources; a row as an Entry.
Never:  writing (writing.py), connections, transactions.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from functools import cache
from itertools import pairwise
from typing import Any, NamedTuple

from sqlalchemy import (
    ColumnElement,
    Connection,
    FromClause,
    Row,
    Select,
    String,
    Subquery,
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
from tapewright.storage.names import kept_name
from tapewright.storage.plain import body_from_text
from tapewright.storage.records import Kind
from tapewright.storage.sums import Damaged, entry_sum, salted_sum, version_sum
from tapewright.storage.tables import entry, made_from, tally, version
from tapewright.storage.verdicts import OTHER_VERDICT, verdict_fits

CHANGED = "what is there is not what was written"
OTHER_NAME = "its name in the list is not the one it has"

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
_BEFORE, _HEAD = version.alias("before"), version.alias("head")
_CELLS = (
    entry.c.id,
    entry.c.kind,
    entry.c.rig_id,
    entry.c.withdrawn_at,
    version.c.number,
    version.c.saved_at,
    version.c.body,
    _SOURCES,
)
# What their sums are worked out from; a version that is lost leaves its entry, to be missed.
_CHECKED = (
    *_CELLS,
    entry.c.added_at,
    entry.c.latest,
    entry.c.sum.label("entry_sum"),
    version.c.salt,
    version.c.sum.label("version_sum"),
    _BEFORE.c.sum.label("before_sum"),
    entry.c.folded_name,
    entry.c.verdict,
    entry.c.verdict_sum,
)
_OF_ENTRY = version.c.entry_id == entry.c.id
_IS_BEFORE = (_BEFORE.c.entry_id == version.c.entry_id) & (_BEFORE.c.number == version.c.number - 1)
VERSIONS = select(*_CHECKED, _HEAD.c.sum.label("head_sum")).select_from(
    entry.outerjoin(version, _OF_ENTRY)
    .outerjoin(_BEFORE, _IS_BEFORE)
    .outerjoin(_HEAD, (_HEAD.c.entry_id == entry.c.id) & (_HEAD.c.number == entry.c.latest))
)


def _with_newest(entries: FromClause) -> FromClause:
    """Entries, each joined to its latest version, which may be lost."""
    newest = entries.outerjoin(version, _OF_ENTRY & (version.c.number == entry.c.latest))
    return newest.outerjoin(_BEFORE, _IS_BEFORE)


_NEWEST = (*_CHECKED, version.c.sum.label("head_sum"))
_LATEST = select(*_NEWEST).select_from(_with_newest(entry))
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


def newest_row(connection: Connection, entry_id: str) -> Row[Any]:
    """The latest version of an entry that is known to be there. Damaged if it is not."""
    row = connection.execute(one_version(entry_id, None)).one_or_none()
    if row is None:
        raise Damaged(f"entry {entry_id}", "it is in one list and not in another")
    return row


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


def number_of(kind: Kind, *, withdrawn: bool) -> Select[Any]:
    """How many entries of a kind there are."""
    mark = entry.c.withdrawn_at
    here = entry.c.kind == kind, mark.is_not(None) if withdrawn else mark.is_(None)
    return select(func.count()).select_from(entry).where(*here)


def newest_of(kind: Kind) -> Select[Any]:
    """The entry of a kind that was added last, whatever rig it belongs to."""
    chosen = _LATEST.where(entry.c.kind == kind, entry.c.withdrawn_at.is_(None))
    return chosen.order_by(desc(entry.c.added_at), desc(entry.c.id)).limit(1)


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
    lost = version.c.number.is_(None)
    return _LATEST.where(*finished, failed | lost, ~exists(again)).limit(most)


_THESE: Select[Any] = _LATEST.where(entry.c.id.in_(bindparam("ids", expanding=True)))


def latest_of(connection: Connection, ids: Sequence[str]) -> Sequence[Row[Any]]:
    """Latest versions of these entries, in no order."""
    rows: list[Row[Any]] = []
    for some in batched(ids):
        rows += connection.execute(_THESE, {"ids": some}).all()
    return rows


def latest_of_page(page: Subquery, *more: ColumnElement[Any]) -> Select[Any]:
    """Latest versions of the entries whose ids a page of a list holds, those lost included."""
    listed = _with_newest(page.outerjoin(entry, entry.c.id == page.c.id))
    return select(*_NEWEST, page.c.id.label("listed"), *more).select_from(listed)


class Place(NamedTuple):
    """Where an entry stands among others."""

    added_at: str
    id: str
    rig_id: str
    kind: Kind


def places(
    connection: Connection, kinds: Sequence[Kind], rig_ids: Sequence[str]
) -> Sequence[Place]:
    """Where each entry of these kinds stands that belongs to one of these rigs, if not withdrawn.

    Sorted here, from cells that fit their sums: an index may be damaged, too.
    """
    found = []
    for row in connection.execute(_HEADS, {"rigs": rig_ids, "kinds": kinds}).all():
        refuse_changed_entry(row)
        found.append(Place(row.added_at, row.id, row.rig_id, row.kind))
    return sorted(set(found))


_STANDING = select(
    entry.c.id,
    entry.c.kind,
    entry.c.rig_id,
    entry.c.added_at,
    entry.c.latest,
    entry.c.withdrawn_at,
    entry.c.sum.label("entry_sum"),
    version.c.sum.label("head_sum"),
).select_from(entry.outerjoin(version, _OF_ENTRY & (version.c.number == entry.c.latest)))


_HEADS = _STANDING.where(
    entry.c.rig_id.in_(bindparam("rigs", expanding=True)),
    # Written so that SQLite does not look through all of a kind by the other index.
    (entry.c.kind + "").in_(bindparam("kinds", expanding=True)),
    entry.c.withdrawn_at.is_(None),
)


def all_versions() -> Select[Any]:
    """Every version of every entry; entries in the order of their ids."""
    return VERSIONS.order_by(entry.c.id, version.c.number)


def entry_from_row(row: Row[Any], *, briefly: bool = False) -> Entry:
    """A row of the selects above as an Entry; briefly, a calibration without its marks.

    Raises
    ------
    BadArchive
        If the body that is kept cannot be read.
    Damaged
        If the row is not what was written, or what it stands on is missing.
    """
    found = entry_of_any_name(row, briefly=briefly)
    if row.number != row.latest:
        return found
    if row.folded_name != kept_name(found.body):
        raise Damaged(f"{row.kind} {row.id}", OTHER_NAME)
    if not verdict_fits(row):
        raise Damaged(f"{row.kind} {row.id}", OTHER_VERDICT)
    return found if row.verdict is None else replace(found, verdict=row.verdict)


def entry_of_any_name(row: Row[Any], *, briefly: bool = False) -> Entry:
    """The same without what lists need, name and verdict, which do not stand in copies."""
    refuse_changed_entry(row)
    made = refuse_changed_version(row)
    place = f"{row.kind} {row.id}, version {row.number}"
    body = body_from_text(row.kind, row.body, place, briefly=briefly)
    withdrawn = row.withdrawn_at is not None
    return Entry(row.id, row.kind, row.rig_id, row.number, body, row.saved_at, withdrawn, made)


def refuse_changed_entry(row: Any) -> None:  # noqa: ANN401 — a row of several selects
    """Refuse an entry that does not fit its sum. Damaged if so."""
    if row.head_sum is None:
        raise Damaged(f"{row.kind} {row.id}", f"its version {row.latest} is missing")
    cells = (row.id, row.kind, row.rig_id, row.added_at, row.latest, row.withdrawn_at)
    if row.entry_sum != entry_sum(*cells, row.head_sum):
        raise Damaged(f"{row.kind} {row.id}", CHANGED)


def refuse_changed_version(row: Row[Any]) -> tuple[Source, ...]:
    """What a version was made from. Damaged if the version does not fit its sum."""
    place = f"{row.kind} {row.id}, version {row.number}"
    if row.number != 1 and row.before_sum is None:
        raise Damaged(place, "the version before it is missing")
    try:
        made = sources_from_text(row.sources)
    except (ValueError, TypeError, AttributeError) as broken:
        raise Damaged(place, CHANGED) from broken
    salted = salted_sum(row.salt, row.body)
    cells = (row.id, row.number, row.saved_at, made, row.before_sum)
    if row.version_sum != version_sum(*cells, salted):
        raise Damaged(place, CHANGED)
    return made


def refuse_gap(rows: Sequence[Row[Any]]) -> None:
    """Refuse versions of one entry, in either order, that are not all there. Damaged if so."""
    refuse_changed_entry(rows[0])
    there, wanted = {row.number for row in rows}, set(range(1, rows[0].latest + 1))
    if len(rows) != len(wanted) or there != wanted:
        missing = min(wanted - there, default=1)
        raise Damaged(f"{rows[0].kind} {rows[0].id}", f"its version {missing} is missing")


def refuse_other_order(kind: Kind, keys: Sequence[tuple[str, ...]]) -> None:
    """Refuse a list, told by cells that fit their sums, that is not in its order. Damaged if so."""
    if any(one >= other for one, other in pairwise(keys)):
        raise Damaged(f"the list of kind {kind}", "its order is not that of its entries")


def sources_from_text(text: str | None) -> tuple[Source, ...]:
    """Sources as the selects above gather them."""
    if not text:
        return ()
    pairs = (pair.split(":") for pair in text.split())
    return tuple(sorted(Source(source_id, int(number)) for source_id, number in pairs))


class Standing(NamedTuple):
    """How an entry stands: what it is, whose, its latest number, and what its sums hang on."""

    kind: Kind
    rig_id: str | None
    latest: int
    added_at: str
    withdrawn_at: str | None
    head: str


def standing(connection: Connection, ids: set[str]) -> Mapping[str, Standing]:
    """Which of these entries there are, and how they stand. Damaged if one is not as written."""
    rows = [
        row
        for some in batched(sorted(ids))
        for row in connection.execute(_STANDING.where(entry.c.id.in_(some)))
    ]
    for row in rows:
        refuse_changed_entry(row)
    return {
        row.id: Standing(
            row.kind, row.rig_id, row.latest, row.added_at, row.withdrawn_at, row.head_sum
        )
        for row in rows
    }


def batched(ids: Sequence[str]) -> Iterator[Sequence[str]]:
    """Ids, so many at a time: an engine takes no more than some thousands in one question."""
    return (ids[start : start + AT_ONCE] for start in range(0, len(ids), AT_ONCE))


def refuse_traces_of_rig(connection: Connection, rig_id: str) -> None:
    """The same of a rig, unless what is kept under its id is whole and something else.

    Raises
    ------
    Damaged
        If something of the rig is left, or anything at all is missing.
    """
    newest = connection.execute(one_version(rig_id, None)).one_or_none()
    if newest is not None and newest.kind != "rig":
        refuse_changed_entry(newest)
        return
    refuse_traces(connection, rig_id)


def refuse_traces(connection: Connection, entry_id: str) -> None:
    """Refuse to say "not kept" of what was kept and is lost.

    Every row is looked at, none by way of an index, for the index may be what is damaged.

    Raises
    ------
    Damaged
        If something of the entry is left, or anything at all is missing.
    """
    left = (
        version.c.entry_id, entry.c.id, entry.c.rig_id, made_from.c.source_id, made_from.c.entry_id
    )  # fmt: skip
    if any(
        connection.execute(select(one).where(one + "" == entry_id).limit(1)).first() for one in left
    ):
        raise Damaged(f"entry {entry_id}", "only a part of it is there")
    there = connection.scalar(select(func.count()).select_from(entry))
    wanted = connection.scalar(select(func.sum(tally.c.entries)))
    if there != wanted:
        raise Damaged("all entries", f"{there} are there, {wanted} were kept")

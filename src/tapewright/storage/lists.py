"""Lists: rigs by name, a page at a time, found by a part of their name.

A page is sought by the rig before or after it, never by counting off: the last of 100,000 rigs
costs what the first does. Of a search, counting ends at MOST_COUNTED.

Up to WHOLLY_READ rigs, every row is read, so that whatever is lost or changed is noticed. Of more,
a page notices what is wrong with its own rows and their order, and a list without a search that
rigs are lost; a rig whose kept name was changed is overlooked where its own name stands, and
noticed where the changed one does, on its own page, and by the check of the whole notebook.

Holds:  the selects of a page of rigs and of how many there are; a page from its rows.
Never:  connections, the lines a person reads.
"""

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache
from typing import Any, Literal, NamedTuple

from sqlalchemy import (
    Connection,
    Row,
    Select,
    String,
    bindparam,
    desc,
    exists,
    func,
    select,
    tuple_,
)

from tapewright.ground.errors import NotKept
from tapewright.storage.entries import Entry, RigPage, RigsAsked
from tapewright.storage.names import folded
from tapewright.storage.queries import (
    entry_from_row,
    latest_of_page,
    latest_versions,
    one_version,
    refuse_other_order,
)
from tapewright.storage.sums import Damaged
from tapewright.storage.tables import entry
from tapewright.storage.tallies import expected, refuse_lost

MOST_COUNTED = 10_000
WHOLLY_READ = 200  # rigs: six milliseconds
TRIGRAM = re.compile("[0-9a-z]{3}")  # what an index of parts is made of, in any database
_HAS_PARTS = select(func.to_regclass("rig_by_part").is_not(None))  # a server may not have made it
_BY_NAME = (entry.c.folded_name, entry.c.added_at, entry.c.id)

_PLACE = ("after_name", "after_added_at", "after_id")

_Key = tuple[str, str, str]
_Way = Literal["instr", "contains", "strpos"]


class _Line(NamedTuple):
    """A rig of a list: where it stands, and whether another has its name."""

    key: _Key
    rig: Entry
    has_twin: bool


def rig_page(connection: Connection, asked: RigsAsked, *, counted: bool = True) -> RigPage:
    """A page of rigs; how many there are on all pages only if that is wanted.

    Raises
    ------
    NotKept
        If the rig it is to begin after or end before is not kept.
    Damaged
        If a row of it is not what was written, or lost, or in another place than is its own; or
        if there are more or fewer rigs than were kept.
    """
    standing = expected(connection, "rig", None, withdrawn=asked.withdrawn) or 0
    few = _few(connection, asked, standing)
    place = _place(connection, asked)
    nearest = _near(few, asked, place) if few is not None else _seek(connection, asked, place)
    further, lines = len(nearest) > asked.limit, nearest[: asked.limit]
    if asked.is_backward:
        lines = lines[::-1]
    if asked.is_backward and not (further or asked.before == asked.END):
        return rig_page(connection, replace(asked, before=""), counted=counted)  # a whole page
    starts = not (asked.after or (asked.is_backward and further))
    ends = asked.before == asked.END if asked.is_backward else not further
    found = None
    if counted:
        seen = len(lines) if starts and ends else None
        found = len(few) if few is not None else _found(connection, asked, seen, standing)
    return RigPage(
        rigs=tuple(line.rig for line in lines),
        twins=frozenset(line.rig.id for line in lines if line.has_twin),
        found=found,
        before=None if starts or not lines else lines[0].rig.id,
        after=None if ends or not lines else lines[-1].rig.id,
    )


def _few(connection: Connection, asked: RigsAsked, standing: int) -> list[_Line] | None:
    """All that are found, of a list so short that every row of it can be read; None: it is not.

    No index is asked and no name that is not that of its rig, so that none can be overlooked.
    """
    if standing > WHOLLY_READ:
        return None
    rows = connection.execute(latest_versions("rig", None, withdrawn=asked.withdrawn)).all()
    rigs = list(map(entry_from_row, rows))
    refuse_lost(len({rig.id for rig in rigs}), standing, "rig", None)
    alike, part = Counter(row.folded_name for row in rows), folded(asked.search)
    lines = [
        _Line(_key(row), rig, alike[row.folded_name] > 1)
        for row, rig in zip(rows, rigs, strict=True)
        if part in row.folded_name
    ]
    return sorted(lines, key=lambda line: line.key)


def _near(lines: list[_Line], asked: RigsAsked, place: _Key | None) -> list[_Line]:
    """One more than a page of these, nearest to where it begins or ends first."""
    if asked.is_backward:
        lines = [line for line in lines if place is None or line.key < place][::-1]
    else:
        lines = [line for line in lines if place is None or line.key > place]
    return lines[: asked.limit + 1]


def _seek(connection: Connection, asked: RigsAsked, place: _Key | None) -> list[_Line]:
    """The same of a long list, by its index."""
    rows, part = _page(connection, asked, place), folded(asked.search)
    lines = [_Line(_key(row), _listed(row, asked, part), row.has_twin) for row in rows]
    keys = [line.key for line in lines]
    refuse_other_order("rig", keys[::-1] if asked.is_backward else keys)
    return lines


def _found(connection: Connection, asked: RigsAsked, seen: int | None, standing: int) -> int | None:
    """How many there are on all pages of a long list; None: too many to look through."""
    some = _chosen(connection, asked)
    if folded(asked.search):
        if seen is None:
            some = some.limit(MOST_COUNTED + 1)
            seen = connection.scalar(select(func.count()).select_from(some.subquery())) or 0
        return seen if seen <= MOST_COUNTED else None
    if not (asked.after or asked.before):  # where it begins; to count all costs a page of them
        there = connection.scalar(some.with_only_columns(func.count())) or 0
        refuse_lost(there, standing, "rig", None)
    return standing


def _chosen(connection: Connection, asked: RigsAsked) -> Select[Any]:
    """Ids of the rigs of this list whose name holds what is looked for."""
    part = folded(asked.search)
    return _ids(asked.withdrawn, _way(connection, part), part)


def _way(connection: Connection, part: str) -> _Way:
    """How each database finds soonest whether a name holds a part."""
    if connection.dialect.name == "sqlite":
        return "instr"
    # Guessing that LIKE finds little, it reads the whole table in place of the list's index.
    has_parts = TRIGRAM.search(part) and connection.scalar(_HAS_PARTS)
    return "contains" if has_parts else "strpos"


def _ids(withdrawn: bool, way: _Way, part: str) -> Select[Any]:  # noqa: FBT001 — kept by all of it
    name, mark = entry.c.folded_name, entry.c.withdrawn_at
    chosen = select(entry.c.id).where(
        name.is_not(None), mark.is_not(None) if withdrawn else mark.is_(None)
    )
    if not part:
        return chosen
    if way == "contains":
        return chosen.where(name.contains(part, autoescape=True))
    return chosen.where((func.instr if way == "instr" else func.strpos)(name, part) > 0)


def _page(connection: Connection, asked: RigsAsked, place: _Key | None) -> Sequence[Row[Any]]:
    """Rows of one more than a page, nearest to where it begins or ends first."""
    part = folded(asked.search)
    way, is_placed = _way(connection, part), place is not None
    page = _nearest(asked.withdrawn, asked.is_backward, is_placed, way, part, asked.limit)
    return connection.execute(page, dict(zip(_PLACE, place or (), strict=False))).all()


@lru_cache(maxsize=64)  # to build a select takes longer than to run it
def _nearest(
    withdrawn: bool,  # noqa: FBT001
    is_backward: bool,  # noqa: FBT001
    is_placed: bool,  # noqa: FBT001
    way: _Way,
    part: str,
    limit: int,
) -> Select[Any]:
    some, stands = _ids(withdrawn, way, part).with_only_columns(*_BY_NAME), tuple_(*_BY_NAME)
    if is_placed:
        there = tuple_(*(bindparam(name, type_=String) for name in _PLACE))
        some = some.where(stands < there if is_backward else stands > there)
    order = [desc(column) if is_backward else column for column in _BY_NAME]
    page = some.order_by(*order).limit(limit + 1).subquery()
    twin = entry.alias("twin")
    alike = exists(
        select(twin.c.id).where(
            twin.c.folded_name == entry.c.folded_name,
            twin.c.id != entry.c.id,
            twin.c.withdrawn_at.is_not(None) if withdrawn else twin.c.withdrawn_at.is_(None),
        )
    )
    listed = [page.c[column.name] for column in _BY_NAME]
    order = [desc(column) if is_backward else column for column in listed]
    return latest_of_page(page, alike.label("has_twin")).order_by(*order)


def _place(connection: Connection, asked: RigsAsked) -> _Key | None:
    """Where the rig stands that the page follows or goes before; None: the list begins or ends."""
    rig_id = asked.after or asked.before
    if not rig_id or (asked.is_backward and rig_id == asked.END):
        return None
    row = connection.execute(one_version(rig_id, None)).one_or_none()
    if row is None or entry_from_row(row).kind != "rig":
        raise NotKept(rig_id)
    return _key(row)


def _key(row: Row[Any]) -> _Key:
    return row.folded_name, row.added_at, row.id


def _listed(row: Row[Any], asked: RigsAsked, part: str) -> Entry:
    """A rig of the list that was asked for. Damaged if it is not what was written there."""
    if row.id is None:
        raise Damaged(f"rig {row.listed}", "it is in one list and not in another")
    rig = entry_from_row(row)
    is_one = rig.kind == "rig" and rig.is_withdrawn == asked.withdrawn
    if not (is_one and part in row.folded_name):
        raise Damaged(f"{rig.kind} {rig.id}", "it is in a list where it does not belong")
    return rig

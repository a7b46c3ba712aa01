"""Lists: rigs by name, a page at a time, found by a part of their name.

A page is sought by the rig before or after it, never by counting off: the last of 100,000 rigs
costs what the first does. Counting ends at MOST_COUNTED.

Holds:  the selects of a page of rigs and of how many there are; a page from its rows.
Never:  connections, the lines a person reads.
"""

from dataclasses import replace
from typing import Any

from sqlalchemy import Connection, Select, desc, exists, func, select, tuple_

from tapewright.ground.errors import BadArchive, NotKept
from tapewright.storage.entries import Entry, RigPage, RigsAsked
from tapewright.storage.names import folded
from tapewright.storage.plain import UPDATE
from tapewright.storage.queries import VERSIONS, entry_from_row
from tapewright.storage.records import KeptRig
from tapewright.storage.tables import entry, version

MOST_COUNTED = 10_000
_BY_NAME = (entry.c.folded_name, entry.c.added_at, entry.c.id)


def rig_page(connection: Connection, asked: RigsAsked, *, counted: bool = True) -> RigPage:
    """A page of rigs; how many there are on all pages only if that is wanted.

    Raises
    ------
    NotKept
        If the rig it is to begin after or end before is not kept.
    BadArchive
        If a name is not kept as it should be.
    """
    nearest = connection.execute(_page(connection, asked)).all()
    further, rows = len(nearest) > asked.limit, nearest[: asked.limit]
    if asked.is_backward:
        rows = rows[::-1]
    rigs = tuple(_checked(entry_from_row(row), row.folded_name) for row in rows)
    if asked.is_backward and not (further or asked.before == asked.END):
        return rig_page(connection, replace(asked, before=""), counted=counted)  # a whole page
    starts = not (asked.after or (asked.is_backward and further))
    ends = asked.before == asked.END if asked.is_backward else not further
    return RigPage(
        rigs=rigs,
        twins=frozenset(row.id for row in rows if row.has_twin),
        found=_found(connection, asked, len(rigs) if starts and ends else None)
        if counted
        else None,
        before=None if starts or not rigs else rigs[0].id,
        after=None if ends or not rigs else rigs[-1].id,
    )


def _found(connection: Connection, asked: RigsAsked, seen: int | None) -> int | None:
    """How many there are on all pages; None: more than MOST_COUNTED."""
    if seen is None:
        some = _chosen(connection, asked).limit(MOST_COUNTED + 1).subquery()
        seen = connection.scalar(select(func.count()).select_from(some)) or 0
    return seen if seen <= MOST_COUNTED else None


def _chosen(connection: Connection, asked: RigsAsked) -> Select[Any]:
    """Ids of the rigs of this list whose name holds what is looked for."""
    mark, wanted = entry.c.withdrawn_at, folded(asked.search)
    chosen = select(entry.c.id).where(
        entry.c.folded_name.is_not(None), mark.is_not(None) if asked.withdrawn else mark.is_(None)
    )
    if wanted:
        # Guessing that LIKE finds little, a server reads the whole table in place of the index.
        place = func.instr if connection.dialect.name == "sqlite" else func.strpos
        chosen = chosen.where(place(entry.c.folded_name, wanted) > 0)
    return chosen


def _page(connection: Connection, asked: RigsAsked) -> Select[Any]:
    """One more than a page, nearest to where it begins or ends first."""
    some = _chosen(connection, asked)
    if asked.after:
        some = some.where(tuple_(*_BY_NAME) > tuple_(*_place(connection, asked.after)))
    elif asked.is_backward and asked.before != asked.END:
        some = some.where(tuple_(*_BY_NAME) < tuple_(*_place(connection, asked.before)))
    order = [desc(column) if asked.is_backward else column for column in _BY_NAME]
    page = some.order_by(*order).limit(asked.limit + 1).subquery()
    twin = entry.alias("twin")
    alike = exists(
        select(twin.c.id).where(
            twin.c.folded_name == entry.c.folded_name,
            twin.c.id != entry.c.id,
            twin.c.withdrawn_at.is_not(None) if asked.withdrawn else twin.c.withdrawn_at.is_(None),
        )
    )
    lines = VERSIONS.add_columns(entry.c.folded_name, alike.label("has_twin"))
    lines = lines.where(version.c.number == entry.c.latest)
    return lines.join(page, page.c.id == entry.c.id).order_by(*order)


def _place(connection: Connection, rig_id: str) -> tuple[str, str, str]:
    """Where a rig stands in the order of lists."""
    found = connection.execute(select(*_BY_NAME).where(entry.c.id == rig_id)).one_or_none()
    if found is None or found.folded_name is None:
        raise NotKept(rig_id)
    return tuple(found)


def _checked(rig: Entry, kept: str | None) -> Entry:
    """A rig whose name is kept as it is looked for."""
    if not isinstance(rig.body, KeptRig) or folded(rig.body.name) != kept:
        raise BadArchive(f"rig {rig.id}", "its name in the list is not the one it has", UPDATE)
    return rig

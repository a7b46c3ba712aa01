"""Erasing: a rig and all that belongs to it is gone for good, and the notebook stays sound.

Every version becomes an empty row: in place of its body stands the body's salted sum, and the salt
is gone, so that sums and counts hold and nobody can guess from them what was there. Then what the
database itself still has of the old bytes is swept away: a file is written anew and its log cut
off; a server's tables are written anew, with what it had noted down of their contents.

What no program can reach from here is not swept: backups, archives and prints made before, a
server's own log and copies, phones.

Holds:  erasing rigs, all or nothing; sweeping; where a name still stands.
Never:  asking whether it is meant, sentences for people (faces).
"""

import json
from collections.abc import Sequence
from datetime import datetime
from itertools import groupby
from typing import Any

from sqlalchemy import Connection, Row, func, select, update

from tapewright.ground.errors import EditedMeanwhile, NotebookUnusable, NotKept
from tapewright.storage.entries import Entry
from tapewright.storage.notebook import Notebook
from tapewright.storage.plain import body_text, forget_bodies
from tapewright.storage.queries import (
    all_versions,
    refuse_changed_version,
    refuse_gap,
    refuse_traces,
)
from tapewright.storage.records import KeptErased
from tapewright.storage.sums import entry_sum, salted_sum
from tapewright.storage.tables import METADATA, entry, version
from tapewright.storage.tallies import Changes, Counted, refuse_lost_of_rigs, scope_of
from tapewright.storage.writing import now_standing, utc_text

IN_USE = "others are reading the notebook just now, and its log could not be cut off"
NO_OWNER = (
    "the server's notes on what its tables hold (pg_statistic) are not ours to write anew; whoever "
    "owns the database runs VACUUM FULL pg_catalog.pg_statistic"
)
_IS_OWNER = (
    "SELECT pg_has_role(current_user, datdba, 'USAGE') FROM pg_database"
    " WHERE datname = current_database()"
)


def erase(notebook: Notebook, seen: Sequence[Entry], now: datetime) -> int:
    """Erase rigs and all that belongs to them, as they were seen; how many entries that is. [-]

    Also parked groups that belong to no rig any more.

    Sweep afterwards: until then old bytes lie about where the notebook is.

    Raises
    ------
    NotKept
        If one is neither, or was erased before.
    EditedMeanwhile
        If one was saved since it was seen.
    NotebookDamaged
        If a row of theirs is not as it was written: erasing would hide that for good.
    """
    ids = [one.id for one in seen]
    rigs = [one.id for one in seen if one.kind == "rig"]
    with notebook.writing() as connection:
        _hold(connection, seen)
        theirs = all_versions().where(entry.c.id.in_(ids) | entry.c.rig_id.in_(ids))
        rows = connection.execute(theirs).all()
        found = [list(group) for _, group in groupby(rows, key=lambda row: row.id)]
        counted = [Counted(one.id, one.kind, one.rig_id, one.withdrawn_at) for one, *_ in found]
        told = (one for one in counted if one.kind != "job")  # counted with those of all rigs
        refuse_lost_of_rigs(connection, rigs, told)
        for versions in found:
            _empty(connection, versions, utc_text(now))
        _count(connection, rigs, counted)
    forget_bodies()
    return len(found)


def _hold(connection: Connection, seen: Sequence[Entry]) -> None:
    """Hold what is to be erased against other writers; refuse what is not as it was seen."""
    ids = [one.id for one in seen]
    held = select(entry.c.id, entry.c.kind, entry.c.latest).order_by(entry.c.id).with_for_update()
    there = {row.id: row for row in connection.execute(held.where(entry.c.id.in_(ids)))}
    connection.execute(held.where(entry.c.rig_id.in_(ids))).all()
    for one in seen:
        if one.id not in there:
            refuse_traces(connection, one.id)
        alone = one.kind == "rig" or (one.kind == "parked" and one.rig_id is None)
        if one.id not in there or not alone or there[one.id].kind != one.kind:
            raise NotKept(one.id)
        if there[one.id].latest != one.number:
            raise EditedMeanwhile(now_standing(connection, one.id))


def _empty(connection: Connection, rows: Sequence[Row[Any]], moment: str) -> None:
    """Empty an entry's versions and say that it was erased. Damaged if it was not as written."""
    refuse_gap(rows)
    for row in rows:
        refuse_changed_version(row)
        left = body_text(KeptErased(salted_sum(row.salt, row.body)))
        at = (version.c.entry_id == row.id, version.c.number == row.number)
        connection.execute(update(version).where(*at).values(body=left, salt=None))
    one = rows[0]
    cells = (one.id, "erased", one.rig_id, one.added_at, one.latest, moment)
    values = {
        "kind": "erased",
        "withdrawn_at": moment,
        "sum": entry_sum(*cells, one.head_sum),
        "folded_name": None,
        "verdict": None,
        "verdict_sum": None,
    }
    connection.execute(update(entry).where(entry.c.id == one.id).values(values))


def _count(connection: Connection, rig_ids: Sequence[str], found: Sequence[Counted]) -> None:
    """Count them among what was erased, and no more where they were counted."""
    changes = Changes()
    for one in found:
        if scope_of(one.kind, one.rig_id) not in rig_ids:
            changes.count(one.kind, None, -1, -int(one.withdrawn_at is not None))
        changes.count("erased", None, 1, 1)
    for rig_id in rig_ids:
        changes.close(rig_id)
    changes.write(connection)


def sweep(notebook: Notebook) -> str:
    """Sweep away what the database has of old bytes; why some may be left, empty if none are."""
    try:
        with notebook.reading() as connection:
            return _sweep_file(connection) if notebook.is_file else _sweep_server(connection)
    except NotebookUnusable as hindered:
        return hindered.wrong


def _sweep_file(connection: Connection) -> str:
    # What a sort or an undo puts by stays in memory, not in a file beside.
    for line in ("PRAGMA temp_store=MEMORY", "VACUUM"):
        connection.exec_driver_sql(line)
    told = connection.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)").one()
    return IN_USE if told[0] else ""


def _sweep_server(connection: Connection) -> str:
    tables = ", ".join(sorted(METADATA.tables))
    connection.exec_driver_sql("SET statement_timeout = 0")  # a large shop's take minutes
    try:
        connection.exec_driver_sql(f"VACUUM (FULL, ANALYZE) {tables}")
        if not connection.exec_driver_sql(_IS_OWNER).scalar():
            return NO_OWNER
        connection.exec_driver_sql("VACUUM (FULL) pg_catalog.pg_statistic")
    finally:
        connection.exec_driver_sql("RESET statement_timeout")
    return ""


def where_named(notebook: Notebook, name: str) -> tuple[Entry, ...]:
    """Entries that are kept and hold a name in any version, whatever its capitals."""
    within = json.dumps(name, ensure_ascii=False)[1:-1].lower()
    holds = func.lower(version.c.body).contains(within, autoescape=True)
    asked = select(version.c.entry_id).distinct().where(holds).order_by(version.c.entry_id)
    with notebook.reading() as connection:
        ids = connection.scalars(asked).all()
    return tuple(map(notebook.entry, ids))

"""V0002: a sum for every row, chained to the version before, and a tally of all entries.

Holds:  the step from schema 0001 to 0002: cells for sums, filled for what is there.
Never:  a way back: an archive is the way back.
"""

from collections import defaultdict
from collections.abc import Iterator, Mapping
from itertools import groupby
from typing import Any

import sqlalchemy as sa
from alembic import op

from tapewright.storage.entries import Source
from tapewright.storage.sums import Damaged, entry_sum, new_salt, salted_sum, version_sum
from tapewright.storage.tallies import ROOTS, Tally, scope_of, tally_row

revision = "0002"
down_revision = "0001"

_AT_ONCE = 1000  # entries written together, so that a large notebook fits into memory


def upgrade() -> None:
    """Add the cells and the tally, and fill them."""
    op.add_column("entry", sa.Column("sum", sa.String(64)))
    op.add_column("version", sa.Column("salt", sa.String(32)))
    op.add_column("version", sa.Column("sum", sa.String(64)))
    op.create_table(
        "tally",
        sa.Column("scope", sa.String(20), primary_key=True),
        sa.Column("entries", sa.Integer, nullable=False),
        sa.Column("counts", sa.Text, nullable=False),
        sa.Column("sum", sa.String(64), nullable=False),
    )
    _fill(op.get_bind())


def _fill(connection: sa.Connection) -> None:
    sources: defaultdict[tuple[str, int], list[Source]] = defaultdict(list)
    for row in connection.execute(sa.text("SELECT * FROM made_from")):
        sources[row.entry_id, row.number].append(Source(row.source_id, row.source_number))
    tallies = {kind: Tally(kind, {}) for kind in ROOTS}
    asked = "SELECT id, kind, rig_id, added_at, latest, withdrawn_at FROM entry ORDER BY id"
    entries = connection.execute(sa.text(asked)).all()
    for one in entries:
        if one.kind == "rig":
            tallies[one.id] = Tally(one.id, {})
    for one in entries:
        scope = scope_of(one.kind, one.rig_id)
        gone = 0 if one.withdrawn_at is None else 1
        tallies[scope] = tallies[scope].plus(one.kind, 1, gone)
    for start in range(0, len(entries), _AT_ONCE):
        _sum_up(connection, entries[start : start + _AT_ONCE], sources)
    rows = [tally_row(one) for one in tallies.values()]
    written = "INSERT INTO tally VALUES (:scope, :entries, :counts, :sum)"
    connection.execute(sa.text(written), rows)


def _sum_up(connection: sa.Connection, some: Any, sources: Mapping[Any, Any]) -> None:  # noqa: ANN401
    """Write the sums of some entries, in order of their ids, and of their versions."""
    between = {"first": some[0].id, "last": some[-1].id}
    asked = (
        "SELECT entry_id, number, saved_at, body FROM version"
        " WHERE entry_id BETWEEN :first AND :last ORDER BY entry_id, number"
    )
    versions = list(_versions(connection.execute(sa.text(asked), between), sources))
    heads = {row["entry_id"]: row["sum"] for row in versions}
    for one in some:
        if one.id not in heads:
            raise Damaged(f"{one.kind} {one.id}", f"its version {one.latest} is missing")
    entries = [
        {
            "id": one.id,
            "sum": entry_sum(
                one.id, one.kind, one.rig_id, one.added_at, one.latest, one.withdrawn_at,
                heads[one.id],
            ),
        }
        for one in some
    ]  # fmt: skip
    connection.execute(
        sa.text(
            "UPDATE version SET salt = :salt, sum = :sum"
            " WHERE entry_id = :entry_id AND number = :number"
        ),
        versions,
    )
    connection.execute(sa.text("UPDATE entry SET sum = :sum WHERE id = :id"), entries)


def _versions(rows: Any, sources: Mapping[Any, Any]) -> Iterator[dict[str, Any]]:  # noqa: ANN401
    for entry_id, mine in groupby(rows, key=lambda row: row.entry_id):
        before = None
        for row in mine:
            salt = new_salt()
            made_from = sources.get((entry_id, row.number), [])
            salted = salted_sum(salt, row.body)
            before = version_sum(entry_id, row.number, row.saved_at, made_from, before, salted)
            key = {"entry_id": entry_id, "number": row.number}
            yield {**key, "salt": salt, "sum": before}

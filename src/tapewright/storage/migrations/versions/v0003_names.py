"""V0003: what lists say of a rig: its name as it is looked for, with indexes, and a verdict.

No step passes a verdict: who opens the notebook does, rig by rig, when first listed.

Holds:  the step from schema 0002 to 0003.
Never:  a way back: an archive is the way back.
"""

import json
from contextlib import suppress

import sqlalchemy as sa
from alembic import op

from tapewright.storage.names import folded

revision = "0003"
down_revision = "0002"

AT_ONCE = 1_000
BY_NAME = ["folded_name", "added_at", "id", "withdrawn_at"]  # the last: no row is looked at
LISTS = {
    "rig_in_list": "folded_name IS NOT NULL AND withdrawn_at IS NULL",
    "rig_aside": "folded_name IS NOT NULL AND withdrawn_at IS NOT NULL",
}


def upgrade() -> None:
    """Add the columns, fill in names from the latest version of every rig, and draw indexes."""
    kind = sa.Text().with_variant(sa.Text(collation="C"), "postgresql")
    op.add_column("entry", sa.Column("folded_name", kind))
    op.add_column("entry", sa.Column("verdict", sa.Text))
    op.add_column("entry", sa.Column("verdict_sum", sa.String(64)))
    _fill(op.get_bind())
    for name, some in LISTS.items():
        where = sa.text(some)
        op.create_index(name, "entry", BY_NAME, sqlite_where=where, postgresql_where=where)
    if op.get_bind().dialect.name == "postgresql":
        _index_parts(op.get_bind())


def _index_parts(connection: sa.Connection) -> None:
    """Let a server find parts of names without a walk over all; one that may not walks on."""
    with suppress(sa.exc.DBAPIError), connection.begin_nested():
        connection.execute(sa.text("CREATE EXTENSION IF NOT EXISTS pg_trgm"))
        op.create_index(
            "rig_by_part", "entry", ["folded_name"], postgresql_using="gin",
            postgresql_ops={"folded_name": "gin_trgm_ops"},
            postgresql_where=sa.text("folded_name IS NOT NULL"),
        )  # fmt: skip


def _name(body: str | None) -> str:
    """The folded name in a body; empty if it is damaged or lost, which reading it will tell."""
    try:
        return folded(json.loads(body or "")["name"])
    except (ValueError, TypeError, KeyError, RecursionError):
        return ""


def _fill(connection: sa.Connection) -> None:
    entry = sa.table("entry", *map(sa.column, ("id", "kind", "latest", "folded_name")))
    version = sa.table("version", *map(sa.column, ("entry_id", "number", "body")))
    latest = (version.c.entry_id == entry.c.id) & (version.c.number == entry.c.latest)
    rigs = sa.select(entry.c.id, version.c.body).join(version, latest, isouter=True)
    rigs = rigs.where(entry.c.kind == "rig").order_by(entry.c.id).limit(AT_ONCE)
    name = sa.update(entry).where(entry.c.id == sa.bindparam("rig"))
    name = name.values(folded_name=sa.bindparam("name"))
    last = ""
    while some := connection.execute(rigs.where(entry.c.id > last)).all():
        connection.execute(name, [{"rig": row.id, "name": _name(row.body)} for row in some])
        last = some[-1].id

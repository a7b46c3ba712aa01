"""Tables: entries, their versions, and what each version was made from.

Nothing is ever overwritten: a version, once written, is only read, until the person it belongs to
is erased (erasing.py). Else the latest number and the mark of withdrawal are the only cells that
change, and with them the sums that say so (sums.py).

Holds:  the three tables and the tally of what they hold, as SQLAlchemy draws them; the schema's
        number.
Never:  queries, migrations (migrations/ draws the same tables step by step).
"""

from sqlalchemy import (
    Column,
    ForeignKey,
    ForeignKeyConstraint,
    Index,
    Integer,
    MetaData,
    PrimaryKeyConstraint,
    String,
    Table,
    Text,
    text,
)

SCHEMA = "0008"

METADATA = MetaData()

# Told apart and put in order by bytes, on a server, too, whatever its language.
BY_BYTES = Text().with_variant(Text(collation="C"), "postgresql")
BY_NAME = ("folded_name", "added_at", "id", "withdrawn_at")  # the last: no row is looked at
LISTS = {  # indexes for rigs in the list and for those put aside
    "rig_in_list": "folded_name IS NOT NULL AND withdrawn_at IS NULL",
    "rig_aside": "folded_name IS NOT NULL AND withdrawn_at IS NOT NULL",
}

entry = Table(
    "entry",
    METADATA,
    Column("id", String(20), primary_key=True),
    Column("kind", String(20), nullable=False),
    Column("rig_id", String(20), ForeignKey("entry.id", name="entry_rig")),
    Column("added_at", String(32), nullable=False),  # never changes: the order of lists
    Column("latest", Integer, nullable=False),
    Column("withdrawn_at", String(32)),
    Column("sum", String(64)),
    Column("folded_name", BY_BYTES),  # of a rig's latest version, names.py; else empty
    Column("verdict", Text),  # on a rig's latest version, verdicts.py; else empty
    Column("verdict_sum", String(64)),
    Index("entry_by_kind", "kind", "withdrawn_at", "added_at"),
    Index("entry_by_rig", "rig_id", "kind", "added_at"),
    *(
        Index(name, *BY_NAME, sqlite_where=text(some), postgresql_where=text(some))
        for name, some in LISTS.items()
    ),
)

version = Table(
    "version",
    METADATA,
    Column("entry_id", String(20), ForeignKey("entry.id", name="version_entry"), nullable=False),
    Column("number", Integer, nullable=False),
    Column("body", Text, nullable=False),
    Column("saved_at", String(32), nullable=False),
    Column("salt", String(32)),  # gone once the body was erased
    Column("sum", String(64)),
    PrimaryKeyConstraint("entry_id", "number", name="version_key"),
)

made_from = Table(
    "made_from",
    METADATA,
    Column("entry_id", String(20), nullable=False),
    Column("number", Integer, nullable=False),
    Column("source_id", String(20), nullable=False),
    Column("source_number", Integer, nullable=False),
    PrimaryKeyConstraint("entry_id", "number", "source_id", "source_number", name="made_from_key"),
    ForeignKeyConstraint(
        ["entry_id", "number"], ["version.entry_id", "version.number"], name="made_from_version"
    ),
    ForeignKeyConstraint(
        ["source_id", "source_number"],
        ["version.entry_id", "version.number"],
        name="made_from_source",
    ),
)

tally = Table(
    "tally",
    METADATA,
    Column("scope", String(20), primary_key=True),  # a rig's id, or a kind that belongs to no rig
    Column("entries", Integer, nullable=False),
    Column("counts", Text, nullable=False),
    Column("sum", String(64), nullable=False),
)

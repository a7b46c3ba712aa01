"""V0001: entries, versions, and what each version was made from.

Holds:  the step from nothing to schema 0001.
Never:  a way back: an archive is the way back.
"""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None


def upgrade() -> None:
    """Draw the three tables."""
    op.create_table(
        "entry",
        sa.Column("id", sa.String(20), primary_key=True),
        sa.Column("kind", sa.String(20), nullable=False),
        sa.Column("rig_id", sa.String(20), sa.ForeignKey("entry.id", name="entry_rig")),
        sa.Column("added_at", sa.String(32), nullable=False),
        sa.Column("latest", sa.Integer, nullable=False),
        sa.Column("withdrawn_at", sa.String(32)),
    )
    op.create_index("entry_by_kind", "entry", ["kind", "withdrawn_at", "added_at"])
    op.create_index("entry_by_rig", "entry", ["rig_id", "kind", "added_at"])
    op.create_table(
        "version",
        sa.Column(
            "entry_id",
            sa.String(20),
            sa.ForeignKey("entry.id", name="version_entry"),
            nullable=False,
        ),
        sa.Column("number", sa.Integer, nullable=False),
        sa.Column("body", sa.Text, nullable=False),
        sa.Column("saved_at", sa.String(32), nullable=False),
        sa.PrimaryKeyConstraint("entry_id", "number", name="version_key"),
    )
    op.create_table(
        "made_from",
        sa.Column("entry_id", sa.String(20), nullable=False),
        sa.Column("number", sa.Integer, nullable=False),
        sa.Column("source_id", sa.String(20), nullable=False),
        sa.Column("source_number", sa.Integer, nullable=False),
        sa.PrimaryKeyConstraint(
            "entry_id", "number", "source_id", "source_number", name="made_from_key"
        ),
        sa.ForeignKeyConstraint(
            ["entry_id", "number"],
            ["version.entry_id", "version.number"],
            name="made_from_version",
        ),
        sa.ForeignKeyConstraint(
            ["source_id", "source_number"],
            ["version.entry_id", "version.number"],
            name="made_from_source",
        ),
    )

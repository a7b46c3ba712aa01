"""V0008: set-up records of bows are kept, and counted from the first on.

Holds:  the step from schema 0007 to 0008.
Never:  a way back: an archive is the way back.
"""

import sqlalchemy as sa
from alembic import op

from tapewright.storage.tallies import Tally, tally_row

revision = "0008"
down_revision = "0007"

KIND = "setup"


def upgrade() -> None:
    """Count the kind; a notebook that came past 0002 with this program counts it already."""
    tally = sa.table("tally", *map(sa.column, ("scope", "entries", "counts", "sum")))
    there = sa.select(tally.c.scope).where(tally.c.scope == KIND)
    if op.get_bind().execute(there).one_or_none() is None:
        op.get_bind().execute(sa.insert(tally), [tally_row(Tally(KIND, {}))])

"""V0007: what was erased leaves an empty row, and these are counted from the first on.

Holds:  the step from schema 0006 to 0007.
Never:  a way back: an archive is the way back.
"""

import sqlalchemy as sa
from alembic import op

from tapewright.storage.tallies import Tally, tally_row

revision = "0007"
down_revision = "0006"

KIND = "erased"


def upgrade() -> None:
    """Count the kind; a notebook that came past 0002 with this program counts it already."""
    tally = sa.table("tally", *map(sa.column, ("scope", "entries", "counts", "sum")))
    there = sa.select(tally.c.scope).where(tally.c.scope == KIND)
    if op.get_bind().execute(there).one_or_none() is None:
        op.get_bind().execute(sa.insert(tally), [tally_row(Tally(KIND, {}))])

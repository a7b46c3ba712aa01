"""V0002: holds the place of the step that gives every row a check.

Holds:  nothing.
Never:  a way back: an archive is the way back.
"""

revision = "0002"
down_revision = "0001"


def upgrade() -> None:
    """Draw nothing."""

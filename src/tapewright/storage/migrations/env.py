"""Env: what Alembic runs to bring a notebook up to date, inside the caller's transaction.

Holds:  the hand-over of the connection.
Never:  steps, a connection of its own.
"""

from alembic import context

context.configure(connection=context.config.attributes["connection"])
with context.begin_transaction():
    context.run_migrations()

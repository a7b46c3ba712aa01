"""Schema: a notebook is made, brought up to date, or refused if it is not ours to write in.

Holds:  which schema a notebook has; the migration, under a lock and all or nothing.
Never:  the steps themselves (migrations/versions), data.
"""

from threading import Lock

from sqlalchemy import Connection, Engine, inspect, text

from tapewright.ground.errors import NotebookUnusable
from tapewright.storage.engine import APPLICATION_ID, reads_of, writes_of
from tapewright.storage.tables import SCHEMA

_LOCK = 0x54575254  # any number that only we use
_ALEMBIC = Lock()  # its environment is one for the whole process


def bring_up_to_date(engine: Engine, place: str) -> None:
    """Make or migrate the notebook if its schema is not today's.

    Raises
    ------
    NotebookUnusable
        If a newer program made it, or the database is another program's.
    """
    with reads_of(engine).connect() as connection:
        found = found_schema(connection, place)
    if found == SCHEMA:
        return
    with writes_of(engine).begin() as connection:
        if connection.dialect.name == "postgresql":
            connection.execute(text(f"SELECT pg_advisory_xact_lock({_LOCK})"))
        if found_schema(connection, place) != SCHEMA:  # somebody else may have been quicker
            _migrate(connection)


def found_schema(connection: Connection, place: str) -> str | None:
    """The schema that is there; None: an empty database.

    Raises
    ------
    NotebookUnusable
        As bring_up_to_date.
    """
    tables = inspect(connection).get_table_names()
    if not tables:
        return None
    found = None
    if {"alembic_version", "made_from"} <= set(tables):
        found = connection.scalar(text("SELECT version_num FROM alembic_version"))
    if found is None:
        raise NotebookUnusable(
            place,
            "it holds another program's tables",
            "Give the notebook a file or a database of its own",
        )
    if found > SCHEMA:
        raise NotebookUnusable(
            place,
            f"a newer Tapewright made it (schema {found}, this one knows {SCHEMA})",
            "Update Tapewright; nothing was changed",
        )
    return str(found)


def _migrate(connection: Connection) -> None:
    from alembic import command  # noqa: PLC0415 — slow, and seldom needed
    from alembic.config import Config  # noqa: PLC0415

    config = Config()
    config.set_main_option("script_location", "tapewright.storage:migrations")
    config.attributes["connection"] = connection
    with _ALEMBIC:
        command.upgrade(config, "head")
    if connection.dialect.name == "sqlite":
        connection.execute(text(f"PRAGMA application_id={APPLICATION_ID}"))

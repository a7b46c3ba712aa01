"""Schema: a notebook is made, brought up to date, or refused if it is not ours to write in.

Holds:  which schema a notebook has; the migration, under a lock and all or nothing.
Never:  the steps themselves (migrations/versions), data.
"""

import re
from threading import Lock

from sqlalchemy import Connection, Engine, inspect, text

from tapewright.ground.errors import NotebookDamaged, NotebookUnusable
from tapewright.storage.engine import reads_of, writes_of
from tapewright.storage.files import APPLICATION_ID
from tapewright.storage.tables import SCHEMA
from tapewright.storage.trouble import DAMAGED

STEP = re.compile(r"\d{4}")
_LOCK = 0x54575254  # any number that only we use
_ALEMBIC = Lock()  # its environment is one for the whole process


def bring_up_to_date(engine: Engine, place: str) -> None:
    """Make or migrate the notebook if its schema is not today's.

    Raises
    ------
    NotebookUnusable
        If a newer program made it, or the database is another program's.
    NotebookDamaged
        If it was a notebook and is damaged.
    """
    with reads_of(engine).connect() as connection:
        found = found_schema(connection, place)
    if found == SCHEMA:
        return
    with writes_of(engine).begin() as connection:
        if connection.dialect.name == "postgresql":
            connection.execute(text(f"SELECT pg_advisory_xact_lock({_LOCK})"))
        found = found_schema(connection, place)
        if found != SCHEMA:  # somebody else may have been quicker
            if found is not None:
                _refuse_unsound(connection, place)
            _migrate(connection)


def found_schema(connection: Connection, place: str) -> str | None:
    """The schema that is there; None: an empty database.

    Raises
    ------
    NotebookUnusable
        As bring_up_to_date.
    """
    tables = set(inspect(connection).get_table_names())
    ours = tables >= {"alembic_version", "made_from"}
    found = connection.scalar(text("SELECT version_num FROM alembic_version")) if ours else None
    if not isinstance(found, str) and _was_ours(connection):
        raise NotebookDamaged(place, *DAMAGED)
    if not tables:
        return None
    if not isinstance(found, str):
        raise NotebookUnusable(
            place,
            "it holds another program's tables",
            "Give the notebook a file or a database of its own",
        )
    if not STEP.fullmatch(found):
        raise NotebookDamaged(place, *DAMAGED)
    if found > SCHEMA:
        raise NotebookUnusable(
            place,
            f"a newer Tapewright made it (schema {found}, this one knows {SCHEMA})",
            "Update Tapewright; nothing was changed",
        )
    return found


def _was_ours(connection: Connection) -> bool:
    """Whether a file says that it is a notebook, whatever tables it shows."""
    if connection.dialect.name != "sqlite":
        return False
    told = connection.scalar(text("PRAGMA application_id"))
    return bool(told == APPLICATION_ID)


def _refuse_unsound(connection: Connection, place: str) -> None:
    """Refuse to write sums over what is damaged already."""
    if connection.dialect.name != "sqlite":
        return
    if connection.scalars(text("PRAGMA quick_check")).all() != ["ok"]:
        raise NotebookDamaged(place, *DAMAGED)


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

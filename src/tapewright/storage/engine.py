"""Engine: the connection to SQLite or PostgreSQL, set so that what is confirmed stays.

Holds:  notebook address → SQLAlchemy engine; its place in words; which transactions take turns.
Never:  tables, queries, sentences about trouble (trouble.py).
"""

import logging
import sqlite3
from importlib.util import find_spec
from pathlib import Path
from typing import Any

from sqlalchemy import URL, Connection, Engine, create_engine, event, make_url
from sqlalchemy.exc import ArgumentError
from sqlalchemy.pool import ConnectionPoolEntry

from tapewright.ground.errors import MissingExtra, NotebookUnusable

SQLITE = "sqlite:///"
POSTGRESQL = ("postgresql://", "postgres://")
BUSY_MS = 5_000  # how long a writer waits for the one before it
WRITES, SNAPSHOT = {"writes": True}, {"snapshot": True}


def is_file(url: str) -> bool:
    """Whether a notebook is a file here, not a server somewhere."""
    return url.startswith(SQLITE)


def notebook_place(url: str) -> str:
    """Where a notebook is, in words that may be shown: never with a password."""
    if is_file(url):
        return url.removeprefix(SQLITE)
    return _server(url).set(drivername="postgresql").render_as_string()


def file_path(url: str) -> Path:
    """The path of a notebook that is a file."""
    return Path(url.removeprefix(SQLITE))


def notebook_engine(url: str) -> Engine:
    """The engine of a notebook; opens no connection.

    Raises
    ------
    NotebookUnusable
        If the address is of no kind we know.
    MissingExtra
        If it is a server and its library is not installed.
    """
    return _file_engine(file_path(url)) if is_file(url) else _server_engine(url)


def _file_engine(path: Path) -> Engine:
    address = URL.create("sqlite", database=str(path))
    engine = create_engine(address, pool_size=10, max_overflow=30)
    event.listen(engine, "connect", _prepare_file)
    event.listen(engine, "begin", _begin)
    return engine


def reading_engine(path: Path) -> Engine:
    """The engine of a file where nobody may write: nothing is put beside it, nothing locked."""
    address = f"{path.resolve().as_uri()}?mode=ro&immutable=1"
    engine = create_engine(
        URL.create("sqlite", database=str(path)),
        creator=lambda: sqlite3.connect(address, uri=True, check_same_thread=False),
        pool_size=10,
        max_overflow=30,
    )
    event.listen(engine, "connect", _prepare_reading)
    event.listen(engine, "begin", _begin)
    return engine


def _prepare_reading(connection: Any, _entry: ConnectionPoolEntry) -> None:  # noqa: ANN401 — as below
    connection.isolation_level = None
    connection.execute("PRAGMA query_only=ON").close()


def _prepare_file(connection: Any, _entry: ConnectionPoolEntry) -> None:  # noqa: ANN401 — sqlite3's or a stand-in
    connection.isolation_level = None  # the library's own BEGIN takes the lock too late
    for line in (
        f"busy_timeout={BUSY_MS}",
        "journal_mode=WAL",
        "synchronous=FULL",
        "foreign_keys=ON",
        "secure_delete=ON",  # what is deleted is overwritten, too
    ):
        connection.execute(f"PRAGMA {line}").close()


def _begin(connection: Connection) -> None:
    # Other reads are one statement each and need no transaction.
    options = connection.get_execution_options()
    if options.get("writes"):
        connection.exec_driver_sql("BEGIN IMMEDIATE")
    elif options.get("snapshot"):
        connection.exec_driver_sql("BEGIN")


def _server(url: str) -> URL:
    if not url.startswith(POSTGRESQL):
        raise NotebookUnusable(
            repr(url[:40]),
            "this is no address of a notebook",
            "Write a file's path, sqlite:///PATH, or postgresql://USER@HOST/NAME",
        )
    try:
        return make_url(url).set(drivername="postgresql+psycopg")
    except (ArgumentError, ValueError) as broken:
        raise NotebookUnusable(
            "postgresql://…",
            "the address cannot be read",
            "Write postgresql://USER@HOST:PORT/NAME; in a password, write @ as %40 and / as %2F",
        ) from broken


def _limits(address: URL) -> dict[str, str | int]:
    """No wait for a server is without an end; options in the address stand, and go before ours."""
    theirs = address.query.get("options", "")
    return {
        "connect_timeout": 10,  # [s]
        "tcp_user_timeout": 30_000,  # a machine that vanished in the middle [ms]
        "keepalives_idle": 30,  # or while nothing was said [s]
        "keepalives_interval": 10,
        "keepalives_count": 3,
        # What waits or works too long is ended by the server itself. [ms]
        "options": "-c lock_timeout=30000 -c statement_timeout=300000"
        f" -c idle_in_transaction_session_timeout=300000 {theirs}".rstrip(),
    }


def _server_engine(url: str) -> Engine:
    address = _server(url)
    if find_spec("psycopg") is None:
        raise MissingExtra("A notebook on PostgreSQL", "shop")
    logging.getLogger("psycopg").setLevel(logging.ERROR)  # what it warns of is told as trouble
    return create_engine(
        address,
        isolation_level="READ COMMITTED",
        pool_pre_ping=True,
        pool_timeout=10,
        connect_args=_limits(address),
    )


def reads_of(engine: Engine) -> Engine:
    """The same engine for reading: every query its own snapshot."""
    if engine.dialect.name == "sqlite":
        return engine
    return engine.execution_options(isolation_level="AUTOCOMMIT")


def snapshots_of(engine: Engine) -> Engine:
    """The same engine for reading by several queries, all of one snapshot."""
    if engine.dialect.name == "sqlite":
        return engine.execution_options(**SNAPSHOT)
    return engine.execution_options(isolation_level="REPEATABLE READ")


def writes_of(engine: Engine) -> Engine:
    """The same engine for writing: all or nothing, one writer after the other."""
    return engine.execution_options(**WRITES)

"""Trouble: what a database, a disk or a server says, as a sentence with its mend.

Holds:  a context in which every such error becomes NotebookUnusable.
Never:  errors of what is kept (they have their own classes), attempts to go on.
"""

import errno
import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from sqlalchemy.exc import DBAPIError, IntegrityError
from sqlalchemy.exc import TimeoutError as NoConnectionFree

from tapewright.ground.errors import NotebookDamaged, NotebookUnusable
from tapewright.storage.sums import Damaged

LEAST_ROOM = 40_000  # bytes: what SQLite needs beside a file is 32 kB
SAFE = "What was confirmed before is safe"
MEND_DAMAGE = (
    "Leave it as it is. tapewright check says what is sound and can save that; restore a backup "
    "into a new notebook"
)
FULL = (
    "the disk is full, so nothing new was kept",
    f"{SAFE}. Make room, then save again",
)
LOCKED = (
    "another program has kept it locked for too long, so nothing new was kept",
    f"{SAFE}. Close the other program, then save again",
)
READ_ONLY = (
    "it may only be read here, so nothing was kept",
    "Allow writing to the file and its folder, or name another place in TAPEWRIGHT_NOTEBOOK",
)
UNREADABLE = (
    "it may not be read by you",
    "Ask whoever owns the file to let you read it, or name another in TAPEWRIGHT_NOTEBOOK",
)
DAMAGED = ("the file is damaged", MEND_DAMAGE)
FOREIGN = (
    "it is no notebook, but another kind of file",
    "Nothing was changed. Name a notebook, or a new file, in TAPEWRIGHT_NOTEBOOK or --notebook",
)
EMPTY = (
    "the file is empty, and a notebook never is",
    "If it held something, restore a backup into a new notebook; else remove it and start again",
)
FOLDER = (
    "it cannot be opened: it is a folder, not a file",
    "Name a file in it, such as notebook.db",
)
DISK_REFUSES = (
    "the disk refuses to read or write",
    f"{SAFE} unless the disk is failing. Make a backup to another disk, then try again",
)
CLOSED_DOOR = (
    "it cannot be opened",
    "Check that the folder is there and yours to write in",
)
SERVER_AWAY = (
    "the database server does not answer, or went away",
    (
        "See that it runs and that address, user, password and name of the database are right; "
        "then look whether the last thing was kept"
    ),
)
SERVER_REFUSES = (
    "the database server refuses user, password or database",
    "Check the address in TAPEWRIGHT_NOTEBOOK and that the user may create tables",
)
CROWDED = (
    "too many people are waiting for it at this moment",
    f"{SAFE}. Wait a little, then save again",
)
UNKNOWN = (
    "the database cannot do this",
    f"{SAFE}. Make a backup and tell us what you did",
)

# Names of SQLite's result codes; an extended code begins with its family's name.
_FILE_FAULTS = {
    "SQLITE_FULL": FULL,
    "SQLITE_BUSY": LOCKED,
    "SQLITE_LOCKED": LOCKED,
    "SQLITE_READONLY": READ_ONLY,
    "SQLITE_PERM": READ_ONLY,
    "SQLITE_NOTADB": DAMAGED,
    "SQLITE_CORRUPT": DAMAGED,
    "SQLITE_ERROR": DAMAGED,  # a table or cell that we never left out is not there
    "SQLITE_TOOBIG": DAMAGED,
    "SQLITE_MISMATCH": DAMAGED,
    "SQLITE_FORMAT": DAMAGED,
    "SQLITE_PROTOCOL": LOCKED,
    "SQLITE_IOERR": DISK_REFUSES,
    "SQLITE_CANTOPEN": CLOSED_DOOR,
}
# Classes and codes of the SQL standard's SQLSTATE as PostgreSQL uses them.
_SERVER_FAULTS = {
    "53100": FULL,
    "53300": CROWDED,
    "55P03": LOCKED,
    "40P01": CROWDED,
    "25006": READ_ONLY,
    "28": SERVER_REFUSES,
    "3D": SERVER_REFUSES,
    "42501": SERVER_REFUSES,
    "57014": SERVER_AWAY,
    "57P": SERVER_AWAY,
    "25P03": SERVER_AWAY,
    "08": SERVER_AWAY,
}


@contextmanager
def usable(place: str) -> Iterator[None]:
    """Turn whatever database or disk say inside into NotebookUnusable.

    A row that is there already (IntegrityError) passes: it is news, not trouble.

    Parameters
    ----------
    place : str
        Where the notebook is, fit to be shown.
    """
    try:
        yield
    except IntegrityError:
        raise
    except DBAPIError as error:
        if error.connection_invalidated:
            raise NotebookUnusable(place, *SERVER_AWAY) from error
        raise _unusable(place, error.orig) from error
    except Damaged as found:
        raise NotebookDamaged(place, f"{found.where}: {found.wrong}", MEND_DAMAGE) from found
    except sqlite3.Error as error:
        raise _unusable(place, error) from error
    except NoConnectionFree as error:
        raise NotebookUnusable(place, *CROWDED) from error
    except OSError as error:
        raise _refused(place, error) from error


def contradicts(place: str) -> NotebookDamaged:
    """The error for rows that the database says are there, and are not."""
    return NotebookDamaged(place, "what is kept contradicts itself", MEND_DAMAGE)


def _unusable(place: str, error: BaseException | None) -> NotebookUnusable:
    if isinstance(error, sqlite3.Error):
        words = _file_words(place, error)
    else:  # a server that cannot be reached has no code to say so
        words = _looked_up(_SERVER_FAULTS, getattr(error, "sqlstate", None) or "08")
    return (NotebookDamaged if words is DAMAGED else NotebookUnusable)(place, *words)


def _file_words(place: str, error: sqlite3.Error) -> tuple[str, str]:
    code = getattr(error, "sqlite_errorname", None)
    if code is None:  # the library could not make sense of what is there; or we misuse it
        return UNKNOWN if isinstance(error, sqlite3.ProgrammingError) else DAMAGED
    words = _looked_up(_FILE_FAULTS, code)
    return FULL if words in {DISK_REFUSES, CLOSED_DOOR} and _is_full(place) else words


def _is_full(place: str) -> bool:
    """Whether the disk has no room for the smallest of SQLite's files."""
    try:
        return shutil.disk_usage(Path(place).absolute().parent).free < LEAST_ROOM
    except OSError:
        return False


def _refused(place: str, error: OSError) -> NotebookUnusable:
    named = str(error.filename or place)
    if error.errno in {errno.ENOSPC, errno.EDQUOT}:
        return NotebookUnusable(named, *FULL)
    if error.errno == errno.EROFS:
        return NotebookUnusable(named, *READ_ONLY)
    wrong = (error.strerror or "the disk refuses").lower()
    return NotebookUnusable(named, wrong, CLOSED_DOOR[1])


def _looked_up(faults: dict[str, tuple[str, str]], code: str) -> tuple[str, str]:
    return next((words for start, words in faults.items() if code.startswith(start)), UNKNOWN)

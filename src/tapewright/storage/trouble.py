"""Trouble: what a database, a disk or a server says, as a sentence with its mend.

Holds:  a context in which every such error becomes NotebookUnusable.
Never:  errors of what is kept (they have their own classes), attempts to go on.
"""

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy.exc import DBAPIError, IntegrityError
from sqlalchemy.exc import TimeoutError as NoConnectionFree

from tapewright.ground.errors import NotebookDamaged, NotebookUnusable
from tapewright.storage.sums import Damaged

SAFE = "What was confirmed before is safe"
MEND_DAMAGE = (
    "Leave it as it is. tapewright check says what is sound; restore a backup into a new notebook"
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
NOT_OURS = (
    "it is damaged, or no notebook at all",
    "Leave the file as it is and restore a backup into a new notebook",
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
    "SQLITE_NOTADB": NOT_OURS,
    "SQLITE_CORRUPT": NOT_OURS,
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
    "57P": SERVER_AWAY,
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
        away = error.connection_invalidated
        raise NotebookUnusable(place, *(SERVER_AWAY if away else _words(error.orig))) from error
    except Damaged as found:
        raise NotebookDamaged(place, f"{found.where}: {found.wrong}", MEND_DAMAGE) from found
    except sqlite3.Error as error:
        raise NotebookUnusable(place, *_words(error)) from error
    except NoConnectionFree as error:
        raise NotebookUnusable(place, *CROWDED) from error
    except OSError as error:
        wrong = (error.strerror or "the disk refuses").lower()
        raise NotebookUnusable(str(error.filename or place), wrong, CLOSED_DOOR[1]) from error


def _words(error: BaseException | None) -> tuple[str, str]:
    file_code = getattr(error, "sqlite_errorname", None)
    if file_code is not None:
        return _looked_up(_FILE_FAULTS, file_code)
    # A server that cannot be reached has no code to say so.
    return _looked_up(_SERVER_FAULTS, getattr(error, "sqlstate", None) or "08")


def _looked_up(faults: dict[str, tuple[str, str]], code: str) -> tuple[str, str]:
    return next((words for start, words in faults.items() if code.startswith(start)), UNKNOWN)

"""Files: what a notebook's file is before SQLite opens it, and how a new one comes to be.

SQLite takes an empty file for a new database, a damaged log for none, and tells everything else
apart by two codes. So the file is looked at first: empty, another program's, cut short and damaged
ones are told apart, and a file where nobody may write is opened in a way that writes nothing.

Holds:  the look at a file; a new file, the owner's alone; which files this program has open.
Never:  tables (schema.py), what SQLite says (trouble.py), the log's frames (file_log.py).
"""

import os
import re
import secrets
import shutil
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from threading import Lock

from tapewright.ground.errors import NotebookDamaged, NotebookUnusable
from tapewright.storage.file_log import refuse_damaged_log
from tapewright.storage.trouble import DAMAGED, EMPTY, FOLDER, FOREIGN, MEND_DAMAGE

FILE_START = b"SQLite format 3\x00"  # the first bytes of every SQLite file
APPLICATION_ID = 0x54575254  # "TWRT": lets other programs see whose file this is
BESIDE = ("-wal", "-shm")  # what SQLite keeps beside a file while it is in use
_OURS = re.compile(rb"[0-9a-f]{20}.{0,60}\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{6}\+00:00", re.DOTALL)
_LOOKED_THROUGH = 4_000_000  # bytes looked through for traces of ours

_OPEN: Counter[str] = Counter()
_TURN = Lock()


@dataclass(frozen=True, slots=True)
class Found:
    """What was found at a path.

    Parameters
    ----------
    is_there : bool
        Whether there is a file.
    is_read_only : bool
        Whether nobody here may write to it, or beside it.
    has_log : bool
        Whether a log lies beside it that has not gone into it yet.
    """

    is_there: bool
    is_read_only: bool
    has_log: bool


def look_at(path: Path) -> Found:
    """Look at a file, and keep in mind that this program has it open: see let_go.

    Raises
    ------
    NotebookUnusable
        If it is a folder, empty, or no notebook.
    NotebookDamaged
        If it was a notebook and is damaged where a look can tell, or its log is.
    """
    with _TURN:
        # Looking at a file that SQLite has open here would take away SQLite's locks on it.
        if not _OPEN[_name(path)] and path.exists():
            _refuse(path)
        _OPEN[_name(path)] += 1
    log = Path(f"{path}-wal")
    read_only = path.exists() and not may_write(path)
    return Found(path.exists(), read_only, log.exists() and log.stat().st_size > 0)


def let_go(path: Path) -> None:
    """The file is not open any more."""
    with _TURN:
        _OPEN[_name(path)] -= 1


def is_open_here(path: Path) -> bool:
    """Whether this program has the file open."""
    return _OPEN[_name(path)] > 0


def _name(path: Path) -> str:
    return str(path.resolve())


def _refuse(path: Path) -> None:
    place = str(path)
    if path.is_dir():
        raise NotebookUnusable(place, *FOLDER)
    size = path.stat().st_size
    if not size:
        raise NotebookUnusable(place, *EMPTY)
    with path.open("rb") as file:
        head = file.read(100)
    if not _is_sqlite(head):
        if _has_traces(path):
            raise NotebookDamaged(place, *DAMAGED)
        raise NotebookUnusable(place, *FOREIGN)
    pages, page = int.from_bytes(head[28:32]), int.from_bytes(head[16:18])
    page = 65536 if page == 1 else page
    is_told = head[24:28] == head[92:96]
    if is_told and pages * page > size and not Path(f"{path}-wal").exists():
        wrong = f"it was cut short: {size} bytes are there of {pages * page}"
        raise NotebookDamaged(place, wrong, MEND_DAMAGE)
    refuse_damaged_log(path)


def _is_sqlite(head: bytes) -> bool:
    """Whether a file begins as SQLite's files do, in every byte that is always the same."""
    page = int.from_bytes(head[16:18])
    return (
        len(head) == 100
        and head.startswith(FILE_START)
        and (page == 1 or (page >= 512 and not page & (page - 1)))
        and head[21:24] == b"\x40\x20\x20"
        and head[18] in {1, 2}
        and head[19] in {1, 2}
    )


def _has_traces(path: Path) -> bool:
    """Whether rows of a notebook can be seen in a file."""
    with path.open("rb") as file:
        head = file.read(_LOOKED_THROUGH)
    return head[68:72] == APPLICATION_ID.to_bytes(4) or _OURS.search(head) is not None


@contextmanager
def new_file(path: Path) -> Iterator[Path]:
    """A file to make a new notebook in; it gets its name when it is whole, or never.

    It is the owner's alone, and so is what SQLite puts beside it. Whoever is slower finds the
    file of whoever was quicker.
    """
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    draft = path.with_name(f".{path.name}.{secrets.token_hex(4)}.new")
    try:
        make_private(draft)
        yield draft
        _name_it(draft, path)
    except OSError as error:
        error.filename = str(path)  # nobody asked for a draft
        raise
    finally:
        for end in ("", *BESIDE):
            Path(f"{draft}{end}").unlink(missing_ok=True)


def make_private(path: Path) -> None:
    """Make an empty file that is the owner's alone, whatever the system's mask. [0600]"""
    os.close(os.open(path, os.O_CREAT | os.O_EXCL | os.O_RDWR, 0o600))
    path.chmod(0o600)  # a strange mask may have taken from it what the owner needs


def copy_files(path: Path, copy: Path) -> None:
    """Copy a file, and the log beside it, byte for byte; the copy is the owner's alone."""
    make_private(copy)
    for end in ("", "-wal"):
        if Path(f"{path}{end}").exists():
            shutil.copyfile(f"{path}{end}", f"{copy}{end}")


def may_write(path: Path) -> bool:
    """Whether somebody here may write to a file and beside it."""
    return os.access(path, os.W_OK) and os.access(path.parent, os.W_OK)


def _name_it(draft: Path, path: Path) -> None:
    link: Callable[[Path, Path], None] = os.link
    try:
        link(draft, path)
    except OSError:  # somebody was quicker, or the disk knows no second names
        if not os.path.lexists(path):
            with suppress(FileExistsError):
                draft.rename(path)

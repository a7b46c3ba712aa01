"""Backup: a whole notebook as one file beside it, and back into an empty one.

A notebook in a file is copied page by page while others go on writing; one on a server is written
as an archive. A backup never overwrites anything and is complete the moment its name appears.

Holds:  backup to a file; restoring from a backup or an archive.
Never:  what is in an archive (archive.py), taking turns between backups.
"""

import os
import sqlite3
from contextlib import closing
from io import TextIOWrapper
from pathlib import Path
from tempfile import TemporaryDirectory

from tapewright.ground.errors import BadInput, NotebookDamaged
from tapewright.storage.archive import (
    Archive,
    archive_of,
    archive_text,
    read_archive_file,
)
from tapewright.storage.engine import SQLITE
from tapewright.storage.file_log import refuse_damaged_log
from tapewright.storage.files import (
    FILE_START,
    copy_files,
    is_open_here,
    make_private,
    may_write,
)
from tapewright.storage.notebook import Notebook, open_notebook
from tapewright.storage.taking_in import Counts, take_in
from tapewright.storage.trouble import DAMAGED, usable


def backup(notebook: Notebook, path: Path) -> None:
    """Write everything that is kept into a new file.

    Raises
    ------
    BadInput
        If there is a file of that name.
    NotebookUnusable
        If the notebook cannot be read or the file not be written; nothing is left behind.
    """
    _refuse_there(path)
    part = path.with_name(f"{path.name}.part")
    with usable(str(path)):
        try:
            part.unlink(missing_ok=True)
            make_private(part)
            if notebook.is_file:
                _copy(notebook, part)
            else:
                part.write_text(archive_text(notebook), encoding="utf-8", newline="\n")
            with part.open("r+b") as written:
                os.fsync(written.fileno())
            _refuse_there(path)
            part.rename(path)
        finally:
            part.unlink(missing_ok=True)


def restore(notebook: Notebook, path: Path) -> Counts:
    """Take a backup or an archive into an empty notebook; the file is left as it is.

    Raises
    ------
    BadInput
        If the notebook is not empty.
    BadArchive, NotebookUnusable
        If the file cannot be read or used.
    """
    return take_in(notebook, load_archive(path), only_if_empty=True)


def load_archive(path: Path) -> Archive:
    """The archive in a file, whether it was exported as text or is the backup of a notebook.

    Raises
    ------
    BadInput
        If there is no such file.
    BadArchive, NotebookUnusable
        If the file cannot be read or used.
    """
    if not path.exists():
        raise BadInput(str(path), "there is no such file", "Check its name and folder")
    # A file that is open here must not be opened otherwise: that would take away its locks.
    if not is_open_here(path):
        with usable(str(path)), path.open("rb") as file:
            if file.peek(len(FILE_START))[: len(FILE_START)] != FILE_START:
                with TextIOWrapper(file, "utf-8", newline="") as text:
                    return read_archive_file(text)
            refuse_damaged_log(path)
    with TemporaryDirectory() as folder:
        copy = Path(folder) / "notebook.db"
        with usable(str(path)):
            if is_open_here(path) or may_write(path):
                _copy_file(path, copy)
            else:
                copy_files(path, copy)
        # Opened as a notebook, the copy is brought up to date if it is of an older schema.
        notebook = open_notebook(f"{SQLITE}{copy}")
        try:
            return archive_of(notebook)
        finally:
            notebook.close()


def _refuse_there(path: Path) -> None:
    if path.exists():
        raise BadInput(str(path), "there is such a file already", "Choose another name")


def _copy(notebook: Notebook, part: Path) -> None:
    with closing(sqlite3.connect(part)) as target, notebook.reading() as connection:
        source = connection.connection.driver_connection
        assert isinstance(source, sqlite3.Connection)
        source.backup(target)
        target.execute("PRAGMA journal_mode=DELETE").close()  # one file, nothing beside it
        (told,) = target.execute("PRAGMA integrity_check").fetchone()
    if told != "ok":
        raise NotebookDamaged(notebook.place, *DAMAGED)


def _copy_file(path: Path, copy: Path) -> None:
    address = f"{path.resolve().as_uri()}?mode=ro"
    with (
        closing(sqlite3.connect(address, uri=True)) as source,
        closing(sqlite3.connect(copy)) as target,
    ):
        source.backup(target)

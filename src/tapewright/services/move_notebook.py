"""Move notebook: everything that is kept as one file, and back; and what is erased of it.

Holds:  archives, backups, the check of all that is kept and erasing, for the floors above.
Never:  how they are written and checked (storage).
"""

from tapewright.storage.archive import (
    Archive,
    archive_text,
    read_archive,
    read_archive_bytes,
    text_of,
)
from tapewright.storage.backup import backup, load_archive, restore
from tapewright.storage.check import Checked, Fault, check_notebook, sound_archive
from tapewright.storage.erasing import erase, sweep, where_named
from tapewright.storage.files import make_private
from tapewright.storage.notebook import open_damaged_copy
from tapewright.storage.taking_in import Counts, take_in

__all__ = [
    "Archive",
    "Checked",
    "Counts",
    "Fault",
    "archive_text",
    "backup",
    "check_notebook",
    "erase",
    "load_archive",
    "make_private",
    "open_damaged_copy",
    "read_archive",
    "read_archive_bytes",
    "restore",
    "sound_archive",
    "sweep",
    "take_in",
    "text_of",
    "where_named",
]

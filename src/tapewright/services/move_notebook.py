"""Move notebook: everything that is kept as one file, and back.

Holds:  archives and backups, for the floors above.
Never:  how they are written and checked (storage).
"""

from tapewright.storage.archive import Archive, archive_text, read_archive, read_archive_bytes
from tapewright.storage.backup import backup, load_archive, restore
from tapewright.storage.taking_in import Counts, take_in

__all__ = [
    "Archive",
    "Counts",
    "archive_text",
    "backup",
    "load_archive",
    "read_archive",
    "read_archive_bytes",
    "restore",
    "take_in",
]

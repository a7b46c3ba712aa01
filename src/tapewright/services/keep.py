"""Keep: the notebook and what it holds, for the floors above.

Holds:  the notebook's records; the body of an entry as what it must be.
Never:  how they are kept (storage).
"""

from typing import TypeVar

from tapewright.ground.errors import NotKept
from tapewright.storage.entries import Entry, RigPage, RigsAsked, Source, Write
from tapewright.storage.notebook import Notebook, open_notebook
from tapewright.storage.records import (
    KeptCalibration,
    KeptChange,
    KeptGroup,
    KeptHouse,
    KeptJob,
    KeptParked,
    KeptPrint,
    KeptPrinter,
    KeptRig,
    KeptSession,
    KeptSetup,
    KeptTape,
)

__all__ = [
    "Entry",
    "KeptCalibration",
    "KeptChange",
    "KeptGroup",
    "KeptHouse",
    "KeptJob",
    "KeptParked",
    "KeptPrint",
    "KeptPrinter",
    "KeptRig",
    "KeptSession",
    "KeptSetup",
    "KeptTape",
    "Notebook",
    "RigPage",
    "RigsAsked",
    "Source",
    "Write",
    "kept_as",
    "open_notebook",
]

Body = TypeVar("Body")


def kept_as(entry: Entry, kind: type[Body]) -> Body:
    """Body of an entry of one kind. NotKept if the entry is of another."""
    if not isinstance(entry.body, kind):
        raise NotKept(entry.id)
    return entry.body

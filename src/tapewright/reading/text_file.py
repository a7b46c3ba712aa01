"""Text file: bytes on disk, or of an open file, become text, or one sentence says why they cannot.

Holds:  missing, too large and wrongly encoded files; how the file of a tape's record ends.
Never:  what the text means.
"""

from collections.abc import Callable
from os import PathLike
from pathlib import Path
from typing import Any, Protocol

from tapewright.ground.checks import with_article
from tapewright.ground.errors import BadInput
from tapewright.words.unit_spellings import quoted


class OpenFile(Protocol):
    """A file opened for reading, as text or as bytes."""

    def read(self, size: int, /) -> Any:  # noqa: ANN401 — text or bytes
        """At most so much of it."""


FileSource = str | PathLike[str] | OpenFile
RECORD_ENDING = ".tape.json"  # of a tape's record; here, for help is told without numpy
BadFile = Callable[[str, str, str], BadInput]  # an error of place, what is wrong, and the mend


def load_text(path: FileSource, most_bytes: int, bad_file: BadFile) -> str:
    """Load a text file as UTF-8, with or without a byte order mark."""
    place = file_name(path)
    if not isinstance(path, str | PathLike):
        return _rest_of(path, most_bytes, bad_file)
    if "\n" in str(path):
        wrong = "this is a text of several lines, not the path of a file"
        raise bad_file("file", wrong, "Give its path, or io.StringIO(text)")
    try:
        with Path(path).open("rb") as file:
            raw = file.read(most_bytes + 1)
    except FileNotFoundError:
        raise bad_file(place, "there is no such file", "Check its name and folder") from None
    except IsADirectoryError:
        raise bad_file(place, "this is a folder, not a file", "Name the file inside it") from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        wrong = f"the file cannot be opened: {reason.lower()}"
        raise bad_file(place, wrong, "Check its name and who may read it") from None
    return _sized(raw, most_bytes, place, bad_file)


def _rest_of(file: OpenFile, most_bytes: int, bad_file: BadFile) -> str:
    """What is left to read of an open file."""
    place = file_name(file)
    if not callable(getattr(file, "read", None)):
        wrong = f"{with_article(type(file).__name__)} is no file"
        raise bad_file("file", wrong, "Give the path of a file, or a file opened for reading")
    try:
        raw = file.read(most_bytes + 1)
    except UnicodeDecodeError as error:
        wrong, mend = f"a letter is not {error.encoding}", 'Open it with encoding="utf-8"'
        raise bad_file(place, wrong, mend) from None
    except (OSError, ValueError) as error:
        wrong = f"it cannot be read: {str(error).lower()}"
        raise bad_file(place, wrong, "Open it for reading, and close it later") from None
    return _sized(raw.encode() if isinstance(raw, str) else raw, most_bytes, place, bad_file)


def _sized(raw: bytes, most_bytes: int, place: str, bad_file: BadFile) -> str:
    if len(raw) > most_bytes:
        lines = raw.count(b"\n")
        wrong = f"the file is larger than {most_bytes // 1000} kB ({lines} lines and more)"
        raise bad_file(place, wrong, "Check that it is the right one, or divide it")
    return decode_text(raw, place, bad_file)


def decode_text(raw: bytes, place: str, bad_file: BadFile) -> str:
    """Make text of the bytes of a file."""
    mend = "Save it again as UTF-8 (in most programs: save as, encoding UTF-8)"
    if raw.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise bad_file(place, "the file is saved as UTF-16", mend)
    if b"\x00" in raw:
        raise bad_file(place, "the file is not text: it holds zero bytes", mend)
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        wrong = (
            f"a letter is not UTF-8 (byte {raw[error.start]:#04x}); the file has an older encoding"
        )
        raise bad_file(f"{place}, line {line}", wrong, mend) from None


def file_name(path: FileSource) -> str:
    """Name of a file as errors show it."""
    if not isinstance(path, str | PathLike):
        name = getattr(path, "name", "")
        path = name if isinstance(name, str) and name else "file"
    return quoted(Path(path).name or str(path)).strip('"')


def folder_of(path: FileSource) -> Path | None:
    """Folder in which a file lies; None where nobody knows."""
    if not isinstance(path, str | PathLike):
        path = getattr(path, "name", "")
    return Path(path).parent if isinstance(path, str | PathLike) and str(path) else None

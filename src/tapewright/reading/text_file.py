"""Text file: bytes on disk become text, or one sentence says why they cannot.

Holds:  missing, too large and wrongly encoded files.
Never:  what the text means.
"""

from collections.abc import Callable
from pathlib import Path

from tapewright.ground.errors import BadInput
from tapewright.words.unit_names import quoted

BadFile = Callable[[str, str, str], BadInput]  # an error of place, what is wrong, and the mend


def load_text(path: Path, most_bytes: int, bad_file: BadFile) -> str:
    """Load a text file as UTF-8, with or without a byte order mark."""
    place = file_name(path)
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


def file_name(path: Path) -> str:
    """Name of a file as errors show it."""
    return quoted(Path(path).name or str(path)).strip('"')

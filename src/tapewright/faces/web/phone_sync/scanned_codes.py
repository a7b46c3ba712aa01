"""Scanned codes: what a phone shows as codes to scan, put together again.

Each code holds ``TAPEWRIGHT:2/3:1a2b3c4d:d:…``: which of how many, the CRC-32 of the whole text,
``d`` for deflated or ``p`` for plain, and a piece of it in letters. The checksum tells which codes
belong together and whether the whole is right; their order is no matter, nor how often one is read.

Holds:  codes → texts.
Never:  pictures of codes (photograph/codes.py), what a text means (take_in.py).
Source: base64url, RFC 4648 §5; deflate, RFC 1951; CRC-32, as in RFC 1952 §8.
"""

import re
import zlib
from base64 import urlsafe_b64decode

from tapewright.ground.errors import BadInput

FRAME = re.compile(r"TAPEWRIGHT:(\d{1,4})/(\d{1,4}):([0-9a-f]{8}):([dp]):([A-Za-z0-9_-]+)")
MOST_BYTES = 2_000_000  # of a text


def joined_frames(text: str, place: str) -> tuple[str, ...]:
    """Texts whose codes stand in a text. BadInput names the codes that are missing or damaged."""
    wholes: dict[tuple[str, str, str], dict[int, str]] = {}
    for index, total, checksum, packing, piece in FRAME.findall(text):
        wholes.setdefault((checksum, total, packing), {})[int(index)] = piece
    return tuple(_joined(key, pieces, place) for key, pieces in wholes.items())


def _joined(key: tuple[str, str, str], pieces: dict[int, str], place: str) -> str:
    checksum, total, packing = key
    if missing := [str(one) for one in range(1, int(total) + 1) if one not in pieces]:
        wrong = f"of {total} codes not all were read: missing {', '.join(missing)}"
        raise BadInput(place, wrong, "Add them; what was read stays here")
    letters = "".join(pieces[one] for one in sorted(pieces) if one <= int(total))
    try:
        raw = urlsafe_b64decode(letters + "=" * (-len(letters) % 4))
        found = _inflated(raw) if packing == "d" else raw
        whole = found.decode() if f"{zlib.crc32(found):08x}" == checksum else ""
    except (ValueError, zlib.error):
        whole = ""
    if not whole:
        wrong = f"the {total} codes of {checksum} do not fit together"
        raise BadInput(place, wrong, "Read them again, each once")
    return whole


def _inflated(raw: bytes) -> bytes:
    unpacking = zlib.decompressobj(-zlib.MAX_WBITS)
    found = unpacking.decompress(raw, MOST_BYTES)
    if unpacking.unconsumed_tail:
        raise ValueError(len(raw))
    return found

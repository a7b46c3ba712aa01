"""File log: whether what SQLite wrote beside a file (its name ends in -wal) is whole.

SQLite itself stops reading this log at the first frame that is damaged and says nothing, so saves
that were confirmed would vanish. A file beside it (-shm) tells how many frames were confirmed; it
survives a kill of the program, and after a power failure it may be stale.

Holds:  the refusal of a log in which confirmed frames are damaged or missing.
Never:  opening the notebook; writing.
Source: "Database File Format" §4 and "WAL-mode File Format", of SQLite's own documentation.
"""

import struct
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from time import sleep

import numpy as np

from tapewright.storage.sums import Damaged

_HEAD, _FRAME = 32, 24  # bytes of the log's head, and of each frame's
_MAGIC = 0x377F0682  # the last bit says whether words are read with the high byte first
_VERSION = 3_007_000
_TRIES, _PAUSE_S = 5, 0.02  # somebody may be writing it just now
_INDEX_HEAD = 48
_WORD = 0xFFFFFFFF


@dataclass(frozen=True, slots=True)
class _Confirmed:
    """What the file -shm tells of the log.

    Parameters
    ----------
    frames : int
        Frames that the log must hold, 0 if all of them are in the notebook's file by now. [-]
    salts : bytes
        Which log it speaks of.
    """

    frames: int
    salts: bytes


def refuse_damaged_log(path: Path) -> None:
    """Refuse a notebook whose log lost what was confirmed.

    Raises
    ------
    Damaged
        If a frame of the log is damaged or missing whose save may have been confirmed.
    """
    for attempt in range(_TRIES):
        wrong = _wrong(path)
        if not wrong:
            return
        if attempt + 1 < _TRIES:
            sleep(_PAUSE_S)
    raise Damaged(f"the file {path.name}-wal, which belongs to it", wrong)


def _wrong(path: Path) -> str:
    """What is wrong with the log; empty: nothing."""
    index = Path(f"{path}-shm")
    there = index.exists()
    confirmed = _confirmed(index.read_bytes()) if there else None  # before the log, which grows
    log = Path(f"{path}-wal")
    written = log.read_bytes() if log.exists() else b""
    if len(written) <= _HEAD:
        if confirmed is not None and confirmed.frames:
            return "the last saves stood in it, and it is missing or empty"
        return "it was cut short" if written and not there else ""
    page, salts = _head(written)
    if not page:
        return "its beginning is damaged, so the last saves in it cannot be read"
    sound = _sound_frames(written, page)
    if confirmed is not None and confirmed.salts == salts:
        return "" if sound >= confirmed.frames else _lost(sound)
    return _told_by_itself(written, page, sound, is_stale=there)


def _lost(sound: int) -> str:
    return f"it is damaged after its frame {sound}, so the last saves in it cannot be read"


def _told_by_itself(written: bytes, page: int, sound: int, *, is_stale: bool) -> str:
    """What the log alone tells. After a power failure its last save may be torn: it was none."""
    salts = written[16:24]
    size = _FRAME + page
    heads = [written[at : at + _FRAME] for at in range(_HEAD + sound * size, len(written), size)]
    ours = [
        head
        for head in heads
        if len(head) == _FRAME and (head[8:12] == salts[:4] or head[12:16] == salts[4:])
    ]
    if not is_stale:
        partly = (len(written) - _HEAD) % size
        return _lost(sound) if ours or partly else ""
    ends = [place for place, head in enumerate(ours) if head[4:8] != bytes(4)]
    return _lost(sound) if ends and ends[0] + 1 < len(ours) else ""


def _confirmed(index: bytes) -> _Confirmed | None:
    """What the file -shm tells; None if it tells nothing that can be relied on."""
    head = index[:_INDEX_HEAD]
    if len(index) < 136 or head != index[_INDEX_HEAD : 2 * _INDEX_HEAD]:
        return None
    cells = struct.unpack("=IIIBBHIIIIIIII", head)
    version, is_there, frames, sums = cells[0], cells[3], cells[6], cells[12:14]
    words = np.frombuffer(head[:40], dtype=np.uint32)
    if version != _VERSION or not is_there or _sum((0, 0), words) != sums:
        return None
    (carried_over,) = struct.unpack("=I", index[96:100])
    return _Confirmed(frames if frames > carried_over else 0, head[32:40])


def _head(written: bytes) -> tuple[int, bytes]:
    """Bytes of a page, and the log's salts; 0 if its head is damaged."""
    magic, version, page = struct.unpack(">III", written[:12])
    if magic & ~1 != _MAGIC or version != _VERSION or page & (page - 1) or not 512 <= page <= 65536:
        return 0, b""
    words = np.frombuffer(written[:24], dtype=_words_of(written))
    fits = _sum((0, 0), words) == struct.unpack(">II", written[24:32])
    return (page if fits else 0), written[16:24]


def _words_of(written: bytes) -> str:
    return ">u4" if written[3] & 1 else "<u4"


def _sound_frames(written: bytes, page: int) -> int:
    """How many frames from the first on are as they were written. [-]"""
    size = _FRAME + page
    frames = (len(written) - _HEAD) // size
    raw = np.frombuffer(written, dtype=np.uint8, count=frames * size, offset=_HEAD)
    table = raw.reshape(frames, size)
    summed = np.concatenate([table[:, :8], table[:, _FRAME:]], axis=1)
    words = np.ascontiguousarray(summed).view(_words_of(written)).astype(np.uint32)
    first, second, step = _steps(words.shape[1] // 2)
    own = [
        ((words * row).sum(axis=1, dtype=np.uint32)).astype(np.uint32).tolist()
        for row in (first, second)
    ]
    told = table[:, 16:24].copy().view(">u4").tolist()
    salts = table[:, 8:16].copy()
    one, other = struct.unpack(">II", written[24:32])
    for place in range(frames):
        one, other = (
            (step[0] * one + step[1] * other + own[0][place]) & _WORD,
            (step[1] * one + step[2] * other + own[1][place]) & _WORD,
        )
        if [one, other] != told[place] or salts[place].tobytes() != written[16:24]:
            return place
    return frames


def _sum(begin: tuple[int, int], words: np.ndarray) -> tuple[int, int]:
    """SQLite's sum over words, two at a time."""
    one, other = begin
    cells = words.tolist()
    for even, odd in zip(cells[::2], cells[1::2], strict=True):
        one = (one + even + other) & _WORD
        other = (other + odd + one) & _WORD
    return one, other


@lru_cache(maxsize=4)
def _steps(pairs: int) -> tuple[np.ndarray, np.ndarray, tuple[int, int, int]]:
    """What each word adds to the two sums after so many pairs, and what the sums before do.

    The sum is linear: a pair (a, b) turns (s, t) into (s + t + a, s + 2 t + a + b), all modulo
    2³², so a frame's own part is a product with numbers that are the same for every frame.
    """
    first, second = np.zeros(2 * pairs, np.uint32), np.zeros(2 * pairs, np.uint32)
    one, mixed, other = 1, 0, 1  # the power of [[1, 1], [1, 2]] for the pairs that follow
    for pair in reversed(range(pairs)):
        first[2 * pair], second[2 * pair] = (one + mixed) & _WORD, (mixed + other) & _WORD
        first[2 * pair + 1], second[2 * pair + 1] = mixed, other
        one, mixed, other = (
            (one + mixed) & _WORD,
            (one + 2 * mixed) & _WORD,
            (mixed + 2 * other) & _WORD,
        )
    return first, second, (one, mixed, other)

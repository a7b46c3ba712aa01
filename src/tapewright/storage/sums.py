"""Sums: a checksum for every row, so that neither a changed nor a lost one passes for sound.

    version n: salted body ──► its sum ┐
    version n − 1: its sum ────────────┴─► its sum ──► … ──► entry: its cells and the last sum
    verdict on a rig: the sum of its last version and what was said of that (verdicts.py)
    tally: how many entries of each kind there are, standing and withdrawn, for every rig

A version's sum covers the sum of the one before it, an entry's sum that of its latest version, and
a tally the number of entries; so each loss shows on whatever is left. The body goes in by way of a
salted sum of its own: a body that is erased leaves that sum in its place, and once the salt is gone
nobody can guess from it what the body was, while the chain holds.

The sums are against accidents and slips, not against forgers, who can write new ones.
What each covers never changes: a later schema that adds cells adds a sum of its own.

Holds:  the sums; salts; the exception that names what does not fit.
Never:  tables, queries (queries.py), counting (tallies.py), sentences about files (trouble.py).
"""

import re
import secrets
from collections.abc import Iterable
from functools import lru_cache
from hashlib import sha256

from tapewright.storage.entries import Source

_ERASED = re.compile(r'\{"salted":"([0-9a-f]{64})"\}')

__all__ = [
    "Damaged",
    "entry_sum",
    "new_salt",
    "salted_sum",
    "tally_sum",
    "verdict_sum",
    "version_sum",
]


class Damaged(Exception):
    """What is kept is not what was written.

    Parameters
    ----------
    where : str
        What of the notebook, in words.
    wrong : str
        What is wrong with it, as a sentence without its full stop.
    """

    def __init__(self, where: str, wrong: str) -> None:
        super().__init__(f"{where}: {wrong}")
        self.where, self.wrong = where, wrong


def new_salt() -> str:
    """Thirty-two hexadecimal digits that nobody can guess."""
    return secrets.token_hex(16)


def salted_sum(salt: str | None, body: str) -> str:
    """Sum of a body that does not betray it once its salt is gone.

    Without a salt the body was erased, and the sum is all that stands in its place.
    """
    if salt is not None:
        return _sum("body", salt, body)
    left = _ERASED.fullmatch(body) if isinstance(body, str) else None
    return left[1] if left else "unreadable"


def version_sum(
    entry_id: str,
    number: int,
    saved_at: str,
    sources: Iterable[Source],
    before: str | None,
    salted: str,
) -> str:
    """Sum of a version; ``before`` is that of the version before it, None for the first."""
    made_from = " ".join(f"{one.entry_id}:{one.number}" for one in sorted(sources))
    return _sum("version", entry_id, number, saved_at, made_from, before, salted)


@lru_cache(maxsize=4096, typed=True)  # a list asks for each twice; 1.0 is another cell than 1
def entry_sum(
    entry_id: str,
    kind: str,
    rig_id: str | None,
    added_at: str,
    latest: int,
    withdrawn_at: str | None,
    head: str | None,
) -> str:
    """Sum of an entry; ``head`` is that of its latest version."""
    return _sum("entry", entry_id, kind, rig_id, added_at, latest, withdrawn_at, head)


def verdict_sum(entry_id: str, head: str | None, verdict: str | None) -> str:
    """Sum of a verdict on the version whose sum is ``head``."""
    return _sum("verdict", entry_id, head, verdict)


def tally_sum(scope: str, entries: int, counts: str) -> str:
    """Sum of a tally."""
    return _sum("tally", scope, entries, counts)


def _sum(*cells: object) -> str:
    """Sum over cells of a row; of what nobody wrote there, a sum that fits nothing."""
    try:
        written = "\n".join([one if isinstance(one, str) else _cell(one) for one in cells])
        return sha256(written.encode()).hexdigest()
    except (TypeError, UnicodeEncodeError):
        return "unreadable"


def _cell(value: object) -> str:
    if value is None:
        return "-"
    if isinstance(value, int):
        return str(value)
    raise TypeError(value)

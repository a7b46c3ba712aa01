"""Passcode: who may come in from the local network.

Only a hash of the passcode is kept, in a file beside the notebook that only its owner may read; a
cookie is signed with a key of the same file. Guessing is slowed: after a few wrong ones an
address must wait, and everybody together may not guess faster than a fixed rate.

Holds:  the Passcode; its file; the limit on guesses.
Never:  pages, headers.
Source: scrypt, RFC 7914; its cost as recommended there for interactive use.
"""

import hashlib
import hmac
import json
import os
import secrets
import time
from collections import defaultdict, deque
from dataclasses import dataclass
from pathlib import Path
from threading import Lock

from tapewright.ground.errors import BadInput

COOKIE = "tapewright_pass"
DAYS = 60
COST, BLOCK, SIDE_BY_SIDE = 2**14, 8, 1  # RFC 7914 §2
FEWEST_LETTERS, MOST_LETTERS = 6, 200
GUESSES, WINDOW_S = 5, 60.0  # of one address
GUESSES_OF_ALL = 30


@dataclass(frozen=True, slots=True)
class Passcode:
    """A passcode as it is kept.

    Parameters
    ----------
    salt, digest : bytes
        Of the passcode.
    key : bytes
        With which cookies are signed.
    """

    salt: bytes
    digest: bytes
    key: bytes

    def is_right(self, typed: str) -> bool:
        """Whether somebody typed the passcode."""
        return hmac.compare_digest(_digest(typed[:MOST_LETTERS], self.salt), self.digest)

    def cookie(self, until: int) -> str:
        """Cookie that is valid until a time in seconds since 1970."""
        return f"{until}.{self._signature(until)}"

    def is_valid_cookie(self, cookie: str, now_s: float | None = None) -> bool:
        """Whether a cookie was signed here and is not too old."""
        until, _, signature = cookie.partition(".")
        if not (until.isascii() and until.isdigit() and len(until) < 15):
            return False
        right = hmac.compare_digest(self._signature(int(until)).encode(), signature.encode())
        return right and int(until) > (time.time() if now_s is None else now_s)

    def _signature(self, until: int) -> str:
        return hmac.new(self.key, str(until).encode(), hashlib.sha256).hexdigest()


class Guesses:
    """How often somebody may guess."""

    def __init__(self) -> None:
        self._lock = Lock()
        self._wrong: dict[str, deque[float]] = defaultdict(deque)

    def wait_s(self, address: str, now_s: float) -> float:
        """Seconds to wait before another guess; 0 for none. [s]"""
        with self._lock:
            limits = ((address, GUESSES), ("", GUESSES_OF_ALL))
            return max(self._left(self._wrong[one], most, now_s) for one, most in limits)

    def note_wrong(self, address: str, now_s: float) -> None:
        """Remember a wrong guess."""
        with self._lock:
            if len(self._wrong) > 10_000:
                self._wrong.clear()
            for one in (address, ""):
                self._wrong[one].append(now_s)

    @staticmethod
    def _left(wrong: deque[float], most: int, now_s: float) -> float:
        while wrong and wrong[0] <= now_s - WINDOW_S:
            wrong.popleft()
        return wrong[-most] + WINDOW_S - now_s if len(wrong) >= most else 0.0


def new_passcode(typed: str) -> Passcode:
    """Passcode ready to be kept.

    Raises
    ------
    BadInput
        If it is too short to keep anybody out.
    """
    if not FEWEST_LETTERS <= len(typed) <= MOST_LETTERS:
        wrong = f"a passcode of {len(typed)} letters is too short or too long"
        raise BadInput("passcode", wrong, f"Choose {FEWEST_LETTERS} to {MOST_LETTERS} letters")
    salt = secrets.token_bytes(16)
    return Passcode(salt, _digest(typed, salt), secrets.token_bytes(32))


def save_passcode(passcode: Passcode, path: Path) -> None:
    """Keep a passcode's hash where only its owner may read it."""
    path.parent.mkdir(parents=True, exist_ok=True)
    written = {one: getattr(passcode, one).hex() for one in ("salt", "digest", "key")}
    draft = path.with_name(f"{path.name}.part")
    with os.fdopen(os.open(draft, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600), "w") as file:
        json.dump(written, file)
    draft.replace(path)


def load_passcode(path: Path) -> Passcode | None:
    """Passcode kept in a file; None if there is none.

    Raises
    ------
    BadInput
        If the file holds something else.
    """
    try:
        said = json.loads(path.read_text(encoding="utf-8"))
        return Passcode(*(bytes.fromhex(said[one]) for one in ("salt", "digest", "key")))
    except FileNotFoundError:
        return None
    except (ValueError, KeyError, TypeError):
        mend = "Delete the file and choose a passcode anew"
        raise BadInput(str(path), "this is no passcode of this program", mend) from None


def _digest(typed: str, salt: bytes) -> bytes:
    return hashlib.scrypt(typed.encode(), salt=salt, n=COST, r=BLOCK, p=SIDE_BY_SIDE)

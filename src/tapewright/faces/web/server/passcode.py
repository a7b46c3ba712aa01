"""Passcode: who may come in from the local network.

Only a hash of the passcode is kept, in a file beside the notebook that only its owner may read; a
cookie is signed with a key of the same file. A passcode must be none of those that are tried
first, for five guesses a minute are enough to try them.

Holds:  the Passcode; its file; what makes one weak, and what is told of that; how many guesses
        there are.
Never:  pages, headers; counting guesses (storage/guesses.py).
Source: scrypt, RFC 7914; its cost as recommended there for interactive use. Commonest passcodes:
        from memory.
"""

import hashlib
import hmac
import json
import secrets
import time
from dataclasses import dataclass
from pathlib import Path

from tapewright.faces.web.server.private_file import write_private
from tapewright.ground.errors import BadInput

# Of http and of https: a browser lets no page of http replace a cookie that https alone may see.
COOKIES = ("tapewright_pass", "tapewright_pass_https")
DAYS = 60
COST, BLOCK, SIDE_BY_SIDE = 2**14, 8, 1  # RFC 7914 §2
FEWEST_LETTERS, MOST_LETTERS = 8, 200
FEWEST_KINDS = 5  # different letters
GUESSES, WINDOW_S = 5, 60.0  # of one address
HASHED_AT_ONCE, MOST_TO_HASH = 2, 30  # 50 ms and 16 MB each: the last in line waits a second
RULE = "strength"  # stands in the file of a passcode that was looked at when it was chosen
ROWS = ("abcdefghijklmnopqrstuvwxyz", "01234567890", "qwertyuiop", "qwertzuiop", "asdfghjkl",
        "zxcvbnm", "yxcvbnm", "1qaz2wsx3edc4rfv5tgb", "1q2w3e4r5t6z7u")  # fmt: skip
TRIED_FIRST = frozenset(
    """
    password passwort passcode passwd pass secret changeme letmein welcome admin administrator root
    login user guest test testing default master iloveyou sunshine princess football baseball
    basketball soccer dragon monkey shadow freedom whatever computer internet summer winter autumn
    spring flower cheese butterfly hello trustnoone lovely forever killer pepper archery archer
    arrow arrows bullseye target bowhunter bowhunting compound recurve crossbow tapewright sighttape
    notebook
    """.split()  # noqa: SIM905 — words read as words
)
COMMONEST_BEFORE = tuple(  # of six letters or more, which was all that 0.1 asked for
    """
    123456 1234567 12345678 123456789 1234567890 111111 000000 123123 654321 666666 121212 112233
    qwerty abc123 abcdef password password1 passw0rd iloveyou letmein welcome dragon monkey secret
    archer archery arrows target bullseye tapewright
    """.split()  # noqa: SIM905 — the same
)
ORNAMENTS = "0123456789 !?.-_#*"
LEET = str.maketrans("013457$@!", "oieastsai")


@dataclass(frozen=True, slots=True)
class Passcode:
    """A passcode as it is kept."""

    salt: bytes  # of the passcode
    digest: bytes
    key: bytes  # with which cookies are signed
    # Whether its strength was judged when it was chosen; before 0.2.0 only its length was
    is_looked_at: bool = True

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


def weakness(typed: str) -> str:
    """What makes a passcode one of those that are tried first; empty if nothing does."""
    plain = typed.strip().casefold()
    if not FEWEST_LETTERS <= len(plain) <= MOST_LETTERS:
        return f"a passcode of {len(plain)} letters is too short or too long"
    if len(set(plain)) < FEWEST_KINDS:
        return f"a passcode of only {len(set(plain))} different letters is soon guessed"
    if _is_made_of_runs(plain):
        return "letters in a row, as on a keyboard or in the alphabet, are soon guessed"
    bare = plain.strip(ORNAMENTS)
    words = {bare, bare.translate(LEET), plain.translate(LEET).strip(ORNAMENTS)}
    words |= {one[: len(one) // 2] for one in words if one[: len(one) // 2] * 2 == one}
    if words & TRIED_FIRST:
        return "one of the commonest words, with or without figures, is soon guessed"
    return ""


def _is_made_of_runs(plain: str) -> bool:
    """Whether pieces of three letters or more in a row make up nearly all of it."""
    pieces = [plain[at : at + 3] for at in range(len(plain) - 2)]
    rows = ROWS + tuple(row[::-1] for row in ROWS)
    in_rows = sum(any(piece in row for row in rows) or piece == piece[0] * 3 for piece in pieces)
    return in_rows >= 0.6 * len(pieces)


def is_commonest(passcode: Passcode) -> bool:
    """Whether an older passcode is one that anybody would try first; takes a second or two."""
    return any(passcode.is_right(one) for one in COMMONEST_BEFORE)


def passcode_words(path: Path) -> str:
    """What to tell of a passcode that was chosen before."""
    passcode = passcode_of(path)
    if passcode is None or passcode.is_looked_at:
        return "The passcode is the one chosen before; --new-passcode chooses another."
    if is_commonest(passcode):
        wrong = "the passcode chosen before is one of the commonest and soon guessed"
        raise BadInput("passcode", wrong, "Choose another: start once with --new-passcode")
    return (
        "The passcode was chosen before its strength was looked at. If it has fewer than"
        f" {FEWEST_LETTERS} letters or is a common word, choose another with --new-passcode."
    )


def new_passcode(typed: str) -> Passcode:
    """Passcode ready to be kept."""
    wrong = weakness(typed)
    if wrong:
        mend = (
            f"Choose {FEWEST_LETTERS} to {MOST_LETTERS} letters, such as three words that do not"
            " belong together, or press Enter and have one made"
        )
        raise BadInput("passcode", wrong, mend)
    salt = secrets.token_bytes(16)
    return Passcode(salt, _digest(typed, salt), secrets.token_bytes(32))


def save_passcode(passcode: Passcode, path: Path) -> None:
    """Keep a passcode's hash where only its owner may read it."""
    path.parent.mkdir(parents=True, exist_ok=True)
    written: dict[str, str | int] = {
        one: getattr(passcode, one).hex() for one in ("salt", "digest", "key")
    }
    if passcode.is_looked_at:
        written[RULE] = 1
    write_private(path, json.dumps(written).encode())


def passcode_of(path: Path) -> Passcode | None:
    """Passcode kept in a file; None if there is none."""
    try:
        said = json.loads(path.read_text(encoding="utf-8"))
        salt, digest, key = (bytes.fromhex(said[one]) for one in ("salt", "digest", "key"))
        return Passcode(salt, digest, key, is_looked_at=said.get(RULE) == 1)
    except FileNotFoundError:
        return None
    except (ValueError, KeyError, TypeError):
        mend = "Delete the file and choose a passcode anew"
        raise BadInput(str(path), "this is no passcode of this program", mend) from None


def choose_passcode(path: Path, typed: str) -> None:
    """Keep a passcode; everybody who came in with an older one must enter it anew."""
    save_passcode(new_passcode(typed), path)


def _digest(typed: str, salt: bytes) -> bytes:
    return hashlib.scrypt(typed.encode(), salt=salt, n=COST, r=BLOCK, p=SIDE_BY_SIDE)

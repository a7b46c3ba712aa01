"""Console encoding: on a console that has not all signs, something readable stands in for them.

A console of an older encoding has no minus sign, no arrow and no foreign letters.  What it lacks is
spelt with what it has (−5 ± 2 as -5 +- 2); nothing is left out, and nothing ends in a fault.

Holds:  stand-ins for single signs; standard streams made to take them.
Never:  what is written into files, which are UTF-8 always.
"""

import codecs
import sys
import unicodedata
from io import TextIOWrapper

NAME = "tapewright-plain"  # of the rule for signs that are missing, and of ASCII with that rule
SIGNS = {
    "\N{MINUS SIGN}": "-", "\N{EN DASH}": "-", "\N{EM DASH}": "-", "\N{HYPHEN}": "-",
    "±": "+-", "×": "x", "·": "*", "°": "deg", "\N{FRACTION SLASH}": "/",
    "“": '"', "”": '"', "„": '"', "‘": "'", "’": "'", "′": "'", "″": '"',
    "→": "->", "←": "<-", "↑": "^", "↓": "v", "↩": "<-", "≈": "~", "≤": "<=", "≥": ">=",
    "∞": "infinite", "√": "root ",
}  # fmt: skip
APART = {"<fraction>": " ", "<super>": "^"}
LINES = {"HORIZONTAL": "-", "VERTICAL": "|"}  # rules of tables; what joins them is a plus


def stand_in(sign: str) -> str:
    """What stands for a sign where it is missing, in letters that every console has."""
    if sign in SIGNS:
        return SIGNS[sign]
    name = unicodedata.name(sign, "")
    if name.startswith("BOX DRAWINGS"):
        return "+" if " AND " in name else LINES.get(name.split()[-1], "+")
    parts = unicodedata.normalize("NFKD", sign)
    if parts != sign:  # a letter with marks, ½, ², …
        return "".join(stand_in(part) if not part.isascii() else part for part in parts)
    if unicodedata.combining(sign):
        return ""
    if "LETTER" in name:  # ø is o with a stroke, σ is sigma
        letter = name.partition(" WITH ")[0].split()[-1]
        return letter.lower() if "SMALL" in name else letter.capitalize()
    return "?"


def _spelt(fault: UnicodeError) -> tuple[str, int]:
    if not isinstance(fault, UnicodeEncodeError):
        raise fault
    missing = range(fault.start, fault.end)
    return "".join(_between(fault.object, at) for at in missing), fault.end


def _between(text: str, at: int) -> str:
    """What stands for a sign of a text; behind a figure ¾ and ² stay apart from it."""
    sign = text[at]
    is_behind = text[at - 1 : at].isdecimal()
    apart = APART.get(unicodedata.decomposition(sign).partition(" ")[0], "") if is_behind else ""
    return apart + stand_in(sign)


def _ascii(name: str) -> codecs.CodecInfo | None:
    """ASCII by another name: click takes a stream that says ASCII for one that is set wrongly."""
    if name != NAME.replace("-", "_"):
        return None
    plain = codecs.lookup("ascii")
    return codecs.CodecInfo(
        plain.encode, plain.decode, plain.streamreader, plain.streamwriter,
        plain.incrementalencoder, plain.incrementaldecoder, NAME,
    )  # fmt: skip


codecs.register_error(NAME, _spelt)
codecs.register(_ascii)


def be_readable() -> None:
    """Make the standard streams take every sign, and take in letters of another encoding."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper):
            is_ascii = codecs.lookup(stream.encoding).name == "ascii"
            stream.reconfigure(encoding=NAME if is_ascii else None, errors=NAME)
    if isinstance(sys.stdin, TextIOWrapper):
        sys.stdin.reconfigure(errors="replace")


def has_sign(sign: str) -> bool:
    """Whether standard output has a sign."""
    try:
        sign.encode(sys.stdout.encoding or "ascii")
    except UnicodeEncodeError:
        return False
    return True

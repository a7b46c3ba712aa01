"""Lettering: how wide words are, and the outline of each letter.

The tables beside the fonts were measured from the very faces that pdf.py
embeds, so that a width worked out here is the width on paper.

Holds:  widths, line breaks, which letters the fonts have, outlines.
Never:  a font library; where words stand on a sheet.
Source: fonts/ as written by builders/build_fonts.py from DejaVu Sans Condensed 2.37; its figures
        have a stroke of a sixth of their height [HDBK791].
"""

import json
import unicodedata
from functools import cache, lru_cache
from importlib.resources import files
from typing import Any

ELLIPSIS = "\N{HORIZONTAL ELLIPSIS}"
CAP = 1493 / 2048  # height of a capital or digit in ems; tested against the fonts


@cache
def _table(name: str) -> dict[str, Any]:
    """One of the tables beside the fonts."""
    words = files("tapewright.drawing").joinpath(f"fonts/{name}.json").read_text("utf-8")
    table: dict[str, Any] = json.loads(words)
    return table


def _face(bold: bool, figures: str) -> str:  # noqa: FBT001 - the same words as in Text
    return figures or ("bold" if bold else "regular")


@lru_cache(maxsize=4096)  # each number and label of a sheet is measured many times
def printable(words: str) -> str:
    """Words in letters that the fonts have.

    Parameters
    ----------
    words : str
        Anything a person typed.

    Returns
    -------
    str
        One line; white space is a plain blank, accents are joined to their letters, or left out
        where only the letter alone can be written; of what is left an ellipsis tells that
        something is missing.  A name that must be whole is asked about with `is_printable`.
    """
    advances = _table("lettering")["advances"]["regular"]
    written: list[str] = []
    for letter in _composed(words):
        bare = unicodedata.normalize("NFKD", letter)[0]
        if fitting := next((one for one in (letter, bare) if one in advances), ""):
            written.append(fitting)
        elif written[-1:] != [ELLIPSIS] and not unicodedata.combining(letter):
            written.append(ELLIPSIS)
    return "".join(written)


def is_printable(words: str) -> bool:
    """Whether the fonts have every letter of some words, accents and all.

    Parameters
    ----------
    words : str
        Anything a person typed.

    Returns
    -------
    bool
        Whether they are printed as they are, but for white space.
    """
    advances: dict[str, float] = _table("lettering")["advances"]["regular"]
    return set(_composed(words)) <= advances.keys()


def _composed(words: str) -> str:
    """Words on one line, accents joined to their letters."""
    return unicodedata.normalize("NFC", " ".join(words.split()))


def width_mm(words: str, em_mm: float, *, bold: bool = False, figures: str = "") -> float:
    """Width of one line of words, from the first letter's origin to the last one's end.

    Parameters
    ----------
    words : str
        The words; letters that the fonts lack count as their replacement.
    em_mm : float
        Size of the lettering. [mm]
    bold : bool, default False
        The bold face.
    figures : str, default ""
        ``"figures"`` or ``"narrow"``: a face of digits, whatever is bold.

    Returns
    -------
    float
        The width. [mm]
    """
    return sum(advances_mm(words, em_mm, bold=bold, figures=figures))


def advances_mm(words: str, em_mm: float, *, bold: bool = False, figures: str = "") -> list[float]:
    """How far each letter moves the pen.

    Parameters
    ----------
    words : str
        The words; letters that the fonts lack count as their replacement.
    em_mm : float
        Size of the lettering. [mm]
    bold : bool, default False
        The bold face.
    figures : str, default ""
        ``"figures"`` or ``"narrow"``: a face of digits, whatever is bold.

    Returns
    -------
    list of float
        One for each letter of ``printable(words)``. [mm]
    """
    table = _table("lettering")
    advances = table["advances"][_face(bold, figures)]
    scale = em_mm / table["units_per_em"]
    return [advances[letter] * scale for letter in printable(words)]


def ink_mm(words: str, em_mm: float, figures: str) -> float:
    """Width of the ink of a number: its pen way without the white before and behind it.

    Parameters
    ----------
    words : str
        Digits.
    em_mm : float
        Size of the lettering. [mm]
    figures : str
        ``"figures"`` or ``"narrow"``.

    Returns
    -------
    float
        The width. [mm]
    """
    white = _table("lettering")["whites"][figures]
    return width_mm(words, em_mm, figures=figures) - em_mm * float(white) / units_per_em()


def outline(letter: str, *, bold: bool = False, figures: str = "") -> str:
    """Outline of one letter as path text, y up, 2048 units to the em.

    Parameters
    ----------
    letter : str
        One letter that ``printable`` lets through.
    bold : bool, default False
        The bold face.
    figures : str, default ""
        ``"figures"`` or ``"narrow"``: a face of digits, whatever is bold.

    Returns
    -------
    str
        Commands M, L, H, V, Q and Z with absolute numbers; empty for a blank.
    """
    return str(_table("outlines")[_face(bold, figures)][letter])


def units_per_em() -> int:
    """Font units in one em [-]."""
    return int(_table("lettering")["units_per_em"])


def wrapped(words: str, em_mm: float, room_mm: float, *, bold: bool = False) -> tuple[str, ...]:
    """Words broken into lines that fit.

    Parameters
    ----------
    words : str
        The words.
    em_mm : float
        Size of the lettering. [mm]
    room_mm : float
        Widest line allowed; a single word that is wider is shortened. [mm]
    bold : bool, default False
        The bold face.

    Returns
    -------
    tuple of str
        The lines; none for no words.
    """
    lines: list[str] = []
    for word in printable(words).split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and width_mm(longer, em_mm, bold=bold) <= room_mm:
            lines[-1] = longer
        else:
            lines.append(shortened(word, em_mm, room_mm, bold=bold))
    return tuple(lines)


def balanced(words: str, em_mm: float, room_mm: float, *, bold: bool = False) -> tuple[str, ...]:
    """Words broken into as few lines as fit, of much the same length.

    Parameters
    ----------
    words : str
        The words.
    em_mm : float
        Size of the lettering. [mm]
    room_mm : float
        Widest line allowed. [mm]
    bold : bool, default False
        The bold face.

    Returns
    -------
    tuple of str
        The lines; none for no words.
    """
    lines = wrapped(words, em_mm, room_mm, bold=bold)
    narrower_mm = room_mm - em_mm / 4.0
    while len(lines) > 1 and narrower_mm > room_mm / 2.0:
        tighter = wrapped(words, em_mm, narrower_mm, bold=bold)
        if len(tighter) > len(lines) or any(ELLIPSIS in line for line in tighter):
            break
        lines = tighter
        narrower_mm -= em_mm / 4.0
    return lines


def shortened(words: str, em_mm: float, room_mm: float, *, bold: bool = False) -> str:
    """Words, cut off with an ellipsis where they are too wide.

    Parameters
    ----------
    words : str
        The words.
    em_mm : float
        Size of the lettering. [mm]
    room_mm : float
        Widest line allowed. [mm]
    bold : bool, default False
        The bold face.

    Returns
    -------
    str
        What fits; at least the ellipsis.
    """
    fitting = printable(words)
    if width_mm(fitting, em_mm, bold=bold) <= room_mm:
        return fitting
    while fitting and width_mm(fitting + ELLIPSIS, em_mm, bold=bold) > room_mm:
        fitting = fitting[:-1].rstrip()
    return fitting + ELLIPSIS

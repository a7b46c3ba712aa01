"""Names: a name as it is looked for and put in order, whatever its capitals and accents.

Whoever types "muller" means Müller, and "MÜLLER" does too: small letters, no accents on Latin,
Greek and Cyrillic letters, one blank for many, plain dashes and apostrophes. Letters of other
scripts stay as they are, for there a mark can be a letter. "mueller" is another name: nobody can
tell it from a real ue.

Holds:  folding a name; how much of it is kept, and of what.
Never:  tables, what a name is shown as.
"""

from unicodedata import category, normalize

from tapewright.storage.records import Body, KeptRig

MOST_KEPT = 200  # characters: a key of PostgreSQL's index has room for 2,700 bytes

_FIRST_ACCENT, _LAST_ACCENT = "\u0300", "\u036f"  # combining marks of Latin, Greek and Cyrillic
_LETTERS = str.maketrans(
    {
        "æ": "ae", "œ": "oe", "ø": "o", "đ": "d", "ð": "d", "ħ": "h", "ı": "i", "ł": "l", "ŋ": "n",
        "þ": "th", "ŧ": "t",
        "‘": "'", "’": "'", "ʼ": "'", "‐": "-", "–": "-", "—": "-", "−": "-",
    }
)  # fmt: skip


def folded(name: str) -> str:
    """A name as it is looked for.

    Parameters
    ----------
    name : str
        As a person wrote it, or a part of it.

    Returns
    -------
    str
        At most MOST_KEPT characters; empty if nothing is left.

    Example
    -------
    >>> folded("  Jørgen  MÜLLER–Weiß ")
    'jorgen muller-weiss'

    Source
    ------
    Decomposition and case folding are those of the Unicode Standard (compatibility caseless
    matching, section 3.13); which marks and letters count as accents is our own choice.
    """
    text = normalize("NFKD", normalize("NFKD", name).casefold()).casefold()
    bare = (one for one in text if not _FIRST_ACCENT <= one <= _LAST_ACCENT)
    words = "".join(bare).translate(_LETTERS).split()
    # What cannot be seen cannot be looked for; a zero character no server would keep.
    seen = ("".join(one for one in word if category(one) not in {"Cc", "Cf"}) for word in words)
    return " ".join(word for word in seen if word)[:MOST_KEPT].rstrip()


def kept_name(body: Body) -> str | None:
    """A rig's name as lists look for it; None for everything else."""
    return folded(body.name) if isinstance(body, KeptRig) else None

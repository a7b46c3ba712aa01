"""Strip names: what neighbouring strips are called: by how much longer or shorter they are.

Holds:  a share as signed per cent; names of the likeliest strip and its neighbours; their lengths
        between two ticks, by which a print is measured.
Never:  names of ready-made strips, which are their owner's.
"""

from collections.abc import Sequence

from tapewright.words.number_format import told

LIKELIEST = "start here"
MOST_DIGITS = 3


def longer_words(share: float) -> str:
    """By how much one strip is longer than another, such as ``"+2 %"``."""
    percent = 100.0 * share
    digits = next((one for one in range(1, MOST_DIGITS) if round(percent, one)), MOST_DIGITS)
    text = told(percent, digits, signed=True)
    return f"{text.rstrip('0').rstrip('.')} %"


def strip_names(lengths_mm: Sequence[float]) -> tuple[str, ...]:
    """Names of strips of which the middle one is the likeliest."""
    middle = len(lengths_mm) // 2
    return tuple(
        LIKELIEST if place == middle else longer_words(length_mm / lengths_mm[middle] - 1.0)
        for place, length_mm in enumerate(lengths_mm)
    )


def check_words(between: tuple[float, float], lengths: str, unit: str = "") -> str:
    """Lengths from tick to tick, such as ``"from the tick 20 to the tick 60: 30.5 mm"``.

    With a unit, where a strip has no such ticks: ``"from 20 to 60 yd: 30.5 mm"``.
    """
    near, far = (f"{end:g}" for end in between)
    where = f"from {near} to {far} {unit}" if unit else f"from the tick {near} to the tick {far}"
    return f"{where}: {lengths}"


def lengths_told(lengths_mm: Sequence[float]) -> str:
    """Lengths of strips in mm, in as many digits as tell them apart."""
    digits = 1 if len({f"{one:.1f}" for one in lengths_mm}) == len(lengths_mm) else 2
    return ", ".join(f"{one:.{digits}f}" for one in lengths_mm) + " mm"

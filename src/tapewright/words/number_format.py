"""Number format: the one printer of numbers, for people and for programs.

Holds:  digits of a number, as many as are known; a minus sign that is one, no minus of a zero, no
        exponent; nothing that JSON cannot hold.
Never:  units (unit_system.py), sentences.
"""

from math import floor, isfinite, log10

NOTHING = "–"  # where no number can be told
STEPS = (5, 2, 1)
KNOWN = 3.0  # steps to half a band


def told(value: float | None, decimals: int, *, signed: bool = False) -> str:
    """A number as people read it; a sign before what is more than nothing, if signs matter.

    Example
    -------
    >>> told(-0.004, 2), told(-1.5, 1), told(1.5, 1, signed=True), told(float("nan"), 1)
    ('0.00', '−1.5', '+1.5', '–')
    """
    if value is None or not isfinite(value):
        return NOTHING
    rounded = round(float(value), decimals) + 0.0
    text = f"{rounded:{'+' if signed and rounded else ''}.{decimals}f}"
    return text.replace("-", "−")


def plain(value: float | None, decimals: int = 4) -> str:
    """A number that a person chose, without zeros that nobody wrote.

    Example
    -------
    >>> plain(18.0), plain(0.25), plain(-0.0)
    ('18', '0.25', '0')
    """
    text = told(value, decimals)
    return text.rstrip("0").rstrip(".") if "." in text else text


def known_step(half: float, least: float = 0.0) -> float:
    """Step in which a number is known: the coarsest of 1, 2, 5 that is a third of half its band.

    Example
    -------
    >>> known_step(3.0), known_step(0.9), known_step(0.4, 0.25), known_step(0.0)
    (1.0, 0.2, 0.25, 0.0)
    """
    if not (isfinite(half) and half > 0.0):
        return least
    wanted = half / KNOWN * (1.0 + 1e-12)
    power = 10.0 ** floor(log10(wanted))
    return max(next(step * power for step in STEPS if step * power <= wanted), least)


def known(value: float, half: float, *, least: float = 0.0, signed: bool = False) -> str:
    """A number in as many digits as are known of it, never finer than the least step told.

    Example
    -------
    >>> known(12.45, 3.0), known(31.247, 0.9), known(54.3, 40.0), known(-7.04, 0.05)
    ('12', '31.2', '50', '−7.04')
    """
    step = known_step(half, least)
    if not (step and isfinite(value)):
        return told(value, 2, signed=signed)
    decimals = max(0, -floor(log10(step) + 1e-9))
    if abs(round(step, decimals) - step) > 0.1 * step:  # a click of 0.25
        decimals += 1
    return told(round(value / step) * step, decimals, signed=signed)


def known_ends(low: float, high: float, *, least: float = 0.0) -> str:
    """Both ends of a band, in as many digits as are known.

    Example
    -------
    >>> known_ends(28.69, 29.33), known_ends(28.69, 29.33, least=0.25)
    ('28.7 to 29.3', '28.75 to 29.25')
    """
    half = 0.5 * (high - low)
    return f"{known(low, half, least=least)} to {known(high, half, least=least)}"


def chance_words(chance: float) -> str:
    """A chance in per cent that never claims certainty.

    Example
    -------
    >>> chance_words(0.98), chance_words(0.9999)
    ('98 %', 'over 99 %')
    """
    return "over 99 %" if chance > 0.994 else f"{100 * chance:.0f} %"


def counted(number: int, thing: str) -> str:
    """So many things, one of them without its s."""
    return f"{number} {thing}{'' if number == 1 else 's'}"


def written(value: float | None, decimals: int = 3) -> float | None:
    """A number for programs, rounded; None for what JSON cannot hold."""
    if value is None or not isfinite(value):
        return None
    return round(float(value), decimals) + 0.0

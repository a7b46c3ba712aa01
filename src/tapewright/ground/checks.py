"""Checks: a record or a call refuses what cannot be meant, and says place, value and mend.

The ends are wide: they catch a wrong unit or sign, not an unusual bow. What a person types has
narrower limits of its own.

Holds:  the Amount record; numbers, counts, choices, days, texts and records checked, made plain.
Never:  which ends a field has, units that people type.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from functools import cache
from math import inf, isfinite, isnan
from numbers import Integral, Real
from typing import TypeVar

from tapewright.ground.errors import BadInput

MOST_SHOWN = 40  # letters of what was given
Kind = TypeVar("Kind")


@dataclass(frozen=True, slots=True)
class Amount:
    """Between which ends a number lies, and how it is told.

    Parameters
    ----------
    low, high : float
        The ends. [SI]
    unit : str
        In words, as ``"metres"``; empty: a pure number.
    example : str
        A value that would be right, as it is typed in Python.
    """

    low: float
    high: float
    unit: str
    example: str

    @property
    def mend(self) -> str:
        """What would be right, without its full stop."""
        return f"Give it {f'in {self.unit}' if self.unit else 'bare'}, such as {self.example}"


def with_article(name: str) -> str:
    """The name of a kind of thing behind its article.

    Parameters
    ----------
    name : str
        Of a record or a class.

    Returns
    -------
    str
        Such as ``an Answer``.
    """
    return f"{'an' if name[:1].casefold() in 'aeiou' else 'a'} {name}"


def shown(value: object) -> str:
    """What was given, short enough for a sentence.

    Parameters
    ----------
    value : object
        Anything.

    Returns
    -------
    str
        A number or a text as it is, of others what they are.
    """
    if value is None or isinstance(value, bool | str | bytes):
        text = repr(value)
    elif isinstance(value, Real):
        text = f"{as_float(value):g}"
    else:
        return with_article(type(value).__name__)
    return text if len(text) <= MOST_SHOWN else f"{text[: MOST_SHOWN - 1]}…"


def as_float(value: Real) -> float:
    """A number as a float.

    Parameters
    ----------
    value : real number
        Of any kind.

    Returns
    -------
    float
        The number; inf, with its sign, for one that no float holds.
    """
    try:
        return float(value)
    except OverflowError:
        return -inf if value < 0 else inf


def checked_number(place: str, value: object, amount: Amount) -> float:
    """A number between its ends, as a float.

    Parameters
    ----------
    place : str
        Record and field, or call and argument.
    value : object
        What was given.
    amount : Amount
        What may be.

    Returns
    -------
    float
        The number.

    Raises
    ------
    BadInput
        If it is none, not finite or outside.
    """
    if isinstance(value, bool) or not isinstance(value, Real):
        raise BadInput(place, f"{shown(value)} is no number", amount.mend)
    number = as_float(value)
    if not isfinite(number):
        raise BadInput(place, f"{number:g} is not finite", amount.mend)
    if not amount.low <= number <= amount.high:
        ends = f"{amount.low:g} to {amount.high:g} {amount.unit}".rstrip()
        raise BadInput(place, f"{number:g} is outside {ends}", amount.mend)
    return number


def checked_count(place: str, value: object, low: int, high: int) -> int:
    """A whole number between its ends, as an int.

    Parameters
    ----------
    place : str
        Record and field, or call and argument.
    value : object
        What was given.
    low, high : int
        The ends. [-]

    Returns
    -------
    int
        The number.

    Raises
    ------
    BadInput
        If it is none or outside.
    """
    if isinstance(value, Integral) and not isinstance(value, bool):
        count = int(value)
        if low <= count <= high:
            return count
    wrong = f"{shown(value)} is not a whole number from {low} to {high}"
    raise BadInput(place, wrong, f"Give a count such as {low}")


def checked_choice(place: str, value: object, choices: Iterable[str | None]) -> None:
    """Refuse what is none of a few words.

    Parameters
    ----------
    place : str
        Record and field, or call and argument.
    value : object
        What was given.
    choices : iterable of str or None
        What may be.

    Raises
    ------
    BadInput
        If it is none of them.
    """
    known = tuple(choices)
    if not (value is None or isinstance(value, str)) or value not in known:
        offered = ", ".join(repr(one) for one in known)
        raise BadInput(place, f"{shown(value)} is none of its words", f"Give one of {offered}")


def is_day(text: str) -> bool:
    """Whether a text is a day of the calendar, written year-month-day.

    Parameters
    ----------
    text : str
        Such as ``"2026-05-14"``.

    Returns
    -------
    bool
        False for another way of writing it, and for the 30th of February.
    """
    try:
        return date.fromisoformat(text).isoformat() == text
    except ValueError:
        return False


def checked_text(place: str, value: object, example: str = "far") -> None:
    """Refuse what is no text.

    Parameters
    ----------
    place : str
        Record and field.
    value : object
        What was given.
    example : str, default "far"
        What would be right.

    Raises
    ------
    BadInput
        If it is something else.
    """
    if not isinstance(value, str):
        raise BadInput(place, f"{shown(value)} is no text", f'Give a text, such as "{example}"')


def checked_record(place: str, value: object, kind: type[Kind], mend: str) -> Kind:
    """A record of a kind, and nothing else.

    Parameters
    ----------
    place : str
        Record and field, or call and argument.
    value : object
        What was given.
    kind : type
        The record wanted.
    mend : str
        How one comes by it, without its full stop.

    Returns
    -------
    record
        The same.

    Raises
    ------
    BadInput
        If it is something else.
    """
    if not isinstance(value, kind):
        raise BadInput(place, f"{shown(value)} is no {kind.__name__}", mend)
    return value


def checked_several(place: str, value: object, kind: type[Kind], mend: str) -> tuple[Kind, ...]:
    """A list or tuple of records of a kind, as a tuple.

    Parameters
    ----------
    place : str
        Record and field, or call and argument.
    value : object
        What was given.
    kind : type
        The record wanted.
    mend : str
        How one comes by it, without its full stop.

    Returns
    -------
    tuple
        Of the same records.

    Raises
    ------
    BadInput
        If it is something else, or one of them is.
    """
    if not isinstance(value, list | tuple):
        raise BadInput(place, f"{shown(value)} is no tuple of {kind.__name__}", mend)
    for number, one in enumerate(value):
        if not isinstance(one, kind):
            raise BadInput(f"{place}[{number}]", f"{shown(one)} is no {kind.__name__}", mend)
    return tuple(value)


def check_amounts(record: object, amounts: Mapping[str, Amount]) -> None:
    """Check those numbers of a record that are given, and keep each as a float.

    Parameters
    ----------
    record : dataclass
        Being made; None stands for what is not said, where that is the field's default.
    amounts : mapping of str to Amount
        By field.

    Raises
    ------
    BadInput
        Naming record and field.
    """
    for name, amount in amounts.items():
        value = getattr(record, name)
        if type(value) is float and amount.low <= value <= amount.high:
            continue  # as nearly all are, of thousands of arrows
        may_be_none = name in _that_may_be_none(type(record))  # type: ignore[arg-type]  # has a hash
        if value is not None or not may_be_none:
            place = f"{type(record).__name__}.{name}"
            if may_be_none and isinstance(value, float) and isnan(value):
                raise BadInput(place, "nan is not finite", "Give None for what is not known")
            object.__setattr__(record, name, checked_number(place, value, amount))


@cache
def _that_may_be_none(kind: type) -> frozenset[str]:
    """Fields of a record that may be left unsaid."""
    return frozenset(name for name, said in kind.__annotations__.items() if "None" in str(said))

"""Belief: a number with its doubt, and own beliefs where a sheet has no key for them.

Holds:  the Belief record; the Beliefs record; how a record checks the beliefs it holds.
Never:  usual values (kinds.py, prior.py).
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from tapewright.ground.checks import Amount, checked_number, shown
from tapewright.ground.errors import BadInput

_ANY = Amount(-1e12, 1e12, "SI units", "Belief(0.0272, 0.0001)")


@dataclass(frozen=True, slots=True)
class Belief:
    """A number and how sure somebody is of it.

    Parameters
    ----------
    value : float
        The number, in the unit its field names.
    sd : float or None, default None
        One standard deviation (the truth lies within it two times in three), same unit;
        None: not said.

    Example
    -------
    >>> Belief(0.0272, 0.0001)
    Belief(value=0.0272, sd=0.0001)
    """

    value: float
    sd: float | None = None

    def __post_init__(self) -> None:
        object.__setattr__(self, "value", checked_number("Belief.value", self.value, _ANY))
        if self.sd is not None:
            object.__setattr__(self, "sd", checked_number("Belief.sd", self.sd, _ANY))
            if self.sd <= 0.0:
                wrong = f"{self.sd:g} is not above 0"
                mend = "Give one standard deviation, or leave it out when nobody said"
                raise BadInput("Belief.sd", wrong, mend)


def check_beliefs(record: object, amounts: Mapping[str, Amount], needed: str = "") -> None:
    """Check those beliefs of a record that are given.

    Parameters
    ----------
    record : dataclass
        Being made.
    amounts : mapping of str to Amount
        Between which ends each value lies, by field.
    needed : str, optional
        The field that may not be left out.

    Raises
    ------
    BadInput
        Naming record and field.
    """
    for name, amount in amounts.items():
        value = getattr(record, name)
        if value is not None or name == needed:
            check_belief(f"{type(record).__name__}.{name}", value, amount)


def check_belief(place: str, value: object, amount: Amount) -> None:
    """Refuse what is no belief, or one that cannot be.

    Parameters
    ----------
    place : str
        Record and field.
    value : object
        What was given.
    amount : Amount
        Between which ends its value lies.

    Raises
    ------
    BadInput
        Naming the place.
    """
    told = replace(amount, example=f"Belief({amount.example}, its standard deviation)")
    if not isinstance(value, Belief):
        raise BadInput(place, f"{shown(value)} is no Belief", told.mend)
    checked_number(place, value.value, told)
    if value.sd is not None:
        checked_number(f"{place}, sd", value.sd, replace(told, low=0.0))


@dataclass(frozen=True, slots=True)
class Beliefs:
    """Own beliefs about what a rig sheet has no key for; None: what is usual.

    What the sheet has a key for (speed, drag, peep, radius, pins) is told there, with its doubt.
    Each needs its standard deviation; those above 0 are believed as logarithms.

    Parameters
    ----------
    launch_ahead_m : Belief or None
        Where the point is when the string lets go, in front of the eye. [m]
    windage_rad : Belief or None
        Angle by which arrows fly to the right of the aim. [rad]
    side_m : Belief or None
        How far to the right of the line of sight the arrow starts. [m]
    dispersion_up_rad, dispersion_right_rad : Belief or None
        Spread per arrow along each axis, above 0. [rad]
    wobble_rad : Belief or None
        Shift from group to group, above 0. [rad]

    Example
    -------
    >>> Beliefs(wobble_rad=Belief(0.2e-3, 0.05e-3)).wobble_rad
    Belief(value=0.0002, sd=5e-05)
    """

    launch_ahead_m: Belief | None = None
    windage_rad: Belief | None = None
    side_m: Belief | None = None
    dispersion_up_rad: Belief | None = None
    dispersion_right_rad: Belief | None = None
    wobble_rad: Belief | None = None

    def __post_init__(self) -> None:
        check_beliefs(self, _BELIEVED)
        for name in _BELIEVED:
            one = getattr(self, name)
            if one is not None and one.sd is None:
                mend = f"Give Belief({one.value:g}, its standard deviation)"
                raise BadInput(f"Beliefs.{name}", "it says no doubt", mend)


_BELIEVED = {
    "launch_ahead_m": Amount(-1.0, 3.0, "metres", "1.2"),
    "windage_rad": Amount(-0.2, 0.2, "radians", "0.002"),
    "side_m": Amount(-0.2, 0.2, "metres", "0.003"),
    "dispersion_up_rad": Amount(1e-6, 0.2, "radians", "0.0007"),
    "dispersion_right_rad": Amount(1e-6, 0.2, "radians", "0.0006"),
    "wobble_rad": Amount(1e-6, 0.2, "radians", "0.0002"),
}

"""Rig: what the archer says of bow, arrow, sight and self, each number with its doubt.

Every record checks itself; the file is as long as the sheet has parts.

Holds:  the Rig record and its parts; None stands for "not said"; the house values that stand in.
Never:  defaults for what was not said (prior.py), text with units (faces).
"""

from dataclasses import dataclass, field
from typing import Literal

from tapewright.calibration.belief import Belief, Beliefs, check_belief, check_beliefs
from tapewright.calibration.rig_ends import AMOUNTS, BELIEFS, PIN, READING, SOURCES, SPEED
from tapewright.flight.air import STANDARD_AIR, Air
from tapewright.flight.drag import TabulatedDrag, TransitionDrag
from tapewright.ground.checks import (
    check_amounts,
    checked_choice,
    checked_number,
    checked_record,
    checked_several,
    checked_text,
    shown,
)
from tapewright.ground.errors import BadInput
from tapewright.sight.stickings import Scales
from tapewright.sight.tape import Tape

__all__ = [
    "Archer",
    "Arrow",
    "Belief",
    "Beliefs",
    "Bow",
    "Chronograph",
    "HouseValue",
    "HouseValues",
    "Kind",
    "Rating",
    "Rig",
    "Sight",
]

Kind = Literal["compound", "recurve", "longbow"]


@dataclass(frozen=True, slots=True)
class Chronograph:
    """One reading of arrow speed.

    Parameters
    ----------
    speed_mps : Belief
        Speed read. [m/s]
    at_m : float
        Distance from the archer's grip to the gate, along the flight. [m]
    arrow_mass_kg : float or None
        Mass of the arrow shot; None: the rig's own arrow. [kg]
    instrument : str
        What it was read with, as the house values call it; empty: not said.
    bias : Belief or None
        Speed that this instrument reads over the true one, from the house values. [-]

    Example
    -------
    >>> Chronograph(Belief(84.1, 0.4), at_m=0.91).instrument
    ''
    """

    speed_mps: Belief
    at_m: float
    arrow_mass_kg: float | None = None
    instrument: str = ""
    bias: Belief | None = None

    def __post_init__(self) -> None:
        check_belief("Chronograph.speed_mps", self.speed_mps, SPEED)
        check_amounts(self, AMOUNTS["Chronograph"])
        checked_text("Chronograph.instrument", self.instrument)


@dataclass(frozen=True, slots=True)
class Rating:
    """The bow maker's speed and the conditions it was measured in.

    Parameters
    ----------
    speed_mps : Belief
        Rated speed. [m/s]
    draw_weight_n : float
        Peak draw weight of the rating. [N]
    draw_length_m : float
        Draw length of the rating, by the trade standard. [m]
    arrow_mass_kg : float
        Arrow mass of the rating. [kg]

    Example
    -------
    >>> Rating(Belief(100.6, 2.0), 311.4, 0.762, 0.0227).draw_length_m
    0.762
    """

    speed_mps: Belief
    draw_weight_n: float
    draw_length_m: float
    arrow_mass_kg: float

    def __post_init__(self) -> None:
        check_belief("Rating.speed_mps", self.speed_mps, SPEED)
        check_amounts(self, AMOUNTS["Rating"])


@dataclass(frozen=True, slots=True)
class Bow:
    """The bow as set up.

    Parameters
    ----------
    draw_weight_n : float or None
        Peak draw weight. [N]
    draw_length_m : float or None
        Draw length by the trade standard (grip pivot plus 1¾ in). [m]
    brace_height_m : float or None
        String to grip pivot at rest. [m]
    launch_speed_mps : Belief or None
        Speed with which the arrow leaves the string. [m/s]
    chronograph : tuple of Chronograph
        Speeds read.
    rating : Rating or None
        The maker's figure.
    least_arrow_mass_kg : float or None
        The lightest arrow that the bow's maker allows. [kg]
    rest_ahead_m : float or None
        How far the rest stands before the grip pivot, behind it negative; 0 on the shelf. [m]
    kind : str or None
        ``"compound"``, ``"recurve"`` or ``"longbow"``; None: not said, taken as a compound.
    least_temperature_k : float or None
        The coldest air in which the bow's maker allows it to be shot. [K]

    Example
    -------
    >>> Bow(launch_speed_mps=Belief(84.7, 0.9), kind="compound").kind
    'compound'
    """

    draw_weight_n: float | None = None
    draw_length_m: float | None = None
    brace_height_m: float | None = None
    launch_speed_mps: Belief | None = None
    chronograph: tuple[Chronograph, ...] = ()
    rating: Rating | None = None
    least_arrow_mass_kg: float | None = None
    rest_ahead_m: float | None = None
    kind: Kind | None = None
    least_temperature_k: float | None = None

    def __post_init__(self) -> None:
        check_amounts(self, AMOUNTS["Bow"])
        check_beliefs(self, BELIEFS["Bow"])
        mend = "Give Chronograph(Belief(84.7, 0.9), at_m=0.91), one for each reading"
        read = checked_several("Bow.chronograph", self.chronograph, Chronograph, mend)
        object.__setattr__(self, "chronograph", read)
        if self.rating is not None:
            mend = "Give Rating(Belief(100.6, 2.0), 311.0, 0.762, 0.0227)"
            checked_record("Bow.rating", self.rating, Rating, mend)
        checked_choice("Bow.kind", self.kind, (None, "compound", "recurve", "longbow"))


@dataclass(frozen=True, slots=True)
class Arrow:
    """The arrow.

    Parameters
    ----------
    mass_kg : Belief
        Whole mass, point included. [kg]
    shaft_diameter_m : float
        Outside diameter of the shaft. [m]
    length_m : float or None
        Nock groove to end of shaft. [m]
    point : str
        ``"field"`` or ``"broadhead"``.
    vane_height_m : float or None
        Height of a vane above the shaft. [m]
    drag_coefficient : Belief or None
        On the shaft's cross-section. [-]
    blade_diameter_m : float or None
        Circle that the blades of the point cut, as it flies; 0: there are none. [m]
    kind : str
        What the house values call such arrows; empty: not said.
    drag_law : TransitionDrag or TabulatedDrag or None
        How the coefficient changes with speed; a coefficient that is said beside it is that at
        60 m/s. None: it does not change.

    Example
    -------
    >>> Arrow(mass_kg=Belief(0.0272, 0.0001), shaft_diameter_m=0.006).point
    'field'
    """

    mass_kg: Belief
    shaft_diameter_m: float
    length_m: float | None = None
    point: Literal["field", "broadhead"] = "field"
    vane_height_m: float | None = None
    drag_coefficient: Belief | None = None
    blade_diameter_m: float | None = None
    kind: str = ""
    drag_law: TransitionDrag | TabulatedDrag | None = None

    def __post_init__(self) -> None:
        check_beliefs(self, BELIEFS["Arrow"], needed="mass_kg")
        check_amounts(self, AMOUNTS["Arrow"])
        checked_choice("Arrow.point", self.point, ("field", "broadhead"))
        if not isinstance(self.drag_law, TransitionDrag | TabulatedDrag | None):
            mend = "Give TransitionDrag(...) or TabulatedDrag(...)"
            raise BadInput("Arrow.drag_law", f"{shown(self.drag_law)} is no drag law", mend)


def _ends(value: object) -> tuple[float, float]:
    """Two readings, the smaller first."""
    place, mend = "Sight.travel_ends_m", "Give two readings in metres, such as (0.0, 0.08)"
    if not isinstance(value, list | tuple) or len(value) != 2:
        raise BadInput(place, f"{shown(value)} is not two readings", mend)
    low, high = (checked_number(f"{place}[{at}]", one, READING) for at, one in enumerate(value))
    if low >= high:
        raise BadInput(place, f"{low:g} is not below {high:g}", f"{mend}, the smaller first")
    return low, high


@dataclass(frozen=True, slots=True)
class Sight:
    """The sight, and the eye above the arrow.

    Parameters
    ----------
    peep_height_m : Belief or None
        Eye to arrow axis at full draw, perpendicular; without a peep the same. [m]
    sight_radius_m : Belief or None
        Eye to pin. [m]
    reading_per_travel : Belief or None
        Reading on the scale per pin travel; None: learnt from the arrows. [-]
    farther : str
        ``"increases"`` or ``"decreases"``: how the numbers run toward farther targets.
    pins_below_first_m : tuple of Belief
        How far each further pin sits below the first. [m]
    housing_below_pin_m : float or None
        First pin to the lower edge of the housing. [m]
    clearance_reading_m : float or None
        Reading at which the housing just clears the arrow, as measured. [m]
    travel_ends_m : (float, float) or None
        Readings at the two ends of the travel, the smaller first. [m]
    arrow_margin_m : float or None
        Air wanted between vane and housing. [m]
    elevation_click_m : float or None
        Change of reading per click. [m]
    windage_click_m : float or None
        Sideways pin movement per click. [m]
    arm_length_m : float or None
        Length of a pivoting arm; None: the pin moves in a straight line. [m]
    arm_level_reading_m : float
        Reading at which the arm is parallel to the arrow. [m]
    kind : str
        What the house values call such sights; empty: not said.
    tape : Tape or None
        The tape that is stuck on: of its scale marks are told; None: of the first scale.

    Example
    -------
    >>> Sight(peep_height_m=Belief(0.117, 0.004), farther="decreases").farther
    'decreases'
    """

    peep_height_m: Belief | None = None
    sight_radius_m: Belief | None = None
    reading_per_travel: Belief | None = None
    farther: Literal["increases", "decreases"] = "increases"
    pins_below_first_m: tuple[Belief, ...] = ()
    housing_below_pin_m: float | None = None
    clearance_reading_m: float | None = None
    travel_ends_m: tuple[float, float] | None = None
    arrow_margin_m: float | None = None
    elevation_click_m: float | None = None
    windage_click_m: float | None = None
    arm_length_m: float | None = None
    arm_level_reading_m: float = 0.0
    kind: str = ""
    tape: Tape | None = None

    def __post_init__(self) -> None:
        check_beliefs(self, BELIEFS["Sight"])
        check_amounts(self, AMOUNTS["Sight"])
        checked_choice("Sight.farther", self.farther, ("increases", "decreases"))
        mend = "Give Belief(0.009, 0.0002) for each pin below the first, in metres"
        pins = checked_several("Sight.pins_below_first_m", self.pins_below_first_m, Belief, mend)
        object.__setattr__(self, "pins_below_first_m", pins)
        for number, pin in enumerate(pins):
            check_belief(f"Sight.pins_below_first_m[{number}]", pin, PIN)
        if self.travel_ends_m is not None:
            object.__setattr__(self, "travel_ends_m", _ends(self.travel_ends_m))
        if self.tape is not None:
            mend = "Give the tape of a record: load_record(path).tape()"
            checked_record("Sight.tape", self.tape, Tape, mend)

    @property
    def scales(self) -> Scales:
        """The scale that is on the sight, from the rig's first one on."""
        return () if self.tape is None else self.tape.scales


@dataclass(frozen=True, slots=True)
class Archer:
    """The archer's own numbers.

    Parameters
    ----------
    dispersion_rad : Belief or None
        Spread per arrow and axis; None: learnt from the arrows. [rad]
    tolerance_m : float
        Radius of the miss that is still good. [m]
    distance_sd_m : float or None
        How well a distance is measured; None: 0.5 % or 0.25 yd, the larger. [m]
    reading_sd_m : float
        How well the pointer is read and set. [m]
    kind : str
        What the house values call such archers; empty: not said.
    distances : str
        Where the distances come from for which marks are told, one of the sources of an
        observation; empty: as those of the groups.
    farthest_m : float or None
        How far is shot at all; None: as far as bow and sight reach. [m]

    Example
    -------
    >>> Archer(tolerance_m=0.08).reading_sd_m
    0.0001
    """

    dispersion_rad: Belief | None = None
    tolerance_m: float = 0.0762
    distance_sd_m: float | None = None
    reading_sd_m: float = 0.1e-3
    kind: str = ""
    distances: str = ""
    farthest_m: float | None = None

    def __post_init__(self) -> None:
        check_beliefs(self, BELIEFS["Archer"])
        check_amounts(self, AMOUNTS["Archer"])
        checked_choice("Archer.distances", self.distances, SOURCES)


@dataclass(frozen=True, slots=True)
class HouseValue:
    """One usual value of a shop or a club.

    Parameters
    ----------
    key : str
        What it stands for: ``"arrow.drag_coefficient"``, ``"sight.reading_per_travel"``,
        ``"archer.dispersion"`` or ``"chronograph.reads"``.
    value : Belief
        With its doubt, in the unit of the record it fills.
    kind : str
        Of which arrow, sight, archer or instrument; empty: of those whose sheet names none.
    point : str
        Of an arrow: the point it is for; else empty.
    """

    key: str
    value: Belief
    kind: str = ""
    point: str = ""


@dataclass(frozen=True, slots=True)
class HouseValues:
    """What a shop or a club knows of what it sells and of who shoots there.

    Parameters
    ----------
    name : str
        Whose values they are.
    values : tuple of HouseValue
        In the order they were written.
    """

    name: str
    values: tuple[HouseValue, ...] = ()


@dataclass(frozen=True, slots=True)
class Rig:
    """One bow, arrow, sight and archer, as set up on a date.

    Parameters
    ----------
    name : str
        What the archer calls it.
    arrow : Arrow
        The arrow.
    bow : Bow
        The bow.
    sight : Sight
        The sight, and the eye above the arrow.
    archer : Archer
        The archer's own numbers.
    air : Air
        The air that the tape is for, and the arrows were shot in unless they say otherwise.
    hand : str
        ``"right"`` or ``"left"``.
    sound, damaged : tuple of str
        Parts of the check list that were looked at, by what was found.
    house : HouseValues or None
        House values that stand where the sheet is silent, those taken only; None: none was.
    beliefs : Beliefs or None
        Own beliefs about what no part of the sheet tells; None: what is usual.
    rules : tuple of str
        What the archer ticked of a class's rules, such as ``"one_pin"``; it moves no mark.

    Example
    -------
    >>> Rig("Heron", Arrow(Belief(0.0272, 0.0001), 0.006)).hand
    'right'
    """

    name: str
    arrow: Arrow
    bow: Bow = field(default_factory=Bow)
    sight: Sight = field(default_factory=Sight)
    archer: Archer = field(default_factory=Archer)
    air: Air = STANDARD_AIR
    hand: Literal["right", "left"] = "right"
    sound: tuple[str, ...] = ()
    damaged: tuple[str, ...] = ()
    house: HouseValues | None = None
    beliefs: Beliefs | None = None
    rules: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        checked_text("Rig.name", self.name)
        for name, kind in _PARTS.items():
            mend = f"Give {kind.__name__}(...)"
            checked_record(f"Rig.{name}", getattr(self, name), kind, mend)
        checked_choice("Rig.hand", self.hand, ("right", "left"))
        several = ("parts of the check list", '("shafts", "nock")')
        ticks = ("ticks of a class", '("no_notes", "one_pin")')
        for name, (what, such) in (("sound", several), ("damaged", several), ("rules", ticks)):
            mend = f"Give {what}, such as {such}"
            parts = checked_several(f"Rig.{name}", getattr(self, name), str, mend)
            object.__setattr__(self, name, parts)
        if self.beliefs is not None:
            checked_record("Rig.beliefs", self.beliefs, Beliefs, "Give Beliefs(...)")

    def is_from_house(self, key: str) -> bool:
        """Whether a value stands here because the house knows it and the sheet is silent.

        Parameters
        ----------
        key : str
            As a ``HouseValue`` names it.

        Returns
        -------
        bool
            False for what the sheet states, and for what nobody does.
        """
        return self.house is not None and any(one.key == key for one in self.house.values)


_PARTS = {"arrow": Arrow, "bow": Bow, "sight": Sight, "archer": Archer, "air": Air}

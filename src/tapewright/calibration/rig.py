"""Rig: what the archer says of bow, arrow, sight and self, each number with its doubt.

Holds:  the Rig record and its parts; None stands for "not said"; the house values that stand in.
Never:  defaults for what was not said (prior.py), text with units (faces).
"""

from dataclasses import dataclass, field
from typing import Literal

from tapewright.flight.air import STANDARD_AIR, Air
from tapewright.sight.stickings import Scales
from tapewright.sight.tape import Tape

Kind = Literal["compound", "recurve", "longbow"]


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
    """

    value: float
    sd: float | None = None


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
    """

    speed_mps: Belief
    at_m: float
    arrow_mass_kg: float | None = None
    instrument: str = ""
    bias: Belief | None = None


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
    """

    speed_mps: Belief
    draw_weight_n: float
    draw_length_m: float
    arrow_mass_kg: float


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
    """

    mass_kg: Belief
    shaft_diameter_m: float
    length_m: float | None = None
    point: Literal["field", "broadhead"] = "field"
    vane_height_m: float | None = None
    drag_coefficient: Belief | None = None
    blade_diameter_m: float | None = None
    kind: str = ""


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
    """

    dispersion_rad: Belief | None = None
    tolerance_m: float = 0.0762
    distance_sd_m: float | None = None
    reading_sd_m: float = 0.1e-3
    kind: str = ""
    distances: str = ""
    farthest_m: float | None = None


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

"""Change doubts: what each kind of change leaves open, as one standard deviation.

Each number has its reason beside it; where nobody has published one it is common practice
without a source, and wide rather than narrow: a group with the new set-up buys it back.

Holds:  the numbers and their reasons; those that hang on the kind of bow.
Never:  draws, formulas of flight (change.py).
Source: docs/physics.md (9.9), (9.17) to (9.20); docs/sources.md [OLS], [HICK47], [ORT20], [RHE47].
"""

from math import sqrt

from tapewright.calibration.kinds import kind_of
from tapewright.calibration.rig import Bow, Kind
from tapewright.ground.units import GRAIN_KG, INCH_M

# Another mass. What a bow moves beside the arrow, as far as two arrows of it tell: median, and
# standard deviation of its logarithm.
MOVING_MASS_KG: dict[Kind, tuple[float, float]] = {
    # efficiencies of 0.75 to 0.88 less 0 to 10 % of friction, from memory: 25 to 90 gr
    "compound": (45.0 * GRAIN_KG, 0.4),
    # [OLS] 89 gr + 0.058 m: two arrows tell 89/1.058
    "recurve": (85.0 * GRAIN_KG, 0.3),
    # [HICK47]: 188 to 278 gr, six of wood
    "longbow": (225.0 * GRAIN_KG, 0.25),
}
MASS_LAW_LOG_SD = 0.02  # of speed, for each e-fold of mass: what [OLS] departs from a constant
SPEED_LOG_SD = 0.002  # another arrow at all: as well as speeds repeat [TUI92]

# Drag of another shaft: skin goes with diameter, base and point with its square, vanes with
# neither [RHE47]; the share of each by [PARK], from the largest to the least.
DRAG_BY_DIAMETER, DRAG_BY_DIAMETER_SD = 1.0, 0.3
DRAG_BY_LENGTH = 0.5  # the skin's share
DRAG_LOG_SD = 0.02  # same vanes and point
OTHER_DRAG_LOG_SD = 0.14  # other vanes: ±0.49 of 2.1 between long and short ones [ORT20], evenly

# Where another arrow leaves the bow. Common practice, no source.
SAME_SHAFT_RAD = 0.25e-3  # a point or vanes changed: nock, spine under load
OTHER_SHAFT_RAD = 0.5e-3  # stiffness, nock, straightness
BROADHEAD_RAD = 1.5e-3  # a couple of inches at 20 to 30 yd beside field points
RECOIL_RAD = 2.0e-3  # for each e-fold of mass: so far 2.3 N s turn a bow of 0.2 kg m²
REST_RAD_PER_M = 0.58 / 0.7  # a shaft thicker by 2 a lies a higher 0.7 m before the nock
SIDE_RAD = 0.5e-3

# The bow worked on.
WEIGHED_LOG_SD = sqrt(2.0) * 0.008  # of draw weight, two readings of a hand scale; common practice
STROKE_SD_M = 0.1 * INCH_M  # a draw length as told; common practice, no source
EYE_BY_DRAW = 0.08  # the string's angle at the eye: at most 0.13 of the draw, plain geometry
WORKED_ON_RAD = 0.5e-3  # timing of cams, tiller; common practice, no source

# A new string. A third of its mass counts as the arrow's [HICK47]: 15 gr more or less 0.5 %; peep
# and loop count whole; the bow comes back to its weight within a pound.
STRING_LOG_SD = 0.01
TIED_AGAIN_RAD = 0.9e-3  # a nocking point within half a millimetre, 0.7 m behind the rest
TIED_PEEP_M = 1.5e-3  # a peep tied by a ruler; common practice, no source

SPEED_LOG_SD_PER_K = 0.00075  # limbs in other air: 0.0005 to 0.001, eq. (9.16)
# Other clothes: gloves, a sleeve the string may touch, an anchor over a mask. Common practice, no
# source: wide, for nobody has measured yours. All turn the arrow; a shorter draw is slower, too.
CLOTHES_RAD = 1.0e-3  # 20 mm at 20 m, up and sideways
CLOTHES_DRAW_M = 0.25 * INCH_M
BAR_LEAN_RAD = 0.02  # a sight's bar against the arrow: moving the sight along it moves the zero


def moving_mass(bow: Bow) -> tuple[float, float]:
    """What moves with the string beside the arrow.

    Parameters
    ----------
    bow : Bow
        The sheet's bow.

    Returns
    -------
    (float, float)
        Median, and standard deviation of its logarithm. [kg], [-]

    Source
    ------
    docs/physics.md eq. (9.17).
    """
    return MOVING_MASS_KG[kind_of(bow)]


def speed_by_weight(bow: Bow) -> tuple[float, float]:
    """Share of a change of draw weight that is one of speed, both as logarithms.

    A compound loses 15 to 20 ft/s with 10 of 70 lbf, says the trade, and 23 by energy alone;
    recurves store the same share of weight times stroke whatever they weigh [TUI92].

    Parameters
    ----------
    bow : Bow
        The sheet's bow.

    Returns
    -------
    (float, float)
        Share, one standard deviation. [-]

    Source
    ------
    docs/physics.md eq. (9.19).
    """
    return (0.42 if kind_of(bow) == "compound" else 0.5), 0.06


def speed_by_stroke(bow: Bow, *, weighed: bool) -> tuple[float, float]:
    """Share of a change of the power stroke that is one of speed, both as logarithms.

    A compound gains 2.3 % an inch by energy alone and up to 4.5 % to the trade. A recurve or
    longbow drawn farther gets heavier, too, by a straight draw curve that stores 0.52 to 0.6 of
    weight times stroke; where the sheet tells the new weight, energy alone is left.

    Parameters
    ----------
    bow : Bow
        The sheet's bow.
    weighed : bool
        Whether the sheet tells another draw weight, too.

    Returns
    -------
    (float, float)
        Share, one standard deviation. [-]

    Source
    ------
    docs/physics.md eq. (9.19).
    """
    if kind_of(bow) == "compound":
        return 0.74, 0.14
    return (0.5, 0.06) if weighed else (0.94, 0.1)


def tied_peep(bow: Bow) -> float:
    """How far a new string's peep may sit from the old one's place.

    Parameters
    ----------
    bow : Bow
        The sheet's bow.

    Returns
    -------
    float
        One standard deviation; none where an anchor takes the peep's place. [m]
    """
    return TIED_PEEP_M if kind_of(bow) == "compound" else 0.0


def shaft_flight(*, another_shaft: bool, another_point: bool) -> float:
    """How far another arrow's angle may differ where it leaves the bow, mass and rest apart.

    Parameters
    ----------
    another_shaft : bool
        Whether diameter or length differ.
    another_point : bool
        Whether a broadhead took a field point's place, or another broadhead.

    Returns
    -------
    float
        One standard deviation. [rad]
    """
    if another_point:
        return BROADHEAD_RAD
    return OTHER_SHAFT_RAD if another_shaft else SAME_SHAFT_RAD

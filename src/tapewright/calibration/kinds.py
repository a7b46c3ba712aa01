"""Kinds: what is usual of a compound, a recurve and a longbow, where a sheet does not say.

A compound stores its energy under a flat draw curve and moves little but the arrow; a recurve and
a longbow store about half of weight times stroke and move their own limbs. Without a peep an anchor
on the face holds the eye, and fingers let go of the string.

Holds:  the Usual record of each kind; which kind a sheet's bow is.
Never:  what a sheet says (rig.py), beliefs made of it (prior.py).
Source: each value has its own beside it; docs/sources.md.
"""

from dataclasses import dataclass

from tapewright.calibration.rig import Belief, Bow, Kind
from tapewright.flight.bow_energy import LEAST_MASS_PER_FORCE, MOST_STORED
from tapewright.ground.units import GRAIN_KG, INCH_M, POUND_FORCE_N


@dataclass(frozen=True, slots=True, kw_only=True)
class Usual:
    """What is usual of one kind of bow.

    Parameters
    ----------
    stored_share : Belief or None
        Energy over draw weight times power stroke; None: a maker's rating tells it. [-]
    draw_weight_n : (float, float) or None
        Median, and standard deviation of its logarithm; None: the rating's. [N], [-]
    draw_length_m : Belief
        By the trade standard. [m]
    brace_height_m : float
        String to grip pivot at rest. [m]
    virtual_mass_kg : (float, float)
        Median, and standard deviation of its logarithm. [kg], [-]
    eye_height_m : Belief
        Eye to arrow axis at full draw. [m]
    nock_behind_eye_m : float
        How far the nock sits behind the eye at full draw. [m]
    sight_radius_m : Belief
        Eye to pin. [m]
    dispersion_rad : (float, float)
        Median, and standard deviation of its logarithm. [rad], [-]
    wobble_rad : (float, float)
        The same of the shift from group to group. [rad], [-]
    least_mass_per_n : float
        The lightest arrow for each newton of draw weight. [kg/N]
    most_stored : float
        No bow of this kind stores a larger share of peak force times stroke. [-]
    """

    stored_share: Belief | None
    draw_weight_n: tuple[float, float] | None
    draw_length_m: Belief
    brace_height_m: float
    virtual_mass_kg: tuple[float, float]
    eye_height_m: Belief
    nock_behind_eye_m: float
    sight_radius_m: Belief
    dispersion_rad: tuple[float, float]
    wobble_rad: tuple[float, float]
    least_mass_per_n: float
    most_stored: float


# Common practice, no source, unless the line says otherwise.
USUAL: dict[Kind, Usual] = {
    "compound": Usual(
        stored_share=None,
        draw_weight_n=None,
        draw_length_m=Belief(29.0 * INCH_M, 1.0 * INCH_M),
        brace_height_m=6.5 * INCH_M,
        virtual_mass_kg=(45.0 * GRAIN_KG, 0.3),
        eye_height_m=Belief(4.5 * INCH_M, 0.4 * INCH_M),
        nock_behind_eye_m=0.08,
        sight_radius_m=Belief(33.0 * INCH_M, 1.5 * INCH_M),
        dispersion_rad=(0.67e-3, 0.5),  # [AGB23], handicap 10 at 25 m
        wobble_rad=(0.13e-3, 0.5),
        least_mass_per_n=LEAST_MASS_PER_FORCE,
        most_stored=MOST_STORED,
    ),
    "recurve": Usual(
        stored_share=Belief(0.58, 0.01),  # [TUI92] four bows, [OLS] a fifth: 0.575 to 0.595
        draw_weight_n=(40.0 * POUND_FORCE_N, 0.2),
        draw_length_m=Belief(28.0 * INCH_M, 1.0 * INCH_M),
        brace_height_m=8.6 * INCH_M,  # [TUI92]: 8.4 to 8.7 in of bows of 66 to 70 in
        virtual_mass_kg=(107.0 * GRAIN_KG, 0.2),  # [OLS], for an arrow of 20 g
        eye_height_m=Belief(4.6 * INCH_M, 0.7 * INCH_M),  # under the chin 4 to 5½, cheek 2½ to 3½
        nock_behind_eye_m=0.02,
        sight_radius_m=Belief(35.0 * INCH_M, 2.0 * INCH_M),  # on an extension
        dispersion_rad=(1.6e-3, 0.5),  # [AGB23], handicap 35 at 25 m
        wobble_rad=(0.3e-3, 0.5),
        least_mass_per_n=6.0 * GRAIN_KG / POUND_FORCE_N,
        most_stored=0.65,  # a tenth above the most of five measured ones
    ),
    "longbow": Usual(
        stored_share=Belief(0.52, 0.02),  # a straight draw curve has 0.50
        draw_weight_n=(45.0 * POUND_FORCE_N, 0.2),
        draw_length_m=Belief(28.0 * INCH_M, 1.0 * INCH_M),
        brace_height_m=6.75 * INCH_M,
        virtual_mass_kg=(230.0 * GRAIN_KG, 0.15),  # [HICK47]: 188 to 278 gr of six
        eye_height_m=Belief(4.2 * INCH_M, 0.9 * INCH_M),
        nock_behind_eye_m=0.03,
        sight_radius_m=Belief(28.5 * INCH_M, 1.5 * INCH_M),  # a pin on the bow itself
        dispersion_rad=(3.2e-3, 0.5),  # [AGB23], handicap 55 at 25 m
        wobble_rad=(0.6e-3, 0.5),
        least_mass_per_n=8.0 * GRAIN_KG / POUND_FORCE_N,
        most_stored=0.62,
    ),
}  # fmt: skip


def kind_of(bow: Bow) -> Kind:
    """Which kind of bow a sheet's is.

    Parameters
    ----------
    bow : Bow
        The sheet's bow.

    Returns
    -------
    str
        A compound where nothing is said.
    """
    return bow.kind or "compound"


def usual_of(bow: Bow) -> Usual:
    """What is usual of a sheet's kind of bow.

    Parameters
    ----------
    bow : Bow
        The sheet's bow.

    Returns
    -------
    Usual
        Values with their doubts.
    """
    return USUAL[kind_of(bow)]


def stated_or_usual(said: Belief | None, usual: Belief) -> Belief:
    """What a sheet says of a number, or what is usual.

    Parameters
    ----------
    said : Belief or None
        As the sheet says it; None: it does not.
    usual : Belief
        What is usual of it.

    Returns
    -------
    Belief
        Of a number without a doubt of its own: doubted half as much as the usual one.
    """
    if said is None or said.sd is not None:
        return said or usual
    return Belief(said.value, 0.5 * (usual.sd or 0.0))

"""Bow energy: what a bow stores, and the speed it gives to another arrow.

Holds:  virtual mass, stored energy, speed for another arrow or another draw; energy and
        momentum of an arrow; the lightest arrow a bow may shoot, the least draw weight behind a
        speed.
Never:  drag, particular archers.
Source: docs/physics.md §4; docs/sources.md [KLO43], [AMO].
"""

from math import sqrt

from tapewright.ground.units import GRAIN_KG, INCH_M, POUND_FORCE_N

DRAW_LENGTH_ADDS_M = 1.75 * INCH_M  # [AMO]: draw length is grip pivot plus 1¾ in
LEAST_MASS_PER_FORCE = 5.0 * GRAIN_KG / POUND_FORCE_N  # of compounds; common practice, no source
MOST_STORED = 0.95  # of peak force times stroke; common practice, no source: bows reach 0.89


def power_stroke(draw_length_m: float, brace_height_m: float) -> float:
    """How far the string pushes the arrow.

    Parameters
    ----------
    draw_length_m : float
        By the trade standard: nocking point to grip pivot plus 1¾ in. [m]
    brace_height_m : float
        String to grip pivot at rest. [m]

    Returns
    -------
    float
        Length of the push. [m]

    Source
    ------
    docs/physics.md eq. (4.1); [AMO].
    """
    return draw_length_m - DRAW_LENGTH_ADDS_M - brace_height_m


def stored_energy(speed_mps: float, arrow_mass_kg: float, virtual_mass_kg: float) -> float:
    """Energy that the bow gives up, from one measured speed.

    Parameters
    ----------
    speed_mps : float
        Launch speed. [m/s]
    arrow_mass_kg : float
        Mass of the arrow. [kg]
    virtual_mass_kg : float
        Mass that moves along with the arrow, as it were. [kg]

    Returns
    -------
    float
        Energy. [J]

    Source
    ------
    docs/physics.md eq. (4.2); [KLO43].
    """
    return 0.5 * (arrow_mass_kg + virtual_mass_kg) * speed_mps**2


def launch_speed(energy_j: float, arrow_mass_kg: float, virtual_mass_kg: float) -> float:
    """Speed of an arrow from a bow of known energy.

    Parameters
    ----------
    energy_j : float
        Energy the bow gives up. [J]
    arrow_mass_kg, virtual_mass_kg : float
        Of the arrow, and of what moves along with it. [kg]

    Returns
    -------
    float
        Launch speed. [m/s]

    Valid for
    ---------
    Arrows within ±25 % of the mass for which energy and virtual mass were found.

    Example
    -------
    >>> round(launch_speed(80.0, 0.025, 0.006), 5)
    71.84212

    Source
    ------
    docs/physics.md eq. (4.2); [KLO43].
    """
    return sqrt(2.0 * energy_j / (arrow_mass_kg + virtual_mass_kg))


def virtual_mass(
    light_mass_kg: float, light_speed_mps: float, heavy_mass_kg: float, heavy_speed_mps: float
) -> float:
    """Virtual mass of a bow from the speeds of two arrows.

    Parameters
    ----------
    light_mass_kg, light_speed_mps : float
        The lighter arrow. [kg], [m/s]
    heavy_mass_kg, heavy_speed_mps : float
        The heavier arrow. [kg], [m/s]

    Returns
    -------
    float
        Virtual mass. [kg]

    Source
    ------
    docs/physics.md eq. (4.3); [KLO43].
    """
    light2, heavy2 = light_speed_mps**2, heavy_speed_mps**2
    return (light_mass_kg * light2 - heavy_mass_kg * heavy2) / (heavy2 - light2)


def kinetic_energy(speed_mps: float, mass_kg: float) -> float:
    """Energy of a moving arrow.

    Parameters
    ----------
    speed_mps : float
        Speed. [m/s]
    mass_kg : float
        Mass. [kg]

    Returns
    -------
    float
        Energy. [J]

    Source
    ------
    docs/physics.md eq. (4.4).
    """
    return 0.5 * mass_kg * speed_mps**2


def least_arrow_mass(
    draw_weight_n: float,
    stated_kg: float | None = None,
    least_mass_per_n: float = LEAST_MASS_PER_FORCE,
) -> float:
    """The lightest arrow that a bow may shoot.

    A lighter one leaves so much energy in limbs and string that they suffer as from a shot
    without an arrow.

    Parameters
    ----------
    draw_weight_n : float
        Peak draw weight; 0: not known. [N]
    stated_kg : float, optional
        The bow maker's own figure. [kg]
    least_mass_per_n : float, default 5 grains a pound
        What the kind of bow needs for each newton of draw weight. [kg/N]

    Returns
    -------
    float
        The greater of the maker's figure and what the draw weight asks for. [kg]

    Example
    -------
    70 lb ask a compound for 350 gr:

    >>> round(least_arrow_mass(70 * 4.4482216) / 64.79891e-6, 1)
    350.0

    Source
    ------
    docs/physics.md eq. (4.6).
    """
    return max(least_mass_per_n * draw_weight_n, stated_kg or 0.0)


def least_draw_weight(energy_j: float, stroke_m: float, most_stored: float = MOST_STORED) -> float:
    """The draw weight that a bow must have to give up an energy.

    Parameters
    ----------
    energy_j : float
        As one measured speed tells it. [J]
    stroke_m : float
        Length of the push. [m]
    most_stored : float, default 0.95
        The largest share of peak force times stroke that a bow of its kind stores. [-]

    Returns
    -------
    float
        No bow of less peak force stores so much. [N]

    Source
    ------
    docs/physics.md eq. (4.7).
    """
    return energy_j / (most_stored * stroke_m)

"""Drag: how strongly the air holds an arrow back.

Holds:  the drag constant of an arrow; drag-coefficient laws, plain functions of the Reynolds
        number on the shaft's diameter.
Never:  integration, particular archers.
Source: docs/physics.md §1; docs/sources.md [ORT20], [MIY21].
"""

from collections.abc import Callable

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]
DragLaw = Callable[[Floats], Floats]

LAMINAR_COEFFICIENT = 1.5  # [ORT20] 1.56 with small vanes; [MIY21] 1.3
TURBULENT_COEFFICIENT = 2.6  # [MIY21]


def drag_per_metre(
    density_kg_m3: ArrayLike, drag_coefficient: ArrayLike, diameter_m: ArrayLike, mass_kg: ArrayLike
) -> Floats:
    """Share of its speed that an arrow loses per metre of air.

    Parameters
    ----------
    density_kg_m3 : float or (n,) array
        Density of the air. [kg/m³]
    drag_coefficient : float or (n,) array
        On the shaft's cross-section. [-]
    diameter_m : float or (n,) array
        Outside diameter of the shaft. [m]
    mass_kg : float or (n,) array
        Whole mass of the arrow. [kg]

    Returns
    -------
    (n,) array
        κ = ρ C A / 2m, shape of the inputs after broadcasting. [1/m]

    Example
    -------
    >>> round(float(drag_per_metre(1.225, 2.0, 6.5e-3, 22.68e-3)), 6)
    0.001792

    Source
    ------
    docs/physics.md eq. (1.2).
    """
    area_m2 = 0.25 * np.pi * np.square(np.asarray(diameter_m, dtype=np.float64))
    force = np.asarray(density_kg_m3) * np.asarray(drag_coefficient) * area_m2
    return np.asarray(0.5 * force / np.asarray(mass_kg), dtype=np.float64)


def reynolds_number(
    speed_mps: ArrayLike, diameter_m: ArrayLike, density_kg_m3: ArrayLike, viscosity_pa_s: ArrayLike
) -> Floats:
    """Reynolds number on the shaft's diameter.

    Parameters
    ----------
    speed_mps : float or (n,) array
        Speed through the air. [m/s]
    diameter_m : float or (n,) array
        Outside diameter of the shaft. [m]
    density_kg_m3, viscosity_pa_s : float or (n,) array
        Of the air. [kg/m³], [Pa·s]

    Returns
    -------
    (n,) array
        Shape of the inputs after broadcasting. [-]

    Source
    ------
    docs/physics.md eq. (1.3).
    """
    inertia = np.asarray(density_kg_m3) * np.asarray(speed_mps) * np.asarray(diameter_m)
    return np.asarray(inertia / np.asarray(viscosity_pa_s), dtype=np.float64)


def constant_drag(drag_coefficient: float) -> DragLaw:
    """Drag law: the same coefficient at every speed.

    Parameters
    ----------
    drag_coefficient : float
        On the shaft's cross-section. [-]

    Returns
    -------
    function of the Reynolds number
        The law. [-]

    Source
    ------
    docs/physics.md eq. (1.2).
    """

    def law(reynolds: Floats) -> Floats:
        return np.full_like(reynolds, drag_coefficient)

    return law


def transition_drag(
    reynolds_at_middle: float,
    laminar: float = LAMINAR_COEFFICIENT,
    turbulent: float = TURBULENT_COEFFICIENT,
    width: float = 0.1,
) -> DragLaw:
    """Drag law: the boundary layer turns from laminar to turbulent as the arrow goes faster.

    A smooth step, so that fixed-step integration keeps its order.

    Parameters
    ----------
    reynolds_at_middle : float
        Where half the change is done. [-]
    laminar, turbulent : float
        Coefficients well below and well above. [-]
    width : float, default 0.1
        Width of the step, in natural logarithms of the Reynolds number. [-]

    Returns
    -------
    function of the Reynolds number
        The law. [-]

    Valid for
    ---------
    Not checked between the ends: published tests give the ends and where the change happens
    (about 1.2e4 to 2e4), not its shape.

    Source
    ------
    docs/physics.md eq. (1.4); [ORT20], [MIY21].
    """

    def law(reynolds: Floats) -> Floats:
        step = 0.5 * (1.0 + np.tanh(np.log(reynolds / reynolds_at_middle) / width))
        return np.asarray(laminar + (turbulent - laminar) * step, dtype=np.float64)

    return law

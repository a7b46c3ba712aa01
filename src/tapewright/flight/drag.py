"""Drag: how strongly the air holds an arrow back.

Holds:  the drag constant of an arrow; drag-coefficient laws, functions of the Reynolds number
        on the shaft's diameter; the DragShape record.
Never:  integration, particular archers.
Source: docs/physics.md §1; docs/sources.md [ORT20], [MIY21].
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tapewright.ground.checks import Amount, check_amounts, checked_number, shown
from tapewright.ground.errors import BadInput

Floats = NDArray[np.float64]
DragLaw = Callable[[Floats], Floats]

LAMINAR_COEFFICIENT = 1.5  # [ORT20] 1.56 with small vanes; [MIY21] 1.3
TURBULENT_COEFFICIENT = 2.6  # [MIY21]
REFERENCE_MPS = 60.0  # where laws of different shape are given one size
_REYNOLDS = Amount(1.0, 1e7, "", "15000.0")
_COEFFICIENT = Amount(0.05, 50.0, "", "2.1")
_WIDTH, _DOUBT = Amount(1e-3, 10.0, "", "0.1"), Amount(1e-4, 3.0, "", "0.26")


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


@dataclass(frozen=True, slots=True)
class TransitionDrag:
    """Drag law: the boundary layer turns from laminar to turbulent as the arrow goes faster.

    A smooth step, so that fixed-step integration keeps its order. Called with Reynolds numbers on
    the shaft's diameter it gives coefficients on the shaft's cross-section.

    Parameters
    ----------
    reynolds_at_middle : float
        Where half the change is done. [-]
    laminar, turbulent : float, default 1.5 and 2.6
        Coefficients well below and well above. [-]
    width : float, default 0.1
        Width of the step, in natural logarithms of the Reynolds number. [-]
    doubt : float, default 0.26
        Standard deviation of the logarithm of the factor by which all of it may be off. [-]

    Valid for
    ---------
    Not checked between the ends: published tests give the ends and where the change happens
    (about 1.2e4 to 2e4), not its shape.

    Example
    -------
    >>> round(float(TransitionDrag(15_000.0)(15_000.0)), 2)
    2.05

    Source
    ------
    docs/physics.md eq. (1.4); [ORT20], [MIY21].
    """

    reynolds_at_middle: float
    laminar: float = LAMINAR_COEFFICIENT
    turbulent: float = TURBULENT_COEFFICIENT
    width: float = 0.1
    doubt: float = 0.26

    def __post_init__(self) -> None:
        amounts = {"reynolds_at_middle": _REYNOLDS, "laminar": _COEFFICIENT}
        amounts |= {"turbulent": _COEFFICIENT, "width": _WIDTH, "doubt": _DOUBT}
        check_amounts(self, amounts)

    def __call__(self, reynolds: ArrayLike) -> Floats:
        """Coefficients at Reynolds numbers."""
        away = np.log(np.asarray(reynolds, dtype=np.float64) / self.reynolds_at_middle)
        step = 0.5 * (1.0 + np.tanh(away / self.width))
        return np.asarray(self.laminar + (self.turbulent - self.laminar) * step, dtype=np.float64)


@dataclass(frozen=True, slots=True)
class TabulatedDrag:
    """Drag law: coefficients measured at Reynolds numbers, joined straight over its logarithm.

    Beyond its ends the coefficient stays as it is there. Called with Reynolds numbers on the
    shaft's diameter it gives coefficients on the shaft's cross-section.

    Parameters
    ----------
    reynolds : tuple of float
        Reynolds numbers, growing, two at least. [-]
    drag_coefficient : tuple of float
        The coefficient at each. [-]
    doubt : float, default 0.26
        Standard deviation of the logarithm of the factor by which all of it may be off. [-]

    Example
    -------
    >>> law = TabulatedDrag(reynolds=(1e4, 2e4, 4e4), drag_coefficient=(1.5, 2.5, 2.6))
    >>> float(law(2e4))
    2.5

    Source
    ------
    docs/physics.md eq. (1.5).
    """

    reynolds: tuple[float, ...]
    drag_coefficient: tuple[float, ...]
    doubt: float = 0.26

    def __post_init__(self) -> None:
        check_amounts(self, {"doubt": _DOUBT})
        for name, amount in (("reynolds", _REYNOLDS), ("drag_coefficient", _COEFFICIENT)):
            object.__setattr__(self, name, _row(name, getattr(self, name), amount))
        if len(self.reynolds) != len(self.drag_coefficient) or len(self.reynolds) < 2:
            wrong = f"{len(self.reynolds)} numbers for {len(self.drag_coefficient)} coefficients"
            mend = "Give two or more, a coefficient for each"
            raise BadInput("TabulatedDrag.reynolds", wrong, mend)
        if any(after <= before for before, after in pairwise(self.reynolds)):
            raise BadInput("TabulatedDrag.reynolds", "they do not grow", "Give the smallest first")

    def __call__(self, reynolds: ArrayLike) -> Floats:
        """Coefficients at Reynolds numbers."""
        at = np.log(np.asarray(reynolds, dtype=np.float64))
        return np.asarray(np.interp(at, np.log(self.reynolds), self.drag_coefficient))


def _row(name: str, values: object, amount: Amount) -> tuple[float, ...]:
    place = f"TabulatedDrag.{name}"
    if isinstance(values, str) or not isinstance(values, Iterable):
        raise BadInput(place, f"{shown(values)} is no row of numbers", "Give a tuple of numbers")
    return tuple(checked_number(f"{place}[{at}]", one, amount) for at, one in enumerate(values))


@dataclass(frozen=True, slots=True)
class DragShape:
    """How the drag of one arrow changes with its speed, over what it is at 60 m/s.

    Parameters
    ----------
    law : function of the Reynolds number
        Coefficients. [-]
    reynolds_per_mps : float
        Reynolds number at a metre a second, in the rig's own air. [s/m]
    """

    law: TransitionDrag | TabulatedDrag
    reynolds_per_mps: float

    @property
    def at_reference(self) -> float:
        """The law's own coefficient at 60 m/s. [-]"""
        return float(self.law(self.reynolds_per_mps * REFERENCE_MPS))

    def share(self, airspeed_mps: Floats, density_ratio: Floats | float) -> Floats:
        """Coefficient over that at 60 m/s.

        Parameters
        ----------
        airspeed_mps : (...) array
            Speed through the air. [m/s]
        density_ratio : (...) array
            Density of the air over that of the rig's own. [-]

        Returns
        -------
        (...) array
            1 at 60 m/s in the rig's own air. [-]

        Source
        ------
        docs/physics.md eq. (1.5).
        """
        reynolds = self.reynolds_per_mps * density_ratio * airspeed_mps
        return np.asarray(self.law(reynolds) / self.at_reference, dtype=np.float64)

"""Statements: several numbers said of one thing, weighed together, and wider where they disagree.

Two instruments that differ by more than their errors allow have an error that neither states. Who
is wrong cannot be told from two, so both count, and the doubt grows until they agree.

Holds:  the weighed mean with its scale factor; the record of statements that disagree.
Never:  where statements come from (prior.py), sentences.
Source: docs/physics.md §7; docs/sources.md [BIRGE], [PDG].
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt

import numpy as np
from scipy.special import chdtrc

UNLIKELY = 0.01  # chance that sound statements differ so much; below it the difference is told


@dataclass(frozen=True, slots=True)
class Weighed:
    """Several statements as one.

    Parameters
    ----------
    value, sd : float
        Weighed mean and its doubt, the scale factor in it; in the unit of the statements.
    scale : float
        How much wider the doubt is than the statements say, at least 1. [-]
    chance : float
        That sound statements differ at least so much. [-]
    """

    value: float
    sd: float
    scale: float
    chance: float


@dataclass(frozen=True, slots=True)
class Disagreement:
    """Statements about one unknown that differ by more than their doubts allow.

    Parameters
    ----------
    name : str
        Of the unknown.
    said : tuple of (str, float, float)
        Who says it, value and doubt as stated, in the unknown's own unit.
    weighed : Weighed
        What they come to together, in the same unit.
    """

    name: str
    said: tuple[tuple[str, float, float], ...]
    weighed: Weighed


def weigh(values: Sequence[float], sds: Sequence[float]) -> Weighed:
    """Weighed mean of independent statements, its doubt scaled until they agree.

    Parameters
    ----------
    values, sds : (n,) sequences
        What is said and its standard deviation, in one unit; at least one.

    Returns
    -------
    Weighed
        All count in the mean and in the chance; of three and more, those whose own doubt is too
        large to tell are left out of the scale factor.

    Example
    -------
    Two that differ count with half their difference, whatever they claim:

    >>> found = weigh((270.0, 292.0), (1.0, 1.0))
    >>> round(found.value, 1), round(found.sd, 1)
    (281.0, 11.0)

    Source
    ------
    docs/physics.md eq. (7.7); [BIRGE], [PDG].
    """
    value, sd = np.asarray(values, dtype=np.float64), np.asarray(sds, dtype=np.float64)
    weight = sd**-2.0
    mean, doubt = float(value @ weight / weight.sum()), float(weight.sum() ** -0.5)
    if len(value) == 1:
        return Weighed(mean, doubt, 1.0, 1.0)
    away2 = weight * np.square(value - mean)
    telling = (sd < 3.0 * sqrt(len(value)) * doubt) | (len(value) == 2)
    freedoms = int(telling.sum()) - 1
    scale = max(1.0, sqrt(away2[telling].sum() / freedoms)) if freedoms else 1.0
    chance = float(chdtrc(len(value) - 1, away2.sum()))
    return Weighed(mean, doubt * scale, scale, chance)

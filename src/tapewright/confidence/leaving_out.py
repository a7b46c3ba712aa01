"""Leaving out: what all groups but one let expect of it, and what may be trusted without it.

As long as its record has answers, each with its unit and its equation: half of it is docstrings.

Holds:  the LeftOut record; how well a sheet explains its arrows; how far marks told with a group
        hold without it.
Never:  which mistakes people make (mistakes.py), which is named (slips.py), sentences.
Source: docs/physics.md eq. (8.26) to (8.28); docs/sources.md [MACKAY92].
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from math import log

import numpy as np
from numpy.typing import NDArray
from scipy.special import logsumexp

from tapewright.calibration.evidence import Evidence, evidence_from
from tapewright.calibration.fit import Calibration, fit_bow
from tapewright.calibration.misfit import (
    group_sds,
    log_posterior,
    predicted_angles,
    robust_centres,
    with_set_up_doubt,
)
from tapewright.calibration.observation import Observation
from tapewright.calibration.prior import Prior
from tapewright.confidence.bands import Spread, spread_of_marks, trusted_of, within_reach
from tapewright.confidence.checks import GroupCheck, group_checks
from tapewright.confidence.posterior import Posterior, draw_posterior
from tapewright.sight.prediction import Aim, impact_gradient

Floats = NDArray[np.float64]

THINNED = 4  # every so many draws tell odds well enough
FEW = 32  # the same, where a glance is enough
SURE = 0.98  # chance wanted of marks told with a group that may be wrong, should it be
ONE_OF = 4  # no more than one group of so many is left out beside others


def log_evidence(calibration: Calibration) -> float:
    """Logarithm of how well a sheet explains its arrows, whatever the unknowns are.

    Parameters
    ----------
    calibration : Calibration
        A finished fit.

    Returns
    -------
    float
        By Laplace's method; a density of the angles of arrows, per radian each. [-]

    Source
    ------
    docs/physics.md eq. (8.27); [MACKAY92].
    """
    height = float(log_posterior(calibration.evidence, calibration.best[None])[0])
    sheet = float(np.linalg.slogdet(calibration.evidence.prior.whitening)[1])
    return height + sheet + 0.5 * float(np.linalg.slogdet(calibration.covariance)[1])


@dataclass(frozen=True)
class LeftOut:
    """All groups but one, and what they let expect of it; drawn only once that is asked.

    Parameters
    ----------
    written : Observation
        The group, as it stands in the notes.
    calibration : Calibration
        Fit of all others, told on the scale on which the group was shot.
    carried : Prior or None
        Beliefs carried over from another rig.
    seed : int
        Of the draws. [-]
    beside : int, default 0
        Groups that had been left out before it.
    """

    written: Observation
    calibration: Calibration
    carried: Prior | None
    seed: int
    beside: int = 0

    @cached_property
    def posterior(self) -> Posterior:
        """Draws from all others."""
        return draw_posterior(self.calibration, np.random.default_rng(self.seed))

    @cached_property
    def told(self) -> Posterior:
        """The same draws on the scale of which marks are told."""
        rig, shots = self.calibration.rig, self.calibration.evidence.observations
        if self.written.scales == rig.sight.scales:
            return self.posterior
        fit = fit_bow(rig, shots, self.carried)
        return draw_posterior(fit, np.random.default_rng(self.seed))

    @cached_property
    def groups(self) -> tuple[GroupCheck, ...]:
        """The others against their own fit."""
        return group_checks(self.calibration)

    @cached_property
    def fitting(self) -> "LeftOut | None":
        """Those of all others that fit each other; None where too few groups would be left."""
        odd = [place for place, group in enumerate(self.groups) if group.is_odd]
        if not odd:
            return self
        shots = self.calibration.evidence.observations
        out = 1 + self.beside
        if ONE_OF * (out + 1) > len(shots) + out:
            return None
        worst = max(odd, key=lambda place: self.groups[place].surprise)
        without = left_out(self.calibration, worst, self.carried, self.seed)
        return replace(without, beside=out).fitting

    @cached_property
    def log_others(self) -> float:
        """Evidence of the others. [-]"""
        return log_evidence(self.calibration)

    @cached_property
    def _vectors(self) -> Floats:
        return np.asarray(self.posterior.vectors[::THINNED])

    @cached_property
    def _nothing(self) -> Evidence:
        nothing = evidence_from(self.calibration.rig, (), self.carried)
        return replace(nothing, prior=self.calibration.evidence.prior, steps=None)

    @cached_property
    def _of_beliefs(self) -> Floats:
        """Height of each draw's beliefs, which every likelihood below stands on."""
        return log_posterior(self._nothing, self._vectors)

    def _seen_as(self, meant: Sequence[Observation]) -> Evidence:
        """The group alone, in one or several readings of it, before what the others tell."""
        alone = evidence_from(self.calibration.rig, tuple(meant), self.carried)
        prior = self.calibration.evidence.prior
        own = np.full(len(meant), -1, dtype=np.intp)
        return replace(alone, prior=prior, shared=own, steps=None)

    def _with_doubt(self, meant: Observation) -> Evidence:
        return with_set_up_doubt(self._seen_as((meant,)), self.calibration.best)

    def offsets(self, meant: Sequence[Observation]) -> tuple[Floats, Floats]:
        """How far above where it should the group lies, for each of what may have been meant.

        Parameters
        ----------
        meant : sequence of Observation, n of them
            What may have been meant.

        Returns
        -------
        (n,) array, (n,) array
            Up positive, and one standard deviation; nan where no arrow flies so. [rad]
        """
        few = self.posterior.vectors[::FEW]
        middle = np.median(few, axis=0)
        evidence = self._seen_as(meant)
        _, seen = robust_centres(evidence, middle)
        with np.errstate(invalid="ignore"):
            _, said = predicted_angles(evidence, few)
            _, own = group_sds(self._with_doubt(self.written), middle)
            return seen - np.median(said, axis=0), np.hypot(own, said.std(axis=0))

    def log_likelihood(self, meant: Observation) -> float:
        """Logarithm of the chance of the group's arrows, over all that the others leave open.

        Parameters
        ----------
        meant : Observation
            What may have been meant.

        Returns
        -------
        float
            Of angles, per radian each. [-]

        Source
        ------
        docs/physics.md eq. (8.27).
        """
        told = log_posterior(self._with_doubt(meant), self._vectors) - self._of_beliefs
        return float(logsumexp(np.where(np.isnan(told), -np.inf, told))) - log(len(told))

    @cached_property
    def up_per_reading(self) -> float:
        """How far the group's arrows move for a change of reading. [-]"""
        unknowns, best = self.calibration.evidence.prior.unknowns, self.calibration.best
        below = unknowns.pin_below(best, np.array([self.written.pin]))
        far, reading = np.array([self.written.distance_m]), np.array([self.written.reading_m])
        slope = impact_gradient(unknowns.bow(best), far, reading, Aim(pin_below_m=below))
        return float(slope.by_reading[0])

    @cached_property
    def dialled(self) -> Observation:
        """The group with the reading with which it would lie just where it should."""
        return self._dialled_by(lambda meant: float(self.offsets((meant,))[0][0]))

    def _dialled_by(self, off_rad: Callable[[Observation], float]) -> Observation:
        meant = self.written
        for _ in range(3):
            by_m = off_rad(meant) * meant.distance_m / self.up_per_reading
            meant = replace(meant, reading_m=meant.reading_m + by_m)
        return meant

    @cached_property
    def at_best(self) -> float:
        """Logarithm of the chance of the group's arrows if it lay just where it should. [-]"""
        return self.log_likelihood(self.dialled)

    @cached_property
    def at_most(self) -> float:
        """The same for the likeliest bow alone, which no other comes above; without draws. [-]"""
        best = self.calibration.best

        def off_rad(meant: Observation) -> float:
            evidence = self._seen_as((meant,))
            seen, said = robust_centres(evidence, best), predicted_angles(evidence, best)
            return float(seen[1][0] - said[1][0])

        meant = self._dialled_by(off_rad)
        beliefs = log_posterior(self._nothing, best[None])
        told = log_posterior(self._with_doubt(meant), best[None]) - beliefs
        return float(np.nan_to_num(told[0], nan=-np.inf))

    def anywhere(self, sd_rad: float) -> float:
        """Logarithm of the chance of the group's arrows if it may lie off by so much.

        Parameters
        ----------
        sd_rad : float
            How far from where its reading puts it, one standard deviation. [rad]

        Returns
        -------
        float
            Of angles, per radian each. [-]

        Source
        ------
        docs/physics.md eq. (8.28).
        """
        return self._spread_over(sd_rad, float(self.offsets((self.written,))[0][0]))

    def whatever_dialled(self, sd_m: float) -> float:
        """Logarithm of the chance of the group's arrows if nobody knows what was dialled.

        Parameters
        ----------
        sd_m : float
            How far off its mark a sight is dialled, one standard deviation. [m]

        Returns
        -------
        float
            Of angles, per radian each. [-]

        Source
        ------
        docs/physics.md eq. (8.28).
        """
        _, seen = robust_centres(self._seen_as((self.written,)), self.calibration.best)
        sd_rad = sd_m * abs(self.up_per_reading) / self.written.distance_m
        return self._spread_over(sd_rad, float(seen[0]))

    def _spread_over(self, sd_rad: float, off_rad: float) -> float:
        narrow_rad = float(self.offsets((self.written,))[1][0])
        wide_rad = float(np.hypot(narrow_rad, sd_rad))
        return self.at_best + log(narrow_rad / wide_rad) - 0.5 * (off_rad / wide_rad) ** 2


def left_out(
    calibration: Calibration, place: int, carried: Prior | None = None, seed: int = 1
) -> LeftOut:
    """All groups but one.

    Parameters
    ----------
    calibration : Calibration
        A fit of all.
    place : int
        Which is left out, from 0.
    carried : Prior, optional
        Beliefs carried over from another rig; absent: those of the sheet.
    seed : int, default 1
        Of the draws. [-]

    Returns
    -------
    LeftOut
        Fitted anew.

    Raises
    ------
    CalibrationFailed
        If the others cannot be brought together.
    """
    shots = calibration.evidence.observations
    written, others = shots[place], shots[:place] + shots[place + 1 :]
    fit = fit_bow(calibration.rig, others, carried, written.scales)
    return LeftOut(written, fit, carried, seed)


def trusted_without(
    told: Spread, without: Sequence[LeftOut], tolerance_m: float, pin: int = 1
) -> float:
    """How far marks told with all groups hold whichever of some is wrong.

    Marks as they are told lie off the middle of what is possible without the group, so this is
    never farther than what its own marks would carry.

    Parameters
    ----------
    told : Spread
        Marks as they are told, at growing distances that may be trusted.
    without : sequence of LeftOut
        Without each group that may be wrong.
    tolerance_m : float
        Radius of the miss that is still good. [m]
    pin : int, default 1
        Which pin is aimed with. [-]

    Returns
    -------
    float
        One of the distances; 0 for none. Others that do not fit without it either are left out
        as well; 0 where that leaves too few. [m]

    Source
    ------
    docs/physics.md eq. (8.29).
    """
    farthest_m = float(told.distance_m[-1]) if len(told.distance_m) else 0.0
    for one in (left.fitting for left in without):
        far = within_reach(one.told, told.distance_m) if one else told.distance_m[:0]
        if one is None or not len(far):
            return 0.0
        middle = told.at(np.arange(len(far)))
        alone = spread_of_marks(one.told, far, max(told.probability, SURE), pin)
        beside = replace(alone, reading_m=middle.reading_m, up_per_reading=middle.up_per_reading)
        farthest_m = min(farthest_m, trusted_of(beside, tolerance_m))
    return farthest_m

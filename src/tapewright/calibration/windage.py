"""Windage: which groups were shot with the windage where it stood, and what that leaves open.

An archer turns the windage between groups and seldom writes it down. So between two groups of
which nothing is told it may have been moved or not; both are weighed, group by group in the order
shot, and what is left is one windage, with its doubt: that of the last group, with which the next
arrow flies. Nothing of it is sampled, so it costs the same for each of two hundred groups.

Holds:  the Turns and Steered records; turns that were told; the chain from group to group; each
        group against the others.
Never:  where arrows landed (evidence.py), densities of arrows (misfit.py), elevation.
Source: docs/physics.md eq. (7.10) to (7.12); chances and sizes are common practice, no source.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import hypot, log, pi, sqrt
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from tapewright.calibration.observation import Observation

Floats = NDArray[np.float64]

MOVED_CHANCE = 0.2  # that windage was moved before a group of which nothing is told
MOVED_IN_SESSION = 0.02  # the same before a group of the session of the group before
MOVED_SD_RAD = 3e-3  # where it then stands: whoever moves it moves it to hit
SURELY = 1.0 - 1e-9


@dataclass(frozen=True)
class Turns:
    """What is told of the windage of g groups, as a chain in which a scale's groups stand together.

    Parameters
    ----------
    order : (g,) array of int
        The groups as the chain takes them; the last one shot stands last. [-]
    turned_rad : (g,) array
        By which angle the arrows were turned to the right, as told, since the group before in the
        chain. [rad]
    turned_sd_rad : (g,) array
        Doubt about that. [rad]
    moved : (g,) array
        Chance that the windage was moved besides, before each group of the chain. [-]
    """

    order: NDArray[np.intp]
    turned_rad: Floats
    turned_sd_rad: Floats
    moved: Floats


@dataclass(frozen=True)
class Centres:
    """What d draws take from the arrows of g groups about where their centres lie to the right.

    Parameters
    ----------
    log_share, middle_rad, variance_rad2 : (d, g) array
        The arrows' likelihood as a Gaussian of the centre: logarithm of its integral [-], its
        mean [rad] and its variance [rad²].
    """

    log_share: Floats
    middle_rad: Floats
    variance_rad2: Floats


@dataclass(frozen=True)
class Steered:
    """What d draws know, after the last group, of windage and sideways offset.

    Parameters
    ----------
    log_likelihood : (d,) array
        Of all groups. [-]
    windage_rad, side_m : (d,) array
        Means. [rad], [m]
    windage_rad2, both_rad_m, side_m2 : (d,) array
        Variances, and the covariance of the two. [rad²], [rad m], [m²]
    """

    log_likelihood: Floats
    windage_rad: Floats
    side_m: Floats
    windage_rad2: Floats
    both_rad_m: Floats
    side_m2: Floats

    def drawn(self, normal: Floats) -> tuple[Floats, Floats]:
        """One windage and sideways offset for each draw.

        Parameters
        ----------
        normal : (d, 2) array
            Standard normal numbers. [-]

        Returns
        -------
        (d,) array, (d,) array
            [rad], [m]
        """
        root = np.sqrt(self.windage_rad2)
        with_it = self.both_rad_m / root
        left = np.sqrt(np.maximum(self.side_m2 - with_it**2, 0.0))
        windage = self.windage_rad + root * normal[:, 0]
        return windage, self.side_m + with_it * normal[:, 0] + left * normal[:, 1]


def _scale(one: Observation, click_m: float | None) -> tuple[str, float | None]:
    """On which scale the windage of a group is told, and where the pin stood there. [m]"""
    if one.windage_m is not None:
        return "mm", one.windage_m
    if one.windage_clicks is not None:
        return "clicks", one.windage_clicks if click_m is None else one.windage_clicks * click_m
    return "", None


def told_turns(
    before: Observation, after: Observation, click_m: float | None, sight_radius_m: float
) -> float | None:
    """By which angle arrows were turned to the right between two groups, as told.

    Parameters
    ----------
    before, after : Observation
        Two groups.
    click_m : float or None
        Sideways pin movement per click; None: the sheet does not say. [m]
    sight_radius_m : float
        Eye to pin. [m]

    Returns
    -------
    float or None
        None where it is not told. [rad]

    Source
    ------
    docs/physics.md eq. (7.10): a pin moved to the right turns the arrows to the left.
    """
    (scale, was_m), (other, is_m) = _scale(before, click_m), _scale(after, click_m)
    if scale != other or was_m is None or is_m is None:
        return None
    if scale == "clicks" and click_m is None and was_m != is_m:
        return None
    return (was_m - is_m) / sight_radius_m


def _chained(observations: Sequence[Observation], click_m: float | None) -> list[int]:
    """Groups of one scale or session together, in the order in which each was last shot."""
    keys = [
        _scale(one, click_m)[0] or (f"session {one.session}" if one.session else str(place))
        for place, one in enumerate(observations)
    ]
    last = {key: place for place, key in enumerate(keys)}
    return sorted(range(len(keys)), key=lambda place: (last[keys[place]], place))


def turns_of(
    observations: Sequence[Observation],
    click_m: float | None,
    sight_radius_m: float,
    doubts: tuple[float, float],
    *,
    is_carried: bool = False,
) -> Turns:
    """What groups tell of their windage.

    Parameters
    ----------
    observations : sequence of Observation
        In the order shot.
    click_m : float or None
        Sideways pin movement per click; None: the sheet does not say. [m]
    sight_radius_m : float
        Eye to pin. [m]
    doubts : (float, float)
        Of the sight radius, relative [-], and of setting a pointer [m].
    is_carried : bool, default False
        Whether the first group follows those of another set-up.

    Returns
    -------
    Turns
        As a chain.

    Source
    ------
    docs/physics.md eq. (7.10).
    """
    relative_sd, reading_sd_m = doubts
    order = _chained(observations, click_m)
    rows = [(0.0, 0.0, MOVED_CHANCE if is_carried else 0.0)]
    for was, now in pairwise(order):
        before, after = observations[was], observations[now]
        turned = told_turns(before, after, click_m, sight_radius_m)
        if turned is not None:
            set_m = reading_sd_m if turned and after.windage_m is not None else 0.0
            doubt = hypot(relative_sd * turned, sqrt(2.0) * set_m / sight_radius_m)
            rows.append((turned, doubt, 0.0))
            continue
        same_session = after.session and after.session == before.session
        moved = MOVED_IN_SESSION if same_session else MOVED_CHANCE
        if _scale(before, click_m)[0] == _scale(after, click_m)[0] == "clicks":
            moved = SURELY  # other clicks than before, and nobody told how large they are
        rows.append((0.0, 0.0, moved))
    table = np.array(rows[: len(order)], dtype=np.float64).reshape(-1, 3)
    return Turns(np.array(order, dtype=np.intp), *table.T)


class _State(NamedTuple):
    """Windage and sideways offset of d draws as Gaussians, eq. (7.11): means and covariances."""

    windage: Floats
    side: Floats
    ww: Floats
    ws: Floats
    ss: Floats

    def turned(self, by_rad: float, sd_rad: float) -> "_State":
        """The state after a turn that was told."""
        return self._replace(windage=self.windage + by_rad, ww=self.ww + sd_rad**2)

    def moved(self) -> "_State":
        """The state if the windage was moved: nothing is known of it but that it is to hit."""
        none = np.zeros_like(self.side)
        return self._replace(windage=none, ww=none + MOVED_SD_RAD**2, ws=none)

    def observed(self, seen: Floats, variance: Floats, per_m: float) -> tuple[Floats, "_State"]:
        """Log density of a centre at 1/distance, and the state that has seen it."""
        to_windage, to_side = self.ww + per_m * self.ws, self.ws + per_m * self.ss
        total = to_windage + per_m * to_side + variance
        away = seen - self.windage - per_m * self.side
        gain, other = to_windage / total, to_side / total
        after = _State(
            self.windage + gain * away,
            self.side + other * away,
            self.ww - gain * to_windage,
            self.ws - gain * to_side,
            self.ss - other * to_side,
        )
        return -0.5 * (np.log(2.0 * pi * total) + away * away / total), after

    def mixed(self, other: "_State", share: Floats) -> "_State":
        """One Gaussian with mean and covariance of the mixture, the other state by its share."""
        off, beside, both = other.windage - self.windage, other.side - self.side, share - share**2
        return _State(
            self.windage + share * off,
            self.side + share * beside,
            self.ww + share * (other.ww - self.ww) + both * off * off,
            self.ws + share * (other.ws - self.ws) + both * off * beside,
            self.ss + share * (other.ss - self.ss) + both * beside * beside,
        )


def steered(
    turns: Turns,
    centres: Centres,
    seen: NDArray[np.bool_],
    distance_m: Floats,
    start: tuple[Floats, Floats],
) -> Steered:
    """Likelihood of all groups to the right, and the windage that stands after the last.

    Parameters
    ----------
    turns : Turns
        What is told of the windage.
    centres : Centres
        Of the arrows, with all that shifts whole groups in their variance and without drift.
    seen : (g,) array of bool
        Which groups were measured to the right.
    distance_m : (g,) array
        Distances. [m]
    start : (d, 2) array, (2, 2) array
        Belief about windage and sideways offset before the first group: mean of each draw, and
        covariance. [rad], [m]

    Returns
    -------
    Steered
        Windage that nobody told is integrated out.

    Source
    ------
    docs/physics.md eq. (7.11), (7.12).
    """
    mean, covariance = start
    total = np.zeros(len(mean))
    state = _State(
        mean[:, 0], mean[:, 1], *(total + covariance[place] for place in ((0, 0), (0, 1), (1, 1)))
    )
    for place, group in enumerate(turns.order):
        state = state.turned(float(turns.turned_rad[place]), float(turns.turned_sd_rad[place]))
        moved = float(turns.moved[place])
        if not seen[group]:
            state = state.mixed(state.moved(), total * 0.0 + moved) if moved else state
            continue
        seen_there = centres.middle_rad[:, group], centres.variance_rad2[:, group]
        per_m = 1.0 / float(distance_m[group])
        told, after = state.observed(*seen_there, per_m)
        if moved:
            fresh, other = state.moved().observed(*seen_there, per_m)
            stays, goes = told + log(1.0 - moved), fresh + log(moved)
            told = np.logaddexp(stays, goes)
            after = after.mixed(other, np.exp(goes - told))
        total = total + told + centres.log_share[:, group]
        state = after
    return Steered(total, *state)

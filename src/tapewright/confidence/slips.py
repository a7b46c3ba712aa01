"""Slips: whether a group was written down wrongly, and how.

Each suspected group is left out, and each mistake by which it may have come to be written so is
asked how well what was meant agrees with all the others. "Nobody erred" and "something else befell
this group" are asked beside them: a slip is named only where it explains far better than both.

Holds:  the Slip and Doubt records; the odds of mistakes, and which are named.
Never:  which mistakes there are (mistakes.py), what may be trusted (leaving_out.py), sentences.
Source: docs/physics.md eq. (8.26) to (8.28); docs/sources.md [MACKAY92].
"""

from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from math import log

import numpy as np
from scipy.special import logsumexp

from tapewright.calibration.fit import Calibration, fit_bow
from tapewright.calibration.observation import Observation
from tapewright.calibration.prior import Prior
from tapewright.confidence.checks import Caution, GroupCheck
from tapewright.confidence.leaving_out import LeftOut, left_out, log_evidence
from tapewright.confidence.mistakes import Mistake, mistakes_in, mistakes_in_all
from tapewright.ground.errors import CalibrationFailed, LaunchUnreachable

ELSE = 0.002  # chance that something else befell a group: a bump, a moved butt, another arrow
ELSE_SD_RAD = 4e-3  # how far it then lies off
OPEN_SD_M = 5e-3  # how far off its mark a sight is dialled that nobody wrote down
CALLED = 0.5  # chance from which a slip is named
PLAUSIBLE = 0.03  # chance from which a group may be the one that is wrong
AS_WELL = 2.0  # of log evidence: mistakes nearer to each other the arrows cannot part
MOST_FIRST = 6  # mistakes named beside each other
FEW_GROUPS = 8  # as many are left out, one at a time; of more those that fit worst
MOST_SUSPECTS = 4
ASKED = 12  # mistakes of a group asked in full
FAR_OFF = 6.0  # deviations: what was meant cannot lie so far off
HOPELESS = 12.0  # of log evidence: what cannot come nearer to the best is not asked


@dataclass(frozen=True, slots=True)
class Slip:
    """A mistake that the arrows speak for.

    Parameters
    ----------
    mistake : Mistake
        What was meant; a reading that nothing written tells is the likeliest one.
    chance : float
        That it was this one. [-]
    weight : float
        Logarithm of how well it explains all arrows, for comparison. [-]
    """

    mistake: Mistake
    chance: float
    weight: float


@dataclass(frozen=True)
class Doubt:
    """What is to be thought of groups that do not fit.

    Parameters
    ----------
    slips : tuple of Slip
        The likeliest mistake and those that the arrows cannot part from it, the likeliest first;
        empty where none is likely enough to be named.
    without : tuple of LeftOut
        Without each group that may be the wrong one.
    wrong : tuple of int
        Groups that do not fit if what is named is so, counted from 0 among those seen to hit;
        empty where nothing is named.
    """

    slips: tuple[Slip, ...] = ()
    without: tuple[LeftOut, ...] = ()
    wrong: tuple[int, ...] = ()


NO_DOUBT = Doubt()


def _measures(shot: Observation) -> int:
    return sum(len(shot.group.along(axis)[0]) for axis in ("up", "right"))


def _size(shot: Observation) -> float:
    seen = np.concatenate([shot.group.along(axis)[0] for axis in ("up", "right")])
    return float(np.abs(seen).sum())


def stretch(written: Observation, meant: Observation) -> float:
    """What makes a density of the angles meant one of the angles written, as a logarithm.

    Parameters
    ----------
    written, meant : Observation
        The group as written, and as it may have been meant.

    Returns
    -------
    float
        To be added. [-]

    Source
    ------
    docs/physics.md eq. (8.26).
    """
    before, after = _size(written), _size(meant)
    arrows = log(after / before) if before else 0.0
    return _measures(written) * (arrows - log(meant.distance_m / written.distance_m))


def _likely(left: LeftOut, mistakes: Sequence[Mistake]) -> Iterator[Mistake]:
    """The mistakes of a group that bring it nearer to where it should lie, most likely first."""
    off_rad, sd_rad = left.offsets([left.written, *(one.meant[0] for one in mistakes)])
    far = np.abs(off_rad / sd_rad)
    nearer = far < min(FAR_OFF, far[0])
    ranked = [
        (log(one.chance) - 0.5 * far[place] ** 2 - log(sd_rad[place]), place)
        for place, one in enumerate(mistakes, 1)
        if nearer[place] and not one.is_reading_open
    ]
    ranked.sort(reverse=True)
    yield from (mistakes[place - 1] for _, place in ranked[:ASKED])
    yield from (one for one in mistakes if one.is_reading_open)


def _of_one(left: LeftOut, mistakes: Sequence[Mistake]) -> Iterator[Slip]:
    """Mistakes of one group with their evidence."""
    for one in _likely(left, mistakes):
        if one.is_reading_open:
            told = left.log_others + left.whatever_dialled(OPEN_SD_M)
            yield Slip(replace(one, meant=(left.dialled,)), 0.0, told)
            continue
        with suppress(LaunchUnreachable):
            told = left.log_likelihood(one.meant[0]) + stretch(left.written, one.meant[0])
            yield Slip(one, 0.0, left.log_others + told)


def _of_all(calibration: Calibration, pins: int, carried: Prior | None) -> Iterator[Slip]:
    """Mistakes of all rows, or of two groups, with their evidence."""
    shots = calibration.evidence.observations
    if len(shots) > FEW_GROUPS:
        return
    for one in mistakes_in_all(shots, pins, calibration.rig.sight.tape):
        meant = list(shots)
        for place, other in zip(one.places, one.meant, strict=True):
            meant[place] = other
        with suppress(CalibrationFailed, LaunchUnreachable):
            told = log_evidence(fit_bow(calibration.rig, tuple(meant), carried))
            told += sum(stretch(*pair) for pair in zip(shots, meant, strict=True))
            yield Slip(one, 0.0, told)


def _suspects(groups: Sequence[GroupCheck]) -> list[int]:
    """Groups that may be the wrong one: all of few, else those that fit worst."""
    worst = sorted(range(len(groups)), key=lambda place: -groups[place].surprise)
    return sorted(worst[: len(groups) if len(groups) <= FEW_GROUPS else MOST_SUSPECTS])


def find_doubt(
    calibration: Calibration,
    groups: Sequence[GroupCheck],
    seed: int = 1,
    carried: Prior | None = None,
) -> Doubt:
    """What is to be thought of groups that do not fit.

    Parameters
    ----------
    calibration : Calibration
        A finished fit.
    groups : sequence of GroupCheck
        Its groups against it.
    seed : int, default 1
        Of the draws. [-]
    carried : Prior, optional
        Beliefs carried over from another rig; absent: those of the sheet.

    Returns
    -------
    Doubt
        The slips named, and draws without each group that may be the wrong one.

    Source
    ------
    docs/physics.md eq. (8.26) to (8.28).
    """
    shots = calibration.evidence.observations
    if len(shots) < 2:
        return NO_DOUBT
    pins = 1 + calibration.evidence.prior.unknowns.pins
    none = log_evidence(calibration)
    lefts = _lefts(calibration, groups, carried, seed)
    likely = _likely_wrong(lefts, none)
    elses = {
        place: left.log_others + left.anywhere(ELSE_SD_RAD) + log(ELSE)
        for place, left in likely.items()
    }
    slips = list(_of_all(calibration, pins, carried))
    for place, left in likely.items():
        slips += _of_one(left, mistakes_in(shots, place, pins, calibration.rig.sight.tape))
    weights = [log(slip.mistake.chance) + slip.weight for slip in slips]
    whole = float(logsumexp([none, *elses.values(), *weights]))
    slips = [
        replace(slip, chance=float(np.exp(weight - whole)))
        for slip, weight in zip(slips, weights, strict=True)
    ]
    wrong = {place: float(np.exp(told - whole)) for place, told in elses.items()}
    for slip in slips:
        for place in slip.mistake.places:
            wrong[place] = wrong.get(place, 0.0) + slip.chance
    named = _named(_joined(slips))
    without = [left for place, left in likely.items() if wrong[place] >= PLAUSIBLE]
    if not without:
        without = [left for place, left in lefts.items() if groups[place].is_odd]
    return Doubt(named, tuple(without), _wrong(named, lefts))


def _lefts(
    calibration: Calibration, groups: Sequence[GroupCheck], carried: Prior | None, seed: int
) -> dict[int, LeftOut]:
    """All groups but one, for each that may be the wrong one."""
    lefts = {}
    for place in _suspects(groups):
        with suppress(CalibrationFailed):
            lefts[place] = left_out(calibration, place, carried, seed)
    return lefts


def _likely_wrong(lefts: Mapping[int, LeftOut], none: float) -> dict[int, LeftOut]:
    """Those of them that may explain as well as that nobody erred, or as the best."""
    most = {place: left.log_others + left.at_most for place, left in lefts.items()}
    least = max([none, *(told + log(ELSE) for told in most.values())]) - HOPELESS
    return {place: left for place, left in lefts.items() if most[place] > least}


def _joined(slips: Sequence[Slip]) -> list[Slip]:
    """Slips that would write the same numbers made one, of the likelier kind; likeliest first."""
    joined: dict[tuple[object, ...], Slip] = {}
    for slip in sorted(slips, key=lambda slip: -slip.chance):
        mistake = slip.mistake
        meant = (
            (round(one.distance_m, 4), round(one.reading_m, 6), one.pin, one.group)
            for one in mistake.meant
        )
        same = (mistake.places, mistake.is_reading_open, *meant)
        first = joined.setdefault(same, slip)
        if first is not slip:
            joined[same] = replace(first, chance=first.chance + slip.chance)
    return sorted(joined.values(), key=lambda slip: -slip.chance)


def _named(ranked: Sequence[Slip]) -> tuple[Slip, ...]:
    """The likeliest mistake and those that the arrows cannot part from it."""
    if sum(slip.chance for slip in ranked) < CALLED:
        return ()
    least = ranked[0].weight - AS_WELL
    return tuple(slip for slip in ranked if slip.weight > least)[:MOST_FIRST]


def _wrong(named: Sequence[Slip], lefts: Mapping[int, LeftOut]) -> tuple[int, ...]:
    """Groups that do not fit if the likeliest mistake was made."""
    if not named:
        return ()
    places = named[0].mistake.places
    wrong = set(places)
    if len(places) == 1:
        left = lefts[places[0]]
        others = (place for place in range(1 + len(left.groups)) if place != places[0])
        wrong |= {one for one, check in zip(others, left.groups, strict=True) if check.is_odd}
    return tuple(sorted(wrong))


def slip_cautions(doubt: Doubt, groups: Sequence[GroupCheck]) -> tuple[Caution, ...]:
    """That something was written down wrongly; none where nothing is named.

    Parameters
    ----------
    doubt : Doubt
        What is to be thought of groups that do not fit.
    groups : sequence of GroupCheck
        Those seen to hit.

    Returns
    -------
    tuple of Caution
        One of kind ``"slip"`` about the groups of the likeliest, with its chance, or none.
    """
    if not doubt.slips:
        return ()
    first = doubt.slips[0]
    names = ", ".join(groups[place].name for place in first.mistake.places)
    return (Caution("slip", names, (first.chance,)),)

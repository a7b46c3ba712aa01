"""Repeats: whether arrows of one group were written down in another one, too.

Holds:  which arrows two groups share, and the chance that different arrows are read alike.
Never:  what is done about it (services/record_groups.py).
Source: docs/physics.md eq. (6.17).
"""

from collections import Counter
from difflib import SequenceMatcher
from math import comb, factorial, pi

import numpy as np

from tapewright.target.group import Group
from tapewright.target.rounding import coarsest_step

FEW_ARROWS = 3  # fewer may hit alike by chance, as they are read
GRAIN_M = 1e-4  # alike within these is the same
LIKELIEST = 1e-5  # chance of a likeness, up to which it is none; common practice, no source

Arrow = tuple[int | None, int | None]


def grains(length_m: float | None, grain_m: float) -> int | None:
    """Whole grains; numbers that people read lie on no border between two, whatever the unit."""
    return None if length_m is None else round(length_m / grain_m + 0.137)


def shared_arrows(group: Group, other: Group) -> tuple[int, ...]:
    """Arrows of a group that stand in another one, too; none if chance may have made them alike.

    All arrows of the smaller group are known from three up as they stand in a row; of two groups
    of one size in any order, if measured both ways, for heights alone are alike by chance too
    often. A part of them is known where arrows measured both ways are alike in more cases than
    chance brings about.

    Parameters
    ----------
    group, other : Group
        Shot from one distance with one reading; centres of several arrows are passed over.

    Returns
    -------
    tuple of int
        Their places among the group's impacts, from 0, growing. [-]

    Source
    ------
    docs/physics.md eq. (6.17).
    """
    ours, theirs = _arrows(group), _arrows(other)
    mine, their = list(ours.values()), list(theirs.values())
    alike = _all_of_one(mine, their) or _some(mine, their)
    places = tuple(ours)
    return tuple(places[arrow] for arrow in alike)


def _arrows(group: Group) -> dict[int, Arrow]:
    """Arrows measured one by one, by their places, in the order they were written down."""
    return {
        place: (grains(hit.right_m, GRAIN_M), grains(hit.up_m, GRAIN_M))
        for place, hit in enumerate(group.impacts)
        if hit.arrows == 1 and not hit.called_bad
    }


def _all_of_one(mine: list[Arrow], their: list[Arrow]) -> list[int]:
    """Arrows of the one group if all of the smaller one stand in the larger."""
    few, many = sorted((mine, their), key=len)
    if sum(bool(right or up) for right, up in few) < FEW_ARROWS:
        return []
    in_any_order = all(None not in arrow for arrow in few)
    if in_any_order and sorted(few, key=repr) == sorted(many, key=repr):
        return list(range(len(mine)))
    for start in range(len(many) - len(few) + 1):
        if many[start : start + len(few)] == few:
            return list(range(start, start + len(few)) if mine is many else range(len(mine)))
    return []


def _some(mine: list[Arrow], their: list[Arrow]) -> list[int]:
    """Arrows of the one group that stand in the other, if chance hardly makes as many alike."""
    ours = [place for place, arrow in enumerate(mine) if None not in arrow and any(arrow)]
    own = [mine[place] for place in ours]
    others = [arrow for arrow in their if None not in arrow and any(arrow)]
    left, alike = Counter(others), []
    for place, arrow in zip(ours, own, strict=True):
        if left[arrow]:
            left[arrow] -= 1
            alike.append(place)
    if not alike:
        return []
    once = _chance_alike([*own, *others])
    row = SequenceMatcher(None, own, others, autojunk=False).get_matching_blocks()
    in_order = [ours[start + step] for start, _, length in row for step in range(length)]
    sizes = (len(own), len(others))
    if _chance(len(alike), sizes, once) * factorial(len(alike)) <= LIKELIEST:
        return alike
    return in_order if _chance(len(in_order), sizes, once) <= LIKELIEST else []


def _chance(alike: int, sizes: tuple[int, int], once: float) -> float:
    """Most that chance makes so many arrows of two groups alike, in one order."""
    return float(comb(sizes[0], alike) * comb(sizes[1], alike) * once**alike)


def _chance_alike(arrows: list[Arrow]) -> float:
    """Chance that two arrows of such a spread are read as one."""
    once = 1.0
    for lengths in np.array(arrows, dtype=np.float64).T * GRAIN_M:
        spread_m = float(lengths.std())
        step_m = coarsest_step(lengths, GRAIN_M) or GRAIN_M
        once *= min(1.0, step_m / (2.0 * pi**0.5 * spread_m)) if spread_m else 1.0
    return once

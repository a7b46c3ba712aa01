"""Ticks: which marks get a long tick, a short tick, a number; no two labels touch.

Holds:  rank of a distance; thinning where ticks crowd; choice of numbers.
Never:  strips, lanes, colours; what a distance means on the target.
"""

from collections.abc import Callable, Sequence
from itertools import pairwise
from typing import Literal

Rank = Literal["long", "medium", "short"]
LEAST_TICK_MM = 0.45  # centre to centre; nearer than this, strokes of 0.15 mm merge in print
LEAST_CLEAR_MM = 0.35  # white between two numbers
STEPS = (1, 2, 5, 10)
BLOCK = 5
ROUNDING_MM = 1e-9  # a spacing of exactly the least is enough


def tick_rank(distance: float) -> Rank:
    """Length class of a distance: tens long, fives medium, the rest short.

    Parameters
    ----------
    distance : float
        In the unit printed. [yd or m]

    Returns
    -------
    str
        ``"long"``, ``"medium"`` or ``"short"``.
    """
    ranks: tuple[Rank, ...] = ("long", "medium", "short", "short")
    return ranks[roundness(distance)]


def roundness(distance: float) -> int:
    """How round a distance is: 0 for tens, 1 for fives, 2 for evens, 3 for the rest.

    Parameters
    ----------
    distance : float
        In the unit printed. [yd or m]

    Returns
    -------
    int
        0 to 3. [-]
    """
    steps = enumerate((10.0, 5.0, 2.0))
    return next((rank for rank, step in steps if _is_multiple(distance, step)), 3)


def kept_ticks(
    distances: Sequence[float], places_mm: Sequence[float], *, evenly: bool = True
) -> tuple[bool, ...]:
    """Which ticks are drawn, so that none runs into its neighbour.

    Each block of five is thinned evenly (each second, fifth or tenth) to the
    finest step that leaves `LEAST_TICK_MM`; where two blocks still meet too
    closely, the rounder and then the farther distance stays.

    Parameters
    ----------
    distances : sequence of float
        Growing. [yd or m]
    places_mm : sequence of float
        Where each would stand along the strip, any direction. [mm]
    evenly : bool, default True
        False: each tick for itself, without blocks; for the few close marks.

    Returns
    -------
    tuple of bool
        One for each distance.
    """
    steps = _block_steps(distances, places_mm) if evenly else {}
    candidates = [
        index
        for index, distance in enumerate(distances)
        if not evenly or _is_multiple(distance, steps[_block(distance)])
    ]
    order = sorted(candidates, key=lambda index: (roundness(distances[index]), -index))
    kept: set[int] = set()
    for index in order:
        if all(
            abs(places_mm[index] - places_mm[other]) > LEAST_TICK_MM - ROUNDING_MM for other in kept
        ):
            kept.add(index)
    return tuple(index in kept for index in range(len(distances)))


def numbered(
    distances: Sequence[float],
    places_mm: Sequence[float],
    urgency: Callable[[float], int | None],
    height_mm: Callable[[float], float],
) -> tuple[bool, ...]:
    """Which marks carry a number, the most urgent first, as long as they stand clear.

    Parameters
    ----------
    distances : sequence of float
        Growing; only marks whose tick is drawn. [yd or m]
    places_mm : sequence of float
        Where each stands along the strip; a number is centred on it. [mm]
    urgency : callable
        Distance → 0 for the numbers placed first, more for later ones, None for no number;
        among equals the farther distance is placed first.
    height_mm : callable
        Distance → height of its digits. [mm]

    Returns
    -------
    tuple of bool
        One for each distance.
    """
    wanted = [
        (rank, -index)
        for index, distance in enumerate(distances)
        if (rank := urgency(distance)) is not None
    ]
    placed: set[int] = set()
    for _, negative in sorted(wanted):
        index = -negative
        half_mm = height_mm(distances[index]) / 2.0
        if all(
            abs(places_mm[index] - places_mm[other])
            >= half_mm + height_mm(distances[other]) / 2.0 + LEAST_CLEAR_MM
            for other in placed
        ):
            placed.add(index)
    return tuple(index in placed for index in range(len(distances)))


def _block(distance: float) -> int:
    """Block of five that a distance belongs to [-]."""
    return int(distance // BLOCK)


def _block_steps(distances: Sequence[float], places_mm: Sequence[float]) -> dict[int, float]:
    """Finest step that each block of five can carry; below 1 where marks are given finer."""
    closest: dict[int, float] = {}
    gaps: dict[int, float] = {}
    ends = zip(pairwise(distances), pairwise(places_mm), strict=True)
    for (near, far), (near_mm, far_mm) in ends:
        for block in {_block(near), _block(far - 1e-9)}:
            per_unit_mm = abs(far_mm - near_mm) / (far - near)
            closest[block] = min(closest.get(block, per_unit_mm), per_unit_mm)
            gaps[block] = min(gaps.get(block, far - near), far - near)
    steps: dict[int, float] = {}
    for block in {_block(distance) for distance in distances}:
        room_mm = closest.get(block, LEAST_TICK_MM)
        finest = gaps.get(block, 1.0)
        steps[block] = next(
            (step for step in (finest, *STEPS) if step * room_mm > LEAST_TICK_MM - ROUNDING_MM),
            STEPS[-1],
        )
    return steps


def _is_multiple(distance: float, step: float) -> bool:
    return abs(distance / step - round(distance / step)) < 1e-6

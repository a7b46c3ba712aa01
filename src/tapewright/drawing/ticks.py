"""Ticks: which marks get a long tick, a short tick, a number; no two labels touch.

Holds:  rank of a distance; thinning where ticks crowd; choice of numbers, and how coarse it is.
Never:  strips, lanes, colours; what a distance means on the target.
Source: steps of 1, 2 or 5 times powers of ten, three sizes of ticks, at most nine of them between
        numbers [HDBK759]; white between two numbers of half their height, from memory.
"""

from collections.abc import Callable, Sequence
from itertools import pairwise
from typing import Literal

Rank = Literal["long", "medium", "short"]
LEAST_TICK_MM = 0.45  # centre to centre; nearer than this, strokes of 0.15 mm merge in print
STEPS = (1, 2, 5, 10, 20, 50, 100)
BLOCK = 5
MOST_BETWEEN = 9  # ticks between two numbers
WHITE = 0.5  # between two numbers, of the lower one's height
LINE = 1.0 + WHITE  # from number to number, in heights
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
    finest step that leaves `LEAST_TICK_MM` and goes with the other half of its
    ten; where two blocks still meet too closely, the rounder and then the
    farther distance stays.

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
    height_mm: float,
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
    height_mm : float
        Height of the digits. [mm]

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
        if all(abs(places_mm[index] - places_mm[other]) >= LINE * height_mm for other in placed):
            placed.add(index)
    return tuple(index in placed for index in range(len(distances)))


def numbered_by_rule(
    distances: Sequence[float], places_mm: Sequence[float], height_mm: float
) -> tuple[float, ...]:
    """Distances that carry a number: each ten, and towards the crowded end each 20, 50 or 100.

    Where fewer than two of them would stand, fives, twos or ones do; and where marks follow no
    step at all, whatever stands clear.

    Parameters
    ----------
    distances : sequence of float
        Growing; only marks whose tick is drawn. [yd or m]
    places_mm : sequence of float
        Where each stands along the strip. [mm]
    height_mm : float
        Height of the digits. [mm]

    Returns
    -------
    tuple of float
        Growing. [yd or m]
    """
    places = dict(zip(distances, places_mm, strict=True))
    pitch_mm = LINE * height_mm - ROUNDING_MM
    finest = min((far - near for near, far in pairwise(distances)), default=1.0)
    most = (MOST_BETWEEN + 1) * finest + ROUNDING_MM
    usual = next((step for step in (5, 2, 1) if finest < 0.95 and step <= most), 10)
    for first in dict.fromkeys((usual, 1)):
        chosen = _walked(places, [step for step in STEPS if step >= first], pitch_mm)
        if len(chosen) > 1:
            return chosen
    shown = numbered(distances, places_mm, roundness, height_mm)
    return tuple(one for one, is_shown in zip(distances, shown, strict=True) if is_shown)


def fives_between(
    ticks: Sequence[float],
    distances: Sequence[float],
    places_mm: Sequence[float],
    clear_mm: float,
) -> tuple[float, ...]:
    """Fives that carry a number too: from the far end on, as long as they stand clear.

    Parameters
    ----------
    ticks : sequence of float
        Distances that carry a number already. [yd or m]
    distances : sequence of float
        Growing; only marks whose tick is drawn. [yd or m]
    places_mm : sequence of float
        Where each stands along the strip. [mm]
    clear_mm : float
        Least way from a ten to a five. [mm]

    Returns
    -------
    tuple of float
        Falling. [yd or m]
    """
    places = dict(zip(distances, places_mm, strict=True))
    found: list[float] = []
    for distance in sorted((one for one in distances if roundness(one) == 1), reverse=True):
        beside = [one for one in (distance - 5.0, distance + 5.0) if one in places]
        others = {one for one in (*beside, *ticks) if one in places and one != distance}
        stands = all(abs(places[one] - places[distance]) >= clear_mm for one in others)
        if not stands or not beside or not set(beside) <= set(ticks):
            break
        found.append(distance)
    return tuple(found)


def thinned_between(distances: Sequence[float], numbers: Sequence[float]) -> tuple[float, ...]:
    """Ticks of which no more than nine stand between two numbers.

    Parameters
    ----------
    distances : sequence of float
        Growing; those whose tick there is room for. [yd or m]
    numbers : sequence of float
        Growing; those that carry a number. [yd or m]

    Returns
    -------
    tuple of float
        Those that stay. [yd or m]
    """
    dropped: set[float] = set()
    for near, far in pairwise(numbers):
        between = [one for one in distances if near < one < far]
        if len(between) > MOST_BETWEEN:
            step = (far - near) / (MOST_BETWEEN + 1)
            dropped.update(one for one in between if not _is_multiple(one, step))
    return tuple(one for one in distances if one not in dropped)


def coarseness(distances: Sequence[float], ticks: Sequence[float]) -> tuple[tuple[float, int], ...]:
    """How coarse a lane is to read where ticks were left out.

    Parameters
    ----------
    distances, ticks : sequence of float
        All distances and those whose tick is drawn; growing. [yd or m]

    Returns
    -------
    tuple of (float, int)
        From which distance on ticks stand at which step: (31, 1), (20, 2), (15, 5); falling,
        ending with the nearest tick; empty where none was left out.
    """
    shown = set(ticks)
    stretches: list[tuple[float, int]] = []
    for near, far in reversed(list(pairwise(ticks))):
        left_out = any(near < one < far and one not in shown for one in distances)
        gap = far - near if left_out else 1.0
        step = next(step for step in (*STEPS, int(gap) + 1) if step >= gap - 1e-6)
        step = max(step, stretches[-1][1]) if stretches else step
        if stretches and stretches[-1][1] == step:
            stretches[-1] = near, step
        else:
            stretches.append((near, step))
    return tuple(stretches) if any(step > 1 for _, step in stretches) else ()


def _walked(places: dict[float, float], steps: Sequence[int], pitch_mm: float) -> tuple[float, ...]:
    """Numbers from the far end to the near one; each time one crowds, in the next coarser step."""
    nearest = min(places, default=0.0)
    tries: list[list[float]] = []
    chosen: list[float] = []
    for step in steps:
        while chosen and not _is_multiple(chosen[-1], step):
            chosen.pop()
        if not chosen:
            chosen = sorted(one for one in places if _is_multiple(one, step))[-1:]
        while chosen:
            following = chosen[-1] - step
            if following not in places or (abs(places[following] - places[chosen[-1]]) < pitch_mm):
                break
            chosen.append(following)
        tries.append(list(chosen))
        if chosen and chosen[-1] - step < nearest:
            break

    def worth(numbers: list[float]) -> tuple[bool, int]:
        bare = sum(one < numbers[-1] for one in places) if numbers else len(places)
        return bare <= MOST_BETWEEN, len(numbers)

    best: list[float] = max(tries, key=worth) if tries else []
    return tuple(reversed(best))


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
    return _agreed(steps, dict(zip(distances, places_mm, strict=True)))


def _agreed(steps: dict[int, float], places_mm: dict[float, float]) -> dict[int, float]:
    """Steps of which the two halves of a ten fit together: no tick of either is lost in between."""
    agreed = dict(steps)
    for block in sorted(steps):
        if block % 2 == 0 or block - 1 not in steps:
            continue
        first, second = steps[block - 1], steps[block]
        middle = float(BLOCK * block)
        if min(first, second) == 2 and max(first, second) > 2:
            agreed[block - 1] = agreed[block] = max(first, second)
        elif (first, second) == (2, 1) and {middle - 1.0, middle} <= places_mm.keys():
            meet_mm = abs(places_mm[middle] - places_mm[middle - 1.0])
            agreed[block] = 1 if meet_mm > LEAST_TICK_MM - ROUNDING_MM else 2
    return agreed


def _is_multiple(distance: float, step: float) -> bool:
    return abs(distance / step - round(distance / step)) < 1e-6

"""Record groups: note what was shot, and under which conditions.

Holds:  the records of shooting for the floors above, how they are put together, and that no
        arrow counts twice.
Never:  files (reading/shots.py), weights (calibration).
"""

from collections.abc import Sequence
from dataclasses import replace

from tapewright.calibration.observation import Observation
from tapewright.flight.air import STANDARD_AIR, Air, standard_pressure
from tapewright.ground.errors import BadInput
from tapewright.target.group import Group, Impact, group_centre

__all__ = [
    "MARK_ARROWS",
    "Group",
    "Impact",
    "Observation",
    "bare_mark",
    "group_centre",
    "observe_group",
    "refuse_twice",
    "repeated_groups",
]

FEW_ARROWS = 3  # fewer may hit alike by chance, as they are read
GRAIN_M, READING_GRAIN_M, DISTANCE_GRAIN_M = 1e-4, 1e-5, 1e-2  # alike within these is the same
MARK_ARROWS = 3  # what "it hits here" is worth when nobody said; common practice, no source


def bare_mark(arrows: int = MARK_ARROWS) -> Impact:
    """Impact that says "it hits here"."""
    return Impact(0.0, 0.0, arrows)


def observe_group(
    name: str,
    impacts: Sequence[Impact],
    *,
    distance_m: float,
    reading_m: float,
    pin: int = 1,
    slope_rad: float = 0.0,
    crosswind_mps: float = 0.0,
    temperature_k: float | None = None,
    pressure_pa: float | None = None,
    altitude_m: float | None = None,
    air: Air = STANDARD_AIR,
) -> Observation:
    """Put a group together with what was dialled and where it was shot."""
    if pressure_pa is None and altitude_m is not None:
        pressure_pa = standard_pressure(altitude_m)
    told = {"temperature_k": temperature_k, "pressure_pa": pressure_pa}
    changed = {name: value for name, value in told.items() if value is not None}
    that_day = replace(air, **changed) if changed else None
    return Observation(
        Group(name, tuple(impacts)), distance_m, reading_m, pin, slope_rad, crosswind_mps, that_day
    )


_Arrow = tuple[int | None, int | None]


def _grains(length_m: float | None, grain_m: float) -> int | None:
    """Whole grains; numbers that people read lie on no border between two, whatever the unit."""
    return None if length_m is None else round(length_m / grain_m + 0.137)


def _stand(one: Observation) -> tuple[int | None, ...]:
    """From where and with which pin and reading."""
    reading = _grains(one.reading_m, READING_GRAIN_M)
    return _grains(one.distance_m, DISTANCE_GRAIN_M), reading, one.pin


def _arrows(one: Observation) -> list[_Arrow]:
    """Arrows measured one by one, in the order they were written down."""
    return [
        (_grains(hit.right_m, GRAIN_M), _grains(hit.up_m, GRAIN_M))
        for hit in one.group.counted
        if hit.arrows == 1
    ]


def _are_same(one: Observation, other: Observation) -> bool:
    """Whether all arrows of the smaller group stand in the other one, too.

    Those measured both ways are known in any order, else only as they stand in a row: heights
    alone are alike by chance too often.
    """
    few, many = sorted((_arrows(one), _arrows(other)), key=len)
    if sum(bool(right or up) for right, up in few) < FEW_ARROWS:
        return False
    if all(None not in arrow for arrow in few) and sorted(few, key=repr) == sorted(many, key=repr):
        return True
    return any(many[place : place + len(few)] == few for place in range(len(many) - len(few) + 1))


def repeated_groups(
    groups: Sequence[Observation], before: Sequence[Observation] = ()
) -> tuple[tuple[str, str], ...]:
    """Groups whose arrows stand in an earlier one, too, whatever the names.

    From three arrows up that were measured one by one, at the same distance and reading; centres
    that stand for several arrows may be alike by chance.
    """
    known: dict[tuple[int | None, ...], list[Observation]] = {}
    for one in before:
        known.setdefault(_stand(one), []).append(one)
    found = []
    for one in groups:
        there = known.setdefault(_stand(one), [])
        found += [(one.group.name, old.group.name) for old in there if _are_same(one, old)][:1]
        there.append(one)
    return tuple(found)


def refuse_twice(groups: Sequence[Observation], before: Sequence[Observation]) -> None:
    """Refuse arrows that count already: taken in again they would make marks look surer."""
    if same := repeated_groups(groups, before):
        named = ", ".join(new if new == old else f"{new} (there as {old})" for new, old in same)
        wrong = f"these arrows count already: {named}"
        mend = (
            "Offer only arrows shot since, and leave these groups out; if they are others, measure "
            "them more finely"
        )
        raise BadInput("groups", wrong, mend)

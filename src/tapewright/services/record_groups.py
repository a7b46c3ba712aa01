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
]

FEW_ARROWS = 3  # fewer may hit alike by chance, as they are read
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


def _arrows(one: Observation) -> tuple[object, ...]:
    """What two records of the same arrows have in common: all but names, to 0.1 mm."""
    hits = [
        (
            None if hit.right_m is None else round(hit.right_m, 4),
            None if hit.up_m is None else round(hit.up_m, 4),
            hit.arrows,
        )
        for hit in one.group.impacts
    ]
    at = (round(one.distance_m, 2), round(one.reading_m, 5), one.pin)
    return (*at, *sorted(hits, key=repr))


def _is_telling(one: Observation) -> bool:
    """Whether arrows that hit just so a second time can only be the same: three measured ones."""
    measured = [hit for hit in one.group.impacts if hit.arrows == 1 and (hit.right_m or hit.up_m)]
    return len(measured) >= FEW_ARROWS


def refuse_twice(groups: Sequence[Observation], before: Sequence[Observation]) -> None:
    """Refuse arrows that count already: taken in again they would make marks look surer."""
    known = {_arrows(one): one.group.name for one in before}
    same = [
        (one.group.name, known[_arrows(one)])
        for one in groups
        if _is_telling(one) and _arrows(one) in known
    ]
    if same:
        named = ", ".join(new if new == old else f"{new} (there as {old})" for new, old in same)
        wrong = f"these arrows count already: {named}"
        raise BadInput("groups", wrong, "Offer only arrows shot since; leave these groups out")

"""Record groups: note what was shot, and under which conditions.

Holds:  the records of shooting for the floors above, how they are put together, and that no
        arrow counts twice.
Never:  files (reading/shots_reader.py), which arrows are alike (target/repeats.py), weights.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace

from tapewright.calibration.observation import Head, Observation
from tapewright.flight.air import STANDARD_AIR, Air, standard_pressure
from tapewright.ground.errors import BadInput
from tapewright.sight.stickings import scales_from
from tapewright.target.group import Group, Impact, group_centre
from tapewright.target.repeats import grains, shared_arrows

__all__ = [
    "MARK_ARROWS",
    "Group",
    "Impact",
    "Observation",
    "bare_mark",
    "group_centre",
    "observe_group",
    "of_point",
    "past_butt",
    "refuse_twice",
    "repeated_groups",
]

READING_GRAIN_M, DISTANCE_GRAIN_M = 1e-5, 1e-2  # alike within these is the same
MARK_ARROWS = 3  # what "it hits here" is worth when nobody said; common practice, no source


def bare_mark(arrows: int = MARK_ARROWS) -> Impact:
    """Impact that says "it hits here"."""
    return Impact(0.0, 0.0, arrows)


def past_butt(arrows: int = 1) -> Impact:
    """Impact of arrows that went past what should have stopped them."""
    return Impact(None, None, arrows, missed=True)


def of_point(
    groups: Sequence[Observation], point: Head
) -> tuple[tuple[Observation, ...], tuple[Observation, ...]]:
    """Groups shot with a rig's own point, which calibrate it, and those shot with the other."""
    own, others = list[Observation](), list[Observation]()
    for one in groups:
        (own if one.head in ("", point) else others).append(one)
    return tuple(own), tuple(others)


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
    session: str = "",
    windage_m: float | None = None,
    windage_clicks: float | None = None,
    distances: str = "",
    proved: bool = False,
    scale: str = "",
    date: str = "",
    head: Head = "",
) -> Observation:
    """Put a group together with what was dialled and where it was shot."""
    if pressure_pa is None and altitude_m is not None:
        pressure_pa = standard_pressure(altitude_m)
    told = {"temperature_k": temperature_k, "pressure_pa": pressure_pa}
    changed = {name: value for name, value in told.items() if value is not None}
    that_day = replace(air, **changed) if changed else None
    return Observation(
        Group(name, tuple(impacts)),
        distance_m,
        reading_m,
        pin,
        slope_rad,
        crosswind_mps,
        that_day,
        session=session,
        windage_m=windage_m,
        windage_clicks=windage_clicks,
        distances=distances,
        proved=proved,
        scales=scales_from(scale),
        date=date,
        head=head,
    )


def _stand(one: Observation) -> tuple[int | None, ...]:
    """From where and with which pin and reading."""
    reading = grains(one.reading_m, READING_GRAIN_M)
    return grains(one.distance_m, DISTANCE_GRAIN_M), reading, one.pin


def _repeats(
    groups: Sequence[Observation], before: Sequence[Observation]
) -> Iterator[tuple[Group, Group, tuple[int, ...]]]:
    """Groups that share arrows with an earlier one, this, and which of them, each once."""
    known: dict[tuple[int | None, ...], list[Group]] = {}
    for one in before:
        known.setdefault(_stand(one), []).append(one.group)
    for one in groups:
        told: set[int] = set()
        there = known.setdefault(_stand(one), [])
        for old in there:
            if fresh := set(shared_arrows(one.group, old)) - told:
                yield one.group, old, tuple(sorted(fresh))
                told |= fresh
        there.append(one.group)


def repeated_groups(
    groups: Sequence[Observation], before: Sequence[Observation] = ()
) -> tuple[tuple[str, str, tuple[int, ...]], ...]:
    """Groups of which arrows stand in an earlier one, too, that one, and which: none if all do."""
    return tuple(
        (new.name, old.name, () if len(places) == len(new.counted) else places)
        for new, old, places in _repeats(groups, before)
    )


def _named(new: Group, old: Group, places: tuple[int, ...]) -> str:
    """A group as it is there, and which of its arrows if others are new."""
    there = new.name if new.name == old.name else f"{new.name} (there as {old.name})"
    if len(places) == len(new.counted):
        return there
    rows = ", ".join(str(place + 1) for place in places)
    return f"{there}, arrow{'s' * (len(places) > 1)} {rows} of its {len(new.impacts)}"


def refuse_twice(groups: Sequence[Observation], before: Sequence[Observation]) -> None:
    """Refuse arrows that count already: taken in again they would make marks look surer."""
    if same := list(_repeats(groups, before)):
        wrong = f"these arrows count already: {', '.join(_named(*one) for one in same)}"
        are_whole = all(len(places) == len(new.counted) for new, _, places in same)
        mend = (
            f"Offer only arrows shot since, and leave these {'groups' if are_whole else 'arrows'}"
        )
        raise BadInput("groups", wrong, f"{mend} out; if they are others, measure them more finely")

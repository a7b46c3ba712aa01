"""House values: what a shop or a club knows stands in where a rig sheet is silent.

Nothing that a sheet states is replaced. A kind that the sheet names and the house does not know
gets no value: that of another kind would be wrong with a doubt far too small.

Holds:  a rig filled from house values; kinds that a sheet names in vain.
Never:  values usual in the trade (prior.py), files (reading).
Source: docs/physics.md §7.
"""

from collections.abc import Iterator
from dataclasses import replace

from tapewright.calibration.rig import Belief, Chronograph, HouseValue, HouseValues, Rig

DRAG = "arrow.drag_coefficient"
TRAVEL = "sight.reading_per_travel"
DISPERSION = "archer.dispersion"
BIAS = "chronograph.reads"


def same_kind(one: str, other: str) -> bool:
    """Whether two names of a kind are one: capitals and blanks aside.

    Parameters
    ----------
    one, other : str
        As people wrote them.

    Returns
    -------
    bool
    """
    return one.casefold().split() == other.casefold().split()


def with_house(rig: Rig, house: HouseValues | None) -> Rig:
    """A rig in which house values stand where its sheet is silent.

    A chronograph's bias belongs to the readings of that chronograph, which stay as they were read.

    Parameters
    ----------
    rig : Rig
        As its sheet tells it.
    house : HouseValues or None
        What the house knows; None: nothing.

    Returns
    -------
    Rig
        With ``house`` holding what was taken; the same rig if nothing was.

    Source
    ------
    docs/physics.md §7.
    """
    if house is None or rig.house is not None:
        return rig
    taken: list[HouseValue] = []

    def known(said: Belief | None, key: str, kind: str, point: str = "") -> Belief | None:
        if said is not None:
            return said
        for one in house.values:
            if one.key == key and one.point == point and same_kind(one.kind, kind):
                taken.extend([one] if one not in taken else [])
                return one.value
        return None

    def freed(reading: Chronograph) -> Chronograph:
        return replace(reading, bias=known(reading.bias, BIAS, reading.instrument))

    arrow, sight, archer, bow = rig.arrow, rig.sight, rig.archer, rig.bow
    drag = known(arrow.drag_coefficient, DRAG, arrow.kind, arrow.point)
    travel = known(sight.reading_per_travel, TRAVEL, sight.kind)
    dispersion = known(archer.dispersion_rad, DISPERSION, archer.kind)
    chronograph = tuple(map(freed, bow.chronograph))
    if not taken:
        return rig
    return replace(
        rig,
        arrow=replace(arrow, drag_coefficient=drag),
        sight=replace(sight, reading_per_travel=travel),
        archer=replace(archer, dispersion_rad=dispersion),
        bow=replace(bow, chronograph=chronograph),
        house=HouseValues(house.name, tuple(taken)),
    )


def unknown_kinds(rig: Rig, house: HouseValues) -> Iterator[tuple[str, str, tuple[str, ...]]]:
    """Kinds that a sheet names and its house does not know, where the house's value is wanted.

    Parameters
    ----------
    rig : Rig
        Filled by ``with_house``.
    house : HouseValues
        What the house knows.

    Yields
    ------
    str, str, tuple of str
        Key of the value that is missing, the kind named, and the kinds that the house knows.
    """
    arrow, sight, archer = rig.arrow, rig.sight, rig.archer
    wanted = [
        (DRAG, arrow.kind, arrow.point, arrow.drag_coefficient),
        (TRAVEL, sight.kind, "", sight.reading_per_travel),
        (DISPERSION, archer.kind, "", archer.dispersion_rad),
        *((BIAS, one.instrument, "", one.bias) for one in rig.bow.chronograph),
    ]
    for key, kind, point, said in dict.fromkeys(wanted):
        if kind and said is None:
            there = (one.kind for one in house.values if (one.key, one.point) == (key, point))
            yield key, kind, tuple(filter(None, there))

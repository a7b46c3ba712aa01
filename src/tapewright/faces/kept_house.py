"""Kept house: the house values of a notebook, one for all its rigs.

Those that were added first stand; others came with archives or in the same moment from somebody
else, and lie aside until they are taken up.

Holds:  which stand, what they say, and of which kinds; those aside; one taken up in place of the
        other.
Never:  how a text is read (reading), pages, rigs.
"""

from collections.abc import Callable, Mapping
from datetime import datetime

from tapewright.ground.errors import TapewrightError
from tapewright.reading.house_values import read_house
from tapewright.services.equip import HouseValues
from tapewright.services.keep import Entry, KeptHouse, Notebook, kept_as
from tapewright.services.refit_kept import ask_for_refits

__all__ = ["house_in", "houses_aside", "keep_house", "kinds_in", "read_kept", "take_up"]

PLACE = "the notebook's house values"
NAMED_AT = {  # what a value is for → key of the rig sheet that says of which kind
    "sight.reading_per_travel": "sight.kind",
    "arrow.drag_coefficient": "arrow.kind",
    "archer.dispersion": "archer.kind",
    "chronograph.reads": "bow.chronograph.instrument",
}


def house_in(notebook: Notebook) -> Entry | None:
    """The house values that stand; None: none do."""
    return next(iter(notebook.entries("house")), None)


def houses_aside(notebook: Notebook) -> tuple[Entry, ...]:
    """House values that do not stand, the last saved first."""
    others = (*notebook.entries("house")[1:], *notebook.entries("house", withdrawn=True))
    return tuple(sorted(others, key=lambda one: one.saved_at, reverse=True))


def read_kept(house: Entry | None) -> HouseValues | None:
    """What kept house values say. BadHouseValues if an archive brought what cannot be read."""
    return None if house is None else read_house(kept_as(house, KeptHouse).sheet, PLACE)


def kinds_in(notebook: Notebook) -> Mapping[str, tuple[str, ...]]:
    """Names that a rig sheet may give, by its key; none of house values that cannot be read."""
    try:
        house = read_kept(house_in(notebook))
    except TapewrightError:
        house = None
    names: dict[str, list[str]] = {}
    for one in house.values if house else ():
        names.setdefault(NAMED_AT[one.key], []).append(one.kind)
    return {key: tuple(dict.fromkeys(filter(None, kinds))) for key, kinds in names.items()}


def keep_house(
    notebook: Notebook, body: KeptHouse, now: datetime, new_id: Callable[[], str]
) -> int:
    """Keep house values on top of those that stand; how many rigs are to be calibrated anew."""
    there = house_in(notebook)
    if there is None:
        notebook.add(body, entry_id=new_id(), now=now)
    elif there.body != body:
        notebook.save(there.id, body, seen=there.number, now=now)
    else:
        return 0
    return ask_for_refits(notebook, now, new_id)


def take_up(notebook: Notebook, chosen: Entry, now: datetime) -> None:
    """Let house values stand in place of those that do."""
    kept_as(chosen, KeptHouse)
    for one in notebook.entries("house"):
        if one.id != chosen.id:
            notebook.withdraw(one.id, seen=one.number, now=now)
    if chosen.is_withdrawn:
        notebook.restore(chosen.id, seen=chosen.number, now=now)

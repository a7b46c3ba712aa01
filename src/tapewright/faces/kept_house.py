"""Kept house: the house values of a notebook, one for all its rigs.

Those that were added first stand; others came with archives or in the same moment from somebody
else, and lie aside until they are taken up.

Holds:  which stand, and what they say; those aside; one taken up in place of the other.
Never:  how a text is read (reading), pages, rigs.
"""

from datetime import datetime

from tapewright.reading.house_values import read_house
from tapewright.services.equip import HouseValues
from tapewright.services.keep import Entry, KeptHouse, Notebook, kept_as

__all__ = ["house_in", "houses_aside", "read_kept", "take_up"]

PLACE = "the notebook's house values"


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


def take_up(notebook: Notebook, chosen: Entry, now: datetime) -> None:
    """Let house values stand in place of those that do."""
    kept_as(chosen, KeptHouse)
    for one in notebook.entries("house"):
        if one.id != chosen.id:
            notebook.withdraw(one.id, seen=one.number, now=now)
    if chosen.is_withdrawn:
        notebook.restore(chosen.id, seen=chosen.number, now=now)

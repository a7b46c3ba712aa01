"""Bow kind words: those for a bow with a peep, and for one held to the face.

Holds:  which of two wordings a rig has; the names of what a recurve has in place of a peep.
Never:  what is usual of a kind (calibration/kinds.py), keys of the sheet.
"""

from tapewright.services.equip import Rig, kind_of


def of_bow(rig: Rig, compound: str, other: str) -> str:
    """The wording for a rig's bow: a compound's, or that of recurves and longbows."""
    return compound if kind_of(rig.bow) == "compound" else other


def eye_words(rig: Rig) -> str:
    """What the eye's height over the arrow is called."""
    return of_bow(rig, "peep height", "eye height")

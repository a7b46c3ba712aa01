"""Estimate names: what people call each unknown of a calibration, and its unit.

Holds:  names of unknowns; the unit in which an estimate is read.
Never:  how unknowns are found (calibration), tables.
"""

from tapewright.services.calibrate import Estimate
from tapewright.services.equip import Rig
from tapewright.words.bow_kind_words import eye_words
from tapewright.words.unit_system import Units

UNKNOWN_WORDS = {  # where it is not the name
    "reading_per_travel": "reading per pin travel",
    "launch_point": "launch point before the eye",
    "dispersion_up": "dispersion up and down",
    "dispersion_right": "dispersion left and right",
    "wobble": "wobble from group to group",
}


def unknown_words(name: str, rig: Rig) -> str:
    """Name of an unknown as people say it of a rig."""
    if name == "peep_height":
        return eye_words(rig)
    return UNKNOWN_WORDS.get(name, name.replace("_", " "))  # pin 2 below first


def estimate_unit(estimate: Estimate, units: Units) -> str:
    """Unit in which an estimate is read; readings are always in mm."""
    if estimate.name in ("zero_reading", "sideways_offset") or estimate.name.startswith("pin_"):
        return units.reading
    return "" if estimate.kind == "number" else units.own(estimate.kind)

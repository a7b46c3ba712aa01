"""API: the front door for notebooks and other programs.

Holds:  names from the rooms behind it, at most fifteen.
Never:  definitions of its own.
"""

from tapewright.calibration.observation import Observation
from tapewright.calibration.rig import Archer, Arrow, Belief, Bow, Rig, Sight
from tapewright.confidence.bands import bands, trusted_distance
from tapewright.flight.air import Air
from tapewright.reading.sheet import load_rig_sheet
from tapewright.reading.shots import load_shots
from tapewright.services.calibrate import calibrate
from tapewright.sight.prediction import impact, mark

__all__ = [
    "Air",
    "Archer",
    "Arrow",
    "Belief",
    "Bow",
    "Observation",
    "Rig",
    "Sight",
    "bands",
    "calibrate",
    "impact",
    "load_rig_sheet",
    "load_shots",
    "mark",
    "trusted_distance",
]

"""API: the front door for notebooks and other programs.

A name is loaded when it is first asked for, so that whoever imports this module pays for nothing
more. What is public and how it may change stands in docs/python-policy.md.

Holds:  names from the rooms behind it: what this list has is public, and nothing else is.
Never:  definitions of its own, but for how a name is found.
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from tapewright.calibration.belief import Belief, Beliefs
    from tapewright.calibration.observation import Observation
    from tapewright.calibration.rig import Archer, Arrow, Bow, Chronograph, Rating, Rig, Sight
    from tapewright.confidence.bands import Bands
    from tapewright.confidence.posterior import Posterior
    from tapewright.desk.answer import Answer
    from tapewright.desk.functions import bands, calibrate, impact, mark, trusted_distance
    from tapewright.flight.air import Air
    from tapewright.flight.drag import TabulatedDrag, TransitionDrag
    from tapewright.ground.errors import TapewrightError
    from tapewright.reading.dataframes import observations_from_frame
    from tapewright.reading.rig_sheet import load_rig_sheet
    from tapewright.reading.shots_reader import load_shots
    from tapewright.reading.tape_files import load_record
    from tapewright.sight.bow import SightedBow
    from tapewright.sight.prediction import Aim
    from tapewright.sight.scale import Scale
    from tapewright.target.group import Group, Impact

__all__ = [
    "Aim",
    "Air",
    "Answer",
    "Archer",
    "Arrow",
    "Bands",
    "Belief",
    "Beliefs",
    "Bow",
    "Chronograph",
    "Group",
    "Impact",
    "Observation",
    "Posterior",
    "Rating",
    "Rig",
    "Scale",
    "Sight",
    "SightedBow",
    "TabulatedDrag",
    "TapewrightError",
    "TransitionDrag",
    "bands",
    "calibrate",
    "impact",
    "load_record",
    "load_rig_sheet",
    "load_shots",
    "mark",
    "observations_from_frame",
    "trusted_distance",
]

_ROOMS = {
    "calibration.belief": ("Belief", "Beliefs"),
    "calibration.observation": ("Observation",),
    "calibration.rig": ("Archer", "Arrow", "Bow", "Chronograph", "Rating", "Rig", "Sight"),
    "confidence.bands": ("Bands",),
    "confidence.posterior": ("Posterior",),
    "desk.answer": ("Answer",),
    "desk.functions": ("bands", "calibrate", "impact", "mark", "trusted_distance"),
    "flight.air": ("Air",),
    "flight.drag": ("TabulatedDrag", "TransitionDrag"),
    "ground.errors": ("TapewrightError",),
    "reading.dataframes": ("observations_from_frame",),
    "reading.rig_sheet": ("load_rig_sheet",),
    "reading.shots_reader": ("load_shots",),
    "reading.tape_files": ("load_record",),
    "sight.bow": ("SightedBow",),
    "sight.prediction": ("Aim",),
    "sight.scale": ("Scale",),
    "target.group": ("Group", "Impact"),
}
_ROOM_OF = {name: room for room, names in _ROOMS.items() for name in names}


def __getattr__(name: str) -> Any:  # noqa: ANN401 — whatever bears the name
    if name not in _ROOM_OF:
        raise AttributeError(f"tapewright.api has no {name!r}; it has {', '.join(__all__)}")
    found = getattr(import_module(f"tapewright.{_ROOM_OF[name]}"), name)
    globals()[name] = found
    return found


def __dir__() -> list[str]:
    return [*__all__]

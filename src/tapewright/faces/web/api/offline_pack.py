"""Offline pack: draws of a calibration as curves, for a script that weighs groups without us.

Holds:  /api/rigs/{rig_id}/pack; where a pack comes from.
Never:  what stands in it (faces/offline_pack.py), the script (static/carried.js).
"""

from functools import lru_cache
from typing import Any

from fastapi import APIRouter

from tapewright.faces.kept_rigs import setup_now
from tapewright.faces.offline_pack import Origin, carried_json
from tapewright.faces.web.api import endpoints as api
from tapewright.faces.web.api.endpoints import RigId, UnitsAsked, units_of
from tapewright.faces.web.api.schemas import Anything
from tapewright.faces.web.page_request import At, PageRequest
from tapewright.ground.units import UNITS
from tapewright.services.calibrate import Answer
from tapewright.services.carry import CarriedRig, carry
from tapewright.words.unit_system import Units

ROUTER = APIRouter(prefix="/api/rigs/{rig_id}", responses=api.REFUSED)

MOST_CARRIED = 8


@ROUTER.get("/pack", tags=["asking"])
def read_pack(at: At, rig_id: RigId, units: UnitsAsked = "imperial") -> Anything:
    """What goes along to the range: the calibration as curves of 2,000 draws, under 100 kB."""
    read = units_of(units)
    return pack_of(at, rig_id, read, carried_of(at, rig_id, read))


def carried_of(at: PageRequest, rig_id: str, units: Units) -> CarriedRig:
    """A rig's calibration as it stands, made ready to go along; phones ask for it often."""
    return _carried(at.answer(rig_id, units), units)


@lru_cache(MOST_CARRIED)
def _carried(answer: Answer, units: Units) -> CarriedRig:
    return carry(answer, UNITS[units.distance].factor)


def pack_of(at: PageRequest, rig_id: str, units: Units, carried: CarriedRig) -> dict[str, Any]:
    """The same as JSON, with where it comes from."""
    holds = tuple(one.id for one in at.notebook.entries("group", rig_id))
    origin = Origin(rig_id, at.rig(rig_id).number, setup_now(at.notebook, rig_id), holds)
    return carried_json(carried, units, at.now, origin)

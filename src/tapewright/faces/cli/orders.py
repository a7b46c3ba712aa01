"""Orders: options of a tape's look, read into a TapeOrder.

Holds:  texts with units to an order.
Never:  calibration, files.
"""

from typing import Any

from tapewright.faces.quantities import in_unit, read_distances, read_number, read_quantity
from tapewright.faces.wording import Units
from tapewright.ground.errors import BadInput
from tapewright.services.equip import Rig
from tapewright.services.print_tape import TapeOrder

USUAL_WIDTH_MM = (12.0, 14.0, 20.0, 25.0, 25.0)  # for one to five pins


def _mm(text: str | None, place: str) -> float | None:
    return None if text is None else 1e3 * read_quantity(text, "length", place, "12 mm")


def tape_order(rig: Rig, ticks: tuple[float, ...], units: Units, look: dict[str, Any]) -> TapeOrder:
    """What kind of tape the options ask for.

    Parameters
    ----------
    rig : Rig
        Tells the hand and the number of pins.
    ticks : tuple of float
        Distances, in the person's unit. [yd or m]
    units : Units
        What the person reads.
    look : dict
        Options of the look by name; what a command does not offer may be missing.

    Returns
    -------
    TapeOrder
        For the printer.

    Raises
    ------
    BadInput
        If a text holds no such quantity.
    """
    wheel_mm = _mm(look.get("wheel"), "--wheel")
    thickness_mm = _mm(look.get("thickness"), "--thickness")
    return TapeOrder(
        unit="m" if units.distance == "m" else "yd",
        distances=ticks,
        span=_span(look.get("span"), ticks, units),
        step_mm=_mm(look.get("step"), "--step"),
        width_mm=_mm(look["width"], "--width") or USUAL_WIDTH_MM[len(rig.sight.pins_below_first_m)],
        length_mm=_mm(look["length"], "--length"),
        pointer=look["pointer"] or rig.hand,
        far_end=look["far_end"],
        number_every=10 if look.get("number_every") == "10" else 5,
        paper=look["paper"],
        proof_mm=_proof(look["proof"]),
        wheel_mm=None if wheel_mm is None or thickness_mm is None else (wheel_mm, thickness_mm),
    )


def _span(text: str | None, ticks: tuple[float, ...], units: Units) -> tuple[float, float]:
    if text is None:
        far = min(60.0, ticks[-1]) if ticks[-1] > 20.0 else ticks[-1] + 20.0
        return (20.0, far) if far > 20.0 else (ticks[0], ticks[-1])
    bare = text.strip()
    with_unit = bare if bare[-1:].isalpha() else f"{bare} {units.distance}"
    ends = read_distances(with_unit, "--span").distances_m
    if len(ends) != 2:
        raise BadInput("--span", f"{text!r} is not two distances", "Write near and far, as 20,60")
    near, far = (round(in_unit(end, units.distance), 6) for end in ends)
    return near, far


def _proof(text: str | None) -> tuple[float, float] | None:
    if text is None:
        return None
    parts = text.replace("mm", "").replace(";", ",").split(",")
    if len(parts) != 2:
        raise BadInput("--proof", f"{text!r} is not two lengths", "Write both, as 99.6,100.2 mm")
    across_mm, down_mm = (read_number(part, "--proof", "99.6,100.2 mm") for part in parts)
    return across_mm, down_mm

"""Orders: options of a tape's look, read into a TapeOrder.

Holds:  texts with units to an order.
Never:  calibration, files.
"""

from typing import Any

from tapewright.faces.cli.options import proof_lengths
from tapewright.faces.quantities import in_unit, read_distances, read_quantity
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
    pins = len(rig.sight.pins_below_first_m)
    wheel_mm = _mm(look.get("wheel"), "--wheel")
    thickness_mm = _mm(look.get("thickness"), "--thickness")
    return TapeOrder(
        unit="m" if units.distance == "m" else "yd",
        distances=ticks,
        span=_span(look.get("span"), ticks, units),
        step_mm=_step(look.get("step")),
        width_mm=_mm(look["width"], "--width") or USUAL_WIDTH_MM[min(pins, 4)],
        length_mm=_mm(look["length"], "--length"),
        pointer=look["pointer"] or rig.hand,
        far_end=look["far_end"],
        number_every=10 if look.get("number_every") == "10" else 5,
        paper=look["paper"],
        proof_mm=proof_lengths(look["proof"]),
        wheel_mm=None if wheel_mm is None or thickness_mm is None else (wheel_mm, thickness_mm),
    )


def _step(text: str | None) -> float | None:
    step_mm = _mm(text, "--step")
    if step_mm is not None and step_mm <= 0.0:
        raise BadInput("--step", f"{text!r} tells no strips apart", "Write a length as 0.5 mm")
    return step_mm


def _span(text: str | None, ticks: tuple[float, ...], units: Units) -> tuple[float, float]:
    if text is None:
        # The near end is a tick, since the strip is aligned with it.
        near = min((tick for tick in ticks if tick >= 20.0), default=ticks[-1])
        return near, max((tick for tick in ticks if near < tick <= 60.0), default=near + 20.0)
    bare = text.strip()
    with_unit = bare if bare[-1:].isalpha() else f"{bare} {units.distance}"
    ends = read_distances(with_unit, "--span").distances_m
    if len(ends) != 2:
        raise BadInput("--span", f"{text!r} is not two distances", "Write near and far, as 20,60")
    near, far = (round(in_unit(end, units.distance), 6) for end in ends)
    return near, far

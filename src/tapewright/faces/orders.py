"""Orders: what people say of a print, read into what the printer's errands want.

Holds:  texts with units to the orders of tape, gauge strip and target; ticks nobody named.
Never:  calibration, files, how a face asks.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal, Protocol, TypeVar, cast

from tapewright.ground.errors import BadInput
from tapewright.ground.units import UNITS
from tapewright.questions.question import Said
from tapewright.services.advise import tape_end
from tapewright.services.calibrate import Answer
from tapewright.services.equip import Rig
from tapewright.services.print_tape import Gauge, TapeOrder
from tapewright.services.print_target import TargetOrder
from tapewright.words.quantities import in_unit, read_distances, read_quantity
from tapewright.words.sizes import parted_size, unit_in
from tapewright.words.unit_names import quoted, unit_name
from tapewright.words.units import IMPERIAL, METRIC, Units

__all__ = [
    "asked_ticks",
    "gauge_order",
    "gauge_ruler",
    "plainly",
    "tape_order",
    "target_order",
    "usual_ticks",
]

USUAL_WIDTH_MM = (12.0, 14.0, 20.0, 25.0, 25.0)  # for one to five pins
USUAL_THICKNESS_MM = 0.15
SIZE_EXAMPLE = "60x90 cm"
METRIC_UNITS = ("mm", "cm", "m")

Read = TypeVar("Read")
Side = Literal["right", "left"]
End = Literal["down", "up"]
PaperName = Literal["A4", "Letter"]


class Reader(Protocol):
    """How a face reads a field: at the first fault it stops, or notes it and goes on."""

    def __call__(self, name: str, reading: Callable[[], Read], instead: Read) -> Read:
        """Value of a field, or what goes on in its place."""


def plainly(name: str, reading: Callable[[], Read], instead: Read) -> Read:  # noqa: ARG001 — a Reader's shape
    """Read a field; a fault stops everything."""
    return reading()


def usual_ticks(answer: Answer, asked_m: tuple[float, ...], units: Units) -> tuple[float, ...]:
    """Distances of a tape's ticks in the unit printed; unless asked, a little past the trusted."""
    if asked_m:
        return tuple(round(in_unit(distance, units.distance), 6) for distance in asked_m)
    last = tape_end(answer, UNITS[units.distance].factor)
    return tuple(float(distance) for distance in range(5, last + 1))


def asked_ticks(said: Said, units: Units) -> tuple[tuple[float, ...], Units]:
    """Ticks that were named [m], and the units in which they were."""
    text = said.text("distances")
    if not text:
        return (), units
    asked = read_distances(text, said.place("distances"))
    if asked.unit in ("m", "yd"):
        units = METRIC if asked.unit == "m" else IMPERIAL
    return asked.distances_m, units


def tape_order(
    rig: Rig,
    ticks: tuple[float, ...],
    units: Units,
    said: Said,
    proof_mm: tuple[float, float] | None = None,
    read: Reader = plainly,
) -> TapeOrder:
    """What kind of tape was asked for."""
    wheel_mm = read("wheel", lambda: _mm(said, "wheel"), None)
    thickness_mm = read("thickness", lambda: _mm(said, "thickness"), None)
    return TapeOrder(
        unit="m" if units.distance == "m" else "yd",
        distances=ticks,
        span=read("span", lambda: _span(said, ticks, units), (20.0, 60.0)),
        step_mm=read("step", lambda: _step(said), None),
        width_mm=_width(said, len(rig.sight.pins_below_first_m), read),
        length_mm=read("length", lambda: _mm(said, "length"), None),
        pointer=_pointer(said, rig.hand, read),
        far_end=_far_end(said, read),
        number_every=10 if _picked(said, "number_every", ("5", "10"), read) == "10" else 5,
        paper=_paper(said, read),
        proof_mm=proof_mm,
        wheel_mm=None
        if wheel_mm is None
        else (wheel_mm, USUAL_THICKNESS_MM if thickness_mm is None else thickness_mm),
    )


def gauge_order(
    hand: str, said: Said, proof_mm: tuple[float, float] | None = None, read: Reader = plainly
) -> TapeOrder:
    """Look and paper of a gauge strip for a right- or left-handed archer."""
    return TapeOrder(
        unit="yd",
        distances=(20.0, 60.0),
        span=(20.0, 60.0),
        width_mm=_width(said, 0, read),
        pointer=_pointer(said, hand, read),
        far_end=_far_end(said, read),
        paper=_paper(said, read),
        proof_mm=proof_mm,
    )


def gauge_ruler(start_mm: int, reach_mm: int, order: TapeOrder, *, numbers_fall: bool) -> Gauge:
    """The ruler itself; its numbers run as the sight's do toward the far end."""
    other_end: End = "up" if order.far_end == "down" else "down"
    return Gauge(start_mm, reach_mm, other_end if numbers_fall else order.far_end)


def _mm(said: Said, name: str) -> float | None:
    """A length, if one was said [mm]."""
    text = said.text(name)
    return 1e3 * read_quantity(text, "length", said.place(name), "12 mm") if text else None


def _width(said: Said, further_pins: int, read: Reader) -> float:
    usual_mm = USUAL_WIDTH_MM[min(further_pins, 4)]
    return read("width", lambda: _mm(said, "width"), None) or usual_mm


def _picked(said: Said, name: str, choices: tuple[str, ...], read: Reader) -> str:
    """One of some choices, the first unless something was said."""
    return read(name, lambda: said.choice(name, choices[0], choices), choices[0])


def _pointer(said: Said, hand: str, read: Reader) -> Side:
    sides = ("left", "right") if hand == "left" else ("right", "left")
    return cast("Side", _picked(said, "pointer", sides, read))


def _far_end(said: Said, read: Reader) -> End:
    return cast("End", _picked(said, "far_end", ("down", "up"), read))


def _paper(said: Said, read: Reader) -> PaperName:
    return cast("PaperName", _picked(said, "paper", ("A4", "Letter"), read))


def _step(said: Said) -> float | None:
    step_mm = _mm(said, "step")
    if step_mm is not None and step_mm <= 0.0:
        wrong = f"{said.text('step')!r} tells no strips apart"
        raise BadInput(said.place("step"), wrong, "Write a length as 0.5 mm")
    return step_mm


def _span(said: Said, ticks: tuple[float, ...], units: Units) -> tuple[float, float]:
    text = said.text("span")
    if not text:
        # The near end is a tick, since the strip is aligned with it.
        near = min((tick for tick in ticks if tick >= 20.0), default=ticks[-1])
        return near, max((tick for tick in ticks if near < tick <= 60.0), default=near + 20.0)
    with_unit = text if text[-1:].isalpha() else f"{text} {units.distance}"
    ends = read_distances(with_unit, said.place("span")).distances_m
    if len(ends) != 2:
        wrong = f"{text!r} is not two distances"
        raise BadInput(said.place("span"), wrong, "Write near and far, as 20,60")
    near, far = (round(in_unit(end, units.distance), 6) for end in ends)
    return near, far


@dataclass(frozen=True, slots=True)
class _Typed:
    """A length or two as typed, and the unit used."""

    lengths_m: tuple[float, ...]
    unit: str


def target_order(
    rig: Rig | None,
    said: Said,
    proof_mm: tuple[float, float] | None = None,
    read: Reader = plainly,
    *,
    metric: bool | None = None,
    usually_metric: bool = False,
) -> tuple[TargetOrder, str]:
    """What kind of target was asked for, and the unit in which its distance is read."""
    size = read("size", lambda: _size(said), None)
    usual = "m" if metric or (metric is None and usually_metric) else "yd"
    distance = read("distance", lambda: _distance(said, usual), None)
    if metric is None:
        named = size or distance
        metric = named.unit in METRIC_UNITS if named else usually_metric
    tolerance_m = rig.archer.tolerance_m if rig else None
    order = TargetOrder(
        unit="cm" if metric else "in",
        size_mm=None if size is None else (1e3 * size.lengths_m[0], 1e3 * size.lengths_m[1]),
        distance_m=None if distance is None else distance.lengths_m[0],
        tolerance_m=read("tolerance", lambda: _tolerance_m(said, tolerance_m), None),
        paper=_paper(said, read),
        proof_mm=proof_mm,
    )
    return order, distance.unit if distance else ("m" if metric else "yd")


def _size(said: Said) -> _Typed | None:
    """Width and height as typed; a unit at the end serves both."""
    text, place = said.text("size"), said.place("size")
    if not text:
        return None
    parts = parted_size(text, place, f"Write {SIZE_EXAMPLE}")
    lengths_m = tuple(read_quantity(part, "length", place, "60 cm") for part in parts)
    name = unit_in(parts[1])
    return _Typed(lengths_m, unit_name(name, "length") or name)


def _distance(said: Said, usual_unit: str) -> _Typed | None:
    """One distance; without a unit it is in the usual one."""
    text, place = said.text("distance"), said.place("distance")
    if not text:
        return None
    found = read_distances(text if text[-1:].isalpha() else f"{text} {usual_unit}", place)
    if len(found.distances_m) != 1:
        raise BadInput(place, f"{quoted(text)} is not one distance", "Write one, as 60 yd")
    return _Typed(found.distances_m, found.unit)


def _tolerance_m(said: Said, usual_m: float | None) -> float | None:
    text = said.text("tolerance")
    if not text:
        return usual_m
    if text.casefold() == "none":
        return None
    return read_quantity(text, "length", said.place("tolerance"), "3 in")

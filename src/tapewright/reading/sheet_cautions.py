"""Sheet cautions: what several keys say together, and what is odd but possible.

Holds:  contradictions between keys; warnings about unusual numbers, and keys not used.
Never:  the limits of a single key (sheet_keys.py), what must not be shot (services/stops.py).
Source: common practice, no source.
"""

from collections.abc import Iterator
from itertools import pairwise

from pydantic import BaseModel

from tapewright.reading.sheet_faults import Fault, Path
from tapewright.reading.sheet_keys import AirKeys, Amount, ArrowKeys, BowKeys, SheetKeys
from tapewright.services.equip import Belief, usual_pressure
from tapewright.words.quantities import in_unit

STATION_DOUBT = 0.04  # weather moves a barometer by less than 4 % of its average


def contradictions(keys: SheetKeys) -> Iterator[Fault]:
    """Keys that cannot be true together."""
    pins_m = [pin.value for pin in keys.sight.pins_below_first]
    if any(lower <= upper for upper, lower in pairwise(pins_m)):
        mend = 'Measure each from the first pin, top one first: ["9 mm", "17 mm"]'
        yield Fault(("sight", "pins_below_first"), "the pins do not run from top to bottom", mend)
    ends = {end.value for end in keys.sight.travel_ends}
    if keys.sight.travel_ends and len(ends) != 2:
        mend = 'Write both, such as ["0 mm", "85 mm"], or leave travel_ends out'
        yield Fault(("sight", "travel_ends"), "a travel has two ends that differ", mend)
    air = keys.air or AirKeys()
    if air.pressure is not None and air.sea_level_pressure is not None:
        wrong = "pressure on the spot and sea_level_pressure are both given"
        mend = "Keep pressure if a barometer was read at the line, else sea_level_pressure"
        yield Fault(("air", "sea_level_pressure"), wrong, mend)
    if air.sea_level_pressure is not None and air.altitude is None:
        wrong = "sea_level_pressure says nothing without the altitude of the line"
        mend = 'Add altitude = "300 m" (yours), or give pressure as read on the spot'
        yield Fault(("air", "sea_level_pressure"), wrong, mend)


def rig_cautions(keys: SheetKeys) -> Iterator[Fault]:
    """Oddities that are possible; the worst first."""
    yield from _arrow_cautions(keys.arrow)
    yield from _bow_cautions(keys.bow)
    if keys.sight.arm_level_reading is not None and keys.sight.arm_length is None:
        wrong = "arm_level_reading is not used without arm_length"
        yield Fault(("sight", "arm_level_reading"), wrong, "Add arm_length, or leave both out")
    if keys.sight.arm_level_reading is None and keys.sight.arm_length is not None:
        wrong = "arm_length has no arm_level_reading; the arm is taken as level at a reading of 0"
        mend = "Set the arm parallel to the arrow and write the reading: far marks hang on it"
        yield Fault(("sight", "arm_length"), wrong, mend)
    yield from _clearance_cautions(keys)
    yield from _air_cautions(keys.air)
    yield from _amount_cautions(keys, ())


def _arrow_cautions(keys: ArrowKeys) -> Iterator[Fault]:
    """Blades that cannot be."""
    blades = keys.blade_diameter
    if blades is not None and 0.0 < blades.value < keys.shaft_diameter.value:
        wrong = "the blades cut a smaller circle than the shaft"
        yield Fault(("arrow", "blade_diameter"), wrong, "Measure across the blades, tip to tip")


def _bow_cautions(keys: BowKeys) -> Iterator[Fault]:
    """Speeds that are missing, or lack what belongs to them."""
    for index, reading in enumerate(keys.chronograph):
        if reading.at is None:
            mend = 'Add at = "1 yd" (yours): from the grip to the gate'
            path = ("bow", "chronograph", index)
            yield Fault(path, "at is not said, so 3 ft from the grip are assumed", mend)
    if keys.rated_speed is None:
        for key in ("rated_draw_weight", "rated_draw_length", "rated_arrow_mass"):
            if getattr(keys, key) is not None:
                wrong = f"{key} is not used without rated_speed"
                yield Fault(("bow", key), wrong, "Add rated_speed, or leave it out")
        if keys.launch_speed is None and not keys.chronograph and keys.draw_weight is None:
            wrong = "nothing in the sheet tells the arrow's speed"
            mend = "Give launch_speed, rated_speed or draw_weight; until then bands are very wide"
            yield Fault(("bow",), wrong, mend)


def _clearance_cautions(keys: SheetKeys) -> Iterator[Fault]:
    """A measured clearance that the sight never reaches, and numbers that lack their partner."""
    sight = keys.sight
    ends = [end.value for end in sight.travel_ends]
    reading = sight.clearance_reading
    if ends and reading is not None and not min(ends) <= reading.value <= max(ends):
        wrong = "the housing would meet the arrow only past the end of the travel"
        mend = "Check clearance_reading and travel_ends, or leave clearance_reading out"
        yield Fault(("sight", "clearance_reading"), wrong, mend)
    if sight.arrow_margin is not None and sight.housing_below_pin is None:
        wrong = "arrow_margin is not used without housing_below_pin"
        mend = "Add housing_below_pin, or leave both out"
        yield Fault(("sight", "arrow_margin"), wrong, mend)


def _air_cautions(keys: AirKeys | None) -> Iterator[Fault]:
    """Air that was not said, and a weather report's pressure taken for the one on the spot."""
    if keys is None:
        mend = 'Add [air] with temperature = "15 °C" and altitude = "300 m" (yours)'
        yield Fault(("air",), "no air is said, so 15 °C at sea level is assumed", mend)
    elif keys.pressure is not None and keys.altitude is not None:
        here = usual_pressure(keys.altitude.value)
        if abs(keys.pressure.value / here - 1.0) > STATION_DOUBT:
            wrong = (
                f"{in_unit(keys.pressure.value, 'hPa'):.0f} hPa is not what a barometer shows "
                f"at {keys.altitude.value:.0f} m (about {in_unit(here, 'hPa'):.0f} hPa)"
            )
            mend = (
                "If it comes from a weather report it is reduced to sea level: name it "
                "sea_level_pressure; pressure is taken as read at the shooting line (station)"
            )
            yield Fault(("air", "pressure"), wrong, mend)


def _amount_cautions(table: BaseModel, path: Path) -> Iterator[Fault]:
    """Numbers outside what is usual, and ± that nothing uses, in every table below."""
    for key, one in type(table).model_fields.items():
        said, here = getattr(table, key), (*path, key)
        if isinstance(said, BaseModel):
            yield from _amount_cautions(said, here)
        elif isinstance(said, list):
            for index, entry in enumerate(said):
                if isinstance(entry, BaseModel):
                    yield from _amount_cautions(entry, (*here, index))
        elif isinstance(said, Belief):
            yield from _odd_amount(said, one.metadata[0], here)


def _odd_amount(said: Belief, amount: Amount, path: Path) -> Iterator[Fault]:
    """One number."""
    if said.sd is not None and not amount.doubt:
        yield Fault(path, "its ± is not used", "Leave it out")
    if amount.usual is None:
        return
    low, high = amount.usual
    number = amount.number(said.value)
    if not low - 1e-9 <= number <= high + 1e-9:
        wrong = f"{number:.4g} {amount.unit}".rstrip() + " is possible, but unusual"
        span = f"{low:g} to {high:g} {amount.unit}".rstrip()
        yield Fault(path, wrong, f"Usual is {span}; measure it again if in doubt")

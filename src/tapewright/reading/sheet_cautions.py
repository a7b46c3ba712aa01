"""Sheet cautions: what several keys say together, and what is odd but possible.

Holds:  contradictions between keys; warnings about unusual numbers, and keys not used.
Never:  the limits of a single key (rig_sheet_fields.py), what must not be shot (services/stops.py).
Source: common practice, no source.
"""

from collections.abc import Iterator
from itertools import pairwise

from tapewright.reading.rig_sheet_fields import KEYS, NO_PEEP
from tapewright.reading.sheet_schema import Key, span_words
from tapewright.reading.sheet_values import (
    SLACK,
    Fault,
    Path,
    Values,
    amount_number,
    example,
    fault_at,
)
from tapewright.services.equip import Belief, usual_pressure
from tapewright.words.quantity_parser import in_unit

ONLY_A_COMPOUND_MPS = 73.0  # no recurve shoots 240 ft/s
_READ = "bow.chronograph.speed"
STATION_DOUBT = 0.04  # weather moves a barometer by less than 4 % of its average


def contradictions(values: Values) -> Iterator[Fault]:
    """Keys that cannot be true together."""
    pins_m = [pin.value for pin in values["sight.pins_below_first"] or ()]
    if any(lower <= upper for upper, lower in pairwise(pins_m)):
        pins = KEYS["sight.pins_below_first"].list_example()
        mend = f"Measure each from the first pin, top one first: {pins}"
        yield fault_at("sight.pins_below_first", "the pins do not run from top to bottom", mend)
    ends = values["sight.travel_ends"]
    if ends and len({end.value for end in ends}) != 2:
        both = KEYS["sight.travel_ends"].list_example()
        mend = f"Write both, such as {both}, or leave travel_ends out"
        yield fault_at("sight.travel_ends", "a travel has two ends that differ", mend)
    if values["sight.peep_height"] is not None and values["sight.eye_height"] is not None:
        wrong = "peep_height and eye_height are both given, and they are the same length"
        mend = "Keep peep_height of a bow with a peep, else eye_height"
        yield fault_at("sight.eye_height", wrong, mend)
    yield from _half_rated(values)
    if values["air.sea_level_pressure"] is None:
        return
    if values["air.pressure"] is not None:
        wrong = "pressure on the spot and sea_level_pressure are both given"
        mend = "Keep pressure if a barometer was read at the line, else sea_level_pressure"
        yield fault_at("air.sea_level_pressure", wrong, mend)
    if values["air.altitude"] is None:
        wrong = "sea_level_pressure says nothing without the altitude of the line"
        mend = f"Add {example('air.altitude')} (yours), or give pressure as read on the spot"
        yield fault_at("air.sea_level_pressure", wrong, mend)


def _half_rated(values: Values) -> Iterator[Fault]:
    """A rating without its conditions: only compounds have usual ones."""
    conditions = ("rated_draw_weight", "rated_draw_length", "rated_arrow_mass")
    missing = [one for one in conditions if values[f"bow.{one}"] is None]
    if values["bow.kind"] in NO_PEEP and values["bow.rated_speed"] is not None and missing:
        wrong = f"rated_speed of a {values['bow.kind']} says nothing without {', '.join(missing)}"
        mend = "Add what the maker states beside it, or leave rated_speed out: draw_weight and "
        yield fault_at("bow.rated_speed", wrong, mend + "draw_length tell the speed as well")


def _kind_cautions(values: Values) -> Iterator[Fault]:
    """A kind of bow that is not said where nothing shows a compound, or that has no peep."""
    kind, written = values["bow.kind"], values["sight.peep_height"] is not None
    if kind in NO_PEEP and written:
        wrong = f"peep_height counts as eye_height: a {kind} has no peep as a rule"
        yield fault_at("sight.peep_height", wrong, "Name it eye_height, or check kind")
    speeds = (values["bow.launch_speed"], *(row[_READ] for row in values["bow.chronograph"]))
    fastest_mps = max((speed.value for speed in speeds if speed is not None), default=0.0)
    rated = values["bow.rated_speed"] is not None
    if not (kind or written or rated or fastest_mps > ONLY_A_COMPOUND_MPS):
        wrong = "the kind of bow is not said, so a compound is taken"
        mend = 'Say which, "compound", "recurve" or "longbow": usual speeds and spreads and the '
        yield fault_at("bow.kind", wrong, mend + "lightest arrow depend on it")


def rig_cautions(values: Values) -> Iterator[Fault]:
    """Oddities that are possible; the worst first."""
    blades = values["arrow.blade_diameter"]
    if blades is not None and 0.0 < blades.value < values["arrow.shaft_diameter"].value:
        wrong = "the blades cut a smaller circle than the shaft"
        yield fault_at("arrow.blade_diameter", wrong, "Measure across the blades, tip to tip")
    yield from _kind_cautions(values)
    yield from _speed_cautions(values)
    yield from _alone(values, "sight.arm_level_reading", "sight.arm_length", "both")
    if values["sight.arm_level_reading"] is None and values["sight.arm_length"] is not None:
        wrong = "arm_length has no arm_level_reading; the arm is taken as level at a reading of 0"
        mend = "Set the arm parallel to the arrow and write the reading: far marks hang on it"
        yield fault_at("sight.arm_length", wrong, mend)
    ends = [end.value for end in values["sight.travel_ends"] or ()]
    reading = values["sight.clearance_reading"]
    if ends and reading is not None and not min(ends) <= reading.value <= max(ends):
        wrong = "the housing would meet the arrow only past the end of the travel"
        mend = "Check clearance_reading and travel_ends, or leave clearance_reading out"
        yield fault_at("sight.clearance_reading", wrong, mend)
    yield from _alone(values, "sight.arrow_margin", "sight.housing_below_pin", "both")
    yield from _air_cautions(values)
    yield from _amount_cautions(values, (), values["bow.kind"] or "")


def _alone(values: Values, key: str, other: str, what: str) -> Iterator[Fault]:
    """A key that says nothing without another one."""
    if values[key] is not None and values[other] is None:
        word, partner = (name.rpartition(".")[2] for name in (key, other))
        wrong = f"{word} is not used without {partner}"
        yield fault_at(key, wrong, f"Add {partner}, or leave {what} out")


def _speed_cautions(values: Values) -> Iterator[Fault]:
    """Speeds that are missing, or lack what belongs to them."""
    gate, readings = KEYS["bow.chronograph.at"], values["bow.chronograph"]
    for index, reading in enumerate(readings):
        if reading["bow.chronograph.at"] is None:
            mend = f'Add at = "{gate.examples[0]}" (yours): from the grip to the gate'
            wrong = f"at is not said, so {gate.taken} from the grip are assumed"
            yield Fault(("bow", "chronograph", index), wrong, mend)
    for key in ("rated_draw_weight", "rated_draw_length", "rated_arrow_mass"):
        yield from _alone(values, f"bow.{key}", "bow.rated_speed", "it")
    speeds = (values[f"bow.{key}"] for key in ("rated_speed", "launch_speed", "draw_weight"))
    if not readings and all(speed is None for speed in speeds):
        wrong = "nothing in the sheet tells the arrow's speed"
        rated = "" if values["bow.kind"] in NO_PEEP else ", rated_speed"
        mend = f"Give launch_speed{rated} or draw_weight; until then bands are very wide"
        yield fault_at("bow", wrong, mend)


def _air_cautions(values: Values) -> Iterator[Fault]:
    """Air that was not said, and a weather report's pressure taken for the one on the spot."""
    pressure, altitude = values["air.pressure"], values["air.altitude"]
    if not values["air"]:
        both = f"{example('air.temperature')} and {example('air.altitude')}"
        wrong = "no air is said, so 15 °C at sea level is assumed"
        yield fault_at("air", wrong, f"Add [air] with {both} (yours)")
    elif pressure is not None and altitude is not None:
        here = usual_pressure(altitude.value)
        if abs(pressure.value / here - 1.0) > STATION_DOUBT:
            wrong = (
                f"{in_unit(pressure.value, 'hPa'):.0f} hPa is not what a barometer shows "
                f"at {altitude.value:.0f} m (about {in_unit(here, 'hPa'):.0f} hPa)"
            )
            mend = (
                "If it comes from a weather report it is reduced to sea level: name it "
                "sea_level_pressure; pressure is taken as read at the shooting line (station)"
            )
            yield fault_at("air.pressure", wrong, mend)


def _amount_cautions(values: Values, path: Path, kind: str) -> Iterator[Fault]:
    """Numbers outside what is usual, and ± that nothing uses, in every table."""
    for name, said in values.items():
        word = name.rpartition(".")[2]
        here = (*path, word) if path else tuple(name.split("."))  # a row is known by its place
        for place, entry in enumerate(said if isinstance(said, list) else ()):
            if isinstance(entry, Belief):
                yield from _odd_amount(entry, KEYS[name], (*here, place))
            else:
                yield from _amount_cautions(entry, (*here, place), kind)
        if isinstance(said, Belief):
            yield from _odd_amount(said, KEYS[name].of(kind), here)


def _odd_amount(said: Belief, key: Key, path: Path) -> Iterator[Fault]:
    """One number."""
    if said.sd is not None and not key.doubt:
        yield Fault(path, "its ± is not used", "Leave it out")
    number = amount_number(key, said.value)
    if key.usual and not key.usual[0] - SLACK <= number <= key.usual[1] + SLACK:
        wrong = f"{number:.4g} {key.unit}".rstrip() + " is possible, but unusual"
        mend = f"Usual is {span_words(key.usual, key.unit)}; measure it again if in doubt"
        yield Fault(path, wrong, mend)

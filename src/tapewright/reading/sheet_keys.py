"""Sheet keys: which keys a rig sheet may hold, each with its kind, limits and an example.

Holds:  one model per table of the sheet.
Never:  sentences about files and lines (sheet_faults.py), cross-checks (sheet.py).
Source: limits are common practice, no source: wide enough for any bow shot by hand.
"""

from dataclasses import dataclass, replace
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, GetCoreSchemaHandler
from pydantic_core import PydanticCustomError, core_schema

from tapewright.ground.errors import BadInput
from tapewright.services.equip import Belief
from tapewright.words.quantities import in_unit, read_with_doubt
from tapewright.words.unit_names import Kind, quoted


def as_text(raw: object) -> str:
    """Text of any value of a TOML file, even of a number too long to be written."""
    try:
        return str(raw)
    except ValueError:
        return "a number of thousands of digits"


@dataclass(frozen=True, slots=True)
class Amount:
    """What one key takes."""

    kind: Kind  # kind of quantity
    unit: str  # unit of the limits; empty for a plain number
    low: float  # hard limits: beyond, the sheet is refused
    high: float
    example: str  # what would be right
    usual: tuple[float, float] | None = None  # beyond, a warning
    doubt: bool = False  # whether a ± is used
    words: tuple[str, ...] = ()  # answers that stand for none, which is 0

    def __get_pydantic_core_schema__(
        self, source: object, handler: GetCoreSchemaHandler
    ) -> core_schema.CoreSchema:
        return core_schema.no_info_plain_validator_function(self.read)

    def read(self, raw: object) -> Belief:
        """Read the value of the key, inside the hard limits."""
        text = as_text(raw)
        if text.strip().casefold() in self.words:
            return Belief(0.0)
        try:
            value, doubt = read_with_doubt(text, self.kind, "", self.example)
        except BadInput as bad:
            raise self._refused(bad.wrong, bad.mend) from None
        number = self.number(value)
        if not self.low - 1e-9 <= number <= self.high + 1e-9:
            side, limit = ("below", self.low) if number < self.low else ("above", self.high)
            shown = f"{number:.4g} {self.unit}".rstrip()
            wrong = f"{quoted(text)} is " + (f"{shown}, " if shown != text else "")
            wrong += f"{side} the limit of {limit:g} {self.unit}".rstrip()
            comma = " (a comma is read as the decimal mark)" if "," in text else ""
            span = f"{self.low:g} to {self.high:g} {self.unit}".rstrip()
            raise self._refused(wrong, f"Write {span}{comma}, such as {quoted(self.example)}")
        return Belief(value, doubt)

    def number(self, value: float) -> float:
        """Give an SI value in the unit of the limits."""
        return in_unit(value, self.unit) if self.unit else value

    @staticmethod
    def _refused(wrong: str, mend: str) -> PydanticCustomError:
        return PydanticCustomError("tapewright", "{wrong}. {mend}", {"wrong": wrong, "mend": mend})


_WEIGHT = Amount("force", "lbf", 10, 120, "60 lbf")
_DRAW = Amount("length", "in", 15, 36, "29 in")
_SPEED = Amount("speed", "ft/s", 60, 500, "278 ft/s ± 3", usual=(130, 380), doubt=True)
_MASS = Amount("mass", "gr", 100, 1500, "420 gr ± 2", doubt=True)
_PLAIN_MASS = Amount("mass", "gr", 100, 1500, "350 gr")
_CLICK = Amount("length", "mm", 0.001, 5, "0.10 mm")
_RATIO = Amount("number", "", 0.05, 50, "1.60 ± 0.05", doubt=True)
_DRAG = Amount("number", "", 0.3, 10, "2.1 ± 30 %", usual=(1, 4), doubt=True)
_PIN = Amount("length", "mm", 0.5, 150, "9 mm", doubt=True)
_END = Amount("length", "mm", -500, 500, "85 mm")

Said = Belief | None


class _Keys(BaseModel):
    model_config = ConfigDict(strict=True, extra="forbid", frozen=True)


class ChronographKeys(_Keys):
    """One ``[[bow.chronograph]]``."""

    speed: Annotated[Belief, _SPEED]
    at: Annotated[Said, Amount("length", "m", 0, 30, "1 yd")] = None
    arrow_mass: Annotated[Said, _PLAIN_MASS] = None


class BowKeys(_Keys):
    """The ``[bow]`` table."""

    draw_weight: Annotated[Said, _WEIGHT] = None
    draw_length: Annotated[Said, _DRAW] = None
    brace_height: Annotated[Said, Amount("length", "in", 3, 12, "6.5 in")] = None
    launch_speed: Annotated[Said, _SPEED] = None
    rated_speed: Annotated[Said, replace(_SPEED, example="330 ft/s ± 2 %")] = None
    rated_draw_weight: Annotated[Said, replace(_WEIGHT, example="70 lbf")] = None
    rated_draw_length: Annotated[Said, replace(_DRAW, example="30 in")] = None
    rated_arrow_mass: Annotated[Said, _PLAIN_MASS] = None
    least_arrow_mass: Annotated[Said, _PLAIN_MASS] = None
    rest: Annotated[
        Said, Amount("length", "mm", -150, 150, "5 mm", words=("shelf", "off the shelf", "none"))
    ] = None
    chronograph: list[ChronographKeys] = Field(default=[], max_length=100)


class ArrowKeys(_Keys):
    """The ``[arrow]`` table."""

    mass: Annotated[Belief, _MASS]
    shaft_diameter: Annotated[Belief, Amount("length", "mm", 3, 12, "6.0 mm")]
    length: Annotated[Said, Amount("length", "in", 15, 36, "28.5 in")] = None
    point: Literal["field", "broadhead"] = "field"
    vane_height: Annotated[Said, Amount("length", "in", 0.05, 2, "0.45 in")] = None
    drag_coefficient: Annotated[Said, _DRAG] = None
    blade_diameter: Annotated[Said, Amount("length", "mm", 8, 100, "29 mm", words=("none",))] = None


class SightKeys(_Keys):
    """The ``[sight]`` table."""

    peep_height: Annotated[
        Said, Amount("length", "in", 0.5, 12, "4.6 in ± 0.15", usual=(2.5, 7), doubt=True)
    ] = None
    sight_radius: Annotated[
        Said, Amount("length", "in", 10, 60, "33 in ± 0.5", usual=(20, 45), doubt=True)
    ] = None
    reading_per_travel: Annotated[Said, _RATIO] = None
    farther: Literal["increases", "decreases"] = "increases"
    pins_below_first: list[Annotated[Belief, _PIN]] = Field(default=[], max_length=10)
    housing_below_pin: Annotated[Said, Amount("length", "mm", 1, 150, "23 mm")] = None
    clearance_reading: Annotated[Said, Amount("length", "mm", -500, 500, "78 mm")] = None
    travel_ends: list[Annotated[Belief, _END]] = Field(default=[], max_length=2)
    arrow_margin: Annotated[Said, Amount("length", "mm", 0, 50, "6 mm")] = None
    elevation_click: Annotated[Said, _CLICK] = None
    windage_click: Annotated[Said, _CLICK] = None
    arm_length: Annotated[Said, Amount("length", "mm", 20, 500, "90 mm")] = None
    arm_level_reading: Annotated[Said, Amount("length", "mm", -500, 500, "32 mm")] = None


class ArcherKeys(_Keys):
    """The ``[archer]`` table."""

    dispersion: Annotated[Said, Amount("angle", "mrad", 0.05, 20, "0.6 mrad", doubt=True)] = None
    tolerance: Annotated[Said, Amount("length", "in", 0.2, 40, "3 in")] = None
    distance_error: Annotated[Said, Amount("length", "m", 0.001, 10, "0.25 yd")] = None
    reading_error: Annotated[Said, Amount("length", "mm", 0.001, 10, "0.1 mm")] = None


Found = Literal["", "sound", "damaged"]  # empty: nobody looked yet


class ChecksKeys(_Keys):
    """The ``[checks]`` table: the check list before the first arrow."""

    bow: Found = ""
    shafts: Found = ""
    rest: Found = ""
    centre_shot: Found = ""
    nock: Found = ""
    timing: Found = ""
    peep: Found = ""
    screws: Found = ""


class AirKeys(_Keys):
    """The ``[air]`` table."""

    temperature: Annotated[Said, Amount("temperature", "°C", -35, 50, "15 °C")] = None
    pressure: Annotated[Said, Amount("pressure", "hPa", 500, 1100, "1013 hPa")] = None
    sea_level_pressure: Annotated[Said, Amount("pressure", "hPa", 850, 1100, "1013 hPa")] = None
    altitude: Annotated[Said, Amount("length", "m", -450, 5500, "300 m")] = None
    humidity: Annotated[Said, Amount("fraction", "%", 0, 100, "50 %")] = None


class SheetKeys(_Keys):
    """The whole sheet."""

    schema_: Literal[1] = Field(default=1, alias="schema")
    name: str
    hand: Literal["right", "left"] = "right"
    bow: BowKeys = BowKeys()
    arrow: ArrowKeys
    sight: SightKeys = SightKeys()
    archer: ArcherKeys = ArcherKeys()
    air: AirKeys | None = None
    checks: ChecksKeys = ChecksKeys()


# table → its model, as errors look for the nearest key
TABLES: dict[tuple[str, ...], type[BaseModel]] = {
    (): SheetKeys,
    ("checks",): ChecksKeys,
    ("bow",): BowKeys,
    ("bow", "chronograph"): ChronographKeys,
    ("arrow",): ArrowKeys,
    ("sight",): SightKeys,
    ("archer",): ArcherKeys,
    ("air",): AirKeys,
}

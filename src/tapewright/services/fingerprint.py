"""Fingerprint: the short hash on a tape, of all that a calibration was made from.

It must come out the same for the same sheet and arrows for as long as the answer is the same,
whatever fields later records gain. So each record is written as the fields that it had when
fingerprints began; a later field is written only where it says something.

Holds:  the text that is hashed, its hash.
Never:  what a calibration says.
"""

from collections.abc import Mapping
from dataclasses import MISSING, Field, fields, is_dataclass
from hashlib import sha256

from tapewright.calibration.observation import Observation
from tapewright.calibration.rig import Rig

ANSWERS_SINCE = "0.2.0"  # the version in which the answer to the same question last changed
_DIGITS = 8
_FIRST: Mapping[str, tuple[str, ...]] = {
    "Belief": ("value", "sd"),
    "Chronograph": ("speed_mps", "at_m", "arrow_mass_kg"),
    "Rating": ("speed_mps", "draw_weight_n", "draw_length_m", "arrow_mass_kg"),
    "Bow": (
        "draw_weight_n", "draw_length_m", "brace_height_m", "launch_speed_mps", "chronograph",
        "rating",
    ),
    "Arrow": (
        "mass_kg", "shaft_diameter_m", "length_m", "point", "vane_height_m", "drag_coefficient",
    ),
    "Sight": (
        "peep_height_m", "sight_radius_m", "reading_per_travel", "farther", "pins_below_first_m",
        "housing_below_pin_m", "clearance_reading_m", "travel_ends_m", "arrow_margin_m",
        "elevation_click_m", "windage_click_m", "arm_length_m", "arm_level_reading_m",
    ),
    "Archer": ("dispersion_rad", "tolerance_m", "distance_sd_m", "reading_sd_m"),
    "Rig": ("name", "arrow", "bow", "sight", "archer", "air", "hand"),
    "HouseValue": ("key", "value", "kind", "point"),
    "HouseValues": ("name", "values"),
    "Air": ("temperature_k", "pressure_pa", "relative_humidity"),
    "Impact": ("right_m", "up_m", "arrows", "called_bad"),
    "Group": ("name", "impacts"),
    "Observation": (
        "group", "distance_m", "reading_m", "pin", "slope_rad", "crosswind_mps", "air",
    ),
    "Sticking": ("name", "sd_m"),
    "Ticks": ("distances_m", "readings_m"),
    "Tape": ("name", "unit", "pins"),
    "Beliefs": (
        "launch_ahead_m", "windage_rad", "side_m", "dispersion_up_rad", "dispersion_right_rad",
        "wobble_rad",
    ),
    "TransitionDrag": ("reynolds_at_middle", "laminar", "turbulent", "width", "doubt"),
    "TabulatedDrag": ("reynolds", "drag_coefficient", "doubt"),
}  # fmt: skip

# Values of later fields that change no answer; a tape keeps its fingerprint when they are written.
_SAYS_NOTHING = {"kind": "compound"}
_MOVES_NO_MARK = ("date", "arrow", "head", "rules")  # fields that change no answer


def fingerprint_of(seed: int, rig: Rig, observations: tuple[Observation, ...]) -> str:
    """Hash of what a calibration was made from."""
    return short_hash(written((ANSWERS_SINCE, seed, rig, observations)))


def short_hash(text: str) -> str:
    """The first digits of a text's hash."""
    return sha256(text.encode()).hexdigest()[:_DIGITS]


def written(value: object) -> str:
    """A record, and whatever it holds, as the text that is hashed."""
    if is_dataclass(value):
        name = type(value).__name__
        first = _FIRST[name]
        later = (
            one.name
            for one in fields(value)
            if one.name not in (*first, *_MOVES_NO_MARK)
            and getattr(value, one.name) not in (_default(one), _SAYS_NOTHING.get(one.name))
        )
        parts = (f"{field}={written(getattr(value, field))}" for field in (*first, *later))
        return f"{name}({', '.join(parts)})"
    if isinstance(value, tuple):
        inside = ", ".join(map(written, value))
        return f"({inside},)" if len(value) == 1 else f"({inside})"
    return repr(value)


def _default(field: Field[object]) -> object:
    """What a field says where nothing was said."""
    return field.default if field.default_factory is MISSING else field.default_factory()

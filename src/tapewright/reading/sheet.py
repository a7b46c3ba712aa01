"""Sheet: a TOML text with units becomes a Rig, or its faults are named together.

Holds:  reading, putting the records together.
Never:  kinds and limits (sheet_keys.py), what is odd but possible (sheet_cautions.py).
"""

import tomllib
from pathlib import Path
from typing import overload

from pydantic import ValidationError

from tapewright.ground.errors import BadRigSheet, OutsideValidRange
from tapewright.ground.units import FOOT_M, GRAIN_KG, INCH_M, POUND_FORCE_N
from tapewright.reading.sheet_cautions import contradictions, rig_cautions
from tapewright.reading.sheet_faults import MOST_FAULTS, Fault, SheetText, fault_of, toml_error
from tapewright.reading.sheet_keys import AirKeys, ArcherKeys, BowKeys, Said, SheetKeys
from tapewright.reading.sheet_template import clean_name, new_rig_sheet
from tapewright.reading.text_file import file_name, load_text
from tapewright.reading.toml_text import refuse_large
from tapewright.services.equip import (
    STANDARD_AIR,
    Air,
    Archer,
    Arrow,
    Belief,
    Bow,
    Chronograph,
    Rating,
    Rig,
    Sight,
    air_from_weather,
)
from tapewright.services.stops import PARTS, doubts, stops
from tapewright.words.stops import STOP, doubt_words, stop_words

__all__ = ["load_rig_sheet", "new_rig_sheet", "read_rig_sheet", "sheet_cautions", "sheet_faults"]

MOST_BYTES = 100_000
GATE_M = 3 * FOOT_M  # where the first gate of a chronograph stands in the trade's speed tests


def load_rig_sheet(path: Path) -> tuple[Rig, tuple[str, ...]]:
    """Load a rig sheet from a file.

    Parameters
    ----------
    path : Path
        The file.

    Returns
    -------
    Rig, tuple of str
        The rig, and what is odd about the sheet.

    Raises
    ------
    BadRigSheet
        If the file cannot be read or anything in it is wrong.
    """
    return read_rig_sheet(load_text(path, MOST_BYTES, BadRigSheet), file_name(path))


def read_rig_sheet(text: str, name: str = "rig sheet") -> tuple[Rig, tuple[str, ...]]:
    """Read a rig sheet."""
    plain = text.removeprefix("\ufeff").replace("\r\n", "\n")
    if not plain.strip():
        mend = 'Begin with name = "Heron" and an [arrow] table'
        raise BadRigSheet(name, "the rig sheet is empty", mend)
    refuse_large(plain, name)
    sheet = SheetText(plain, name)
    keys = _checked_keys(plain, sheet)
    if faults := sheet_faults(keys):
        raise sheet.error(faults)
    rig = _rig(keys)
    cautions = tuple(_told(one, sheet) for one in sheet_cautions(keys))
    return rig, cautions


def _told(one: Fault, sheet: SheetText) -> str:
    """A caution with its place; a stop begins with the word."""
    place, words = sheet.place(one.path), f"{one.wrong}. {one.mend}."
    return f"{words} ({place})" if words.startswith(STOP) else f"{place}: {words}"


def sheet_cautions(keys: SheetKeys) -> tuple[Fault, ...]:
    """Why a set-up must not be shot, then what is odd but possible."""
    rig = _rig(keys)
    return (
        *(_fault(one.key, stop_words(one)) for one in stops(rig)),
        *(_fault(one.key, doubt_words(one)) for one in doubts(rig)),
        *rig_cautions(keys),
    )


def _fault(key: str, words: tuple[str, str]) -> Fault:
    return Fault(tuple(key.split(".")), *words)


def _checked_keys(text: str, sheet: SheetText) -> SheetKeys:
    """Keys and values of the text, each inside its limits."""
    try:
        tables = tomllib.loads(text)
    except ValueError as error:
        raise toml_error(text, sheet.name, str(error)) from None
    try:
        return SheetKeys.model_validate(tables)
    except ValidationError as error:
        complaints = error.errors(include_url=False)
        faults = [fault_of(one) for one in complaints[:MOST_FAULTS]]
        raise sheet.error(faults, len(complaints) - len(faults)) from None


def sheet_faults(keys: SheetKeys) -> tuple[Fault, ...]:
    """What is wrong with a sheet whose keys are each inside their limits."""
    faults = list(contradictions(keys))
    try:
        _air(keys.air)
    except OutsideValidRange as error:
        mend = "Check altitude and sea_level_pressure"
        faults.append(Fault(("air",), f"{error}".rstrip("."), mend))
    try:
        clean_name(keys.name)
    except BadRigSheet as bad:
        faults.append(Fault(("name",), bad.wrong, bad.mend))
    return tuple(faults)


def _rig(keys: SheetKeys) -> Rig:
    """Put the records together, of a sheet without faults."""
    air, name = _air(keys.air), clean_name(keys.name)
    arrow = Arrow(
        mass_kg=keys.arrow.mass,
        shaft_diameter_m=keys.arrow.shaft_diameter.value,
        length_m=_value(keys.arrow.length),
        point=keys.arrow.point,
        vane_height_m=_value(keys.arrow.vane_height),
        drag_coefficient=keys.arrow.drag_coefficient,
        blade_diameter_m=_value(keys.arrow.blade_diameter),
    )
    sound, damaged = (
        tuple(part for part in PARTS if getattr(keys.checks, part) == found)
        for found in ("sound", "damaged")
    )
    bow, sight, archer = _bow(keys.bow), _sight(keys), _archer(keys.archer)
    return Rig(name, arrow, bow, sight, archer, air, keys.hand, sound, damaged)


def _bow(keys: BowKeys) -> Bow:
    """Bow with its speeds."""
    readings = tuple(
        Chronograph(one.speed, _value(one.at, GATE_M), _value(one.arrow_mass))
        for one in keys.chronograph
    )
    return Bow(
        draw_weight_n=_value(keys.draw_weight),
        draw_length_m=_value(keys.draw_length),
        brace_height_m=_value(keys.brace_height),
        launch_speed_mps=keys.launch_speed,
        chronograph=readings,
        rating=_rating(keys),
        least_arrow_mass_kg=_value(keys.least_arrow_mass),
        rest_ahead_m=_value(keys.rest),
    )


def _rating(keys: BowKeys) -> Rating | None:
    """Maker's figure, at the conditions of the trade's common rating unless said."""
    if keys.rated_speed is None:
        return None
    return Rating(
        keys.rated_speed,
        _value(keys.rated_draw_weight, 70 * POUND_FORCE_N),
        _value(keys.rated_draw_length, 30 * INCH_M),
        _value(keys.rated_arrow_mass, 350 * GRAIN_KG),
    )


def _sight(keys: SheetKeys) -> Sight:
    """Sight and peep."""
    said = keys.sight
    return Sight(
        peep_height_m=said.peep_height,
        sight_radius_m=said.sight_radius,
        reading_per_travel=said.reading_per_travel,
        farther=said.farther,
        pins_below_first_m=tuple(said.pins_below_first),
        housing_below_pin_m=_value(said.housing_below_pin),
        clearance_reading_m=_value(said.clearance_reading),
        travel_ends_m=_travel_ends(said.travel_ends),
        arrow_margin_m=_value(said.arrow_margin),
        elevation_click_m=_value(said.elevation_click),
        windage_click_m=_value(said.windage_click),
        arm_length_m=_value(said.arm_length),
        arm_level_reading_m=_value(said.arm_level_reading, 0.0),
    )


def _travel_ends(said: list[Belief]) -> tuple[float, float] | None:
    """Both ends, the smaller first, or None when nothing was said."""
    if not said:
        return None
    low, high = sorted(end.value for end in said)
    return low, high


def _archer(keys: ArcherKeys) -> Archer:
    """Archer; what was not said stays the record's default."""
    usual = Archer()
    return Archer(
        dispersion_rad=keys.dispersion,
        tolerance_m=_value(keys.tolerance, usual.tolerance_m),
        distance_sd_m=_value(keys.distance_error),
        reading_sd_m=_value(keys.reading_error, usual.reading_sd_m),
    )


def _air(keys: AirKeys | None) -> Air:
    """Air at the line."""
    if keys is None:
        return STANDARD_AIR
    return air_from_weather(
        _value(keys.temperature),
        _value(keys.pressure),
        _value(keys.sea_level_pressure),
        _value(keys.altitude),
        _value(keys.humidity),
    )


@overload
def _value(said: Said) -> float | None: ...
@overload
def _value(said: Said, usual: float) -> float: ...
def _value(said: Said, usual: float | None = None) -> float | None:
    """Value alone, or the usual one when nothing was said."""
    return usual if said is None else said.value

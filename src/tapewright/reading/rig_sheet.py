"""Rig sheet: a TOML text with units becomes a Rig, or its faults are named together.

Holds:  reading, putting the records together.
Never:  the keys (rig_sheet_fields.py), what is odd but possible (sheet_cautions.py).
"""

from typing import Any

from tapewright.ground.errors import BadRigSheet, OutsideValidRange
from tapewright.reading.rig_sheet_fields import KEYS
from tapewright.reading.sheet_cautions import contradictions, rig_cautions
from tapewright.reading.sheet_schema import Key
from tapewright.reading.sheet_template import clean_name, new_rig_sheet
from tapewright.reading.sheet_values import Fault, Values, fault_at, read_amount, read_keys
from tapewright.reading.text_file import FileSource, file_name, load_text
from tapewright.reading.toml_text import MOST_FAULTS, SheetText, sheet_tables
from tapewright.services import equip
from tapewright.services.stops import PARTS, doubts, stops
from tapewright.words.rules import TICKS
from tapewright.words.stops import STOP, doubt_words, stop_words

__all__ = ["load_rig_sheet", "new_rig_sheet", "read_rig_sheet", "sheet_cautions", "sheet_faults"]

MOST_BYTES = 100_000


def load_rig_sheet(path: FileSource) -> tuple[equip.Rig, tuple[str, ...]]:
    r"""Load a rig sheet from a file.

    Parameters
    ----------
    path : path or open file
        The file.

    Returns
    -------
    Rig, tuple of str
        The rig, and what is odd about the sheet.

    Example
    -------
    >>> import io
    >>> sheet = 'name = "Heron"\n[arrow]\nmass = "420 gr"\nshaft_diameter = "6 mm"'
    >>> rig, notes = load_rig_sheet(io.StringIO(sheet))
    >>> round(rig.arrow.mass_kg.value, 4)
    0.0272

    Raises
    ------
    BadRigSheet
        If the file cannot be read or anything in it is wrong.
    """
    return read_rig_sheet(load_text(path, MOST_BYTES, BadRigSheet), file_name(path))


def read_rig_sheet(text: str, name: str = "rig sheet") -> tuple[equip.Rig, tuple[str, ...]]:
    """Read a rig sheet."""
    empty = ("the rig sheet is empty", 'Begin with name = "Heron" and an [arrow] table')
    plain, tables = sheet_tables(text, name, empty)
    sheet = SheetText(plain, name)
    values, wrong = read_keys(tables)
    if wrong:
        raise sheet.error(wrong[:MOST_FAULTS], len(wrong[MOST_FAULTS:]))
    if faults := sheet_faults(values):
        raise sheet.error(faults)
    return _rig(values), tuple(_told(one, sheet) for one in sheet_cautions(values))


def _told(one: Fault, sheet: SheetText) -> str:
    """A caution with its place; a stop begins with the word."""
    place, words = sheet.place(one.path), f"{one.wrong}. {one.mend}."
    return f"{words} ({place})" if words.startswith(STOP) else f"{place}: {words}"


def sheet_cautions(values: Values) -> tuple[Fault, ...]:
    """Why a set-up must not be shot, then what is odd but possible."""
    rig = _rig(values)
    return (
        *(fault_at(one.key, *stop_words(one)) for one in stops(rig)),
        *(fault_at(one.key, *doubt_words(one)) for one in doubts(rig)),
        *rig_cautions(values),
    )


def sheet_faults(values: Values) -> tuple[Fault, ...]:
    """What is wrong with a sheet whose keys are each inside their limits."""
    faults = list(contradictions(values))
    try:
        _air(values)
    except OutsideValidRange as error:
        mend = "Check altitude and sea_level_pressure"
        faults.append(fault_at("air", f"{error}".rstrip("."), mend))
    try:
        clean_name(values["name"])
    except BadRigSheet as bad:
        faults.append(fault_at("name", bad.wrong, bad.mend))
    return tuple(faults)


def _rig(values: Values) -> equip.Rig:
    """Put the records together, of a sheet without faults."""
    said = _said(values, "")
    rated = values["bow.rated_speed"] is not None
    return equip.Rig(
        **said | {"name": clean_name(said["name"])},
        arrow=equip.Arrow(**_said(values, "arrow")),
        bow=equip.Bow(
            **_said(values, "bow"),
            chronograph=tuple(
                equip.Chronograph(**_said(row, "bow.chronograph"))
                for row in values["bow.chronograph"]
            ),
            rating=equip.Rating(**_said(values, "rating")) if rated else None,
        ),
        sight=equip.Sight(**_said(values, "sight")),
        archer=equip.Archer(**_said(values, "archer")),
        air=_air(values),
        sound=tuple(part for part in PARTS if values[f"checks.{part}"] == "sound"),
        damaged=tuple(part for part in PARTS if values[f"checks.{part}"] == "damaged"),
        rules=tuple(tick for tick in TICKS if values[f"rules.{tick}"] == "yes"),
    )


def _air(values: Values) -> equip.Air:
    """Air at the line."""
    return equip.air_from_weather(**_said(values, "air")) if values["air"] else equip.STANDARD_AIR


def _said(values: Values, record: str) -> dict[str, Any]:
    """What a sheet tells of a record, by attribute; what it leaves open stays the record's own."""
    said = {}
    for attribute, name, key in _FILLED[record]:
        value = values[name]
        if value is None and key.taken:
            value = read_amount(key, key.taken)
        if value:
            said[attribute] = _kept(key, value)
    return said


def _filled() -> dict[str, list[tuple[str, str, Key]]]:
    """Records with their attributes, and the keys that fill them."""
    filled: dict[str, list[tuple[str, str, Key]]] = {}
    for name, key in KEYS.items():
        table, _, word = name.rpartition(".")
        record, _, attribute = key.attribute(word).rpartition(".")
        if attribute:
            filled.setdefault(record or table, []).append((attribute, name, key))
    return filled


_FILLED = _filled()


def _kept(key: Key, value: Any) -> Any:  # noqa: ANN401 — by the key's entry
    """What a record holds of a value: with its doubt where that is used."""
    if key.many:
        return tuple(value) if key.doubt else tuple(sorted(entry.value for entry in value))
    is_bare = isinstance(value, equip.Belief) and not key.doubt
    return value.value if is_bare else value

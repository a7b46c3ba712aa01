"""House value sentences: whose values stand in where a rig sheet is silent.

Holds:  the sentence that names them; the same for programs.
Never:  where they stand in (calibration), reading them.
"""

from typing import Any

from tapewright.services.equip import HouseValue, HouseValues, Rig
from tapewright.words.answer_columns import rounded
from tapewright.words.quantity_parser import format_quantity, format_with_doubt

_WORDS = {  # key → words, unit, decimals
    "arrow.drag_coefficient": ("drag coefficient", "", None),
    "sight.reading_per_travel": ("reading per travel", "", None),
    "archer.dispersion": ("dispersion", "mrad", None),
    "chronograph.reads": ("chronograph reads", "%", None),
}


def value_words(one: HouseValue) -> str:
    """A house value, as "drag coefficient 2.05 ± 0.1 (thin carbon)"."""
    words, unit, decimals = _WORDS[one.key]
    written = format_with_doubt(one.value.value, one.value.sd, unit, decimals)
    of = ", ".join(filter(None, (one.kind, one.point if one.point == "broadhead" else "")))
    return f"{words} {written}" + (f" ({of})" if of else "")


def house_words(rig: Rig) -> str:
    """Which house values a rig uses, as a sentence; empty: none."""
    if rig.house is None:
        return ""
    told = "; ".join(map(value_words, rig.house.values))
    return f"Not on the sheet, house values of {rig.house.name} taken: {told}."


def house_rows(house: HouseValues) -> tuple[tuple[str, ...], ...]:
    """What stands in house values: of each value what it is for, of which kind, how large."""
    rows = []
    for one in house.values:
        words, unit, _ = _WORDS[one.key]
        what = f"{words}, broadhead" if one.point == "broadhead" else words
        value = format_quantity(one.value.value, unit)
        doubt = format_quantity(one.value.sd or 0.0, unit)
        rows.append((what, one.kind or "any", value, doubt))
    return tuple(rows)


def house_json(rig: Rig) -> dict[str, Any] | None:
    """Which house values a rig uses, for programs; None: none."""
    return None if rig.house is None else values_json(rig.house)


def values_json(house: HouseValues) -> dict[str, Any]:
    """House values for programs."""
    return {
        "name": house.name,
        "values": [
            {
                "key": one.key,
                "kind": one.kind or None,
                "point": one.point or None,
                "value": rounded(one.value.value, _WORDS[one.key][1], 6),
                "sd": rounded(one.value.sd, _WORDS[one.key][1], 6),
                "unit": _WORDS[one.key][1] or "number",
            }
            for one in house.values
        ],
    }

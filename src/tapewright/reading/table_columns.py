"""Table columns: the header of a file of shots, and the numbers below it in SI.

Holds:  names, units and limits of columns; one cell read.
Never:  rows and groups (shots.py).
Source: limits are common practice, no source.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from difflib import get_close_matches

from tapewright.ground.errors import BadInput, BadShots
from tapewright.ground.units import UNITS, Unit
from tapewright.words.quantities import read_number
from tapewright.words.unit_names import TIDY, Kind, find_unit, quoted, unit_name


@dataclass(frozen=True, slots=True)
class Measure:
    """What a column with a unit takes."""

    kind: Kind  # kind of quantity
    low: float  # hard limits
    high: float
    unit: str  # unit of the limits
    headers: str  # headers worth offering
    example: str  # number that would be right


MEASURES = {
    "distance": Measure("length", 1, 200, "m", "distance_yd, distance_m or distance_ft", "20"),
    "reading": Measure("length", -500, 500, "mm", "reading_mm, reading_cm or reading_in", "31.2"),
    "right": Measure("length", -3, 3, "m", "right_in, right_cm or right_mm", "1.5"),
    "up": Measure("length", -3, 3, "m", "up_in, up_cm or up_mm", "-2.0"),
    "slope": Measure("angle", -60, 60, "deg", "slope_deg", "12"),
    "temperature": Measure("temperature", -35, 50, "°C", "temperature_c or temperature_f", "15"),
    "crosswind": Measure(
        "speed", -40, 40, "m/s", "crosswind_mps, crosswind_kmh or crosswind_mph", "2.5"
    ),
    "pressure": Measure("pressure", 500, 1100, "hPa", "pressure_hpa or pressure_inhg", "1013"),
    "altitude": Measure("length", -430, 5500, "m", "altitude_m or altitude_ft", "350"),
}
COUNTS = {"pin": 20, "arrows": 100}
WORDS = ("group", "note")
NEEDED = ("distance", "reading")
EXAMPLE_HEADER = "group,distance_yd,reading_mm,right_in,up_in"


@dataclass(frozen=True, slots=True)
class Column:
    """One column of the file."""

    word: str  # what it holds: ``"distance"``, ``"pin"`` and so on
    header: str  # as written
    unit: Unit | None = None  # unit of its numbers; None for counts and words
    unit_name: str = ""  # the same by name


def read_header(
    cells: Sequence[str],
    place: str,
    needed: Sequence[str] = NEEDED,
    example: str = EXAMPLE_HEADER,
) -> list[Column]:
    """Read the header, forgiving case, spaces and brackets."""
    columns: list[Column] = []
    for cell in cells:
        column = read_column(cell, f"{place}, column {quoted(cell)}")
        for earlier in columns:
            if earlier.word == column.word:
                wrong = f"{column.word} stands here for the second time"
                raise BadShots(f"{place}, column {quoted(cell)}", wrong, "Keep one of the two")
        columns.append(column)
    for word in needed:
        if word not in {column.word for column in columns}:
            wrong = f"there is no column for the {word}"
            mend = f"Add {MEASURES[word].headers}; the whole header may be {example}"
            raise BadShots(place, wrong, mend)
    return columns


def tidy_header(cell: str) -> str:
    """Name of a column without case, spaces and brackets."""
    return re.sub(r"[\s()\[\]-]+", "_", cell.strip().casefold()).strip("_")


def read_column(cell: str, place: str) -> Column:
    """Read one cell of the header."""
    header = " ".join(cell.split())
    tidy = tidy_header(header)
    if tidy in COUNTS or tidy in WORDS:
        return Column(tidy, header)
    word, _, unit = tidy.partition("_")
    measure = MEASURES.get(word)
    if measure is None:
        known = [*MEASURES, *COUNTS, *WORDS]
        near = get_close_matches(word, known, 1, 0.6)
        nearest = f'The nearest is "{near[0]}"; known are' if near else "Known are"
        if near and near[0] in MEASURES:
            nearest = f"The nearest is {MEASURES[near[0]].headers}; known are"
        wrong = "no column has that name" if tidy else "a column has no name"
        raise BadShots(place, wrong, f"{nearest} {', '.join(known)}")
    try:
        found = find_unit(unit, measure.kind, place, "", header)
    except BadInput as bad:
        raise BadShots(place, bad.wrong, f"Write {measure.headers}") from None
    return Column(word, header, found, unit_name(unit, measure.kind) or unit)


def read_measure(text: str, column: Column, place: str) -> float:
    """Read one cell with a measured number."""
    assert column.unit is not None, "only measured columns are read here"
    measure = MEASURES[column.word]
    if not text:
        wrong, mend = "the cell is empty", f"Write a number such as {measure.example}"
        raise BadShots(place, wrong, mend)
    number = _number(text, measure.example, column, place)
    value = number * column.unit.factor + column.unit.offset
    limit = UNITS[measure.unit]
    shown = (value - limit.offset) / limit.factor
    if not measure.low - 1e-9 <= shown <= measure.high + 1e-9:
        side, bound = ("below", measure.low) if shown < measure.low else ("above", measure.high)
        said, meant = f"{text} {column.unit_name}", f"{shown:.4g} {measure.unit}"
        wrong = f"{said} is " if said == meant else f"{said} is {meant}, "
        wrong += f"{side} the limit of {bound:g} {measure.unit}"
        mend = f"Check number and unit; {measure.low:g} to {measure.high:g} {measure.unit} is right"
        raise BadShots(place, wrong, mend)
    return value


_TYPED = re.compile(r"(?P<number>.*\d[.,]?)\s*(?P<unit>[^\d.,]*)", re.DOTALL)


def read_typed(text: str, word: str, unit: str, place: str) -> float:
    """Read a number typed into a form: by the rules of a column, with a unit of its own or not."""
    tidy, measure = text.translate(TIDY).strip(), MEASURES[word]
    found = _TYPED.fullmatch(tidy)
    number, typed = (found["number"], found["unit"].strip()) if found else (tidy, "")
    if not found:
        return read_measure(number, Column(word, "", UNITS[measure.unit]), place)
    example = f"{measure.example} {unit or measure.unit}"
    known = find_unit(typed or unit, measure.kind, place, example, tidy)
    name = unit_name(typed or unit, measure.kind) or unit
    return read_measure(number, Column(word, "", known, name), place)


def check_pin(pin: int, pins: int | None, place: str) -> int:
    """Refuse a pin that the sight does not have."""
    if pins is not None and pin > pins:
        wrong = f"pin {pin} is aimed with, and the rig sheet has {pins}"
        mend = "Write the pin counted from the top, or add it to pins_below_first in the sheet"
        raise BadShots(place, wrong, mend)
    return pin


def read_count(text: str, column: Column, place: str) -> int:
    """Read one cell with a whole number from 1 up."""
    number = _number(text, "1", column, place)
    most = COUNTS[column.word]
    if number != int(number) or not 1 <= number <= most:
        wrong = f"{quoted(text)} is not a whole number from 1 to {most}"
        raise BadShots(place, wrong, "Write a count such as 1")
    return int(number)


def _number(text: str, example: str, column: Column, place: str) -> float:
    """Plain number of a cell."""
    try:
        return read_number(text, place, example)
    except BadInput as bad:
        mend = f"Write a number such as {example}"
        if column.unit_name and column.header:
            mend += f", without a unit: the header says {column.unit_name}"
        raise BadShots(place, bad.wrong, mend) from None

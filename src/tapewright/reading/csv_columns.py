"""CSV columns: every column that a file of ours may have, and one cell of it in SI.

From here come the header and cells of files, what is typed into a form of a group, and what
another program may send of one.

Holds:  names, kinds, units and limits of columns; a cell read.
Never:  headers, rows and faults (csv_reader.py), what a row means (shots_reader.py,
        strip_side_click_tables.py).
Source: limits are common practice, no source.
"""

import re
from dataclasses import dataclass

from tapewright.ground.checks import is_day
from tapewright.ground.errors import BadInput, BadShots
from tapewright.ground.units import UNITS, Unit
from tapewright.services.scale_words import scales_from, scales_text
from tapewright.words.quantity_parser import read_number
from tapewright.words.unit_spellings import TIDY, Kind, find_unit, quoted, unit_name


@dataclass(frozen=True, slots=True)
class Measure:
    """What a column with a unit takes."""

    kind: Kind  # kind of quantity
    low: float  # hard limits
    high: float
    unit: str  # unit of the limits
    headers: str  # headers worth offering
    example: str  # number that would be right
    attribute: str = ""  # what records of shooting call it, in SI
    sent: str = ""  # what other programs call it
    sent_unit: str = ""
    usual: float | None = None  # in SI, unless written; None: not said

    def ends(self, unit: str) -> tuple[float, float]:
        """The limits in another unit."""
        if unit == self.unit:
            return self.low, self.high
        factor = UNITS[self.unit].factor / UNITS[unit].factor
        return self.low * factor, self.high * factor


MEASURES = {
    "distance": Measure("length", 1, 200, "m", "distance_yd, distance_m or distance_ft", "20",
                        "distance_m", "distance_m", "m"),
    "reading": Measure("length", -500, 500, "mm", "reading_mm, reading_cm or reading_in", "31.2",
                       "reading_m", "reading_mm", "mm"),
    "right": Measure("length", -3, 3, "m", "right_in, right_cm or right_mm", "1.5",
                     "right_m", "right_mm", "mm"),
    "up": Measure("length", -3, 3, "m", "up_in, up_cm or up_mm", "-2.0",
                  "up_m", "up_mm", "mm"),
    "slope": Measure("angle", -60, 60, "deg", "slope_deg", "12",
                     "slope_rad", "slope_deg", "deg", 0.0),
    "temperature": Measure("temperature", -35, 50, "°C", "temperature_c or temperature_f", "15",
                           "temperature_k", "temperature_c", "°C"),
    "crosswind": Measure("speed", -40, 40, "m/s", "crosswind_mps, crosswind_kmh or crosswind_mph",
                         "2.5", "crosswind_mps", "crosswind_mps", "m/s", 0.0),
    "pressure": Measure("pressure", 500, 1100, "hPa", "pressure_hpa or pressure_inhg", "1013",
                        "pressure_pa", "pressure_hpa", "hPa"),
    "altitude": Measure("length", -450, 5500, "m", "altitude_m or altitude_ft", "350",
                        "altitude_m", "altitude_m", "m"),
    "windage": Measure("length", -50, 50, "mm", "windage_mm, windage_cm or windage_in", "1.5",
                       "windage_m", "windage_mm", "mm"),
    "dialled": Measure("length", 1, 300, "m", "dialled_yd or dialled_m", "60",
                       "dialled_m", "dialled_m", "m"),
}  # fmt: skip
POSITION = Measure(
    "length", -500, 500, "mm", "position_mm, position_cm or position_in", "31.2"
)  # along a ready-made strip
COUNTS = {"pin": 20, "arrows": 100}
CLICKS = ("clicks", "windage_clicks")
MOST_CLICKS = 5000
WORDS = ("group", "note", "session", "distances", "tape", "scale", "date", "arrow",
         "head")  # fmt: skip
NAMES = ("group", "strip", "session", "arrow")  # words that name something
MOST_LETTERS = 1000  # of the scales that a scale goes back to
# Words of which one is right.
CHOICES = {"distances": ("tape", "range finder", "pegs", "paces"), "head": ("field", "broadhead")}
# What is said of a group without a unit, by column, and what it is where nothing is said.
PLAINLY_SAID = {"session": "", "windage_clicks": None, "distances": "", "scale": "",
                "date": "", "head": ""}  # fmt: skip

MEASURED = MEASURES | {"position": POSITION}
PLAIN = (*COUNTS, *CLICKS, *WORDS, "strip")  # columns without a unit


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a file."""

    word: str  # what it holds: ``"distance"``, ``"pin"`` and so on
    header: str  # as written
    unit: Unit | None = None  # unit of its numbers; None for counts and words
    unit_name: str = ""  # the same by name


def read_cell(text: str, column: Column, place: str, *, filled: bool) -> float | str | None:
    """Read one cell; None for an empty one that may be."""
    word = column.word
    if word == "note":
        return text
    if word == "tape":
        return group_name(text, place)
    if word == "scale":
        return scale_name(text, place)
    if word == "date":
        return read_day(text, place)
    if word in NAMES:
        if filled and not text:
            wrong = f"the {word} has no name"
            raise BadShots(place, wrong, "Write its name in each row, as 14")
        return group_name(text, place)
    if not text and not filled:
        return None
    if word in CHOICES:
        return read_choice(text, word, place)
    if word in COUNTS:
        return read_count(text, column, place)
    return read_clicks(text, place) if word in CLICKS else read_measure(text, column, place)


def group_name(text: str, place: str) -> str:
    """Name of a group or session, printable and not too long."""
    tidy = " ".join(text.split())
    if len(tidy) > 60 or not tidy.isprintable():
        wrong = f"{quoted(tidy)} is too long for a name, or cannot be printed"
        raise BadShots(place, wrong, "Write at most 60 letters, such as far1")
    return tidy


def scale_name(text: str, place: str) -> str:
    """A scale in words, tidied."""
    if len(text) > MOST_LETTERS or not text.isprintable():
        raise BadShots(place, "it is too long, or cannot be printed", "Shorten its names")
    try:
        return scales_text(scales_from(text, place))
    except BadInput as bad:
        raise BadShots(bad.place, bad.wrong, bad.mend) from None


def read_day(text: str, place: str) -> str:
    """Read a day, written as 2026-05-14; empty for nothing."""
    tidy = text.strip()
    if tidy and not is_day(tidy):
        wrong = f"{quoted(text)} is no day of the calendar"
        raise BadShots(place, wrong, "Write year, month and day as 2026-05-14")
    return tidy


def read_choice(text: str, word: str, place: str) -> str:
    """Read one of a few words, however it is spaced; empty for nothing."""
    tidy = " ".join(re.split(r"[\s_-]+", text.strip().casefold()))
    joined = {choice.replace(" ", ""): choice for choice in ("", *CHOICES[word])}
    found = joined.get(tidy.replace(" ", ""))
    if found is None:
        wrong = f"{quoted(text)} is none of the words for {word}"
        raise BadShots(place, wrong, f"Write {', '.join(CHOICES[word])}, or leave it open")
    return found


def is_called_bad(note: str) -> bool:
    """Whether a note says that the archer called a bad shot: "bad", alone or before a colon."""
    return note.partition(":")[0].strip().casefold() == "bad"


def is_missed(note: str) -> bool:
    """Whether a note says that an arrow went past the butt: its first word is "missed"."""
    words = note.casefold().replace(":", " ").split()
    return words[:1] in (["missed"], ["miss"])


def is_proof(note: str) -> bool:
    """Whether a note says that a proof was taken in: "proof", alone or before a colon."""
    return note.partition(":")[0].strip().casefold() == "proof"


def read_measure(text: str, column: Column, place: str) -> float:
    """Read one cell with a measured number."""
    assert column.unit is not None, "only measured columns are read here"
    measure = MEASURED[column.word]
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


_TYPED = re.compile(r"(?P<number>.*\d[.,]?)\s*(?P<unit>(?:[^\d.,]+\.?)?)", re.DOTALL)


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


def read_clicks(text: str, place: str) -> float:
    """Read one cell with clicks turned from the start."""
    try:
        clicks = read_number(text, place, "20")
    except BadInput as bad:
        raise BadShots(place, bad.wrong, "Write a count such as 20 or -20") from None
    if abs(clicks) > MOST_CLICKS:
        wrong = f"{text} clicks are more than a sight has"
        raise BadShots(place, wrong, f"Write {-MOST_CLICKS} to {MOST_CLICKS}")
    return clicks


def _number(text: str, example: str, column: Column, place: str) -> float:
    """Plain number of a cell."""
    try:
        return read_number(text, place, example)
    except BadInput as bad:
        mend = f"Write a number such as {example}"
        if column.unit_name and column.header:
            mend += f", without a unit: the header says {column.unit_name}"
        raise BadShots(place, bad.wrong, mend) from None

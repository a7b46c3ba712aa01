"""Set up record: its text becomes what was measured of a bow, or faults with lines.

Holds:  the SetUpSheet record; reading the text and the form; the commented file.
Never:  the keys (set_up_record_fields.py), what a deviation means.
"""

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from tapewright.ground.checks import is_day
from tapewright.ground.errors import BadInput, BadRigSheet
from tapewright.reading.set_up_record_fields import SET_UP
from tapewright.reading.sheet_form_lines import sheet_text
from tapewright.reading.sheet_template import clean_name, commented_sheet, quoted_toml
from tapewright.reading.sheet_values import Fault, Values, fault_at, read_keys
from tapewright.reading.toml_text import MOST_FAULTS, SheetText, sheet_tables
from tapewright.services.equip import Belief
from tapewright.words.unit_spellings import quoted

COUNTS = ("sight.hole", "sight.notch", "string.shots")
WORDS = {"string.string": 60, "photo": 120, "note": 400}  # the longest of each [letters]
MOST_BYTES = 40_000


@dataclass(frozen=True)
class SetUpSheet:
    """What was measured of a bow on a day."""

    measured: Mapping[str, Belief] = field(default_factory=dict)  # by key
    name: str = ""
    measured_on: str = ""
    string: str = ""
    photo: str = ""
    note: str = ""

    @property
    def shots(self) -> int | None:
        """How many the string has shot; None: not said."""
        shots = self.measured.get("string.shots")
        return None if shots is None else round(shots.value)


def read_set_up(text: str, name: str = "set-up record") -> SetUpSheet:
    """A set-up record from its text. BadRigSheet with place and mend if anything is wrong."""
    empty = ("nothing stands in it", 'Begin with [limbs] and brace_height = "178 mm ± 1"')
    try:
        plain, tables = sheet_tables(text, name, empty)
    except BadRigSheet as bad:
        mend = bad.mend.replace('mass = "420 gr"', 'brace_height = "178 mm"')
        raise BadRigSheet(bad.place, bad.wrong, mend) from None
    values, wrong = read_keys(tables, SET_UP)
    faults = wrong or list(_faults(values))
    if faults:
        raise SheetText(plain, name).error(faults[:MOST_FAULTS], len(faults[MOST_FAULTS:]))
    return _sheet(values)


def typed_set_up(values: dict[str, str]) -> tuple[str, tuple[Fault, ...]]:
    """What was typed into a form as a text, and what is wrong with it."""
    text = sheet_text(values, SET_UP)
    found, wrong = read_keys(tomllib.loads(text), SET_UP)
    return text, tuple(wrong or _faults(found))


def set_up_template(name: str, *, metric: bool, kind: str = "") -> str:
    """Commented file to be filled in, for one kind of bow."""
    return commented_sheet(SET_UP, {"name": quoted_toml(clean_name(name))}, metric=metric,
                           kind=kind)  # fmt: skip


def _faults(values: Values) -> Iterator[Fault]:
    """What is wrong with a record whose keys are each inside their limits."""
    if values["name"]:
        try:
            clean_name(values["name"])
        except BadInput as bad:
            yield Fault(("name",), bad.wrong, bad.mend)
    day = values["measured_on"]
    if day and not is_day(day):
        yield fault_at("measured_on", f"{quoted(day)} is no day", "Write it as 2026-11-30")
    for key in COUNTS:
        count = values[key]
        if count is not None and count.value != round(count.value):
            yield fault_at(key, f"{count.value:g} is no whole number", "Count it, as 2")
    for key, most in WORDS.items():
        said = values[key] or ""
        if len(said) > most or not said.isprintable():
            yield fault_at(key, f"{quoted(said)} is too long, or holds a sign that cannot be "
                           "printed", f"Write at most {most} letters on one line")  # fmt: skip
    if not any(isinstance(one, Belief) for one in values.values()):
        yield fault_at("limbs.brace_height", "nothing is measured in it",
                       'Write such as brace_height = "178 mm ± 1" under [limbs]')  # fmt: skip


def _sheet(values: Values) -> SetUpSheet:
    measured = {name: one for name, one in values.items() if isinstance(one, Belief)}
    words = {one: " ".join((values[one] or "").split()) for one in ("name", "photo", "note")}
    string = " ".join((values["string.string"] or "").split())
    return SetUpSheet(measured, words["name"], values["measured_on"] or "", string,
                      words["photo"], words["note"])  # fmt: skip

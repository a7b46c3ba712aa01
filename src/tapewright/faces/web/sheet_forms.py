"""Sheet forms: a rig sheet as a person sees it in the browser: groups of lines, faults, notes.

Holds:  the sections of the form; what was typed, read as form or as text; two sheets compared;
        keys in a sentence told by their labels; the same of house values.
Never:  addresses and saving (pages/sheet.py, house.py), words of single lines
        (reading/rig_sheet_fields.py).
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from tapewright.faces.web.forms import Form
from tapewright.ground.errors import BadRigSheet, TapewrightError
from tapewright.reading.house_fields import HOUSE
from tapewright.reading.house_values import read_house, typed_house
from tapewright.reading.rig_sheet import MOST_BYTES, read_rig_sheet
from tapewright.reading.rig_sheet_fields import KEYS, SHEET
from tapewright.reading.sheet_form_lines import (
    SheetLine,
    examined_sheet,
    sheet_lines,
    sheet_values,
    tidy_values,
)
from tapewright.reading.sheet_schema import Declared
from tapewright.reading.sheet_values import Fault, field_name
from tapewright.services.equip import Rig

PLACE, HOUSE_PLACE = "your sheet", "your house values"
BEGIN = (
    "Enough for a first tape with honest, wide bands. Of the speeds give what you have; without "
    "one the draw tells it."
)
# Lines asked first of a new rig.
FIRST = (
    "bow.kind", "name", "hand", "arrow.mass", "arrow.shaft_diameter", "arrow.length",
    "bow.draw_weight", "bow.draw_length", "bow.rest", "bow.launch_speed", "bow.rated_speed",
    "sight.peep_height", "sight.eye_height", "sight.sight_radius", "sight.reading_per_travel",
    "sight.farther", "archer.farthest",
)  # fmt: skip

KINDS = tuple(kind for kind, _ in KEYS["bow.kind"].choices if kind)

Differences = tuple[tuple[str, str, str], ...]  # label, the one's, the other's

MOST_SAID = 5  # rows told of what stands in a section

_ASSIGNED = re.compile(r'\b([a-z_]+) = ("[^"]*"|\[[^\]]*\])')
_EVERY = [(name.rpartition(".")[2], key.label) for name, key in KEYS.items()]
_LABELS = {word: told for word, told in _EVERY if dict(_EVERY)[word] == dict(_EVERY[::-1])[word]}
_KEYS = re.compile(rf"\b({'|'.join(key for key in _LABELS if '_' in key)})\b")


@dataclass(frozen=True, slots=True)
class Section:
    """Lines that are shown together."""

    title: str  # for people
    about: str
    lines: Sequence[SheetLine]
    said: str  # what stands in its lines already, shortly
    is_open: bool  # whether something in it needs to be seen
    row: str = ""  # what a row of it is

    @property
    def rows(self) -> dict[str, list[SheetLine]]:
        """Lines by legend: of a table that repeats a row each, all else is one without."""
        rows: dict[str, list[SheetLine]] = {}
        for line in self.lines:
            is_row = line.row is not None and not line.entry.many
            legend = f"{self.row} {(line.row or 0) + 1}".capitalize() if is_row else ""
            rows.setdefault(legend, []).append(line)
        return rows


@dataclass(frozen=True, slots=True)
class Typed:
    """What somebody typed."""

    form: Form  # every field, with its faults
    sheet: str  # the sheet as text
    rig: Rig | None  # the rig; None: something is wrong
    notes: Mapping[str, str]  # what is odd but possible, by field
    is_text: bool  # whether the text itself was typed

    def is_odd(self, before: Mapping[str, str]) -> bool:
        """Whether a note is worth a second look: a new one, not of air that is taken as usual."""
        told = (note for name, note in self.notes.items() if before.get(name) != note)
        lines = (line for note in told for line in note.splitlines())
        return any("no air is said" not in line.lower() for line in lines)


def read_typed(fields: Mapping[str, str]) -> Typed:
    """A form as it came: its lines, or the text if that was edited."""
    return _typed_text(fields) if "text" in fields else _typed_lines(fields)


def blank_typed(sheet: str, kind: str = "") -> Typed:
    """A form nobody has written in yet; as text, the sheet to be filled in."""
    texts = {"text": sheet} if sheet else {"bow.kind": kind}
    return Typed(Form(texts), sheet, None, {}, is_text=bool(sheet))


def kept_values(sheet: str) -> Typed:
    """A kept sheet in the form, with what is odd about it; as text if it cannot be read."""
    if not is_readable(sheet):
        return kept_text(sheet)
    return replace(_typed_lines(sheet_values(sheet)), rig=None)


def kept_text(sheet: str) -> Typed:
    """A kept sheet as text, with what is odd about it."""
    return replace(_typed_text({"text": sheet}), rig=None)


def is_readable(sheet: str) -> bool:
    """Whether a kept sheet can be read; an archive may bring one that cannot."""
    try:
        read_rig_sheet(sheet, PLACE)
    except BadRigSheet:
        return False
    return True


def read_typed_house(fields: Mapping[str, str]) -> Typed:
    """House values as they were typed: as lines, or as text. No rig comes of them."""
    if "text" in fields:
        return kept_house(fields["text"].replace("\r\n", "\n"), as_text=True, more=fields)
    tidy = tidy_values(fields, HOUSE)
    names = {line.name for line in sheet_lines(fields, HOUSE)}
    form = Form({name: text for name, text in fields.items() if name not in names} | tidy)
    text, faults = typed_house(tidy)
    form.faults.update(beside(faults, tidy, HOUSE))
    return Typed(form, text, None, {}, is_text=False)


def kept_house(sheet: str, *, as_text: bool, more: Mapping[str, str] | None = None) -> Typed:
    """Kept house values in the form; as text if that is wanted, or they cannot be read."""
    form = Form({**(more or {}), "text": sheet})
    try:
        read_house(sheet, HOUSE_PLACE)
    except TapewrightError as refused:
        form.faults["text"] = str(refused)
        return Typed(form, sheet, None, {}, is_text=True)
    if as_text:
        return Typed(form, sheet, None, {}, is_text=True)
    return Typed(Form(sheet_values(sheet, HOUSE)), sheet, None, {}, is_text=False)


def _typed_lines(fields: Mapping[str, str]) -> Typed:
    tidy, names = tidy_values(fields), {line.name for line in sheet_lines(fields)}
    form = Form({name: text for name, text in fields.items() if name not in names} | tidy)
    examined = examined_sheet(tidy)
    form.faults.update(beside(examined.faults, tidy))
    rig = None if examined.faults else read_rig_sheet(examined.text, PLACE)[0]
    return Typed(form, examined.text, rig, beside(examined.notes, tidy), is_text=False)


def _typed_text(fields: Mapping[str, str]) -> Typed:
    sheet = fields["text"].replace("\r\n", "\n")
    form = Form({**fields, "text": sheet})
    try:
        if len(sheet) > MOST_BYTES:
            mend = "Keep it shorter"
            raise BadRigSheet(PLACE, f"it has more than {MOST_BYTES // 1000} kB", mend)
        rig, cautions = read_rig_sheet(sheet, PLACE)
    except TapewrightError as refused:
        form.faults["text"] = str(refused)
        return Typed(form, sheet, None, {}, is_text=True)
    return Typed(form, sheet, rig, {"text": "\n".join(cautions)}, is_text=True)


def beside(
    faults: Sequence[Fault], values: Mapping[str, str], declared: Declared = SHEET
) -> dict[str, str]:
    """Faults by the line they stand beside, in the form's words."""
    names = [line.name for line in sheet_lines(values, declared)]
    told: dict[str, str] = {}
    for fault in faults:
        name = _line_of(field_name(fault.path), names, declared)
        words = f"{fault.wrong}. {fault.mend}."
        if fault.wrong == "this key is missing":
            words = f"This is needed. {fault.mend.rpartition(' = ')[2]} would be an example."
        words = form_words(words)
        told[name] = " ".join(filter(None, [told.get(name, ""), words[0].upper() + words[1:]]))
    return told


def _line_of(name: str, lines: Sequence[str], declared: Declared) -> str:
    """Line beside which a fault stands: its own, or one of its table."""
    if name in lines:
        return name
    table = declared.tables.get(name.partition("[")[0])
    if table is not None and f"{name}.{table.faults_at}" in lines:
        return f"{name}.{table.faults_at}"
    return next((line for line in lines if line.startswith(name)), "name")


def form_words(text: str) -> str:
    """Sentence about a sheet's text in the words of the form: labels in place of keys."""

    def assigned(found: re.Match[str]) -> str:
        value = found[2].strip("[]").replace('"', "")
        return f"“{_LABELS.get(found[1], found[1])}”: {value}"

    text = _ASSIGNED.sub(assigned, text)
    text = _KEYS.sub(lambda found: f"“{_LABELS[found[1]]}”", text)
    return re.sub(r"\[+([a-z.]+)\]+", r"\1", text)


def sections(typed: Typed, *, is_new: bool, begin_at: str = "") -> tuple[Section, ...]:
    """The form: for a new rig the few lines to begin with, then the rest by tables.

    ``begin_at`` is the key of a line, or a table, that is asked for and stands open.
    """
    kind, first = typed.form["bow.kind"], FIRST if is_new else ()
    lines = [line.of(kind) for line in sheet_lines(typed.form.texts)]
    known = {line.key: line for line in lines}
    begin = ("To begin", BEGIN, [known[key] for key in first], "")
    made = _sections(typed, [begin, *_by_table(lines, SHEET, first)])
    if not begin_at:
        return made
    return tuple(replace(one, is_open=_holds(one, begin_at)) for one in made)


def _holds(section: Section, key: str) -> bool:
    return any(line.key == key or line.key.startswith(f"{key}.") for line in section.lines)


def house_sections(typed: Typed) -> tuple[Section, ...]:
    """The form of house values, by tables; where nothing is typed yet, what buys most is open."""
    made = _sections(typed, _by_table(sheet_lines(typed.form.texts, HOUSE), HOUSE))
    is_blank = not any(typed.form.texts.values())
    return tuple(
        replace(
            one, said=_shortly(_by_row(typed, one)), is_open=one.is_open or (is_blank and at < 2)
        )
        for at, one in enumerate(made)
    )


def _by_row(typed: Typed, section: Section) -> list[str]:
    """What stands in the rows of a section, one text for each that says something."""
    rows = ([typed.form[line.name] for line in lines] for lines in section.rows.values())
    return [": ".join(filter(None, (row[0], ", ".join(filter(None, row[1:]))))) for row in rows]


_Group = tuple[str, str, list[SheetLine], str]  # title, what it is about, lines, what a row is


def _by_table(
    lines: Sequence[SheetLine], declared: Declared, without: Sequence[str] = ()
) -> list[_Group]:
    groups = []
    for name, table in declared.tables.items():
        mine = [line for line in lines if line.key.rpartition(".")[0] == name]
        rest = [line for line in mine if line.key not in without]
        groups.append((table.title, table.about, rest, table.row))
    return groups


def _sections(typed: Typed, groups: Sequence[_Group]) -> tuple[Section, ...]:
    made: list[Section] = []
    for title, about, these, row in groups:
        if these:
            said = [typed.form[line.name] for line in these if line.entry.kind]
            is_open = not made or any(_needs_a_look(typed, line.name) for line in these)
            made.append(Section(title, about, these, " · ".join(filter(None, said)), is_open, row))
    return tuple(made)


def _shortly(said: Sequence[str]) -> str:
    """The first of what stands in some rows, and how many more there are."""
    told = list(filter(None, said))
    more = len(told) - MOST_SAID
    return " · ".join(told if more <= 1 else [*told[:MOST_SAID], f"{more} more"])


def _needs_a_look(typed: Typed, name: str) -> bool:
    return bool(typed.form.fault(name) or typed.notes.get(name))


def differences(mine: Typed, other_sheet: str) -> Differences:
    """Lines in which what was typed differs from another sheet; none if that cannot be read."""
    if not is_readable(other_sheet):
        return ()
    yours = sheet_values(mine.sheet) if mine.rig else tidy_values(mine.form.texts)
    return _apart(yours, sheet_values(other_sheet))


@lru_cache(maxsize=256)
def sheet_differences(sheet: str, other_sheet: str) -> Differences:
    """Lines in which two kept sheets differ; none if one of them cannot be read."""
    if not (is_readable(sheet) and is_readable(other_sheet)):
        return ()
    return _apart(sheet_values(sheet), sheet_values(other_sheet))


def _apart(yours: Mapping[str, str], theirs: Mapping[str, str]) -> Differences:
    lines = sheet_lines({**yours, **theirs})
    pairs = ((line, yours.get(line.name, ""), theirs.get(line.name, "")) for line in lines)
    return tuple((_label(line), here, there) for line, here, there in pairs if here != there)


def _label(line: SheetLine) -> str:
    """Label of a line that stands alone or in a list."""
    if line.row is None:
        return line.entry.label
    if line.entry.many:
        return line.entry.row_label(line.row)
    return f"{line.entry.label}, reading {line.row + 1}"

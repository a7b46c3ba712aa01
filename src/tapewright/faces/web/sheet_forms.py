"""Sheet forms: a rig sheet as a person sees it in the browser: groups of lines, faults, notes.

Holds:  the sections of the form; what was typed, read as form or as text; two sheets compared.
Never:  addresses and saving (pages/sheet.py), words of single lines (reading/fields.py).
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

from tapewright.faces.web.forms import Form
from tapewright.faces.web.sheet_words import FIRST, GROUPS, Group, beside, form_words
from tapewright.ground.errors import BadRigSheet, TapewrightError
from tapewright.reading.sheet import MOST_BYTES, read_rig_sheet
from tapewright.reading.sheet_keys import Fault, field_name
from tapewright.reading.sheet_lines import (
    SheetLine,
    examined_sheet,
    sheet_lines,
    sheet_values,
    tidy_values,
)
from tapewright.services.equip import Rig
from tapewright.words.units import Units

PLACE = "your sheet"

Differences = tuple[tuple[str, str, str], ...]  # label, the one's, the other's


@dataclass(frozen=True, slots=True)
class FormLine:
    """One line of the form."""

    line: SheetLine  # what it takes, is for and how it is measured
    label: str  # what people read before it
    example: str  # in the person's units
    is_led: bool  # whether an earlier row told what it is for


@dataclass(frozen=True, slots=True)
class Section:
    """Lines that are shown together."""

    title: str  # for people
    about: str
    rows: tuple[tuple[str, tuple[FormLine, ...]], ...]  # lines with a legend; empty legend: none
    said: str  # what stands in its lines already, shortly
    is_open: bool  # whether something in it needs to be seen


@dataclass(frozen=True, slots=True)
class Typed:
    """What somebody typed."""

    form: Form  # every field, with its faults
    sheet: str  # the sheet as text
    rig: Rig | None  # the rig; None: something is wrong
    notes: Mapping[str, str]  # what is odd but possible, by field
    is_text: bool  # whether the text itself was typed


def read_typed(fields: Mapping[str, str]) -> Typed:
    """A form as it came: its lines, or the text if that was edited."""
    return _typed_text(fields) if "text" in fields else _typed_lines(fields)


def blank_typed(sheet: str) -> Typed:
    """A form nobody has written in yet; as text, the sheet to be filled in."""
    return Typed(Form({"text": sheet} if sheet else {}), sheet, None, {}, is_text=bool(sheet))


def kept_values(sheet: str) -> Typed:
    """A kept sheet in the form, with what is odd about it; as text if it cannot be read."""
    if not is_readable(sheet):
        return kept_text(sheet)
    values = sheet_values(sheet)
    notes = _beside(examined_sheet(values).notes, values)
    return Typed(Form(values), sheet, None, notes, is_text=False)


def kept_text(sheet: str) -> Typed:
    """A kept sheet as text, with what is odd about it."""
    form = Form({"text": sheet})
    nothing: tuple[str, ...] = ()
    odd = form.read("text", lambda: read_rig_sheet(sheet, PLACE)[1], nothing)
    return Typed(form, sheet, None, {"text": "\n".join(odd)}, is_text=True)


def is_readable(sheet: str) -> bool:
    """Whether a kept sheet can be read; an archive may bring one that cannot."""
    try:
        read_rig_sheet(sheet, PLACE)
    except BadRigSheet:
        return False
    return True


def _typed_lines(fields: Mapping[str, str]) -> Typed:
    tidy = tidy_values(fields)
    others = {name: text for name, text in fields.items() if name not in _names(fields)}
    form = Form(others | tidy)
    examined = examined_sheet(tidy)
    form.faults.update(_beside(examined.faults, tidy))
    rig = None if examined.faults else read_rig_sheet(examined.text, PLACE)[0]
    return Typed(form, examined.text, rig, _beside(examined.notes, tidy), is_text=False)


def _typed_text(fields: Mapping[str, str]) -> Typed:
    form = Form(fields)
    sheet = fields["text"].replace("\r\n", "\n")
    form.texts["text"] = sheet
    try:
        if len(sheet) > MOST_BYTES:
            mend = "Keep it shorter"
            raise BadRigSheet(PLACE, f"it has more than {MOST_BYTES // 1000} kB", mend)
        rig, cautions = read_rig_sheet(sheet, PLACE)
    except TapewrightError as refused:
        form.faults["text"] = str(refused)
        return Typed(form, sheet, None, {}, is_text=True)
    return Typed(form, sheet, rig, {"text": "\n".join(cautions)}, is_text=True)


def _names(fields: Mapping[str, str]) -> set[str]:
    return {line.name for line in sheet_lines(fields)}


def _beside(faults: Sequence[Fault], values: Mapping[str, str]) -> dict[str, str]:
    """Faults by the field they stand beside, in the form's words."""
    names = [line.name for line in sheet_lines(values)]
    found: dict[str, str] = {}
    for one in faults:
        name = beside(field_name(one.path), names)
        words = f"{one.wrong}. {one.mend}."
        if one.wrong == "this key is missing":
            words = f"This is needed. {one.mend.rpartition(' = ')[2]} would be an example."
        words = form_words(words)
        found[name] = " ".join(filter(None, [found.get(name, ""), words[0].upper() + words[1:]]))
    return found


def sections(typed: Typed, units: Units, *, is_new: bool) -> tuple[Section, ...]:
    """The form: for a new rig the few lines to begin with, then the rest in groups."""
    lines = sheet_lines(typed.form.texts)
    groups = (FIRST, *GROUPS) if is_new else GROUPS
    taken: set[str] = set()
    made = []
    for group in groups:
        mine = [line for line in lines if line.name not in taken and _belongs(line, group)]
        mine.sort(key=lambda line: _place(line, group))
        taken |= {line.name for line in mine}
        if mine:
            made.append(_section(group, mine, typed, units))
    return tuple(made)


def _belongs(line: SheetLine, group: Group) -> bool:
    table = line.key.rpartition(".")[0]
    return line.key in group.keys or (table in group.keys and bool(table))


def _place(line: SheetLine, group: Group) -> int:
    """Place of a line in its group; those of a whole table keep their order behind it."""
    return group.keys.index(line.key) if line.key in group.keys else len(group.keys)


def _section(group: Group, lines: Sequence[SheetLine], typed: Typed, units: Units) -> Section:
    form = typed.form
    said = " · ".join(form[line.name] for line in lines if form[line.name] and line.entry.kind)
    to_see = any(form.fault(line.name) or typed.notes.get(line.name) for line in lines)
    return Section(
        group.title,
        group.about,
        tuple(_rows(lines, units)),
        said,
        is_open=to_see or group in (FIRST, GROUPS[0]),
    )


def _rows(lines: Sequence[SheetLine], units: Units) -> Iterator[tuple[str, tuple[FormLine, ...]]]:
    """Lines by row: readings of a chronograph are a row each, all else is one."""
    rows: dict[str, list[FormLine]] = {}
    led: set[str] = set()
    for line in lines:
        is_table = line.row is not None and not line.entry.many
        legend = f"Reading {(line.row or 0) + 1}" if is_table else ""
        rows.setdefault(legend, []).append(
            FormLine(
                line,
                line.entry.label if is_table else _label(line),
                line.entry.examples[units.distance == "m"] if line.entry.kind else "",
                is_led=line.key in led,
            )
        )
        led.add(line.key)
    return ((legend, tuple(row)) for legend, row in rows.items())


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

"""Group form: what was typed or tapped of one group becomes an observation, and back.

Cells are read by the rules of a file of shots: same limits, same sentences.

Holds:  the fields of a group, its rows of arrows; an observation from them, texts from one, for
        readers in other units, too; names.
Never:  limits (reading/csv_columns.py), the notebook, HTML.
"""

import re
from collections.abc import Collection, Mapping
from contextlib import suppress
from dataclasses import replace
from functools import partial
from itertools import chain, count
from typing import Any

from tapewright.faces.web.forms import Form
from tapewright.ground.errors import BadInput
from tapewright.reading.csv_columns import (
    MEASURES,
    Column,
    check_pin,
    group_name,
    read_choice,
    read_clicks,
    read_count,
    read_day,
    read_typed,
)
from tapewright.reading.shots_writer import measured_of
from tapewright.reading.typed_reading import read_reading, reading_text
from tapewright.services.equip import Rig, usual_pressure
from tapewright.services.record_groups import (
    MARK_ARROWS,
    Impact,
    Observation,
    bare_mark,
    observe_group,
    past_butt,
)
from tapewright.services.stick_tape import Tape
from tapewright.words.quantity_parser import in_unit, neat, read_quantity
from tapewright.words.unit_spellings import TIDY, quoted
from tapewright.words.unit_system import Units

MOST_ROWS, USUAL_ROWS = 100, 3
PLAIN = ("name", "distance", "reading", "pin", "slope", "crosswind", "temperature", "air",
         "windage", "windage_clicks", "windage_session", "distances", "date", "head",
         "note", "here", "mark_arrows", "missed")  # fmt: skip
# of the group, empty for today's, 0 for a new one, the one it was shot on if not the one on now
HIDDEN = ("entry", "session", "seen", "tape")
CELLS = ("right", "up", "arrows", "bad", "arrow")
NEEDED = ("distance",)
MOST_NOTE = 2000  # letters
# Units that are chosen by a button beside a bare number; "tape" and no choice leave it bare.
CHOSEN = {"distance": ("yd", "m"), "reading": ("mm",)}
BARE = re.compile(r"[+\-−–]?(?=[\d.,½¼¾⅛⅜⅝⅞])[\d.,]*(?:[ -]?(?:\d+/\d+|[½¼¾⅛⅜⅝⅞]))?")
# Unit of a number typed without one, empty for none; units in which a number is filled in.
TYPED_IN = {"slope": "deg", "crosswind": "", "temperature": "", "windage": "mm"}
SHOWN_IN = {
    "slope": ("deg",), "crosswind": ("mph", "m/s", "km/h"),
    "temperature": ("°C", "°F"), "pressure": ("hPa",), "windage": ("mm",),
}  # fmt: skip


class GroupForm(Form):
    """Form with every field of a group, and at least so many rows; one more if that was wished."""

    def __init__(self, texts: Mapping[str, str], rows: int = USUAL_ROWS) -> None:
        cells = (name.partition("-") for name in texts)
        named = [row for cell, _, row in cells if cell in CELLS and row.isascii()]
        typed = [int(row) for row in named if row.isdigit() and len(row) < 4]
        self.is_longer = "add" in texts
        rows = min(max([rows, 1, *typed]) + self.is_longer, MOST_ROWS)
        self.rows = range(1, rows + 1)
        names = [*HIDDEN, *PLAIN, *(f"{cell}-{row}" for row in self.rows for cell in CELLS)]
        super().__init__({name: texts.get(name, "") for name in names})
        for name, units in CHOSEN.items():
            unit = texts.get(f"{name}_in", "")
            if unit in units and BARE.fullmatch(self[name].strip()):
                self.texts[name] = f"{self[name].strip()} {unit}"

    def unit(self, name: str) -> str:
        """Unit written behind a number, if it is one that a button chooses."""
        number, _, unit = self[name].rpartition(" ")
        return unit if unit in CHOSEN[name] and BARE.fullmatch(number) else ""

    def number(self, name: str) -> str:
        """What stands in the field beside the buttons: the number without the unit they choose."""
        return self[name].removesuffix(f" {self.unit(name)}")

    @property
    def note(self) -> str:
        """What a person noted, as long as it is kept."""
        return self["note"].strip()[:MOST_NOTE]

    @property
    def has_several(self) -> bool:
        """Whether a row stands for several arrows."""
        return any(self[f"arrows-{row}"] not in ("", "1") for row in self.rows)

    @property
    def is_numbered(self) -> bool:
        """Whether a row says which arrow it was."""
        return any(self[f"arrow-{row}"] for row in self.rows)

    def is_untouched(self, texts: Mapping[str, str]) -> bool:
        """Whether nothing but the note differs from the texts of an observation."""
        names = set(self.texts) - {"note", *HIDDEN}
        return all(self[name] == texts.get(name, "") for name in names)


def read_group(
    form: GroupForm,
    rig: Rig,
    units: Units,
    taken: Collection[str],
    usual_name: str,
    tape: Tape | None = None,
) -> Observation | None:
    """Observation as typed, its reading on the tape if one is on the sight.

    None when something is wrong, told beside its field.
    """
    name = form.read("name", lambda: _name(form["name"].strip() or usual_name, taken), "")
    given: dict[str, Any] = {
        MEASURES[word].attribute: _measured(form, word, unit)
        for word, unit in ({"distance": units.distance} | TYPED_IN).items()
    }
    pins, pin = 1 + len(rig.sight.pins_below_first_m), _count(form, "pin", "pin")
    given["pin"] = form.read("pin", lambda: check_pin(pin, pins, "pin"), 1)
    given["reading_m"] = form.read(
        "reading", lambda: read_reading(form["reading"], tape, given["pin"], "reading"), 0.0
    )
    pressure_pa = form.read("air", lambda: _pressure(form["air"]), None)
    given["pressure_pa"] = None if pressure_pa == rig.air.pressure_pa else pressure_pa
    given |= _said(form)
    impacts = _impacts(form, units)
    if not form.is_good:
        return None
    observed = partial(observe_group, name, impacts, air=rig.air, **given)
    shot = form.read("temperature", observed, None)
    return replace(shot, scales=tape.scales) if shot and tape else shot


def _said(form: Form) -> dict[str, Any]:
    """What is said of windage, distances and day without a unit."""
    session, clicks, source = form["windage_session"], form["windage_clicks"], form["distances"]
    day = form["date"]
    return {
        "session": form.read("windage_session", lambda: group_name(session, "windage_session"), ""),
        "windage_clicks": form.read(
            "windage_clicks",
            lambda: read_clicks(clicks, "windage_clicks") if clicks.strip() else None,
            None,
        ),
        "distances": form.read(
            "distances", lambda: read_choice(source, "distances", "distances"), ""
        ),
        "date": form.read("date", lambda: read_day(day, "date"), ""),
        "head": form.read("head", lambda: read_choice(form["head"], "head", "head"), ""),
    }


def _name(text: str, taken: Collection[str]) -> str:
    name = group_name(text, "name")
    if name in taken:
        wrong = f"another group of this rig is called {quoted(name)}"
        raise BadInput("name", wrong, "Take another name, or leave it open")
    return name


def _measured(form: Form, name: str, unit: str) -> float | None:
    """A measured field in SI; as usual when it is empty, unless no group is one without it."""
    text, word = form[name], name.partition("-")[0]
    if not text.strip() and word not in NEEDED:
        return MEASURES[word].usual
    return form.read(name, lambda: read_typed(text, word, unit, name), 0.0)


def _count(form: Form, name: str, word: str = "arrows", usual: int = 1) -> int:
    text = form[name].strip()
    if not text:
        return usual
    return form.read(name, lambda: read_count(text, Column(word, name), name), usual)


def _pressure(text: str) -> float | None:
    """Pressure of the place: typed, or that of an altitude; None where nothing is typed."""
    if not text.strip():
        return None
    letters = text.translate(TIDY).strip().lstrip("+-0123456789., ").casefold()
    if letters.startswith(("h", "k", "mb", "pa", "in", "mm")):
        return read_typed(text, "pressure", "", "air")
    altitude_m = read_quantity(text, "length", "air", "300 m")
    low_m, high_m = MEASURES["altitude"].ends("m")
    if not low_m <= altitude_m <= high_m:
        wrong = f"{quoted(text)} is no altitude where arrows are shot"
        raise BadInput("air", wrong, f"Write {low_m:g} to {high_m:g} m, such as 300 m")
    return usual_pressure(altitude_m)


def _impacts(form: GroupForm, units: Units) -> list[Impact]:
    """Where the arrows hit, or the mark alone."""
    impacts = [hit for row in form.rows for hit in _row(form, row, units)]
    past = [past_butt(_count(form, "missed"))] if form["missed"].strip() not in ("", "0") else []
    are_bad = all(hit.called_bad for hit in impacts)
    if form["here"]:
        if not are_bad:
            wrong = "this is ticked, and arrows are written down as well"
            form.refuse("here", BadInput("here", wrong, "Untick it, or clear the rows"))
        return [*impacts, bare_mark(_count(form, "mark_arrows", usual=MARK_ARROWS)), *past]
    if are_bad and not past and form.is_good:
        wrong = "every arrow is called bad, so nothing is left that counts"
        mend = "Add an arrow that was not"
        if not impacts:
            wrong = "no arrow is written down"
            mend = (
                "Tap or write where the arrows landed, how many went past the butt, or tick that "
                "it hits here"
            )
        form.refuse("right-1", BadInput("right-1", wrong, mend))
    return [*impacts, *past]


def _row(form: Form, row: int, units: Units) -> list[Impact]:
    """One arrow, or none from an empty row."""
    right, up, many, bad, which = (f"{cell}-{row}" for cell in CELLS)
    right_m, up_m = (_measured(form, side, units.miss) for side in (right, up))
    arrows = _count(form, many)
    if right_m is None and up_m is None and not form[bad]:
        if form[many].strip() not in ("", "1"):
            wrong, mend = "right and up are empty", "Write where they hit, or clear the row"
            form.refuse(right, BadInput(right, wrong, mend))
        return []
    arrow = form.read(which, lambda: group_name(form[which].strip(), which), "")
    if arrow and arrows > 1:
        wrong = f"this row stands for {arrows} arrows"
        form.refuse(which, BadInput(which, wrong, "Write each in a row of its own"))
    return [Impact(right_m, up_m, arrows, called_bad=bool(form[bad]), arrow=arrow)]


def group_texts(
    one: Observation, note: str, rig: Rig, units: Units, tape: Tape | None = None
) -> dict[str, str]:
    """What a form must hold to read this observation again, on the tape it was shot on."""
    shown_in = SHOWN_IN | {"distance": (units.distance, "yd", "m", "ft")}
    texts = {
        word: neat(value, shown_in[word])
        for word, value in measured_of(one).items()
        if word != "reading" and value is not None and value != MEASURES[word].usual
    }
    texts["reading"] = reading_text(one.reading_m, tape, one.pin, one.distance_m)
    texts |= {"windage_session": one.session, "distances": one.distances, "date": one.date}
    texts["head"] = one.head
    if one.windage_clicks is not None:
        texts["windage_clicks"] = f"{one.windage_clicks:.10g}"
    if one.air is not None and one.air.pressure_pa != rig.air.pressure_pa:
        texts["air"] = texts["pressure"]
    impacts = [hit for hit in one.group.impacts if not hit.missed]
    texts["missed"] = str(one.group.missed) if one.group.missed else ""
    marks = [hit for hit in impacts if not hit.called_bad]
    if len(marks) == 1 and marks[0] == bare_mark(marks[0].arrows) and marks[0].arrows > 1:
        impacts.remove(marks[0])
        texts |= {"here": "yes", "mark_arrows": str(marks[0].arrows)}
    for row, hit in enumerate(impacts, 1):
        for side, at_m in (("right", hit.right_m), ("up", hit.up_m)):
            texts[f"{side}-{row}"] = "" if at_m is None else f"{in_unit(at_m, units.miss):.10g}"
        texts[f"arrows-{row}"] = str(hit.arrows) if hit.arrows > 1 else ""
        texts[f"bad-{row}"] = "yes" if hit.called_bad else ""
        texts[f"arrow-{row}"] = hit.arrow
    return texts | {"name": one.group.name, "pin": str(one.pin), "note": note}


def mended_texts(
    written: Observation, meant: Observation, rig: Rig, units: Units, tape: Tape | None = None
) -> dict[str, str]:
    """Those fields of a group's form that a mend of it would write, and what it writes there."""
    before, after = (group_texts(one, "", rig, units, tape) for one in (written, meant))
    return {name: text for name, text in after.items() if text != before.get(name, "")}


def turned_texts(
    texts: Mapping[str, str], written: tuple[Units, Tape | None], read: tuple[Units, Tape | None]
) -> dict[str, str]:
    """Fields written in some units on some tape, for a form that is read in others on another."""
    told, (units, tape), (asked, on_now) = dict(texts), written, read
    form = GroupForm(texts)
    if units != asked:
        for name, text in texts.items():
            if name.startswith(("right-", "up-")) and BARE.fullmatch(text.strip()):
                told[name] = _turned(name, text.strip(), units.miss, asked.miss)
        if BARE.fullmatch(form["distance"].strip()):
            told["distance"] = f"{form['distance'].strip()} {units.distance}"
    if form["reading"].strip() and (tape and tape.scales) != (on_now and on_now.scales):
        pin = int(form["pin"]) if form["pin"] in map(str, range(1, 10)) else 1
        if BARE.fullmatch(form["reading"].strip()):
            told["reading"] = ""  # a number of no tape must not be read on another
        with suppress(BadInput):
            told["reading"] = neat(read_reading(form["reading"], tape, pin, "reading"), ("mm",))
    return told


def _turned(name: str, text: str, unit: str, asked: str) -> str:
    try:
        return f"{in_unit(read_typed(text, name.partition('-')[0], unit, name), asked):.10g}"
    except BadInput:
        return f"{text} {unit}"


def free_name(name: str, taken: Collection[str]) -> str:
    """A name, with a number behind it if somebody has it."""
    numbered = (f"{name[:54]} {number}" for number in count(2))
    return next(free for free in chain((name,), numbered) if free not in taken)


def next_name(taken: Collection[str]) -> str:
    """Name of a group that nobody named."""
    numbered = (f"g{number}" for number in count(len(taken) + 1))
    return next(name for name in numbered if name not in taken)

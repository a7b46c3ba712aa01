"""Group form: what was typed or tapped of one group becomes an observation, and back.

Cells are read by the rules of a file of shots: same limits, same sentences.

Holds:  the fields of a group, its rows of arrows; an observation from them, texts from one.
Never:  limits (reading/table_columns.py), the notebook, HTML.
"""

from collections.abc import Collection, Mapping
from dataclasses import replace
from math import isclose

from tapewright.faces.web.forms import Form
from tapewright.ground.errors import BadInput
from tapewright.reading.table_columns import (
    MEASURES,
    Column,
    check_pin,
    group_name,
    read_count,
    read_typed,
)
from tapewright.services.equip import Air, Rig, usual_pressure
from tapewright.services.record_groups import (
    MARK_ARROWS,
    Impact,
    Observation,
    bare_mark,
    observe_group,
)
from tapewright.words.quantities import in_unit, read_quantity
from tapewright.words.unit_names import TIDY, quoted
from tapewright.words.units import Units

MOST_ROWS, USUAL_ROWS = 100, 3
PLAIN = ("name", "distance", "reading", "pin", "slope", "crosswind", "temperature", "air",
         "note", "here", "mark_arrows")  # fmt: skip
CELLS = ("right", "up", "arrows", "bad")


def group_form(texts: Mapping[str, str], rows: int = USUAL_ROWS) -> Form:
    """Form with every field of a group, and at least so many rows of arrows."""
    named = [one.rpartition("-")[2] for one in texts if one.partition("-")[0] in CELLS]
    typed = [int(one) for one in named if one.isascii() and one.isdigit() and len(one) < 4]
    rows = min(max([rows, 1, *typed]), MOST_ROWS)
    fields = [*PLAIN, *(f"{cell}-{row}" for row in range(1, rows + 1) for cell in CELLS)]
    return Form({one: texts.get(one, "") for one in fields})


def rows_of(form: Form) -> int:
    """How many rows of arrows a form has."""
    return sum(one.startswith("right-") for one in form.texts)


def has_several(form: Form) -> bool:
    """Whether a row stands for several arrows."""
    return any(form[f"arrows-{row}"] not in ("", "1") for row in range(1, rows_of(form) + 1))


def read_group(
    form: Form, rig: Rig, units: Units, taken: Collection[str], usual_name: str
) -> Observation | None:
    """Observation as typed; None when something is wrong, told beside its field."""
    name = form.read("name", lambda: _name(form["name"].strip() or usual_name, taken), "")
    distance_m = form.read("distance", lambda: _typed(form, "distance", units.distance), 0.0)
    reading_m = form.read("reading", lambda: _typed(form, "reading", "mm"), 0.0)
    pin = form.read("pin", lambda: _pin(form, rig), 1)
    slope_rad = form.read("slope", lambda: _typed(form, "slope", "deg", usual=0.0), 0.0)
    crosswind_mps = form.read("crosswind", lambda: _typed(form, "crosswind", "", usual=0.0), 0.0)
    air = form.read("air", lambda: _air(form["air"], rig.air), rig.air)
    temperature_k = form.read("temperature", lambda: _temperature(form, rig, air), None)
    impacts = _impacts(form, units)
    if not form.is_good:
        return None
    return form.read(
        "temperature",
        lambda: observe_group(
            name,
            impacts,
            distance_m=distance_m,
            reading_m=reading_m,
            pin=pin,
            slope_rad=slope_rad,
            crosswind_mps=crosswind_mps,
            temperature_k=temperature_k,
            air=air,
        ),
        None,
    )


def _name(text: str, taken: Collection[str]) -> str:
    name = group_name(text, "name")
    if name in taken:
        wrong = f"another group of this rig is called {quoted(name)}"
        raise BadInput("name", wrong, "Take another name, or leave it open")
    return name


def _typed(form: Form, word: str, unit: str, usual: float | None = None) -> float:
    if usual is not None and not form[word].strip():
        return usual
    return read_typed(form[word], word, unit, word)


def _pin(form: Form, rig: Rig) -> int:
    text = form["pin"].strip()
    pin = read_count(text, Column("pin", "pin"), "pin") if text else 1
    return check_pin(pin, 1 + len(rig.sight.pins_below_first_m), "pin")


def _temperature(form: Form, rig: Rig, air: Air) -> float | None:
    """As typed; the rig's own where only the pressure was another."""
    if form["temperature"].strip():
        return read_typed(form["temperature"], "temperature", "", "temperature")
    return None if air == rig.air else rig.air.temperature_k


def _air(text: str, usual: Air) -> Air:
    """The rig's air with the pressure of the place: typed, or that of an altitude."""
    if not text.strip():
        return usual
    letters = text.translate(TIDY).strip().lstrip("+-0123456789., ").casefold()
    if letters.startswith(("h", "k", "mb", "pa", "in", "mm")):
        return replace(usual, pressure_pa=read_typed(text, "pressure", "", "air"))
    altitude_m = read_quantity(text, "length", "air", "300 m")
    low_m, high_m = MEASURES["altitude"].ends("m")
    if not low_m <= altitude_m <= high_m:
        wrong = f"{quoted(text)} is no altitude where arrows are shot"
        raise BadInput("air", wrong, f"Write {low_m:g} to {high_m:g} m, such as 300 m")
    return replace(usual, pressure_pa=usual_pressure(altitude_m))


def _impacts(form: Form, units: Units) -> list[Impact]:
    """Where the arrows hit, or the mark alone."""
    impacts = [one for row in range(1, rows_of(form) + 1) for one in _row(form, row, units)]
    if form["here"]:
        if any(not one.called_bad for one in impacts):
            wrong = "this is ticked, and arrows are written down as well"
            form.refuse("here", BadInput("here", wrong, "Untick it, or clear the rows"))
        arrows = form.read("mark_arrows", lambda: _arrows(form, "mark_arrows", MARK_ARROWS), 1)
        return [*impacts, bare_mark(arrows)]
    if form.faults:
        return impacts
    if not impacts:
        wrong = "no arrow is written down"
        mend = "Tap or write where the arrows landed, or tick that it hits here"
        form.refuse("right-1", BadInput("right-1", wrong, mend))
    elif all(one.called_bad for one in impacts):
        wrong = "every arrow is called bad, so nothing is left that counts"
        form.refuse("right-1", BadInput("right-1", wrong, "Add an arrow that was not"))
    return impacts


def _row(form: Form, row: int, units: Units) -> list[Impact]:
    """One arrow, or none from an empty row."""
    right_m, up_m = (_cell(form, word, row, units) for word in ("right", "up"))
    name, is_bad = f"arrows-{row}", bool(form[f"bad-{row}"])
    arrows = form.read(name, lambda: _arrows(form, name, 1), 1)
    if right_m is None and up_m is None and not is_bad:
        if form[name].strip() not in ("", "1"):
            wrong, mend = "right and up are empty", "Write where they hit, or clear the row"
            form.refuse(f"right-{row}", BadInput(f"right-{row}", wrong, mend))
        return []
    return [Impact(right_m, up_m, arrows, called_bad=is_bad)]


def _cell(form: Form, word: str, row: int, units: Units) -> float | None:
    """Where an arrow hit along one axis, if it was measured."""
    name = f"{word}-{row}"
    if not form[name].strip():
        return None
    return form.read(name, lambda: read_typed(form[name], word, units.miss, name), 0.0)


def _arrows(form: Form, name: str, usual: int) -> int:
    text = form[name].strip()
    return read_count(text, Column("arrows", name), name) if text else usual


def group_texts(one: Observation, note: str, rig: Rig, units: Units) -> dict[str, str]:
    """What a form must hold to read this observation again."""
    texts = {
        "name": one.group.name,
        "distance": neat(one.distance_m, (units.distance, "yd", "m", "ft")),
        "reading": neat(one.reading_m, ("mm",)),
        "pin": str(one.pin),
        "slope": neat(one.slope_rad, ("deg",)) if one.slope_rad else "",
        "crosswind": neat(one.crosswind_mps, ("mph", "m/s", "km/h")) if one.crosswind_mps else "",
        "note": note,
    }
    if one.air is not None:
        texts["temperature"] = neat(one.air.temperature_k, ("°C", "°F"))
        if one.air.pressure_pa != rig.air.pressure_pa:
            texts["air"] = neat(one.air.pressure_pa, ("hPa",))
    impacts = list(one.group.impacts)
    marks = [hit for hit in impacts if not hit.called_bad]
    if len(marks) == 1 and marks[0] == bare_mark(marks[0].arrows) and marks[0].arrows > 1:
        impacts.remove(marks[0])
        texts |= {"here": "yes", "mark_arrows": str(marks[0].arrows)}
    for row, hit in enumerate(impacts, 1):
        texts |= _row_texts(row, hit, units)
    return texts


def _row_texts(row: int, hit: Impact, units: Units) -> dict[str, str]:
    return {
        f"right-{row}": "" if hit.right_m is None else f"{in_unit(hit.right_m, units.miss):.10g}",
        f"up-{row}": "" if hit.up_m is None else f"{in_unit(hit.up_m, units.miss):.10g}",
        f"arrows-{row}": str(hit.arrows) if hit.arrows > 1 else "",
        f"bad-{row}": "yes" if hit.called_bad else "",
    }


def neat(value: float, units: tuple[str, ...]) -> str:
    """A value in the first unit in which it has at most two decimals, else in the first."""
    for unit in units:
        number = in_unit(value, unit)
        if isclose(number, round(number, 2), rel_tol=1e-9, abs_tol=1e-9):
            return f"{round(number, 2):g} {unit}"
    return f"{in_unit(value, units[0]):.10g} {units[0]}"


def is_untouched(form: Form, texts: Mapping[str, str]) -> bool:
    """Whether nothing but the note differs from the texts of an observation."""
    return all(form[name] == texts.get(name, "") for name in form.texts if name != "note")


def free_name(name: str, taken: Collection[str]) -> str:
    """A name, with a number behind it if somebody has it."""
    number, free = 2, name
    while free in taken:
        free = f"{name[:54]} {number}"
        number += 1
    return free


def next_name(taken: Collection[str]) -> str:
    """Name of a group that nobody named."""
    number = len(taken) + 1
    while f"g{number}" in taken:
        number += 1
    return f"g{number}"

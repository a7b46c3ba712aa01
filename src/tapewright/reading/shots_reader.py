"""Shots reader: rows of a CSV text or of a frame, one arrow each, become observations.

Holds:  rows, groups, and what rows of one group must agree in.
Never:  such a text again (shots_writer.py), units and limits of columns (csv_columns.py), how a
        table is read (csv_reader.py), oddities (shots_cautions.py).
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, NamedTuple

from tapewright.ground.checks import checked_record
from tapewright.ground.errors import BadInput, BadShots
from tapewright.reading.csv_columns import (
    COUNTS,
    MEASURES,
    PLAINLY_SAID,
    WORDS,
    Column,
    check_pin,
    is_called_bad,
    is_missed,
    is_proof,
)
from tapewright.reading.csv_reader import Origin, Row, TableKind, read_table, take_rows
from tapewright.reading.shots_cautions import Placed, shots_cautions
from tapewright.reading.tape_files import TapeFiles
from tapewright.reading.text_file import FileSource, file_name, folder_of, load_text
from tapewright.services.equip import STANDARD_AIR, Air, Rig
from tapewright.services.record_groups import (
    MARK_ARROWS,
    Impact,
    Observation,
    bare_mark,
    observe_group,
    past_butt,
)
from tapewright.services.scale_words import scales_text
from tapewright.services.stick_tape import Tape
from tapewright.words.unit_spellings import quoted

MOST_BYTES = 4_000_000
SHOTS = TableKind(
    what="shots",
    reads=(*MEASURES, *COUNTS, *dict.fromkeys((*WORDS, *PLAINLY_SAID))),
    filled=("distance",),
    needed={"the distance": ("distance",), "the reading": ("reading", "dialled")},
    example="group,distance_yd,reading_mm,right_in,up_in",
)
# Columns in which all rows of one group agree.
SHARED = ("distance", "reading", "pin", "slope", "temperature", "crosswind", "pressure", "altitude",
          "windage", *PLAINLY_SAID)  # fmt: skip
USUAL = {"pin": 1} | {one: MEASURES[one].usual for one in SHARED if one in MEASURES} | PLAINLY_SAID
_READING = MEASURES["reading"]
_NO_SHOTS = "no arrows yet; a strip made from this is a starting strip with wide bands"


class _Shot(NamedTuple):
    """One row."""

    line: int
    group: str
    conditions: dict[str, Any]  # what all rows of one group share, by column
    impact: Impact
    is_mark: bool
    cells: tuple[str, ...]
    note: str = ""
    tape: Tape | None = None  # whose number was dialled


@dataclass(frozen=True, slots=True)
class Tapes:
    """Tapes that rows may have been dialled on."""

    on: Tape | None = None  # of rows that name none
    of: Callable[[str, str], Tape] | None = None  # that of a record's name, at a place

    def read(self, row: Row, pin: int) -> tuple[dict[str, Any], Tape | None]:
        """Reading and what stands for it of a row, checked against its tape."""
        said, dialled_m, named = row.said, row.said["dialled"], row.said["tape"]
        if dialled_m is None:
            if said["reading"] is None:
                wrong, mend = "the cell is empty", f"Write a number such as {_READING.example}"
                headers = (one.header for one in row.columns if one.word == "reading")
                raise BadShots(f"{row.place}, column {next(headers, 'reading')}", wrong, mend)
            return {"reading": said["reading"], "dialled": None, "tape": ""}, None
        (column,) = (one for one in row.columns if one.word == "dialled")
        place = f"{row.place}, column {column.header}"
        if said["reading"] is not None:
            wrong = "a reading is told, too"
            raise BadShots(place, wrong, "Leave one of the two cells empty")
        tape = self.on if not named else self._named(named, f"{row.place}, column tape")
        if tape is None:
            wrong = "nobody can tell what stands on this tape"
            mend = "Name its record, the .tape.json beside its print, with --tape"
            in_code = "(in Python its tape() is Sight.tape)"
            raise BadShots(place, wrong, f"{mend} {in_code}, or in a column tape")
        if tape.unit != column.unit_name:
            wrong = f"the numbers of the tape are {tape.unit}"
            raise BadShots(place, wrong, f"Write them under dialled_{tape.unit}")
        try:
            reading_m = tape.reading_of(dialled_m, pin)
        except BadInput as bad:
            raise BadShots(place, bad.wrong, bad.mend) from None
        return {"reading": reading_m, "dialled": dialled_m, "tape": tape.name}, tape

    def _named(self, name: str, place: str) -> Tape:
        if self.of is None:
            wrong = f"here is no folder in which {quoted(name)} could lie"
            raise BadShots(place, wrong, "Leave it out, and say which tape is on the sight")
        return self.of(name, place)


def load_shots(
    path: FileSource, rig: Rig | None = None, records: TapeFiles | None = None
) -> tuple[tuple[Observation, ...], tuple[str, ...]]:
    r"""Load a file of shots.

    Parameters
    ----------
    path : path or open file
        The file.
    rig : Rig, optional
        What was shot; tells the pins, the air, how the numbers run, and the tape on the sight.
    records : TapeFiles, optional
        Records of tapes that its column ``tape`` may name; absent: those beside it.

    Returns
    -------
    tuple of Observation, tuple of str
        The groups, and what is odd about the file.

    Raises
    ------
    BadShots
        If the file cannot be read or anything in it is wrong.

    Example
    -------
    >>> import io
    >>> table = "group,distance_yd,reading_mm,right_in,up_in\nA,60,46.1,1.5,-2\nA,60,46.1,0,-1"
    >>> (far,), notes = load_shots(io.StringIO(table))
    >>> round(far.distance_m, 3), len(far.group.impacts)
    (54.864, 2)
    """
    if hasattr(path, "columns") or isinstance(path, Mapping):
        wrong = f"a {type(path).__name__} is no file"
        raise BadShots("shots", wrong, "Give its columns to observations_from_frame")
    text, folder = load_text(path, MOST_BYTES, BadShots), folder_of(path)
    if records is None and folder is not None:
        records = TapeFiles(folder)
    tape_of = None if records is None else records.tape
    return read_shots(text, file_name(path), rig, tape_of)


def read_shots(
    text: str,
    name: str = "shots file",
    rig: Rig | None = None,
    tape_of: Callable[[str, str], Tape] | None = None,
) -> tuple[tuple[Observation, ...], tuple[str, ...]]:
    """Read a text of shots, some of them dialled on the tape on the sight or on named ones."""
    columns, shots = _rows(text, name, rig, tape_of)
    return _observed(shots, columns, Origin(name), rig)


def shots_from_rows(
    rows: Iterable[tuple[int, Sequence[str]]],
    columns: Sequence[Column],
    origin: Origin,
    rig: Rig | None,
) -> tuple[tuple[Observation, ...], tuple[str, ...]]:
    """Observations of numbered rows of cells."""
    pins, tapes = _pins(rig), Tapes(None if rig is None else rig.sight.tape)
    shots = take_rows(rows, columns, origin, SHOTS, lambda row: _shot(row, pins, tapes))
    return _observed(shots, columns, origin, rig)


def _observed(
    shots: list[_Shot], columns: Sequence[Column], origin: Origin, rig: Rig | None
) -> tuple[tuple[Observation, ...], tuple[str, ...]]:
    """Rows put together to groups, and what is odd about them."""
    name = origin.name
    if not shots:
        return (), (f"{name}: {_NO_SHOTS}.",)
    groups, warnings = _grouped(shots, origin)
    warnings += _bad_shots(groups, origin)
    air = STANDARD_AIR if rig is None else rig.air
    placed = [
        Placed(rows_of[0].line, _observation(label, rows_of, air))
        for label, rows_of in groups.items()
        if not all(row.impact.called_bad for row in rows_of)
    ]
    if not placed:
        return (), (*warnings, f"{name}: {_NO_SHOTS}.")
    copies = [(shot.line, shot.cells) for shot in shots]
    warnings += shots_cautions(placed, copies, columns, origin, rig)
    return tuple(one.observation for one in placed), tuple(warnings)


def rows_of_groups(
    text: str,
    name: str,
    rig: Rig | None = None,
    tape_of: Callable[[str, str], Tape] | None = None,
) -> tuple[list[Column], dict[str, tuple[int, ...]]]:
    """Columns of a text of shots, and the lines on which each of its groups stands."""
    columns, shots = _rows(text, name, rig, tape_of)
    groups, _ = _grouped(shots, Origin(name))
    return columns, {label: tuple(row.line for row in rows) for label, rows in groups.items()}


def _rows(
    text: str, name: str, rig: Rig | None, tape_of: Callable[[str, str], Tape] | None
) -> tuple[list[Column], list[_Shot]]:
    pins = _pins(rig)
    tapes = Tapes(None if rig is None else rig.sight.tape, tape_of)
    return read_table(text, name, SHOTS, lambda row: _shot(row, pins, tapes))


def _pins(rig: Rig | None) -> int | None:
    if rig is not None:
        checked_record("rig", rig, Rig, "Give Rig(...), or rig, notes = load_rig_sheet(path)")
    return None if rig is None else 1 + len(rig.sight.pins_below_first_m)


def _shot(row: Row, pins: int | None, tapes: Tapes) -> _Shot:
    """One row; what it does not say is as usual."""
    said = row.said
    shared = {word: USUAL[word] if said[word] in (None, "") else said[word] for word in SHARED}
    pin = check_pin(said["pin"] or 1, pins, f"{row.place}, column pin")
    read, tape = tapes.read(row, pin)
    shared |= read
    if tape is not None and shared["scale"]:
        wrong = "a number of a tape is dialled, whose scale is known"
        raise BadShots(f"{row.place}, column scale", wrong, "Leave this cell empty")
    right_m, up_m, arrows, note = said["right"], said["up"], said["arrows"], said["note"] or ""
    is_bad = is_called_bad(note)
    is_unseen = right_m is None and up_m is None and not is_bad
    is_mark = is_unseen and not is_missed(note)
    impact = Impact(right_m, up_m, arrows or 1, called_bad=is_bad)
    if is_unseen:
        impact = bare_mark(arrows or MARK_ARROWS) if is_mark else past_butt(arrows or 1)
    if (arrow := said["arrow"]) and impact.arrows > 1:
        wrong = f"this row stands for {impact.arrows} arrows"
        raise BadShots(f"{row.place}, column arrow", wrong, "Write each in a row of its own")
    impact = replace(impact, arrow=arrow or "")
    return _Shot(row.line, said["group"] or "", shared, impact, is_mark, row.cells, note, tape)


def _bad_shots(groups: dict[str, list[_Shot]], origin: Origin) -> list[str]:
    """What was left out as called bad, and notes that may have meant it."""
    told = []
    for label, rows in groups.items():
        if all(row.impact.called_bad for row in rows):
            told.append(
                f"{origin.at(rows[0].line)}: every arrow of group {quoted(label)} is called bad, "
                "so the group is left out."
            )
    told += [
        f"{origin.at(row.line)}, column note: {quoted(row.note)} is not the word bad alone, so "
        'the arrow counts. Write "bad", or "bad: why", if the shot was called bad.'
        for rows in groups.values()
        for row in rows
        if row.note.casefold().startswith("bad") and not row.impact.called_bad
    ]
    return told


def _grouped(shots: list[_Shot], origin: Origin) -> tuple[dict[str, list[_Shot]], list[str]]:
    """Rows by group; consecutive rows without a name and of one kind make a group."""
    groups: dict[str, list[_Shot]] = {}
    merged: dict[str, int] = {}
    taken = {shot.group for shot in shots}
    label, before, number = "", None, 0
    for shot in shots:
        if shot.group:
            if shot.group in groups:
                _check_same(groups[shot.group][0], shot, origin)
                if label != shot.group:
                    merged.setdefault(shot.group, shot.line)
            label = shot.group
        elif before is None or before.group or before.conditions != shot.conditions:
            number += 1
            while f"g{number}" in taken:
                number += 1
            label = f"g{number}"
        groups.setdefault(label, []).append(shot)
        before = shot
    for rows in groups.values():
        _check_marks(rows, origin)
    return groups, [
        f"{origin.at(line)}, column group: group {quoted(one)} comes back after other groups "
        f"and is joined with its rows from {origin.row} {groups[one][0].line} on. "
        "Give it another name if it was shot anew."
        for one, line in merged.items()
    ]


def _check_same(first: _Shot, shot: _Shot, origin: Origin) -> None:
    """Refuse rows of one group that were shot under different conditions."""
    for word, before in first.conditions.items():
        if before != shot.conditions[word]:
            there = f"{origin.row} {first.line}"
            wrong = f"group {quoted(shot.group)} has another {word} here than on {there}"
            mend = "Make the two agree, or give the rows that differ another group name"
            raise BadShots(f"{origin.at(shot.line)}, column {word}", wrong, mend)


def _check_marks(rows: list[_Shot], origin: Origin) -> None:
    """Refuse a group in which some arrows were measured and some rows say nothing."""
    marks = [row.line for row in rows if row.is_mark]
    hits = [
        row.line for row in rows if not (row.is_mark or row.impact.called_bad or row.impact.missed)
    ]
    if marks and hits:
        measured = hits[0]
        wrong = f"right and up are empty, yet {origin.row} {measured} of the same group has a hit"
        mend = 'Write "missed" as its note if it went past the butt, or 0 and 0 if it hit the aim'
        raise BadShots(f"{origin.at(marks[0])}, columns right and up", wrong, mend)


def _observation(label: str, rows: list[_Shot], air: Air) -> Observation:
    """One group put together."""
    shared = {
        MEASURES[word].attribute if word in MEASURES else word: value
        for word, value in rows[0].conditions.items()
        if word not in ("dialled", "tape")
    }
    if (tape := rows[0].tape) is not None:
        shared["scale"] = scales_text(tape.scales_of(label))
    proved = any(is_proof(row.note) for row in rows)
    return observe_group(label, [row.impact for row in rows], air=air, proved=proved, **shared)

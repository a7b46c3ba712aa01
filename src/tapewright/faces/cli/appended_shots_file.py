"""Appended shots file: shots grow arrow by arrow; each is on the disk when it is kept.

What is put behind it is read first, with all that stands there, by the reader of such files: what
any command would refuse is refused before it is written.

Holds:  a group begun, arrows put and taken back, ended.
Never:  prompts (add.py), how a row is laid out (reading/appended_rows.py).
"""

import os
import re
from dataclasses import replace
from pathlib import Path

from tapewright.faces.cli.standard_streams import STANDARD, write_out, write_whole
from tapewright.ground.errors import BadInput, BadShots
from tapewright.questions.group import after_group_blocks
from tapewright.reading.appended_rows import (
    ShotsHeader,
    begun_text,
    behind,
    header_of,
    next_name,
    row_text,
    with_columns,
)
from tapewright.reading.csv_columns import MEASURES, read_typed
from tapewright.reading.shots_reader import MOST_BYTES, SHARED, read_shots
from tapewright.reading.tape_files import TapeFiles
from tapewright.reading.text_file import RECORD_ENDING, file_name, load_text
from tapewright.reading.typed_arrows import TypedArrow
from tapewright.services.correct_groups import correct_group
from tapewright.services.equip import Rig
from tapewright.services.move_sight import fitted_sight
from tapewright.services.record_groups import Observation, of_point
from tapewright.services.stick_tape import Tape
from tapewright.services.stops import refuse_stopped
from tapewright.words.answer_blocks import Blocks
from tapewright.words.cautions import OTHER_POINT
from tapewright.words.number_format import counted
from tapewright.words.quantity_parser import length_in, unit_in
from tapewright.words.unit_spellings import quoted
from tapewright.words.unit_system import Units

BEGUN_WITH = ("group", "distance", "reading", "right", "up")
MAY_BE_SAID = (*(one for one in SHARED if one not in ("distance", "reading")), "group")
_SAID = re.compile(r"\b(?P<word>[a-z_]+)\s*=\s*(?P<value>\"[^\"]*\"|[^\s=]+)", re.IGNORECASE)
Cells = dict[str, float | str]


class GroupBegun:
    """A group of which arrows are typed."""

    def __init__(self, name: str, cells: Cells) -> None:
        self.name, self.cells = name, cells  # cells: what all its rows share
        self.rows: list[str] = []  # as they were put behind the file, one an arrow
        self.is_mark = False  # it hits here, and no arrow of it was measured

    @property
    def arrows(self) -> int:
        """How many were typed."""
        return len(self.rows)


class AddedShots:
    """A file of shots that arrows are put behind; "-" is standard output.

    A new one has the person's units. Looked through at once; the first arrow begins one that is
    not there yet.
    """

    def __init__(self, path: Path, rig: Rig, units: Units, tape_file: Path | None) -> None:
        folder = Path() if path == STANDARD else path.parent
        if not folder.is_dir():
            wrong = f"there is no folder {quoted(folder)}"
            raise BadInput(str(path), wrong, "Make it first, or name another")
        self.path, self.rig, self.units = path, rig, units
        self.records = TapeFiles(folder)
        self.begun: GroupBegun | None = None
        self.observations: tuple[Observation, ...] = ()
        self.warnings: tuple[str, ...] = ()
        self._text, self._sent = "", 0  # what goes to standard output, and letters that went
        text = self.now()
        if header_of(text, self.name) is not None:
            self.observations, self.warnings = self.read(text)
            self.rig = self.records.laid_on(rig, self.observations)
        self._tape_name = self._named(tape_file)

    def _named(self, tape_file: Path | None) -> str:
        """How rows may name the record of the tape on the sight; empty: they cannot."""
        if tape_file is None:
            found = (name for name, tape in self.records.read.items() if tape is self.tape)
            return next(found, "")
        is_beside = tape_file.parent.resolve() == self.records.folder.resolve()
        is_found = tape_file.name.endswith(RECORD_ENDING) and is_beside
        return tape_file.name.removesuffix(RECORD_ENDING) if is_found else ""

    @property
    def name(self) -> str:
        """Its name as errors show it."""
        return "rows" if self.path == STANDARD else file_name(self.path)

    @property
    def tape(self) -> Tape | None:
        """The tape on the sight."""
        return self.rig.sight.tape

    @property
    def counted(self) -> str:
        """What stands in it."""
        if not self.observations:
            return f"no arrows in {self.name} yet"
        return f"{counted(len(self.observations), 'group')} in {self.name}"

    @property
    def next_name(self) -> str:
        """Name of the next group, unless another is typed."""
        return next_name([one.group.name for one in self.observations])

    @property
    def distance_unit(self) -> str:
        """Unit of distances typed without one."""
        return self._unit_of("distance", self.units.distance)

    @property
    def miss_unit(self) -> str:
        """Unit of right and up typed without one."""
        return self._unit_of("right", self._unit_of("up", self.units.miss))

    @property
    def asks_for(self) -> str:
        """What is asked for behind the distance."""
        if self.tape is not None:
            return f"dialled {self.tape.unit}"
        return f"reading {self._unit_of('reading', 'mm')}"

    def _unit_of(self, word: str, otherwise: str) -> str:
        header = header_of(self.now(), self.name)
        return header.unit_of(word, otherwise) if header else otherwise

    def now(self) -> str:
        """What stands in it at this moment; another program may have written into it."""
        if self.path == STANDARD:
            return self._text
        if not self.path.exists():
            return ""
        load_text(self.path, MOST_BYTES, BadShots)  # what is wrong with it as a whole
        return self.path.read_bytes().decode()  # a byte order mark and the ends of lines stay

    def read(self, text: str) -> tuple[tuple[Observation, ...], tuple[str, ...]]:
        """Groups of a text, and what is odd about it."""
        return read_shots(text, self.name, self.rig, self.records.tape)

    def read_distance(self, asked: str) -> Cells:
        """What is said of a group: its distance, and what stands behind it as word=value."""
        cells: Cells = {}
        for said in _SAID.finditer(asked):
            word, value = said["word"].casefold(), said["value"].strip('"')
            if word not in MAY_BE_SAID:
                wrong = f"{quoted(word)} is nothing that is said of a group"
                mend = f"Known are {', '.join(MAY_BE_SAID)}; units stand behind the number"
                raise BadInput("distance", wrong, mend)
            cells[word] = self._read(word, value) if word in MEASURES else value
        cells["distance"] = self._read("distance", _SAID.sub("", asked).strip())
        return cells

    def _read(self, word: str, value: str) -> float:
        unit = MEASURES[word].sent_unit
        if word == "temperature" and not (unit_in(value) or self._unit_of(word, "")):
            wrong = f"{quoted(value)} has no unit, and 14 °F is not 14 °C"
            raise BadInput(word, wrong, "Write it behind the number, as temperature=14F")
        unit = self.distance_unit if word == "distance" else self._unit_of(word, unit)
        return read_typed(value, word, unit, word)

    def begin(self, told: Cells, dialled: str) -> GroupBegun:
        """A group at a distance with what was dialled, unless no row may say so."""
        name = str(told.get("group") or self.next_name)
        if name in [one.group.name for one in self.observations]:
            wrong = f"group {quoted(name)} is there already"
            raise BadInput("group", wrong, "Give it another name, or none")
        group = GroupBegun(name, told | {"group": name} | self._dialled(dialled))
        self._with_row(group.cells | {"right": 0.0, "up": 0.0})
        self.begun = group
        return group

    def _dialled(self, text: str) -> Cells:
        """What was dialled, as a number of the tape or a reading."""
        length = length_in(text)
        if self.tape is None or length == "sight":
            if length == "distance":
                wrong = f"{quoted(text)} is a distance, and no tape is known to be on the sight"
                mend = "Name the tape's record with --tape, or write what the scale shows"
                raise BadInput("reading", wrong, mend)
            return {"reading": self._read("reading", text)}
        number_m = read_typed(text, "dialled", self.tape.unit, "dialled")
        named = {"tape": self._tape_name} if self._tape_name else {}
        return {"dialled": number_m, **named}

    def _with_row(self, cells: Cells) -> tuple[str, str]:
        """The text with all columns of a row, and what the row puts behind it; both are read."""
        there, dialled = self.now(), self.tape.unit if self.tape else ""
        if header_of(there, self.name) is None:
            words = [one for one in BEGUN_WITH if one != "reading" or one in cells]
            words += [one for one in cells if one not in words]
            there += begun_text(self.units, words, dialled)
        text = with_columns(there, self.name, tuple(cells), self.units, dialled)
        header = header_of(text, self.name)
        assert isinstance(header, ShotsHeader)
        added = behind(text, row_text(header, cells))
        self.read(text + added)
        return text, added

    def put(self, arrow: TypedArrow) -> None:
        """Put an arrow behind the file, on the disk before this returns."""
        assert self.begun is not None
        cells = dict(self.begun.cells)
        if arrow.is_mark and self.begun.arrows:
            wrong = 'arrows of this group were measured, and "here" stands for none'
            raise BadInput("arrow", wrong, 'Write "hit" for an arrow on the aim')
        measured = {"right": arrow.right_m, "up": arrow.up_m}
        cells |= {word: "" if size is None else size for word, size in measured.items()}
        said = {"note": arrow.note, "arrow": arrow.arrow}
        cells |= {word: text for word, text in said.items() if text}
        text, added = self._with_row(cells)
        self._write(text, added)
        self.begun.rows.append(added)
        self.begun.is_mark = arrow.is_mark

    def _write(self, text: str, added: str) -> None:
        if self.path == STANDARD:
            self._text = text + added
        elif self.now() == text:
            _append(self.path, added)
        else:  # it is begun, or has another column
            _write_synced(self.path, text + added)

    def undo(self) -> None:
        """Take the last arrow of the group back."""
        if self.begun is None or not self.begun.rows:
            raise BadInput("undo", "no arrow of this group was typed", "Type one, or end the group")
        there, last = self.now(), self.begun.rows[-1]
        if not there.endswith(last):
            wrong = "the file was written by somebody else meanwhile"
            raise BadInput("undo", wrong, "Delete the row there")
        if self.path == STANDARD:
            self._text = there.removesuffix(last)
        else:
            _write_synced(self.path, there.removesuffix(last))
        self.begun.rows.pop()
        self.begun.is_mark = False

    def end(self) -> tuple[GroupBegun, tuple[str, ...]]:
        """End the group; what is odd about the file since."""
        assert self.begun is not None
        group, self.begun = self.begun, None
        self.flush()
        before, (self.observations, warnings) = self.warnings, self.read(self.now())
        self.warnings = warnings
        return group, tuple(one for one in warnings if one not in before)

    def flush(self) -> None:
        """Send what goes to standard output, so far as it is not sent."""
        if self.path == STANDARD and len(self._text) > self._sent:
            write_out(self._text[self._sent :].encode(), str(self.path))
            self._sent = len(self._text)

    def correction(self, name: str) -> Blocks:
        """What to turn after a group; Withheld if the set-up must not be shot."""
        refuse_stopped(self.rig)
        shot = [one for one in self.observations if one.group.name == name]
        if not shot or not shot[0].group.counted:
            return ("Nothing was measured, so nothing is to be turned: shoot from nearer.",)
        if not of_point(shot, self.rig.arrow.point)[0]:
            return (OTHER_POINT,)
        fitted = fitted_sight(self.rig, self.observations)
        found = correct_group(shot[0], self.observations, self.rig, fitted)
        return after_group_blocks(replace(found, tape=self.tape), self.units)


def _append(path: Path, added: str) -> None:
    """Put a text behind a file, on the disk before this returns."""
    as_it_is: int = getattr(os, "O_BINARY", 0)  # else Windows writes line ends of its own
    handle = os.open(path, os.O_WRONLY | os.O_APPEND | as_it_is)
    try:
        left = added.encode()
        while left:
            left = left[os.write(handle, left) :]
        os.fsync(handle)
    finally:
        os.close(handle)


def _write_synced(path: Path, text: str) -> None:
    """Write a file anew, on the disk before this returns."""
    write_whole(path, text.encode())
    with path.open("r+b") as file:  # Windows waits for no disk on behalf of a reader
        os.fsync(file.fileno())

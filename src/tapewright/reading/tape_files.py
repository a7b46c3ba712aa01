"""Tape files: records of printed tapes, found by their names.

Holds:  the TapeFiles record: a folder in which names are looked for; one file read.
Never:  what a record says (services/stick_tape.py).
"""

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path

from tapewright.ground.errors import BadInput, BadShots
from tapewright.reading.text_file import RECORD_ENDING, FileSource, file_name, load_text
from tapewright.services.equip import Rig
from tapewright.services.record_groups import Observation
from tapewright.services.stick_tape import Scales, Tape, TapeRecord, read_record, with_tape
from tapewright.words.unit_spellings import quoted

MOST_BYTES = 4_000_000


def load_record(path: FileSource) -> TapeRecord:
    """Load the record of a printed tape; its ``tape()`` goes into ``Sight.tape``.

    Parameters
    ----------
    path : path or open file
        The ``.tape.json`` beside the print.

    Returns
    -------
    TapeRecord
        What was printed, and how it was stuck on.

    Raises
    ------
    BadInput
        If the file cannot be read or anything in it is wrong.

    Example
    -------
    >>> import io
    >>> load_record(io.StringIO("{}"))  # doctest: +ELLIPSIS
    Traceback (most recent call last):
    tapewright.ground.errors.BadInput: file, schema: here a text should stand. Take the file as ...
    """
    return read_record(load_text(path, MOST_BYTES, BadInput), file_name(path))


@dataclass(frozen=True, slots=True)
class TapeFiles:
    """Records of tapes in a folder; each is read once."""

    folder: Path
    read: dict[str, Tape] = field(default_factory=dict)

    def tape(self, name: str, place: str) -> Tape:
        """The tape whose record has this name, its ending or not."""
        if Path(name).name != name:
            wrong = f"{quoted(name)} is not the name of a file alone"
            raise BadShots(place, wrong, "Lay the record beside the shots, and write its name")
        name = name.removesuffix(RECORD_ENDING)
        if name not in self.read:
            try:
                self.read[name] = load_record(self._path(name)).tape()
            except BadInput as bad:
                raise BadShots(place, f"{bad.place}: {bad.wrong}", bad.mend) from None
        return self.read[name]

    def _path(self, name: str) -> Path:
        return self.folder / (name if name.endswith(".json") else f"{name}{RECORD_ENDING}")

    def records(self) -> tuple[TapeRecord, ...]:
        """Records of the tapes that were read, the first first; BadInput if one is gone."""
        return tuple(load_record(self._path(name)) for name in self.read)

    def named_in(self, shots: str) -> tuple[tuple[str, Tape], ...]:
        """Tapes that a text of shots may name, by their names; what cannot be read is none."""
        header = next(
            (line for line in shots.splitlines() if line.strip()[:1] not in ("", "#")), ""
        )
        if "tape" not in header.casefold():
            return ()
        for path in sorted(self.folder.glob(f"*{RECORD_ENDING}")):
            name = path.name.removesuffix(RECORD_ENDING)
            if name in shots:
                with suppress(BadInput):
                    self.tape(name, path.name)
        return tuple(self.read.items())

    def last(self, scales: Scales) -> Tape | None:
        """The tape with this scale, of those that were read."""
        return next((one for one in self.read.values() if one.scales == scales), None)

    def laid_on(self, rig: Rig, shots: Sequence[Observation]) -> Rig:
        """The rig with the tape that was dialled last: it is still on. One that is said stays."""
        if rig.sight.tape is not None or not shots:
            return rig
        return with_tape(rig, self.last(shots[-1].scales))

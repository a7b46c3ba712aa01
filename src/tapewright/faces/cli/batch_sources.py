"""Batch sources: where many rigs come from: a folder of sheets, an archive, the notebook.

Holds:  the BatchOrder and Piece records; sources to pieces, each with a hash of what it is made of.
Never:  calibration, what is written.
"""

import hashlib
import re
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Literal

from tapewright import __version__
from tapewright.faces.kept_rigs import setups_of
from tapewright.ground.errors import BadInput, BadRigSheet, BadShots, TapewrightError
from tapewright.printing.look import End, PaperName
from tapewright.reading import sheet as rig_sheets
from tapewright.reading import shots as shots_files
from tapewright.reading.text_file import load_text
from tapewright.services.calibrate_kept import Setup
from tapewright.services.keep import KeptRig, Notebook, kept_as, open_notebook
from tapewright.services.move_notebook import load_archive, take_in
from tapewright.words.units import IMPERIAL, METRIC, Units

SHOTS_NAMES = ("{}.csv", "{}-shots.csv")


@dataclass(frozen=True, slots=True)
class BatchOrder:
    """What is wanted of every rig alike."""

    metric: bool  # metres and centimetres, or yards and inches
    wanted_m: float  # how far tapes are to be trusted
    probability: float  # chance with which a band holds the truth
    seed: int  # of the draws
    tapes: bool  # whether tapes are printed too
    paper: PaperName  # as for a tape
    far_end: End
    proof_mm: tuple[float, float] | None  # what the proof rulers measured
    today: str  # date on the tapes; not part of what a calibration is made of

    @property
    def unit(self) -> Literal["yd", "m"]:
        """Unit of distances."""
        return "m" if self.metric else "yd"

    @property
    def units(self) -> Units:
        """Units in which it is told."""
        return METRIC if self.metric else IMPERIAL

    def made_from(self, *parts: str) -> str:
        """Hash of everything that decides an answer: these parts, the wishes, the program."""
        wishes = (self.metric, self.wanted_m, self.probability, self.seed, self.paper)
        whole = repr((__version__, wishes, self.far_end, self.proof_mm, parts))
        return hashlib.sha256(whole.encode()).hexdigest()


@dataclass(frozen=True, slots=True)
class Piece:
    """One rig of many, not yet looked at."""

    name: str  # place of its files in the outcome, without ending; parts divided by a slash
    made_from: str = ""  # changes when anything that decides the answer changes
    sheet: str = ""  # texts of its files; no shots: empty
    shots: str = ""
    setups: tuple[Setup, ...] = ()  # in place of the texts, for a kept rig
    fault: str = ""  # why it cannot even be read


def sheets_in(folder: Path) -> list[Path]:
    """Rig sheets of a folder and its sub-folders, in the order of their names."""
    if not folder.is_dir():
        raise BadInput(str(folder), "there is no such folder", "Name the folder of the rig sheets")
    found = sorted(
        path
        for path in folder.rglob("*.toml")
        if not path.is_dir()
        and not any(part.startswith(".") for part in path.relative_to(folder).parts)
    )
    if not found:
        mend = 'Put rig sheets NAME.toml into it ("tapewright new" writes one), shots beside'
        raise BadInput(str(folder), "no rig sheet is in this folder", mend)
    return found


def folder_pieces(folder: Path, sheets: list[Path], order: BatchOrder) -> Iterator[Piece]:
    """Each sheet with the shots beside it: NAME.csv, or NAME-shots.csv."""
    for path in sheets:
        name = path.relative_to(folder).with_suffix("").as_posix()
        yield _refusing(name, partial(_file_piece, path, name, order))


def _file_piece(path: Path, name: str, order: BatchOrder) -> Piece:
    _refuse_pipe(path)
    sheet, shots = load_text(path, rig_sheets.MOST_BYTES, BadRigSheet), ""
    beside = [path.with_name(pattern.format(path.stem)) for pattern in SHOTS_NAMES]
    for one in (one for one in beside if one.exists()):
        _refuse_pipe(one)
        shots = load_text(one, shots_files.MOST_BYTES, BadShots)
        break
    return Piece(name, order.made_from(sheet, shots), sheet, shots)


def _refuse_pipe(path: Path) -> None:
    """Whoever named a pipe waits for it; one that lies in a folder would be waited for for ever."""
    if path.is_fifo() or path.is_char_device():
        wrong = "this is a pipe or a device, not a file"
        raise BadInput(path.name, wrong, "Take it out of the folder")


def _refusing(name: str, make: Callable[[], Piece]) -> Piece:
    try:
        return make()
    except TapewrightError as bad:
        return Piece(name, fault=str(bad))


def notebook_pieces(notebook: Notebook, order: BatchOrder) -> tuple[int, Iterator[Piece]]:
    """Every rig of a notebook, in the order of their names, each read when it is its turn."""
    rigs = {one.id: kept_as(one, KeptRig).name for one in notebook.each_rig()}
    names = {rig_id: re.sub(r"[^\w -]+", "", name).strip()[:60] for rig_id, name in rigs.items()}
    taken = Counter(name.casefold() for name in names.values())

    def make(rig_id: str, name: str) -> Piece:
        setups = setups_of(notebook, rig_id)
        return Piece(name, order.made_from(repr(setups)), setups=setups)

    def pieces() -> Iterator[Piece]:
        for rig_id, name in sorted(names.items(), key=lambda one: (one[1], one[0])):
            own = name if name and taken[name.casefold()] == 1 else f"{name or 'rig'}-{rig_id}"
            yield _refusing(own, partial(make, rig_id, own))

    if not names:
        raise BadInput("notebook", "it holds no rig", "Keep one first, or name a folder")
    return len(names), pieces()


@contextmanager
def archive_notebook(path: Path) -> Iterator[Notebook]:
    """A notebook that holds an archive for as long as it is needed."""
    archive = load_archive(path)
    with TemporaryDirectory() as folder:
        notebook = open_notebook(f"sqlite:///{folder}/archive.db")
        try:
            take_in(notebook, archive)
            yield notebook
        finally:
            notebook.close()

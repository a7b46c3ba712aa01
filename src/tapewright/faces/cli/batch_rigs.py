"""Batch rigs: where many rigs come from, and what a worker makes of each: calibration and tape.

Work is done in processes of its own, or on another machine: it takes texts and gives texts and
bytes.

Holds:  the BatchOrder, Piece and Made records; a folder of sheets, an archive or the notebook to
        pieces, each with a hash of what it is made of; a piece to what is made of it.
Never:  what is written, the clock.
"""

import hashlib
import json
import re
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from contextlib import ExitStack, closing
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from tempfile import TemporaryDirectory

from tapewright import __version__
from tapewright.faces.cli.notebook import opened
from tapewright.faces.kept_rigs import kept_rig
from tapewright.ground.errors import BadInput, BadRigSheet, BadShots, TapewrightError
from tapewright.printing.print_fields import End, PaperName
from tapewright.printing.print_record import Wish
from tapewright.printing.tape import PRINT as TAPE
from tapewright.questions.fit import calibration_json
from tapewright.questions.question import Said
from tapewright.reading import rig_sheet as rig_sheets
from tapewright.reading import shots_reader as shots_files
from tapewright.reading.house_values import filled_rig
from tapewright.reading.tape_files import TapeFiles
from tapewright.reading.text_file import load_text
from tapewright.services.calibrate import Answer
from tapewright.services.calibrate_kept import Setup
from tapewright.services.equip import HouseValues
from tapewright.services.keep import KeptRig, Notebook, kept_as, open_notebook
from tapewright.services.move_notebook import load_archive, take_in
from tapewright.services.refit_many import RefitOrder, refit
from tapewright.services.stick_tape import Tape
from tapewright.words.unit_system import BY_DISTANCE, Units, distance_words

SHOTS_NAMES = ("{}.csv", "{}-shots.csv")
PRELOAD = ("reportlab.pdfgen.canvas", "reportlab.pdfbase.ttfonts")  # worth loading before
NEXT = {  # what to shoot next, in few words
    "shoot": "{arrows} arrows at {at}",
    "trusted": "nothing: trusted to {wanted}",
    "stop": "STOP: correct the rig sheet first",
    "questions": "answer the rig sheet's questions first",
    "slip": "nothing: settle first what seems to be written down wrongly",
    "out of reach": "nothing: {wanted} is out of reach",
    "no safe group": "a larger butt first: no group is safe on the usual one",
}
# Tables of a set-up record, and blocks of house values; a rig sheet has none of them.
NO_SHEET = re.compile(
    r"^\[(limbs|string)\]|^\[\[(sight|arrow|chronograph|archer)\]\]", re.MULTILINE
)
MOST_LETTERS = 100_000
Pieces = tuple[int, Iterable["Piece"]]  # how many, and each when it is its turn


@dataclass(frozen=True, slots=True)
class BatchOrder:
    """What is wanted of every rig alike."""

    refit: RefitOrder
    tapes: bool  # whether tapes are printed too
    paper: PaperName  # as for a tape
    far_end: End
    proof_mm: tuple[float, float] | None  # what the proof rulers measured
    today: str  # date on the tapes; not part of what a calibration is made of
    house: HouseValues | None = None  # stand in where sheets of a folder are silent

    @property
    def units(self) -> Units:
        """Units in which it is told."""
        return BY_DISTANCE[self.refit.unit]

    def made_from(self, *parts: str) -> str:
        """Hash of everything that decides an answer: these parts, the wishes, the program."""
        refit = self.refit
        wishes = (refit.unit == "m", refit.wanted_m, refit.probability, refit.seed, self.paper)
        house = () if self.house is None else (self.house,)
        whole = repr((__version__, wishes, self.far_end, self.proof_mm, parts, *house))
        return hashlib.sha256(whole.encode()).hexdigest()


@dataclass(frozen=True, slots=True)
class Piece:
    """One rig of many, not yet looked at."""

    name: str  # place of its files in the outcome, without ending; parts divided by a slash
    made_from: str = ""  # changes when anything that decides the answer changes
    sheet: str = ""  # texts of its files; no shots: empty
    shots: str = ""
    setups: tuple[Setup, ...] = ()  # in place of the texts, for a kept rig
    tapes: tuple[tuple[str, Tape], ...] = ()  # that the shots name
    fault: str = ""  # why it cannot even be read


def pieces_of(
    folder: Path | None,
    archive: Path | None,
    order: BatchOrder,
    open_things: ExitStack,
    house_file: Path | None = None,
) -> Pieces:
    """Rigs of a folder, else of an archive, else of the notebook, which stays open meanwhile."""
    if folder is not None:
        sheets = _sheets_in(folder, house_file)
        return len(sheets), _folder_pieces(folder, sheets, order)
    if archive is None:
        return _notebook_pieces(open_things.enter_context(opened(None)), order)
    whole, place = load_archive(archive), open_things.enter_context(TemporaryDirectory())
    notebook = open_things.enter_context(closing(open_notebook(f"sqlite:///{place}/archive.db")))
    take_in(notebook, whole)
    return _notebook_pieces(notebook, order)


def _sheets_in(folder: Path, house_file: Path | None) -> list[Path]:
    """Rig sheets of a folder and its sub-folders, in the order of their names."""
    house = None if house_file is None else house_file.resolve()
    if not folder.is_dir():
        raise BadInput(str(folder), "there is no such folder", "Name the folder of the rig sheets")
    found = sorted(
        path
        for path in folder.rglob("*.toml")
        if not path.is_dir()
        and path.resolve() != house
        and not any(part.startswith(".") for part in path.relative_to(folder).parts)
        and not _is_no_sheet(path)
    )
    if not found:
        mend = 'Put rig sheets NAME.toml into it ("tapewright new" writes one), shots beside'
        raise BadInput(str(folder), "no rig sheet is in this folder", mend)
    return found


def _is_no_sheet(path: Path) -> bool:
    """Whether a file is a set-up record or house values, which may lie beside the sheets."""
    if not path.is_file():
        return False  # told when it is its turn
    try:
        with path.open(encoding="utf-8", errors="replace") as text:
            return bool(NO_SHEET.search(text.read(MOST_LETTERS)))
    except OSError:
        return False


def _folder_pieces(folder: Path, sheets: list[Path], order: BatchOrder) -> Iterator[Piece]:
    """Each sheet with the shots beside it: NAME.csv, or NAME-shots.csv."""
    for path in sheets:
        name = path.relative_to(folder).with_suffix("").as_posix()
        yield _refusing(name, partial(_file_piece, path, name, order))


def _file_piece(path: Path, name: str, order: BatchOrder) -> Piece:
    sheet, shots = _load(path, rig_sheets.MOST_BYTES, BadRigSheet), ""
    beside = (path.with_name(pattern.format(path.stem)) for pattern in SHOTS_NAMES)
    if there := next((file for file in beside if file.exists()), None):
        shots = _load(there, shots_files.MOST_BYTES, BadShots)
    tapes = TapeFiles(path.parent).named_in(shots)
    parts = (sheet, shots, repr(tapes)) if tapes else (sheet, shots)
    return Piece(name, order.made_from(*parts), sheet, shots, tapes=tapes)


def _load(path: Path, most_bytes: int, error: type[BadInput]) -> str:
    """Whoever named a pipe waits for it; one that lies in a folder would be waited for for ever."""
    if path.is_fifo() or path.is_char_device():
        wrong = "this is a pipe or a device, not a file"
        raise BadInput(path.name, wrong, "Take it out of the folder")
    return load_text(path, most_bytes, error)


def _refusing(name: str, make: Callable[[], Piece]) -> Piece:
    try:
        return make()
    except TapewrightError as bad:
        return Piece(name, fault=str(bad))


def _notebook_pieces(notebook: Notebook, order: BatchOrder) -> Pieces:
    """Every rig of a notebook, in the order of their names, each read when it is its turn."""
    rigs = {one.id: kept_as(one, KeptRig).name for one in notebook.each_rig()}
    names = {rig_id: re.sub(r"[^\w -]+", "", name).strip()[:60] for rig_id, name in rigs.items()}
    taken = Counter(name.casefold() for name in names.values())

    def make(rig_id: str, name: str) -> Piece:
        setups = kept_rig(notebook, rig_id).setups
        return Piece(name, order.made_from(repr(setups)), setups=setups)

    def pieces() -> Iterator[Piece]:
        for rig_id, name in sorted(names.items(), key=lambda one: (one[1], one[0])):
            own = name if name and taken[name.casefold()] == 1 else f"{name or 'rig'}-{rig_id}"
            yield _refusing(own, partial(make, rig_id, own))

    if not names:
        raise BadInput("notebook", "it holds no rig", "Keep one first, or name a folder")
    return len(names), pieces()


@dataclass(frozen=True, slots=True)
class Made:
    """What was made of one rig."""

    name: str  # of the piece
    record: str = ""  # the calibration as JSON text; empty when it failed
    tape: bytes = b""  # the PDF; empty for none
    why: str = ""  # why it failed; empty when it did not


def refit_piece(piece: Piece, order: BatchOrder) -> Made:
    """One rig; whatever is wrong with it stays its own affair."""
    try:
        return _made(piece, order)
    except TapewrightError as bad:
        return Made(piece.name, why=str(bad))
    except Exception as fault:  # noqa: BLE001 — one rig never stops the rest
        return Made(piece.name, why=f"Unexpected fault: {type(fault).__name__}: {fault}")


def _made(piece: Piece, order: BatchOrder) -> Made:
    setups, notes = (piece.setups, ()) if piece.setups else _read(piece, order.house)
    found = refit(setups, order.refit)
    answer, following = found.answer, found.following
    told = {
        "arrows": following.arrows,
        "at": distance_words(following.distance_m, order.units),
        "wanted": distance_words(order.refit.wanted_m, order.units),
    }
    tape, tape_fault = _tape(answer, order) if order.tapes else (b"", "")
    record = calibration_json(answer, order.units) | {
        "arrows": sum(one.group.arrows for one in answer.observations),
        "odd_groups": [one.name for one in answer.groups if one.is_odd],
        "next": NEXT[following.kind].format_map(told),
        "notes": list(notes),
        "tape_sha256": hashlib.sha256(tape).hexdigest() if tape else None,
        "tape_fault": tape_fault,
        "made_from": piece.made_from,
    }
    return Made(piece.name, json.dumps(record, indent=1, ensure_ascii=False) + "\n", tape)


def _read(piece: Piece, house: HouseValues | None) -> tuple[tuple[Setup, ...], tuple[str, ...]]:
    rig, notes = rig_sheets.read_rig_sheet(piece.sheet, f"{piece.name}.toml")
    if house is not None:
        rig, more = filled_rig(rig, house)
        notes += more
    if not piece.shots:
        return (Setup(rig, ()),), notes
    records = TapeFiles(Path(), dict(piece.tapes))  # on another machine no folder is there
    name = f"{piece.name}.csv"
    observations, more = shots_files.read_shots(piece.shots, name, rig, records.tape)
    return (Setup(records.laid_on(rig, observations), observations),), notes + more


def _tape(answer: Answer, order: BatchOrder) -> tuple[bytes, str]:
    """The tape, or why there is none: a calibration without a tape is worth keeping."""
    said = Said({"far_end": order.far_end, "paper": order.paper})
    try:
        made = TAPE.made_of(answer, Wish(said, order.units, order.proof_mm), order.today)
        ((_, pdf),) = TAPE.files(made, ("pdf",))
    except TapewrightError as bad:
        return b"", str(bad)
    return pdf, ""

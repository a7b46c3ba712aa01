"""Records: what the notebook keeps, one record a kind.

Holds:  the body of a rig, session, group, calibration, print, change, printer, job, house, tape,
        parked group and set-up record, and what erasing leaves of one; its kind; what it points to.
        As long as there are kinds.
Never:  JSON (plain.py), ids and versions (entries.py), tables, physics.
"""

import re
from base64 import b64decode
from binascii import Error as NoBase64
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import isfinite
from typing import Literal

from tapewright.calibration.observation import Observation
from tapewright.ground.checks import is_day
from tapewright.ground.errors import BadInput

Kind = Literal[
    "rig", "session", "group", "calibration", "print", "change", "printer", "job", "house", "tape",
    "parked", "erased", "setup",
]  # fmt: skip
State = Literal["waiting", "taken", "done", "failed"]
KeptMark = tuple[float, float, float, float]  # distance, reading, low and high, in metres
MOST_PICTURE = 2_000_000  # letters of a photograph
JPEG_BEGINS = b"\xff\xd8"
ID_PATTERN = re.compile(r"[0-9a-f]{20}")


@dataclass(frozen=True, slots=True)
class KeptRig:
    """A rig sheet, exactly as the archer wrote it.

    Parameters
    ----------
    sheet : str
        The rig sheet, as text.
    name : str
        The rig's name, copied out of the sheet for lists.
    """

    sheet: str
    name: str


@dataclass(frozen=True, slots=True)
class KeptSession:
    """An afternoon's shooting with one rig.

    Parameters
    ----------
    shot_on : str
        The day, as 2026-11-25.
    purpose : {"sighting", "proving"}
        Whether its groups make the calibration or question it.
    note : str
        The archer's own words.
    setup : int
        How many changes the rig had had, 0 first. [-]
    proved : bool, default False
        Whether it was shot to prove a tape and taken into the calibration later.
    """

    shot_on: str
    purpose: Literal["sighting", "proving"]
    note: str
    setup: int
    proved: bool = False

    def __post_init__(self) -> None:
        _refuse_no_day(self.shot_on, "shot_on")
        _refuse_negative(self.setup, "setup")


@dataclass(frozen=True, slots=True)
class KeptGroup:
    """One group with what was dialled.

    Parameters
    ----------
    session_id : str
        The session it was shot in.
    observation : Observation
        The group, its distance, reading and air.
    note : str
        The archer's own words.
    """

    session_id: str
    observation: Observation
    note: str

    def __post_init__(self) -> None:
        refuse_no_id(self.session_id, "session_id")


@dataclass(frozen=True, slots=True)
class KeptCalibration:
    """What a calibration said, and with what it was made; enough to compute it again.

    Parameters
    ----------
    fingerprint : str
        The short hash printed on tapes.
    program : str
        Version of the program that computed it.
    seed : int
        Where its chance started. [-]
    probability : float
        Share of the truth its bands are to hold. [-]
    trusted_m : tuple of float
        Trusted distance for each pin. [m]
    arrows, groups : int
        How much was shot for it. [-]
    cautions : tuple of str
        What it warned of.
    next_shot : str
        What it asked for next.
    marks : tuple of KeptMark
        Distance, reading, and the low and high end of its band. [m]
    """

    fingerprint: str
    program: str
    seed: int
    probability: float
    trusted_m: tuple[float, ...]
    arrows: int
    groups: int
    cautions: tuple[str, ...]
    next_shot: str
    marks: tuple[KeptMark, ...]


@dataclass(frozen=True, slots=True)
class KeptPrint:
    """A thing that was printed.

    Parameters
    ----------
    what : {"tape", "gauge", "target", "card", "pocket", "handover", "large"}
        The kind of sheet.
    fingerprint : str
        The calibration it was printed from; empty: from none.
    printer_id : str or None
        The printer whose proof rulers stretched it.
    choices : mapping of str to str
        Paper, hand, distances and the like, as chosen.
    printed_on : str
        The day, as 2026-11-25.
    record_text : str, default empty
        Of a tape, what stands on its strips, as text.
    """

    what: Literal["tape", "gauge", "target", "card", "pocket", "handover", "large"]
    fingerprint: str
    printer_id: str | None
    choices: Mapping[str, str]
    printed_on: str
    record_text: str = ""

    def __post_init__(self) -> None:
        _refuse_no_day(self.printed_on, "printed_on")
        if self.printer_id is not None:
            refuse_no_id(self.printer_id, "printer_id")


@dataclass(frozen=True, slots=True)
class KeptChange:
    """Something on the rig was changed.

    Parameters
    ----------
    setup : int
        The number this change begins, 1 the first change. [-]
    from_rig, to_rig : int
        Versions of the rig before and after. [-]
    new_string : bool
        Whether the string was changed.
    words : str
        What was changed, in the archer's words.
    back_to : int or None, default None
        The earlier set-up that stands again, by its number, 0 the first; None: a new one. [-]
    """

    setup: int
    from_rig: int
    to_rig: int
    new_string: bool
    words: str
    back_to: int | None = None

    def __post_init__(self) -> None:
        for name in ("setup", "from_rig", "to_rig"):
            _refuse_negative(getattr(self, name), name)
        if self.back_to is not None and not 0 <= self.back_to < self.setup:
            wrong = f"{self.back_to} is no set-up before number {self.setup}"
            raise BadInput("back_to", wrong, "Name an earlier set-up by its number, 0 the first")


@dataclass(frozen=True, slots=True)
class KeptPrinter:
    """How long a printer makes 100 mm.

    Parameters
    ----------
    name : str
        What the archer calls it.
    across_mm, down_mm : float
        What the two proof rulers of 100 mm measured on its paper. [mm]
    """

    name: str
    across_mm: float
    down_mm: float

    def __post_init__(self) -> None:
        for name in ("across_mm", "down_mm"):
            length_mm = getattr(self, name)
            if not (isfinite(length_mm) and length_mm > 0):
                raise BadInput(name, "a ruler has a length above zero", "Measure it again, in mm")


@dataclass(frozen=True, slots=True)
class KeptJob:
    """Work that is done in the background.

    Parameters
    ----------
    what : str
        What is to be done, in words the worker knows.
    state : {"waiting", "taken", "done", "failed"}, default "waiting"
        How far it is.
    taken_until : str, default empty
        When another worker may take it over, as UTC ISO time.
    worker : str, default empty
        Who took it.
    told : str, default empty
        What the worker had to say.
    """

    what: str
    state: State = "waiting"
    taken_until: str = ""
    worker: str = ""
    told: str = ""


@dataclass(frozen=True, slots=True)
class KeptHouse:
    """House values, exactly as somebody wrote them.

    Parameters
    ----------
    sheet : str
        The file, as text.
    name : str
        Whose values they are, copied out of it.
    """

    sheet: str
    name: str


@dataclass(frozen=True, slots=True)
class KeptTape:
    """A tape that was stuck on the sight; from then on readings are what it shows.

    Parameters
    ----------
    record_text : str
        What stands on it and where it was aligned, as text.
    setup : int
        How many changes the rig had had, 0 first. [-]
    stuck_on : str
        The day, as 2026-11-25.
    taken_off : str, default empty
        The day on which it came off again; empty: it did not, or another was stuck over it.
    """

    record_text: str
    setup: int
    stuck_on: str
    taken_off: str = ""

    def __post_init__(self) -> None:
        _refuse_no_day(self.stuck_on, "stuck_on")
        if self.taken_off:
            _refuse_no_day(self.taken_off, "taken_off")
        _refuse_negative(self.setup, "setup")


@dataclass(frozen=True, slots=True)
class KeptParked:
    """A group that somebody handed over and the notebook could not take in; a person settles it.

    Parameters
    ----------
    group_id : str
        Under which it would be kept, or is kept otherwise.
    sent : str
        All that was handed over of it, as text.
    why : str
        Why it was not taken in, in words.
    """

    group_id: str
    sent: str
    why: str

    def __post_init__(self) -> None:
        refuse_no_id(self.group_id, "group_id")


@dataclass(frozen=True, slots=True)
class KeptSetup:
    """What makes a bow itself, as it was measured once, or a photograph of it; never both.

    Parameters
    ----------
    sheet : str
        What was measured, as text; empty: a photograph.
    measured_on : str
        The day, as 2026-11-25.
    is_again : bool, default False
        Whether it was measured to be held against the record; else it is the record.
    picture : str, default empty
        The photograph, a JPEG in base 64; empty: none.
    """

    sheet: str
    measured_on: str
    is_again: bool = False
    picture: str = ""

    def __post_init__(self) -> None:
        _refuse_no_day(self.measured_on, "measured_on")
        if bool(self.sheet) == bool(self.picture):
            wrong = "a record or a photograph is wanted, and one of them alone"
            raise BadInput("sheet", wrong, "Keep the other as an entry of its own")
        if self.picture:
            _refuse_no_picture(self.picture)


@dataclass(frozen=True, slots=True)
class KeptErased:
    """What is left in the place of a body that was erased.

    Parameters
    ----------
    salted : str
        The body's sum with a salt that is gone: it tells nobody what the body was.
    """

    salted: str


Body = (
    KeptRig
    | KeptSession
    | KeptGroup
    | KeptCalibration
    | KeptPrint
    | KeptChange
    | KeptPrinter
    | KeptJob
    | KeptHouse
    | KeptTape
    | KeptParked
    | KeptErased
    | KeptSetup
)

BODIES: Mapping[Kind, type[Body]] = {
    "rig": KeptRig,
    "session": KeptSession,
    "group": KeptGroup,
    "calibration": KeptCalibration,
    "print": KeptPrint,
    "change": KeptChange,
    "printer": KeptPrinter,
    "job": KeptJob,
    "house": KeptHouse,
    "tape": KeptTape,
    "parked": KeptParked,
    "erased": KeptErased,
    "setup": KeptSetup,
}
_KINDS: Mapping[type, Kind] = {body: kind for kind, body in BODIES.items()}


def kind_of(body: Body) -> Kind:
    """The kind under which a body is kept."""
    return _KINDS[type(body)]


def pointed_to(body: Body, rig_id: str | None) -> Sequence[tuple[str, Kind]]:
    """Ids that an entry names and what kind each must be; they must be kept with it."""
    pointed: list[tuple[str, Kind]] = [] if rig_id is None else [(rig_id, "rig")]
    if isinstance(body, KeptGroup):
        pointed.append((body.session_id, "session"))
    if isinstance(body, KeptPrint) and body.printer_id is not None:
        pointed.append((body.printer_id, "printer"))
    return pointed


def is_id(text: str) -> bool:
    """Whether a text has the form of an id: twenty hexadecimal digits, small letters."""
    return ID_PATTERN.fullmatch(text) is not None


def refuse_no_id(text: str, place: str) -> None:
    """Refuse what has not the form of an id."""
    if not is_id(text):
        raise BadInput(
            place, f"{text[:40]!r} is no id", "An id has twenty digits, 0 to 9 and a to f"
        )


def _refuse_no_day(text: str, place: str) -> None:
    if not is_day(text):
        raise BadInput(place, f"{text[:40]!r} is no day", "Write it as year-month-day, 2026-11-25")


def _refuse_no_picture(text: str) -> None:
    try:
        right = len(text) <= MOST_PICTURE and b64decode(text, validate=True)[:2] == JPEG_BEGINS
    except (NoBase64, ValueError):
        right = False
    if not right:
        raise BadInput("picture", "this is no JPEG in base 64", "Send it again, up to 1.5 MB")


def _refuse_negative(count: int, place: str) -> None:
    if count < 0:
        raise BadInput(place, f"{count} is below zero", "Count from 0")

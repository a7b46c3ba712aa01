"""Schemas: what another program may send, and what it gets back; units in the names of keys.

Everything sent is taken strictly: no unknown key, no text for a number, no endless number. What
is kept decides the keys: bodies are filled with the fields of the notebook's records, and with
the columns of a file of shots.  The file is as long as there are kinds of things to send.

Holds:  one record for each body of a request and of an answer.
Never:  addresses, the notebook.
"""

from collections.abc import Callable, Sequence
from dataclasses import fields as fields_of
from typing import Annotated, Any, ClassVar, Literal, TypeVar, get_type_hints

from pydantic import BaseModel, ConfigDict, Field, create_model

from tapewright.reading.csv_columns import CHOICES, COUNTS, MEASURES, MOST_CLICKS
from tapewright.reading.shots_reader import SHARED, SHOTS
from tapewright.services import keep
from tapewright.services.move_notebook import Counts
from tapewright.services.move_notebook import Fault as NotSound

MEASURED = tuple(word for word in SHARED if word in MEASURES)  # of a group
KEPT = tuple(word for word in MEASURED if word != "altitude")  # an altitude is kept as pressure
TOLD = {  # of a column, where its name does not say it
    "temperature": "Absent: as the rig sheet has it.",
    "pressure": "On the spot; null or absent: as altitude_m or else the rig sheet has it.",
    "altitude": "Of the place; pressure_hpa overrules it.",
    "windage": "What the sight's windage scale shows, growing as the pin goes right.",
}

Sheet = Annotated[str, Field(min_length=1, max_length=200_000, description="TOML.")]
Record = Annotated[str, Field(max_length=400_000, description="Text of a .tape.json.")]
Dialled = Annotated[
    float | None,
    Field(gt=0.0, le=300.0, description="What the tape on the sight showed; then no reading_mm."),
]
Seen = Annotated[int, Field(ge=1, le=2**31 - 1, description="Newest version you have seen.")]
Day = Annotated[str, Field(pattern=r"^\d{4}-\d{2}-\d{2}$", json_schema_extra={"format": "date"})]
Name = Annotated[str, Field(min_length=1, max_length=60)]
Note = Annotated[str, Field(max_length=4000)]
Setup = Annotated[int, Field(ge=0, le=10_000, description="How many changes the rig had had.")]
BackTo = Annotated[int | None, Field(ge=0, le=10_000, description="Set-up that stands again.")]
Id = Annotated[str, Field(pattern=r"^[0-9a-f]{20}$")]
Mm = Annotated[float, Field(gt=0.0, le=1000.0)]
Stop = Annotated[list[str], Field(description="Why it must not be shot; empty when it may.")]
Anything = dict[str, Any]
LIMITS: dict[str, Any] = {  # of what is sent; where nothing stands here, the record's own kind
    "sheet": Sheet, "shot_on": Day, "printed_on": Day, "stuck_on": Day, "name": Name, "note": Note,
    "words": Note, "record_text": Record, "measured_on": Day,
    "picture": Annotated[str, Field(description="JPEG in base 64, up to 1.5 MB.")],
    "setup": Setup | None, "printer_id": Id | None, "across_mm": Mm, "down_mm": Mm,
    "fingerprint": Annotated[str, Field(max_length=40)],
    "choices": Annotated[dict[str, str], Field(max_length=50)],
}  # fmt: skip


class Strict(BaseModel):
    """A body that is taken as documented or not at all."""

    model_config = ConfigDict(strict=True, extra="forbid", allow_inf_nan=False)


class Kept(BaseModel):
    """A kept thing in one of its versions."""

    record: ClassVar[type]  # of the notebook

    id: str
    number: int = Field(description="Version, 1 the first.")
    saved_at: str
    is_withdrawn: bool


class OfARig(Kept):
    """A kept thing of a rig."""

    rig_id: str


Shape = TypeVar("Shape", bound=BaseModel)


def _with_fields(
    record: type,
    without: Sequence[str] = (),
    **usual: Any,  # noqa: ANN401 — defaults of fields
) -> Callable[[type[Shape]], type[Shape]]:
    """Fill a body with the fields of a record of the notebook; some have a usual value."""

    def fill(shape: type[Shape]) -> type[Shape]:
        hints = get_type_hints(record) | (LIMITS if issubclass(shape, Strict) else {})
        names = [one.name for one in fields_of(record) if one.name not in without]
        more: Any = {
            name: (hints[name], usual.get(name, ...))
            for name in names
            if name not in shape.model_fields
        }
        made = create_model(shape.__name__, __base__=shape, __doc__=shape.__doc__, **more)
        made.record = record  # type: ignore[attr-defined]
        return made

    return fill


def _kept(record: type, told: str, shape: type[Kept] = OfARig) -> type[Kept]:
    """What is told of a kept thing: all fields of its record."""
    name = f"{record.__name__.removeprefix('Kept')}Kept"
    return _with_fields(record)(type(name, (shape,), {"__doc__": told}))


def _body(
    record: type,
    told: str,
    without: Sequence[str] = (),
    **usual: Any,  # noqa: ANN401 — defaults of fields
) -> type[Strict]:
    """What is sent of a thing to be kept: the fields of its record, but for some."""
    name = f"{record.__name__.removeprefix('Kept')}Body"
    return _with_fields(record, without, **usual)(type(name, (Strict,), {"__doc__": told}))


def _saved(body: type[BaseModel], told: str) -> type[BaseModel]:
    """The same body on top of the version seen."""
    name = f"{body.__name__.removesuffix('Body')}Saved"
    words = f"{told} on top of the version seen."
    return create_model(name, __base__=body, __doc__=words, seen=(Seen, ...))


def _measured(words: Sequence[str], kind: type[BaseModel] = Strict) -> Any:  # noqa: ANN401 — a base made here
    """Base of a body: columns of a file of shots, with their limits where they are sent."""
    columns: dict[str, Any] = {}
    for word in words:
        measure = MEASURES[word]
        is_said = word in SHOTS.filled or measure.usual is not None
        more: dict[str, Any] = {"description": TOLD.get(word)}
        if kind is Strict:
            more["ge"], more["le"] = measure.ends(measure.sent_unit)
            if word not in SHOTS.filled:
                more["default"] = measure.usual
        columns[measure.sent] = (float if is_said else float | None, Field(**more))
    return create_model("Measured", __base__=kind, **columns)


class SeenBody(Strict):
    """Which version the sender has seen."""

    seen: Seen


RigBody = _body(keep.KeptRig, "A new rig.", ["name"])
SessionBody = _body(
    keep.KeptSession, "An afternoon's shooting.", ["proved"], purpose="sighting", note="",
    setup=Field(None, description="Absent: all changes so far."),
)  # fmt: skip


class ImpactBody(_measured(("right", "up"))):  # type: ignore[misc]
    """Where an arrow hit, from the aim; both absent: it hits where it is aimed."""

    arrows: int = Field(1, ge=1, le=COUNTS["arrows"])
    called_bad: bool = False
    missed: bool = Field(default=False, description="Past the butt; right and up are absent.")
    arrow: str = Field("", max_length=60, description="What stands on the shaft, as its number.")


class SaidOfGroup(BaseModel):
    """What is said of a group without a unit."""

    session: str = Field(
        "", max_length=60, description="Groups between which the windage was hardly moved."
    )
    date: Literal[""] | Day = Field(
        "", description="Day it was shot; empty: that of its session. Moves no mark."
    )
    windage_clicks: float | None = Field(
        None, ge=-MOST_CLICKS, le=MOST_CLICKS,
        description="From any start, positive when the pin went right.",
    )  # fmt: skip
    scale: str = Field(
        "", max_length=1000,
        description="On which reading_mm was read, as a group tells it; empty: the sight's first.",
    )  # fmt: skip
    distances: Literal[("", *CHOICES["distances"])] = Field(  # type: ignore[valid-type]
        "", description="Where the distance comes from; empty: not said."
    )
    head: Literal[("", *CHOICES["head"])] = Field(  # type: ignore[valid-type]
        "", description="Point of its arrows; empty: that of the rig sheet."
    )


class GroupBody(_measured(MEASURED), SaidOfGroup):  # type: ignore[misc]
    """Arrows shot at one distance with one reading."""

    name: Name
    impacts: list[ImpactBody] = Field(min_length=1, max_length=COUNTS["arrows"])
    pin: int = Field(1, ge=1, le=COUNTS["pin"])
    dialled_yd: Dialled = None
    dialled_m: Dialled = None
    note: Note = ""


class ChangeBody(Strict):
    """Something on the rig was changed: the new sheet on top of the version seen."""

    sheet: Sheet
    seen: Seen
    new_string: bool = False
    words: Note = ""
    back_to: BackTo = None


PrinterBody = _body(keep.KeptPrinter, "How long a printer makes 100 mm.")
HouseBody = _body(keep.KeptHouse, "House values as a text.", ["name"])
PrintBody = _body(
    keep.KeptPrint, "A sheet that was printed.",
    record_text="", fingerprint="", printer_id=None, choices=Field(default_factory=dict),
)  # fmt: skip


@_with_fields(keep.KeptTape, ["setup", "taken_off"])
class TapeBody(Strict):
    """A tape that was stuck on; from then on groups are shot on it."""

    strip: int | None = Field(
        None, ge=1, le=100, description="Its place on the print; absent: as the record says."
    )


@_with_fields(keep.KeptSetup, ["sheet"], is_again=False, picture="")
class SetupBody(Strict):
    """What was measured of a bow, or a photograph of it."""

    sheet: str = Field("", description="TOML; empty: a photograph.")


RigSaved = _saved(RigBody, "A rig sheet")
SessionSaved = _saved(SessionBody, "A session")
GroupSaved = _saved(GroupBody, "A group")
HouseSaved = _saved(HouseBody, "House values")
SetupSaved = _saved(SetupBody, "A set-up record")
PrinterSaved = _saved(PrinterBody, "A printer")


@_with_fields(keep.KeptRig)
class RigKept(Kept):
    """A rig sheet."""

    stop: Stop


class GroupKept(_measured(KEPT, OfARig), SaidOfGroup):  # type: ignore[misc]
    """A group."""

    record = keep.KeptGroup
    session_id: str
    name: str
    impacts: list[dict[str, float | int | bool | str | None]]
    pin: int
    note: str


SessionKept = _kept(keep.KeptSession, "A session.")
ChangeKept = _kept(keep.KeptChange, "A change.")
PrinterKept = _kept(keep.KeptPrinter, "A printer.", Kept)
HouseKept = _kept(keep.KeptHouse, "House values.", Kept)
TapeKept = _kept(keep.KeptTape, "A tape that was stuck on.")
SetupKept = _kept(keep.KeptSetup, "What was measured of a bow, or a photograph of it.")
ParkedKept = _kept(
    keep.KeptParked, "A group that a phone handed over and a person must settle."
)  # fmt: skip


@_with_fields(keep.KeptPrint)
class PrintKept(Kept):
    """A sheet that was printed."""

    rig_id: str | None


@_with_fields(keep.KeptCalibration, ["trusted_m", "marks", "seed", "probability"])
class CalibrationKept(OfARig):
    """A calibration as it was kept."""

    trusted_distance_m: list[float]


class RigLine(Kept):
    """A rig in the list."""

    name: str
    stop: Stop
    trusted_distance_m: float | None = Field(description="Of the first pin; null: not calibrated.")
    shot_on: str | None
    next_shot: str


@_with_fields(NotSound)
class FaultFound(BaseModel):
    """Something that is not as it was written."""


class CheckedWhole(BaseModel):
    """What a walk through the whole notebook found."""

    is_sound: bool
    entries: dict[str, int]
    versions: int
    faults: list[FaultFound]
    more_faults: int


class HistoryLine(BaseModel):
    """One thing that happened to a rig."""

    when: str
    kind: str
    id: str
    number: int
    is_withdrawn: bool
    words: str


class GiveBody(Strict):
    """What the taker of a bow calls it."""

    name: Name


class EraseBody(Strict):
    """A rig to erase for good: its name as it stands, and other names to look for afterwards."""

    seen: Seen
    name: Annotated[str, Field(max_length=400)]
    also: list[Name] = Field(default=[], max_length=20)


class Erased(BaseModel):
    """What was erased, and what is left."""

    erased_entries: int
    is_swept: bool
    not_swept: str = Field(description="Why old bytes may still lie about; empty: none do.")
    still_named: list[str] = Field(description="Where a name still stands in what is kept.")
    copies: list[str] = Field(description="What was printed or carried away.")
    out_of_reach: list[str]


@_with_fields(Counts)
class Taken(BaseModel):
    """What taking in an archive did, in entries."""


class Fault(BaseModel):
    """One thing that is wrong with a request."""

    place: str
    wrong: str


class Problem(BaseModel):
    """Why something was not done (RFC 9457); place and mend where a text was wrong."""

    title: str
    status: int
    place: str | None = None
    mend: str | None = None
    faults: list[Fault] | None = None
    stop: list[str] | None = Field(None, description="Why the set-up must not be shot.")
    questions: list[dict[str, str]] | None = Field(
        None, description="What the rig sheet must tell before the first arrow."
    )
    newer: int | None = Field(None, description="Version that stands now, when yours was older.")

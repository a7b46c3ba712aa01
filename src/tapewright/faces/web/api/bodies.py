"""Bodies: what another program may send, and what it gets back; units in the names of keys.

Everything sent is taken strictly: no unknown key, no text for a number, no endless number.

Holds:  one record for each body of a request and of an answer.
Never:  addresses, the notebook.
"""

from collections.abc import Callable, Sequence
from dataclasses import fields as dataclass_fields
from typing import Annotated, Any, Literal, TypeVar, get_type_hints

from pydantic import BaseModel, ConfigDict, Field, create_model

from tapewright.reading.shots import SHARED, SHOTS
from tapewright.reading.table_columns import COUNTS, MEASURES
from tapewright.services.keep import (
    KeptCalibration,
    KeptChange,
    KeptPrint,
    KeptPrinter,
    KeptRig,
    KeptSession,
)

MOST_SHEET, MOST_NOTE, MOST_NAME = 200_000, 4000, 60
DAY = r"^\d{4}-\d{2}-\d{2}$"
TOLD = {  # of a column, where its name does not say it
    "temperature": "Absent: as the rig sheet has it.",
    "pressure": "On the spot; null or absent: as altitude_m or else the rig sheet has it.",
    "altitude": "Of the place; pressure_hpa overrules it.",
}


class Strict(BaseModel):
    """A body that is taken as documented or not at all."""

    model_config = ConfigDict(strict=True, extra="forbid", allow_inf_nan=False)


Sheet = Annotated[str, Field(min_length=1, max_length=MOST_SHEET, description="Rig sheet, TOML.")]
Seen = Annotated[int, Field(ge=1, le=2**31 - 1, description="Newest version you have seen.")]
Day = Annotated[str, Field(pattern=DAY, json_schema_extra={"format": "date"})]
Note = Annotated[str, Field(max_length=MOST_NOTE)]
Setup = Annotated[int, Field(ge=0, le=10_000, description="How many changes the rig had had.")]
Purpose = Literal["sighting", "proving"]
What = Literal["tape", "gauge", "target", "card", "pocket"]
Id = Annotated[str, Field(pattern=r"^[0-9a-f]{20}$")]
Mm = Annotated[float, Field(gt=0.0, le=1000.0)]


class SeenBody(Strict):
    """Which version the sender has seen."""

    seen: Seen


class RigBody(Strict):
    """A new rig."""

    sheet: Sheet


class RigSaved(RigBody):
    """A rig sheet on top of the version seen."""

    seen: Seen


class SessionBody(Strict):
    """An afternoon's shooting."""

    shot_on: Day
    purpose: Purpose = "sighting"
    note: Note = ""
    setup: Setup | None = Field(None, description="Absent: all changes so far.")


class SessionSaved(SessionBody):
    """A session on top of the version seen."""

    seen: Seen


def measured(words: Sequence[str], kind: type[BaseModel] = Strict) -> Any:  # noqa: ANN401 — a base made here
    """Base of a body: columns of a file of shots, with their limits where they are sent."""
    fields: dict[str, Any] = {}
    for word in words:
        measure = MEASURES[word]
        is_said = word in SHOTS.filled or measure.usual is not None
        more: dict[str, Any] = {"description": TOLD.get(word)}
        if kind is Strict:
            more["ge"], more["le"] = measure.ends(measure.sent_unit)
            if word not in SHOTS.filled:
                more["default"] = measure.usual
        fields[measure.sent] = (float if is_said else float | None, Field(**more))
    return create_model("Measured", __base__=kind, **fields)


MEASURED = tuple(word for word in SHARED if word in MEASURES)  # of a group
KEPT = tuple(word for word in MEASURED if word != "altitude")  # an altitude is kept as pressure


class ImpactBody(measured(("right", "up"))):  # type: ignore[misc]
    """Where an arrow hit, from the aim; both absent: it hits where it is aimed."""

    arrows: int = Field(1, ge=1, le=COUNTS["arrows"])
    called_bad: bool = False


class GroupBody(measured(MEASURED)):  # type: ignore[misc]
    """Arrows shot at one distance with one reading."""

    name: str = Field(min_length=1, max_length=MOST_NAME)
    impacts: list[ImpactBody] = Field(min_length=1, max_length=COUNTS["arrows"])
    pin: int = Field(1, ge=1, le=COUNTS["pin"])
    note: Note = ""


class GroupSaved(GroupBody):
    """A group on top of the version seen."""

    seen: Seen


class ChangeBody(Strict):
    """Something on the rig was changed: the new sheet on top of the version seen."""

    sheet: Sheet
    seen: Seen
    new_string: bool = False
    words: Note = ""


class PrinterBody(Strict):
    """How long a printer makes 100 mm."""

    name: str = Field(min_length=1, max_length=MOST_NAME)
    across_mm: Mm
    down_mm: Mm


class PrinterSaved(PrinterBody):
    """A printer on top of the version seen."""

    seen: Seen


class PrintBody(Strict):
    """A sheet that was printed."""

    what: What
    fingerprint: str = Field("", max_length=40)
    printer_id: Id | None = None
    choices: dict[str, str] = Field(default_factory=dict, max_length=50)
    printed_on: Day


class Kept(BaseModel):
    """A kept thing in one of its versions."""

    id: str
    number: int = Field(description="Version, 1 the first.")
    saved_at: str
    is_withdrawn: bool


Stop = Annotated[list[str], Field(description="Why it must not be shot; empty when it may.")]
Shape = TypeVar("Shape", bound=Kept)


def as_kept(record: type, *without: str) -> Callable[[type[Shape]], type[Shape]]:
    """Fill a shape with the fields of a record of the notebook, as it is kept."""

    def fill(shape: type[Shape]) -> type[Shape]:
        hints = get_type_hints(record)
        names = (one.name for one in dataclass_fields(record))
        wanted = [name for name in names if name not in (*without, *shape.model_fields)]
        fields: dict[str, Any] = {name: (hints[name], ...) for name in wanted}
        made: type[Shape] = create_model(
            shape.__name__, __base__=shape, __doc__=shape.__doc__, **fields
        )
        return made

    return fill


@as_kept(KeptRig)
class RigKept(Kept):
    """A rig sheet."""

    stop: Stop


class OfARig(Kept):
    """A kept thing of a rig."""

    rig_id: str


@as_kept(KeptSession)
class SessionKept(OfARig):
    """A session."""


@as_kept(KeptChange)
class ChangeKept(OfARig):
    """A change."""


@as_kept(KeptPrinter)
class PrinterKept(Kept):
    """A printer."""


@as_kept(KeptPrint)
class PrintKept(Kept):
    """A sheet that was printed."""

    rig_id: str | None


@as_kept(KeptCalibration, "trusted_m", "marks", "seed", "probability")
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


class GroupKept(measured(KEPT, OfARig)):  # type: ignore[misc]
    """A group."""

    session_id: str
    name: str
    impacts: list[dict[str, float | int | bool | None]]
    pin: int
    note: str


class FaultFound(BaseModel):
    """Something that is not as it was written."""

    where: str
    wrong: str


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


class Taken(BaseModel):
    """What taking in an archive did, in entries."""

    new: int
    longer: int
    same: int


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


Anything = dict[str, Any]

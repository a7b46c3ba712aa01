"""Message format: the shape of what a phone hands over, as documented or not at all.

Holds:  a group as a phone kept it; a session of them; a file of them, and reading it, each group by
        itself.
Never:  what becomes of a group (take_in.py), how its fields are read (group_form.py).
"""

import json
import re
from dataclasses import dataclass
from hashlib import sha256
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError, field_validator

from tapewright.ground.errors import BadInput
from tapewright.words.quantity_parser import with_unit
from tapewright.words.unit_system import IMPERIAL, METRIC, Units

MOST_GROUPS, MOST_IN_FILE, MOST_FIELDS = 500, 20_000, 700
IS_ID = re.compile(r"[0-9a-f]{20}")
Text = Annotated[str, Field(max_length=200)]
Id = Annotated[str, Field(pattern=r"^[0-9a-f]{20}$")]
Day = Annotated[str, Field(pattern=r"^\d{4}-\d{2}-\d{2}$", json_schema_extra={"format": "date"})]


class _Strict(BaseModel):
    """What is handed over is taken as documented or not at all."""

    model_config = ConfigDict(strict=True, extra="forbid", allow_inf_nan=False)


class HandedGroup(_Strict):
    """A group as a phone kept it: what its form said, and what it was shot with."""

    id: Id
    rig: Id
    rig_name: Text = ""
    rig_number: int = Field(ge=1, le=2**31 - 1, description="Version of the rig it was shot with.")
    tape: Text = Field("", description="The tape on the sight, by its name; empty: none.")
    units: Literal["imperial", "metric"]
    shot_on: Day
    kept_at: Text = Field(description="When the phone kept it, as UTC ISO time.")
    part: Id = Field(description="The phone's own session: one rig, day and set-up.")
    session: str = Field("", pattern=r"^([0-9a-f]{20})?$", description="Of the notebook, if said.")
    seen: int = Field(0, ge=0, le=2**31 - 1, description="Version that was changed; 0: a new one.")
    fields: dict[str, Annotated[str, Field(max_length=4000)]] = Field(max_length=MOST_FIELDS)

    @property
    def where(self) -> str:
        """The distance as it was typed, with its unit."""
        typed, unit = self.fields.get("distance", "").strip(), self.fields.get("distance_in", "")
        return (with_unit(typed, unit) if typed else unit) or "A group"

    @property
    def text(self) -> str:
        """All of it as one text, always the same for the same."""
        return json.dumps(self.model_dump(), ensure_ascii=False, sort_keys=True)

    @property
    def read_in(self) -> Units:
        """Units in which its form was read."""
        return METRIC if self.units == "metric" else IMPERIAL

    @property
    def parked_id(self) -> str:
        """Under which it is parked: the same however often it comes."""
        return _id_of(self.text)


@dataclass(frozen=True, slots=True)
class UnreadGroup:
    """Something in a phone's file that is no group as documented: kept as it came, and why."""

    sent: Any  # as JSON says it
    why: str

    @property
    def text(self) -> str:
        """All of it as one text, always the same for the same."""
        return json.dumps(self.sent, ensure_ascii=False, sort_keys=True)

    @property
    def parked_id(self) -> str:
        """Under which it is parked: the same however often it comes."""
        return _id_of(self.text)

    @property
    def id(self) -> str:
        """The id it says; without one, that under which it is parked."""
        said = self._said("id")
        return said if IS_ID.fullmatch(said) else self.parked_id

    @property
    def rig(self) -> str:
        """The rig it says; empty where it says none."""
        said = self._said("rig")
        return said if IS_ID.fullmatch(said) else ""

    def _said(self, key: str) -> str:
        said = self.sent.get(key) if isinstance(self.sent, dict) else None
        return said if isinstance(said, str) else ""


def _id_of(text: str) -> str:
    return sha256(text.encode(errors="replace")).hexdigest()[:20]


class HandedSession(_Strict):
    """Groups of one session of a phone."""

    groups: list[HandedGroup] = Field(min_length=1, max_length=MOST_GROUPS)

    @field_validator("groups")
    @classmethod
    def _are_apart(cls, groups: list[HandedGroup]) -> list[HandedGroup]:
        if len({one.id for one in groups}) < len(groups):
            raise ValueError("two groups have the same id")
        if len({(one.rig, one.part) for one in groups}) > 1:
            raise ValueError("groups of more than one rig or session")
        return groups


class HandedFile(_Strict):
    """All that a phone has not handed over, as a file or as codes carry it."""

    schema_name: Literal["tapewright.hand-over/1"] = Field(alias="schema")
    groups: list[Any] = Field(min_length=1, max_length=MOST_IN_FILE)


def read_handed(text: str, place: str) -> tuple[HandedGroup | UnreadGroup, ...]:
    """Groups from a file or from codes put together, each judged by itself.

    BadInput if the whole is no such file.
    """
    try:
        sent = HandedFile.model_validate_json(text).groups
    except ValidationError as refused:
        wrong = f"this is no hand-over of a phone ({_first_fault(refused)})"
        mend = "Take the file that the phone saved, or all its codes, untouched"
        raise BadInput(place, wrong, mend) from None
    return tuple(map(_read_group, sent))


def _read_group(sent: Any) -> HandedGroup | UnreadGroup:  # noqa: ANN401 — whatever stands in the file
    try:
        return HandedGroup.model_validate(sent)
    except ValidationError as refused:
        return UnreadGroup(sent, f"It cannot be read as a group ({_first_fault(refused)}).")


def read_group_text(text: str) -> HandedGroup:
    """A group from its own text. BadInput if it is none."""
    try:
        return HandedGroup.model_validate_json(text)
    except ValidationError as refused:
        wrong = f"it cannot be read as a group ({_first_fault(refused)})"
        raise BadInput("the group", wrong, "Save its text and write the group down anew") from None


def _first_fault(refused: ValidationError) -> str:
    first = refused.errors()[0]
    where = ".".join(map(str, first["loc"])) or "the text"
    return f"{where}: {first['msg']}"

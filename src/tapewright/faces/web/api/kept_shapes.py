"""Kept shapes: what the notebook keeps, as programs read it; what they send, as it is kept.

Holds:  entry → shape of an answer; shape of a request → body of an entry.
Never:  addresses, writing into the notebook.
"""

from collections.abc import Iterable, Mapping
from typing import Any, TypeVar

from tapewright.faces.kept_rigs import kept_trust
from tapewright.faces.kept_stops import kept_stops
from tapewright.faces.web.api.bodies import (
    MEASURED,
    CalibrationKept,
    ChangeKept,
    GroupBody,
    GroupKept,
    Kept,
    PrinterKept,
    PrintKept,
    RigKept,
    SessionKept,
)
from tapewright.ground.errors import BadInput
from tapewright.ground.units import UNITS
from tapewright.reading.shots import measured_of
from tapewright.reading.table_columns import MEASURES, group_name
from tapewright.services.equip import Rig
from tapewright.services.keep import (
    Entry,
    KeptCalibration,
    KeptChange,
    KeptGroup,
    KeptPrint,
    KeptPrinter,
    KeptRig,
    KeptSession,
    kept_as,
)
from tapewright.services.record_groups import (
    MARK_ARROWS,
    Impact,
    Observation,
    bare_mark,
    observe_group,
)
from tapewright.words.quantities import in_unit

DIGITS = 9  # of a number written: a nanometre
HEAD = ("id", "number", "saved_at", "is_withdrawn", "rig_id")


RECORDS: Mapping[type[Kept], type] = {
    RigKept: KeptRig, SessionKept: KeptSession, GroupKept: KeptGroup, ChangeKept: KeptChange,
    PrinterKept: KeptPrinter, PrintKept: KeptPrint, CalibrationKept: KeptCalibration,
}  # fmt: skip
Shape = TypeVar("Shape", bound=Kept)


def shaped(shape: type[Shape], entry: Entry, **more: Any) -> Shape:  # noqa: ANN401 — fields of the shape
    """What is kept, in the shape in which it is sent. NotKept if it is of another kind."""
    body: Any = kept_as(entry, RECORDS[shape])
    if isinstance(body, KeptGroup):
        more |= _group_fields(body)
    if isinstance(body, KeptRig):
        more["stop"] = list(kept_stops(entry))
    own: dict[str, Any] = {name: getattr(body, name, None) for name in shape.model_fields}
    own |= {name: getattr(entry, name) for name in HEAD}
    return shape(**(own | more))


def all_shaped(shape: type[Shape], entries: Iterable[Entry]) -> list[Shape]:
    """Several kept things of a kind."""
    return [shaped(shape, entry) for entry in entries]


def _in(value: float, unit: str) -> float:
    return round(in_unit(value, unit), DIGITS) + 0.0  # no minus zero


def _group_fields(body: KeptGroup) -> dict[str, Any]:
    """What a group is besides its session and note."""
    one = body.observation
    return {
        "name": one.group.name,
        **{
            MEASURES[word].sent: None if value is None else _in(value, MEASURES[word].sent_unit)
            for word, value in measured_of(one).items()
        },
        "impacts": [
            {
                "right_mm": None if hit.right_m is None else _in(hit.right_m, "mm"),
                "up_mm": None if hit.up_m is None else _in(hit.up_m, "mm"),
                "arrows": hit.arrows,
                "called_bad": hit.called_bad,
            }
            for hit in one.group.impacts
        ],
        "pin": one.pin,
    }


def calibration_kept(entry: Entry, rig: Entry) -> CalibrationKept:
    """A calibration without its marks; a rig stopped since is not trusted."""
    body = kept_as(entry, KeptCalibration)
    next_shot = "" if kept_stops(rig) else body.next_shot
    trusted_m = list(kept_trust(entry, rig))
    return shaped(CalibrationKept, entry, trusted_distance_m=trusted_m, next_shot=next_shot)


def observation_of(body: GroupBody, rig: Rig) -> Observation:
    """Observation of a group that was sent."""
    hits = [
        Impact(_si(one.right_mm, "mm"), _si(one.up_mm, "mm"), one.arrows, one.called_bad)
        for one in body.impacts
    ]
    unseen = [one for one in hits if one.right_m is None and one.up_m is None]
    if any(not one.called_bad for one in unseen):
        hits = [_mark(hits)]
    measures = (MEASURES[word] for word in MEASURED)
    given: dict[str, Any] = {
        one.attribute: _si(getattr(body, one.sent), one.sent_unit) for one in measures
    }
    return observe_group(_tidy_name(body.name), hits, pin=body.pin, air=rig.air, **given)


def _tidy_name(name: str) -> str:
    tidy = group_name(name, "name")
    if not tidy:
        raise BadInput("name", "the group has no name", "Write one, such as far1")
    return tidy


def _mark(hits: list[Impact]) -> Impact:
    """The one impact of a bare mark."""
    if len(hits) > 1:
        wrong = "right_mm and up_mm are absent, yet the group has more impacts"
        mend = "Leave arrows out that were not found, or send a bare mark alone"
        raise BadInput("impacts", wrong, mend)
    return bare_mark(hits[0].arrows if hits[0].arrows > 1 else MARK_ARROWS)


def _si(value: float | None, unit: str) -> float | None:
    found = UNITS[unit]
    return None if value is None else value * found.factor + found.offset

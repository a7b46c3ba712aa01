"""Resource JSON: what the notebook keeps, as programs read it; what they send, as it is kept.

Holds:  entry → shape of an answer; shape of a group sent → observation.
Never:  addresses, writing into the notebook.
"""

from collections.abc import Iterable, Mapping
from typing import Any, TypeVar

from tapewright.faces.kept_rigs import kept_trust
from tapewright.faces.kept_stops import kept_stops
from tapewright.faces.web.api.schemas import MEASURED, Kept
from tapewright.ground.errors import BadInput
from tapewright.ground.units import UNITS
from tapewright.reading.csv_columns import (
    MEASURES,
    PLAINLY_SAID,
    group_name,
    read_day,
    scale_name,
)
from tapewright.reading.shots_writer import measured_of, plainly_said_of
from tapewright.services.equip import Rig
from tapewright.services.keep import Entry, KeptCalibration, KeptGroup, KeptRig, kept_as
from tapewright.services.record_groups import (
    MARK_ARROWS,
    Impact,
    Observation,
    bare_mark,
    observe_group,
)
from tapewright.services.scale_words import scales_text
from tapewright.words.quantity_parser import in_unit

DIGITS = 9  # of a number written: a nanometre
HEAD = ("id", "number", "saved_at", "is_withdrawn", "rig_id")

Shape = TypeVar("Shape", bound=Kept)


def all_shaped(
    shape: type[Shape], entries: Iterable[Entry], rig: Entry | None = None
) -> list[Shape]:
    """Several kept things of a kind, the rig's if they are of one."""
    return [shaped(shape, entry, rig) for entry in entries]


def shaped(shape: type[Shape], entry: Entry, rig: Entry | None = None) -> Shape:
    """What is kept, in the shape in which it is sent. NotKept if it is of another kind.

    Of a calibration it is without its marks, and a rig that was stopped since is not trusted.
    """
    body: Any = kept_as(entry, shape.record)
    own: dict[str, Any] = {name: getattr(body, name, None) for name in shape.model_fields}
    own |= {name: getattr(entry, name) for name in HEAD}
    if isinstance(body, KeptGroup):
        own |= _group_fields(body.observation)
    if isinstance(body, KeptRig):
        own["stop"] = list(kept_stops(entry))
    if isinstance(body, KeptCalibration) and rig is not None:
        own["trusted_distance_m"] = list(kept_trust(entry, rig))
        own["next_shot"] = "" if kept_stops(rig) else body.next_shot
    return shape(**own)


def _group_fields(one: Observation) -> dict[str, Any]:
    """What a group is besides its session and note."""
    impacts = [
        _sent({"right": hit.right_m, "up": hit.up_m})
        | {
            "arrows": hit.arrows,
            "called_bad": hit.called_bad,
            "missed": hit.missed,
            "arrow": hit.arrow,
        }
        for hit in one.group.impacts
    ]
    name = one.group.name
    told = {"name": name, "impacts": impacts, "pin": one.pin, **plainly_said_of(one)}
    return told | _sent(measured_of(one))


def _sent(measured: Mapping[str, float | None]) -> dict[str, float | None]:
    """What was measured, by column, under the keys and in the units of what is sent."""
    return {
        MEASURES[word].sent: None
        if value is None
        else round(in_unit(value, MEASURES[word].sent_unit), DIGITS) + 0.0  # no minus zero
        for word, value in measured.items()
    }


def observation_of(body: Any, rig: Rig) -> Observation:  # noqa: ANN401 — a GroupBody, made as the program begins
    """Observation of a group that was sent."""
    hits = [
        Impact(
            **_measured(one, "right", "up"),
            arrows=one.arrows,
            called_bad=one.called_bad,
            missed=one.missed,
            arrow=group_name(one.arrow, "impacts"),
        )
        for one in body.impacts
    ]
    if any(one.missed and (one.right_m, one.up_m) != (None, None) for one in hits):
        wrong = "an impact past the butt says where it hit"
        raise BadInput("impacts", wrong, "Leave right_mm and up_mm out, or missed")
    if any(one.right_m is one.up_m is None and not (one.called_bad or one.missed) for one in hits):
        hits = [_mark(hits)]
    name = group_name(body.name, "name")
    if not name:
        raise BadInput("name", "the group has no name", "Write one, such as far1")
    said = {word: getattr(body, word) for word in PLAINLY_SAID}
    said["session"] = group_name(body.session, "session")
    said["date"] = read_day(body.date, "date")
    measured = _measured(body, *MEASURED)
    measured["reading_m"], scale = _reading(body, rig)
    said["scale"] = scale or scale_name(body.scale, "scale")
    return observe_group(name, hits, pin=body.pin, air=rig.air, **measured, **said)


def _measured(body: Any, *words: str) -> dict[str, Any]:  # noqa: ANN401 — as above
    """Columns of a body as records of shooting call them. [SI]"""
    return {
        MEASURES[word].attribute: _si(getattr(body, MEASURES[word].sent), MEASURES[word].sent_unit)
        for word in words
    }


def _si(value: float | None, unit: str) -> float | None:
    found = UNITS[unit]
    return None if value is None else value * found.factor + found.offset


def _reading(body: Any, rig: Rig) -> tuple[float, str]:  # noqa: ANN401 — as above
    """What was read, and the scale if it was dialled on the tape. [m]"""
    tape = rig.sight.tape
    dialled = {"yd": body.dialled_yd, "m": body.dialled_m}
    said = [(unit, number) for unit, number in dialled.items() if number is not None]
    if len(said) + (body.reading_mm is not None) != 1:
        wrong = "of reading_mm, dialled_yd and dialled_m one must be told, and one alone"
        raise BadInput("reading_mm", wrong, "Send what the sight showed, as one of the three")
    if not said:
        return _si(body.reading_mm, "mm") or 0.0, ""
    ((unit, number),) = said
    if tape is None or tape.unit != unit:
        wrong = f"no tape in {unit} is on the sight"
        mend = "Say which tape is on it under /tapes, or send reading_mm"
        raise BadInput(f"dialled_{unit}", wrong, mend)
    try:
        return tape.reading_of(number * tape.unit_m, body.pin), scales_text(tape.scales)
    except BadInput as past:
        raise BadInput(f"dialled_{unit}", past.wrong, past.mend) from None


def _mark(hits: list[Impact]) -> Impact:
    """The one impact of a bare mark."""
    if len(hits) > 1:
        wrong = "right_mm and up_mm are absent, yet the group has more impacts"
        mend = "Leave arrows out that were not found, or send a bare mark alone"
        raise BadInput("impacts", wrong, mend)
    if hits[0].arrow:
        wrong = "a bare mark is no arrow's"
        raise BadInput("impacts", wrong, "Send where it hit, or leave arrow out")
    return bare_mark(hits[0].arrows if hits[0].arrows > 1 else MARK_ARROWS)

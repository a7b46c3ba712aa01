"""Written: what the notebook keeps, as other programs read it; and what they send, as it is kept.

Holds:  entry → shape of an answer; shape of a request → body of an entry.
Never:  addresses, writing into the notebook.
"""

from typing import Any

from tapewright.faces.kept import kept_stops, kept_trust
from tapewright.faces.web.api.shapes import (
    MEASURED,
    CalibrationKept,
    ChangeKept,
    GroupBody,
    GroupKept,
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


def _kept(entry: Entry) -> dict[str, Any]:
    return {
        "id": entry.id,
        "number": entry.number,
        "saved_at": entry.saved_at,
        "is_withdrawn": entry.is_withdrawn,
    }


def rig_kept(entry: Entry) -> RigKept:
    """A rig sheet."""
    body = kept_as(entry, KeptRig)
    return RigKept(**_kept(entry), name=body.name, sheet=body.sheet, stop=list(kept_stops(entry)))


def session_kept(entry: Entry) -> SessionKept:
    """A session."""
    body = kept_as(entry, KeptSession)
    return SessionKept(
        **_kept(entry),
        rig_id=entry.rig_id or "",
        shot_on=body.shot_on,
        purpose=body.purpose,
        note=body.note,
        setup=body.setup,
    )


def _in(value: float, unit: str) -> float:
    return round(in_unit(value, unit), DIGITS) + 0.0  # no minus zero


def group_kept(entry: Entry) -> GroupKept:
    """A group."""
    body = kept_as(entry, KeptGroup)
    one = body.observation
    return GroupKept(
        **_kept(entry),
        rig_id=entry.rig_id or "",
        session_id=body.session_id,
        name=one.group.name,
        **{
            MEASURES[word].sent: None if value is None else _in(value, MEASURES[word].sent_unit)
            for word, value in measured_of(one).items()
        },
        impacts=[
            {
                "right_mm": None if hit.right_m is None else _in(hit.right_m, "mm"),
                "up_mm": None if hit.up_m is None else _in(hit.up_m, "mm"),
                "arrows": hit.arrows,
                "called_bad": hit.called_bad,
            }
            for hit in one.group.impacts
        ],
        pin=one.pin,
        note=body.note,
    )


def change_kept(entry: Entry) -> ChangeKept:
    """A change."""
    body = kept_as(entry, KeptChange)
    return ChangeKept(
        **_kept(entry),
        rig_id=entry.rig_id or "",
        setup=body.setup,
        from_rig=body.from_rig,
        to_rig=body.to_rig,
        new_string=body.new_string,
        words=body.words,
    )


def printer_kept(entry: Entry) -> PrinterKept:
    """A printer."""
    body = kept_as(entry, KeptPrinter)
    return PrinterKept(
        **_kept(entry), name=body.name, across_mm=body.across_mm, down_mm=body.down_mm
    )


def print_kept(entry: Entry) -> PrintKept:
    """A sheet that was printed."""
    body = kept_as(entry, KeptPrint)
    return PrintKept(
        **_kept(entry),
        rig_id=entry.rig_id,
        what=body.what,
        fingerprint=body.fingerprint,
        printer_id=body.printer_id,
        choices=dict(body.choices),
        printed_on=body.printed_on,
    )


def calibration_kept(entry: Entry, rig: Entry) -> CalibrationKept:
    """A calibration as it was kept, without its marks; a rig stopped since is not trusted."""
    body = kept_as(entry, KeptCalibration)
    return CalibrationKept(
        **_kept(entry),
        rig_id=entry.rig_id or "",
        fingerprint=body.fingerprint,
        program=body.program,
        trusted_distance_m=list(kept_trust(entry, rig)),
        arrows=body.arrows,
        groups=body.groups,
        cautions=list(body.cautions),
        next_shot="" if kept_stops(rig) else body.next_shot,
    )


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

"""History: everything that happened to a rig, as one list.

Holds:  the Happening record; sheets, sessions, groups, calibrations, prints and changes by time.
Never:  going back to an older sheet (web/pages), computations.
"""

from dataclasses import dataclass
from typing import Any

from tapewright.faces.kept_rigs import kept_trust
from tapewright.faces.kept_stops import kept_stops
from tapewright.services.keep import (
    Entry,
    KeptCalibration,
    KeptChange,
    KeptGroup,
    KeptPrint,
    KeptRig,
    KeptSession,
    Notebook,
    kept_as,
)
from tapewright.words.numbers import counted
from tapewright.words.units import Units, amount

PURPOSES = {"sighting": "sighting in", "proving": "proving the tape"}
THINGS = {
    "tape": "sight tape",
    "gauge": "gauge strip",
    "target": "sighting target",
    "card": "range card",
    "pocket": "pocket card",
}


@dataclass(frozen=True, slots=True)
class Happening:
    """One thing that happened to a rig."""

    entry: Entry  # as it is kept, in that version
    words: str  # what happened

    @property
    def is_gone(self) -> bool:
        """Whether it counts no more; a sheet's versions all stay."""
        return self.entry.is_withdrawn and self.entry.kind != "rig"


def history_of(notebook: Notebook, rig_id: str, units: Units) -> tuple[Happening, ...]:
    """Everything that happened to a rig, newest first; NotKept if there is no such rig."""
    sheets, now = notebook.history(rig_id), notebook.entry(rig_id)
    groups = _both(notebook, "group", rig_id)
    shot = _shot(groups)

    def told(kind: Any, tell: Any) -> list[Happening]:  # noqa: ANN401 — a Kind, a function
        return [Happening(entry, tell(entry)) for entry in _both(notebook, kind, rig_id)]

    happenings = (
        *(Happening(sheet, _sheet(sheet)) for sheet in sheets),
        *told("session", lambda entry: _session(entry, shot.get(entry.id, (0, 0)))),
        *told("calibration", lambda entry: _calibration(entry, now, units)),
        *told("change", _change),
        *told("print", _print),
        *(Happening(group, _group(group, units)) for group in groups if group.is_withdrawn),
    )
    return tuple(sorted(happenings, key=_when, reverse=True))


def _when(happening: Happening) -> tuple[str, bool]:
    return happening.entry.saved_at, happening.entry.kind != "rig"


def _both(notebook: Notebook, kind: Any, rig_id: str) -> list[Entry]:  # noqa: ANN401 — a Kind
    """Entries of a kind, those that were withdrawn behind the others."""
    return [
        entry
        for withdrawn in (False, True)
        for entry in notebook.entries(kind, rig_id, withdrawn=withdrawn)
    ]


def _shot(groups: list[Entry]) -> dict[str, tuple[int, int]]:
    """How many groups and arrows of each session count."""
    shot: dict[str, tuple[int, int]] = {}
    for group in groups:
        if not group.is_withdrawn:
            body = kept_as(group, KeptGroup)
            count, arrows = shot.get(body.session_id, (0, 0))
            shot[body.session_id] = (count + 1, arrows + body.observation.group.arrows)
    return shot


def _sheet(sheet: Entry) -> str:
    kept_as(sheet, KeptRig)
    return "Rig described" if sheet.number == 1 else f"Rig sheet saved, version {sheet.number}"


def _how_many(groups: int, arrows: int) -> str:
    return f"{counted(groups, 'group')}, {counted(arrows, 'arrow')}"


def _session(entry: Entry, shot: tuple[int, int]) -> str:
    body = kept_as(entry, KeptSession)
    note = f": {body.note}" if body.note else ""
    return f"Shot {body.shot_on}, {PURPOSES[body.purpose]}, {_how_many(*shot)}{note}"


def _group(entry: Entry, units: Units) -> str:
    shot = kept_as(entry, KeptGroup).observation
    where, arrows = amount(shot.distance_m, units.distance), counted(shot.group.arrows, "arrow")
    return f"Group {shot.group.name} at {where}, {arrows}"


def _calibration(entry: Entry, rig: Entry, units: Units) -> str:
    body = kept_as(entry, KeptCalibration)
    reached = [amount(end_m, units.distance) for end_m in kept_trust(entry, rig) if end_m > 0.0]
    trust = "not trusted: the set-up must not be shot" if kept_stops(rig) else "not trusted yet"
    if reached:
        trust = f"trusted to {', '.join(reached)}"
    made = f"Calibration {body.fingerprint}, by Tapewright {body.program}"
    return f"{made}: {trust}, from {_how_many(body.groups, body.arrows)}"


def _change(entry: Entry) -> str:
    body = kept_as(entry, KeptChange)
    string = "; new string or cables" if body.new_string else ""
    versions = f"sheet version {body.from_rig} became {body.to_rig}"
    return f"Something changed: {body.words or 'not said what'} ({versions}{string})"


def _print(entry: Entry) -> str:
    body = kept_as(entry, KeptPrint)
    made = f", calibration {body.fingerprint}" if body.fingerprint else ""
    return f"Printed {body.printed_on}: {THINGS[body.what]}{made}"

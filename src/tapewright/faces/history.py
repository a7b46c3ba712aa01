"""History: everything that happened to a rig, as one list.

Holds:  the Happening record; sheets, sessions, groups, calibrations, prints and changes by time.
Never:  going back to an older sheet (web/pages), computations.
"""

from dataclasses import dataclass
from typing import Any

from tapewright.faces.kept import kept_trust
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
    """Everything that happened to a rig, newest first.

    NotKept if there is no such rig.
    """
    sheets = notebook.history(rig_id)
    groups = _both(notebook, "group", rig_id)
    arrows = _arrows(groups)
    found = [Happening(one, _sheet(one)) for one in sheets]
    sessions, calibrations = (_both(notebook, kind, rig_id) for kind in ("session", "calibration"))
    found += [Happening(one, _session(one, arrows.get(one.id, (0, 0)))) for one in sessions]
    now = notebook.entry(rig_id)
    found += [Happening(one, _calibration(one, now, units)) for one in calibrations]
    found += [Happening(one, _change(one)) for one in _both(notebook, "change", rig_id)]
    found += [Happening(one, _print(one)) for one in _both(notebook, "print", rig_id)]
    found += [Happening(one, _group(one, units)) for one in groups if one.is_withdrawn]
    return tuple(sorted(found, key=_when, reverse=True))


def _when(one: Happening) -> tuple[str, bool]:
    return one.entry.saved_at, one.entry.kind != "rig"


def _both(notebook: Notebook, kind: Any, rig_id: str) -> list[Entry]:  # noqa: ANN401 — a Kind
    """Entries of a kind, those that were withdrawn behind the others."""
    return [
        one
        for withdrawn in (False, True)
        for one in notebook.entries(kind, rig_id, withdrawn=withdrawn)
    ]


def _arrows(groups: list[Entry]) -> dict[str, tuple[int, int]]:
    """Groups and arrows of each session that count."""
    found: dict[str, tuple[int, int]] = {}
    for one in groups:
        if not one.is_withdrawn:
            body = kept_as(one, KeptGroup)
            count, arrows = found.get(body.session_id, (0, 0))
            found[body.session_id] = (count + 1, arrows + body.observation.group.arrows)
    return found


def _sheet(one: Entry) -> str:
    kept_as(one, KeptRig)
    return "Rig described" if one.number == 1 else f"Rig sheet saved, version {one.number}"


def _plural(count: int, word: str) -> str:
    return f"{count} {word}{'' if count == 1 else 's'}"


def _session(one: Entry, shot: tuple[int, int]) -> str:
    body = kept_as(one, KeptSession)
    said = f": {body.note}" if body.note else ""
    much = f"{_plural(shot[0], 'group')}, {_plural(shot[1], 'arrow')}"
    return f"Shot {body.shot_on}, {PURPOSES[body.purpose]}, {much}{said}"


def _group(one: Entry, units: Units) -> str:
    shot = kept_as(one, KeptGroup).observation
    where = amount(shot.distance_m, units.distance)
    return f"Group {shot.group.name} at {where}, {_plural(shot.group.arrows, 'arrow')}"


def _calibration(one: Entry, rig: Entry, units: Units) -> str:
    body = kept_as(one, KeptCalibration)
    shot = f"{_plural(body.groups, 'group')}, {_plural(body.arrows, 'arrow')}"
    trusted = [distance for distance in kept_trust(one, rig) if distance > 0.0]
    trust = "not trusted: the set-up must not be shot" if kept_stops(rig) else "not trusted yet"
    if trusted:
        trust = "trusted to " + ", ".join(amount(one_m, units.distance) for one_m in trusted)
    made = f"Calibration {body.fingerprint}, by Tapewright {body.program}"
    return f"{made}: {trust}, from {shot}"


def _change(one: Entry) -> str:
    body = kept_as(one, KeptChange)
    string = "; new string or cables" if body.new_string else ""
    versions = f"sheet version {body.from_rig} became {body.to_rig}"
    return f"Something changed: {body.words or 'not said what'} ({versions}{string})"


def _print(one: Entry) -> str:
    body = kept_as(one, KeptPrint)
    made = f", calibration {body.fingerprint}" if body.fingerprint else ""
    return f"Printed {body.printed_on}: {THINGS[body.what]}{made}"

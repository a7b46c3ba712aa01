"""History: everything that happened to a rig, as one list.

Holds:  the Happening record; sheets, sessions, groups, calibrations, prints and changes by time.
Never:  going back to an older sheet (web/pages), computations.
"""

from collections import defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from tapewright.faces.kept_rigs import kept_trust
from tapewright.faces.kept_stops import kept_stops
from tapewright.services import keep
from tapewright.services.keep import Entry, Notebook, kept_as
from tapewright.storage.records import Kind
from tapewright.words.number_format import counted
from tapewright.words.sight_moves import arrows_words
from tapewright.words.unit_system import Units, amount

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
    rig, arrows = notebook.entry(rig_id), defaultdict[str, list[int]](list)
    groups = [(one, kept_as(one, keep.KeptGroup)) for one in _both(notebook, "group", rig_id)]
    for group, body in groups:
        if not group.is_withdrawn:
            arrows[body.session_id].append(body.observation.group.arrows)
    tellers: dict[Kind, Callable[[Entry], str]] = {
        "session": lambda one: _session(one, arrows[one.id]),
        "calibration": lambda one: _calibration(one, rig, units),
        "change": _change,
        "print": _print,
        "tape": _tape,
    }
    happenings = [
        *(Happening(one, _sheet(one)) for one in notebook.history(rig_id)),
        *(
            Happening(one, tell(one))
            for kind, tell in tellers.items()
            for one in _both(notebook, kind, rig_id)
        ),
        *(Happening(one, _group(body, units)) for one, body in groups if one.is_withdrawn),
    ]
    happenings.sort(key=lambda one: (one.entry.saved_at, one.entry.kind != "rig"), reverse=True)
    return tuple(happenings)


def _both(notebook: Notebook, kind: Kind, rig_id: str) -> tuple[Entry, ...]:
    """Entries of a kind, those that were withdrawn behind the others."""
    gone = notebook.entries(kind, rig_id, withdrawn=True)
    return (*notebook.entries(kind, rig_id), *gone)


def _sheet(sheet: Entry) -> str:
    kept_as(sheet, keep.KeptRig)
    return "Rig described" if sheet.number == 1 else f"Rig sheet saved, version {sheet.number}"


def _how_many(groups: int, arrows: int) -> str:
    return f"{counted(groups, 'group')}, {counted(arrows, 'arrow')}"


def _session(entry: Entry, arrows: Sequence[int]) -> str:
    body, shot = kept_as(entry, keep.KeptSession), _how_many(len(arrows), sum(arrows))
    note = f": {body.note}" if body.note else ""
    taken = ", taken in from a proof" * body.proved
    return f"Shot {body.shot_on}, {PURPOSES[body.purpose]}{taken}, {shot}{note}"


def _group(body: keep.KeptGroup, units: Units) -> str:
    shot = body.observation
    where, arrows = amount(shot.distance_m, units.distance), arrows_words(shot.group)
    return f"Group {shot.group.name} at {where}, {arrows}"


def _calibration(entry: Entry, rig: Entry, units: Units) -> str:
    body = kept_as(entry, keep.KeptCalibration)
    reached = [amount(end_m, units.distance) for end_m in kept_trust(entry, rig) if end_m > 0.0]
    trust = "not trusted: the set-up must not be shot" if kept_stops(rig) else "not trusted yet"
    if reached:
        trust = f"trusted to {', '.join(reached)}"
    made = f"Calibration {body.fingerprint}, by Tapewright {body.program}"
    return f"{made}: {trust}, from {_how_many(body.groups, body.arrows)}"


def _change(entry: Entry) -> str:
    body = kept_as(entry, keep.KeptChange)
    string = "; new string or cables" if body.new_string else ""
    went = "" if body.back_to is None else "; back to an earlier set-up"
    versions = f"sheet version {body.from_rig} became {body.to_rig}"
    return f"Something changed: {body.words or 'not said what'} ({versions}{string}{went})"


def _print(entry: Entry) -> str:
    body = kept_as(entry, keep.KeptPrint)
    made = f", calibration {body.fingerprint}" if body.fingerprint else ""
    return f"Printed {body.printed_on}: {THINGS[body.what]}{made}"


def _tape(entry: Entry) -> str:
    body = kept_as(entry, keep.KeptTape)
    off = f", taken off {body.taken_off}" if body.taken_off else ""
    return f"Tape stuck on {body.stuck_on}{off}"

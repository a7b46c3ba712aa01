"""Rigs kept: a notebook with a bit of everything, for whoever looks at its pages.

Holds:  a rig with sessions, groups, a change, a proof, a printer, a print; many rigs to list.
Never:  tests, numbers used as evidence.
"""

from datetime import UTC, datetime
from itertools import count

from tapewright.services.keep import (
    KeptCalibration,
    KeptChange,
    KeptGroup,
    KeptPrint,
    KeptPrinter,
    KeptRig,
    KeptSession,
    KeptSetup,
    Write,
)
from tapewright.services.record_groups import Impact, observe_group

NOW = datetime(2026, 11, 25, 9, 30, tzinfo=UTC)
SHEET = """schema = 1
name = {name}
[arrow]
mass = "{mass} gr ± 2"
shaft_diameter = "6.0 mm"
length = "28.5 in"
[bow]
draw_weight = "60 lbf"
draw_length = "29 in"
rest = "shelf"
launch_speed = "278 ft/s ± 3"
[sight]
peep_height = "4.6 in ± 0.15"
sight_radius = "33 in ± 0.5"
reading_per_travel = "1.60 ± 0.05"
"""
SHOT = ((18.288, 0.0275), (36.576, 0.0407), (54.864, 0.0574))  # 20, 40, 60 yd
NUMBERS = count(1)


SET_UP = """schema = 1
measured_on = "2026-11-20"
note = {note}
[limbs]
brace_height = "178 mm ± 1"
[string]
peep_height = "140 mm"
"""


def some_id():
    return f"{next(NUMBERS):020x}"


def quoted(words):
    return '"' + words.replace("\\", "\\\\").replace('"', '\\"') + '"'


def sheet(name, mass=420):
    return SHEET.format(name=quoted(name), mass=mass)


def groups(rig_id, session_id, words="", off_m=0.01):
    """Three groups that hit the aim."""
    for distance_m, reading_m in SHOT:
        impacts = [Impact(off_m, off_m), Impact(-off_m, -off_m), Impact(off_m, -off_m)]
        name = f"g{next(NUMBERS)}{words}"
        one = observe_group(name, impacts, distance_m=distance_m, reading_m=reading_m)
        yield Write(some_id(), KeptGroup(session_id, one, words), rig_id=rig_id)


def keep_rig(notebook, words=""):
    """A rig with a bit of everything, somebody's words in every text; ids of all of it."""
    rig, old, new, proof, change, aside, printer, printed, other = (some_id() for _ in range(9))
    name, record = f"Heron{words}", SET_UP.format(note=quoted(f"Cams{words}"))
    (one, *_), shot, proving = (
        list(groups(rig, to, words, off_m))
        for to, off_m in ((old, 0.01), (new, 0.012), (proof, 0.014))
    )
    notebook.save_all([Write(rig, KeptRig(sheet(name), name))], now=NOW)
    writes = [
        Write(rig, KeptRig(sheet(name, 424), name), seen=1),
        Write(change, KeptChange(1, 1, 2, new_string=False, words=f"Points{words}"), rig_id=rig),
        Write(old, KeptSession("2026-11-23", "sighting", f"Rain{words}", 0), rig_id=rig),
        Write(new, KeptSession("2026-11-24", "sighting", f"Sun{words}", 1), rig_id=rig),
        Write(proof, KeptSession("2026-11-25", "proving", f"Wind{words}", 1), rig_id=rig),
        Write(aside, KeptRig(sheet(f"Aside{words}"), f"Aside{words}")),
        Write(other, KeptRig(sheet(f"Ibis{words}"), f"Ibis{words}")),
        Write(printer, KeptPrinter(f"Den{words}", 99.6, 99.8)),
        Write(some_id(), KeptSetup(record, "2026-11-20"), rig_id=rig),
        Write(some_id(), KeptSetup("", "2026-11-20", picture="/9j/4A=="), rig_id=rig),
        Write(printed, KeptPrint("tape", "", printer, {"far_end": "up"}, "2026-11-25"), rig_id=rig),
    ]
    notebook.save_all([*writes, one, *shot, *proving], now=NOW)
    notebook.withdraw(shot[2].entry_id, seen=1, now=NOW)
    notebook.withdraw(aside, seen=1, now=NOW)
    return {"rig_id": rig, "group_id": shot[0].entry_id, "session_id": new, "number": "1",
            "printer_id": printer, "change_id": change, "aside": shot[2].entry_id,
            "proof": proof, "other": other,
            "group_name": shot[0].body.observation.group.name}  # fmt: skip


def keep_many(notebook, rigs):
    """So many more rigs, calibrated and shot, for the list alone."""
    for number in range(rigs):
        name, rig, session = f"Bow {number:02} of somebody with a long name", some_id(), some_id()
        found = KeptCalibration("3f2a", "0", 1, 0.9, (55.0,), 9, 3, (), "60 yd: dial 41 mm", ())
        notebook.save_all(
            [
                Write(rig, KeptRig(sheet(name), name)),
                Write(session, KeptSession("2026-11-20", "sighting", "", 0), rig_id=rig),
                Write(some_id(), found, rig_id=rig),
            ],
            now=NOW,
        )

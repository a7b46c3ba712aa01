"""Notebook check: what a walk through the notebook found, in words and for other programs.

Holds:  the walk of a notebook that may be damaged; its JSON; its lines; what people call the kinds.
Never:  how rows are checked (storage).
"""

from collections.abc import Mapping
from contextlib import closing
from dataclasses import replace
from typing import Any

from tapewright.ground.errors import NotebookDamaged, NotebookUnusable
from tapewright.services.keep import open_notebook
from tapewright.services.move_notebook import (
    Archive,
    Checked,
    Fault,
    check_notebook,
    open_damaged_copy,
    sound_archive,
)
from tapewright.words.number_format import counted

NAMES = {"parked": "parked group", "setup": "set-up record", "handover": "hand-over page",
         "large": "large list", "house": "house values sheet", "erased": "erased row"}  # fmt: skip
SOUND = "All of it is as it was written."
MEND = (
    "Leave the file as it is. Restore a backup into a new notebook, or save what is sound: "
    "tapewright check --save SOUND.json, then restore that."
)
SCHEMA = "tapewright.check/1"


def checked_at(url: str) -> tuple[Checked, Archive | None]:
    """Walk the notebook at an address, or a copy of one too damaged to be opened.

    Also all that is sound of it; None if nothing can be read.
    """
    damage: NotebookDamaged | None = None
    try:
        notebook = open_notebook(url)
    except NotebookDamaged as found:
        damage = found
        try:
            notebook = open_damaged_copy(url)
        except NotebookUnusable:
            fault = Fault("the whole of it", found.wrong)
            return Checked(found.place, {}, 0, (fault,)), None
    with closing(notebook):
        checked = check_notebook(notebook)
        if damage is not None:
            faults = (Fault("the file", damage.wrong), *checked.faults)
            checked = replace(checked, place=damage.place, faults=faults)
        return checked, sound_archive(notebook)


def checked_json(checked: Checked) -> dict[str, Any]:
    """What was found, ready for JSON."""
    return {
        "schema": SCHEMA,
        "notebook": checked.place,
        "is_sound": checked.is_sound,
        "entries": dict(sorted(checked.entries.items())),
        "versions": checked.versions,
        "faults": [{"where": one.where, "wrong": one.wrong} for one in checked.faults],
        "more_faults": checked.more,
    }


def kinds_told(entries: Mapping[str, int]) -> str:
    """How many there are of each kind, as people say it."""
    return ", ".join(
        counted(count, NAMES.get(kind, kind)) for kind, count in sorted(entries.items())
    )


def checked_lines(checked: Checked) -> tuple[str, ...]:
    """What was found, a line each."""
    kinds = kinds_told(checked.entries) or "nothing is kept yet"
    sound = f"Sound: {kinds}; {counted(checked.versions, 'version')}."
    if checked.is_sound:
        return (sound, SOUND)
    return (
        sound,
        f"Not sound: {len(checked.faults) + checked.more}.",
        *(f"- {one.where}: {one.wrong}" for one in checked.faults),
        *((f"- and {checked.more} more",) if checked.more else ()),
        MEND,
    )

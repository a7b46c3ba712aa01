"""Erased rigs: what a phone hands over of a rig that was erased is parked, without its names.

Such a phone must be able to let go of what it kept, and nothing of it may count or bring the
person back. It is parked with no rig; its figures can be read and written down elsewhere, or it is
erased in its turn.

Holds:  whether a rig was erased; parking; what waits.
Never:  other groups (take_in.py), pages.
"""

from collections.abc import Iterable
from contextlib import suppress
from datetime import datetime

from tapewright.faces.web.phone_sync.message_format import HandedGroup
from tapewright.ground.errors import EditedMeanwhile, NotKept
from tapewright.services.keep import Entry, KeptParked, Notebook

WHY = "Its rig was erased here. It counts nowhere; names and notes of it were not kept."
NAMES = ("name", "note")  # fields in which a person may be named


def was_erased(notebook: Notebook, rig_id: str) -> bool:
    """Whether this was erased."""
    with suppress(NotKept):
        return notebook.entry(rig_id).kind == "erased"
    return False


def park_for_erased(
    notebook: Notebook, groups: Iterable[HandedGroup], now: datetime
) -> dict[str, bool]:
    """Park groups of an erased rig, each once; by its id, whether it is there only now."""
    is_new: dict[str, bool] = {}
    for one in groups:
        figures = {name: text for name, text in one.fields.items() if name not in NAMES}
        bare = one.model_copy(update={"rig_name": "", "tape": "", "fields": figures})
        body = KeptParked(bare.id, bare.text, WHY)
        is_new[one.id] = False
        with suppress(EditedMeanwhile, NotKept):  # it came before, and was perhaps erased since
            notebook.add(body, entry_id=bare.parked_id, now=now)
            is_new[one.id] = True
    return is_new


def parked_for_erased(notebook: Notebook) -> tuple[Entry, ...]:
    """What waits that was handed over to erased rigs."""
    return tuple(one for one in notebook.entries("parked") if one.rig_id is None)


def refuse_not_parked(entry: Entry) -> None:
    """Refuse what was not handed over to an erased rig. NotKept if so."""
    if entry.kind != "parked" or entry.rig_id is not None:
        raise NotKept(entry.id)

"""Rig erasure: a person's rigs erased, with what a program cannot reach told beside.

Holds:  what would go and which copies were made of it; erasing with its sweep; both as JSON and as
        lines.
Never:  how rows are emptied (storage), asking whether it is meant (the command, the page).
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from tapewright.faces.notebook_check import NAMES, kinds_told
from tapewright.faces.rig_list import ID_SHOWN
from tapewright.ground.errors import BadInput
from tapewright.services import keep
from tapewright.services.keep import Entry, Notebook, kept_as
from tapewright.services.move_notebook import erase, sweep, where_named

SCHEMA = "tapewright.erased/1"
MOST_TOLD = 12
OUT_OF_REACH = (
    "Backups and archives made before today, a server's nightly ones too: delete them.",
    (
        "What a shop's PostgreSQL keeps besides its tables: its log, its write-ahead log and what "
        "was archived of it, replicas and dumps. Whoever runs it deletes them or lets them run out."
    ),
    (
        "Phones that carry the rig: take it off them, or clear the site's data in their browsers. "
        "What such a phone hands over later is parked without its names and counts nowhere."
    ),
    "Pocket cards, tapes, hand-over pages and files that were printed, saved or sent.",
    "Snapshots of the disk, and a disk's own spare cells: only an encrypted disk keeps them shut.",
)
KEPT_ALL_THE_SAME = (
    "An empty row stays for each thing, with its number, its dates and a sum that tells nobody "
    "what it was: so the check of the notebook still notices a lost or changed row."
)


@dataclass(frozen=True, slots=True)
class Going:
    """What would be erased."""

    rigs: tuple[Entry, ...]
    names: tuple[str, ...]  # every name that any version of them had
    counts: Counter[str]  # of what belongs to them, by kind
    copies: tuple[str, ...]  # what was printed or carried away, a line each

    @property
    def lines(self) -> tuple[str, ...]:
        """What would go, a line each."""
        told = kinds_told(self.counts)
        ids = ", ".join(one.id[:ID_SHOWN] for one in self.rigs)
        return (f"{', '.join(self.names)} (id {ids}): {told}, with every version.", *self.copies)


@dataclass(frozen=True, slots=True)
class Gone:
    """What was erased, and what is left."""

    going: Going
    entries: int  # emptied; 0: only swept
    left: str  # why old bytes may still lie about; empty: none do
    named: tuple[str, ...]  # where a name still stands in what is kept, a line each

    @property
    def lines(self) -> tuple[str, ...]:
        """The same, a line each."""
        again = f"Not swept yet: {self.left}. Sweep again: tapewright erase --sweep."
        erased = (f"Erased: {self.entries} entries.",) if self.going.rigs else ()
        return (
            *erased,
            again if self.left else "No byte of them is left where the notebook keeps its rows.",
            *self.named,
            *self.going.copies,
        )


def going(notebook: Notebook, rigs: Sequence[Entry]) -> Going:
    """What erasing these rigs would take."""
    counts, copies, names = Counter({"rig": len(rigs)}), list[str](), list[str]()
    kinds: tuple[Any, ...] = (
        "session", "group", "calibration", "change", "print", "tape", "parked", "setup"
    )  # fmt: skip
    for rig in rigs:
        names += [kept_as(one, keep.KeptRig).name for one in notebook.history(rig.id)]
        for kind in kinds:
            for is_gone in (False, True):
                found = notebook.entries(kind, rig.id, withdrawn=is_gone)
                counts[kind] += len(found)
                copies += [_copy(one) for one in found if isinstance(one.body, keep.KeptPrint)]
    told = tuple(dict.fromkeys(copies))
    if len(told) > MOST_TOLD:
        told = (*told[:MOST_TOLD], f"And {len(told) - MOST_TOLD} more that were printed.")
    return Going(tuple(rigs), tuple(dict.fromkeys(names)), +counts, told)


def _copy(printed: Entry) -> str:
    body = kept_as(printed, keep.KeptPrint)
    sheet = NAMES.get(body.what, body.what)
    what = "A pocket card was made" if body.what == "pocket" else f"A {sheet} was printed"
    return f"{what} on {body.printed_on}: it is wherever it was taken."


def erase_rigs(
    notebook: Notebook, rigs: Sequence[Entry], now: datetime, names: Sequence[str] = ()
) -> Gone:
    """Erase rigs, sweep, and look where their names, and these, still stand."""
    gone = going(notebook, rigs)
    entries = erase(notebook, rigs, now)
    left = sweep(notebook)
    named = dict[str, None]()
    for name in dict.fromkeys((*gone.names, *names)):
        named |= dict.fromkeys(_still(name, one) for one in where_named(notebook, name))
    return Gone(gone, entries, left, tuple(named))


def refuse_other_name(rig: Entry, typed: str) -> None:
    """Refuse a name that is not the rig's: it is asked so that nobody erases by a slip."""
    name = kept_as(rig, keep.KeptRig).name
    if typed.strip() != name.strip():
        wrong = "this is not the rig's name"
        raise BadInput("name", wrong, f"To erase it, type {name} as it stands")


def _still(name: str, one: Entry) -> str:
    rig = f" of rig {one.rig_id[:ID_SHOWN]}" if one.rig_id else ""
    return f"{name!r} still stands in {one.kind} {one.id[:ID_SHOWN]}{rig}: look whether it must go."


def erased_json(gone: Gone) -> dict[str, Any]:
    """What was erased, ready for JSON."""
    return {
        "schema": SCHEMA,
        "erased_entries": gone.entries,
        "is_swept": not gone.left,
        "not_swept": gone.left,
        "still_named": list(gone.named),
        "copies": list(gone.going.copies),
        "out_of_reach": list(OUT_OF_REACH),
    }

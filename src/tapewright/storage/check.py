"""Check: the whole notebook is walked, and every row that is not as it was written is named.

Holds:  the walk; the faults found; what is sound, as an archive.
Never:  mending: what is damaged stays as it is.
"""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, select, text
from sqlalchemy.exc import DBAPIError

from tapewright import __version__
from tapewright.ground.errors import BadArchive
from tapewright.storage.archive import STAYS_HERE, Archive, histories_of
from tapewright.storage.entries import History
from tapewright.storage.names import kept_name
from tapewright.storage.notebook import Notebook
from tapewright.storage.queries import OTHER_NAME, all_versions, batched
from tapewright.storage.records import pointed_to
from tapewright.storage.sums import Damaged
from tapewright.storage.tables import entry, made_from, version
from tapewright.storage.tallies import Counted, differences
from tapewright.storage.verdicts import OTHER_VERDICT, verdict_fits

MOST_FAULTS = 100  # told; more are counted
UNREADABLE = "the file is damaged there, and the database cannot read it"


@dataclass(frozen=True, slots=True)
class Fault:
    """Something that is not as it was written.

    Parameters
    ----------
    where : str
        What of the notebook, in words.
    wrong : str
        What is wrong with it.
    """

    where: str
    wrong: str


@dataclass(frozen=True, slots=True)
class Checked:
    """What a walk through a notebook found.

    Parameters
    ----------
    place : str
        Where the notebook is.
    entries : mapping of str to int
        Sound entries of each kind. [-]
    versions : int
        Versions of these. [-]
    faults : tuple of Fault
        What is not sound, at most so many.
    more : int
        Faults beyond those. [-]
    """

    place: str
    entries: Mapping[str, int]
    versions: int
    faults: tuple[Fault, ...]
    more: int = 0

    @property
    def is_sound(self) -> bool:
        """Whether everything is as it was written."""
        return not self.faults


class _Walk:
    """What a walk has found so far."""

    def __init__(self) -> None:
        self.entries: Counter[str] = Counter()
        self.versions = self.more = 0
        self.faults: list[Fault] = []

    def add(self, where: str, wrong: str) -> None:
        """Note a fault."""
        if len(self.faults) < MOST_FAULTS:
            self.faults.append(Fault(where, wrong))
        else:
            self.more += 1


def check_notebook(notebook: Notebook) -> Checked:
    """Walk a whole notebook.

    NotebookUnusable if it cannot be read at all.
    """
    checked = _Walk()
    seen: list[Counted] = []
    names: dict[str, str | None] = {}
    with notebook.snapshot() as connection:
        for one in _sound(connection, checked):
            checked.entries[one.kind] += 1
            checked.versions += len(one.versions)
            seen.append(Counted.of(one))
            names[one.id] = kept_name(one.versions[-1].body)
        if not checked.faults:  # else what is missing from the count is told already
            _noted(checked, lambda: list(_count(connection, seen, checked)))
        _noted(checked, lambda: _look_for_names(connection, names, checked))
        _noted(checked, lambda: _look_for_verdicts(connection, names, checked))
        _noted(checked, lambda: _ask_engine(connection, checked))
        _noted(checked, lambda: _look_for_strays(connection, checked))
    faults = tuple(checked.faults)
    return Checked(notebook.place, checked.entries, checked.versions, faults, checked.more)


def sound_archive(notebook: Notebook) -> Archive:
    """All that is sound and leads to nothing that is not, but jobs and what was erased."""
    with notebook.snapshot() as connection:
        found = {one.id: one for one in _sound(connection, _Walk()) if one.kind not in STAYS_HERE}
    loose = {name for name, one in found.items() if not _stands(one, found)}
    while loose:
        found = {name: one for name, one in found.items() if name not in loose}
        loose = {name for name, one in found.items() if not _stands(one, found)}
    return Archive(__version__, tuple(found[name] for name in sorted(found)))


def _stands(one: History, found: dict[str, History]) -> bool:
    """Whether everything that an entry leads to is there."""
    for each in one.versions:
        for name, kind in pointed_to(each.body, one.rig_id):
            if name not in found or found[name].kind != kind:
                return False
        for source in each.sources:
            there = found.get(source.entry_id)
            if there is None or source.number > len(there.versions):
                return False
    return True


def _sound(connection: Connection, checked: _Walk) -> Iterator[History]:
    """Entries that are as they were written, some at a time; faults of the others are noted."""
    for some in batched(_ids(connection, checked)):
        try:
            yield from _histories(connection, some)
        except (Damaged, DBAPIError, BadArchive):
            for one in some:
                try:
                    yield from _histories(connection, (one,))
                except Damaged as fault:
                    checked.add(fault.where, fault.wrong)
                except DBAPIError:
                    checked.add(f"entry {one}", UNREADABLE)
                except BadArchive as unreadable:
                    checked.add(unreadable.place, unreadable.wrong)


def _histories(connection: Connection, ids: Sequence[str]) -> tuple[History, ...]:
    rows = connection.execute(all_versions().where(entry.c.id.in_(ids))).all()
    found = histories_of(rows)
    if len(found) != len(ids):
        raise Damaged(f"entry {ids[0]}", "it is in one list and not in another")
    return found


def _ids(connection: Connection, checked: _Walk) -> list[str]:
    """Ids of all entries, by the table and by its index: one of the two may be damaged."""
    found: set[str] = set()
    for asked in (select(entry.c.id, entry.c.kind, entry.c.latest), select(entry.c.id)):
        try:
            for row in connection.execute(asked.execution_options(stream_results=True)):
                if isinstance(row.id, str):
                    found.add(row.id)
                else:
                    checked.add("an entry", "its id is not what was written")
        except DBAPIError:
            checked.add("the list of all entries", UNREADABLE)
    return sorted(found)


def _noted(checked: _Walk, walk: Any) -> None:  # noqa: ANN401 — a function without arguments
    """Do a part of the walk; note if it cannot be done."""
    try:
        walk()
    except Damaged as fault:
        checked.add(fault.where, fault.wrong)
    except DBAPIError:
        checked.add("a part of it", UNREADABLE)


def _count(connection: Connection, seen: list[Counted], checked: _Walk) -> Iterator[None]:
    for fault in differences(connection, seen):
        checked.add(fault.where, fault.wrong)
        yield


def _look_for_names(
    connection: Connection, names: Mapping[str, str | None], checked: _Walk
) -> None:
    """Names by which lists look for rigs; those of what is not sound are told already."""
    asked = select(entry.c.id, entry.c.kind, entry.c.folded_name)
    for row in connection.execute(asked):
        if row.id in names and row.folded_name != names[row.id]:
            checked.add(f"{row.kind} {row.id}", OTHER_NAME)


def _look_for_verdicts(
    connection: Connection, names: Mapping[str, str | None], checked: _Walk
) -> None:
    """Verdicts that lists tell of rigs; those of what is not sound are told already."""
    head = (version.c.entry_id == entry.c.id) & (version.c.number == entry.c.latest)
    cells = (entry.c.id, entry.c.kind, entry.c.verdict, entry.c.verdict_sum)
    asked = select(*cells, version.c.sum.label("head_sum")).join(version, head)
    some = entry.c.verdict.is_not(None) | entry.c.verdict_sum.is_not(None)
    for row in connection.execute(asked.where(some)):
        if row.id in names and not verdict_fits(row):
            checked.add(f"{row.kind} {row.id}", OTHER_VERDICT)


def _ask_engine(connection: Connection, checked: _Walk) -> None:
    """What the database itself finds wrong with its file."""
    if connection.dialect.name != "sqlite":
        return
    for line in connection.scalars(text("PRAGMA integrity_check(20)")):
        if line != "ok":
            checked.add("the file", str(line).strip().splitlines()[-1])
    for row in connection.execute(text("PRAGMA foreign_key_check")):
        checked.add(f"table {row[0]}", f"a row leads to a {row[2]} that is not there")


def _look_for_strays(connection: Connection, checked: _Walk) -> None:
    """Versions without an entry, and sources of no version."""
    for column, words in (
        (version.c.entry_id, "versions of it are there, the entry is missing"),
        (made_from.c.entry_id, "its sources are there, the entry is missing"),
    ):
        asked = select(column).distinct().where(column.not_in(select(entry.c.id))).limit(20)
        for stray in connection.scalars(asked):
            checked.add(f"entry {stray}", words)

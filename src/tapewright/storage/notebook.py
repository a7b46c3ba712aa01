"""Notebook: everything that is kept, with all its versions.

Nothing is overwritten: saving makes a new version, withdrawing is a mark that can be taken off.
Whoever saves says which version they saw; if it is not the latest any more, they are told.

Holds:  opening a notebook; adding, saving, withdrawing, restoring, reading; jobs.
Never:  SQL (queries.py, writing.py), archives, physics.
"""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from contextlib import ExitStack, contextmanager, nullcontext
from datetime import datetime
from pathlib import Path
from tempfile import TemporaryDirectory
from threading import Lock

from sqlalchemy import Connection, Engine
from sqlalchemy.exc import IntegrityError

from tapewright.ground.errors import NotebookUnusable, NotKept
from tapewright.storage.engine import (
    SQLITE,
    file_path,
    is_file,
    notebook_engine,
    notebook_place,
    reading_engine,
    reads_of,
    snapshots_of,
    writes_of,
)
from tapewright.storage.entries import Entry, Source, Write
from tapewright.storage.file_log import refuse_damaged_log
from tapewright.storage.files import copy_files, let_go, look_at, new_file
from tapewright.storage.jobs import finish, ripe_jobs, take_one
from tapewright.storage.queries import (
    batched,
    entry_from_row,
    latest_of,
    latest_versions,
    newest_row,
    one_version,
    places,
    refuse_changed_entry,
    refuse_gap,
    refuse_traces,
    versions_of,
)
from tapewright.storage.records import Body, Kind
from tapewright.storage.schema import bring_up_to_date, found_schema
from tapewright.storage.sums import Damaged
from tapewright.storage.tables import SCHEMA
from tapewright.storage.tallies import ROOTS, expected, refuse_lost, tallies
from tapewright.storage.trouble import READ_ONLY, contradicts, usable
from tapewright.storage.writing import mark_withdrawn, write_all


def open_notebook(url: str) -> "Notebook":
    """The notebook at an address, made if it is not there, brought up to date if it is old.

    Parameters
    ----------
    url : str
        ``sqlite:///PATH`` or ``postgresql://USER@HOST/NAME``.

    Raises
    ------
    NotebookUnusable
        If it cannot be opened, is no notebook, or was made by a newer program.
    MissingExtra
        If it is on PostgreSQL and the library for it is not installed.
    """
    place = notebook_place(url)
    with usable(place):
        return _open_file(file_path(url)) if is_file(url) else _open(notebook_engine(url), place)


def _open(engine: Engine, place: str) -> "Notebook":
    try:
        bring_up_to_date(engine, place)
    except BaseException:
        engine.dispose()
        raise
    return Notebook(engine, place)


def _open_file(path: Path) -> "Notebook":
    found = look_at(path)
    leaving = ExitStack()
    leaving.callback(let_go, path)
    try:
        if found.is_read_only:
            opened = _open_for_reading(path, leaving, has_log=found.has_log)
        else:
            if not found.is_there:
                with new_file(path) as draft:
                    _open(notebook_engine(f"{SQLITE}{draft}"), str(path)).close()
            opened = _open(notebook_engine(f"{SQLITE}{path}"), str(path))
    except BaseException:
        leaving.close()
        raise
    opened.leaving = leaving
    return opened


def open_damaged_copy(url: str) -> "Notebook":
    """A copy of a damaged notebook, as far as it can be read, to look at what is sound.

    NotebookUnusable if nothing can be read, or it is on a server.
    """
    place = notebook_place(url)
    if not is_file(url):
        raise contradicts(place)
    leaving = ExitStack()
    try:
        with usable(place):
            opened = _open_copy(file_path(url), leaving)
    except BaseException:
        leaving.close()
        raise
    opened.leaving = leaving
    return opened


def _open_copy(path: Path, leaving: ExitStack, *, is_sound: bool = False) -> "Notebook":
    """A copy of a file, brought up to date; nothing can be kept in it."""
    copy = Path(leaving.enter_context(TemporaryDirectory())) / "notebook.db"
    copy_files(path, copy)
    if is_sound:
        refuse_damaged_log(copy)
    engine = notebook_engine(f"{SQLITE}{copy}")
    leaving.callback(engine.dispose)
    bring_up_to_date(engine, str(path))
    return Notebook(engine, str(path), is_read_only=True)


def _open_for_reading(path: Path, leaving: ExitStack, *, has_log: bool) -> "Notebook":
    """A notebook where nobody may write; if it is older or in use, a copy brought up to date."""
    if not has_log:
        engine = reading_engine(path)
        leaving.callback(engine.dispose)
        with engine.connect() as connection:
            is_of_today = found_schema(connection, str(path)) == SCHEMA
        if is_of_today:
            return Notebook(engine, str(path), is_read_only=True)
    return _open_copy(path, leaving, is_sound=True)


class Notebook:
    """What is kept at one place. Threads may share it.

    Parameters
    ----------
    engine : Engine
        Where it is kept.
    place : str
        The same in words, fit to be shown.
    is_read_only : bool, default False
        Whether nothing can be kept there.
    """

    def __init__(self, engine: Engine, place: str, *, is_read_only: bool = False) -> None:
        self.place = place
        self.is_read_only = is_read_only
        self.leaving = ExitStack()  # what is to be done when it is closed
        self._engine = engine
        self._reads, self._writes = reads_of(engine), writes_of(engine)
        self._snapshots = snapshots_of(engine)
        # SQLite takes one writer at a time and lets others poll; a lock lets them queue instead.
        self._turn = Lock() if self.is_file else nullcontext()

    @property
    def is_file(self) -> bool:
        """Whether it is a file here, not a server somewhere."""
        return self._engine.dialect.name == "sqlite"

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """A connection for single statements that read."""
        with usable(self.place), self._reads.connect() as connection:
            yield connection

    @contextmanager
    def snapshot(self) -> Iterator[Connection]:
        """A connection whose statements all read what stood at one moment."""
        with usable(self.place), self._snapshots.connect() as connection:
            yield connection

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """A connection whose writes are kept together when it ends well, and else not at all."""
        if self.is_read_only:
            raise NotebookUnusable(self.place, *READ_ONLY)
        with self._turn, usable(self.place), self._writes.begin() as connection:
            yield connection

    def add(
        self,
        body: Body,
        *,
        entry_id: str,
        now: datetime,
        rig_id: str | None = None,
        sources: Sequence[Source] = (),
    ) -> Entry:
        """Keep something new. EditedMeanwhile if the id is taken: a form that was sent twice."""
        write = Write(entry_id, body, rig_id=rig_id, sources=tuple(sources))
        return self.save_all((write,), now)[0]

    def save(
        self,
        entry_id: str,
        body: Body,
        *,
        seen: int,
        now: datetime,
        sources: Sequence[Source] = (),
    ) -> Entry:
        """Keep a new version. EditedMeanwhile if ``seen`` is not the latest, or it is withdrawn."""
        return self.save_all((Write(entry_id, body, seen, sources=tuple(sources)),), now)[0]

    def save_all(self, writes: Sequence[Write], now: datetime) -> tuple[Entry, ...]:
        """Several adds and saves, of different entries, all or nothing."""
        try:
            with self.writing() as connection:
                return write_all(connection, writes, now)
        except IntegrityError:
            # Somebody added the same id in the same moment; now it is there to be seen.
            try:
                with self.writing() as connection:
                    return write_all(connection, writes, now)
            except IntegrityError as crossed:
                raise contradicts(self.place) from crossed

    def withdraw(self, entry_id: str, *, seen: int, now: datetime) -> None:
        """Mark as withdrawn: out of the lists, kept all the same."""
        with self.writing() as connection:
            mark_withdrawn(connection, entry_id, seen, now)

    def restore(self, entry_id: str, *, seen: int, now: datetime) -> None:  # noqa: ARG002
        """Take the mark of withdrawal off."""
        with self.writing() as connection:
            mark_withdrawn(connection, entry_id, seen, None)

    def entry(self, entry_id: str, number: int | None = None) -> Entry:
        """One version; the latest if none is named. NotKept if there is none."""
        with self.reading() as connection:
            row = connection.execute(one_version(entry_id, number)).one_or_none()
            if row is not None:
                return entry_from_row(row)
        self._refuse_lost(entry_id, number)
        raise NotKept(entry_id, number)

    def history(self, entry_id: str) -> tuple[Entry, ...]:
        """All versions, newest first. NotKept if there is none."""
        with self.reading() as connection:
            rows = connection.execute(versions_of(entry_id)).all()
            if rows:
                refuse_gap(rows)
                return tuple(map(entry_from_row, rows))
        self._refuse_lost(entry_id, None)
        raise NotKept(entry_id)

    def _refuse_lost(self, entry_id: str, number: int | None) -> None:
        """Refuse to say "not kept" of what was lost."""
        with self.snapshot() as connection:
            newest = connection.execute(one_version(entry_id, None)).one_or_none()
            if newest is None:
                refuse_traces(connection, entry_id)
                return
            refuse_changed_entry(newest)
            if number is None or 1 <= number <= newest.latest:
                raise Damaged(f"{newest.kind} {entry_id}", "a version of it is missing")

    def entries(
        self, kind: Kind, rig_id: str | None = None, *, withdrawn: bool = False
    ) -> tuple[Entry, ...]:
        """Latest versions of a kind, the entry that was added first first."""
        with self.snapshot() as connection:
            rows = connection.execute(latest_versions(kind, rig_id, withdrawn=withdrawn)).all()
            found = tuple(map(entry_from_row, rows))
            places = sorted({(row.added_at, row.id) for row in rows})
            if [(row.added_at, row.id) for row in rows] != places:
                raise Damaged(f"the list of kind {kind}", "its order is not that of its entries")
            wanted = expected(connection, kind, rig_id, withdrawn=withdrawn)
            if wanted is None and rig_id is not None:
                refuse_traces(connection, rig_id)
            refuse_lost(len(found), wanted, kind, rig_id)
        return found

    def newest(self, kind: Kind, rig_id: str) -> Entry | None:
        """The entry of a kind that was added last to a rig and is not withdrawn; None if none."""
        with self.snapshot() as connection:
            there = places(connection, kind, rig_id)
            refuse_lost(
                len(there), expected(connection, kind, rig_id, withdrawn=False), kind, rig_id
            )
            if not there:
                return None
            return entry_from_row(newest_row(connection, there[-1].id))

    def latest(self, kind: Kind) -> Mapping[str, Entry]:
        """For each rig the entry of a kind that was added last and is not withdrawn."""
        with self.snapshot() as connection:
            there = places(connection, kind)
            of_rig = Counter(one.rig_id for one in there)
            for scope, one in tallies(connection).items():
                if scope not in ROOTS:
                    refuse_lost(of_rig[scope], one.standing(kind, withdrawn=False), kind, scope)
            newest = {one.rig_id: one.id for one in there}  # the last wins
            rows = [
                row
                for some in batched(sorted(newest.values()))
                for row in connection.execute(latest_of(some))
            ]
            found = {row.rig_id: entry_from_row(row) for row in rows}
            refuse_lost(len(found), len(newest), kind, None)
        return dict(sorted(found.items()))

    def take_job(self, worker: str, now: datetime, for_s: float) -> Entry | None:
        """A job that waits or whose worker fell silent, now this worker's alone; None if none."""
        with self.reading() as connection:
            ripe = ripe_jobs(connection, now)
        if not ripe:
            return None
        with self.writing() as connection:
            return take_one(connection, ripe, worker, now, for_s)

    def finish_job(self, job: Entry, told: str, now: datetime, *, failed: bool = False) -> Entry:
        """End a job that was taken. EditedMeanwhile if somebody else has taken it over."""
        with self.writing() as connection:
            return finish(connection, job, told, now, failed=failed)

    def close(self) -> None:
        """Let go of every connection."""
        self._engine.dispose()
        self.leaving.close()

"""Notebook: everything that is kept, with all its versions.

Nothing is overwritten: saving makes a new version, withdrawing is a mark that can be taken off.
Whoever saves says which version they saw; if it is not the latest any more, they are told.

Holds:  opening a notebook; adding, saving, withdrawing, restoring, reading; jobs.
Never:  SQL (queries.py, writing.py), archives, physics.
"""

from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager, nullcontext
from dataclasses import replace
from datetime import datetime
from threading import Lock

from sqlalchemy import Connection, Engine
from sqlalchemy.exc import IntegrityError

from tapewright.ground.errors import NotKept
from tapewright.storage.engine import (
    notebook_engine,
    notebook_place,
    reads_of,
    snapshots_of,
    writes_of,
)
from tapewright.storage.entries import Entry, RigPage, RigsAsked, Source, Write
from tapewright.storage.jobs import finish, ripe_jobs, take_one
from tapewright.storage.lists import rig_page
from tapewright.storage.queries import (
    AT_ONCE,
    batched,
    entry_from_row,
    failed_lately,
    latest_versions,
    newest_of,
    newest_of_these_rigs,
    number_of,
    one_version,
    some_of,
    versions_of,
)
from tapewright.storage.records import Body, Kind
from tapewright.storage.schema import bring_up_to_date
from tapewright.storage.tables import entry
from tapewright.storage.trouble import usable
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
    engine = notebook_engine(url)
    try:
        with usable(place):
            bring_up_to_date(engine, place)
    except BaseException:
        engine.dispose()
        raise
    return Notebook(engine, place)


class Notebook:
    """What is kept at one place. Threads may share it.

    Parameters
    ----------
    engine : Engine
        Where it is kept.
    place : str
        The same in words, fit to be shown.
    """

    def __init__(self, engine: Engine, place: str) -> None:
        self.place = place
        self._engine = engine
        self._reads, self._writes = reads_of(engine), writes_of(engine)
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
        """A connection that sees everything as it stood in one moment, long answers in parts."""
        with usable(self.place), snapshots_of(self._engine).connect() as connection:
            yield connection.execution_options(yield_per=AT_ONCE)

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """A connection whose writes are kept together when it ends well, and else not at all."""
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
            with self.writing() as connection:
                return write_all(connection, writes, now)

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
        if row is None:
            raise NotKept(entry_id, number)
        return entry_from_row(row)

    def history(self, entry_id: str) -> tuple[Entry, ...]:
        """All versions, newest first. NotKept if there is none."""
        with self.reading() as connection:
            rows = connection.execute(versions_of(entry_id)).all()
        if not rows:
            raise NotKept(entry_id)
        return tuple(map(entry_from_row, rows))

    def entries(
        self, kind: Kind, rig_id: str | None = None, *, withdrawn: bool = False
    ) -> tuple[Entry, ...]:
        """Latest versions of a kind, the entry that was added first first."""
        with self.reading() as connection:
            rows = connection.execute(latest_versions(kind, rig_id, withdrawn=withdrawn)).all()
        return tuple(map(entry_from_row, rows))

    def each(self, kind: Kind, *, withdrawn: bool = False) -> Iterator[Entry]:
        """The same of every rig, some read at a time: there may be more than memory holds."""
        after = ("", "")
        while True:
            some = some_of(kind, after, AT_ONCE, withdrawn=withdrawn)
            with self.reading() as connection:
                rows = connection.execute(some.add_columns(entry.c.added_at)).all()
            yield from map(entry_from_row, rows)
            if len(rows) < AT_ONCE:
                return
            after = rows[-1].added_at, rows[-1].id

    def number_of(self, kind: Kind) -> int:
        """How many entries of a kind there are that are not withdrawn. [-]"""
        with self.reading() as connection:
            return connection.scalar(number_of(kind)) or 0

    def rigs(self, asked: RigsAsked) -> RigPage:
        """A page of rigs by name. NotKept if it is to follow or precede no rig."""
        with self.reading() as connection:
            return rig_page(connection, asked)

    def each_rig(self, search: str = "") -> Iterator[Entry]:
        """Every rig by name, some read at a time."""
        asked = RigsAsked(search, limit=AT_ONCE)
        while True:
            with self.reading() as connection:
                page = rig_page(connection, asked, counted=False)
            yield from page.rigs
            if page.after is None:
                return
            asked = replace(asked, after=page.after)

    def newest(self, kind: Kind, rig_id: str | None = None) -> Entry | None:
        """The entry of a kind that was added last, to a rig or to any, and is not withdrawn."""
        with self.reading() as connection:
            row = connection.execute(newest_of(kind, rig_id)).one_or_none()
        return None if row is None else entry_from_row(row)

    def latest(self, kind: Kind, rig_ids: Sequence[str]) -> Mapping[str, Entry]:
        """For each of these rigs the entry of a kind that was added last and is not withdrawn."""
        found: dict[str, Entry] = {}
        with self.reading() as connection:
            for some in batched(rig_ids):
                rows = connection.execute(newest_of_these_rigs(kind), {"rigs": some}).all()
                found.update((row.rig_id, entry_from_row(row)) for row in rows)
        return found

    def failed_jobs(self, most: int) -> tuple[Entry, ...]:
        """Jobs that failed, and no later job of the same rig did better."""
        with self.reading() as connection:
            rows = connection.execute(failed_lately(most)).all()
        return tuple(map(entry_from_row, rows))

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

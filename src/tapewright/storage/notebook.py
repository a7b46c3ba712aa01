"""Notebook: everything that is kept, with all its versions.

Nothing is overwritten: saving makes a new version, withdrawing is a mark that can be taken off.
Whoever saves says which version they saw; if it is not the latest any more, they are told.

Holds:  opening a notebook; adding, saving, withdrawing, restoring, reading; jobs.
Never:  SQL (queries.py, writing.py), archives, physics.
"""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from contextlib import ExitStack, contextmanager, nullcontext
from dataclasses import replace
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
from tapewright.storage.entries import Entry, RigPage, RigsAsked, Source, Write
from tapewright.storage.file_log import refuse_damaged_log
from tapewright.storage.files import copy_files, let_go, look_at, new_file
from tapewright.storage.jobs import finish, ripe_jobs, take_one
from tapewright.storage.lists import rig_page
from tapewright.storage.queries import (
    AT_ONCE,
    Place,
    batched,
    entry_from_row,
    failed_lately,
    latest_of,
    latest_versions,
    newest_of,
    number_of,
    one_version,
    places,
    refuse_changed_entry,
    refuse_gap,
    refuse_other_order,
    refuse_traces,
    refuse_traces_of_rig,
    some_of,
    versions_of,
)
from tapewright.storage.records import Body, Kind
from tapewright.storage.schema import bring_up_to_date, found_schema
from tapewright.storage.sums import Damaged
from tapewright.storage.tables import SCHEMA
from tapewright.storage.tallies import ALONE, expected, refuse_lost, tallies
from tapewright.storage.trouble import READ_ONLY, contradicts, usable
from tapewright.storage.verdicts import Judge
from tapewright.storage.writing import mark_withdrawn, write_all, write_verdicts


def open_notebook(url: str, judge: Judge | None = None) -> "Notebook":
    """The notebook at an address, made if it is not there, brought up to date if it is old.

    Parameters
    ----------
    url : str
        ``sqlite:///PATH`` or ``postgresql://USER@HOST/NAME``.
    judge : Judge or None, default None
        What is to be kept of every rig sheet beside its name; None: nothing.

    Raises
    ------
    NotebookUnusable
        If it cannot be opened, is no notebook, or was made by a newer program.
    MissingExtra
        If it is on PostgreSQL and the library for it is not installed.
    """
    place = notebook_place(url)
    with usable(place):
        opened = _open_file(file_path(url)) if is_file(url) else _open(notebook_engine(url), place)
    opened.judge = judge
    return opened


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
        self.judge: Judge | None = None
        self._engine = engine
        self._reads, self._writes = reads_of(engine), writes_of(engine)
        self._snapshots = snapshots_of(engine)
        # SQLite takes one writer at a time and lets others poll; a lock lets them queue instead.
        self._turn = Lock()

    @property
    def is_file(self) -> bool:
        """Whether it is a file here, not a server somewhere."""
        return self._engine.dialect.name == "sqlite"

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """A connection for single statements that read."""
        with usable(self.place), self._reads.connect() as connection:
            yield connection

    def knock(self) -> None:
        """Nothing, where the notebook can be read; NotebookUnusable where it cannot."""
        with self.reading() as connection:
            connection.exec_driver_sql("SELECT version_num FROM alembic_version").one()

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
        turn = self._turn if self.is_file else nullcontext()
        with turn, usable(self.place), self._writes.begin() as connection:
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

    def save_all(
        self, writes: Sequence[Write], now: datetime, *, aside: Sequence[Entry] = ()
    ) -> tuple[Entry, ...]:
        """Several adds, saves and withdrawals, of different entries, all or nothing."""
        try:
            return self._save_all(writes, now, aside)
        except IntegrityError:
            # Somebody added the same id in the same moment; now it is there to be seen.
            try:
                return self._save_all(writes, now, aside)
            except IntegrityError as crossed:
                raise contradicts(self.place) from crossed

    def _save_all(
        self, writes: Sequence[Write], now: datetime, aside: Sequence[Entry]
    ) -> tuple[Entry, ...]:
        with self.writing() as connection:
            written = write_all(connection, writes, now, self.judge)
            for one in aside:
                mark_withdrawn(connection, one.id, one.number, now)
            return written

    def keep_verdicts(self, rigs: Sequence[Entry]) -> None:
        """Keep the verdicts of rigs that were read, unless somebody is writing: they can wait."""
        if not self._turn.locked():
            with self.writing() as connection:
                write_verdicts(connection, rigs)

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
            refuse_other_order(kind, [(row.added_at, row.id) for row in rows])
            wanted = expected(connection, kind, rig_id, withdrawn=withdrawn)
            if wanted is None and rig_id is not None:
                refuse_traces_of_rig(connection, rig_id)
            refuse_lost(len(found), wanted, kind, rig_id)
        return found

    def each(self, kind: Kind, *, withdrawn: bool = False) -> Iterator[Entry]:
        """The same of every rig, some read at a time: there may be more than memory holds."""
        self.number_of(kind, withdrawn=withdrawn)  # told before the first, if one is lost
        after = ("", "")
        while True:
            some = some_of(kind, after, AT_ONCE, withdrawn=withdrawn)
            with self.reading() as connection:
                rows = connection.execute(some).all()
                found = tuple(map(entry_from_row, rows))
                refuse_other_order(kind, [after, *((row.added_at, row.id) for row in rows)])
            yield from found
            if len(rows) < AT_ONCE:
                return
            after = rows[-1].added_at, rows[-1].id

    def number_of(self, kind: Kind, *, withdrawn: bool = False) -> int:
        """How many entries of a kind there are. [-]"""
        with self.snapshot() as connection:
            there = connection.scalar(number_of(kind, withdrawn=withdrawn)) or 0
            refuse_lost(there, expected(connection, kind, None, withdrawn=withdrawn), kind, None)
        return there

    def rigs(self, asked: RigsAsked) -> RigPage:
        """A page of rigs by name. NotKept if it is to follow or precede no rig."""
        with self.snapshot() as connection:
            return rig_page(connection, asked)

    def each_rig(self, search: str = "") -> Iterator[Entry]:
        """Every rig by name, some read at a time."""
        asked = RigsAsked(search, limit=AT_ONCE)
        while True:
            with self.snapshot() as connection:
                page = rig_page(connection, asked, counted=not asked.after)
            yield from page.rigs
            if page.after is None:
                return
            asked = replace(asked, after=page.after)

    def newest(self, kind: Kind, rig_id: str | None = None) -> Entry | None:
        """The entry of a kind that was added last, to a rig or to any, and is not withdrawn."""
        if rig_id is not None:
            return self.latest(kind, (rig_id,)).get(rig_id)
        with self.reading() as connection:
            row = connection.execute(newest_of(kind)).one_or_none()
            return None if row is None else entry_from_row(row)

    def latest(self, kind: Kind, rig_ids: Sequence[str]) -> Mapping[str, Entry]:
        """For each of these rigs the entry of a kind that was added last and is not withdrawn."""
        return self.latest_of_each((kind,), rig_ids)[kind]

    def latest_of_each(
        self, kinds: Sequence[Kind], rig_ids: Sequence[str], *, briefly: bool = False
    ) -> Mapping[Kind, Mapping[str, Entry]]:
        """The same of several kinds at once; briefly, calibrations without their marks."""
        newest: dict[tuple[Kind, str], str] = {}
        with self.snapshot() as connection:
            for some in batched(rig_ids):
                there = places(connection, kinds, some)
                _refuse_lost_of_each(connection, kinds, some, there)
                newest |= {(one.kind, one.rig_id): one.id for one in there}  # the last wins
            rows = latest_of(connection, tuple(newest.values()))
            found = {(row.kind, row.rig_id): entry_from_row(row, briefly=briefly) for row in rows}
            for kind in kinds:
                are, must = (sum(one == kind for one, _ in keys) for keys in (found, newest))
                refuse_lost(are, must, kind, None)
        return {
            kind: {one: found[kind, one] for one in rig_ids if (kind, one) in found}
            for kind in kinds
        }

    def failed_jobs(self, most: int) -> tuple[Entry, ...]:
        """Jobs that failed, and no later job of the same rig did better."""
        self.number_of("job", withdrawn=True)
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
        self.leaving.close()


def _refuse_lost_of_each(
    connection: Connection, kinds: Sequence[Kind], rig_ids: Sequence[str], there: Sequence[Place]
) -> None:
    """Refuse what is there of these rigs if it is not as much as each must have."""
    counted = [kind for kind in kinds if kind not in ALONE]
    if not counted:
        return
    of_rig = Counter((one.kind, one.rig_id) for one in there)
    wanted = tallies(connection, rig_ids)
    for rig_id in rig_ids:
        if rig_id not in wanted:
            refuse_traces_of_rig(connection, rig_id)
            continue
        for kind in counted:
            must = wanted[rig_id].standing(kind, withdrawn=False)
            refuse_lost(of_rig[kind, rig_id], must, kind, rig_id)

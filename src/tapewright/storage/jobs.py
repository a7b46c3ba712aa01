"""Jobs: work in the background, each taken by one worker at a time.

An open job is one that is not withdrawn; a finished one is withdrawn with its last version, so that
looking for work never reads old work.

Holds:  taking a job that waits or whose worker fell silent; finishing one.
Never:  what a job does, threads, transactions.
"""

from dataclasses import replace
from datetime import datetime, timedelta

from sqlalchemy import Connection, select

from tapewright.storage.entries import Entry, Write
from tapewright.storage.queries import entry_from_row, some_of
from tapewright.storage.records import KeptJob
from tapewright.storage.tables import entry
from tapewright.storage.writing import mark_withdrawn, utc_text, write_all

LOOKED_AT = 64  # jobs at a time: more than workers that may each hold one


def ripe_jobs(connection: Connection, now: datetime) -> tuple[Entry, ...]:
    """Some jobs that anybody may take now, the one that waits longest first."""
    after, now_text = ("", ""), utc_text(now)
    while True:
        some = some_of("job", after, LOOKED_AT, withdrawn=False)
        rows = connection.execute(some.add_columns(entry.c.added_at)).all()
        jobs = map(entry_from_row, rows)
        ripe = tuple(job for job in jobs if _body(job).taken_until < now_text)
        if ripe or len(rows) < LOOKED_AT:
            return ripe
        after = rows[-1].added_at, rows[-1].id


def take_one(
    connection: Connection, jobs: tuple[Entry, ...], worker: str, now: datetime, for_s: float
) -> Entry | None:
    """The first of these jobs that nobody else has taken or is taking, as taken; else None."""
    for job in jobs:
        same = select(entry.c.id).where(entry.c.id == job.id, entry.c.latest == job.number)
        open_still = same.where(entry.c.withdrawn_at.is_(None))
        if connection.execute(open_still.with_for_update(skip_locked=True)).one_or_none():
            until = utc_text(now + timedelta(seconds=for_s))
            body = replace(_body(job), state="taken", taken_until=until, worker=worker)
            (taken,) = write_all(connection, (Write(job.id, body, job.number),), now)
            return taken
    return None


def finish(connection: Connection, job: Entry, told: str, now: datetime, *, failed: bool) -> Entry:
    """Finish a job that was taken.

    Raises
    ------
    EditedMeanwhile
        If it took too long and somebody else has taken it over.
    """
    body = replace(_body(job), state="failed" if failed else "done", taken_until="", told=told)
    write = Write(job.id, body, job.number, sources=job.sources)
    (done,) = write_all(connection, (write,), now)
    mark_withdrawn(connection, job.id, done.number, now)
    return replace(done, is_withdrawn=True)


def _body(job: Entry) -> KeptJob:
    assert isinstance(job.body, KeptJob)
    return job.body

"""Taking in: an archive goes into a notebook, all or nothing.

An entry that is there already is kept as it is if the archive knows no more of it; if the archive
knows later versions, they are added, with its mark of withdrawal; if the two went different ways,
nothing at all is taken in. What was erased here, and what belongs to it, stays out.

House values are one for all rigs of a notebook, so what comes in never begins to count by itself:
where rigs are already, house values from elsewhere lie put aside until somebody takes them up.

Holds:  the comparison of histories; the one transaction.
Never:  reading archives (archive.py), choosing between two histories.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any, NamedTuple

from sqlalchemy import Connection, update
from sqlalchemy.exc import IntegrityError

from tapewright.ground.errors import BadArchive, BadInput, NotebookUnusable
from tapewright.storage.archive import Archive, histories_of
from tapewright.storage.entries import History
from tapewright.storage.names import kept_name
from tapewright.storage.notebook import Notebook
from tapewright.storage.plain import body_text
from tapewright.storage.queries import Standing, all_versions, batched, standing
from tapewright.storage.records import KeptRig, Kind
from tapewright.storage.sums import entry_sum, new_salt, salted_sum, version_sum
from tapewright.storage.tables import entry
from tapewright.storage.tallies import Changes, expected
from tapewright.storage.verdicts import Judge, verdict_cells
from tapewright.storage.writing import insert_rows


@dataclass(frozen=True, slots=True)
class Counts:
    """What taking in an archive did.

    Parameters
    ----------
    new : int
        Entries that were not there. [-]
    longer : int
        Entries that got later versions. [-]
    same : int
        Entries of which the archive knew nothing new. [-]
    houses_aside : int, default 0
        House values among the new that were put aside. [-]
    erased : int, default 0
        Entries that belong to what was erased here, and stay out. [-]
    """

    new: int
    longer: int
    same: int
    houses_aside: int = 0
    erased: int = 0


def take_in(notebook: Notebook, archive: Archive, *, only_if_empty: bool = False) -> Counts:
    """Take in an archive. A second time it changes nothing.

    Raises
    ------
    BadArchive
        If an entry went different ways here and in the archive.
    BadInput
        If the notebook was to be empty and is not.
    NotebookUnusable
        If it cannot be written, or somebody wrote to it in the same moment.
    """
    try:
        with notebook.writing() as connection:
            if only_if_empty:
                _refuse_full(connection, notebook.place)
            return _take(connection, archive, notebook.place, notebook.judge)
    except IntegrityError as crossed:
        raise _crossed(notebook.place) from crossed


def _crossed(place: str) -> NotebookUnusable:
    return NotebookUnusable(
        place, "somebody saved in the same moment, so nothing was taken in", "Import again"
    )


def _refuse_full(connection: Connection, place: str) -> None:
    if connection.execute(all_versions().limit(1)).first() is not None:
        raise BadInput(
            place, "it is not empty", "Restore into a new notebook, or import the archive instead"
        )


def _ours(connection: Connection, archive: Archive) -> Mapping[str, History]:
    ids = [one.id for one in archive.histories]
    ours: dict[str, History] = {}
    for some_ids in batched(ids):
        some = all_versions().where(entry.c.id.in_(some_ids))
        ours.update((one.id, one) for one in histories_of(connection.execute(some).all()))
    return ours


def _take(connection: Connection, archive: Archive, place: str, judge: Judge | None) -> Counts:
    ours = _ours(connection, archive)
    known = standing(connection, set(ours))
    erased = {one.id for one in ours.values() if one.kind == "erased"}
    coming = (one for one in archive.histories if not {one.id, one.rig_id} & erased)
    archive, sent = replace(archive, histories=tuple(coming)), len(archive.histories)
    histories = tuple(_houses_held_back(connection, archive, known))
    new = [theirs for theirs in histories if theirs.id not in ours]
    longer = [one for one in histories if one.id in ours and _is_longer(one, ours, archive)]
    for one in longer:
        there = known.get(one.id)
        if there is None or there.latest != len(ours[one.id].versions):
            raise _crossed(place)
    rows = _rows(new, [(one, known[one.id]) for one in longer], judge)
    heads = {row["entry_id"]: row["sum"] for row in rows.versions}
    changes = Changes()
    for one in longer:
        verdict = verdict_cells(judge, one.id, one.versions[-1].body, heads[one.id])
        _step_up(connection, known[one.id], one, heads[one.id], verdict, place)
        gone = int(one.withdrawn_at is not None) - int(known[one.id].withdrawn_at is not None)
        changes.count(one.kind, one.rig_id, 0, gone)
    for one in new:
        changes.count(one.kind, one.rig_id, 1, int(one.withdrawn_at is not None))
        if one.kind == "rig":
            changes.open(one.id)
    insert_rows(connection, *rows)
    changes.write(connection)
    aside = sum(one.kind == "house" and one.withdrawn_at is not None for one in new)
    same = len(histories) - len(new) - len(longer)
    return Counts(len(new), len(longer), same, aside, sent - len(histories))


def _houses_held_back(
    connection: Connection, archive: Archive, known: Mapping[str, Standing]
) -> Iterator[History]:
    """What an archive holds; its house values put aside, if rigs here do without them until now."""
    kinds: tuple[Kind, ...] = ("rig", "house")
    standing_here = any(expected(connection, kind, None, withdrawn=False) for kind in kinds)
    for one in archive.histories:
        if one.kind != "house":
            yield one
        elif one.id in known:
            yield replace(one, withdrawn_at=known[one.id].withdrawn_at)
        elif standing_here and one.withdrawn_at is None:
            yield replace(one, withdrawn_at=one.versions[-1].saved_at)
        else:
            yield one


def _is_longer(theirs: History, ours: Mapping[str, History], archive: Archive) -> bool:
    _refuse_other_way(ours[theirs.id], theirs, archive)
    return len(theirs.versions) > len(ours[theirs.id].versions)


def _refuse_other_way(ours: History, theirs: History, archive: Archive) -> None:
    same = (ours.kind, ours.rig_id) == (theirs.kind, theirs.rig_id)
    both = list(zip(ours.versions, theirs.versions, strict=False))
    number = next((at for at, (one, other) in enumerate(both, start=1) if one != other), None)
    if same and number is None:
        return
    raise BadArchive(
        f"{theirs.kind} {theirs.id}{_of_rig(theirs, archive)}",
        f"from version {number or 1} on it is another one here than in the archive",
        "Nothing was taken in. Take the archive into a notebook of its own",
    )


def _of_rig(theirs: History, archive: Archive) -> str:
    rig_id = theirs.id if theirs.kind == "rig" else theirs.rig_id
    names = (
        one.versions[-1].body.name
        for one in archive.histories
        if one.id == rig_id and isinstance(one.versions[-1].body, KeptRig)
    )
    return "".join(f" of rig {name!r}" for name in names)


def _step_up(
    connection: Connection,
    ours: Standing,
    theirs: History,
    head: str,
    verdict: Mapping[str, str | None],
    place: str,
) -> None:
    latest, gone = len(theirs.versions), theirs.withdrawn_at
    cells = (theirs.id, ours.kind, ours.rig_id, ours.added_at, latest, gone)
    mark = entry.c.withdrawn_at
    stepped = connection.execute(
        update(entry)
        .where(entry.c.id == theirs.id, entry.c.latest == ours.latest)
        .where(mark.is_(None) if ours.withdrawn_at is None else mark == ours.withdrawn_at)
        .values(
            latest=latest,
            withdrawn_at=gone,
            sum=entry_sum(*cells, head),
            folded_name=kept_name(theirs.versions[-1].body),
            **verdict,
        )
    )
    if stepped.rowcount == 0:
        raise _crossed(place)


class _Rows(NamedTuple):
    """What is to be inserted."""

    added: list[dict[str, Any]]
    versions: list[dict[str, Any]]
    sources: list[dict[str, Any]]


def _rows(new: list[History], longer: list[tuple[History, Standing]], judge: Judge | None) -> _Rows:
    rows = _Rows([], [], [])
    for one in new:
        head = _add_versions(rows, one, 0, None)
        added_at, latest = one.versions[0].saved_at, len(one.versions)
        cells = (one.id, one.kind, one.rig_id, added_at, latest, one.withdrawn_at)
        names = ("id", "kind", "rig_id", "added_at", "latest", "withdrawn_at")
        named = dict(zip(names, cells, strict=True))
        body = one.versions[-1].body
        derived = {"sum": entry_sum(*cells, head), "folded_name": kept_name(body)}
        rows.added.append({**named, **derived, **verdict_cells(judge, one.id, body, head)})
    for one, ours in longer:
        _add_versions(rows, one, ours.latest, ours.head)
    return rows


def _add_versions(rows: _Rows, one: History, there: int, head: str | None) -> str | None:
    """Rows of the versions that are not there yet; the sum of the last."""
    for number, version in enumerate(one.versions[there:], start=there + 1):
        key = {"entry_id": one.id, "number": number}
        body, salt = body_text(version.body), new_salt()
        salted = salted_sum(salt, body)
        head = version_sum(one.id, number, version.saved_at, version.sources, head, salted)
        written = {"body": body, "saved_at": version.saved_at, "salt": salt, "sum": head}
        rows.versions.append({**key, **written})
        rows.sources.extend(
            {**key, "source_id": source.entry_id, "source_number": source.number}
            for source in version.sources
        )
    return head

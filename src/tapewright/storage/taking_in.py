"""Taking in: an archive goes into a notebook, all or nothing.

An entry that is there already is kept as it is if the archive knows no more of it; if the archive
knows later versions, they are added, with its mark of withdrawal; if the two went different ways,
nothing at all is taken in.

Holds:  the comparison of histories; the one transaction.
Never:  reading archives (archive.py), choosing between two histories.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, update
from sqlalchemy.exc import IntegrityError

from tapewright.ground.errors import BadArchive, BadInput, NotebookUnusable
from tapewright.storage.archive import Archive, histories_of
from tapewright.storage.entries import History
from tapewright.storage.notebook import Notebook
from tapewright.storage.plain import body_text
from tapewright.storage.queries import all_versions, batched
from tapewright.storage.records import KeptRig
from tapewright.storage.tables import entry
from tapewright.storage.writing import insert_rows, kept_name


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
    """

    new: int
    longer: int
    same: int


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
            ours = _ours(connection, archive)
            return _take(connection, ours, archive, notebook.place)
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


def _take(
    connection: Connection, ours: Mapping[str, History], archive: Archive, place: str
) -> Counts:
    new = [theirs for theirs in archive.histories if theirs.id not in ours]
    longer = []
    for theirs in archive.histories:
        here = ours.get(theirs.id)
        if here is not None:
            _refuse_other_way(here, theirs, archive)
            if len(theirs.versions) > len(here.versions):
                _step_up(connection, here, theirs, place)
                longer.append(theirs)
    _insert(connection, new, [(one, len(ours[one.id].versions)) for one in longer])
    return Counts(len(new), len(longer), len(archive.histories) - len(new) - len(longer))


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


def _step_up(connection: Connection, ours: History, theirs: History, place: str) -> None:
    stepped = connection.execute(
        update(entry)
        .where(entry.c.id == ours.id, entry.c.latest == len(ours.versions))
        .values(
            latest=len(theirs.versions),
            withdrawn_at=theirs.withdrawn_at,
            folded_name=kept_name(theirs.versions[-1].body),
        )
    )
    if stepped.rowcount == 0:
        raise _crossed(place)


def _insert(connection: Connection, new: list[History], longer: list[tuple[History, int]]) -> None:
    added = [
        {
            "id": one.id,
            "kind": one.kind,
            "rig_id": one.rig_id,
            "added_at": one.versions[0].saved_at,
            "latest": len(one.versions),
            "withdrawn_at": one.withdrawn_at,
            "folded_name": kept_name(one.versions[-1].body),
        }
        for one in new
    ]
    versions: list[dict[str, Any]] = []
    sources: list[dict[str, Any]] = []
    for one, there in [*((one, 0) for one in new), *longer]:
        for number, version in enumerate(one.versions[there:], start=there + 1):
            key = {"entry_id": one.id, "number": number}
            body = body_text(version.body)
            versions.append({**key, "body": body, "saved_at": version.saved_at})
            sources += [
                {**key, "source_id": source.entry_id, "source_number": source.number}
                for source in version.sources
            ]
    insert_rows(connection, added, versions, sources)

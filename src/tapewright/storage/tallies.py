"""Tallies: how many entries there are, so that a lost one is missed.

One row for every rig counts what belongs to it, one row for each other kind counts what belongs to
no rig. Whoever adds or withdraws changes one of these as the last step of a transaction, so people
who work on different rigs never wait for each other, and nobody waits crosswise.

Holds:  the Tally record; reading tallies, and changing them inside somebody else's transaction.
Never:  entries and versions (queries.py, writing.py), sums (sums.py).
"""

import json
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any, NamedTuple

from sqlalchemy import Connection, Row, bindparam, delete, insert, select, update

from tapewright.ground.errors import NotKept
from tapewright.storage.entries import History
from tapewright.storage.plain import canonical
from tapewright.storage.records import Kind
from tapewright.storage.sums import Damaged, tally_sum
from tapewright.storage.tables import entry, tally

ALONE = ("rig", "printer", "job", "house", "erased")  # kinds that are listed over all rigs
ROOTS = ("rig", "session", "group", "calibration", "print", "change", "printer", "job", "house",
         "tape", "parked", "erased", "setup")  # fmt: skip
_AT_ONCE = 500  # scopes in one question
_THESE = select(tally).where(tally.c.scope.in_(bindparam("scopes", expanding=True)))


@dataclass(frozen=True, slots=True)
class Tally:
    """How many entries a scope holds.

    Parameters
    ----------
    scope : str
        A rig's id, or a kind for what belongs to no rig.
    counts : mapping of str to (int, int)
        For each kind how many were ever added, and how many of these are withdrawn. [-]
    """

    scope: str
    counts: Mapping[str, tuple[int, int]]

    @property
    def entries(self) -> int:
        """All entries of the scope. [-]"""
        return sum(added for added, _ in self.counts.values())

    def standing(self, kind: Kind, *, withdrawn: bool) -> int:
        """Entries of a kind that stand, or that are withdrawn. [-]"""
        added, gone = self.counts.get(kind, (0, 0))
        return gone if withdrawn else added - gone

    def plus(self, kind: Kind, added: int, withdrawn: int) -> "Tally":
        """The tally after so many more."""
        before = self.counts.get(kind, (0, 0))
        after = (before[0] + added, before[1] + withdrawn)
        return replace(self, counts={**self.counts, kind: after})


class Counted(NamedTuple):
    """What a tally counts of an entry."""

    id: str
    kind: Kind
    rig_id: str | None
    withdrawn_at: str | None

    @classmethod
    def of(cls, one: History) -> "Counted":
        """The same of an entry with all its versions."""
        return cls(one.id, one.kind, one.rig_id, one.withdrawn_at)


class Changes:
    """What a transaction adds and withdraws, gathered until its end."""

    def __init__(self) -> None:
        self._tallies: dict[str, Tally] = {}
        self._new: set[str] = set()
        self._closed: set[str] = set()

    def count(self, kind: Kind, rig_id: str | None, added: int, withdrawn: int) -> None:
        """Note so many more of a kind."""
        scope = scope_of(kind, rig_id)
        before = self._tallies.get(scope, Tally(scope, {}))
        self._tallies[scope] = before.plus(kind, added, withdrawn)

    def open(self, rig_id: str) -> None:
        """Note a new rig, which has a tally of its own from now on."""
        self._new.add(rig_id)
        self._tallies.setdefault(rig_id, Tally(rig_id, {}))

    def close(self, rig_id: str) -> None:
        """Note a rig that has no tally any more: nothing belongs to it."""
        self._closed.add(rig_id)

    def write(self, connection: Connection) -> None:
        """Write all of it, the last step of a transaction.

        Raises
        ------
        Damaged
            If a tally that must be there is missing or is not what was written.
        NotKept
            If its rig was erased in the same moment.
        """
        rows = [tally_row(self._tallies[scope]) for scope in sorted(self._new)]
        if rows:
            connection.execute(insert(tally), rows)
        old = self._tallies.keys() - self._new
        if self._closed:
            _locked(connection, self._closed)
            connection.execute(delete(tally).where(tally.c.scope.in_(sorted(self._closed))))
        for scope, found in sorted(_locked(connection, old).items()):
            after = found
            for kind, (added, withdrawn) in self._tallies[scope].counts.items():
                after = after.plus(kind, added, withdrawn)  # type: ignore[arg-type]
            values = tally_row(after)
            del values["scope"]
            connection.execute(update(tally).where(tally.c.scope == scope).values(values))


def scope_of(kind: Kind, rig_id: str | None) -> str:
    """Where an entry is counted: with its rig, or with its own kind."""
    return kind if kind in ALONE or rig_id is None else rig_id


def tally_row(one: Tally) -> dict[str, Any]:
    """A tally as its row."""
    counts = canonical({kind: list(pair) for kind, pair in one.counts.items()})
    written = tally_sum(one.scope, one.entries, counts)
    return {"scope": one.scope, "entries": one.entries, "counts": counts, "sum": written}


def _locked(connection: Connection, scopes: Iterable[str]) -> dict[str, Tally]:
    """Tallies that nobody else changes until the transaction ends, taken in one order by all."""
    found: dict[str, Tally] = {}
    wanted = sorted(scopes)
    for start in range(0, len(wanted), _AT_ONCE):
        some = tally.c.scope.in_(wanted[start : start + _AT_ONCE])
        asked = select(tally).where(some).order_by(tally.c.scope).with_for_update()
        found |= {row.scope: tally_from_row(row) for row in connection.execute(asked)}
    for scope in wanted:
        if scope not in found:
            if connection.scalar(select(entry.c.kind).where(entry.c.id == scope)) == "erased":
                raise NotKept(scope)
            raise Damaged(_words(scope), "the count of what belongs to it is missing")
    return found


def tallies(connection: Connection, scopes: Iterable[str] | None = None) -> Mapping[str, Tally]:
    """Tallies of these scopes, or of all; those that are not there are left out.

    Raises
    ------
    Damaged
        If one is not what was written.
    """
    if scopes is None:
        return {row.scope: tally_from_row(row) for row in connection.execute(select(tally))}
    found: dict[str, Tally] = {}
    wanted = sorted(scopes)
    for start in range(0, len(wanted), _AT_ONCE):
        rows = connection.execute(_THESE, {"scopes": wanted[start : start + _AT_ONCE]}).all()
        found |= {row.scope: tally_from_row(row) for row in rows}
    return found


def tally_from_row(row: Row[Any]) -> Tally:
    """A row as a Tally; Damaged if it is not what was written."""
    if row.sum != tally_sum(row.scope, row.entries, row.counts):
        raise Damaged(_words(row.scope), "the count of what belongs to it was changed")
    return Tally(row.scope, _counts(row.counts))


@lru_cache(maxsize=1024)  # rigs of a list count alike
def _counts(text: str) -> Mapping[str, tuple[int, int]]:
    return {kind: (added, gone) for kind, (added, gone) in json.loads(text).items()}


def expected(
    connection: Connection, kind: Kind, rig_id: str | None, *, withdrawn: bool
) -> int | None:
    """How many entries a list must have; None: nothing is counted there.

    Raises
    ------
    Damaged
        If the tally is missing or is not what was written.
    """
    if kind in ALONE or rig_id is not None:
        scope = scope_of(kind, rig_id)
        if kind in ALONE and rig_id is not None:
            raise AssertionError("these are counted with those of all rigs")
        found = tallies(connection, (scope,))
        if scope in found:
            return found[scope].standing(kind, withdrawn=withdrawn)
        if scope == kind:
            raise Damaged(_words(scope), "the count of what belongs to it is missing")
        return None
    return sum(one.standing(kind, withdrawn=withdrawn) for one in tallies(connection).values())


def refuse_lost(found: int, wanted: int | None, kind: Kind, rig_id: str | None) -> None:
    """Refuse a list that is not as long as it must be.

    Raises
    ------
    Damaged
        If entries are missing or too many.
    """
    if wanted is None or found == wanted:
        return
    whose = "" if rig_id is None else f" of rig {rig_id}"
    raise Damaged(f"the list of kind {kind}{whose}", f"{found} are there, {wanted} were kept")


def refuse_lost_entries(connection: Connection, found: Iterable[Counted]) -> None:
    """Refuse a reading of everything that does not agree with every tally. Damaged if so."""
    for fault in differences(connection, found):
        raise fault


def refuse_lost_of_rigs(
    connection: Connection, rig_ids: Collection[str], found: Iterable[Counted]
) -> None:
    """Refuse a reading of all that belongs to some rigs that does not agree. Damaged if so."""
    theirs = (one for one in found if one.rig_id in rig_ids)
    counted = {rig_id: Tally(rig_id, {}) for rig_id in rig_ids}
    for fault in _compare(_count(theirs, counted), tallies(connection, rig_ids)):
        raise fault


def differences(connection: Connection, found: Iterable[Counted]) -> Iterator[Damaged]:
    """Where all the entries that were found disagree with the tallies."""
    counted = _count(found, {scope: Tally(scope, {}) for scope in ROOTS})
    yield from _compare(counted, tallies(connection))


def _count(found: Iterable[Counted], counted: dict[str, Tally]) -> dict[str, Tally]:
    for one in found:
        scope = scope_of(one.kind, one.rig_id)
        before = counted.get(scope, Tally(scope, {}))
        counted[scope] = before.plus(one.kind, 1, int(one.withdrawn_at is not None))
        if one.kind == "rig":
            counted.setdefault(one.id, Tally(one.id, {}))
    return counted


def _compare(counted: Mapping[str, Tally], wanted: Mapping[str, Tally]) -> Iterator[Damaged]:
    for scope in sorted(wanted.keys() | counted.keys()):
        if scope not in wanted:
            yield Damaged(_words(scope), "the count of what belongs to it is missing")
        elif scope not in counted:
            yield Damaged(_words(scope), "it is missing altogether")
        else:
            yield from _differ(counted[scope], wanted[scope])


def _differ(there: Tally, kept: Tally) -> Iterator[Damaged]:
    for kind in sorted(there.counts.keys() | kept.counts.keys()):
        none = (0, 0)
        if there.counts.get(kind, none) != kept.counts.get(kind, none):
            found, wanted = there.counts.get(kind, none), kept.counts.get(kind, none)
            told = f"{found[0]} were found, {found[1]} of them withdrawn; {wanted[0]} were kept, "
            where = f"the list of kind {kind}, {_words(kept.scope)}"
            yield Damaged(where, f"{told}{wanted[1]} of them withdrawn")


def _words(scope: object) -> str:
    return f"of no rig ({scope})" if scope in ROOTS else f"of rig {scope}"

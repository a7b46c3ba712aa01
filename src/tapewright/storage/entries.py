"""Entries: a kept thing, one of its versions, and a wish to write one.

Holds:  Source, Entry, History with its Versions, a page of rigs, and Write.
Never:  bodies (records.py), tables, SQL.
"""

from dataclasses import dataclass
from typing import ClassVar, NamedTuple

from tapewright.storage.records import Body, KeptRig, Kind, pointed_to


class Source(NamedTuple):
    """A version that another was made from.

    Parameters
    ----------
    entry_id : str
        The entry.
    number : int
        Its version, 1 the first. [-]
    """

    entry_id: str
    number: int


@dataclass(frozen=True, slots=True)
class Entry:
    """A kept thing in one of its versions.

    Parameters
    ----------
    id : str
        Twenty hexadecimal digits.
    kind : Kind
        What it is.
    rig_id : str or None
        The rig it belongs to; None for rigs, printers and what belongs to none.
    number : int
        This version, 1 the first. [-]
    body : Body
        What was kept.
    saved_at : str
        When this version was saved, as UTC ISO time.
    is_withdrawn : bool
        Whether the entry (not this version alone) is withdrawn.
    sources : tuple of Source, default empty
        What this version was made from, in order of ids.
    verdict : str, default empty
        Of a rig's latest version, what the notebook's judge said; empty if that is not kept.
    """

    id: str
    kind: Kind
    rig_id: str | None
    number: int
    body: Body
    saved_at: str
    is_withdrawn: bool
    sources: tuple[Source, ...] = ()
    verdict: str = ""


@dataclass(frozen=True, slots=True)
class Version:
    """One version, inside its history.

    Parameters
    ----------
    saved_at : str
        When it was saved, as UTC ISO time.
    body : Body
        What was kept.
    sources : tuple of Source
        What it was made from, in order of ids.
    """

    saved_at: str
    body: Body
    sources: tuple[Source, ...]


@dataclass(frozen=True, slots=True)
class History:
    """A kept thing with all its versions.

    Parameters
    ----------
    id, kind, rig_id
        As in Entry.
    withdrawn_at : str or None
        When it was withdrawn, as UTC ISO time; None: it is not.
    versions : tuple of Version
        Version 1 first; at least one.
    """

    id: str
    kind: Kind
    rig_id: str | None
    withdrawn_at: str | None
    versions: tuple[Version, ...]

    @property
    def named(self) -> set[str]:
        """Ids of everything that any version names or was made from."""
        sources = {source.entry_id for one in self.versions for source in one.sources}
        pointed = {name for one in self.versions for name, _ in pointed_to(one.body, self.rig_id)}
        return sources | pointed


@dataclass(frozen=True, slots=True)
class RigsAsked:
    """Which rigs a page of the list is to show.

    Parameters
    ----------
    search : str, default empty
        A part of their names, whatever its capitals and accents; empty: all.
    after, before : str, default empty
        Id of the rig that the page follows, or goes before; both empty: the first page; ``END``
        in place of the latter: the last page.
    limit : int, default 50
        How many at most. [-]
    withdrawn : bool, default False
        Those that are withdrawn in place of the others.
    """

    search: str = ""
    after: str = ""
    before: str = ""
    limit: int = 50
    withdrawn: bool = False

    END: ClassVar[str] = "end"

    @property
    def is_backward(self) -> bool:
        """Whether the page is sought from its end."""
        return bool(self.before) and not self.after


@dataclass(frozen=True, slots=True)
class RigPage:
    """A page of the list of rigs, by name and then in the order they were added.

    Parameters
    ----------
    rigs : tuple of Entry
        Latest versions.
    twins : frozenset of str
        Ids of those whose name another rig of the list has, too.
    found : int or None
        How many there are on all pages; None: too many to look for. [-]
    before, after : str or None
        Id with which to ask for the page before and after this one; None: there is none.
    """

    rigs: tuple[Entry, ...]
    twins: frozenset[str]
    found: int | None
    before: str | None
    after: str | None


@dataclass(frozen=True, slots=True)
class Write:
    """A wish to keep something.

    Parameters
    ----------
    entry_id : str
        Its id; made by the caller, so that a form sent twice is kept once.
    body : Body
        What to keep.
    seen : int, default 0
        The version the writer had before their eyes; 0: a new entry. [-]
    rig_id : str or None, default None
        The rig it belongs to; looked at for a new entry only.
    sources : tuple of Source, default empty
        What it was made from.
    """

    entry_id: str
    body: Body
    seen: int = 0
    rig_id: str | None = None
    sources: tuple[Source, ...] = ()

    def __post_init__(self) -> None:
        assert self.rig_id is None or not isinstance(self.body, KeptRig)

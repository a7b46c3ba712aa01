"""Session choice: which session a new group goes into, and how a day's is begun once.

Holds:  the session that is said, that of the day, or one to be begun; keeping what goes into it.
Never:  what a session tells (session_lists.py), pages.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from hashlib import sha256
from itertools import count

from tapewright.faces.kept_rigs import setup_now
from tapewright.faces.web.page_request import PageRequest
from tapewright.faces.web.session_lists import kept_of_rig
from tapewright.ground.errors import EditedMeanwhile, NotKept
from tapewright.services.keep import Entry, KeptSession, Notebook, Write, kept_as

TRIES = 5  # of what others write at the same time


def session_for(
    at: PageRequest, rig_id: str, wanted: str, shot_on: str = ""
) -> tuple[str, list[Write]]:
    """Session a new group goes into, and what to write if it must be begun: today's, unless said.

    With a date of its own it is always a new one.
    """
    if wanted:
        kept_as(kept_of_rig(at, rig_id, wanted), KeptSession)
        return wanted, []
    begun = KeptSession(shot_on or at.today, "sighting", "", setup_now(at.notebook, rig_id))
    return (_begin if shot_on else session_like)(at.notebook, rig_id, begun)


def session_like(
    notebook: Notebook, rig_id: str, begun: KeptSession, waiting: Iterable[Write] = ()
) -> tuple[str, list[Write]]:
    """The newest session like this one, kept or waiting to be; what to write if there is none."""
    there = [
        *((one.id, one.body) for one in notebook.entries("session", rig_id)),
        *((one.entry_id, one.body) for one in waiting),
    ]
    for session_id, body in reversed(there):
        if isinstance(body, KeptSession) and replace(body, note="") == begun:
            return session_id, []
    return _begin(notebook, rig_id, begun)


def _begin(notebook: Notebook, rig_id: str, begun: KeptSession) -> tuple[str, list[Write]]:
    session_id = _id_of_day(notebook, rig_id, begun)
    return session_id, [Write(session_id, begun, rig_id=rig_id)]


def _id_of_day(notebook: Notebook, rig_id: str, begun: KeptSession) -> str:
    """Id of the session that a day's first group begins: the same for whoever begins it.

    So two who do it in the same moment, in whichever process, cannot begin two.
    """
    told = (f"{rig_id} {begun.shot_on} {begun.setup} {number}" for number in count())
    ids = (sha256(one.encode()).hexdigest()[:20] for one in told)
    return next(one for one in ids if kept_under(notebook, one) is None)


def kept_under(notebook: Notebook, entry_id: str) -> Entry | None:
    """What is kept under an id; None for nothing."""
    try:
        return notebook.entry(entry_id)
    except NotKept:
        return None


def save_begun(at: PageRequest, writes: Callable[[], Sequence[Write]]) -> None:
    """Keep what goes into a session; looked at anew where somebody else began it just now."""
    for left in reversed(range(TRIES)):
        try:
            at.notebook.save_all(writes(), now=at.now)
        except EditedMeanwhile as other:
            if not left or other.newer.kind != "session":
                raise
        else:
            return

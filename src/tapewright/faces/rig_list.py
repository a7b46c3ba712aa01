"""Rig list: a page of rigs, each with its last calibration and session.

Holds:  the Listed record; a page of them; what tells rigs of one name apart.
Never:  tables, pages, JSON.
"""

from dataclasses import dataclass

from tapewright.faces.kept_rigs import kept_trust
from tapewright.faces.kept_stops import kept_stops, with_stops
from tapewright.services import keep
from tapewright.services.keep import Entry, Notebook, RigPage, RigsAsked, kept_as

ID_SHOWN = 6  # digits of an id that tell two rigs of one name and day apart


@dataclass(frozen=True, slots=True)
class Listed:
    """A rig in a list."""

    entry: Entry  # the rig
    calibration: keep.KeptCalibration | None  # the last one
    shot_on: str  # day of the last session, empty for none
    apart: str  # what tells it from others of its name; empty if it has the name alone
    trusted_m: float | None  # how far its first pin is trusted; None for no distance
    stops: tuple[str, ...]  # why it must not be shot, a line each

    @property
    def name(self) -> str:
        """The rig's name."""
        return kept_as(self.entry, keep.KeptRig).name


def list_rigs(notebook: Notebook, asked: RigsAsked) -> tuple[RigPage, tuple[Listed, ...]]:
    """A page of rigs with what a list says of each."""
    page = notebook.rigs(asked)
    rigs = with_stops(notebook, page.rigs)
    ids = [one.id for one in rigs]  # and briefly, for no list tells marks
    latest = notebook.latest_of_each(("calibration", "session"), ids, briefly=True)
    listed = []
    for rig in rigs:
        calibration, session = latest["calibration"].get(rig.id), latest["session"].get(rig.id)
        trusted_m = kept_trust(calibration, rig) if calibration else ()
        listed.append(
            Listed(
                rig,
                kept_as(calibration, keep.KeptCalibration) if calibration else None,
                kept_as(session, keep.KeptSession).shot_on if session else "",
                apart(rig) if rig.id in page.twins else "",
                (trusted_m[0] or None) if trusted_m else None,
                kept_stops(rig),
            )
        )
    return page, tuple(listed)


def apart(rig: Entry) -> str:
    """What tells a rig from others of its name, in words."""
    return f"sheet of {rig.saved_at[:10]}, id {rig.id[:ID_SHOWN]}"


def found_words(page: RigPage, asked: RigsAsked) -> str:
    """How many rigs there are on all pages, in words."""
    some = "More than 10,000" if page.found is None else f"{page.found:,}"
    holds = f" with “{asked.search.strip()}” in the name" if asked.search.strip() else ""
    return f"{some} {'rig' if page.found == 1 else 'rigs'}{holds}"

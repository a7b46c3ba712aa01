"""Printable names: a rig's name as a print can write it, and what the screen says where it cannot.

Holds:  the name or, whole, its fingerprint; never half a name.
Never:  fonts, prints.
"""

from tapewright.services.equip import Rig
from tapewright.services.paper_names import is_printable, sheet_fingerprint


def paper_name(name: str, fingerprint: str) -> str:
    """The name where the fonts have all its letters, else the fingerprint."""
    return name if is_printable(name) else fingerprint


def paper_notes(name: str, fingerprint: str) -> tuple[str, ...]:
    """What is said on screen of a name that paper cannot hold; nothing of others."""
    if is_printable(name):
        return ()
    return (f"The print has no letters for the name “{name}”: it says {fingerprint} instead.",)


def sheet_names(rig: Rig) -> tuple[str, tuple[str, ...]]:
    """Both for a print that needs no arrows."""
    fingerprint = sheet_fingerprint(rig)
    return paper_name(rig.name, fingerprint), paper_notes(rig.name, fingerprint)

"""Paper names: what stands on paper for a rig whose name the fonts cannot write.

Holds:  whether a name can be written; the fingerprint of a sheet.
Never:  sentences, fonts.
"""

from tapewright.calibration.rig import Rig
from tapewright.drawing.lettering import is_printable
from tapewright.services.fingerprint import short_hash, written

__all__ = ["is_printable", "sheet_fingerprint"]


def sheet_fingerprint(rig: Rig) -> str:
    """Hash of a sheet alone, for prints that need no arrows."""
    return short_hash(written(rig))

"""Paper names: what stands on paper for a rig whose name the fonts cannot write.

Holds:  whether a name can be written; the fingerprint of a sheet.
Never:  sentences, fonts.
"""

from tapewright.calibration.rig import Rig
from tapewright.services.fingerprint import short_hash, written


def is_printable(name: str) -> bool:
    """Whether the fonts have all letters of a name."""
    if name.isascii():
        return True
    from tapewright.drawing import lettering  # noqa: PLC0415 - who only asks loads no drawing

    return lettering.is_printable(name)


def sheet_fingerprint(rig: Rig) -> str:
    """Hash of a sheet alone, for prints that need no arrows."""
    return short_hash(written(rig))

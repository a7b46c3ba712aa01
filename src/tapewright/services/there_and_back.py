"""There and back: whether a change leads to a set-up that stood before.

Holds:  which two sheets are one set-up.
Never:  the notebook, calibrations, sentences.
"""

from dataclasses import replace

from tapewright.calibration.rig import Rig

__all__ = ["is_same_setup"]


def is_same_setup(one: Rig, other: Rig) -> bool:
    """Whether two sheets describe one set-up: in bow, arrow, sight and hand they say the same.

    The air may be another one, which a calibration counts; the archer's tolerance and the tape
    that is stuck on, too.
    """
    first, second = (
        (each.bow, each.arrow, replace(each.sight, tape=None), each.hand) for each in (one, other)
    )
    return first == second

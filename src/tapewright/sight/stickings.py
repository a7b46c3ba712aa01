"""Stickings: each time that a scale was laid upon another, and such a scale in words.

Holds:  the Sticking record; scales to words and back. Words alone: no arrays.
Never:  what stands on a tape (tape.py), how much a sticking moves (calibration).
"""

from dataclasses import dataclass

from tapewright.ground.errors import BadInput

STICKING_SD_M = 0.3e-3  # how well a tick is laid on its place; common practice, no source
ANYWHERE_SD_M = 0.05  # of a scale that nothing but arrows ties to another: longer than any sight's


@dataclass(frozen=True, slots=True)
class Sticking:
    """One time that a scale was laid upon another.

    Parameters
    ----------
    name : str
        Of the scale that began with it.
    sd_m : float
        How far its zero may be from where it should be, one standard deviation. [m]
    """

    name: str
    sd_m: float = STICKING_SD_M


Scales = tuple[Sticking, ...]  # from the rig's first scale to this one; empty: the first itself
BETWEEN = ">"  # stickings of a scale in words
MOST_STICKINGS = 50


def scales_text(scales: Scales) -> str:
    """A scale in words: every sticking from the rig's first scale on.

    Parameters
    ----------
    scales : tuple of Sticking
        The scale.

    Returns
    -------
    str
        Such as ``first tape ± 0.3 > second ± 0.3``, in mm; empty for the rig's first scale.
    """
    return f" {BETWEEN} ".join(f"{one.name} ± {1e3 * one.sd_m:.6g}" for one in scales)


def scales_from(text: str, place: str = "scale") -> Scales:
    """A scale from its words.

    Parameters
    ----------
    text : str
        As ``scales_text`` writes it; without ± nothing is known of how it lies.
    place : str
        What errors call it.

    Returns
    -------
    tuple of Sticking
        The scale.

    Raises
    ------
    BadInput
        If a sticking has no name, or no number behind its ±.
    """
    if not text.strip():
        return ()
    parts = text.split(BETWEEN)
    if len(parts) > MOST_STICKINGS:
        raise BadInput(place, "it was stuck on more often than can be", "Name the last times")
    found: list[Sticking] = []
    for part in parts:
        name, _, said = (one.strip() for one in part.replace("+-", "±").partition("±"))
        try:
            sd_m = 1e-3 * float(said.removesuffix("mm")) if said else ANYWHERE_SD_M
        except ValueError:
            sd_m = -1.0
        if not name or not 0.0 <= sd_m <= ANYWHERE_SD_M:  # or nan
            wrong = f"{part.strip()!r} is no scale"
            raise BadInput(place, wrong, "Write its name, or NAME ± 0.3 with mm behind the ±")
        found.append(Sticking(name, sd_m))
    return tuple(found)

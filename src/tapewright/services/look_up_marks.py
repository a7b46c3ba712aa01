"""Look up marks: the marks of every pin wherever they are wanted, and the groups beside them.

Holds:  the FoundMarks, FixedPin and SeenGroup records; bands at any distances; the question.
Never:  sentences, pictures, a new fit.
"""

from dataclasses import dataclass
from statistics import NormalDist

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tapewright.calibration.misfit import group_sds
from tapewright.confidence.bands import CLOSE_M, bands
from tapewright.services.calibrate import Answer, Bands, GroupCheck, fixed_pins

__all__ = ["FixedPin", "FoundMarks", "SeenGroup", "bands_at", "look_up_marks", "seen_groups"]


@dataclass(frozen=True, slots=True)
class FixedPin:
    """Where one pin of a sight that does not move must sit."""

    distance_m: float  # distance it is for
    below_m: float  # below the first pin: middle and both ends of the band, down positive
    low_m: float
    high_m: float


@dataclass(frozen=True, slots=True)
class SeenGroup:
    """A group beside the marks."""

    check: GroupCheck  # the group against the fit
    pin: int  # which pin was aimed with, 1 the first
    # Half the height within which a sound group's centre lies with the answer's chance; infinite if
    # its height was not measured
    half_up_m: float


@dataclass(frozen=True, slots=True)
class FoundMarks:
    """A calibration with its marks at the distances asked for."""

    answer: Answer  # the calibration
    pins: tuple[Bands, ...]  # marks of each pin, the first first
    fixed: tuple[FixedPin, ...] = ()  # for a sight that does not move; may be empty


def bands_at(answer: Answer, distance_m: ArrayLike, pin: int = 1) -> Bands:
    """Marks of a pin with their bands, at any distances."""
    wanted_m = np.asarray(distance_m, dtype=np.float64)
    if pin == 1:
        found = _among(answer.bands, wanted_m)
        if found is not None:
            return found
    return bands(answer.posterior, wanted_m, answer.bands.probability, pin)


def _among(found: Bands, wanted_m: NDArray[np.float64]) -> Bands | None:
    """Some of the marks that are there already; None if one of them is not."""
    places = np.searchsorted(found.distance_m, wanted_m - CLOSE_M)
    last = len(found.distance_m) - 1
    if places.size == 0 or places.max() > last:
        return None
    if np.abs(found.distance_m[places] - wanted_m).max() > CLOSE_M:
        return None
    return Bands(
        found.probability,
        *(
            column[places]
            for column in (
                found.distance_m,
                found.reading_m,
                found.low_m,
                found.high_m,
                found.impact_low_m,
                found.impact_high_m,
            )
        ),
    )


def look_up_marks(
    answer: Answer, distance_m: ArrayLike, fixed_pins_m: tuple[float, ...] = ()
) -> FoundMarks:
    """Marks of every pin, and where fixed pins must sit."""
    pins = tuple(bands_at(answer, distance_m, pin) for pin in range(1, len(answer.trusted_m) + 1))
    if not fixed_pins_m:
        return FoundMarks(answer, pins)
    rows = zip(fixed_pins_m, *fixed_pins(answer, fixed_pins_m), strict=True)
    fixed = tuple(FixedPin(distance, *map(float, ends)) for distance, *ends in rows)
    return FoundMarks(answer, pins, fixed)


def seen_groups(answer: Answer) -> tuple[SeenGroup, ...]:
    """The groups with how far a sound one's centre strays from its mark."""
    if not answer.groups:
        return ()
    calibration = answer.posterior.calibration
    evidence = calibration.evidence
    sds = group_sds(evidence, calibration.best)[1]
    reach = NormalDist().inv_cdf(0.5 + 0.5 * answer.bands.probability)
    return tuple(
        SeenGroup(check, one.pin, float(reach * sd * one.distance_m))
        for check, one, sd in zip(answer.groups, evidence.observations, sds, strict=True)
    )

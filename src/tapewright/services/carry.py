"""Carry: what goes along to the range, so that new groups can be weighed without the program.

Holds:  the CarriedRig record and the errand from a calibration to it.
Never:  formulas, sentences, files.
"""

from dataclasses import dataclass

from tapewright.confidence.carried import CarriedDistance, CarriedDraws, carried_draws
from tapewright.confidence.ladder import Ladder, farthest_hit
from tapewright.confidence.turning import dialled_off
from tapewright.services.calibrate import Answer
from tapewright.services.measure_groups import KnownScatter, known_scatter
from tapewright.services.stops import refuse_stopped
from tapewright.services.usual_wish import usual_wish

__all__ = ["CarriedDistance", "CarriedDraws", "CarriedRig", "carry"]


@dataclass(frozen=True, eq=False)
class CarriedRig:
    """A calibration as it goes along."""

    answer: Answer  # the calibration it is made from
    draws: CarriedDraws  # all draws as curves
    known: KnownScatter  # scatter by which a group's centre is judged
    ladder: Ladder  # what has been hit
    hit_m: float  # farthest distance at which a group that fits has hit, typed marks included
    # Of each pin, the farthest that new groups may earn trust, because a group is doubtful; None:
    # nothing is
    most_m: tuple[float, ...] | None
    off_m: float  # how far off its mark the last of them was dialled
    wanted_m: float  # what a session is for when nobody says


def carry(answer: Answer, unit_m: float) -> CarriedRig:
    """A calibration made ready to go along; Withheld if the set-up must not be shot."""
    refuse_stopped(answer.rig)
    doubt = answer.trust.doubt
    is_doubtful = bool(doubt.slips or doubt.without) or answer.trust.mixed is not None
    return CarriedRig(
        answer=answer,
        draws=carried_draws(answer.posterior),
        known=known_scatter(answer.observations, answer.rig),
        ladder=answer.ladder,
        hit_m=farthest_hit(answer.observations, answer.groups),
        most_m=answer.once_zeroed_m if is_doubtful else None,
        off_m=dialled_off(answer.posterior, answer.observations, answer.groups),
        wanted_m=usual_wish(answer, unit_m),
    )

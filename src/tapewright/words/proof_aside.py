"""Proof aside: arrows of a proof that lie to one side of the aim, which no tape mends.

Holds:  how far the arrows of a proof lie aside and what to turn, as a sentence.
Never:  causes, odds (miss_causes.py), what to turn after a group (sight_moves.py).
"""

from collections.abc import Sequence
from dataclasses import replace

from tapewright.services.correct_groups import correct_group
from tapewright.services.prove import Proving
from tapewright.services.record_groups import Group, Observation
from tapewright.words.next_shot import tenths
from tapewright.words.sight_moves import windage_words
from tapewright.words.unit_system import Units, distance_words


def aside_words(proving: Proving, units: Units) -> str:
    """What to turn to the side after a proof that found nothing aside; empty for nothing."""
    answer, shot = proving.answer, [one for one in proving.shot if one.group.counted]
    if proving.mend.pin_right_m is not None or not shot:
        return ""
    whole = _together(shot)
    known = (*answer.observations, *proving.shot)
    found = correct_group(whole, known, answer.rig, answer.posterior.calibration)
    move, centre = found.moves[0].move, found.measured.groups[0].centre
    if not move.pin_right_m:
        return ""
    far_m = max(one.distance_m for one in shot)
    right_m = centre.right_m * far_m / whole.distance_m
    off = f"{tenths(right_m, units)} {'right' if right_m > 0.0 else 'left'}"
    return (
        f"To the side, where no tape helps: all arrows of the proof together, as seen from "
        f"{distance_words(far_m, units)}, lie {off} of the aim. Windage: "
        f"{windage_words(move)}. (The table's “right” counts from where arrows flew before.)"
    )


def _together(shot: Sequence[Observation]) -> Observation:
    """All groups as one, as far aside as they would lie at the nearest distance.

    One stray of one group then moves nobody's pin.
    """
    near = min(shot, key=lambda one: one.distance_m)
    impacts = [
        replace(
            hit,
            right_m=None if hit.right_m is None else hit.right_m * near.distance_m / one.distance_m,
            up_m=None,
        )
        for one in shot
        for hit in one.group.impacts
    ]
    return replace(near, group=Group(near.group.name, tuple(impacts)))

"""Proof aside: arrows of a proof that lie to one side of the aim, which no tape mends.

Holds:  where the farthest group lies aside and what to turn, as a sentence.
Never:  causes, odds (miss_causes.py), what to turn after a group (sight_moves.py).
"""

from tapewright.services.correct_groups import correct_group
from tapewright.services.prove import Proving
from tapewright.words.next_shot import tenths
from tapewright.words.sight_moves import windage_words
from tapewright.words.unit_system import Units, distance_words


def aside_words(proving: Proving, units: Units) -> str:
    """What to turn to the side after a proof that found nothing aside; empty for nothing."""
    answer, shot = proving.answer, [one for one in proving.shot if one.group.counted]
    if proving.mend.pin_right_m is not None or not shot:
        return ""
    far = max(shot, key=lambda one: one.distance_m)
    known = (*answer.observations, *proving.shot)
    found = correct_group(far, known, answer.rig, answer.posterior.calibration)
    move, centre = found.moves[0].move, found.measured.groups[0].centre
    if not move.pin_right_m:
        return ""
    off = f"{tenths(centre.right_m, units)} {'right' if centre.right_m > 0.0 else 'left'}"
    return (
        f"To the side, where no tape helps: at {distance_words(far.distance_m, units)} these "
        f"arrows lie {off} of the aim. Windage: {windage_words(move)}. (The table's “right” counts "
        "from where arrows flew before.)"
    )

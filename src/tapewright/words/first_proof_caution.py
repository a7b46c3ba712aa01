"""First proof caution: what the first proof on a tape cannot see, as a sentence.

Holds:  whether a proof is the first on its tape; what the sticking hides in it.
Never:  causes, odds (miss_causes.py).
"""

from math import isnan

from tapewright.services.prove import Proving
from tapewright.words.number_format import known
from tapewright.words.readings_on_tape import step_m
from tapewright.words.unit_system import Units, amount, distance_words


def is_first_on_tape(proving: Proving) -> bool:
    """Whether no group was shot on the tape that is on before this proof."""
    tape, answer = proving.answer.tape, proving.answer
    return tape is not None and all(one.scales != tape.scales for one in answer.observations)


def first_words(proving: Proving, units: Units) -> str:
    """What a first proof on a tape cannot see, as a sentence or two; empty for a later one."""
    tape = proving.answer.tape
    if tape is None or not is_first_on_tape(proving):
        return ""
    far = max(proving.shot, key=lambda shot: shot.distance_m)
    hidden = step_m(tape, far.reading_m, tape.sd_m, far.pin) / tape.unit_m
    there = "" if isnan(hidden) else f" ({known(hidden, 0.0, least=0.1)} {tape.unit} of it "
    there += f"at {distance_words(far.distance_m, units)})" if there else ""
    told = (
        f"The first proof on this tape: how it was stuck on, {amount(tape.sd_m, 'mm')}{there}, "
        "cannot be told yet from a zero that moved as little."
    )
    if not proving.may_accept:
        return told
    return f"{told} Take these arrows in; from then on a proof can tell."

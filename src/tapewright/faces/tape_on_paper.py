"""Tape on paper: a calibration's sight tape with the usual look, as files to print.

Holds:  that tape, for whoever asks for no other.
Never:  looks that were asked for (orders.py), what is drawn.
"""

from tapewright.faces.orders import tape_order, usual_ticks
from tapewright.questions.question import Said
from tapewright.services.calibrate import Answer
from tapewright.services.print_tape import plan_tape, print_tape
from tapewright.words.tape import tape_words
from tapewright.words.units import Units


def usual_tape(
    answer: Answer, units: Units, date: str, paper: str
) -> tuple[tuple[str, bytes], ...]:
    """The files of a tape with its usual ticks and look."""
    ticks = usual_ticks(answer, (), units)
    plan = plan_tape(answer, tape_order(answer.rig, ticks, units, Said({"paper": paper})))
    return print_tape(plan, tape_words(plan, units, date), ("pdf", "svg"))

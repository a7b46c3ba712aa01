"""Pin: which pin a question is about.

Holds:  the field that several errands share, and how it is read.
Never:  an question.
"""

from tapewright.ground.errors import BadInput
from tapewright.questions.question import Field, Said
from tapewright.services.calibrate import Answer

PIN = Field("pin", "Pin", "1", hint="Which pin is aimed with, 1 the top one.")
MOST_PINS = 9


def asked_pin(answer: Answer, said: Said) -> int:
    """Pin that was asked for; one that the rig lacks is refused."""
    pin, have = said.whole("pin", 1, (1, MOST_PINS)), len(answer.trusted_m)
    if pin > have:
        pins = "one pin" if have == 1 else f"{have} pins"
        mend = "Ask for a pin that it has, 1 the top"
        raise BadInput(said.place("pin"), f"the rig sheet has {pins}", mend)
    return pin

"""Orders: a command's options become what was said of a print.

Holds:  options to Said; the orders of tape and gauge strip with the proof rulers typed.
Never:  what a text means (faces/orders.py), calibration, files.
"""

from typing import Any

from tapewright.faces import orders
from tapewright.faces.cli.options import proof_lengths
from tapewright.ground.errors import BadInput
from tapewright.questions.question import Said, option
from tapewright.services.equip import Rig
from tapewright.services.print_tape import TapeOrder
from tapewright.words.units import Units


def said_by(options: dict[str, Any]) -> Said:
    """What options say; one that is there but empty is refused."""
    texts = {name: text for name, text in options.items() if isinstance(text, str)}
    for name, text in texts.items():
        if not text.strip():
            mend = "Write a value behind it, or leave the option out"
            raise BadInput(option(name), "nothing stands there", mend)
    return Said(texts, option)


def tape_order(rig: Rig, ticks: tuple[float, ...], units: Units, look: dict[str, Any]) -> TapeOrder:
    """What kind of tape the options ask for; those a command does not offer may be missing."""
    proof_mm = proof_lengths(look.get("proof"))
    return orders.tape_order(rig, ticks, units, said_by(look), proof_mm)


def gauge_order(hand: str, look: dict[str, Any]) -> TapeOrder:
    """What kind of gauge strip the options ask for."""
    return orders.gauge_order(hand, said_by(look), proof_lengths(look.get("proof")))

"""Rules: what the archer's own ticks of a class mean for whatever is printed or carried.

Holds:  the question ``rules``: its field, what each thing keeps to; how ticks are read.
Never:  any body's rules; how a print keeps to ticks (printing).
"""

from dataclasses import dataclass
from typing import Any

from tapewright.ground.errors import BadInput
from tapewright.questions.question import Field, Question, Said
from tapewright.services.calibrate import Answer
from tapewright.services.equip import Rig
from tapewright.words.answer_blocks import Blocks, Mind
from tapewright.words.answer_json import head_json
from tapewright.words.rules import ASK, TICKS, tick_words
from tapewright.words.unit_spellings import quoted
from tapewright.words.unit_system import Units

NONE = "none"
RULES = Field(
    "rules", "Rules of the class", takes="TICKS",
    hint="Your own ticks, such as “no notes, one pin”, or none. Left open: the rig sheet's. Ask "
    "the organiser.",
)  # fmt: skip
CARRIED = ("Sight tape", "Large list", "Range card", "Pocket card and phone")
AS_USUAL = "as usual"
BARE = "no small print: on it are ticks, numbers, their unit, the pointer's edge and “close”"


@dataclass(frozen=True, slots=True)
class Ruled:
    """Ticks, and the calibration they are asked of."""

    answer: Answer
    rules: tuple[str, ...]


def read_rules(said: Said, rig: Rig) -> tuple[str, ...]:
    """Ticks as they were said, or the rig sheet's."""
    text, place = said.text(RULES.name), said.place(RULES.name)
    if not text:
        return rig.rules
    if text.casefold() == NONE:
        return ()
    names = {name: tick for tick, (name, _) in TICKS.items()}
    asked = [" ".join(one.replace("_", " ").split()).casefold() for one in text.split(",")]
    if wrong := next((one for one in asked if one not in names), None):
        mend = f"Write {', '.join(names)}, several with commas between, or {NONE}"
        raise BadInput(place, f"{quoted(wrong)} is no tick", mend)
    return tuple(tick for tick in TICKS if TICKS[tick][0] in asked)


def refuse_notes(rules: tuple[str, ...], what: str) -> None:
    """Refuse what is a note where notes are not allowed."""
    if "no_notes" in rules:
        wrong = f"{what} is a note, and “no notes” is ticked"
        mend = f"Leave it at home; for practice say {NONE} here. What is a note says the organiser"
        raise BadInput(RULES.name, wrong, mend)


def refuse_pin(rules: tuple[str, ...], pin: int) -> None:
    """Refuse a further pin where one is allowed."""
    if "one_pin" in rules and pin > 1:
        raise BadInput("pin", f"“one pin” is ticked, and this is pin {pin}", "Take the first pin")


def kept_to(rules: tuple[str, ...]) -> tuple[str, ...]:
    """What becomes of each thing that is carried, in their order."""
    is_on = set(rules)
    tape = [
        *(["the first pin alone"] if "one_pin" in is_on else []),
        *(["no code to scan"] if is_on & {"no_notes", "no_electronics"} else []),
        *([BARE] if "no_notes" in is_on else []),
        *(["on paper only: no film, no file for a machine"] if "paper_only" in is_on else []),
    ]
    card = "the first pin alone" if "one_pin" in is_on else AS_USUAL
    card = "not printed: it is a note" if "no_notes" in is_on else card
    phone = is_on - {"one_pin"}
    home = "to be left at home"
    return ("; ".join(tape) or AS_USUAL, card, card, home if phone else AS_USUAL)


def _ask(answer: Answer, said: Said, _: Units) -> Ruled:
    return Ruled(answer, read_rules(said, answer.rig))


def _tell(found: Ruled, _: Units) -> Blocks:
    ticked = f"Ticked: {tick_words(found.rules) or 'nothing'}."
    kept = zip(CARRIED, kept_to(found.rules), strict=True)
    return (ticked, *(f"{what}: {told}." for what, told in kept), Mind(_asked()))


def _asked() -> str:
    return f"{ASK[:1].upper()}{ASK[1:]}"


def _write(found: Ruled, _: Units) -> dict[str, Any]:
    carried = dict(zip(CARRIED, kept_to(found.rules), strict=True))
    return head_json("tapewright.rules/1", found.answer) | {
        "ticks": {tick: tick in found.rules for tick in TICKS},
        "carried": carried,
        "cautions": [_asked()],
    }


QUESTION = Question(
    "rules", "Rules of a class",
    "What your own ticks of a class (paper only, no notes, one pin, no electronics) mean for "
    "whatever is printed or carried. No body's rules are known here: ask the organiser.",
    (RULES,), _ask, _tell, _write, shelf="check", short="Rules of a class",
    more="Ticks may stand in the rig sheet, under [rules]; prints keep to them.",
)  # fmt: skip

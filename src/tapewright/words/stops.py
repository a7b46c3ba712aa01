"""Stops: why a set-up must not be shot, what must be answered, what is looked at first.

Holds:  these sentences for every face; the check list before the first arrow as a table.
Never:  when a stop stands (services/stops.py), how a face draws it, words of the check list.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from tapewright.services.equip import kind_of
from tapewright.services.stops import Withheld, parts_of, questions, stops
from tapewright.words.answer_blocks import Table
from tapewright.words.check_list import checks_of
from tapewright.words.quantity_parser import in_unit

if TYPE_CHECKING:
    from tapewright.services.equip import Rig
    from tapewright.services.stops import Doubt, Stop

STOP = "STOP"
UNTIL = "Until the rig sheet is corrected nothing is planned, printed or trusted"
UNTIL_WARMER = "In such air nothing is planned, printed or trusted"

# Kind of a number: units and decimals
BOTH = {
    "mass": (("gr", 0), ("g", 1)),
    "length": (("mm", 0), ("in", 1)),
    "speed": (("ft/s", 0), ("m/s", 0)),
    "force": (("lbf", 0),),
    "temperature": (("°C", 0), ("°F", 0)),
}
# Kind of a stop: what is wrong, what ends it; kind of a doubt: what is odd, what to look at.
STOPS = {
    "light arrow": (
        (
            "an arrow of {0:mass} is too light for this bow, which needs {1:mass} or more: do not "
            "shoot it. It strains the bow like a shot without an arrow"
        ),
        "Take a heavier arrow, or correct the arrow's mass, draw_weight or least_arrow_mass",
    ),
    "fast arrow": (
        (
            "{1:speed} with {0:mass} takes a bow of about {2:force} or more, and that needs an "
            "arrow of {3:mass}: do not shoot it"
        ),
        "Weigh the arrow, read the speed again, and correct the one that is wrong",
    ),
    "short arrow": (
        (
            "at full draw the shaft ends {end}, and {1:length} before it is the least: do not "
            "shoot it. A shaft that slips off the rest, or blades at the hand, wound you"
        ),
        "Take a longer arrow, or correct the arrow's length, draw_length or rest",
    ),
    "damaged": (
        "damaged, by the check list: {part}. Do not shoot it",
        "Have it mended; press work belongs to a qualified technician. Then tick it sound",
    ),
    "cold": (
        (
            "air of {0:temperature} is colder than the bow's maker allows, {1:temperature} and no "
            "less: do not shoot it there. Limbs may break"
        ),
        "Shoot where it is warmer, or correct least_temperature or the temperature",
    ),
    "housing": (
        (
            "the sight's housing meets {what} at every distance: {0:length} are missing where it "
            "stands highest. Do not shoot it"
        ),
        (
            "Raise the peep or change the housing, or correct housing_below_pin, peep_height, "
            "vane_height or blade_diameter"
        ),
    ),
}
_LOWER_ANCHOR = (
    "Anchor lower or change the housing, or correct housing_below_pin, eye_height, vane_height or "
    "blade_diameter"
)
WITHOUT_PEEP = {  # what ends a stop of a recurve or a longbow
    "housing": _LOWER_ANCHOR,
    "blades": _LOWER_ANCHOR,
    "damaged": "Have it mended by its maker or a qualified technician. Then tick it sound",
}
DOUBTS = {
    "light arrow": (
        "{0:mass} is hardly more than the least, {1:mass}",
        "Weigh the arrow well before you shoot it",
    ),
    "over the hand": (
        "at full draw the shaft ends {1:length} behind the grip, over the hand",
        "Check length, draw_length and rest; never let an arrow slip off the rest",
    ),
    "short arrow": (
        "at full draw only {0:length} of the shaft stand before the rest",
        "Usual is {1:length} or more; check length, draw_length and rest",
    ),
}
# Key of the sheet: what is asked, and how it is answered.
QUESTIONS = {
    "bow.draw_weight": (
        "how heavy an arrow this bow needs",
        'draw_weight = "60 lbf", or the maker\'s least_arrow_mass = "350 gr", under [bow]',
    ),
    "bow.draw_length": (
        "how far you draw",
        'draw_length = "29 in" under [bow]',
    ),
    "bow.rest": (
        "where the arrow lies",
        (
            'rest = "5 mm" under [bow]: how far the rest stands before the grip\'s deepest place, '
            'behind it less than 0; "shelf" without a rest'
        ),
    ),
    "arrow.length": (
        "how long the shaft is",
        'length = "28.5 in" under [arrow]',
    ),
    "arrow.blade_diameter": (
        "how wide the blades are as the arrow flies",
        'blade_diameter = "29 mm" under [arrow]; "none" if they are folded in',
    ),
}


class _Number(float):
    """A number of a stop or a doubt: "{0:mass}" tells it in the units of both worlds."""

    def __format__(self, kind: str) -> str:
        told = [f"{in_unit(self, unit):.{digits}f} {unit}" for unit, digits in BOTH[kind]]
        return " ".join((told[0], *(f"({other})" for other in told[1:])))


def stop_words(stop: Stop) -> tuple[str, str]:
    """What is wrong, and what ends it; without their full stops."""
    numbers = [_Number(number) for number in stop.numbers]
    parts = checks_of("compound") | checks_of(stop.bow)  # a sheet may tick what its bow has not
    part = parts.get(stop.key.rpartition(".")[2], ("",))[0]
    ahead = numbers[0] if numbers else 0.0
    end = f"{_Number(abs(ahead)):length} {'behind it' if ahead < 0.0 else 'before the rest'}"
    what = "the blades of the point" if stop.kind == "blades" else "the arrow"
    wrong, mend = STOPS["housing" if stop.kind == "blades" else stop.kind]
    if stop.bow != "compound":
        mend = WITHOUT_PEEP.get(stop.kind, mend)
    return f"{STOP}: {wrong.format(*numbers, part=part, end=end, what=what)}", mend


def doubt_words(doubt: Doubt) -> tuple[str, str]:
    """What is odd, and what to look at; without their full stops."""
    wrong, mend = (words.format(*map(_Number, doubt.numbers)) for words in DOUBTS[doubt.kind])
    return wrong, mend


def stop_lines(rig: Rig) -> tuple[str, ...]:
    """Why a set-up must not be shot, a line each; empty when it may."""
    return _lines(stops(rig))


def _lines(found: tuple[Any, ...]) -> tuple[str, ...]:
    return tuple(f"{wrong}. {mend}." for wrong, mend in map(stop_words, found))


def stop_title(title: str, lines: tuple[str, ...]) -> str:
    """Title of a sheet that may still be printed; it says first that nothing may be shot."""
    return f"{STOP}, do not shoot: {title}" if lines else title


def question_lines(keys: tuple[str, ...]) -> tuple[str, ...]:
    """What must be answered, a line each."""
    return tuple("{}: write {}.".format(*QUESTIONS[key]) for key in keys)


def unjudged_words(rig: Rig) -> str:
    """What cannot be judged of a rig that was shot already, as a caution; empty for nothing."""
    what = "; ".join(QUESTIONS[key][0] for key in questions(rig))
    unjudged = "Not on the rig sheet, so nobody can judge whether this set-up is safe to shoot"
    return f"{unjudged}: {what}." if what else ""


def refused_words(refused: Exception) -> str:
    """Any refusal as people read it; one for a stop or a question with all its lines."""
    if not isinstance(refused, Withheld):
        return str(refused)
    if refused.stops:
        is_of_sheet = any(one.kind != "cold" for one in refused.stops)
        until = UNTIL if is_of_sheet else UNTIL_WARMER
        return "\n".join((*_lines(refused.stops), f"{until}."))
    head = "Before the first arrow the rig sheet must tell:"
    return "\n".join((head, *question_lines(refused.questions), "Then ask again."))


def withheld_json(refused: Withheld) -> dict[str, Any]:
    """Why something was withheld, for other programs."""
    return {"stop": list(_lines(refused.stops)), "questions": questions_json(refused.questions)}


def questions_json(keys: tuple[str, ...]) -> list[dict[str, str]]:
    """Questions left open, for other programs."""
    asked = ((key, *QUESTIONS[key]) for key in keys)
    return [dict(zip(("key", "asked", "answer"), one, strict=True)) for one in asked]


def found_of(rig: Rig, part: str) -> str:
    """What was found of a part of the check list."""
    return "damaged" if part in rig.damaged else "sound" if part in rig.sound else "open"


def is_looked_over(rig: Rig) -> bool:
    """Whether all of the check list is ticked sound."""
    return all(found_of(rig, part) == "sound" for part in parts_of(rig))


def check_list(rig: Rig) -> Table:
    """The check list before the first arrow."""
    parts, words = parts_of(rig), checks_of(kind_of(rig.bow))
    found = (found_of(rig, part).replace("open", "not looked at yet") for part in parts)
    rows = tuple((*words[part], one) for part, one in zip(parts, found, strict=True))
    return Table("Before the first arrow", ("part", "how", "who", "found"), rows)

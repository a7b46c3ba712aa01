"""Stops: why a set-up must not be shot, what must be answered, what is looked at first.

Holds:  these sentences for every face; the check list before the first arrow as a table.
Never:  when a stop stands (services/stops.py), how a face draws it, words of the check list.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from tapewright.services.stops import PARTS, Withheld, questions, stops
from tapewright.words.blocks import Table
from tapewright.words.check_list import CHECKS
from tapewright.words.quantities import in_unit

if TYPE_CHECKING:
    from tapewright.services.equip import Rig
    from tapewright.services.stops import Doubt, Stop

STOP = "STOP"
UNTIL = "Until the rig sheet is corrected nothing is planned, printed or trusted"

# Key of the sheet → what is asked, and how it is answered.
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


def _mass(mass_kg: float) -> str:
    return f"{in_unit(mass_kg, 'gr'):.0f} gr ({in_unit(mass_kg, 'g'):.1f} g)"


def _length(length_m: float) -> str:
    return f"{1e3 * length_m:.0f} mm ({in_unit(length_m, 'in'):.1f} in)"


def stop_words(stop: Stop) -> tuple[str, str]:
    """What is wrong, and what ends it; without their full stops."""
    numbers = stop.numbers
    match stop.kind:
        case "light arrow":
            wrong = (
                f"an arrow of {_mass(numbers[0])} is too light for this bow, which needs "
                f"{_mass(numbers[1])} or more: do not shoot it. It strains the bow like a shot "
                "without an arrow"
            )
            mend = (
                "Take a heavier arrow, or correct the arrow's mass, draw_weight or least_arrow_mass"
            )
        case "fast arrow":
            wrong = (
                f"{in_unit(numbers[1], 'ft/s'):.0f} ft/s ({numbers[1]:.0f} m/s) with "
                f"{_mass(numbers[0])} takes a bow of about {in_unit(numbers[2], 'lbf'):.0f} lbf or "
                f"more, and that needs an arrow of {_mass(numbers[3])}: do not shoot it"
            )
            mend = "Weigh the arrow, read the speed again, and correct the one that is wrong"
        case "short arrow":
            where = "before the rest" if numbers[0] >= 0.0 else "behind it"
            wrong = (
                f"at full draw the shaft ends {_length(abs(numbers[0]))} {where}, and "
                f"{_length(numbers[1])} before it is the least: do not shoot it. A shaft that "
                "slips off the rest, or blades at the hand, wound you"
            )
            mend = "Take a longer arrow, or correct the arrow's length, draw_length or rest"
        case "housing" | "blades":
            what = "the blades of the point" if stop.kind == "blades" else "the arrow"
            wrong = (
                f"the sight's housing meets {what} at every distance: {_length(numbers[0])} are "
                "missing where it stands highest. Do not shoot it"
            )
            mend = "Raise the peep or change the housing, or correct housing_below_pin, peep_height"
            mend += ", vane_height or blade_diameter"
        case _:
            part = CHECKS[stop.key.rpartition(".")[2]][0]
            wrong = f"damaged, by the check list: {part}. Do not shoot it"
            mend = (
                "Have it mended; press work belongs to a qualified technician. Then tick it sound"
            )
    return f"{STOP}: {wrong}", mend


def doubt_words(doubt: Doubt) -> tuple[str, str]:
    """What is odd, and what to look at; without their full stops."""
    numbers = doubt.numbers
    if doubt.kind == "light arrow":
        wrong = f"{_mass(numbers[0])} is hardly more than the least, {_mass(numbers[1])}"
        return wrong, "Weigh the arrow well before you shoot it"
    if doubt.kind == "over the hand":
        wrong = f"at full draw the shaft ends {_length(numbers[1])} behind the grip, over the hand"
        return wrong, "Check length, draw_length and rest; never let an arrow slip off the rest"
    wrong = f"at full draw only {_length(numbers[0])} of the shaft stand before the rest"
    return wrong, f"Usual is {_length(numbers[1])} or more; check length, draw_length and rest"


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
    asked = questions(rig)
    if not asked:
        return ""
    what = "; ".join(QUESTIONS[key][0] for key in asked)
    return (
        f"Not on the rig sheet, so nobody can judge whether this set-up is safe to shoot: {what}."
    )


def refused_words(refused: Exception) -> str:
    """Any refusal as people read it; one for a stop or a question with all its lines."""
    if not isinstance(refused, Withheld):
        return str(refused)
    if refused.stops:
        return "\n".join((*_lines(refused.stops), f"{UNTIL}."))
    head = "Before the first arrow the rig sheet must tell:"
    return "\n".join((head, *question_lines(refused.questions), "Then ask again."))


def withheld_json(refused: Withheld) -> dict[str, Any]:
    """Why something was withheld, for other programs."""
    return {"stop": list(_lines(refused.stops)), "questions": questions_json(refused.questions)}


def questions_json(keys: tuple[str, ...]) -> list[dict[str, str]]:
    """Questions left open, for other programs."""
    return [
        dict(zip(("key", "asked", "answer"), (key, *QUESTIONS[key]), strict=True)) for key in keys
    ]


def found_of(rig: Rig, part: str) -> str:
    """What was found of a part of the check list."""
    return "damaged" if part in rig.damaged else "sound" if part in rig.sound else "open"


def check_list(rig: Rig) -> Table:
    """The check list before the first arrow."""
    found = {part: found_of(rig, part) for part in PARTS}
    rows = tuple(
        (*CHECKS[part], "not looked at yet" if one == "open" else one)
        for part, one in found.items()
    )
    return Table("Before the first arrow", ("part", "how", "who", "found"), rows)

"""Slips: what seems to be written down wrongly, and what to write instead, as sentences.

Holds:  the sentence of named slips, the mend of each in a few words, the same for programs.
Never:  which slips are named (confidence/slips.py), rows of a file (reading/corrected_rows.py).
"""

from typing import Any

from tapewright.ground.units import CM_M, INCH_M
from tapewright.services.calibrate import Answer, Slip
from tapewright.services.record_groups import Observation
from tapewright.words.answer_columns import rounded
from tapewright.words.number_format import chance_words
from tapewright.words.quantity_parser import neat
from tapewright.words.readings_on_tape import shown_words
from tapewright.words.unit_system import Units, amount

WHY = {
    "pin": "another pin was aimed with",
    "exchanged": "distance and reading are exchanged",
    "sign": "a sign is wrong",
    "neighbour": "it has the reading of the group beside it",
    "swapped": "they have each other's reading",
    "digit": "digits are exchanged, or one is wrong",
    "inches": "inches stand for centimetres, or these for those",
    "yards": "yards stand for metres, or these for those",
    "peg": "it was shot from another distance",
}
UNTIL = (
    "Until that is settled no group is planned, no mark is sound, and the tape is trusted no "
    "farther than with these arrows and without them"
)
WHERE_RIGHT = "If it was written right, put the group aside and shoot it again"
LIKELY = 0.1  # of the first one's chance: what is told beside it


def arrow_times(written: Observation, meant: Observation) -> tuple[float, float]:
    """By what right and up of every arrow are to be multiplied; 1 and 1 where they stand."""

    def times(side: str) -> float:
        pairs = zip(written.group.impacts, meant.group.impacts, strict=True)
        both = ((getattr(one, side), getattr(other, side)) for one, other in pairs)
        return next((other / one for one, other in both if one and other), 1.0)

    return times("right_m"), times("up_m")


def mend_words(slip: Slip, place: int, answer: Answer, units: Units) -> str:
    """What to write for one of a slip's groups, in a few words."""
    written, meant = written_of(answer, slip, place), slip.mistake.meant[place]
    if slip.mistake.is_reading_open:
        about = shown_by(answer, meant) or neat(round(meant.reading_m, 4), ("mm",))
        return f"the reading that was dialled, about {about} by the others"
    told = []
    if meant.pin != written.pin:
        told.append(f"pin {meant.pin}")
    if meant.distance_m != written.distance_m:
        told.append(f"distance {neat(meant.distance_m, (units.distance, 'yd', 'm', 'ft'))}")
    if meant.reading_m != written.reading_m:
        shown = shown_by(answer, meant)
        mm = neat(meant.reading_m, ("mm", "in"))
        told.append(f"dialled {shown} ({mm})" if shown else f"reading {mm}")
    right, up = arrow_times(written, meant)
    if up < 0.0:
        told.append("up with the other sign")
    elif up != 1.0 or right != 1.0:
        how = "times" if max(up, right) > 1.0 else "divided by"
        told.append(f"right and up {how} {INCH_M / CM_M:.2f}")
    return " and ".join(told)


def shown_by(answer: Answer, one: Observation) -> str:
    """What the tape on the sight showed for a group that was shot on it; empty for any other."""
    if answer.tape is None or one.scales != answer.tape.scales:
        return ""
    return shown_words(answer.tape, one.reading_m, pin=one.pin, at_m=one.distance_m)


def written_of(answer: Answer, slip: Slip, place: int) -> Observation:
    """One of a slip's groups as it stands in the notes."""
    seen = answer.posterior.calibration.evidence.observations
    return seen[slip.mistake.places[place]]


def mend_of_all_words(slip: Slip, answer: Answer) -> str:
    """What to write in every row, in a few words."""
    written, meant = written_of(answer, slip, 0), slip.mistake.meant[0]
    right, up = arrow_times(written, meant)
    farther = meant.distance_m > written.distance_m
    times = f"{'times' if max(up, right) > 1.0 else 'divided by'} {INCH_M / CM_M:.2f}"
    return {
        "exchanged": "in every row the distance as the reading, and the reading as the distance",
        "sign": f"in every row {'up' if up < 0.0 else 'the reading'} with the other sign",
        "inches": f"in every row right and up {times}",
        "yards": f"the same distances as {'metres' if farther else 'yards'}",
    }[slip.mistake.kind]


def is_of_all(slip: Slip, answer: Answer) -> bool:
    """Whether a slip is one and the same in all groups, however many."""
    return slip.mistake.kind != "swapped" and len(slip.mistake.places) == len(answer.groups) > 1


def likely(answer: Answer) -> tuple[Slip, ...]:
    """Named slips that are not far less likely than the first."""
    least = LIKELY * answer.slips[0].chance
    return tuple(slip for slip in answer.slips if slip.chance >= least)


def slip_words(answer: Answer, units: Units, *, in_short: bool = False) -> str:
    """What seems to be written down wrongly, and what to write, as sentences.

    In short the other ways are only counted: what is next tells them.
    """
    first, told_slips = answer.slips[0], likely(answer)
    ways = [_way(slip, answer, units) for slip in told_slips]
    names = " and ".join(one.group.name for one in first.mistake.meant)
    if len(first.mistake.places) > 1:
        who = "All groups seem" if is_of_all(first, answer) else f"Groups {names} seem"
    else:
        distance_m = written_of(answer, first, 0).distance_m
        who = f"Group {names} at {amount(distance_m, units.distance)} seems"
    told = f"{who} to be written down wrongly: {ways[0]}"
    if in_short and len(ways) > 1:
        others = (
            "the other way that" if len(ways) == 2 else f"one of {len(ways) - 1} other ways that"
        )
        return f"{told}; or {others} the next step tells. {UNTIL}."
    if len(ways) > 1:
        told += f"; or, fitting as well: {'; '.join(ways[1:])}"
    if len(ways) < len(answer.slips):
        told += "; or something less likely"
    return f"{told}. {UNTIL}. {WHERE_RIGHT}."


def _way(slip: Slip, answer: Answer, units: Units) -> str:
    """One slip: its chance, what happened, what to write."""
    mistake, first = slip.mistake, slip.mistake.places[0]
    chance, why = chance_words(slip.chance), WHY[mistake.kind]
    if first != answer.slips[0].mistake.places[0]:
        why = f"in group {mistake.meant[0].group.name} {why}"
    if is_of_all(slip, answer):
        return f"{why} ({chance}): write {mend_of_all_words(slip, answer)}"
    if len(mistake.places) == 1:
        return f"{why} ({chance}): write {mend_words(slip, 0, answer, units)}"
    mends = (
        f"group {one.group.name} {mend_words(slip, place, answer, units)}"
        for place, one in enumerate(mistake.meant)
    )
    return f"{why} ({chance}): write {', '.join(mends)}"


def slips_json(answer: Answer, units: Units) -> list[dict[str, Any]]:
    """Named slips for programs: what to write for each group, and the chance that it is so."""
    return [
        {
            "mistake": slip.mistake.kind,
            "chance": round(slip.chance, 4),
            "write": [
                _write(written_of(answer, slip, place), meant, units)
                for place, meant in enumerate(slip.mistake.meant)
            ],
        }
        for slip in answer.slips
    ]


def _write(written: Observation, meant: Observation, units: Units) -> dict[str, Any]:
    right, up = arrow_times(written, meant)
    return {
        "group": meant.group.name,
        f"distance_{units.distance}": rounded(meant.distance_m, units.distance, 4),
        "reading_mm": rounded(meant.reading_m, "mm", 4),
        "pin": meant.pin,
        "right_times": round(right, 4),
        "up_times": round(up, 4),
    }

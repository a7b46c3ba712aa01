"""Groups: the question what groups show, and what to turn after each.

Holds:  the errand ``group``.
Never:  formulas, sentences that people read as an answer.
"""

from collections.abc import Sequence
from typing import Any

from tapewright.faces.shooting_json import group_json, steps_json
from tapewright.faces.telling.groups import groups_blocks
from tapewright.ground.errors import BadInput
from tapewright.questions.question import Field, Question, Said
from tapewright.services.calibrate import Answer
from tapewright.services.correct_groups import (
    Calibration,
    FoundGroups,
    correct_groups,
    correct_steps,
)
from tapewright.services.equip import Rig
from tapewright.services.record_groups import Observation
from tapewright.words.quantities import read_quantity
from tapewright.words.unit_names import quoted
from tapewright.words.units import Units

TURN_ENDS = (2, 1000)
YES_NO, WINDAGES = ("no", "yes"), ("moved", "still")


def find_groups(
    observations: Sequence[Observation],
    rig: Rig | None,
    fitted: Calibration | None,
    said: Said,
    probability: float,
) -> FoundGroups:
    """Groups measured, and what to turn, as asked."""
    zero_sd_m = _zero_sd(said)
    per_turn = None
    if said.text("clicks_per_turn"):
        per_turn = said.whole("clicks_per_turn", 20, TURN_ENDS)
    is_stepwise = said.choice("arrow_by_arrow", "no", YES_NO) == "yes"
    windage_moved = said.choice("windage", "moved", WINDAGES) == "moved"
    if not is_stepwise:
        return correct_groups(observations, rig, fitted, zero_sd_m, probability, per_turn)
    place = said.place("arrow_by_arrow")
    if rig is None or fitted is None:
        wrong = "no rig sheet is given, so readings cannot be turned into angles"
        raise BadInput(place, wrong, "Write: tapewright group RIG.toml SHOTS.csv")
    found = correct_steps(
        observations, rig, fitted, zero_sd_m, probability, per_turn, windage_moved=windage_moved
    )
    if not found.steps:
        wrong = "no arrow of the last distance is measured right and up"
        raise BadInput(place, wrong, "Write right and up of each arrow")
    return found


def _zero_sd(said: Said) -> float | None:
    text, place = said.text("zero_within"), said.place("zero_within")
    if not text:
        return None
    sd_m = read_quantity(text, "length", place, "1 in")
    if sd_m <= 0.0:
        raise BadInput(place, f"{quoted(text)} is not above zero", 'Write such as "1 in"')
    return sd_m


def _ask(answer: Answer, said: Said, _: Units) -> FoundGroups:
    if not answer.observations:
        wrong = "no group was shot with this rig as it stands"
        raise BadInput(answer.rig.name, wrong, "Shoot one first")
    fitted, probability = answer.posterior.calibration, answer.bands.probability
    return find_groups(answer.observations, answer.rig, fitted, said, probability)


def write_groups(found: FoundGroups, units: Units) -> dict[str, Any]:
    """Groups, or steps when they were asked, as JSON."""
    if found.steps:
        return steps_json(found.steps, units)
    return group_json(found.measured, found.moves or found.shifts, units)


QUESTION = Question(
    "group",
    "All groups",
    "Centres, spreads and flyers of every group, and what to turn after each, or that you had "
    "better leave it. The sight follows the arrows.",
    (
        Field(
            "zero_within",
            "Zero known within",
            hint="How far off the zero can be at that distance, two times in three, such as 1 in. "
            "Left open: ten dispersions.",
        ),
        Field("clicks_per_turn", "Clicks per turn", hint="Many clicks are then said in turns."),
        Field(
            "arrow_by_arrow",
            "Arrow by arrow",
            "no",
            hint="Yes if the sight was moved after each arrow.",
            choices=YES_NO,
        ),
        Field(
            "windage",
            "Windage meanwhile",
            "moved",
            hint="Arrow by arrow: whether it was moved as told.",
            choices=WINDAGES,
        ),
    ),
    _ask,
    groups_blocks,
    write_groups,
)

"""Next step card: the one next step as a card of a page, with the way that each step leads.

Holds:  the NextCard record; under which address of a rig a step is done.
Never:  which step is next (services/what_now.py), its words (questions/next.py), layout.
"""

from collections.abc import Callable
from dataclasses import dataclass

from tapewright.questions.next import (
    NAMES,
    StepWords,
    also_words,
    instead_words,
    step_cautions,
    step_told,
)
from tapewright.services.what_now import NextStep, StepKind
from tapewright.words.stops import unjudged_words
from tapewright.words.unit_system import Units

Way = tuple[str, str]  # what a button says, and the end of its address under a rig

WAYS: dict[StepKind, Way] = {
    "stop": ("Correct the rig sheet", "/sheet"),
    "tell": ("Write it in", "/sheet"),
    "slip": ("Look at the groups", "/shoot"),
    "cease": ("Look at the groups", "/shoot"),
    "check": ("Correct the rig sheet", "/sheet"),
    "stick": ("Say which strip is on", "/on-sight"),
    "measure": ("Write it in", "/sheet?at=sight.reading_per_travel#sight.reading_per_travel"),
    "shoot": ("Shoot this group", "/groups/new"),
    "butt": ("Say where you can shoot", "/plan"),
    "tape": ("Print the tape", "/tape"),
    "prove": ("Prove the tape", "/prove"),
    "mend": ("See what the proof found", "/prove"),
    "card": ("Make a card", "/ask/card"),
    "season": ("Prove the tape", "/prove"),
    "done": ("Shoot a group", "/shoot"),
}


@dataclass(frozen=True, slots=True)
class NextCard:
    """The next step, ready for a page."""

    kind: StepKind
    told: StepWords
    main: Way | None  # the filled button; None where the mends of a slip take its place
    instead: tuple[str, Way] | None  # what may be done all the same
    also: tuple[tuple[str, Way], ...]  # what may be done beside it
    after: str  # what follows, in a few words; empty for nothing
    cautions: tuple[str, ...]


def next_card(
    step: NextStep,
    units: Units,
    shot_query: str,
    group_address: Callable[[str], str],
    *,
    mends: bool,
) -> NextCard:
    """The card of a step.

    ``shot_query`` fills the form of the plan's first group; ``group_address`` is the end of a
    group's address, by its name; ``mends`` says whether a slip's mends stand there as buttons.
    """
    shoot = ("Shoot this group", f"/groups/new?{shot_query}")
    main: Way | None = shoot if step.kind == "shoot" else WAYS[step.kind]
    if step.kind == "tell":
        asked = step.answer.questions[0]
        main = (WAYS["tell"][0], f"/sheet?at={asked}#{asked}")
    first = next(iter(step.cautions), None)
    if first is not None and first.kind in ("odd group", "same arrows"):
        name = first.subject.partition(" and ")[0]
        main = (f"Look at group {name}", group_address(name))
    words = instead_words(step, units)
    unjudged = unjudged_words(step.answer.rig)  # which the page tells by itself
    return NextCard(
        step.kind,
        step_told(step, units),
        None if mends else main,
        (words, ("Shoot all the same", shoot[1])) if words else None,
        tuple(
            (told, WAYS[kind])
            for told, kind in zip(also_words(step, units), step.also, strict=True)
        ),
        ", then ".join(NAMES[one] for one in step.after),
        tuple(one for one in step_cautions(step) if one != unjudged),
    )

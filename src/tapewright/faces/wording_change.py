"""Wording of changes: what another arrow, peep or string costs, and what buys it back.

Holds:  sentences on a changed rig.
Never:  layout, computations.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from tapewright.faces.wording_planning import tidy_distance
from tapewright.words.answer import SAFETY, caution_words, past_limit_words

if TYPE_CHECKING:
    from tapewright.services.change_rig import ChangedRig
    from tapewright.words.units import Units

LIGHT, PRESS = SAFETY[2], SAFETY[4]
MOST_SAID = 4  # confirming groups in a sentence


@dataclass(frozen=True, slots=True)
class Ways:
    """What a person does next, in the words of their face."""

    plan: str  # where a session is planned
    again: str  # how the confirming arrows are counted
    copy: str  # what to look at when two sheets tell no difference


BY_COMMAND = Ways(
    "see tapewright plan",
    "write them down and run this again with the new file of shots",
    "is the second one the copy in which you wrote the change?",
)
BY_PAGE = Ways(
    "see What to shoot next",
    "write them down under Shoot and look here again",
    "write what you changed into its lines.",
)


def _distance_or_none(distance_m: float, units: Units) -> str:
    return tidy_distance(distance_m, units.distance) if distance_m else "no distance"


def _groups_to_shoot(found: ChangedRig, units: Units) -> str:
    """The first few confirming groups, and how many more."""
    groups = [
        f"{step.arrows} arrows at {tidy_distance(step.distance_m, units.distance)} "
        f"(dial {1e3 * reading:.2f} mm)"
        for step, reading in zip(found.steps, found.readings_m, strict=True)
    ]
    more = len(groups) - MOST_SAID
    groups_more = "1 group" if more == 1 else f"{more} groups"
    rest = f", and {groups_more} more" if found.gets_there and more > 0 else ""
    return ", then ".join(groups[: MOST_SAID if found.gets_there else 1]) + rest


def change_words(found: ChangedRig, units: Units, ways: Ways = BY_COMMAND) -> tuple[str, ...]:
    """What a change did to the trust, and what buys it back."""
    before = _distance_or_none(found.old.trusted_m[0], units)
    wanted = _distance_or_none(found.wanted_m, units)
    again, restore = (" again", "restore") if found.old.trusted_m[0] else ("", "bring trust to")
    after = _distance_or_none(found.new.trusted_m[0], units)
    said = [f"Trusted before the change: {before}; now: {after}."]
    if not found.new.is_earned:
        alone = _distance_or_none(found.new.once_zeroed_m[0], units)
        now = "nothing, until a group with the new set-up fits"
        carry = f"The bands alone would carry {alone}."
        said = [f"Trusted before the change: {before}; now: {now}. {carry}"]
    if not found.differs:
        said.append(f"The two sheets tell no difference that reaches a mark: {ways.copy}")
    elif found.is_restored:
        said.append("Nothing is lost, so no arrow has to be shot to win it back.")
    elif not found.steps:
        said.append(f"No safe group can be planned here: {ways.plan}.")
    elif found.new.posterior.is_set_by_eye:
        said.append(f"No arrow has hit with the old set-up, so no reading is known: {ways.plan}.")
    elif found.gets_there:
        said.append(
            f"To confirm shoot {_groups_to_shoot(found, units)}. After these you may expect to "
            f"trust {wanted}{again}; {ways.again}."
        )
    else:
        arrows = sum(step.arrows for step in found.steps)
        far = _distance_or_none(found.steps[-1].trusted_m, units)
        said.append(
            f"Even {arrows} arrows would hardly {restore} {wanted} on this butt and for this "
            f"tolerance: expect to trust {far}. Begin with {_groups_to_shoot(found, units)}, and "
            f"{ways.plan}."
        )
    return tuple(said)


def pin_words(found: ChangedRig, units: Units) -> tuple[str, ...]:
    """How far the further pins are trusted, a sentence each."""
    return tuple(
        f"Pin {pin} is trusted to {_distance_or_none(trusted_m, units)}."
        for pin, trusted_m in enumerate(found.new.trusted_m[1:], 2)
    )


def change_cautions(found: ChangedRig, units: Units) -> tuple[str, ...]:
    """What must be read before a changed bow is shot."""
    told = tuple(caution_words(one, found.new, units) for one in found.new.cautions)
    stop = past_limit_words(found.new)
    return (*told, *((stop,) if stop else ()), LIGHT, PRESS, SAFETY[0])

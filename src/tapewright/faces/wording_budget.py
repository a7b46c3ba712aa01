"""Wording of budgets: which error costs how much, and what to improve first.

Holds:  names of errors, their mends, sentences on a miss budget.
Never:  layout, computations.
"""

from __future__ import annotations

from math import sqrt
from typing import TYPE_CHECKING

from tapewright.faces.wording_planning import tidy_distance
from tapewright.words.units import Units, amount

if TYPE_CHECKING:
    from tapewright.services.weigh_errors import Budget

ERROR_NAMES = {
    "distance": "wrong distance",
    "cant": "cant",
    "peep": "eye in the peep",
    "wind": "wind misjudged",
    "slope": "slope misjudged",
    "temperature": "other air",
    "arrow speed": "speed from arrow to arrow",
    "dispersion": "dispersion",
    "wobble": "wobble from group to group",
    "tape": "band of the tape",
    "together": "all together",
}
ERROR_MENDS = {
    "distance": "measure distances, or practise judging them",
    "cant": "watch the bubble, or level the sight: see “level”",
    "peep": "a smaller peep, or one that matches the housing's ring",
    "wind": "learn to read the wind: see “wind”",
    "slope": "measure slopes: see “slopes”",
    "temperature": "marks for the day's air: see “weather”",
    "arrow speed": "match arrows by weight",
    "dispersion": "practice, and arrows that match",
    "wobble": "practice: the same grip, anchor and stance each time",
    "tape": "more groups: plan what to shoot next",
}


def budget_words(found: Budget, units: Units) -> tuple[str, ...]:
    """What costs most and what to improve first, as sentences."""
    together = found.shares[-1]
    where = tidy_distance(found.distance_m, units.distance)
    said = [
        (
            f"At {where}, when all of this comes together, one arrow in three misses by more than "
            f"{amount(together.up_m, units.miss)} up or down; one in three by more than "
            f"{amount(together.right_m, units.miss)} left or right."
        )
    ]
    for order, share in zip(("First", "Then"), found.shares[:2], strict=True):
        gain = 100.0 * (1.0 - sqrt(1.0 - share.saved))
        said.append(
            f"{order} improve: {ERROR_NAMES[share.name]} (without it misses shrink by "
            f"{gain:.0f} %): {ERROR_MENDS[share.name]}."
        )
    return tuple(said)

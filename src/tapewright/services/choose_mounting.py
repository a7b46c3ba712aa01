"""Choose mounting: say where to bolt a sight, and from where to where it then reaches.

Holds:  the FoundMountings record; what must be told before; which mounting comes first.
Never:  formulas, sentences.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from tapewright.confidence.bolting import Mounting, MountingReach, Seen, mounting_reaches
from tapewright.ground.errors import BadInput
from tapewright.services.calibrate import Answer

__all__ = ["FoundMountings", "Mounting", "MountingReach", "Seen", "choose_mounting"]

SURELY = 0.01  # chances nearer to each other than that are alike


@dataclass(frozen=True, eq=False)
class FoundMountings:
    """Every mounting there is, the best first."""

    answer: Answer  # the calibration
    wanted_m: tuple[float, float]  # nearest and farthest distance wanted
    ranked: tuple[MountingReach, ...]
    now: Mounting | None  # where the sight is bolted, if that is among them
    seen: Seen | None  # the look along the arrow that was counted; None: arrows tell more

    @property
    def best(self) -> MountingReach:
        """The one to bolt."""
        return self.ranked[0]


def choose_mounting(
    answer: Answer,
    mountings: Sequence[Mounting],
    wanted_m: tuple[float, float],
    travel_m: tuple[float, float] | None,
    seen: Seen | None,
) -> FoundMountings:
    """Rank the mountings: those that surely hold what is wanted, the pin farthest forward first.

    Ends of the travel that are not given are the sheet's. Without an arrow shot the look along the
    arrow must be told; with one it is not asked.
    """
    sight, posterior = answer.rig.sight, answer.posterior
    travel_m = travel_m or sight.travel_ends_m
    if travel_m is None:
        raise BadInput(
            "travel", "nobody said where the sight's travel ends",
            "Turn the sight to both stops and give both numbers, such as 0, 85 mm; travel_ends in "
            "the rig sheet are heard, too",
        )  # fmt: skip
    if any(one.below_pin_m is not None for one in mountings) and not sight.housing_below_pin_m:
        raise BadInput(
            "housings", "the rig sheet does not tell how far its own housing reaches below the pin",
            "Write housing_below_pin under [sight]",
        )  # fmt: skip
    if not posterior.is_set_by_eye:
        seen = None
    elif seen is None:
        raise BadInput(
            "seen", "nothing tells yet how the sight's numbers lie to the arrow",
            "Give the reading at which the pin is seen on the spot at which the nocked arrow "
            "points, or shoot a group",
        )  # fmt: skip
    rng = np.random.default_rng([answer.trust.seed, 17])
    found = mounting_reaches(
        posterior, mountings, wanted_m, travel_m, seen, rng, answer.bands.probability
    )  # fmt: skip

    def merit(one: MountingReach) -> tuple[float, ...]:
        spare = one.farthest_m[0] - one.nearest_m[0]
        return round(one.chance / SURELY), one.mounting.ahead_m, spare, -one.mounting.housing

    ranked = tuple(sorted(found, key=merit, reverse=True))
    now = next((one for one in mountings if not (one.up_m or one.ahead_m)), None)
    return FoundMountings(answer, wanted_m, ranked, now, seen)

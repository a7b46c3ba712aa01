"""Meet cold: what is proven of a bow in the cold and the clothes of a hunt, and what to shoot next.

The calibration is carried into that air and those clothes as after a change, so that nothing is
trusted there before a group has hit there; groups that were shot there are fitted on top of it.

Holds:  the Cold record and the errand that makes it; which groups were shot there.
Never:  formulas, sentences.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tapewright.calibration.observation import Observation
from tapewright.confidence.bands import spread_of_marks, within_trust
from tapewright.confidence.ladder import earned_trust, farthest_hit, is_far_air
from tapewright.field.change import carried_prior
from tapewright.field.weather import LIMBS_PER_K, limb_miss
from tapewright.flight.air import Air
from tapewright.services.calibrate import Answer, answer_at, calibrate
from tapewright.services.change_rig import carried_answer
from tapewright.services.meet_weather import Weather, meet_air
from tapewright.services.stops import refuse_too_cold

__all__ = ["LIMBS_PER_K", "SURE", "Air", "Cold", "Observation", "is_far_air", "meet_cold"]

Floats = NDArray[np.float64]

SURE = 0.98  # chance with which marks that are called proven there all hold


@dataclass(frozen=True)
class Cold:
    """A rig in the cold, or the heat, and in other clothes."""

    home: Weather  # marks at home, and what the air alone does to them
    there: Answer  # marks there, by the groups that were shot there
    is_bulky: bool  # whether other clothes are worn than those of the calibration
    limbs_m: Floats  # what limbs may do to marks that count the air alone [m]
    groups: tuple[Observation, ...]  # shot in that air and those clothes

    @property
    def is_asked(self) -> bool:
        """Whether anything must be proven there: far colder or warmer, or in other clothes."""
        return self.is_bulky or self.is_far

    @property
    def is_far(self) -> bool:
        """Whether limbs and string may shoot otherwise than where the calibration was shot."""
        return self.home.is_far

    @cached_property
    def proven_m(self) -> float:
        """How far marks are proven there; 0: not at all. [m]

        A hunt allows no second arrow, so it is asked with more chance than a tape's trust.
        """
        there, hit_m = self.there, farthest_hit(self.there.observations, self.there.groups)
        if not self.is_asked or not hit_m:
            return there.trusted_m[0]
        grid_m = within_trust(there.posterior, there.trust.grid_m)
        spread = spread_of_marks(there.posterior, grid_m, max(SURE, there.bands.probability))
        carries_m = there.trust.carries_m(spread, there.rig.archer.tolerance_m)
        return earned_trust(carries_m, hit_m, there.ladder, grid_m)


def meet_cold(
    answer: Answer,
    distance_m: ArrayLike,
    temperature_k: float,
    others: Sequence[Observation] = (),
    *,
    is_bulky: bool = False,
    named: Sequence[str] = (),
) -> Cold:
    """Marks in the cold and the clothes of a hunt.

    ``others``: groups beside the calibration's, as those of proofs; ``named``: which of all were
    shot there, by name; none: those shot in such air. Withheld below the maker's least temperature.
    """
    refuse_too_cold(answer.rig, temperature_k)
    every = (*answer.observations, *answer.elsewhere, *others)
    shot = tuple(one for one in every if _is_there(one, answer, temperature_k, named))
    if not named and not is_far_air(answer.rig.air.temperature_k, temperature_k):
        shot = ()  # as the calibration was shot: nothing tells the clothes
    left = [one for one in answer.observations if one not in shot]
    cloud = answer.posterior.calibration.evidence.prior.cloud
    is_all = bool(shot) and not left and cloud is None  # without them nothing knows the scale
    if is_all and is_bulky and not named:
        shot, is_all = (), False  # bulky is more than these, all there are, were shot in
    home = answer if is_all else _without(answer, shot)
    air = replace(answer.rig.air, temperature_k=temperature_k)
    weather = meet_air(home, distance_m, air)
    limbs_m = limb_miss(
        home.posterior.calibration.evidence.prior.unknowns.bow(home.posterior.vectors),
        distance_m, weather.marks.density_ratio, weather.warmer_k,
    )  # fmt: skip
    found = Cold(weather, answer_at(home, distance_m), is_bulky, limbs_m, shot)
    if not found.is_asked:
        return found
    rig, grid_m, seed = replace(answer.rig, air=air), answer.trust.grid_m, answer.trust.seed
    if is_all:  # nothing was shot elsewhere that could be carried
        there = calibrate(rig, shot, distance_m, grid_m, seed, answer.bands.probability)
        return replace(found, there=there)
    there = carried_answer(home, rig, shot, grid_m, seed, other_clothes=is_bulky)
    return replace(found, there=answer_at(there, distance_m))


def _is_there(one: Observation, answer: Answer, temperature_k: float, named: Sequence[str]) -> bool:
    """Whether a group was shot in that air and those clothes."""
    if named:
        return one.group.name in named
    home_k = answer.rig.air.temperature_k
    shot_k = one.air.temperature_k if one.air else home_k
    return abs(shot_k - temperature_k) < abs(shot_k - home_k) and not is_far_air(
        shot_k, temperature_k
    )


def _without(answer: Answer, shot: Sequence[Observation]) -> Answer:
    """The calibration without groups that were shot there, if any calibrates."""
    kept = tuple(one for one in answer.observations if one not in shot)
    if len(kept) == len(answer.observations):
        return answer
    prior = answer.posterior.calibration.evidence.prior
    carried = None
    if prior.cloud is not None:  # beliefs as they were carried, without errors of distances
        before_m, is_zeroed = prior.hit_before_m, prior.is_zeroed
        carried = carried_prior(prior.cloud, answer.rig, before_m, is_zeroed=is_zeroed)
        carried = replace(carried, distances=prior.distances, scales=prior.scales)
    return calibrate(
        answer.rig, kept, answer.bands.distance_m, answer.trust.grid_m, answer.trust.seed,
        answer.bands.probability, carried,
    )  # fmt: skip

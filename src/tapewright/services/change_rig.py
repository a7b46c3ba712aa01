"""Change rig: what the old arrows still tell after a change, and what buys the trust back.

Holds:  the ChangedRig record; the errand from an old calibration to the new one.
Never:  formulas, sentences.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tapewright.calibration.observation import Observation
from tapewright.calibration.rig import Rig
from tapewright.confidence.advice import Step, Wish, plan_session, prospect
from tapewright.confidence.bands import NEAREST_TRUSTED_M
from tapewright.confidence.ladder import FIRST_M, NEAREST_M, is_far_air
from tapewright.confidence.landing import Butt
from tapewright.field.change import carried_draws, carried_prior, in_distances_of, other_scale
from tapewright.ground.errors import OtherScale
from tapewright.ground.units import YARD_M
from tapewright.services.calibrate import Answer, Bands, answer_at, calibrate, pin_bands
from tapewright.services.fingerprint import short_hash
from tapewright.services.limits import reachable
from tapewright.services.record_groups import refuse_twice
from tapewright.services.stops import refuse_stopped
from tapewright.services.usual_wish import usual_places

__all__ = [
    "Butt",
    "ChangedRig",
    "Observation",
    "Rig",
    "Step",
    "carried_answer",
    "change_rig",
    "confirming_steps",
    "further_pins",
]

Floats = NDArray[np.float64]

MARGIN = 0.9  # of the tolerance, so that luck of the arrows seldom decides; simulated
MOST_ARROWS = 60
STEP_M = 5.0 * YARD_M
CLOSE_M = 1e-6


@dataclass(frozen=True)
class ChangedRig:
    """A rig before and after a change."""

    old: Answer  # calibrations before and after, for the same distances
    new: Answer
    # Groups that buy the old trusted distance back; empty when nothing is lost
    steps: tuple[Step, ...]
    readings_m: tuple[float, ...]  # what to dial for each of them
    new_string: bool = False  # whether string or cables were replaced
    half_bands_m: tuple[float, ...] = ()  # half of the bands of what to dial

    @property
    def differs(self) -> bool:
        """Whether anything changed, or was learned since."""
        parts = [(one.arrow, one.bow, one.sight, one.air) for one in (self.old.rig, self.new.rig)]
        return self.new_string or parts[0] != parts[1] or bool(self.new.observations)

    @property
    def to_broadheads(self) -> bool:
        """Whether broadheads took the place of field points, or blades that of others."""
        return _to_broadheads(self.old.rig, self.new.rig)

    @property
    def wanted_m(self) -> float:
        """The distance to be trusted again: the old trusted one, or what its bands carried. [m]

        Never past the farthest that the archer shoots, where the sheet tells it.
        """
        was_m, farthest_m = self.old.trusted_m[0], self.new.rig.archer.farthest_m
        was_m = was_m or self.old.once_zeroed_m[0]
        return was_m if farthest_m is None else min(was_m, max(farthest_m, NEAREST_TRUSTED_M))

    @property
    def is_restored(self) -> bool:
        """Whether nothing is lost, or was bought back already."""
        return self.new.trusted_m[0] >= self.wanted_m - CLOSE_M

    @property
    def gets_there(self) -> bool:
        """Whether the groups planned are enough."""
        return bool(self.steps) and self.steps[-1].trusted_m >= self.wanted_m - CLOSE_M


def confirming_steps(
    new: Answer,
    wanted_m: float,
    butt: Butt,
    most_arrows: int = MOST_ARROWS,
    step_m: float = STEP_M,
) -> tuple[Step, ...]:
    """Groups after which a distance is trusted again, with a margin for bad luck."""
    if wanted_m < NEAREST_M:
        return ()
    places = np.asarray(usual_places(wanted_m, 0.2 * step_m))
    places = places[reachable(new, places)]
    if not len(places):
        return ()
    own = np.abs(places / step_m - np.round(places / step_m)) < CLOSE_M
    own &= places > 1.5 * step_m
    steps = max(1, round((wanted_m - NEAREST_TRUSTED_M) / step_m))
    grid = np.unique(np.linspace(NEAREST_TRUSTED_M, wanted_m, steps + 1))
    wish = Wish(MARGIN * new.rig.archer.tolerance_m, butt, new.bands.probability)
    now = prospect(new.posterior, places, grid, new.ladder)
    return plan_session(now, wish, most_arrows, least_groups=1, own=own)[0]


def _to_broadheads(old: Rig, new: Rig) -> bool:
    before, after = old.arrow, new.arrow
    blades = before.blade_diameter_m, after.blade_diameter_m
    are_others = None not in blades and blades[0] != blades[1]
    return after.point == "broadhead" and (before.point != after.point or are_others)


def carried_answer(
    old: Answer,
    rig: Rig,
    observations: tuple[Observation, ...],
    trust_grid_m: ArrayLike,
    seed: int = 1,
    *,
    new_string: bool = False,
    other_clothes: bool = False,
) -> Answer:
    """A changed rig's calibration, from the old one and the groups shot since.

    In far colder or warmer air, or other clothes, the steps begin as with the first arrow.
    """
    if other := other_scale(old.rig, rig):
        verb = "differs" if len(other) == 1 else "differ"
        wrong = f"{' and '.join(other)} {verb} from the old sheet: no old reading carries over"
        raise OtherScale("new_rig", wrong, "Calibrate the new rig by itself")
    unknowns = old.posterior.calibration.evidence.prior.unknowns
    rng = np.random.default_rng([seed, 9])
    vectors = old.posterior.vectors
    cloud = carried_draws(
        vectors, unknowns, old.rig, rig, rng, new_string=new_string, other_clothes=other_clothes
    )
    distance_m, chance = old.bands.distance_m, old.bands.probability
    hit_before_m = max(old.ladder.hit_m, old.ladder.before_m)
    if other_clothes or is_far_air(old.rig.air.temperature_k, rig.air.temperature_k):
        hit_before_m = min(hit_before_m, FIRST_M)
    if _to_broadheads(old.rig, rig):
        hit_before_m = 0.0  # what field points, or other blades, hit earns these blades nothing
    was = old.posterior.calibration.evidence.prior.distances
    told = rig.archer.distances or was
    cloud = in_distances_of(cloud, rig, was, told, rng)
    prior = carried_prior(cloud, rig, hit_before_m, is_zeroed=not old.posterior.is_set_by_eye)
    prior = replace(prior, distances=told, scales=old.rig.sight.scales)
    new = calibrate(rig, observations, distance_m, trust_grid_m, seed, chance, prior)
    changed = (new_string, *([other_clothes] if other_clothes else []))  # as it was before clothes
    made_from = repr((old.fingerprint, new.fingerprint, *changed))
    return replace(new, fingerprint=short_hash(made_from))


def change_rig(
    old: Answer,
    rig: Rig,
    observations: tuple[Observation, ...],
    trust_grid_m: ArrayLike,
    butt: Butt,
    seed: int = 1,
    *,
    new_string: bool = False,
    step_m: float = STEP_M,
) -> ChangedRig:
    """A changed rig's marks at once, and how many arrows confirm them."""
    refuse_stopped(rig)
    refuse_twice(observations, old.observations)
    new = carried_answer(old, rig, observations, trust_grid_m, seed, new_string=new_string)
    found = ChangedRig(old, new, (), (), new_string)
    if found.is_restored:
        return found
    steps = confirming_steps(new, found.wanted_m, butt, step_m=step_m)
    if not steps:
        return found
    dial = answer_at(new, [step.distance_m for step in steps]).bands
    half_m = 0.5 * (dial.high_m - dial.low_m)
    marks, halves = (tuple(part.tolist()) for part in (dial.reading_m, half_m))
    return replace(found, steps=steps, readings_m=marks, half_bands_m=halves)


def further_pins(found: ChangedRig) -> tuple[tuple[Bands | None, Bands], ...]:
    """Marks of pins 2, 3 and so on."""
    had = len(found.old.trusted_m)
    return tuple(
        (pin_bands(found.old, pin) if pin <= had else None, pin_bands(found.new, pin))
        for pin in range(2, len(found.new.trusted_m) + 1)
    )

"""Change rig: what the old arrows still tell after a change, and what buys the trust back.

Holds:  the ChangedRig record; the errand from an old calibration to the new one.
Never:  formulas, sentences.
"""

import hashlib
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tapewright.calibration.observation import Observation
from tapewright.calibration.rig import Rig
from tapewright.confidence.advice import Step, Wish, plan_session
from tapewright.confidence.bands import NEAREST_TRUSTED_M, drawn_marks
from tapewright.confidence.outlook import Butt, outlook
from tapewright.field.change import carried_draws, carried_prior, has_another_scale
from tapewright.ground.errors import BadInput
from tapewright.ground.units import YARD_M
from tapewright.services.calibrate import Answer, calibrate
from tapewright.services.limits import reachable

__all__ = ["Butt", "ChangedRig", "Observation", "Rig", "Step", "change_rig", "confirming_steps"]

Floats = NDArray[np.float64]

MARGIN = 0.9  # of the tolerance, so that luck of the arrows seldom decides; simulated
MOST_ARROWS = 60
STEP_M = 5.0 * YARD_M
CLOSE_M = 1e-6


@dataclass(frozen=True)
class ChangedRig:
    """A rig before and after a change.

    Parameters
    ----------
    old, new : Answer
        Calibrations before and after, for the same distances.
    steps : tuple of Step
        Groups that buy the old trusted distance back; empty when nothing is lost.
    readings_m : tuple of float
        What to dial for each of them. [m]
    """

    old: Answer
    new: Answer
    steps: tuple[Step, ...]
    readings_m: tuple[float, ...]

    @property
    def wanted_m(self) -> float:
        """The distance to be trusted again: the old trusted one. [m]"""
        return self.old.trusted_m[0]

    @property
    def is_restored(self) -> bool:
        """Whether nothing is lost, or was bought back already."""
        return self.new.trusted_m[0] >= self.wanted_m - CLOSE_M

    @property
    def gets_there(self) -> bool:
        """Whether the groups planned are enough."""
        return bool(self.steps) and self.steps[-1].trusted_m >= self.wanted_m - CLOSE_M


def confirming_steps(
    new: Answer, wanted_m: float, butt: Butt, most_arrows: int = MOST_ARROWS
) -> tuple[Step, ...]:
    """Groups after which a distance is trusted again, with a margin for bad luck.

    Parameters
    ----------
    new : Answer
        The calibration after the change.
    wanted_m : float
        Distance to be trusted. [m]
    butt : Butt
        Aimed at in its middle.
    most_arrows : int, default 60
        Arrows before fatigue. [-]

    Returns
    -------
    tuple of Step
        In the order to shoot them; none where the sight does not reach.
    """
    places = np.arange(2.0 * STEP_M, wanted_m + CLOSE_M, STEP_M)
    places = places[reachable(new, places)] if len(places) else places
    if not len(places):
        return ()
    steps = max(1, round((wanted_m - NEAREST_TRUSTED_M) / STEP_M))
    grid = np.unique(np.linspace(NEAREST_TRUSTED_M, wanted_m, steps + 1))
    wish = Wish(MARGIN * new.rig.archer.tolerance_m, butt, new.bands.probability)
    return plan_session(outlook(new.posterior, places, grid), wish, most_arrows, least_groups=1)


def change_rig(
    old: Answer,
    rig: Rig,
    observations: tuple[Observation, ...],
    trust_grid_m: ArrayLike,
    butt: Butt,
    seed: int = 1,
    *,
    new_string: bool = False,
) -> ChangedRig:
    """A changed rig's marks at once, and how many arrows confirm them.

    Parameters
    ----------
    old : Answer
        The calibration before the change.
    rig : Rig
        The sheet after it.
    observations : tuple of Observation
        Groups shot since; may be empty.
    trust_grid_m : (k,) array
        Distances that may be the trusted one, growing. [m]
    butt : Butt
        What stops the confirming arrows.
    seed : int, default 1
        Of the draws. [-]
    new_string : bool, default False
        Whether string or cables were replaced.

    Returns
    -------
    ChangedRig
        In numbers.

    Raises
    ------
    BadInput
        If the new sheet's sight counts differently.
    """
    if has_another_scale(old.rig, rig):
        wrong = "farther, reading_per_travel or arm_length differ: no old reading carries over"
        raise BadInput("NEWRIG.toml", wrong, "Calibrate the new sight by itself: tapewright fit")
    unknowns = old.posterior.calibration.evidence.prior.unknowns
    rng = np.random.default_rng([seed, 9])
    vectors = old.posterior.vectors
    cloud = carried_draws(vectors, unknowns, old.rig, rig, rng, new_string=new_string)
    distance_m, chance = old.bands.distance_m, old.bands.probability
    prior = carried_prior(cloud, rig)
    new = calibrate(rig, observations, distance_m, trust_grid_m, seed, chance, prior)
    made_from = repr((old.fingerprint, new.fingerprint, new_string))
    new = replace(new, fingerprint=hashlib.sha256(made_from.encode()).hexdigest()[:8])
    steps: tuple[Step, ...] = ()
    if old.trusted_m[0] > new.trusted_m[0] + CLOSE_M:
        steps = confirming_steps(new, old.trusted_m[0], butt)
    ahead = [step.distance_m for step in steps]
    marks = np.median(drawn_marks(new.posterior, ahead), axis=0) if ahead else ()
    return ChangedRig(old, new, steps, tuple(float(one) for one in marks))

"""Calibrate: fit, draw, check, and hand over the answer with what it was made from.

Holds:  the Answer record and the errand that makes it.
Never:  formulas, sentences.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tapewright.calibration.fit import Calibration, fit_bow
from tapewright.calibration.observation import Observation
from tapewright.calibration.prior import Prior
from tapewright.calibration.rig import Rig
from tapewright.confidence.bands import (
    Bands,
    Spread,
    bands,
    bands_of,
    on_the_curves,
    spread_of_marks,
    within_trust,
)
from tapewright.confidence.checks import Caution, GroupCheck, cautions, group_checks
from tapewright.confidence.estimates import Estimate, estimates
from tapewright.confidence.ladder import (
    Ladder,
    air_cautions,
    earned_trust,
    farthest_hit,
    is_far_air,
    ladder_of,
)
from tapewright.confidence.limits import ReadingLimits, reading_limits
from tapewright.confidence.posterior import COUNTED_FROM_M, Posterior, draw_posterior
from tapewright.confidence.slips import NO_DOUBT, Doubt, Slip, find_doubt, slip_cautions
from tapewright.confidence.two_bows import (
    TwoBows,
    proved_from,
    two_bows,
    two_bows_cautions,
)
from tapewright.services.fingerprint import fingerprint_of
from tapewright.services.record_groups import of_point, repeated_groups
from tapewright.services.stops import Stop, questions, stops
from tapewright.services.trust import Trust
from tapewright.sight.pins import pin_drops
from tapewright.sight.prediction import turning_distance
from tapewright.sight.tape import Tape

__all__ = [
    "COUNTED_FROM_M",
    "Answer",
    "Bands",
    "Caution",
    "Estimate",
    "GroupCheck",
    "Ladder",
    "Slip",
    "Tape",
    "answer_at",
    "calibrate",
    "fixed_pins",
    "pin_bands",
]

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)  # known by itself: what is made of it can be remembered
class Answer:
    """A calibration with everything that may be said of it."""

    rig: Rig  # the sheet
    observations: tuple[Observation, ...]  # the groups
    posterior: Posterior  # draws
    bands: Bands  # marks of the first pin at the distances asked for
    # Trusted distance of each pin, the first first, as far as hits carry it; 0 for none
    trusted_m: tuple[float, ...]
    once_zeroed_m: tuple[float, ...]  # what the bands alone would carry; 0 for none
    ladder: Ladder  # what has been hit, and how far the next arrow may be shot
    turning_m: float  # distance nearer than which marks run back
    estimates: tuple[Estimate, ...]  # the unknowns
    groups: tuple[GroupCheck, ...]  # the groups against the fit
    cautions: tuple[Caution, ...]  # what speaks against it
    # Eight hexadecimal digits that change when sheet, arrows, seed or version change
    fingerprint: str
    trust: Trust  # what bounds trust beside the bands
    # Groups shot far colder or warmer than the sheet's air, which do not count in its marks
    elsewhere: tuple[Observation, ...] = ()
    others: tuple[Observation, ...] = ()  # groups of another point than the sheet's: none of it

    @property
    def tape(self) -> Tape | None:
        """The tape on the sight, whose marks these are; None: those of gauge or sight."""
        return self.rig.sight.tape

    @property
    def limits(self) -> ReadingLimits:
        """Readings at which housing and arrow meet, or the travel ends."""
        return self.trust.limits

    @property
    def doubt(self) -> Doubt:
        """What is to be thought of groups that do not fit."""
        return self.trust.doubt

    @property
    def two_bows_odds(self) -> float:
        """Odds that arrows taken in from a proof came from another bow; 0 where none were."""
        return self.trust.mixed.odds if self.trust.mixed else 0.0

    @property
    def slips(self) -> tuple[Slip, ...]:
        """What was written down wrongly, likely enough to be named; nothing far is shot till then.

        The likeliest first, beside those that the arrows cannot part from it.
        """
        return self.doubt.slips

    @property
    def is_earned(self) -> bool:
        """Whether a group that fits has hit with this set-up: without one nothing is trusted."""
        return farthest_hit(self.observations, self.groups) > 0.0 and not self.stops

    @property
    def questions(self) -> tuple[str, ...]:
        """What the sheet must tell before the next arrow: nothing more once arrows have hit."""
        is_zeroed = self.posterior.calibration.evidence.prior.is_zeroed  # before a change
        hit_m = farthest_hit(self.observations, self.groups) or self.ladder.before_m
        return () if hit_m or is_zeroed else questions(self.rig)

    @property
    def stops(self) -> tuple[Stop, ...]:
        """Why this set-up must not be shot; then nothing is trusted."""
        return stops(self.rig)


def _spreads(
    posterior: Posterior, asked_m: Floats, grid_m: Floats, probability: float, pin: int
) -> tuple[Spread, Spread]:
    """Marks of a pin where they are wanted and where trust is looked for, drawn once if they can.

    The two grids share most of their distances.
    """
    grid_m = within_trust(posterior, grid_m)
    if not on_the_curves(posterior, np.concatenate([asked_m, grid_m])):
        asked = spread_of_marks(posterior, asked_m, probability, pin)
        return asked, spread_of_marks(posterior, grid_m, probability, pin)
    every_m = np.unique(np.concatenate([asked_m, grid_m]))
    every = spread_of_marks(posterior, every_m, probability, pin)
    asked = every.at(np.searchsorted(every_m, asked_m))
    return asked, every.at(np.searchsorted(every_m, grid_m))


def _doubt(
    calibration: Calibration,
    groups: tuple[GroupCheck, ...],
    told: tuple[Caution, ...],
    seed: int,
    carried: Prior | None,
) -> Doubt:
    """What is to be thought of groups that do not fit; none is asked where all of them do."""
    kinds = ("odd group", "sheet contradicted")
    if not any(caution.kind in kinds for caution in told):
        return NO_DOUBT
    return find_doubt(calibration, groups, seed, carried)


def _still_said(told: tuple[Caution, ...], doubt: Doubt) -> tuple[Caution, ...]:
    """Cautions that hold whatever is mended: a sheet that one slip contradicts is not to blame.

    What all rows may hold wrongly is as well a sheet that is wrong: then both are told.
    """
    if len(doubt.slips[0].mistake.places) > 1:
        return told
    named = {group for slip in doubt.slips for group in slip.mistake.names}
    settled = ("sheet contradicted", "change contradicted", "unusual drag")
    return tuple(
        one
        for one in told
        if one.kind not in settled and not (one.kind == "odd group" and one.subject in named)
    )


def _judged_with(groups: tuple[GroupCheck, ...], doubt: Doubt) -> tuple[GroupCheck, ...]:
    """Groups as they fit if what is named was written wrongly."""
    return tuple(replace(one, is_odd=at in doubt.wrong) for at, one in enumerate(groups))


def _weigh_two_bows(
    rig: Rig, observations: tuple[Observation, ...], seed: int, carried: Prior | None
) -> TwoBows | None:
    """Whether the last proof that was taken in came from another bow; None where none was."""
    since = proved_from(observations)
    if not since or not any(one.group.counted for one in observations[since:]):
        return None
    fitted = fit_bow(rig, observations[:since], carried)
    before = draw_posterior(fitted, np.random.default_rng(seed))
    return two_bows(before, observations[since:])


def _by_air(
    rig: Rig, observations: tuple[Observation, ...]
) -> tuple[tuple[Observation, ...], tuple[Observation, ...], tuple[Caution, ...]]:
    """Groups that calibrate; those shot far colder or warmer, where limbs differ; cautions.

    Where most were, all calibrate: marks from the sheet alone would be worse. But then they prove
    as little in the sheet's air as if all had been.
    """
    home_k = rig.air.temperature_k
    far = tuple(
        one for one in observations if one.air and is_far_air(one.air.temperature_k, home_k)
    )
    if not far:
        return observations, (), ()
    home = tuple(one for one in observations if one not in far)
    if len(far) > len(home):
        jump = (Caution("most elsewhere", _names(home)),) if home else ()
        return observations, (), (*air_cautions(far, home_k), *jump)
    kind = "shot elsewhere" if len(far) < len(home) else "half elsewhere"
    return home, far, (Caution(kind, _names(far)),)


def _names(groups: tuple[Observation, ...]) -> str:
    return ", ".join(dict.fromkeys(one.group.name for one in groups))


def calibrate(
    rig: Rig,
    observations: tuple[Observation, ...],
    distance_m: ArrayLike,
    trust_grid_m: ArrayLike,
    seed: int = 1,
    probability: float = 0.9,
    carried: Prior | None = None,
) -> Answer:
    """From a rig sheet and groups to marks with bands.

    Parameters
    ----------
    rig : Rig
        The sheet.
    observations : tuple of Observation
        The groups; may be empty. Those of another point than the sheet's calibrate nothing.
    distance_m : (n,) array
        Where marks are wanted. [m]
    trust_grid_m : (k,) array
        Distances that may be the trusted one, growing. [m]
    seed : int, default 1
        Of the draws: the same seed gives the same answer. [-]
    probability : float, default 0.9
        Chance with which a band holds the truth. [-]
    carried : Prior, optional
        Beliefs carried over from another rig; absent: those of the sheet.

    Returns
    -------
    Answer
        Everything that may be said.

    Raises
    ------
    CalibrationFailed
        If sheet and arrows cannot be brought together.
    LaunchUnreachable
        If an arrow cannot reach a distance asked for.
    """
    every, others = of_point(observations, rig.arrow.point)
    observations, elsewhere, of_air = _by_air(rig, every)
    calibration = fit_bow(rig, observations, carried)
    posterior = draw_posterior(calibration, np.random.default_rng(seed))
    unknowns = calibration.evidence.prior.unknowns
    limits = reading_limits(posterior, probability)
    asked_m, grid_m = (np.asarray(one, dtype=np.float64) for one in (distance_m, trust_grid_m))
    spreads = [
        _spreads(posterior, asked_m if pin == 1 else asked_m[:0], grid_m, probability, pin)
        for pin in range(1, unknowns.pins + 2)
    ]
    mixed = _weigh_two_bows(rig, observations, seed, carried)
    found = estimates(posterior, probability)
    groups = group_checks(calibration)
    told = cautions(posterior, found, groups)
    doubt = _doubt(calibration, groups, told, seed, carried)
    if doubt.slips:
        groups = _judged_with(groups, doubt)
        told = _still_said(cautions(posterior, found, groups), doubt)
    trust = Trust(limits, doubt, mixed, seed, grid_m)
    is_stopped = bool(stops(rig))
    once_zeroed_m = tuple(
        0.0 if is_stopped else trust.carries_m(grid, rig.archer.tolerance_m, pin)
        for pin, (_, grid) in enumerate(spreads, 1)
    )
    before_m = calibration.evidence.prior.hit_before_m
    hit_m = farthest_hit(observations, groups)
    ladder = ladder_of(
        observations,
        groups,
        before_m,
        rig.air.temperature_k,
        rig.sight.scales,
        broadheads=rig.arrow.point == "broadhead",
    )
    return Answer(
        rig=rig,
        observations=observations,
        posterior=posterior,
        bands=bands_of(spreads[0][0]),
        trusted_m=tuple(earned_trust(one, hit_m, ladder, grid_m) for one in once_zeroed_m),
        once_zeroed_m=once_zeroed_m,
        ladder=ladder,
        turning_m=turning_distance(unknowns.bow(np.median(posterior.vectors, axis=0))),
        estimates=found,
        groups=groups,
        cautions=(
            *slip_cautions(doubt, groups),
            *told,
            *([Caution("past the butt", numbers=(ladder.missed_m,))] if ladder.missed_m else []),
            *of_air,
            *two_bows_cautions(mixed),
            *(
                Caution("same arrows", f"{new} and {old}", tuple(place + 1.0 for place in places))
                for new, old, places in repeated_groups(every)
            ),
        ),
        fingerprint=fingerprint_of(seed, rig, every),
        trust=trust,
        elsewhere=elsewhere,
        others=others,
    )


def answer_at(answer: Answer, distance_m: ArrayLike) -> Answer:
    """The same calibration with marks at other distances."""
    chance = answer.bands.probability
    return replace(answer, bands=bands(answer.posterior, distance_m, chance))


def pin_bands(answer: Answer, pin: int) -> Bands:
    """Marks of a further pin at the answer's distances."""
    first = answer.bands
    return bands(answer.posterior, first.distance_m, first.probability, pin)


def fixed_pins(answer: Answer, distance_m: ArrayLike) -> tuple[Floats, Floats, Floats]:
    """Where the pins of a sight that does not move must sit."""
    unknowns = answer.posterior.calibration.evidence.prior.unknowns
    drops = pin_drops(unknowns.bow(answer.posterior.vectors), distance_m)
    tail = 0.5 * (1.0 - answer.bands.probability)
    low, middle, high = np.quantile(drops, [tail, 0.5, 1.0 - tail], axis=0)
    return middle, low, high

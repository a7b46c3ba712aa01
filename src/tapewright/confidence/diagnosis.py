"""Diagnosis: why a proving session misses.

Each cause leaves its own signature over distance. Every cause is a hypothesis: misses are what
the calibration left open, plus noise, plus so much of that signature; the evidence for each, with
the size integrated out, gives odds.

Holds:  the Cause, Proof and Verdict records; signatures, odds, sizes, the telling shot.
Never:  sentences, changes to a calibration.
Source: docs/physics.md §8.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import ndtri, stdtrit

from tapewright.calibration.evidence import INFORMATION, AxisEvidence, Evidence, evidence_from
from tapewright.calibration.fit import Calibration
from tapewright.calibration.misfit import predicted_angles, robust_centres, with_set_up_doubt
from tapewright.calibration.observation import Observation, distance_doubt
from tapewright.calibration.unknowns import SPREAD_NAMES
from tapewright.calibration.windage import told_turns
from tapewright.confidence.bands import drawn_marks
from tapewright.confidence.posterior import Posterior
from tapewright.ground.errors import LaunchUnreachable
from tapewright.ground.units import YARD_M
from tapewright.sight.bow import SightedBow
from tapewright.sight.prediction import Aim, impact_gradient, mark

Floats = NDArray[np.float64]

NEAR_M, FAR_M = 20.0 * YARD_M, 60.0 * YARD_M  # between which spans are told unless said
CHANCE_OF_NOTHING = 0.42  # before the session; common practice, no source
OFTEN = {"one distance": 6.0}  # a wrong peg or dial is the commonest gross error; as above
DOUBT_FREEDOMS = 12.0  # how well some thirty arrows in six groups tell scatter and wobble
SLOPE_SHOWS_RAD = 0.1  # a third axis shows on slopes only
TELLING_ARROWS = 4  # of the group that is to tell two causes apart
USUAL = {
    "zero": 1.5e-3,  # a pin or strip that slipped by a millimetre or two [rad]
    "height": 40.0e-3,  # aimed beside the spot measured from; peep, nock or anchor moved [m]
    "span": 2.0e-3,  # a strip or two [m]
    "drag or air": 0.25,  # other vanes, a broadhead, a cold morning [-]
    "one distance": 2.0,  # a wrong peg [m]
    "windage": 1.5e-3,  # [rad]
    "sideways": 40.0e-3,  # [m]
    "wind or cant": 0.035,  # two degrees of cant, or the breeze that does as much [rad]
    "third axis": 0.035,  # [rad]
}  # one standard deviation of what goes wrong; common practice, no source
FAMILIES = {"span": "far marks", "drag or air": "far marks"}  # alike, but for still farther groups


@dataclass(frozen=True, slots=True)
class Cause:
    """One thing that may be wrong, found or not.

    Parameters
    ----------
    name : str
        ``"nothing"`` or one of the names in ``USUAL``.
    odds : float
        Probability that this and nothing else is wrong. [-]
    size, low, high : float
        How much of it, with its 90 % band: angle by which arrows fly high for zero and right for
        windage [rad], length by which they lie high for height and right for sideways [m],
        how much longer the true span is [m], by what share drag is greater [-], how much
        farther one distance truly is [m], top of the bow to the right for wind or cant, right end
        of the level ahead for third axis [rad].
    group : int or None
        First group at the wrong distance, for one distance.
    """

    name: str
    odds: float
    size: float = 0.0
    low: float = 0.0
    high: float = 0.0
    group: int | None = None


@dataclass(frozen=True, slots=True)
class Proof:
    """One group of a proving session against the tape.

    Parameters
    ----------
    name : str
        The group.
    distance_m : float
        As shot. [m]
    miss_right_m, miss_up_m : float
        Robust centre minus what the calibration promises; nan if not measured. [m]
    doubt_right_m, doubt_up_m : float
        One standard deviation of that when nothing is wrong. [m]
    """

    name: str
    distance_m: float
    miss_right_m: float
    miss_up_m: float
    doubt_right_m: float
    doubt_up_m: float


@dataclass(frozen=True)
class Verdict:
    """What a proving session says.

    Parameters
    ----------
    proofs : tuple of Proof
        The groups.
    causes : tuple of Cause
        Likeliest first; their odds add up to 1.
    telling_m : float or None
        Distance at which one more group would best tell the first two apart; None when one of
        them is up and down and the other sideways, or one is nothing. [m]
    """

    proofs: tuple[Proof, ...]
    causes: tuple[Cause, ...]
    telling_m: float | None

    @property
    def families(self) -> tuple[tuple[str, float], ...]:
        """Odds of what can be told apart, likeliest first; causes that look alike go together."""
        odds: dict[str, float] = {}
        for cause in self.causes:
            family = FAMILIES.get(cause.name, cause.name)
            odds[family] = odds.get(family, 0.0) + cause.odds
        return tuple(sorted(odds.items(), key=lambda item: -item[1]))


@dataclass(frozen=True)
class _Session:
    """Misses of all groups as angles, up first, then right: vectors of length 2 g."""

    evidence: Evidence
    bow: SightedBow
    aim: Aim
    ends_m: tuple[float, float]
    spreads: dict[str, float]
    miss: Floats
    covariance: Floats
    measured: NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class _Signature:
    """Angles by which one unit of a cause moves the groups."""

    name: str
    shape: Floats
    group: int | None = None


def _session(
    posterior: Posterior, shot: tuple[Observation, ...], ends_m: tuple[float, float]
) -> _Session:
    calibration = posterior.calibration
    fresh = evidence_from(calibration.rig, shot, distances=calibration.evidence.prior.distances)
    names = fresh.prior.unknowns.names
    had = calibration.evidence.prior.unknowns.names
    draws = _in_order(posterior.vectors, had, names, fresh.prior.sd)
    middle = np.median(draws, axis=0)
    fresh = with_set_up_doubt(fresh, middle)
    right, up = predicted_angles(fresh, draws)
    right = right + _turned(calibration, shot)
    if np.isnan(up).any():
        raise LaunchUnreachable(float(fresh.distance_m.max()))
    seen_right, seen_up = robust_centres(fresh, middle)
    miss = np.concatenate([seen_up - np.median(up, axis=0), seen_right - np.median(right, axis=0)])
    spreads = {name: float(np.exp(middle[names.index(name)])) for name in SPREAD_NAMES}
    own = [
        _own_variance(fresh.up, spreads["log_dispersion_up"]),
        _own_variance(fresh.right, spreads["log_dispersion_right"]),
    ]
    own[0] += np.square(fresh.set_up_sd_rad)
    covariance = np.cov(np.concatenate([up, right], axis=1).T)
    covariance += np.diag(np.concatenate(own) + spreads["log_wobble"] ** 2)
    below = fresh.prior.unknowns.pin_below(middle, fresh.pin)
    aim = Aim(fresh.aim.slope_rad, fresh.aim.density_ratio, below)
    bow = fresh.prior.unknowns.bow(middle)
    covariance[: fresh.groups, : fresh.groups] += _peg_errors(fresh, bow, aim, posterior)
    near, far = np.median(drawn_marks(posterior, ends_m), axis=0)
    measured = np.concatenate([fresh.up.seen, fresh.right.seen])
    return _Session(fresh, bow, aim, (float(near), float(far)), spreads, miss, covariance, measured)


def _in_order(
    vectors: Floats, had: tuple[str, ...], wanted: tuple[str, ...], sds: Floats
) -> Floats:
    """Draws in the order of a new session's unknowns; its pegs' own errors are not drawn.

    A source of distances that the calibration did not have may be off by all that is believed.
    """
    count = len(vectors)
    even = ndtri((np.arange(count) + 0.5) / count)[np.arange(count) * 1237 % count]
    columns = [
        vectors[:, had.index(name)]
        if name in had and not name.startswith("distance_error")
        else even * sd * name.startswith("distances_by")
        for name, sd in zip(wanted, sds, strict=True)
    ]
    return np.stack(columns, axis=1)


def _turned(calibration: Calibration, shot: tuple[Observation, ...]) -> Floats:
    """By which angle the windage was turned, as told, since it was last told, (g,)."""
    known = calibration.evidence.observations[-1:] + shot
    click_m = calibration.rig.sight.windage_click_m
    radius_m = calibration.evidence.prior.unknowns.sight_radius_m
    since = []
    for one in shot:
        told = (told_turns(old, one, click_m, radius_m) for old in known)
        since.append(next((turned for turned in told if turned is not None), 0.0))
    return np.array(since, dtype=np.float64)


def _own_variance(axis: AxisEvidence, dispersion_rad: float) -> Floats:
    """Variance of each group's centre about where the group truly is; any for one not seen."""
    told = axis.information(np.array([dispersion_rad]))
    return np.asarray(1.0 / np.where(axis.seen, told, 1.0))


def _peg_errors(fresh: Evidence, bow: SightedBow, aim: Aim, posterior: Posterior) -> Floats:
    """Groups at one peg share its error, (g, g)."""
    said = posterior.calibration.rig.archer.distance_sd_m
    doubt_m = np.array([distance_doubt(one) if said is None else said for one in fresh.distance_m])
    slope = impact_gradient(bow, fresh.distance_m, fresh.reading_m, aim)
    moved = slope.by_distance * doubt_m / fresh.distance_m
    together = (fresh.shared[:, None] == fresh.shared) & (fresh.shared >= 0)
    return np.asarray(np.outer(moved, moved) * together)


def _signatures(
    session: _Session, distance: Floats, reading: Floats, aim: Aim
) -> dict[str, Floats]:
    """What one unit of each cause does at distances, as angles up and right, (2 g,); eq. (8.16)."""
    bow = session.bow
    slope = impact_gradient(bow, distance, reading, aim)
    tangent = bow.scale.tangent(reading, aim.pin_below_m)
    fall = (distance * tangent - bow.peep_height_m) / distance
    near, far = session.ends_m
    first_pin = (
        reading + bow.scale.reading_per_tangent_m * aim.pin_below_m / bow.scale.sight_radius_m
    )
    short = slope.by_reading * (near - first_pin) / abs(far - near)
    none = np.zeros_like(distance)
    return {
        "zero": np.concatenate([np.ones_like(distance), none]),
        "height": np.concatenate([1.0 / distance, none]),
        "span": np.concatenate([short / distance, none]),
        "drag or air": np.concatenate([slope.by_log_drag / distance, none]),
        "one distance": np.concatenate([slope.by_distance / distance, none]),
        "windage": np.concatenate([none, np.ones_like(distance)]),
        "sideways": np.concatenate([none, 1.0 / distance]),
        "wind or cant": np.concatenate([none, fall]),
        "third axis": np.concatenate([none, np.tan(aim.slope_rad + none) * fall]),
    }


def _hypotheses(session: _Session) -> list[_Signature]:
    evidence = session.evidence
    shapes = _signatures(session, evidence.distance_m, evidence.reading_m, session.aim)
    peg = shapes.pop("one distance")
    if not np.any(np.abs(evidence.aim.slope_rad) > SLOPE_SHOWS_RAD):
        del shapes["third axis"]
    found = [_Signature(name, shape) for name, shape in shapes.items()]
    keys = np.round(evidence.distance_m, 6)
    for key in dict.fromkeys(keys.tolist()):
        there = keys == key
        one = _Signature("one distance", peg * np.tile(there, 2), int(np.flatnonzero(there)[0]))
        found.append(one)
    return [one for one in found if np.any(one.shape[session.measured])]


def _weighed(session: _Session, tried: list[_Signature]) -> tuple[Cause, ...]:
    """Odds and size of every hypothesis, its size integrated out; eq. (8.15)."""
    seen = session.measured
    inverse = np.linalg.inv(session.covariance[np.ix_(seen, seen)])
    miss = session.miss[seen]
    most = DOUBT_FREEDOMS + len(miss)
    far2 = miss @ inverse @ miss
    shares = _shares([one.name for one in tried])
    log_odds = [np.log(CHANCE_OF_NOTHING) - 0.5 * most * np.log1p(far2 / DOUBT_FREEDOMS)]
    causes = [Cause("nothing", 0.0)]
    for one, share in zip(tried, shares, strict=True):
        shape, usual2 = one.shape[seen], USUAL[one.name] ** 2
        kept = usual2 / (1.0 + usual2 * (shape @ inverse @ shape))
        size = float(kept * (shape @ inverse @ miss))
        left2 = far2 - size**2 / kept
        likely = -0.5 * most * np.log1p(left2 / DOUBT_FREEDOMS)
        log_odds.append(np.log(share) + 0.5 * np.log(kept / usual2) + likely)
        wide = np.sqrt(kept * (DOUBT_FREEDOMS + left2) / most)
        half = float(stdtrit(most, 0.95) * wide)
        causes.append(Cause(one.name, 0.0, size, size - half, size + half, one.group))
    odds = np.exp(np.array(log_odds) - max(log_odds))
    odds /= odds.sum()
    ranked = [
        replace(cause, odds=float(chance)) for cause, chance in zip(causes, odds, strict=True)
    ]
    return tuple(sorted(ranked, key=lambda cause: -cause.odds))


def _shares(names: list[str]) -> Floats:
    """Chance of each hypothesis before the session; those of one name share that of the name."""
    counts = {name: OFTEN.get(name, 1.0) for name in names}
    each = np.array([counts[name] / names.count(name) for name in names])
    return np.asarray((1.0 - CHANCE_OF_NOTHING) * each / sum(counts.values()))


def _telling_distance(
    posterior: Posterior, session: _Session, causes: tuple[Cause, ...], tried: Floats
) -> float | None:
    """Where the first two causes promise the most different misses, in doubts."""
    first, second = causes[:2]
    names = {first.name, second.name}
    if "nothing" in names or "one distance" in names or len(tried) == 0:
        return None
    reading = mark(session.bow, tried)
    shapes = _signatures(session, tried, reading, Aim(slope_rad=np.zeros_like(tried)))
    one, other = (shapes[cause.name] * cause.size for cause in (first, second))
    if bool(np.any(one[: len(tried)])) != bool(np.any(other[: len(tried)])):
        return None
    apart = np.abs(one - other).reshape(2, -1) / _doubts_at(posterior, session, tried)
    return float(tried[int(np.argmax(apart.max(axis=0)))])


def _doubts_at(posterior: Posterior, session: _Session, tried: Floats) -> Floats:
    """Doubt about the centre of one more group, up and right, as angles, (2, n)."""
    spreads = session.spreads
    marks = drawn_marks(posterior, tried)
    slope = impact_gradient(session.bow, tried, np.median(marks, axis=0))
    had = posterior.calibration.evidence.prior.unknowns
    across = (
        had.column(posterior.vectors, "windage") + had.column(posterior.vectors, "side") / tried
    )
    known = np.stack([(marks * slope.by_reading / tried).std(axis=0), across.std(axis=0)])
    own = [spreads["log_dispersion_up"], spreads["log_dispersion_right"]]
    scatter = np.square(own) / (INFORMATION * TELLING_ARROWS) + spreads["log_wobble"] ** 2
    return np.asarray(np.sqrt(np.square(known) + scatter[:, None]))


def prove(
    posterior: Posterior,
    shot: tuple[Observation, ...],
    tried_m: ArrayLike = (),
    ends_m: tuple[float, float] = (NEAR_M, FAR_M),
) -> Verdict:
    """What a proving session says of the tape.

    Parameters
    ----------
    posterior : Posterior
        Draws of the calibration that the tape was made from.
    shot : tuple of Observation
        The session's groups; none of them may be part of the calibration.
    tried_m : (n,) array
        Distances at which one more group could be shot. [m]
    ends_m : (float, float)
        Near and far distance between which spans are told. [m]

    Returns
    -------
    Verdict
        Causes with odds and sizes, likeliest first.

    Raises
    ------
    LaunchUnreachable
        If the calibration's bow cannot throw an arrow so far.

    Source
    ------
    docs/physics.md eq. (8.15), (8.16).
    """
    session = _session(posterior, shot, ends_m)
    evidence = session.evidence
    causes = _weighed(session, _hypotheses(session))
    doubts = np.sqrt(np.diag(session.covariance)).reshape(2, -1) * evidence.distance_m
    misses = np.where(session.measured, session.miss, np.nan).reshape(2, -1) * evidence.distance_m
    proofs = tuple(
        Proof(
            one.group.name,
            one.distance_m,
            float(misses[1, place]),
            float(misses[0, place]),
            float(doubts[1, place]),
            float(doubts[0, place]),
        )
        for place, one in enumerate(shot)
    )
    telling_m = _telling_distance(posterior, session, causes, np.asarray(tried_m, dtype=np.float64))
    return Verdict(proofs, causes, telling_m)

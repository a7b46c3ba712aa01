"""Prior: what the equipment tells before the first arrow, as a Gaussian.

What the sheet does not say gets a value that is usual in the trade, with a doubt to match, and
is listed, so that nobody takes it for a measurement.

Holds:  the Prior record; sheet to prior; the usual values; errors of distances added to it.
Never:  arrows shot (observation.py), weights (misfit.py).
Source: docs/physics.md §7.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from math import exp, hypot, log, sqrt

import numpy as np
from numpy.typing import NDArray

from tapewright.calibration.belief import Belief, Beliefs
from tapewright.calibration.kinds import kind_of, stated_or_usual, usual_of
from tapewright.calibration.observation import SOURCES, source_doubt
from tapewright.calibration.rig import Chronograph, Rig
from tapewright.calibration.statements import UNLIKELY, Disagreement, weigh
from tapewright.calibration.unknowns import SIDE_NAMES, Unknowns, unknowns_of
from tapewright.flight.bow_energy import launch_speed, power_stroke, stored_energy
from tapewright.flight.drag import DragShape, drag_per_metre, reynolds_number
from tapewright.flight.steps import shaped_crossing
from tapewright.flight.trajectory import crossing
from tapewright.ground.units import FOOT_M, GRAIN_KG, INCH_M, POUND_FORCE_N
from tapewright.sight.bow import launch_ahead
from tapewright.sight.stickings import Scales

Floats = NDArray[np.float64]

# Usual values of every kind of bow (kinds.py has those of each): common practice, no source,
# unless the line says otherwise.
USUAL_DRAG = {
    "field": (2.1, 0.26),
    "broadhead": (2.6, 0.30),
}  # median, log sd; see [ORT20], [MIY21]
USUAL_GAIN_PER_TRAVEL = (1.4, 0.5)  # median, log sd
USUAL_RATED_SPEED_MPS = Belief(315.0 * FOOT_M, 15.0 * FOOT_M)
RATED_DRAW_WEIGHT_N = 70.0 * POUND_FORCE_N  # the trade's usual rating: 70 lb, 30 in, 350 grains
RATED_DRAW_LENGTH_M = 30.0 * INCH_M
RATED_ARROW_MASS_KG = 350.0 * GRAIN_KG
USUAL_ARROW_LENGTH_M = 28.5 * INCH_M
LOG_SD_OF_RATING = 0.05  # speed from a rating
LOG_SD_OF_DRAW_WEIGHT = 0.05  # what is told of a draw weight, against the archer's own draw
STROKE_SD_M = 0.25 * INCH_M  # draw length and brace height as told
LOG_SD_OF_CHRONOGRAPH = 0.01  # a chronograph that says nothing of its doubt
LOG_SD_OF_ONE_SHOT = 0.005  # the same once its bias is known: from shot to shot
LOG_SD_OF_VIRTUAL_MASS = 0.01  # speed carried to another arrow mass
LAUNCH_AHEAD_SD_M = 0.05
PIN_SD_M = 0.2e-3
ZERO_TANGENT_SD = 0.5  # as good as nothing known: half a metre on a usual scale
WINDAGE_SD_RAD = 8e-3
SIDE_SD_M = 5e-3
_OWN = (  # unknown, its field in Beliefs, whether it is kept as a logarithm
    ("launch_ahead", "launch_ahead_m", False),
    ("windage", "windage_rad", False),
    ("side", "side_m", False),
    ("log_dispersion_up", "dispersion_up_rad", True),
    ("log_dispersion_right", "dispersion_right_rad", True),
    ("log_wobble", "wobble_rad", True),
)


@dataclass(frozen=True, repr=False)
class Prior:
    """Beliefs before the first arrow: a Gaussian, of independent unknowns unless carried over.

    Parameters
    ----------
    unknowns : Unknowns
        Names and order.
    mean : (u,) array
        In the unit of each unknown.
    sd : (u,) array
        One standard deviation, same units.
    assumed : tuple of str
        What the sheet did not say, in words.
    whitener : (u, u) array or None
        Root of the inverse covariance, for beliefs carried over from another rig; None:
        independent.
    cloud : (d, u) array or None
        The draws behind beliefs carried over, of which mean and whitener are a Gaussian picture.
    hit_before_m : float, default 0
        Farthest distance at which a group that fits had hit with the rig they were carried over
        from. [m]
    is_zeroed : bool, default False
        Whether arrows or typed marks had tied that rig's scale to its flight.
    disagreements : tuple of Disagreement
        What the sheet says twice and differently, counted as wide as it differs.
    distances : str, default empty
        Source of the distances for which marks are told.
    scales : tuple of Sticking
        The scale whose zero is believed, of beliefs carried over.
    """

    unknowns: Unknowns
    mean: Floats
    sd: Floats
    assumed: tuple[str, ...]
    whitener: Floats | None = None
    cloud: Floats | None = None
    hit_before_m: float = 0.0
    is_zeroed: bool = False
    disagreements: tuple[Disagreement, ...] = ()
    distances: str = ""
    scales: Scales = ()

    def __repr__(self) -> str:
        return f"<Prior of {len(self.mean)} unknowns>"

    @property
    def is_carried(self) -> bool:
        """Whether these beliefs come from another rig's arrows."""
        return self.whitener is not None

    @property
    def whitening(self) -> Floats:
        """Matrix W of the whitened residual W (θ − mean), (u, u)."""
        return np.diag(1.0 / self.sd) if self.whitener is None else self.whitener

    def whitened(self, vectors: Floats) -> Floats:
        """How far vectors lie from the beliefs, in standard deviations.

        Parameters
        ----------
        vectors : (..., u) array
            Vectors of unknowns.

        Returns
        -------
        (..., u) array
            Whitened residual. [-]
        """
        away = vectors - self.mean
        if self.whitener is None:
            return np.asarray(away / self.sd, dtype=np.float64)
        return np.asarray(np.einsum("...u,vu->...v", away, self.whitener))


def _log_belief(belief: Belief, usual_log_sd: float) -> tuple[float, float]:
    doubt = usual_log_sd if belief.sd is None else belief.sd / belief.value
    return log(belief.value), doubt


def drag_shape(rig: Rig) -> DragShape | None:
    """How the drag of a rig's arrow changes with its speed.

    Parameters
    ----------
    rig : Rig
        The sheet.

    Returns
    -------
    DragShape or None
        None: it does not.
    """
    law, air = rig.arrow.drag_law, rig.air
    if law is None:
        return None
    diameter_m = rig.arrow.shaft_diameter_m
    reynolds = reynolds_number(1.0, diameter_m, air.density_kg_m3, air.viscosity_pa_s)
    return DragShape(law, float(reynolds))


def _believe(own: Beliefs | None, unknowns: Unknowns, table: Floats) -> None:
    """Own beliefs in place of what is usual; rows of the table: mean and doubt."""
    for name, field, is_log in _OWN:
        believed: Belief | None = None if own is None else getattr(own, field)
        if believed is not None:
            row = _log_belief(believed, 0.0) if is_log else (believed.value, believed.sd)
            table[unknowns.place(name)] = row


def _drag(rig: Rig, assumed: list[str]) -> tuple[float, float]:
    arrow = rig.arrow
    usual, usual_sd = USUAL_DRAG[arrow.point]
    shape = drag_shape(rig)
    if shape is not None:
        usual, usual_sd = shape.at_reference, shape.law.doubt
    if arrow.drag_coefficient is None and shape is not None:
        log_coefficient, doubt = log(usual), usual_sd
    elif arrow.drag_coefficient is None:
        assumed.append(f"drag coefficient {usual:g} (factor {np.exp(usual_sd):.2f} either way)")
        log_coefficient, doubt = log(usual), usual_sd
    else:
        log_coefficient, doubt = _log_belief(arrow.drag_coefficient, usual_sd)
    one = drag_per_metre(rig.air.density_kg_m3, 1.0, arrow.shaft_diameter_m, arrow.mass_kg.value)
    mass_doubt = (arrow.mass_kg.sd or 0.0) / arrow.mass_kg.value
    return log_coefficient + log(float(one)), hypot(doubt, mass_doubt)


def _for_this_arrow(log_speed: float, mass_kg: float, rig: Rig) -> float:
    """Speed of another arrow carried over to the rig's own, eq. (4.2)."""
    moving_kg = usual_of(rig.bow).virtual_mass_kg[0]
    energy = stored_energy(float(np.exp(log_speed)), mass_kg, moving_kg)
    return log(launch_speed(energy, rig.arrow.mass_kg.value, moving_kg))


def _mass_doubt(rig: Rig) -> float:
    """What the doubt about the arrow's mass does to a speed carried over, relative."""
    mass = rig.arrow.mass_kg
    return 0.5 * (mass.sd or 0.0) / (mass.value + usual_of(rig.bow).virtual_mass_kg[0])


def _speed_from_rating(rig: Rig, assumed: list[str]) -> tuple[float, float]:
    """Eq. (4.5): energy in proportion to draw weight and power stroke."""
    bow, rating, usual = rig.bow, rig.bow.rating, usual_of(rig.bow)
    moving_kg = usual.virtual_mass_kg[0]
    if rating is None:
        assumed.append("launch speed from a usual bow's rating (give launch_speed or rated_speed)")
        speed = USUAL_RATED_SPEED_MPS
        weight_n, length_m, mass_kg = RATED_DRAW_WEIGHT_N, RATED_DRAW_LENGTH_M, RATED_ARROW_MASS_KG
    else:
        speed, weight_n = rating.speed_mps, rating.draw_weight_n
        length_m, mass_kg = rating.draw_length_m, rating.arrow_mass_kg
    brace_m = bow.brace_height_m or usual.brace_height_m
    own_weight_n, own_length_m = bow.draw_weight_n or weight_n, bow.draw_length_m or length_m
    rated_j = stored_energy(speed.value, mass_kg, moving_kg)
    share = own_weight_n / weight_n * power_stroke(own_length_m, brace_m)
    own_j = rated_j * share / power_stroke(length_m, brace_m)
    own_mps = launch_speed(own_j, rig.arrow.mass_kg.value, moving_kg)
    doubt = hypot(LOG_SD_OF_RATING, (speed.sd or 0.0) / speed.value)
    return log(own_mps), hypot(doubt, _mass_doubt(rig))


def _speed_from_draw(rig: Rig, assumed: list[str]) -> tuple[float, float]:
    """Eq. (4.8): energy as a share of draw weight times power stroke."""
    bow, usual, mass_kg = rig.bow, usual_of(rig.bow), rig.arrow.mass_kg.value
    assert usual.stored_share, "asked of bows without a rating only"
    assert usual.draw_weight_n
    assumed.append("launch speed from draw weight and draw length (give launch_speed)")
    weight_n, weight_sd = bow.draw_weight_n or 0.0, LOG_SD_OF_DRAW_WEIGHT
    if not weight_n:
        weight_n, weight_sd = usual.draw_weight_n
        assumed.append(f"draw weight {weight_n / POUND_FORCE_N:.0f} lbf")
    draw_m, stroke_sd_m = bow.draw_length_m or 0.0, STROKE_SD_M
    if not draw_m:
        draw_m, stroke_sd_m = usual.draw_length_m.value, usual.draw_length_m.sd or 0.0
        assumed.append(f"draw length {draw_m / INCH_M:.0f} in")
    stroke_m = power_stroke(draw_m, bow.brace_height_m or usual.brace_height_m)
    share, (moving_kg, moving_sd) = usual.stored_share, usual.virtual_mass_kg
    speed_mps = launch_speed(share.value * weight_n * stroke_m, mass_kg, moving_kg)
    of_energy = hypot(hypot(weight_sd, (share.sd or 0.0) / share.value), stroke_sd_m / stroke_m)
    of_moving = moving_sd * moving_kg / (mass_kg + moving_kg)
    return log(speed_mps), hypot(0.5 * hypot(of_energy, of_moving), _mass_doubt(rig))


def _log_reading(reading: Chronograph, every: tuple[Chronograph, ...]) -> tuple[float, float]:
    """Speed read, freed of its instrument's bias, eq. (7.15).

    The bias is one for all that was read with the instrument: its doubt must not shrink when they
    are weighed together, so each carries it so many times larger.
    """
    bias = reading.bias
    if bias is None:
        return _log_belief(reading.speed_mps, LOG_SD_OF_CHRONOGRAPH)
    log_read, doubt = _log_belief(reading.speed_mps, LOG_SD_OF_ONE_SHOT)
    sharing = sum(one.instrument == reading.instrument for one in every)
    log_bias, bias_doubt = _log_belief(bias, 0.0)
    return log_read - log_bias, hypot(doubt, sqrt(sharing) * bias_doubt)


def _said_of_speed(rig: Rig, log_drag: float, assumed: list[str]) -> dict[str, tuple[float, float]]:
    """Every statement about launch speed by the key that makes it, as logarithms."""
    said: dict[str, tuple[float, float]] = {}
    if rig.bow.launch_speed_mps is not None:
        said["launch_speed"] = _log_belief(rig.bow.launch_speed_mps, LOG_SD_OF_CHRONOGRAPH)
    for number, reading in enumerate(rig.bow.chronograph, 1):
        log_read, doubt = _log_reading(reading, rig.bow.chronograph)
        mass_kg = reading.arrow_mass_kg or rig.arrow.mass_kg.value
        drag = np.exp(log_drag) * rig.arrow.mass_kg.value / mass_kg
        start = np.exp(log_read)
        way_m, shape = max(reading.at_m, 1e-3), drag_shape(rig)
        if shape is None:
            slowed = float(crossing(start, 0.0, drag, way_m).speed_mps)
        else:
            slowed = float(shaped_crossing(shape, start, 0.0, drag, way_m).speed_mps)
        log_launch = log_read + log(float(start) / slowed)  # eq. (3.11)
        if mass_kg != rig.arrow.mass_kg.value:
            log_launch = _for_this_arrow(log_launch, mass_kg, rig)
            doubt = hypot(hypot(doubt, LOG_SD_OF_VIRTUAL_MASS), _mass_doubt(rig))
        said[f"chronograph {number}"] = log_launch, doubt
    if not said and rig.bow.rating is None and usual_of(rig.bow).stored_share is not None:
        return {"draw_weight": _speed_from_draw(rig, assumed)}
    if not said or rig.bow.rating is not None:
        rated = {"rated_speed": _speed_from_rating(rig, assumed)}
        # A rating tells nothing beside a measured speed but that one of them is wrong.
        if not said or weigh(*zip(*said.values(), *rated.values(), strict=True)).chance < UNLIKELY:
            said |= rated
    return said


def _speed(said: dict[str, tuple[float, float]]) -> tuple[float, float, tuple[Disagreement, ...]]:
    """Statements about speed weighed together, wider where they differ, eq. (7.7)."""
    found = weigh(*zip(*said.values(), strict=True))
    if found.chance >= UNLIKELY:
        return found.value, found.sd, ()
    speeds = tuple((who, exp(value), exp(value) * doubt) for who, (value, doubt) in said.items())
    together = replace(found, value=exp(found.value), sd=exp(found.value) * found.sd)
    return found.value, found.sd, (Disagreement("launch_speed", speeds, together),)


def _gain(rig: Rig, radius: Belief, assumed: list[str]) -> tuple[float, float]:
    """K = reading per travel × sight radius, eq. (5.2)."""
    travel = rig.sight.reading_per_travel
    if travel is None:
        assumed.append("reading per travel unknown: learnt from the arrows")
        log_travel, doubt = log(USUAL_GAIN_PER_TRAVEL[0]), USUAL_GAIN_PER_TRAVEL[1]
    else:
        log_travel, doubt = _log_belief(travel, 0.03)
    return log_travel + log(radius.value), hypot(doubt, (radius.sd or 0.0) / radius.value)


def _with_doubt(said: Belief | None, usual: Belief, words: str, assumed: list[str]) -> Belief:
    if said is None:
        assumed.append(f"{words} {usual.value / INCH_M:.1f} in")
    return stated_or_usual(said, usual)


def prior_from_rig(rig: Rig, shared_distance_sds_m: Floats) -> Prior:
    """Beliefs that a rig sheet states.

    Parameters
    ----------
    rig : Rig
        The sheet.
    shared_distance_sds_m : (k,) array
        Doubt about each distance at which more than one group was shot. [m]

    Returns
    -------
    Prior
        Independent Gaussians, one for each unknown.

    Source
    ------
    docs/physics.md §7.
    """
    usual = usual_of(rig.bow)
    assumed = ["a compound bow"] if rig.bow.kind is None else []
    log_drag, drag_sd = _drag(rig, assumed)
    log_speed, speed_sd, differ = _speed(_said_of_speed(rig, log_drag, assumed))
    height = "peep height" if kind_of(rig.bow) == "compound" else "eye height"
    peep = _with_doubt(rig.sight.peep_height_m, usual.eye_height_m, height, assumed)
    radius = _with_doubt(rig.sight.sight_radius_m, usual.sight_radius_m, "sight radius", assumed)
    log_gain, gain_sd = _gain(rig, radius, assumed)
    draw_m = rig.bow.draw_length_m or usual.draw_length_m.value
    stroke_m = power_stroke(draw_m, rig.bow.brace_height_m or usual.brace_height_m)
    length_m = rig.arrow.length_m or USUAL_ARROW_LENGTH_M
    ahead = launch_ahead(length_m, stroke_m, usual.nock_behind_eye_m)
    spread = rig.archer.dispersion_rad
    log_spread = (
        (log(usual.dispersion_rad[0]), usual.dispersion_rad[1])
        if spread is None
        else _log_belief(spread, 0.3)
    )
    pins = [
        (pin.value, PIN_SD_M if pin.sd is None else pin.sd) for pin in rig.sight.pins_below_first_m
    ]
    rows = [
        (log_speed, speed_sd),
        (log_drag, drag_sd),
        (peep.value, peep.sd),
        (0.0, ZERO_TANGENT_SD),
        (log_gain, gain_sd),
        (ahead, LAUNCH_AHEAD_SD_M),
        *pins,
        (0.0, WINDAGE_SD_RAD),
        (0.0, SIDE_SD_M),
        log_spread,
        log_spread,
        (log(usual.wobble_rad[0]), usual.wobble_rad[1]),
    ]
    table = np.array(rows, dtype=np.float64)
    unknowns = replace(unknowns_of(rig.sight, radius.value, 0), shape=drag_shape(rig))
    _believe(rig.beliefs, unknowns, table)
    bare = Prior(unknowns, table[:, 0], table[:, 1], tuple(assumed), disagreements=differ)
    return with_distance_errors(bare, shared_distance_sds_m)


def with_distance_errors(
    prior: Prior,
    shared_distance_sds_m: Floats,
    told: str | None = None,
    others: Iterable[str] = (),
) -> Prior:
    """Beliefs with an error for every distance at which more than one group was shot.

    Parameters
    ----------
    prior : Prior
        Beliefs without any such error.
    shared_distance_sds_m : (k,) array
        Doubt about each such distance. [m]
    told : str, optional
        Source of the distances for which marks are told; absent: nothing is doubted for it.
    others : iterable of str, default none
        Further sources of distances.

    Returns
    -------
    Prior
        The same beliefs and the errors', independent of them. What the sheet says of speed is
        doubted so much more; beliefs carried over are in those distances already.

    Source
    ------
    docs/physics.md eq. (7.13), (7.14).
    """
    further = tuple(others)
    against = np.array([source_doubt(one, told or "") for one in further], dtype=np.float64)
    sds = np.concatenate([shared_distance_sds_m, against])
    unknowns = replace(prior.unknowns, shared_distances=len(shared_distance_sds_m), sources=further)
    at = prior.unknowns.place("windage")  # errors stand before it
    places = np.full(len(sds), at)
    whitener, sd = prior.whitener, prior.sd.copy()
    if whitener is None and told is not None:
        speed = unknowns.place("log_speed")
        sd[speed] = hypot(sd[speed], 0.5 * SOURCES[told])
    if whitener is not None:
        whitener = np.insert(np.insert(whitener, places, 0.0, axis=0), places, 0.0, axis=1)
        new = np.arange(at, at + len(sds))
        whitener[new, new] = 1.0 / sds
    return replace(
        prior,
        unknowns=unknowns,
        mean=np.insert(prior.mean, places, 0.0),
        sd=np.insert(sd, places, sds),
        whitener=whitener,
        distances=told or "",
    )


def sideways_belief(prior: Prior, vectors: Floats) -> tuple[Floats, Floats]:
    """What is believed of windage and sideways offset, given all other unknowns.

    Parameters
    ----------
    prior : Prior
        Beliefs.
    vectors : (d, u) array
        Vectors of unknowns; their windage and sideways offset are not looked at.

    Returns
    -------
    (d, 2) array, (2, 2) array
        Mean for each vector, and covariance. [rad], [m]
    """
    two = [prior.unknowns.place(name) for name in SIDE_NAMES]
    if prior.whitener is None:
        mean = np.broadcast_to(prior.mean[two], (len(vectors), 2))
        return mean, np.diag(np.square(prior.sd[two]))
    precision = prior.whitener.T @ prior.whitener
    covariance = np.linalg.inv(precision[np.ix_(two, two)])
    away = vectors - prior.mean
    away[:, two] = 0.0
    pull = covariance @ precision[two]
    mean = np.asarray(prior.mean[two] - np.einsum("su,du->ds", pull, away), np.float64)
    return mean, np.asarray(covariance, np.float64)

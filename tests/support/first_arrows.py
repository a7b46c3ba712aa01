"""First arrows: archers who have never shot their bow and do just what the plan says.

Holds:  bare and full sheets of every kind of bow, wrong by up to three stated errors; a sight set
        by eye; notes with slips, mended where the plan asks; one archer followed from the first
        arrow to trust.
Never:  numbers used as evidence by themselves.
"""

from dataclasses import dataclass, replace

import numpy as np
from archers import READING_SD_M, Truth, random_sheet
from exact_units import GRAIN_KG, POUND_FORCE_N, YARD_M
from slips import wrong
from stick_archers import stick_archer

from tapewright.calibration.observation import Observation, distance_doubt
from tapewright.calibration.prior import prior_from_rig
from tapewright.calibration.rig import Bow, Sight
from tapewright.services.advise import Butt, PlanOrder, Wish, plan_shots
from tapewright.services.calibrate import calibrate
from tapewright.services.usual_wish import usual_places
from tapewright.sight.prediction import impact, mark
from tapewright.target.group import Group, Impact

WILD_SHARE, WILD_TIMES = 0.04, 4.0
SET_BY_EYE_MM = 40.0
MOST_GROUPS = 30
SLIPS = ("sign", "neighbour", "reading digit", "distance digit", "inches", "yards", "peg")
TURNED_SD_RAD = 2e-4  # of a turn of the windage: a tenth of a millimetre at the pin, and a click
LEAST_GRAINS_A_POUND = 5.5  # a lighter arrow must not be shot; the truth may be three errors off


@dataclass(frozen=True)
class Followed:
    """What became of one archer.

    Parameters
    ----------
    arrows, missed : int
        Shot, and past the butt; wild flyers left out.
    wild, wild_missed : int
        Wild flyers shot, and past the butt.
    longest_step : float
        Farthest distance shot at over the farthest hit before it; 0 with one distance only.
    first_yd : float
        Where the first arrow was shot.
    trusted_yd : float
        In the end.
    ended : str
        "trusted", or what hindered.
    """

    arrows: int
    missed: int
    wild: int
    wild_missed: int
    longest_step: float
    first_yd: float
    trusted_yd: float
    ended: str


def a_sheet(rng, is_bare):
    """A full sheet, or one with little more than the arrow on it."""
    full = random_sheet(rng)
    if not is_bare:
        return full
    heaviest = min(70.0, full.arrow.mass_kg.value / GRAIN_KG / LEAST_GRAINS_A_POUND)
    weight_n = rng.uniform(45, heaviest) * POUND_FORCE_N
    bow = Bow(draw_weight_n=weight_n, draw_length_m=rng.uniform(0.66, 0.78))
    return replace(full, bow=bow, sight=Sight(farther=full.sight.farther))


def a_truth(sheet, rng):
    """A truth that one number of the sheet misses by up to three stated errors, others by luck."""
    prior = prior_from_rig(sheet, np.zeros(0))
    off = np.clip(rng.standard_normal(len(prior.mean)), -3.0, 3.0)
    off[rng.integers(0, 5)] = rng.uniform(-3.0, 3.0)
    vector = prior.mean + prior.sd * off
    gain_m = prior.unknowns.direction * np.exp(vector[prior.unknowns.place("log_gain")])
    vector[prior.unknowns.place("zero_tangent")] = rng.uniform(-0.02, 0.02) / gain_m
    vector[prior.unknowns.place("windage")] = rng.normal(0.0, 3e-3)
    vector[prior.unknowns.place("side")] = rng.normal(0.0, 3e-3)
    return Truth(vector, prior.unknowns, rng.uniform(0.4e-3, 1.2e-3), rng.uniform(5e-5, 2.5e-4))


def loosed(truth, distance_m, reading_m, arrows, rng):
    """Where arrows of one group hit, (arrows, 2), and which of them are wild."""
    bow = truth.unknowns.bow(truth.vector)
    true_m = distance_m + distance_doubt(distance_m) * rng.standard_normal()
    true_reading_m = reading_m + READING_SD_M * rng.standard_normal()
    centre = np.array(impact(bow, np.array([true_m]), np.array([true_reading_m])))[:, 0]
    centre = centre + distance_m * truth.wobble_rad * rng.standard_normal(2)
    wild = rng.random(arrows) < WILD_SHARE
    times = np.where(wild, WILD_TIMES, 1.0)[:, None]
    spread = distance_m * truth.dispersion_rad * times * rng.standard_normal((arrows, 2))
    return centre + spread, wild


def turned(truth, right_rad):
    """The same bow once its pin was moved after arrows that lay so far to the right."""
    vector = truth.vector.copy()
    vector[truth.unknowns.place("windage")] -= right_rad
    return replace(truth, vector=vector)


def an_archer(rng, kind, *, is_bare):
    """A sheet and the truth behind it."""
    if kind == "compound":
        sheet = a_sheet(rng, is_bare)
        return sheet, a_truth(sheet, rng)
    sheet, (_, truth) = stick_archer(kind, rng, is_bare=is_bare)
    return sheet, truth


def noted(shots, sheet, rng):
    """The last group as somebody wrote it who slipped; as it was where nobody could."""
    kinds = [kind for kind in SLIPS if kind != "neighbour" or len(shots) > 1]
    kind = kinds[int(rng.integers(0, len(kinds)))]
    if not shots[-1].group.counted or shots[-1].group.missed:
        return shots[-1]
    return wrong(kind, shots, len(shots) - 1, sheet, rng, YARD_M) or shots[-1]


def looked_up(meant, written, answer):
    """Notes after the archer looked at the groups that were named: mended, or put aside."""
    named = {name for slip in answer.slips[:1] for name in slip.mistake.names}
    named |= {one.written.group.name for one in answer.doubt.without[:1]} if not named else set()
    kept = [
        (right, right if right.group.name in named else wrote)
        for right, wrote in zip(meant, written, strict=True)
        if right.group.name not in named or right != wrote
    ]
    if tuple(one for _, one in kept) == written:
        kept = kept[:-1]
    return tuple(one for one, _ in kept), tuple(one for _, one in kept)


def followed(seed, butt_m, wanted_yd=60, *, is_bare=False, kind="compound", slips=0.0):
    """One archer with a square butt, from the first arrow until the plan has nothing to ask."""
    rng = np.random.default_rng([23, seed])
    sheet, truth = an_archer(rng, kind, is_bare=is_bare)
    prior = prior_from_rig(sheet, np.zeros(0))
    gain = float(np.exp(truth.vector[prior.unknowns.place("log_gain")]))
    eye_m = 1e-3 * rng.uniform(-SET_BY_EYE_MM, SET_BY_EYE_MM) * gain / prior.unknowns.sight_radius_m
    butt = Butt(butt_m, butt_m)
    places = usual_places(wanted_yd * YARD_M, YARD_M)
    order = PlanOrder(wanted_yd * YARD_M, Wish(0.0762, butt), 60, places)
    grid = np.arange(9, wanted_yd + 1) * YARD_M
    meant = shots = ()
    counts = np.zeros(4, int)  # arrows, missed, wild, wild missed
    farthest_m, longest, first_m = 0.0, 0.0, 0.0
    for number in range(MOST_GROUPS):
        answer = calibrate(sheet, shots, [20 * YARD_M], grid, seed)
        plan = plan_shots(answer, order)
        why = getattr(plan.hindrance, "kind", "nothing")
        if why in ("slip", "doubt") and not plan.steps:
            meant, shots = looked_up(meant, shots, answer)
            continue
        if plan.is_trusted or not plan.steps:
            why = "trusted" if plan.is_trusted else why
            return Followed(*counts, longest, first_m / YARD_M, plan.trusted_m / YARD_M, why)
        step = plan.steps[0]
        distance_m = step.distance_m
        if plan.is_set_by_eye:
            right_m = float(np.squeeze(mark(truth.unknowns.bow(truth.vector), distance_m)))
            reading_m, low_m, high_m = right_m + eye_m, -np.inf, np.inf
        else:
            reading_m, (low_m, high_m) = plan.readings_m[0], plan.lands_m
        reading_m = round(reading_m, 4)
        if plan.windage_rad:
            truth = turned(truth, plan.windage_rad + TURNED_SD_RAD * rng.standard_normal())
        hits, wild = loosed(truth, distance_m, reading_m, step.arrows, rng)
        on_butt = (np.abs(hits) <= 0.5 * butt_m).all(axis=1)
        fits = on_butt[0] and low_m <= hits[0, 1] <= high_m
        shot = step.arrows if fits else 1  # one, then look
        on_butt, wild, hits = on_butt[:shot], wild[:shot], hits[:shot]
        counts += [(~wild).sum(), (~wild & ~on_butt).sum(), wild.sum(), (wild & ~on_butt).sum()]
        first_m = first_m or distance_m
        longest = max(longest, distance_m / farthest_m if farthest_m else 0.0)
        if on_butt.any():
            farthest_m = max(farthest_m, distance_m)
        impacts = [Impact(round(x, 3), round(y, 3)) for x, y in hits[on_butt]]
        if not on_butt.all():
            impacts.append(Impact(None, None, int((~on_butt).sum()), missed=True))
        meant += (Observation(Group(str(number), tuple(impacts)), distance_m, reading_m),)
        shots += meant[-1:] if rng.random() >= slips else (noted(meant, sheet, rng),)
    return Followed(*counts, longest, first_m / YARD_M, plan.trusted_m / YARD_M, "tired")

"""Broadheads: who may shoot the marks of field points is told so, and who may not as well.

Source: archers are invented (tests/support/archers.py). Beside six groups of field points they
shoot what they are told, four broadheads and four field points each time, from 10 yd on, until
they are told to stop or have shot sixty broadheads. Blades steer by an angle that no table tells;
it grows with the distance by up to a quarter in 50 m, of which the fit knows nothing; they drag by
up to 60 % more, scatter by up to 30 % more and weigh 3 grains more or less, which a bow answers by
its energy: common practice, no source. The laws asked are those of a right word, of a trusted
distance that holds, and of how far it reaches.
"""

from concurrent.futures import ProcessPoolExecutor

import numpy as np
import pytest
from archers import READING_SD_M, random_sheet, random_truth, shoot
from exact_units import GRAIN_KG, YARD_M

from tapewright.calibration.observation import Observation, distance_doubt
from tapewright.services.calibrate import calibrate
from tapewright.services.compare_points import Butt, compare_points
from tapewright.sight.prediction import impact
from tapewright.target.group import Group, Impact

SIGHTED_YD = (10, 20, 30, 40, 50, 60)
WANTED_M, EACH, MOST = 60 * YARD_M, 4, 60
GRID_M = np.arange(10, 61, 5) * YARD_M
TOLERANCE_M = 3 * 0.0254  # of a sheet that says none
BUTT = Butt(1.2, 1.2)
MOVING_KG = 45 * GRAIN_KG  # what a compound moves beside the arrow
CLEAR = 4.0  # of the groups' errors
KINDS = {
    "none": "nothing steers",
    "clear": "are steered by more than 4 errors of the groups",
    "faint": "are steered by less",
}


class Blades:
    """How one archer's broadheads fly, beside the field points of a truth."""

    def __init__(self, truth, rig, rng, steer_rad):
        mass_kg, more_kg = rig.arrow.mass_kg.value, rng.normal(0.0, 3.0) * GRAIN_KG
        vector, place = truth.vector.copy(), truth.unknowns.place
        vector[place("log_speed")] -= 0.5 * np.log1p(more_kg / (mass_kg + MOVING_KG))
        vector[place("log_drag")] += np.log(rng.uniform(1.0, 1.6)) - np.log1p(more_kg / mass_kg)
        self.bow = truth.unknowns.bow(vector)
        self.field = truth.unknowns.bow(truth.vector)
        self.scatter_rad = truth.dispersion_rad * rng.uniform(1.0, 1.3)
        self.wobble_rad = truth.wobble_rad
        turn = rng.uniform(0.0, 2.0 * np.pi)
        self.steer_rad = steer_rad * np.array([np.cos(turn), np.sin(turn)])  # right, up
        self.grows = rng.uniform(0.0, 0.25) / 50.0

    def off_m(self, distance_m):
        """By how much they are steered."""
        grown = 1.0 + self.grows * distance_m
        return self.steer_rad[:, None] * grown * distance_m

    def lands(self, distance_m, reading_m):
        """Right from field points, and up from the aim."""
        right_m, up_m = np.array(impact(self.bow, distance_m, reading_m))
        old_m, _ = np.array(impact(self.field, distance_m, reading_m))
        steered_m = self.off_m(distance_m)
        return right_m - old_m + steered_m[0], up_m + steered_m[1]

    def shoot(self, distance_m, reading_m, rng, name):
        true_m = np.array([distance_m + distance_doubt(distance_m) * rng.standard_normal()])
        dialled_m = np.array([reading_m + READING_SD_M * rng.standard_normal()])
        centre = np.array(impact(self.bow, true_m, dialled_m))[:, 0] + self.off_m(true_m)[:, 0]
        centre = centre + distance_m * self.wobble_rad * rng.standard_normal(2)
        wild = np.where(rng.random(EACH) < 0.02, 4.0, 1.0)[:, None]
        xy = centre + distance_m * self.scatter_rad * wild * rng.standard_normal((EACH, 2))
        hits = tuple(Impact(float(x), float(y)) for x, y in xy)
        return Observation(Group(name, hits), float(distance_m), float(reading_m), head="broadhead")

    def error_rad(self, truth, pairs):
        """Error, either way, of the difference between groups of both points, pairs together."""
        each2 = (truth.dispersion_rad**2 + self.scatter_rad**2) / EACH
        return float(np.sqrt((each2 + 2.0 * self.wobble_rad**2) / max(pairs, 1)))


def one_archer(seed):
    """What an archer was told in the end, whether it was right, and what it was worth."""
    rng = np.random.default_rng([1701, seed])
    steer_rad = 0.0 if seed % 3 == 0 else rng.uniform(0.0, 3.0e-3)
    rig = random_sheet(rng)
    truth = random_truth(rig, rng)
    blades = Blades(truth, rig, rng, steer_rad)
    shots = []
    for yards in SIGHTED_YD:
        reading_m = round(truth.marks([yards * YARD_M])[0] + rng.normal(0.0, 1.0e-3), 4)
        shots.append(shoot(truth, yards * YARD_M, reading_m, EACH, rng, f"s{yards}", 0.02))
    pairs, first = 0, None
    while True:
        answer = calibrate(rig, tuple(shots), GRID_M, GRID_M)
        if not answer.trusted_m[0] and pairs:  # a group does not fit: put aside, and shot again
            del shots[-2:]
            answer = calibrate(rig, tuple(shots), GRID_M, GRID_M)
        if not answer.trusted_m[0]:  # refused: field points come first
            return None
        found = compare_points(answer, GRID_M, WANTED_M, BUTT, YARD_M, 0.03)
        if first is None and found.verdict != "more":
            first = EACH * pairs
        if found.next is None or EACH * pairs >= MOST:
            break
        at_m, reading_m = found.next.distance_m, round(found.next.reading_m, 4)
        pairs += 1
        shots.append(shoot(truth, at_m, reading_m, EACH, rng, f"f{pairs}", 0.02))
        shots.append(blades.shoot(at_m, reading_m, rng, f"b{pairs}"))
    return judged(found, blades, steer_rad, blades.error_rad(truth, pairs)) | {
        "first": first, "arrows": EACH * pairs,
    }  # fmt: skip


def judged(found, blades, steer_rad, error_rad):
    """A verdict against the truth.

    Two words are right where they meet: within two errors of the tolerance; own marks, too, where
    blades that nothing steers drag so much that they hit lower by half the tolerance or more.
    """
    wanted = found.wanted_m + 1e-6 >= GRID_M
    right_m, up_m = blades.lands(GRID_M, found.field.reading_m)
    off_m, beside_m = np.hypot(right_m, up_m)[wanted].max(), abs(right_m[wanted][-1])
    is_sideways = beside_m >= abs(up_m[wanted][-1])
    border_m = 2.0 * error_rad * found.wanted_m
    is_right = {
        "same": off_m <= TOLERANCE_M + border_m,
        "own": (steer_rad > 0.0 or 2.0 * off_m > TOLERANCE_M)
        and beside_m <= TOLERANCE_M + border_m,
        "tune": steer_rad > 0.0 and (is_sideways or beside_m >= TOLERANCE_M - border_m),
        "more": steer_rad <= CLEAR * error_rad and steer_rad > 0.0 and found.more is not None,
    }
    marks_m = found.own.reading_m if found.verdict == "own" else found.field.reading_m
    trusted = found.trusted_m + 1e-6 >= GRID_M
    landed_m = np.hypot(*blades.lands(GRID_M, marks_m))[trusted]
    return {
        "kind": "none" if not steer_rad else "clear" if steer_rad > CLEAR * error_rad else "faint",
        "verdict": found.verdict, "right": bool(is_right[found.verdict]), "more": found.more,
        "trust": found.trusted_m / found.wanted_m,
        "broken": bool(landed_m.max(initial=0.0) > TOLERANCE_M), "odd": len(found.odd),
        "steer": steer_rad, "error": error_rad, "off": off_m, "beside": beside_m,
    }  # fmt: skip


def archers(seeds, workers):
    if workers == 1:
        found = [one_archer(seed) for seed in seeds]
    else:
        with ProcessPoolExecutor(workers) as pool:
            found = list(pool.map(one_archer, seeds, chunksize=4))
    return [one for one in found if one is not None]


def told(ledger, rows, allowed):
    """Shares of archers; what is allowed is of wrong words twice, of short and of broken trust."""
    kinds = {kind: [one for one in rows if one["kind"] == kind] for kind in KINDS}
    for (kind, words), most in zip(KINDS.items(), (*allowed[:2], 100.0), strict=True):
        some = kinds[kind]
        wrong = 100.0 * np.mean([not one["right"] for one in some])
        ledger(f"broadheads that {words}: wrong verdict", f"{len(some)} simulated archers",
               len(some), wrong, most, "% of archers")  # fmt: skip
    none = kinds["none"]
    short = 100.0 * np.mean([one["trust"] < 0.8 for one in none])
    ledger("broadheads that nothing steers: trusted to less than 80 % of what field points are",
           f"{len(none)} simulated archers", len(none), short, allowed[2],
           "% of archers")  # fmt: skip
    trusted = [one for one in rows if one["trust"] > 0.0]
    broken = 100.0 * np.mean([one["broken"] for one in trusted])
    ledger("broadheads trusted to where they miss by more than the tolerance",
           f"{len(trusted)} simulated archers", len(trusted), broken, allowed[3],
           "% of archers")  # fmt: skip
    return kinds


def test_broadheads_are_told_right(ledger):
    # One archer that nothing steers, two steered clearly, one faintly: a single one may be wrong
    told(ledger, archers((576, 503, 64, 332), 1), (50.0, 50.0, 50.0, 50.0))


def long_run(ledger):
    """The figures of docs/reliability.md."""
    kinds = told(ledger, archers(range(600), None), (10.0, 10.0, 20.0, 10.0))
    for kind, words in KINDS.items():
        some = kinds[kind]
        who = f"{len(some)} simulated archers"
        for verdict in ("same", "own", "tune", "more"):
            share = 100.0 * np.mean([one["verdict"] == verdict for one in some])
            ledger(f"broadheads that {words}: told {verdict}, told only", who, len(some), share,
                   100.0, "% of archers")  # fmt: skip
        for name in ("first", "arrows"):
            arrows = float(np.median([MOST if one[name] is None else one[name] for one in some]))
            when = "the first verdict" if name == "first" else "the end"
            ledger(f"broadheads that {words}: shot until {when}, median, told only", who, len(some),
                   arrows, 100.0, "arrows")  # fmt: skip


@pytest.mark.long
@pytest.mark.timeout(3600)
def test_many_archers(ledger):
    told(ledger, archers(range(600, 660), 2), (20.0, 20.0, 30.0, 20.0))

"""Slips: archers who write one thing down wrongly, as people do.

Holds:  sheets with one to three pins; sessions written down; one mistake of each kind in them, and
        how far it moves a group, in the group's own errors.
Never:  numbers used as evidence by themselves.
"""

from dataclasses import dataclass, replace

import numpy as np
from archers import READING_SD_M, Truth, random_sheet, random_truth
from exact_units import INCH_M, YARD_M

from tapewright.calibration.fit import fit_bow
from tapewright.calibration.observation import Observation, distance_doubt
from tapewright.calibration.rig import Belief
from tapewright.confidence.leaving_out import left_out
from tapewright.sight.prediction import Aim, impact, mark
from tapewright.target.group import Group, Impact

KINDS = ("pin", "exchanged", "sign", "neighbour", "reading digit", "distance digit", "inches",
         "yards", "peg")  # fmt: skip
KINDS_OF_ALL = ("exchanged in all", "sign in all", "inches in all", "yards in all", "swapped")
WILD_SHARE, WILD_TIMES = 0.04, 4.0


@dataclass(frozen=True)
class Slipped:
    """A session with a mistake in it.

    Parameters
    ----------
    sheet : Rig
        The sheet.
    truth : Truth
        What the archer does not know.
    meant, written : tuple of Observation
        What was shot, and what stands in the notes.
    places : tuple of int
        Which groups are written wrongly.
    moved : float
        How far the mistake moves the group, in errors of where it lies and of where all others
        put it; the least of several.
    """

    sheet: object
    truth: Truth
    meant: tuple
    written: tuple
    places: tuple
    moved: float


def a_sheet(rng):
    """A usual sheet; of three one has a second pin, one a second and a third."""
    sheet = random_sheet(rng)
    below_m = np.cumsum(rng.uniform(4e-3, 8e-3, int(rng.integers(0, 3))))
    pins = tuple(Belief(float(round(one, 4))) for one in below_m)
    return replace(sheet, sight=replace(sheet.sight, pins_below_first_m=pins))


def a_session(sheet, truth, rng, groups, unit_m):
    """Groups of three to six arrows from 10 to 80, dialled to a tenth of a millimetre, in order."""
    bow = truth.unknowns.bow(truth.vector)
    numbers = np.sort(rng.choice(np.arange(10, 81, 5), groups, replace=False))
    shots = []
    for place, number in enumerate(numbers, 1):
        distance_m = float(number * unit_m)
        pin = int(rng.integers(1, 2 + len(sheet.sight.pins_below_first_m)))
        below_m = truth.unknowns.pin_below(truth.vector, np.array([pin]))
        aim = Aim(pin_below_m=below_m)
        right_m = float(np.squeeze(mark(bow, np.array([distance_m]), aim)))
        reading_m = round(right_m + rng.normal(0.0, 1.5e-3), 4)
        true_m = distance_m + distance_doubt(distance_m) * rng.standard_normal()
        true_reading_m = reading_m + READING_SD_M * rng.standard_normal()
        centre = np.array(impact(bow, np.array([true_m]), np.array([true_reading_m]), aim))[:, 0]
        centre = centre + distance_m * truth.wobble_rad * rng.standard_normal(2)
        arrows = int(rng.integers(3, 7))
        wild = np.where(rng.random(arrows) < WILD_SHARE, WILD_TIMES, 1.0)[:, None]
        spread = distance_m * truth.dispersion_rad * wild * rng.standard_normal((arrows, 2))
        hits = tuple(Impact(round(x, 3), round(y, 3)) for x, y in centre + spread)
        shots.append(Observation(Group(str(place), hits), distance_m, reading_m, pin))
    return tuple(shots)


def _arrows(one, right, up):
    hits = tuple(
        replace(hit, right_m=hit.right_m * right, up_m=hit.up_m * up) for hit in one.group.impacts
    )
    return replace(one, group=replace(one.group, impacts=hits))


def _digits(number, decimals, rng):
    """Two neighbouring digits exchanged, or one of them wrong; the first never 0."""
    text = f"{number:.{decimals}f}"
    places = [place for place, letter in enumerate(text) if letter.isdigit()]
    while True:
        letters = list(text)
        if rng.random() < 0.5 and len(places) > 1:
            first = int(rng.integers(0, len(places) - 1))
            before, after = places[first], places[first + 1]
            letters[before], letters[after] = letters[after], letters[before]
        else:
            letters[places[int(rng.integers(0, len(places)))]] = str(rng.integers(0, 10))
        if "".join(letters) != text and letters[places[0]] != "0":
            return float("".join(letters))


def wrong(kind, shots, place, sheet, rng, unit_m, inches=None):
    """The group as written by somebody who errs so; None where nobody could."""
    one = shots[place]
    if kind == "pin":
        others = set(range(1, 2 + len(sheet.sight.pins_below_first_m))) - {one.pin}
        return replace(one, pin=int(rng.choice(sorted(others)))) if others else None
    if kind == "exchanged":
        distance_m = one.reading_m / 1e-3 * unit_m
        if not 3.0 <= distance_m <= 150.0:
            return None
        return replace(one, distance_m=distance_m, reading_m=one.distance_m / unit_m * 1e-3)
    if kind == "sign":
        return _arrows(one, 1.0, -1.0)
    if kind == "neighbour":
        beside = [shots[at] for at in (place - 1, place + 1) if 0 <= at < len(shots)]
        return replace(one, reading_m=beside[int(rng.integers(0, len(beside)))].reading_m)
    if kind == "reading digit":
        return replace(one, reading_m=_digits(one.reading_m / 1e-3, 1, rng) * 1e-3)
    if kind == "distance digit":
        distance_m = _digits(one.distance_m / unit_m, 0, rng) * unit_m
        return replace(one, distance_m=distance_m) if 3.0 <= distance_m <= 150.0 else None
    if kind == "inches":
        times = inches or float(rng.choice([2.54, 1.0 / 2.54]))
        return _arrows(one, times, times)
    if kind == "yards":
        meant = 0.9144 if unit_m == 1.0 else 1.0 / 0.9144
        return replace(one, distance_m=one.distance_m / meant)
    step_m = float(rng.choice([-10.0, -5.0, 5.0, 10.0])) * unit_m
    distance_m = round(one.distance_m + step_m, 6)
    return replace(one, distance_m=distance_m) if distance_m >= 4.0 else None


def _errors(written, meant, truth, sheet, others):
    """How far what is written moves a group from where it lay, in its errors.

    They are those of its centre and of what the other groups, written as they are, let expect:
    the latter as the program has it.
    """
    bow = truth.unknowns.bow(truth.vector)

    def off_rad(one):
        below_m = truth.unknowns.pin_below(truth.vector, np.array([one.pin]))
        aim = Aim(pin_below_m=below_m)
        said = impact(bow, np.array([one.distance_m]), np.array([one.reading_m]), aim)
        up_m = np.median([hit.up_m for hit in one.group.impacts])  # a flyer moves no group
        return float(up_m - np.asarray(said[1])[0]) / one.distance_m

    left = left_out(fit_bow(sheet, (meant, *others)), 0)
    _, error_rad = left.offsets((meant,))
    return abs(off_rad(written) - off_rad(meant)) / float(error_rad[0])


def slipped(kind, seed, least=4.0, groups=None):
    """A session of three to six groups with one mistake of a kind that moves it by so much."""
    number = (*KINDS, *KINDS_OF_ALL).index(kind)
    rng = np.random.default_rng([29, number, seed])
    while True:
        sheet = a_sheet(rng)
        truth = random_truth(sheet, rng)
        unit_m = YARD_M if rng.random() < 0.6 else 1.0
        count = int(rng.integers(3, 7)) if groups is None else groups
        meant = a_session(sheet, truth, rng, count, unit_m)
        written, places = list(meant), tuple(range(count))
        one_kind = kind.removesuffix(" in all")
        if kind == "swapped":
            first = int(rng.integers(0, count - 1))
            places = (first, first + 1)
            for at, other in zip(places, places[::-1], strict=True):
                written[at] = replace(meant[at], reading_m=meant[other].reading_m)
        elif kind in KINDS:
            places = (int(rng.integers(0, count)),)
        if kind != "swapped":
            inches = float(rng.choice([2.54, 1.0 / 2.54]))
            for at in places:
                written[at] = wrong(one_kind, meant, at, sheet, rng, unit_m, inches)
        if any(one is None for one in written):
            continue
        moved = [
            _errors(written[at], meant[at], truth, sheet, (*meant[:at], *meant[at + 1 :]))
            for at in places
        ]
        if (max(moved) if len(places) > 2 else min(moved)) >= least:
            return Slipped(sheet, truth, meant, tuple(written), places, min(moved))


def sound(seed):
    """A session written down as it was shot."""
    rng = np.random.default_rng([31, seed])
    sheet = a_sheet(rng)
    truth = random_truth(sheet, rng)
    unit_m = YARD_M if rng.random() < 0.6 else 1.0
    meant = a_session(sheet, truth, rng, int(rng.integers(2, 7)), unit_m)
    return Slipped(sheet, truth, meant, meant, (), 0.0)


def is_mended(slip, case):
    """Whether a named slip would write what was meant; an open reading roughly."""
    if set(slip.mistake.places) != set(case.places):
        return False
    for at, one in zip(slip.mistake.places, slip.mistake.meant, strict=True):
        meant = case.meant[at]
        close_m = 5e-3 if slip.mistake.is_reading_open else 0.051e-3
        same = abs(one.reading_m - meant.reading_m) <= close_m and one.pin == meant.pin
        same &= abs(one.distance_m - meant.distance_m) <= 0.01
        ups = zip(one.group.impacts, meant.group.impacts, strict=True)
        same &= all(abs(here.up_m - there.up_m) <= 0.1 * INCH_M for here, there in ups)
        if not same:
            return False
    return True

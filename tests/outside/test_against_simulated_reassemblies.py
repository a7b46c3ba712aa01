"""Re-assembly: what moved is named, a bow put together as it was is called so, as often as told.

Source: bows are invented, of all three kinds; each thing is recorded and measured again with the ±
that its record states or that is usual, and written down as finely as people read a rule. Near
groups are shot by invented archers (tests/support/archers.py) after three to five groups had been
calibrated; what moved is an angle of the truth. The laws asked are those of a test over a list and
of one group; nothing of the program's own numbers but its verdict is used.
"""

from collections import Counter
from dataclasses import replace

import numpy as np
import pytest
from archers import random_sheet, random_truth, session, shoot
from exact_units import YARD_M

from tapewright.calibration.rig import Bow
from tapewright.field.set_up_deviations import compared
from tapewright.reading.set_up_record import read_set_up
from tapewright.services.calibrate import calibrate
from tapewright.services.reassemble import reassemble

# Key: kinds of bow, unit, usual ± and between what it is; written out, not taken from the program
THINGS = {
    "limbs.upper_bolt": ("compound recurve", "", 0.06, (0, 8)),
    "limbs.lower_bolt": ("compound recurve", "", 0.06, (0, 8)),
    "limbs.brace_height": ("compound recurve longbow", " mm", 1.0, (150, 230)),
    "limbs.tiller": ("compound recurve longbow", " mm", 1.0, (-6, 12)),
    "string.nock_height": ("compound recurve longbow", " mm", 0.5, (0, 14)),
    "string.loop_height": ("compound", " mm", 0.5, (4, 20)),
    "string.peep_height": ("compound", " mm", 1.0, (120, 170)),
    "rest.side": ("compound recurve", " mm", 0.3, (15, 25)),
    "rest.height": ("compound recurve", " mm", 0.5, (15, 35)),
    "sight.ahead": ("compound recurve longbow", " mm", 0.5, (80, 300)),
    "sight.windage": ("compound recurve longbow", " mm", 0.1, (0, 8)),
}
FINE = 0.25  # of its ±, is how finely a number is written down
ERRORS = 5.0


def record(values):
    """A record's text from values and what stands behind them."""
    lines = ["schema = 1"]
    for table in ("limbs", "string", "rest", "sight"):
        lines.append(f"[{table}]")
        lines += [f'{name.partition(".")[2]} = "{text}"'
                  for name, text in values.items() if name.startswith(f"{table}.")]  # fmt: skip
    return "\n".join(lines)


def one_list(seed, is_moved):
    """Kind of bow, which thing was moved, and which were named."""
    rng = np.random.default_rng([1702, seed])
    kind = ("compound", "recurve", "longbow")[seed % 3]
    names = [name for name, (kinds, *_) in THINGS.items() if kind in kinds.split()]
    moved = str(rng.choice(names)) if is_moved else ""
    texts = [{}, {}]
    for name in names:
        _, unit, usual, ends = THINGS[name]
        own = rng.random() < 0.5
        sd = usual * rng.uniform(0.4, 2.5) if own else usual
        truth = rng.uniform(*ends)
        shift = ERRORS * np.sqrt(2.0) * sd * rng.choice([-1.0, 1.0]) * (name == moved)
        for at, by in enumerate((0.0, shift)):
            seen = round((truth + by + sd * rng.standard_normal()) / (FINE * sd)) * FINE * sd
            doubt = f" ± {sd:.6f}" if own and not at else ""
            low, high = (-40.0, 400.0) if unit else (0.0, 20.0)
            texts[at][name] = f"{np.clip(seen, low, high):.6f}{unit}{doubt}"
    before, now = (read_set_up(record(one)).measured for one in texts)
    found = compared(Bow(kind=kind), before, now)
    assert len(found) == len(names)
    return kind, moved, {one.name for one in found if one.is_moved}


def lists(count):
    """Shares: of sound bows called as before, of moved things named, of those named alone."""
    sound = sum(not one_list(seed, is_moved=False)[2] for seed in range(count))
    found = [one_list(count + seed, is_moved=True)[1:] for seed in range(count)]
    named = [moved in names for moved, names in found]
    alone = [names == {moved} for moved, names in found]
    worst = Counter(
        moved for (moved, _), is_named in zip(found, named, strict=True) if not is_named
    )
    return sound / count, np.mean(named), np.mean(alone), worst


def one_near(seed, up_rad, right_rad):
    """What a near group of four said of a bow that was turned by so much."""
    rng = np.random.default_rng([1703, seed])
    sheet = random_sheet(rng)
    truth = random_truth(sheet, rng)
    shots = session(truth, rng, int(rng.integers(3, 6)))
    before = calibrate(sheet, shots, (18.0,), np.arange(9, 60, 3) * YARD_M, seed=seed)
    if not before.is_earned:
        return "unknown"
    place = truth.unknowns.place
    vector = truth.vector.copy()
    vector[place("zero_tangent")] += up_rad
    vector[place("windage")] += right_rad
    at_m = 10.0 * YARD_M
    reading = round(float(truth.marks([at_m])[0] + rng.normal(0.0, 0.3e-3)), 4)
    group = shoot(replace(truth, vector=vector), at_m, reading, 4, rng, "near")
    return reassemble(before, {}, None, (group,), (18.0,)).near.verdict


def near(count, up_rad=0.0, right_rad=0.0, start=0):
    """Share of near groups that said something moved; and how many could say anything."""
    said = Counter(one_near(start + seed, up_rad, right_rad) for seed in range(count))
    told = said["moved"] + said["as before"]
    return said["moved"] / told, told


def test_lists_of_some_hundred_bows(ledger):
    sound, named, alone, worst = lists(600)
    ledger("bows put together as they were, called so", "invented lists", 600, 1.0 - sound, 0.05,
           "called moved")  # fmt: skip
    ledger("things moved by 5 errors, named", "invented lists", 600, 1.0 - named, 0.10, "not named")
    assert sound >= 0.95
    assert named >= 0.90, worst
    assert alone >= 0.90


@pytest.mark.long
def test_near_groups_of_a_few_archers():
    assert near(6, up_rad=8e-3)[0] >= 0.8
    assert near(6, right_rad=8e-3, start=6)[0] >= 0.8


def long_run(enter):
    """Ten thousand lists, and some hundred near groups."""
    sound, named, alone, _ = lists(10_000)
    enter("bows put together as they were, called so", "10,000 lists", 10_000, 1.0 - sound, 0.05,
          "called moved")  # fmt: skip
    enter("things moved by 5 errors, named", "10,000 lists", 10_000, 1.0 - named, 0.10, "not named")
    enter("of these, named alone", "10,000 lists", 10_000, 1.0 - alone, 0.10, "not alone")
    false, told = near(400)
    enter("near groups of bows as they were, called moved", "archers", told, false, 0.08, "moved")
    for up_mrad, right_mrad, allowed in ((2, 0, 0.75), (4, 0, 0.3), (0, 2, 0.75), (0, 4, 0.3)):
        found, told = near(200, 1e-3 * up_mrad, 1e-3 * right_mrad, start=400)
        what = f"near groups, arrows leave {up_mrad} mrad higher, {right_mrad} to the right"
        enter(what, "archers", told, 1.0 - found, allowed, "not seen")

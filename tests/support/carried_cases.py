"""Carried cases: archers who go on shooting at the range, told by the phone and by the program.

Holds:  invented rigs with groups of home and new ones; what the script of a carried rig tells of
        them, in node; what the full calibration tells.
Never:  numbers used as evidence by themselves.
"""

import json
import shutil
import subprocess
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
from archers import random_sheet, random_truth, shoot
from browser import open_browser
from exact_units import YARD_M
from first_arrows import a_sheet
from written_out import IMPERIAL

from tapewright.faces.offline_pack import carried_json
from tapewright.services.calibrate import calibrate
from tapewright.services.carry import carry

NODE = shutil.which("node") or shutil.which("nodejs")
HERE = Path(__file__).resolve().parent
RUN = HERE / "carried_run.mjs"
SCRIPT = HERE.parents[1] / "src" / "tapewright" / "faces" / "web" / "static" / "carried.js"
TOLD_YD = np.arange(10, 111, 10)
GRID_M = np.arange(9, 126) * YARD_M
MADE_AT = datetime(2026, 11, 30, 9, 0, tzinfo=UTC)
BUTT = {"width_m": 0.9, "height_m": 0.9}
LIMIT_S = 1200


@dataclass(frozen=True)
class Case:
    """One archer: what was shot at home, what is new, and the truth."""

    rig: object
    truth: object
    home: tuple
    new: tuple


def case(seed, home=None, new=None, *, is_bare=False):
    """0 to 8 groups of home and 1 to 5 new ones; distances may come again."""
    rng = np.random.default_rng([15, seed])
    rig = a_sheet(rng, is_bare=True) if is_bare else random_sheet(rng)
    if seed % 2:  # half of the sights have clicks
        clicks = {"elevation_click_m": 0.05e-3, "windage_click_m": 0.1e-3}
        rig = replace(rig, sight=replace(rig.sight, **clicks))
    truth = random_truth(rig, rng)
    home = int(rng.integers(0, 9)) if home is None else home
    new = int(rng.integers(1, 6)) if new is None else new
    distances = rng.choice(np.arange(10, 81, 5), home + new) * YARD_M
    distances[:home].sort()
    readings = truth.marks(distances) + rng.normal(0.0, 1.5e-3, home + new)
    shots = tuple(
        shoot(truth, distance, round(reading, 4), int(rng.integers(3, 7)), rng, str(place), 0.04)
        for place, (distance, reading) in enumerate(zip(distances, readings, strict=True), 1)
    )
    return Case(rig, truth, shots[:home], shots[home:])


def phone_group(one):
    """A group as the phone keeps it."""
    arrows = [
        {"right_m": hit.right_m, "up_m": hit.up_m, "arrows": hit.arrows, "bad": hit.called_bad}
        for hit in one.group.impacts
    ]
    return {"distance_m": one.distance_m, "reading_m": one.reading_m, "pin": one.pin,
            "arrows": arrows, "missed": one.group.missed}  # fmt: skip


def asked(rig, home, new, distances_m=TOLD_YD * YARD_M):
    """What the script is asked: a pack of home, and the new groups."""
    answer = calibrate(rig, home, distances_m, GRID_M)
    pack = carried_json(carry(answer, YARD_M), IMPERIAL, MADE_AT)
    return {"pack": pack, "groups": [phone_group(one) for one in new],
            "distances_m": list(map(float, distances_m)), "butt": BUTT}  # fmt: skip


def told_by_script(questions):
    """Answers of the script to several cases: in node, or in Chromium where there is none."""
    if NODE is None:
        return told_in_browser(questions)
    lines = "".join(json.dumps(one) + "\n" for one in questions)
    done = subprocess.run(
        [NODE, str(RUN), SCRIPT.as_uri()],
        input=lines, capture_output=True, text=True, timeout=LIMIT_S, check=True,
    )  # fmt: skip
    return [json.loads(line) for line in done.stdout.splitlines()]


def told_in_browser(questions):
    """The same in Chromium."""
    texts = [one.read_text(encoding="utf-8") for one in (SCRIPT, RUN)]
    with open_browser() as browser:
        page = browser.new_page()
        answers = page.evaluate(
            """async ([script, run, questions]) => {
                const loaded = (text) => import(URL.createObjectURL(
                    new Blob([text], { type: "text/javascript" })));
                const [one, { told }] = [await loaded(script), await loaded(run)];
                return questions.map((asked) => JSON.stringify(told(one, JSON.parse(asked))));
            }""",
            [*texts, [json.dumps(one) for one in questions]],
        )
    return [json.loads(one) for one in answers]


def told_in_full(one, distances_m=TOLD_YD * YARD_M):
    """The program's own calibration of home and new groups together."""
    return calibrate(one.rig, (*one.home, *one.new), distances_m, GRID_M)

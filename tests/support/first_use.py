"""First use: somebody with a bow never shot, who follows what the pages offer, and is counted.

Holds:  what such a person knows of the bow; the bow's truth, which they do not know; the way from
        an empty notebook to a printed tape, with its taps and page loads.
Never:  a limit, tests.
"""

import re
from dataclasses import dataclass, field

import numpy as np
from archers import Truth
from exact_units import INCH_M, YARD_M
from first_arrows import loosed

from tapewright.calibration.prior import prior_from_rig
from tapewright.reading.rig_sheet import read_rig_sheet
from tapewright.sight.prediction import mark

KNOWN = {  # what lies beside an unboxed bow: its leaflet, a scale, a ruler
    "Name of the rig": "Heron",
    "Arrow mass": "420 gr ± 2",
    "Shaft diameter": "6.0 mm",
    "Rated speed": "330 fps",
    "Peep height": "4.6 in ± 0.15",
    "Sight radius": "33 in ± 0.5",
    "Reading per travel": "1.60 ± 1 %",
    "Farthest distance you shoot": "60 yd",
}
SAFETY = {  # asked so that nobody shoots what must not be shot
    "Arrow length": "28.5 in",
    "Draw weight": "60 lbf",
    "Draw length": "29 in",
    "Rest before the grip": "5 mm",
}
SHEET = """schema = 1
name = "Heron"
[arrow]
mass = "420 gr ± 2"
shaft_diameter = "6.0 mm"
length = "28.5 in"
[bow]
draw_weight = "60 lbf"
draw_length = "29 in"
rest = "5 mm"
rated_speed = "330 ft/s"
[sight]
peep_height = "4.6 in ± 0.15"
sight_radius = "33 in ± 0.5"
reading_per_travel = "1.60 ± 1 %"
"""
AFTER = re.compile(r"/groups/(new\?after=)?[0-9a-f]{20}$")
EYE_MM = 12.0  # how far a sight set by eye is from right
MOST_GROUPS = 12


def a_bow(seed):
    """A truth as far from the sheet as its ± admits, and the reading at which it is set by eye."""
    rng = np.random.default_rng([15, seed])
    prior = prior_from_rig(read_rig_sheet(SHEET, "sheet")[0], np.zeros(0))
    vector = prior.mean + prior.sd * rng.uniform(-1.0, 1.0, len(prior.mean))
    gain_m = np.exp(vector[prior.unknowns.place("log_gain")])
    vector[prior.unknowns.place("zero_tangent")] = 0.02 / gain_m
    vector[prior.unknowns.place("windage")] = 5e-4
    return Truth(vector, prior.unknowns, 0.6e-3, 1e-4), rng


@dataclass
class Counted:
    """A visitor's page with its taps and loads."""

    page: object
    taps: list = field(default_factory=list)  # what was tapped or filled
    free: list = field(default_factory=list)  # safety questions, and one Keep a group
    loads: list = field(default_factory=list)
    arrows: int = 0

    def __post_init__(self):
        self.page.on("domcontentloaded", lambda one: self.loads.append(one.url))

    def tap(self, role, name, *, free=False, **how):
        """Tap the first such thing that can be seen."""
        self.page.get_by_role(role, name=name, **how).first.tap()
        (self.free if free else self.taps).append(f"tap {getattr(name, 'pattern', name)}")

    def fill(self, label, text, *, free=False):
        """Fill one field."""
        self.page.get_by_label(label).first.fill(text)
        (self.free if free else self.taps).append(f"fill {label}: {text}")


def describe(seen):
    """From the first page to the rig's own."""
    page = seen.page
    page.goto("/")
    seen.tap("link", "Describe my rig")
    for label, text in KNOWN.items():
        seen.fill(label, text)
    for label, text in SAFETY.items():
        seen.fill(label, text, free=True)
    seen.tap("button", "Keep this rig")
    page.wait_for_url(re.compile("/rigs/[0-9a-f]{20}"))
    if page.get_by_role("link", name="Go on to the rig").count():
        seen.tap("link", "Go on to the rig")
    page.locator(".next .button.main").wait_for()


def shoot(seen, truth, rng):
    """One group as the form asks for it."""
    page = seen.page
    yards = float(page.get_by_label("Distance").input_value())
    reading = page.get_by_label("Reading, mm")
    if not reading.input_value():
        right_m = float(np.squeeze(mark(truth.unknowns.bow(truth.vector), yards * YARD_M)))
        seen.fill("Reading, mm", f"{1e3 * right_m + EYE_MM:.1f}")
    dialled_m = 1e-3 * float(reading.input_value())
    rows = page.locator("#rows .row").count()
    hits, _ = loosed(truth, yards * YARD_M, dialled_m, rows, rng)
    for row, (right_m, up_m) in enumerate(hits / INCH_M, 1):
        page.get_by_label(f"Arrow {row}, right").fill(f"{right_m:.1f}")
        page.get_by_label(f"Arrow {row}, up").fill(f"{up_m:.1f}")
    seen.arrows += rows
    with page.expect_navigation(url=AFTER):
        seen.tap("button", "Keep this group", free=True)
    page.get_by_role("heading", name="What to turn").wait_for()
    return yards, dialled_m


def first_use(page, seed=1):
    """From an empty notebook to a printed tape; what was tapped, and the groups shot."""
    seen, (truth, rng), groups = Counted(page), a_bow(seed), []
    describe(seen)
    for _ in range(MOST_GROUPS):
        if not page.get_by_role("button", name="Keep this group").count():
            seen.tap("link", re.compile("^Shoot this group"))
            page.get_by_role("button", name="Keep this group").wait_for()
        groups.append(shoot(seen, truth, rng))
        if page.get_by_role("link", name="Print the tape").count():
            break
    seen.tap("link", "Print the tape")
    seen.tap("button", "I print this")
    page.wait_for_url(re.compile(r"/tape\.pdf\?"))
    return seen, groups

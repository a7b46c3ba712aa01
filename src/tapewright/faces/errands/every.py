"""Every: all questions that can be put to a calibration, in the order people meet them.

Holds:  the list of all errands by name.
Never:  an errand.
"""

from typing import Any

from tapewright.faces.errands.budget import BUDGET
from tapewright.faces.errands.card import CARD
from tapewright.faces.errands.checks import LEVEL, LIMITS
from tapewright.faces.errands.clicks import CLICKS
from tapewright.faces.errands.errand import Errand
from tapewright.faces.errands.groups import GROUPS
from tapewright.faces.errands.marks import MARKS
from tapewright.faces.errands.outdoors import SLOPES, WEATHER, WIND
from tapewright.faces.errands.plan import PLAN
from tapewright.faces.errands.strips import STRIPS

ALL: tuple[Errand[Any], ...] = (
    MARKS, PLAN, GROUPS, CLICKS, STRIPS, LIMITS, LEVEL, CARD, SLOPES, WEATHER, WIND, BUDGET,
)  # fmt: skip
ERRANDS = {one.name: one for one in ALL}

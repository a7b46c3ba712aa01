"""Every: all questions that can be put to a calibration, in the order people meet them.

Holds:  the list of all errands by name.
Never:  an question.
"""

from typing import Any

from tapewright.questions.budget import BUDGET
from tapewright.questions.card import CARD
from tapewright.questions.checks import LEVEL, LIMITS
from tapewright.questions.clicks import CLICKS
from tapewright.questions.groups import GROUPS
from tapewright.questions.marks import MARKS
from tapewright.questions.outdoors import SLOPES, WEATHER, WIND
from tapewright.questions.plan import PLAN
from tapewright.questions.question import Question
from tapewright.questions.strips import STRIPS

ALL: tuple[Question[Any], ...] = (
    MARKS, PLAN, GROUPS, CLICKS, STRIPS, LIMITS, LEVEL, CARD, SLOPES, WEATHER, WIND, BUDGET,
)  # fmt: skip
QUESTIONS = {one.name: one for one in ALL}

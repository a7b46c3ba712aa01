"""Limits: how far each pin reaches before housing and arrow meet, or the travel ends.

Holds:  the question ``limits``.
Never:  formulas, how a face asks and shows.
"""

from tapewright.faces.checking_json import limits_json
from tapewright.faces.telling.checks import limits_blocks
from tapewright.questions.question import Field, Question, Said
from tapewright.services.calibrate import Answer
from tapewright.services.limits import FoundLimits, find_limits
from tapewright.words.units import Units


def _find_limits(answer: Answer, said: Said, units: Units) -> FoundLimits:
    return find_limits(answer, said.distances("distances", QUESTION.usual("distances", units)))


QUESTION = Question(
    "limits",
    "Limits of the sight",
    "How far each pin reaches before housing and arrow meet, or the travel ends.",
    (Field("distances", "Distances", "40:120:10yd", "40:110:10m", "Where travel left is wanted."),),
    _find_limits,
    limits_blocks,
    limits_json,
)

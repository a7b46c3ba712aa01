"""Level: what a canted bow, a swung level, a leaning travel and an eye beside the peep do.

Holds:  the question ``level``.
Never:  formulas, how a face asks and shows.
"""

from tapewright.faces.checking_json import level_json
from tapewright.faces.telling.checks import level_blocks
from tapewright.questions.question import Field, Question, Said
from tapewright.reading.sides import read_side_groups
from tapewright.services.calibrate import Answer
from tapewright.services.level import FoundTilts, Tilts, find_tilt_misses
from tapewright.words.units import Units

TILT_ENDS, SLOPE_ENDS = (-45.0, 45.0, "deg"), (-60.0, 60.0, "deg")
PEEP_ENDS = (-20.0, 20.0, "mm")


def _find_tilts(answer: Answer, said: Said, units: Units) -> FoundTilts:
    tilts = Tilts(
        cant_rad=said.quantity("cant", "angle", "1 deg", TILT_ENDS),
        swing_rad=said.quantity("third_axis", "angle", "1 deg", TILT_ENDS),
        travel_rad=said.quantity("travel_axis", "angle", "1 deg", TILT_ENDS),
        peep_m=said.quantity("peep", "length", "1 mm", PEEP_ENDS),
        slope_rad=said.quantity("slope", "angle", "20 deg", SLOPE_ENDS),
        zeroed_m=said.distance("zeroed", QUESTION.usual("zeroed", units)),
    )
    test = said.text("test")
    groups = read_side_groups(test, said.place("test")) if test else ()
    distances_m = said.distances("distances", QUESTION.usual("distances", units))
    if groups and not said.text("distances"):
        distances_m = tuple(sorted({group.distance_m for group in groups}))
    return find_tilt_misses(answer, distances_m, tilts, groups)


QUESTION = Question(
    "level",
    "Level and tilts",
    "What a canted bow, a swung level, a leaning travel and an eye beside the peep do; or, from "
    "groups at a plumb line and on slopes, which of them there is.",
    (
        Field("distances", "Distances", "20:80:20yd", "20:80:20m", "Where misses are wanted."),
        Field("cant", "Cant", "1 deg", hint="Lean of the bow, right positive."),
        Field("third_axis", "Third axis", "1 deg", hint="Right end of the level ahead."),
        Field("travel_axis", "Travel axis", "1 deg", hint="Lower end of the travel to the left."),
        Field("peep", "Eye off the peep", "1 mm", hint="Eye beside the peep's middle."),
        Field("slope", "Slope", "20 deg", hint="For the third axis."),
        Field("zeroed", "Windage set at", "20 yd", "20 m", "Where windage was set."),
        Field(
            "test",
            "Test groups",
            hint="Rows of distance_yd,slope_deg,right_in,arrows.",
            is_file=True,
        ),
    ),
    _find_tilts,
    level_blocks,
    level_json,
)

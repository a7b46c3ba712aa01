"""Card: the question what the arrow does at each distance, on the level and in calm air.

Holds:  the errand ``card``.
Never:  formulas, sentences that people read as an answer; the card on paper.
"""

from tapewright.faces.card_json import card_json
from tapewright.faces.telling.card import card_blocks
from tapewright.ground.errors import BadInput
from tapewright.ground.units import UNITS
from tapewright.questions.question import Field, Question, Said
from tapewright.questions.shared_fields import PIN, asked_pin
from tapewright.services.calibrate import Answer
from tapewright.services.make_card import CardOrder, RangeCard, make_card
from tapewright.words.units import Units

RADIUS_ENDS = (0.2, 200.0, "cm")


def _make_card(answer: Answer, said: Said, units: Units) -> RangeCard:
    radius_m = answer.rig.archer.tolerance_m
    if said.text("radius"):
        radius_m = said.quantity("radius", "length", "3 in", RADIUS_ENDS)
    distances_m = said.distances("distances", QUESTION.usual("distances", units))
    order = CardOrder(distances_m, radius_m, asked_pin(answer, said), UNITS[units.distance].factor)
    try:
        return make_card(answer, order)
    except BadInput as bad:  # the service does not know how a face names its fields
        place = said.place(bad.place.removeprefix("--"))
        raise BadInput(place, bad.wrong, bad.mend) from None


QUESTION = Question(
    "card",
    "Range card",
    "What the arrow does at each distance, on the level and in calm air: mark with its band, from "
    "where to where one mark serves, how wrong a distance may be, time of flight, speed, energy, "
    "drift, and the close marks.",
    (
        Field(
            "distances",
            "Distances",
            "10:100:10yd",
            "10:90:10m",
            "From:to:step, or a list such as 18,30 m.",
        ),
        Field(
            "radius",
            "Miss that is still good",
            hint="Such as 3 in. Left open: the rig sheet's.",
        ),
        PIN,
    ),
    _make_card,
    card_blocks,
    card_json,
)

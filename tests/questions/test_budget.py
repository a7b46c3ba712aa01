"""The question which error costs how much, as any face puts it."""

import pytest
from written_out import IMPERIAL, METRIC

from tapewright.ground.errors import BadInput
from tapewright.questions.budget import QUESTION as BUDGET
from tapewright.questions.question import Said
from tapewright.services.weigh_errors import Errors
from tapewright.words.quantity_parser import read_quantity

# Field, kind, most that anybody errs by in SI, an example in its field's words.
LIMITS = [
    ("distance", "length", 30.0, "1 yd"),
    ("cant", "angle", 0.3, "0.6 deg"),
    ("peep", "length", 0.01, "0.25 mm"),
    ("wind", "speed", 20.0, "1 m/s"),
    ("slope", "angle", 0.5, "3 deg"),
    ("temperature", "temperature", 40.0, "8 K"),
    ("speed", "speed", 10.0, "1.5 ft/s"),
]


def test_what_is_told_as_usual_is_what_is_reckoned_with(answer):
    usual = BUDGET.ask(answer, Said({}), IMPERIAL).errors
    told = BUDGET.ask(answer, Said({name: BUDGET.usual(name, IMPERIAL) for name, *_ in LIMITS}),
                      IMPERIAL).errors  # fmt: skip
    for name in Errors.__dataclass_fields__:
        # told to two or three digits: 0.6 deg for 0.01 rad, 3 deg for 0.05 rad
        assert getattr(told, name) == pytest.approx(getattr(usual, name), rel=0.05), name


@pytest.mark.parametrize("typed", ["8 K", "8 °C", "14,4 °F"])
def test_a_difference_of_temperatures_is_read_in_any_degrees(answer, typed):
    errors = BUDGET.ask(answer, Said({"temperature": typed}), METRIC).errors
    assert errors.temperature_k == pytest.approx(8.0)


def test_an_error_outside_what_anybody_makes_is_refused_by_its_field(answer):
    for name, kind, most, example in LIMITS:
        if kind != "temperature":
            assert 0.0 < read_quantity(example, kind, name, example) < most
        with pytest.raises(BadInput, match="anybody errs") as refused:
            BUDGET.ask(answer, Said({name: f"-{example}"}), METRIC)
        assert refused.value.place == name

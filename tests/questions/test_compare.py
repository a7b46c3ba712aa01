"""The question of two rigs, as any face puts it."""

from dataclasses import replace

import pytest
from exact_units import YARD_M
from written_out import IMPERIAL, METRIC

from tapewright.ground.errors import BadInput
from tapewright.questions.all_questions import all_questions, question_files
from tapewright.questions.compare import QUESTION as COMPARE
from tapewright.questions.question import Said, option


@pytest.fixture
def strict(answer):
    """The same rig of an archer who bears a smaller miss."""
    archer = replace(answer.rig.archer, tolerance_m=0.0381)
    return replace(answer, rig=replace(answer.rig, archer=archer))


def test_both_rigs_are_shown_where_and_how_the_first_one_s_archer_wants(answer, strict):
    found = COMPARE.ask((strict, answer), Said({}), IMPERIAL)
    first, other = found.cards
    assert (first.answer, other.answer) == (strict, answer)
    for card in found.cards:
        assert card.order.distances_m == pytest.approx(
            [yards * YARD_M for yards in (20, 40, 60, 80)]
        )
        assert (card.order.radius_m, card.order.pin) == (0.0381, 1)
        assert card.order.unit_m == pytest.approx(YARD_M)
    metric = COMPARE.ask((answer, strict), Said({"distances": "18,30 m"}), METRIC)
    assert metric.cards[1].order.distances_m == pytest.approx([18.0, 30.0])
    assert (metric.cards[1].order.radius_m, metric.cards[1].order.unit_m) == (0.0762, 1.0)
    written = COMPARE.write(metric, METRIC)
    assert [len(one["card"]) for one in written["rigs"]] == [2, 2]


@pytest.mark.parametrize("place", [str, option])
def test_a_refusal_names_the_field_as_its_face_does(answer, place):
    with pytest.raises(BadInput, match="the nearest is under 2 m") as refused:
        COMPARE.ask((answer, answer), Said({"distances": "1,20 m"}, place), METRIC)
    assert refused.value.place == place("distances")


def test_what_is_asked_of_two_rigs_has_no_address_under_one():
    assert {"change", "compare"} <= set(question_files())
    assert not {"change", "compare"} & set(all_questions())

"""Strips, told from numbers written by hand: each table by its whole cells."""

from types import SimpleNamespace

import numpy as np
import pytest
from told_by_hand import chosen, ranked, strip_of, tape_on
from written_out import IMPERIAL, METRIC

from tapewright.ground.errors import BadInput
from tapewright.questions.question import Said, option
from tapewright.questions.strips import (
    QUESTION,
    align_words,
    errors_table,
    neighbour_words,
    neighbours_table,
    set_table,
    set_words,
)
from tapewright.words.answer_blocks import Table


def test_neighbours_are_told_shorter_then_longer():
    found = SimpleNamespace(
        strips=(strip_of(25.5e-3, 0.016, 0.0415), strip_of(26e-3, 0.016, 0.042),
                strip_of(26.7e-3, 0.016, 0.0427)),
        impact_m=[np.array([0.0, -0.0254]), np.zeros(2), np.array([0.0, 0.0381])],
        distance_m=np.array([18.288, 54.864]),
        ends_m=(18.288, 54.864),
    )  # fmt: skip
    assert neighbours_table(found, IMPERIAL) == Table(
        "Neighbouring strips: what each changes",
        ("yd", "mark mm", "shorter mm", "impact in", "longer mm", "impact in"),
        (
            ("20", "16.00", "0.00", "0.0", "0.00", "0.0"),
            ("60", "42.00", "−0.50", "−1.0", "+0.70", "+1.5"),
        ),
    )
    on = neighbours_table(found, IMPERIAL, tape_on())  # 16, 42, 41.5 and 42.7 mm on it
    heads = ("yd", "dial yd", "shorter dial yd", "impact in", "longer dial yd", "impact in")
    assert on.heads == heads
    assert on.rows == (
        ("20", "22.0", "22.0", "0.0", "22.0", "0.0"),
        ("60", "74.0", "73.0", "−1.0", "75.4", "+1.5"),
    )
    assert neighbour_words(found, IMPERIAL) == (
        "Strips −1.9 %, start here and +2.7 %: from 20 to 60 yd 25.50, 26.00, 26.70 mm. All share "
        "the 20 yd mark. Far arrows high: take −1.9 %; low: +2.7 %."
    )


def test_ready_made_strips_are_ranked_and_their_errors_told():
    found = chosen(
        ranked("K7", 0.62, 0.0254, (18.288, 54.864), (0.0127, -0.0254)),
        ranked("K8", 0.3, 0.0508, (27.432, 54.864), (-0.0381, 0.0508), 0.0214),
    )
    assert set_table(found, IMPERIAL) == Table(
        "Ready-made strips, best first",
        ("strip", "chance", "worst in", "tick yd", "at mm"),
        (("K7", "62 %", "1.0", "20", "16.10"), ("K8", "30 %", "2.0", "30", "21.40")),
    )
    assert errors_table(found, IMPERIAL) == Table(
        "Impact that the best leave, up (in)",
        ("yd", "strip K7", "strip K8"),
        (("20", "+0.50", "–"), ("30", "–", "−1.50"), ("60", "−1.00", "+2.00")),
    )
    assert set_words(found, IMPERIAL) == (
        "Take strip K7: the best of the set with 62 % chance; up to 80 yd it leaves at most "
        "1.00 in. Stick it so that its 20 yd tick stands at 16.10 mm. Strip K8 may be the better "
        "one: shoot a far group and ask again."
    )
    found.best_is_good = False
    assert set_words(found, IMPERIAL).endswith(
        " That is more than your 3.00 in: no strip of this set will do; print your own."
    )


def test_a_set_of_many_shows_its_best_six():
    found = chosen(*(ranked(f"K{one}", 0.1, 0.0254, (18.288,), (0.0,)) for one in range(7)))
    table = set_table(found, IMPERIAL)
    assert (table.title, len(table.rows)) == ("The best 6 of 7 ready-made strips", 6)


def test_a_strip_that_runs_the_other_way_is_said_to():
    one = ranked("K7", 0.9, 0.01, (27.432, 18.288), (0.0, 0.0), reversed_way=True)
    assert align_words(one, METRIC, is_zeroed=False) == (
        "Zero the bow at 18.3 m, then stick that tick under the pointer. Its positions run "
        "against your scale's numbers: far ticks go the other way."
    )


@pytest.mark.parametrize("step", ["0 mm", "-1 mm"])
def test_neighbours_that_nothing_tells_apart_are_refused(answer, step):
    with pytest.raises(BadInput) as refused:
        QUESTION.ask(answer, Said({"step": step}, option), IMPERIAL)
    assert str(refused.value) == (
        f'--step: "{step}" tells no strips apart. Write a length as 0.5 mm.'
    )

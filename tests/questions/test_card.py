"""The question of the range card, as any face puts it."""

import pytest
from written_out import IMPERIAL, METRIC

from tapewright.ground.errors import BadInput
from tapewright.questions.card import QUESTION as CARD
from tapewright.questions.question import Said, option
from tapewright.words.answer_blocks import Table


def asked(answer, units=IMPERIAL, place=option, **texts):
    return CARD.ask(answer, Said(texts, place), units)


def test_nothing_said_means_the_rig_s_own_tolerance_and_the_units_usual_distances(answer):
    card = asked(answer)
    assert card.order.radius_m == answer.rig.archer.tolerance_m
    assert CARD.write(card, IMPERIAL)["card"][0]["distance_yd"] == 10.0
    assert CARD.write(asked(answer, METRIC), METRIC)["card"][-1]["distance_m"] == 90.0


def test_what_is_shown_and_what_is_written_agree(answer):
    card = asked(answer, distances="20,40 yd", pin="2", radius="4 in")
    blocks, written = CARD.tell(card, IMPERIAL), CARD.write(card, IMPERIAL)
    assert written["pin"] == 2
    assert written["radius_in"] == pytest.approx(4.0)
    marks = next(one for one in blocks if isinstance(one, Table))
    for row, line in zip(marks.rows, written["card"], strict=True):
        known_mm = (line["high_mm"] - line["low_mm"]) / 6  # a third of half the band
        assert float(row[1]) == pytest.approx(line["reading_mm"], abs=0.5 * known_mm)
        assert row[4] == f"{line['from_yd']:.1f}"


@pytest.mark.parametrize(
    ("texts", "name", "words"),
    [
        ({"distances": "1,20 m"}, "distances", "the nearest is under 2 m"),
        ({"pin": "3"}, "pin", "the rig sheet has 2 pins"),
        ({"pin": "0"}, "pin", "no whole number from 1 to 9"),
        ({"radius": "9 m"}, "radius", "is too much"),
        ({"radius": "1 mm"}, "radius", "is too little"),
    ],
)
@pytest.mark.parametrize("place", [str, option, "the field {}".format])
def test_a_refusal_names_the_field_as_its_face_does(answer, place, texts, name, words):
    with pytest.raises(BadInput, match=words) as refused:
        asked(answer, place=place, **texts)
    assert refused.value.place == place(name)

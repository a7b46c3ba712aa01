"""One mark for many distances: found among windows written by hand, and looked at on a real bow."""

from types import SimpleNamespace

import numpy as np
import pytest
from written_out import IMPERIAL, METRIC

from tapewright.questions.hold import QUESTION as HOLD
from tapewright.questions.hold import Hold
from tapewright.questions.question import Said
from tapewright.sight.prediction import Aim, impact
from tapewright.sight.tape import Tape, Ticks
from tapewright.words.answer_blocks import Mind, Table

YARD_M = 0.9144


def by_hand(quiet, trusted_m=54.864):
    """Three marks, of which the second serves the widest span, past where the pin is trusted."""
    quiet.rig.sight = SimpleNamespace(elevation_click_m=None)
    marks = SimpleNamespace(
        distance_m=np.array([18.288, 27.432, 36.576]),
        reading_m=np.array([0.0160, 0.0217, 0.0284]),
        low_m=np.array([0.0157, 0.0213, 0.0278]),
        high_m=np.array([0.0163, 0.0221, 0.0290]),
    )
    flight = SimpleNamespace(
        hold_near_m=np.array([9.144, 4.572, 32.004]),
        hold_far_m=np.array([21.0312, 32.4612, 39.624]),
    )
    card = SimpleNamespace(
        answer=quiet, order=SimpleNamespace(pin=2), marks=marks, flight=flight, trusted_m=trusted_m
    )
    return Hold(card, 0.2032, 1)


def test_the_widest_window_is_told_with_its_mark(quiet):
    table, said, aim, safe, hunting = HOLD.tell(by_hand(quiet), IMPERIAL)
    assert table == Table(
        "Marks that serve a target 8 in high",
        ("mark for yd", "reading mm", "from yd", "to yd", "serves yd"),
        (
            ("20", "16.0", "10.0", "23.0", "13.0"),
            ("30", "21.7", "5.0", "35.5", "30.5"),
            ("40", "28.4", "35.0", "43.3", "8.3"),
        ),
        frozenset({0, 2}),
    )
    assert said == "Set the sight to 21.7 mm, the mark for 30 yd: it serves from 5 to 35.5 yd."
    assert aim.startswith("Aim at the middle. ")
    assert "safe stop" in safe.text
    assert "no permission" in hunting.text


def test_past_the_trusted_distance_the_far_end_is_called_a_guess(quiet):
    *_, beyond, safe, _ = HOLD.tell(by_hand(quiet, 27.432), METRIC)
    assert beyond == Mind("This pin is trusted to 27.4 m only: past that the far end is a guess.")
    assert isinstance(safe, Mind)
    quiet.is_earned = False  # then nothing is trusted at all, which other cautions say
    assert beyond not in HOLD.tell(by_hand(quiet, 27.432), METRIC)


def test_programs_get_the_same(quiet):
    sent = HOLD.write(by_hand(quiet), IMPERIAL)
    assert sent["schema"] == "tapewright.hold/1"
    assert (sent["pin"], sent["size_in"]) == (2, 8.0)
    assert (sent["distance_yd"], sent["reading_mm"]) == (30.0, 21.7)
    assert (sent["from_yd"], sent["to_yd"]) == (5.0, 35.5)
    assert sent["marks"][0] == {
        "distance_yd": 20.0, "reading_mm": 16.0, "from_yd": 10.0, "to_yd": 23.0, "serves_yd": 13.0,
    }  # fmt: skip


@pytest.mark.parametrize("size", ["6 in", "12 in"])
def test_the_arrow_stays_on_the_target_between_and_on_none_wider(answer, size):
    # impacts of the middling bow, asked of the forward model at every half yard between the ends
    found = HOLD.ask(answer, Said({"size": size, "distances": "15:45:1yd"}), IMPERIAL)
    sent = HOLD.write(found, IMPERIAL)
    half_m = 0.5 * float(size.split()[0]) * 0.0254
    near, far = sent["from_yd"], sent["to_yd"]
    unknowns = answer.posterior.calibration.evidence.prior.unknowns
    bow = unknowns.bow(np.median(answer.posterior.vectors, axis=0))
    inside = np.arange(max(near, 3.0) + 0.05, far - 0.05, 0.5)
    _, up_m = impact(bow, inside * YARD_M, sent["reading_mm"] / 1e3, Aim())
    assert np.abs(up_m).max() <= half_m + 0.001
    _, past_m = impact(bow, np.array([far + 0.5]) * YARD_M, sent["reading_mm"] / 1e3, Aim())
    assert abs(past_m[0]) > half_m
    assert max(row["serves_yd"] for row in sent["marks"]) == pytest.approx(far - near, abs=0.02)


def test_a_larger_target_is_served_farther(answer):
    spans = []
    for size in ("4 in", "8 in", "16 in"):
        sent = HOLD.write(HOLD.ask(answer, Said({"size": size}), IMPERIAL), IMPERIAL)
        spans.append(sent["to_yd"] - sent["from_yd"])
    assert spans[0] < spans[1] < spans[2]


def test_a_close_target_is_told_on_the_close_ticks_as_on_every_card(quiet):
    """Of a tape by hand 16.0 mm carry 20 among its close ticks, and 24 among the others."""
    ticks = Ticks(tuple(one * YARD_M for one in (18, 20, 22, 24, 40)),
                  (0.0170, 0.0160, 0.0150, 0.0160, 0.0284))  # fmt: skip
    found = by_hand(quiet)
    quiet.tape = quiet.rig.sight.tape = Tape("on", "yd", (ticks, ticks))
    table, *_ = HOLD.tell(found, IMPERIAL)
    assert table.heads[1:3] == ("dial yd", "mm")
    assert [row[1] for row in table.rows] == ["20.0", "31.4", "40.0"]
    assert HOLD.write(found, IMPERIAL)["marks"][0]["dialled_yd"] == 20.0

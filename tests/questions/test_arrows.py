"""Arrow by arrow: sentences and numbers written out by hand from what was found."""

from math import inf, nan

import pytest
from written_out import IMPERIAL, METRIC

from tapewright.ground.errors import BadInput
from tapewright.questions.arrows import QUESTION as ARROWS
from tapewright.questions.arrows import ToldArrows
from tapewright.questions.question import Said
from tapewright.services.find_arrows import ArrowShots, FoundArrows
from tapewright.target.spread import Banded, Spread
from tapewright.words.answer_blocks import Mind


def spread(mrad):
    band = Banded(1e-3 * mrad, 0.5e-3 * mrad, 2e-3 * mrad)
    return Spread(96, 16, 150, 1e-6 * mrad**2, band, band, band)


def told(quiet, *off, to_tell_rad=1.5e-3, unnumbered=0):
    """Arrow 7 and, if they are given, others that are off; told for 20 yd."""
    sound = ArrowShots("8", 8, 0.1e-3, -0.05e-3, 0.2e-3, 0.004, is_off=False)
    found = FoundArrows(
        (*off, sound), 16, unnumbered, to_tell_rad, spread(0.72), spread(0.64 if off else 0.72)
    )
    return ToldArrows(quiet, found, 18.288)


SEVEN = ArrowShots("7", 8, -1.6667e-3, 0.2e-3, 0.4e-3, 727.4, is_off=True)  # 1.2 in at 20 yd
NOTE = (
    "First inspect the shaft and flex it, by eye and ear: cracked, or unsure, never shoot it. Then "
    "turn its nock, weigh it, or retire it."
)


def test_an_arrow_that_is_off_is_named_with_what_to_look_at_first(quiet):
    first, inspect, without, rows, how, safety = ARROWS.tell(told(quiet, SEVEN), IMPERIAL)
    assert first == Mind(
        "Arrow 7 hits 1.20 in left of its fellows at 20 yd, ± 0.29 in (odds 727 to 1)."
    )
    assert inspect == Mind(NOTE)
    assert without == "Without it the others scatter 0.64 mrad, all together 0.72 mrad."
    assert rows.heads == ("arrow", "shots", "right in", "up in", "± in", "odds")
    assert rows.rows[0] == ("7", "8", "−1.20", "+0.14", "0.29", "727 to 1")
    assert rows.rows[1][-1] == "1 to 250"
    assert rows.faint == frozenset({1})
    assert "2 to 1" in how
    assert "damaged shaft" in safety.text


def test_both_sides_are_told_where_both_are_seen_and_the_larger_where_neither_is(quiet):
    both = ArrowShots("3", 5, 1e-3, -2e-3, 0.5e-3, 1e5, is_off=True)
    none = ArrowShots("4", 5, 0.3e-3, -0.4e-3, 0.5e-3, 3.2, is_off=True)
    first, second, *rest = ARROWS.tell(told(quiet, both, none, unnumbered=1), METRIC)
    assert "3.7 cm low and 1.8 cm right of its fellows" in first.text
    assert "odds over 1000 to 1" in first.text
    assert "Arrow 4 hits 0.7 cm low of its fellows" in second.text
    assert any("Without them" in one for one in rest if isinstance(one, str))
    assert any("1 shot without a number" in one for one in rest if isinstance(one, str))


def test_a_sound_set_hears_what_would_be_found(quiet):
    said, scatter, *_ = ARROWS.tell(told(quiet), IMPERIAL)
    assert said.endswith("one that hits 1.08 in off at 20 yd would be named four times in five.")
    assert scatter == "Together they scatter 0.72 mrad about their groups' centres."
    for least in (inf, nan):
        assert "Shoot more of them" in ARROWS.tell(told(quiet, to_tell_rad=least), IMPERIAL)[0]


def test_programs_get_the_same(quiet):
    sent = ARROWS.write(told(quiet, SEVEN), IMPERIAL)
    assert (sent["schema"], sent["at_yd"], sent["off"]) == ("tapewright.arrows/1", 20.0, ["7"])
    assert sent["arrows"][0] == {
        "arrow": "7", "shots": 8, "right_in": -1.2, "up_in": 0.144, "band_in": 0.288,
        "odds": 727.4, "is_off": True,
    }  # fmt: skip
    assert (sent["dispersion_mrad"], sent["dispersion_without_mrad"]) == (0.72, 0.64)
    assert sent["found_from_in"] == pytest.approx(1.08, abs=0.001)
    assert NOTE in sent["cautions"]
    assert ARROWS.write(told(quiet, to_tell_rad=inf), IMPERIAL)["found_from_in"] is None


def test_shots_without_numbers_are_refused_with_the_mend(answer):
    with pytest.raises(BadInput, match="column arrow"):
        ARROWS.ask(answer, Said({}), IMPERIAL)

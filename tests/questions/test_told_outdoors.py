"""Slopes, weather and wind, told from numbers written by hand: each table by its whole cells."""

import numpy as np
import pytest
from told_by_hand import blown, sloped, weather
from written_out import IMPERIAL, METRIC

from tapewright.questions.slopes import QUESTION as SLOPES
from tapewright.questions.weather import QUESTION as WEATHER
from tapewright.questions.wind import QUESTION as WIND
from tapewright.questions.wind import HeldOff
from tapewright.words.answer_blocks import Mind, Table

slopes_blocks, weather_blocks = SLOPES.tell, WEATHER.tell


def wind_blocks(found, units, spot_m, butt_width_m):
    return WIND.tell(HeldOff(found, spot_m, butt_width_m), units)


GUSTS = "Wind is seldom steady; between archer and target it may blow two ways at once."
COLD = "Cold limbs may shoot slower: that is not in these marks. Read a chronograph in the cold."
BODY = (
    "On a slope bend at the hips: an upper body that leans changes draw length and anchor, and no "
    "table knows by how much."
)


@pytest.mark.parametrize(("side", "into"), [(1.0, "left"), (-1.0, "right")])
def test_a_wind_is_held_off_against(quiet, side, into):
    found = blown(quiet, side, side * 4.4704)
    table, said, pins, gusts = wind_blocks(found, IMPERIAL, 0.127, 0.9144)
    assert table == Table(
        "Wind: hold-off, also in widths of a spot of 5 in",
        ("yd", "hold off to the", "in", "spots", "arrow up in", "add to reading mm"),
        (
            ("20", into, "4.0 ±0.3", "0.80", "−0.30", "+0.11"),
            ("60", into, "10.0 ±0.6", "2.00", "−1.50", "+0.32"),
        ),
    )
    out = "right" if into == "left" else "left"
    assert said == (
        f"10 mph blow to the {out}: arrows land {out} of the aim; hold off to the {into}. Twice "
        "the wind, twice the hold-off; a wind from half ahead or behind counts for 7 parts in 10."
    )
    assert (pins, gusts) == ("The same for every pin.", GUSTS)


@pytest.mark.parametrize(("head", "kind", "way"), [(5.0, "Head", "low"), (-5.0, "Tail", "high")])
def test_a_head_wind_lowers_and_a_tail_wind_lifts(quiet, head, kind, way):
    quiet.trusted_m = (54.864,)
    found = blown(quiet, 0.0, 0.0, head, up=-np.sign(head))
    table, said, gusts = wind_blocks(found, METRIC, 0.1, 0.6)
    signs = ("−", "+") if head > 0 else ("+", "−")
    assert table == Table(
        "Wind: hold-off, also in widths of a spot of 10 cm",
        ("m", "hold off to the", "cm", "spots", "arrow up cm", "add to reading mm"),
        (
            ("18.3", "–", "0.0 ±0.8", "0.00", f"{signs[0]}0.76", f"{signs[1]}0.11"),
            ("54.9", "–", "0.0 ±1.5", "0.00", f"{signs[0]}3.81", f"{signs[1]}0.32"),
        ),
    )
    assert said == (
        f"{kind} wind of 5 m/s: arrows land {way}; the last column is what to add to the mark's "
        "reading."
    )
    assert gusts == GUSTS


def test_a_hold_off_that_may_leave_the_butt_is_faint_and_warned_of(quiet):
    quiet.trusted_m = (54.864,)
    table, _, _, *warned = wind_blocks(blown(quiet, 1.0, 4.4704), IMPERIAL, 0.127, 0.4572)
    assert table.rows == (
        ("20", "left", "4.0 ±0.3", "0.80", "−0.30", "+0.11"),
        ("60", "off the butt", "10.0 ±0.6", "2.00", "−1.50", "+0.32"),
    )
    assert table.faint == frozenset({1})
    assert warned == [
        Mind(
            "From 60 yd on an arrow that is held off and meets a lull misses a butt 18 in wide: do "
            "not shoot there in this wind. Wait, or go nearer."
        )
    ]
    assert wind_blocks(blown(quiet, 1.0, 4.4704), METRIC, 0.127, 0.6)[0].faint == frozenset()


def test_a_strong_wind_is_warned_of(quiet):
    quiet.trusted_m = (54.864,)
    *_, gusts, strong = wind_blocks(blown(quiet, -1.0, -12.5, strong=True), IMPERIAL, 0.127, 0.9144)
    assert gusts == GUSTS
    assert strong == Mind(
        "So strong a wind nobody judges well: a third more or less of it moves the arrow by a "
        "third of the hold-off. Shoot near, before a wide safe stop, or not at all."
    )


@pytest.mark.parametrize(("warmer_k", "far", "share"), [
    (-22.0, "22 °C colder", "1.1 to 2.2"), (18.0, "18 °C warmer", "0.9 to 1.8"),
])  # fmt: skip
def test_far_from_home_one_near_arrow_comes_first(quiet, warmer_k, far, share):
    # half to one part in a thousand of arrow speed for each degree
    found = weather(quiet, 1.02, -0.3, warmer_k, far=True)
    _, air, cold, limbs = weather_blocks(found, METRIC)
    assert air.endswith("air 2.0 % thicker than at home.")
    assert cold == COLD
    assert limbs == Mind(
        f"It is {far} than where arrows were shot, and these marks count the air alone. Limbs and "
        f"string change, too: by {share} % of arrow speed, either way, as far as anybody knows. "
        "Shoot one near arrow first, and go farther only from what it shows."
    )
    assert len(weather_blocks(weather(quiet, far=True), METRIC)) == 5


def test_home_and_away_stand_side_by_side(quiet):
    table, air, serves, cold = weather_blocks(weather(quiet), IMPERIAL)
    assert table == Table(
        "Marks at home and away, pin 2; what the home mark hits away, high is more than 0",
        ("yd", "home mm", "away mm", "band away mm", "change mm", "home mark hits in"),
        (
            ("20", "16.00", "15.96", "15.84 to 16.10", "−0.05", "+0.1"),
            ("60", "40.0", "38.8", "38.5 to 39.2", "−1.20", "+2.0"),
        ),
    )
    assert air == "Away: −5 °C, 812 hPa, humidity 30 %: air 15.0 % thinner than at home."
    assert serves == (
        "From 60 yd on the marks of home miss by more than a quarter of your 3 in: dial the marks "
        "of the day there."
    )
    assert cold == COLD


def test_air_that_hardly_matters_leaves_the_marks_of_home(quiet):
    quiet.trusted_m = (54.864,)
    table, air, serves, _ = weather_blocks(weather(quiet, 1.02, -0.3), METRIC)
    assert table.title.startswith("Marks at home and away; ")
    assert [row[-1] for row in table.rows] == ["−0.1", "−1.5"]
    assert air.endswith("air 2.0 % thicker than at home.")
    assert serves == "The marks of home serve: at 54.9 m, the worst, they miss by 1.5 cm."


def test_slopes_stand_in_three_tables(quiet):
    found = sloped(quiet)
    dial, reading, rule, how, low, worst, body, uphill, safe = slopes_blocks(found, IMPERIAL)
    heads = ("yd", "−30°", "+40°")
    assert dial == Table(
        "Dial the mark for, yd", heads, (("20", "18.0", "low"), ("60", "55.0", "51.0"))
    )
    assert reading == Table("Reading, mm", heads, (("20", "15.1", "13.9"), ("60", "36.2", "33.3")))
    assert rule == Table(
        "Miss of the rule of thumb (dial the horizontal distance), in: high is more than 0",
        heads,
        (("20", "+0.2", "+1.0"), ("60", "−0.5", "+3.0")),
    )
    assert how == (
        "Uphill is more than zero. Dial the mark for the distance in the table, not for the one "
        "measured along the line of sight."
    )
    assert low == "“low” means: the mark is lower than any level mark; dial the reading itself."
    assert worst == (
        "The rule “dial the horizontal distance” is worst here at 60 yd, +40°: 3.00 in high. It "
        "forgets the eye above the arrow, and that gravity slows an arrow uphill and helps it "
        "downhill."
    )
    assert body == BODY
    assert uphill == Mind("Uphill a miss flies far: look what lies behind and above the target.")
    assert safe == Mind(
        "Shoot only at a safe stop with clear ground behind it; a first far arrow needs a larger "
        "butt."
    )
    found.rule.miss_m[1, 1] = -0.0762
    assert "3.00 in low. It forgets" in slopes_blocks(found, IMPERIAL)[5]

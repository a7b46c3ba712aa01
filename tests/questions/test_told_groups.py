"""Groups, moves and clicks, told from numbers written by hand: each table by its whole cells."""

from math import nan
from types import SimpleNamespace

import pytest
from told_by_hand import tape_on
from written_out import IMPERIAL, METRIC

from tapewright.questions.clicks import QUESTION as CLICKS
from tapewright.questions.group import (
    after_group_blocks,
    centres_table,
    flyers_table,
    spreads_table,
    steps_blocks,
)
from tapewright.services.correct import AxisMove
from tapewright.services.learn_clicks import LearntClick
from tapewright.services.measure_groups import Banded
from tapewright.services.move_sight import SightMove
from tapewright.services.record_groups import Group, Impact, past_butt
from tapewright.words.answer_blocks import Mind, Table
from tapewright.words.sight_moves import arrows_words, called_bad_words

clicks_blocks = CLICKS.tell
PAST_LIMIT = (
    "A move told here ends past the clearance reading or the travel on your sheet. Do not set the "
    "sight there and do not shoot: housing and arrow would meet. Come nearer, or use a lower pin."
)


def measure(
    name, up_m, right_m, reach_up_m, reach_right_m, *, bad=0, missed=0, flyer=None, hotelling=None
):
    return SimpleNamespace(
        observation=SimpleNamespace(
            group=SimpleNamespace(name=name, arrows=6, called_bad=bad, missed=missed),
            distance_m=18.288,
            reading_m=0.01602,
        ),
        centre=SimpleNamespace(
            up_m=up_m, right_m=right_m, reach_up_m=reach_up_m, reach_right_m=reach_right_m,
            chance=0.014, chance_up=0.02, chance_right=0.25,
        ),
        hotelling=hotelling,
        spread=SimpleNamespace(
            arrows=5,
            dispersion_rad=Banded(0.55e-3, 0.41e-3, 0.78e-3),
            up_rad=Banded(0.61e-3, 0.4e-3, 0.9e-3),
            right_rad=Banded(0.48e-3, 0.3e-3, 0.7e-3),
            radius_rad=lambda share: Banded({0.5: 0.65e-3, 0.9: 1.18e-3}[share], 0.0, 1.0),
        ),
        mean_radius_m=0.0127,
        extreme_spread_m=0.0381,
        flyer=flyer,
        findable=None if flyer is None else (3.0, 4.5),
        flyer_at_m=(0.0254, -0.0508),
    )  # fmt: skip


def measured(*groups):
    return SimpleNamespace(
        groups=groups,
        probability=0.9,
        together=SimpleNamespace(
            dispersion_rad=Banded(0.57e-3, 0.45e-3, 0.74e-3),
            up_rad=Banded(0.62e-3, 0.0, 1.0),
            right_rad=Banded(0.51e-3, 0.0, 1.0),
        ),
    )


def test_centres_stand_up_then_right():
    found = measured(
        measure("a", 0.0508, -0.0762, 0.0127, 0.0254, hotelling=SimpleNamespace(chance=0.031)),
        measure("b", nan, 0.1016, nan, 0.0254),
    )
    assert centres_table(found, IMPERIAL) == Table(
        "Centres, and the chance that a zeroed bow lies as far off",
        ("group", "yd", "reading mm", "arrows", "up in", "right in", "± in (90 %)", "chance",
         "by itself"),
        (
            ("a", "20", "16.02", "6", "2.00", "−3.00", "1.00", "0.014", "0.031"),
            ("b", "20", "16.02", "6", "–", "4.00", "1.00", "0.014", "–"),
        ),
        spare=frozenset({7, 8}),  # chances go first where there is no room
    )  # fmt: skip


def test_spreads_stand_as_angles_and_as_lengths():
    found = measured(measure("a", 0.0, 0.0, 0.01, 0.01), measure("b", 0.0, 0.0, 0.01, 0.01))
    row = ("0.55", "0.41 to 0.78", "0.61", "0.48", "1.27", "3.81", "1.19", "2.16")
    assert spreads_table(found, METRIC) == Table(
        "Spread",
        ("group", "dispersion mrad", "band mrad", "up mrad", "right mrad", "mean radius cm",
         "extreme spread cm", "50 % cm", "90 % cm"),
        (
            ("a", *row),
            ("b", *row),
            ("together", "0.57", "0.45 to 0.74", "0.62", "0.51", "–", "–", "–", "–"),
        ),
        spare=frozenset({2, 3, 4, 6}),
    )  # fmt: skip
    assert len(spreads_table(measured(found.groups[0]), METRIC).rows) == 1


def test_flyers_stand_up_then_right():
    flyer = SimpleNamespace(statistic=2.31, critical=1.89, chance=0.004, is_flyer=True)
    found = measured(measure("a", 0, 0, 0.01, 0.01, flyer=flyer), measure("b", 0, 0, 0.01, 0.01))
    assert flyers_table(found, IMPERIAL) == Table(
        "Flyers: the farthest arrow, and from where on one is seen",
        ("group", "arrows", "up in", "right in", "deviations", "critical", "chance",
         "seen 1 in 2 in", "9 in 10 in"),
        (("a", "5", "−2.00", "1.00", "2.31", "1.89", "0.004", "1.2", "1.8"),),
        spare=frozenset({4, 5, 6, 8}),
    )  # fmt: skip


@pytest.mark.parametrize(
    ("bad", "words"),
    [
        (0, ()),
        (1, ("Group a: 1 arrow called bad, left out.",)),
        (2, ("Group a: 2 arrows called bad, left out.",)),
    ],
)
def test_arrows_called_bad_are_counted(bad, words):
    assert called_bad_words(measure("a", 0, 0, 0, 0, bad=bad)) == words


def test_arrows_past_the_butt_are_counted():
    assert called_bad_words(measure("a", 0, 0, 0, 0, bad=1, missed=2)) == (
        "Group a: 1 arrow called bad, left out.",
        "Group a: 2 arrows past the butt, left out.",
    )
    hits = (Impact(0.0, 0.1),)
    assert arrows_words(Group("a", hits)) == "1 arrow"
    assert arrows_words(Group("a", (*hits, past_butt(2)))) == "1 arrow, 2 past the butt"
    assert arrows_words(Group("a", (past_butt(),))) == "1 past the butt"


def moved(up=29, right=-5):
    return SimpleNamespace(
        up=AxisMove(0.05, 1.0, -0.05, up, "off the aim" if up else "within chance"),
        right=AxisMove(-0.03, 1.0, 0.03, right, "off the aim" if right else "within chance"),
        observation=SimpleNamespace(reading_m=0.016, pin=1),
        move=SightMove(0.0189, 0.0029, up, -1, -0.00048, right),
    )


def found_after(move, *, past=False):
    one = measure("a", -0.0508, 0.0762, 0.01, 0.02)
    return SimpleNamespace(
        measured=SimpleNamespace(groups=(one,)),
        moves=(move,),
        per_turn=20,
        is_past_limit=past,
        tape=None,
    )


def test_at_once_after_a_group_both_turns_are_told():
    assert after_group_blocks(found_after(moved()), IMPERIAL) == (
        "The centre lies 2.00 in low and 3.00 in right.",
        (
            "Elevation: pin down, 2.90 mm toward larger numbers to 18.90 mm, 29 clicks (1 turn and "
            "9 "
            "clicks)."
        ),
        "Windage: pin left by 0.48 mm, 5 clicks.",
    )


def test_at_once_after_a_group_it_may_be_left():
    where, up, right, wait, past = after_group_blocks(found_after(moved(0, 0), past=True), IMPERIAL)
    assert where == "The centre lies 2.00 in low and 3.00 in right."
    assert up == "Elevation: leave it, a zeroed bow puts one group in 50 as far off."
    assert right == "Windage: leave it, a zeroed bow puts one group in 4 as far off."
    assert wait == (
        "Nothing to turn for this group: what shows may be chance or less than a click. Only more "
        "arrows at this distance would show whether to turn anything; the group counts for the "
        "tape all the same."
    )
    assert past == Mind(PAST_LIMIT)
    only_up = after_group_blocks(found_after(moved(29, 0)), IMPERIAL)
    assert wait not in only_up


def step(arrow, up_m, right_m, move):
    return SimpleNamespace(
        arrow=arrow, observation=SimpleNamespace(reading_m=0.016, pin=1),
        up_m=up_m, right_m=right_m,
        share=1.0 / arrow, move=move,
    )  # fmt: skip


def test_arrow_by_arrow_each_move_stands_behind_its_arrow():
    steps = (
        step(1, -0.0508, 0.0254, SightMove(0.0189, 0.0029, 29, -1, 0.00048, 5)),
        step(2, 0.0762, nan, SightMove(0.0179, 0.0019, 19, -1, -0.0002, -2)),
    )
    table, told = steps_blocks(steps, IMPERIAL, 20)
    assert table == Table(
        "Arrow by arrow",
        ("arrow", "reading mm", "up in", "right in", "share", "then mm", "clicks", "pin right mm",
         "clicks"),
        (
            ("1", "16.00", "−2.00", "1.00", "100 %", "18.90", "+29", "+0.48", "+5"),
            ("2", "16.00", "3.00", "–", "50 %", "17.90", "+19", "−0.20", "−2"),
        ),
    )  # fmt: skip
    assert told == (
        "Before arrow 3: elevation: pin down, 1.90 mm toward larger numbers to 17.90 mm, 19 "
        "clicks; windage: pin left by 0.20 mm, 2 clicks."
    )
    still = (step(1, 0.0, 0.0, SightMove(0.016, 0.0, None, 1, 0.0, None)),)
    table, told = steps_blocks(still, IMPERIAL, 20)
    assert table.rows[0][5:] == ("16.00", "–", "0.00", "–")
    assert told == "Before arrow 2: elevation: leave it; windage: leave it."


def clicked(elevation_m, windage_m, *learnt, tape=None):
    row = SimpleNamespace(
        distance_m=18.288, mark_m=0.016, up_per_reading=-17.78, right_per_pin=20.32,
        up_click_m=None if elevation_m is None else 0.00254,
        right_click_m=None if windage_m is None else 0.001016,
    )  # fmt: skip
    return SimpleNamespace(
        rig=SimpleNamespace(
            sight=SimpleNamespace(
                elevation_click_m=elevation_m, windage_click_m=windage_m, tape=tape
            )
        ),
        rows=(row,),
        learnt=learnt,
        probability=0.8,
    )


def test_what_a_click_does_is_told_for_each_axis():
    learnt = LearntClick(
        "windage", Banded(0.52e-4, 0.46e-4, 0.6e-4), Banded(6e-5, 5e-5, 7e-5), 3, 8
    )
    table, up, right, said = clicks_blocks(clicked(0.15e-3, 0.05e-3, learnt), IMPERIAL)
    assert table == Table(
        "What a click does to the impact",
        ("distance yd", "mark mm", "in per mm of reading", "in per mm of pin", "in per click up",
         "in per click right"),
        (("20", "16.00", "0.700", "0.800", "0.100", "0.040"),),
    )  # fmt: skip
    assert up == "One elevation click is 0.15 mm of reading."
    assert right == "One windage click is 0.05 mm of pin travel."
    assert said == (
        "One windage click is 0.052 mm of pin travel, 0.046 to 0.060 with 80 % chance; it moves "
        "the impact by 0.060 mrad. From 3 groups, 8 arrows."
    )


def test_with_a_tape_on_clicks_are_told_in_its_numbers():
    """At 16 mm it shows 22; half a mm is a yard: 17.8 in a mm are 8.89 in a yard."""
    table, up, _ = clicks_blocks(clicked(0.15e-3, 0.05e-3, tape=tape_on()), IMPERIAL)
    assert table.heads[:4] == (
        "distance yd", "dial yd", "in per yd dialled", "dial yd per click",
    )  # fmt: skip
    assert table.rows[0][:4] == ("20", "22.0", "0.35", "0.30")
    assert "in per mm of reading" not in table.heads
    assert up == "One elevation click is 0.15 mm along the tape."
    table, *_ = clicks_blocks(clicked(None, 0.05e-3, tape=tape_on()), IMPERIAL)
    assert "dial yd per click" not in table.heads


def test_a_click_that_the_sheet_does_not_tell_is_asked_for():
    table, up, right = clicks_blocks(clicked(None, 0.05e-3), METRIC)
    assert table.rows == (("18.3", "16.00", "1.778", "2.032", "–", "0.102"),)
    assert up == (
        "elevation_click is not on the rig sheet: turn many clicks and read the change off a gauge "
        "strip or a side scale, or learn it from groups with clicks turned between them."
    )
    assert right == "One windage click is 0.05 mm of pin travel."
    _, up, right = clicks_blocks(clicked(0.15e-3, None), METRIC)
    assert right.startswith("windage_click is not on the rig sheet")

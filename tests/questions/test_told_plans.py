"""Plans, told from numbers written by hand: each table by its whole cells."""

from types import SimpleNamespace

import numpy as np
import pytest
from told_by_hand import first_shot, plan, plan_step
from written_out import IMPERIAL, METRIC

from tapewright.confidence.checks import Caution
from tapewright.confidence.ladder import Ladder
from tapewright.questions.plan import (
    candidates_table,
    measure_words,
    plan_blocks,
    plan_cautions,
    plan_table,
)
from tapewright.services.advise import Hindrance
from tapewright.words.answer_blocks import Table
from tapewright.words.next_shot import (
    barred_words,
    chain_words,
    counted_words,
    first_shot_words,
    hindrance_words,
    plan_words,
    spare_words,
    standing_words,
    step_rule_words,
    step_words,
)


def test_what_groups_buy_stands_by_distance_and_arrows():
    assert candidates_table(plan(), IMPERIAL) == Table(
        "What one group buys (band at 70 yd, in; trusted distance, yd)",
        ("yd", "on the butt", "3 arrows", "4 arrows", "5 arrows", "6 arrows"),
        (
            ("30", "98 %", "±3.5, 50", "±3.3, 55"),
            ("60", "71 % unsafe", "±2.5, –", "±2.3, 70"),
        ),
        frozenset({1}),
    )


def test_a_plan_stands_group_by_group():
    assert plan_table(plan(), IMPERIAL) == Table(
        "Plan",
        ("group", "yd", "dial mm", "arrows", "on the butt", "then band in", "trusted yd"),
        (
            ("1", "30", "21.11", "4", "98 %", "±3.3", "55"),
            ("2", "60", "39.0", "3", "over 99 %", "±2.3", "70"),
        ),
    )
    assert step_words(plan(), 1, IMPERIAL) == "60 yd: dial 39.0 mm, 3 arrows"
    unshot = plan(is_set_by_eye=True)
    assert step_words(unshot, 0, METRIC) == "27.4 m: 4 arrows"
    pins = plan()
    pins.answer.rig.sight.pins_below_first_m = (0.009,)
    assert step_words(pins, 1, IMPERIAL) == "60 yd: dial 39.0 mm, pin 1, 3 arrows"
    assert plan_table(unshot, IMPERIAL).rows == (
        ("1", "30", "by eye", "4", "98 %", "±3.3", "55"),
        ("2", "60", "by eye", "3", "over 99 %", "±2.3", "70"),
    )


def test_no_reading_is_told_finer_than_a_click():
    fine, coarse = (plan(half_bands_m=(half_m, half_m)) for half_m in (0.00005, 0.0004))
    assert step_words(fine, 0, IMPERIAL) == "30 yd: dial 21.11 mm, 4 arrows"
    assert step_words(coarse, 0, IMPERIAL) == "30 yd: dial 21.1 mm, 4 arrows"
    fine.answer.rig.sight.elevation_click_m = 0.0001
    assert step_words(fine, 0, IMPERIAL) == "30 yd: dial 21.1 mm, 4 arrows"


def test_where_the_archer_stands():
    band = "At 70 yd the band is ±4.0 in."
    assert standing_words(plan(), IMPERIAL) == (
        f"Trusted to 50 yd within 3 in; wanted: 70 yd. {band}"
    )
    assert standing_words(plan(trusted_m=0.0), IMPERIAL) == (
        f"Nothing is trusted yet within 3 in; wanted: 70 yd. {band}"
    )
    assert standing_words(plan(is_set_by_eye=True), IMPERIAL) == (
        "No arrow was shot yet. Wanted: 70 yd trusted within 3 in."
    )
    assert standing_words(plan(is_trusted=True), IMPERIAL) == (
        f"70 yd is trusted within 3 in already: no arrow is needed. {band}"
    )


def test_what_a_plan_comes_to():
    begin = "The plan: 2 groups, 7 arrows, in this order; after each group plan anew."
    assert plan_words(plan(), IMPERIAL) == f"{begin} It ends when 70 yd is trusted."
    short = plan(gets_there=False, steps=plan().steps[:1])
    assert plan_words(short, IMPERIAL) == (
        "The plan: 1 group, 4 arrows, in this order; after each group plan anew. It ends short of "
        "70 yd, with trust to 55 yd to be expected: more arrows, a larger butt, or a wider "
        "tolerance would be needed."
    )
    assert plan_words(plan(is_trusted=True), IMPERIAL) == ""
    assert plan_words(plan(steps=()), IMPERIAL) == (
        "No group can be planned: the sight reaches none of these distances, or no arrow is left."
    )
    assert plan_words(plan(steps=(), hindrance=Hindrance("place")), IMPERIAL) == ""


def test_without_arrows_no_reading_is_told():
    assert counted_words(plan()) == ""
    assert counted_words(plan(is_set_by_eye=True)) == (
        "Set the sight by eye for the first arrow, write down its reading, and plan anew: readings "
        "are told from then on."
    )


NEXT = (
    "Next at 30 yd: one arrow, then look; the others only if it hit where it may, between 8.0 in "
    "low and 7.0 in high of the aim."
)
WALK = " Walk up to there, with the range's leave."


@pytest.mark.parametrize(("walked", "walk"), [(False, ""), (True, WALK)])
def test_the_next_group_is_told_with_the_rule_it_follows(walked, walk):
    one = plan(is_walk=lambda _: walked)
    assert step_rule_words(one, IMPERIAL) == (
        f"{NEXT}{walk} The farthest group that fits hit at 50 yd, so no arrow is shot past 75 yd "
        "before this one is seen, and none where fewer than 99 of 100 stay on a butt "
        "36 in wide and 30 in tall."
    )
    one.ladder = Ladder(0.0, 41.148)
    assert step_rule_words(one, IMPERIAL) == (
        f"{NEXT}{walk} It stands near by, since something may have moved the zero."
    )
    one.answer.cautions = (Caution("other air", numbers=(-30.0,)),)
    assert step_rule_words(one, IMPERIAL) == (
        f"{NEXT}{walk} It stands near by, since limbs and string shoot otherwise in such air."
    )
    one.is_set_by_eye = True
    assert step_rule_words(one, METRIC) == (
        "First from 27.4 m, the sight set by eye: one arrow, then look; the others only if it "
        f"hit where it may, on a butt 91.4 cm wide and 76.2 cm tall.{walk}"
    )
    one.steps = ()
    assert step_rule_words(one, METRIC) == ""


def test_after_arrows_past_the_butt_the_way_back_is_told():
    one = plan(ladder=Ladder(27.432, 0.0, 41.148, 1))
    back = "Arrows went past the butt at 45 yd: back to where they are sure to hit."
    assert step_rule_words(one, IMPERIAL) == f"{NEXT} {back}"
    one.is_set_by_eye = True
    assert step_rule_words(one, IMPERIAL) == (
        "First from 30 yd, the sight set by eye: one arrow, then look; the others only if it hit "
        "where it may, on a butt 36 in wide and 30 in tall. Nearer, since arrows went past the "
        "butt."
    )
    assert hindrance_words(plan(hindrance=Hindrance("misses"), steps=()), IMPERIAL) == (
        "Three groups in a row went past the butt: shoot no more. Go through the check list: "
        "nock, rest, centre shot, peep and sight; have somebody who knows bows look, and take "
        "these groups out only when the reason is found."
    )


@pytest.mark.parametrize(
    ("windage_rad", "pin_right_m", "clicks", "words"),
    [
        (0.0074, 0.0062, None, ("8.0 in right at 30 yd, and farther out they would miss the butt. "
         "Move the pin right by 6.2 mm.")),
        (-0.0037, -0.0031, -31, ("4.0 in left at 30 yd, and farther out they would miss the butt. "
         "Move the pin left by 3.1 mm, 31 clicks.")),
    ],
)  # fmt: skip
def test_windage_that_stands_in_the_way_is_turned_first(windage_rad, pin_right_m, clicks, words):
    one = plan(windage_rad=windage_rad, pin_right_m=pin_right_m, right_clicks=clicks)
    told = step_rule_words(one, IMPERIAL)
    assert told == f"Turn the windage first: arrows land {words} {NEXT}"
    assert plan_words(one, IMPERIAL) == "This one group, 7 arrows; then plan anew."


@pytest.mark.parametrize(
    ("share", "part"),
    [(0.5, "half"), (0.25, "a quarter"), (0.125, "an eighth"), (0.0625, "a sixteenth")],
)
def test_part_of_a_correction_is_told_with_the_reason(share, part):
    one = plan(share=share, steps=plan().steps[:1])
    assert step_rule_words(one, IMPERIAL).startswith(
        f"{NEXT} Dial {part} of the correction only: how far a millimetre moves the arrow is not "
        "known well enough, and all of it might send the arrow past the butt. The farthest"
    )
    assert plan_words(one, IMPERIAL) == "This one group, 4 arrows; then plan anew."


def test_after_a_near_arrow_the_old_farthest_hit_counts_again():
    # half as far again as 20 yd would be 30
    assert "hit at 20 yd, so no arrow is shot past 45 yd before" in step_rule_words(
        plan(ladder=Ladder(18.288, 41.148)), IMPERIAL
    )


def test_where_arrows_land_is_told_by_its_side():
    low, high = ("between 8.0 in low and 2.0 in low of", "between 3.0 in high and 7.0 in high")
    assert low in step_rule_words(plan(lands_m=(-0.2032, -0.0508)), IMPERIAL)
    assert high in step_rule_words(plan(lands_m=(0.0762, 0.1778)), IMPERIAL)


@pytest.mark.parametrize(
    ("kind", "numbers", "words"),
    [
        ("reach", (), "The sight does not surely reach 70 yd: see its limits."),
        ("place", (22.86,),
         ("{done} A place at 25 yd would do, or a little nearer. Farther ones are too long a "
         "step.")),
        ("place", (),
         "{done} No distance is near enough for this butt: take a larger one."),
        ("butt", (36.576, 0.6604, 0.8382),
         ("{done} At 40 yd this butt is too small: one 26.0 in wide and 33.0 in tall stops 99 "
         "arrows of 100.")),
    ],
)  # fmt: skip
def test_what_stands_in_the_way_is_told_with_what_would_do(kind, numbers, words):
    found = Hindrance(kind, *numbers)
    assert hindrance_words(plan(hindrance=found), IMPERIAL) == words.format(
        done="That is as far as it goes here."
    )
    assert hindrance_words(plan(hindrance=found, steps=()), IMPERIAL) == words.format(
        done="Nothing may be shot here."
    )
    assert hindrance_words(plan(), IMPERIAL) == ""


def test_where_a_group_is_in_doubt_no_arrow_is_sure():
    assert hindrance_words(plan(hindrance=Hindrance("doubt"), steps=()), IMPERIAL) == (
        "A group does not fit, and with it or without it no arrow is sure to stay on this butt: "
        "settle that group first (check what was written, put it aside, or shoot it again), or "
        "take a larger butt."
    )


def test_a_sight_that_does_not_reach_is_told_once():
    short = plan(first=None, hindrance=Hindrance("reach"), chain=(), chain_gets_there=False)
    said = [one for one in plan_blocks(short, IMPERIAL) if isinstance(one, str)]
    assert said == [
        "Heron: Trusted to 50 yd within 3 in; wanted: 70 yd. At 70 yd the band is ±4.0 in.\n",
        step_rule_words(short, IMPERIAL),
        (
            "The plan: 2 groups, 7 arrows, in this order; after each group plan anew. It ends when "
            "70 yd is trusted."
        ),
        "The sight does not surely reach 70 yd: see its limits.",
    ]


def test_when_all_is_trusted_what_still_tells_most_is_told():
    assert spare_words(plan(), IMPERIAL) == ""
    assert spare_words(plan(spare=plan_step(50.292, 6, 0.0584, 64.008)), IMPERIAL) == (
        "If you shoot all the same, 6 arrows at 55 yd tell most about what may be wrong."
    )


def test_the_first_far_arrow_is_told_low_then_high():
    assert first_shot_words(plan(), IMPERIAL) == (
        "First arrow at 70 yd, shot now: dial 41.2 mm; nine of ten such arrows land between "
        "10.0 in low and 15.0 in high. A butt 28.0 in tall stops 95 %, 36.0 in tall 99 %; on "
        "yours: 93 %."
    )
    assert first_shot_words(plan(is_set_by_eye=True), IMPERIAL) == ""
    assert first_shot_words(plan(first=None), IMPERIAL) == (
        "The sight does not surely reach 70 yd: see its limits."
    )
    assert barred_words(plan(barred_m=(73.152, 82.296)), IMPERIAL) == (
        "Left out, since the sight does not surely reach them: 80 yd, 90 yd."
    )


def test_an_unsafe_first_arrow_is_led_back_to():
    assert chain_words(plan(), IMPERIAL) == ""
    unsafe = plan(first=first_shot(safe=False))
    assert chain_words(unsafe, IMPERIAL) == (
        "Do not shoot 70 yd at this butt yet. The way there: 40 yd, 55 yd, planning anew after "
        "each; then 70 yd is safe."
    )
    unsafe.chain, unsafe.chain_gets_there = unsafe.chain[:2], False
    assert chain_words(unsafe, IMPERIAL) == (
        "Do not shoot 70 yd at this butt yet. Groups lead to 55 yd and no farther."
    )
    unsafe.chain = ()
    assert chain_words(unsafe, IMPERIAL) == "Do not shoot 70 yd at this butt yet."


def test_a_plan_warns():
    first_far, stop, people, housing = plan_cautions(plan(), IMPERIAL)
    assert "larger butt" in stop
    assert stop.startswith("Shoot only at a safe stop")
    assert people.startswith("Distances to people and boundaries")
    assert housing == "Never shoot past the distance at which arrow and housing clear each other."
    assert first_far


def test_a_plan_says_what_shakes_the_arrows_before_it():
    one = plan()
    one.answer.cautions = (
        Caution("no arrows"),  # said in the plan's first line
        Caution("other air", numbers=(-30.2,)),
        Caution("same arrows", "2 and 1"),
    )
    cold, twice, *usual = plan_cautions(one, IMPERIAL)
    assert cold == (
        "The air of the rig sheet is 30 °C colder than where arrows were shot: limbs and string "
        "change, too, and these marks count the air alone. Shoot one near arrow first, and go "
        "farther only from what it shows."
    )
    one.answer.cautions = (Caution("other air", "today", (30.2,)),)
    assert plan_cautions(one, IMPERIAL)[0] == (
        "The air of today is 30 °C warmer than where arrows were shot: limbs and string change, "
        "too, and these marks are for the air of the rig sheet. Shoot one near arrow first, and "
        "go farther only from what it shows."
    )
    assert twice == (
        "Groups 2 and 1 hold the same arrows: counted twice they make marks look surer than they "
        "are. Leave one of them out."
    )
    assert len(usual) == 4


def test_what_saves_arrows_is_asked_to_be_measured_first():
    # draws that know the scale's gain to 4 % while the sheet says nothing of reading per travel
    unshot = plan()
    assert measure_words(unshot) == ""
    unshot.answer.rig.sight.reading_per_travel = None
    unknowns = SimpleNamespace(place=("log_speed", "log_gain").index)
    prior = SimpleNamespace(unknowns=unknowns)
    calibration = SimpleNamespace(evidence=SimpleNamespace(prior=prior))
    unshot.answer.posterior = SimpleNamespace(
        vectors=np.array([[4.4, 0.04], [4.4, -0.04]]), calibration=calibration
    )
    said = measure_words(unshot)
    assert said.startswith("What saves the most arrows costs none: measure the sight's reading per")
    assert "At home, the bow at rest: turn the dial by a known number" in said
    assert "If unsure" not in said
    assert said in plan_blocks(unshot, IMPERIAL)
    unshot.answer.rig.sight.reading_per_travel = SimpleNamespace(value=1.6, sd=None)
    assert measure_words(unshot).startswith(
        "The sheet's reading per travel, 1.6, is not known to ±1 % yet. What saves"
    )
    unshot.is_trusted = True
    assert measure_words(unshot) == ""

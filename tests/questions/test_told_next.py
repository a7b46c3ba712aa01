"""The next step in words: it says what the plan says, for people and for programs."""

from dataclasses import replace
from types import SimpleNamespace as Namespace

import numpy as np
import pytest
from exact_units import YARD_M
from sessions import groups, rig, truth_near
from written_out import IMPERIAL, METRIC

from tapewright.calibration.rig import Bow
from tapewright.questions.next import QUESTION as NEXT
from tapewright.questions.next import Standing
from tapewright.questions.plan import QUESTION as PLAN
from tapewright.questions.question import Said
from tapewright.services.calibrate import Caution, calibrate
from tapewright.services.what_now import Done, NextStep, TapeMiss
from tapewright.words.answer_blocks import Mind

SAFE = {"draw_weight_n": 267.0, "draw_length_m": 0.737, "rest_ahead_m": 0.0}


def made(yards, **sheet):
    bow = rig().bow
    one = rig(bow=replace(bow, **SAFE), **sheet)
    shots = groups(one, truth_near(one), yards)
    return calibrate(one, shots, np.arange(10, 91, 10) * YARD_M, np.arange(10, 91) * YARD_M)


@pytest.fixture(scope="module")
def shot_in():
    return made((20, 40))


@pytest.fixture(scope="module")
def unshot():
    return made(())


def asked(subject, **texts):
    return NEXT.ask(subject, Said(texts), IMPERIAL)


@pytest.mark.parametrize("units", [IMPERIAL, METRIC])
def test_its_shot_is_the_plans_first_whatever_is_wanted(shot_in, units):
    for said in (
        Said({}),
        Said({"wanted": "78 yd", "arrows": "12", "butt": "80x80 cm", "temperature": "2 °C"}),
    ):
        told = NEXT.write(NEXT.ask(shot_in, said, units), units)
        plan = PLAN.write(PLAN.ask(shot_in, said, units), units)
        assert told["step"] == "shoot"
        assert told["shot"] == plan["plan"][0]
        unit = units.distance
        assert told[f"trusted_distance_{unit}"] == plan[f"trusted_distance_{unit}"]


def test_a_group_says_where_what_to_dial_why_and_what_it_buys(shot_in):
    step = asked(shot_in, wanted="80 yd")
    told = NEXT.write(step, IMPERIAL)
    shot = told["shot"]
    do = told["do"]
    before, dial = do.removesuffix(" mm").rsplit(" ", 1)
    assert before == f"Shoot {shot['arrows']} arrows at {shot['distance_yd']:g} yd, dial"
    assert float(dial) == pytest.approx(shot["reading_mm"], abs=0.26)  # half of the coarsest step
    assert told["why"].startswith("Trusted to ")
    assert f"The band at 80 yd is then about ±{shot['band_in']:.1f} in" in told["buys"]
    assert any("one arrow, then look" in need for need in told["needs"])
    assert told["after"] == ["tape", "stick", "prove", "card"]
    assert told["by_file"] == "Write the group into the file of shots, then ask again."
    first, *rest = NEXT.tell(step, IMPERIAL)
    assert first == f"Heron: {do}."
    assert [one for one in rest if isinstance(one, Mind)]


def test_before_the_first_arrow_measuring_comes_first_and_shooting_stays_open(unshot):
    told = NEXT.write(asked(unshot), IMPERIAL)
    assert (told["step"], told["instead"]) == ("measure", "shoot")
    assert "saves the most arrows" in told["why"]
    assert "calliper" in told["needs"][0]
    assert told["shot"]["reading_mm"] is None
    lines = NEXT.tell(asked(unshot), IMPERIAL)
    assert any("Or all the same: Shoot 2 arrows at 10 yd, the sight set by eye." in one
               for one in lines if isinstance(one, str))  # fmt: skip


def test_what_the_sheet_must_tell_and_what_must_not_be_shot_stand_alone():
    silent = calibrate(rig(), (), (18.0,), np.arange(10, 60) * YARD_M)
    told = NEXT.write(asked(silent), IMPERIAL)
    assert told["step"] == "tell"
    assert [one["key"] for one in told["questions"]] == [
        "bow.draw_weight", "bow.draw_length", "bow.rest",
    ]  # fmt: skip
    heavy = rig(
        bow=Bow(**SAFE | {"draw_weight_n": 445.0}, launch_speed_mps=rig().bow.launch_speed_mps)
    )
    light = calibrate(heavy, (), (18.0,), np.arange(10, 60) * YARD_M)
    told = NEXT.write(asked(light), IMPERIAL)
    assert (told["step"], told["do"]) == ("stop", "Do not shoot this set-up")
    assert told["why"].startswith("STOP: ")
    assert told["shot"] is None


def test_a_printed_tape_is_asked_for_before_the_next_group(shot_in):
    waits = Standing(shot_in, Done(is_kept=True, printed_on="2026-11-21", is_fresh=True))
    told = NEXT.write(asked(waits), IMPERIAL)
    assert (told["step"], told["instead"]) == ("stick", "shoot")
    assert told["do"] == "Is the tape of 2026-11-21 on the sight?"
    assert told["by_file"] is None
    older = Standing(shot_in, Done(is_kept=True, printed_on="2026-11-21"))
    told = NEXT.write(asked(older), IMPERIAL)
    assert told["step"] == "shoot"
    assert told["also"][0] == {
        "step": "stick",
        "words": "A tape was printed on 2026-11-21: if it is on the sight, say so.",
    }


def test_what_is_trusted_already_leads_to_the_tape(shot_in):
    told = NEXT.write(asked(shot_in, wanted="20 yd"), IMPERIAL)
    assert told["step"] == "tape"
    assert told["why"].startswith("Trusted to ")
    assert told["after"] == ["stick", "prove", "card"]


def test_after_a_season_without_arrows_the_tape_is_to_be_proved_anew(shot_in):
    done = Done(is_kept=True, quiet_days=120)
    told = NEXT.write(replace(asked(shot_in, wanted="20 yd"), kind="season", done=done), IMPERIAL)
    assert told["do"] == "Prove the tape anew: nobody shot for 120 days"
    assert told["needs"][1] == "The nearest distance first, then far ones."
    assert told["after"] == []


def test_a_proof_that_is_doubted_is_to_be_shot_once_more(shot_in):
    doubted = replace(shot_in, cautions=(Caution("two bows", "one distance", (0.33,)),))
    step = asked(shot_in, wanted="20 yd")
    proof = shot_in.observations  # at two distances
    taken = replace(step, kind="prove", answer=doubted, done=Done(is_proved=True, proof=proof))
    told = NEXT.write(taken, IMPERIAL)
    assert told["do"] == "Prove the tape once more"
    assert told["why"].startswith("Odds of 33 % that a distance was written down wrongly, in a")
    begun = replace(step, kind="prove", done=Done(proof=proof))
    assert NEXT.write(begun, IMPERIAL)["do"] == "Go on with the proof: 2 distances of three shot"


def test_a_small_butt_is_named_when_nothing_can_be_shot(unshot):
    told = NEXT.write(asked(unshot, butt="3x3 in"), IMPERIAL)
    assert told["step"] in ("butt", "measure")
    if told["step"] == "butt":
        assert "butt" in told["why"]


def test_in_far_air_the_head_does_not_tell_the_trust_of_home(shot_in):
    """The sheet's air has 15 °C."""
    said = Said({"wanted": "30 yd", "temperature": "-15 °C"})
    step = NEXT.ask(shot_in, said, IMPERIAL)
    told, plan = NEXT.write(step, IMPERIAL), PLAN.ask(shot_in, said, IMPERIAL)
    head = "Nothing is trusted yet in such air, 30 °C colder than where arrows were shot; in theirs"
    assert told["why"].startswith(f"{head} 30 yd within 3 in. Wanted: 30 yd.")
    assert PLAN.tell(plan, IMPERIAL)[0].startswith(f"Heron: {head} 30 yd")
    assert any("temperature, written down with the group" in need for need in told["needs"])
    assert told["air_warmer_than_shot_c"] == -30.0
    assert PLAN.write(plan, IMPERIAL)["air_warmer_than_shot_c"] == -30.0
    usual = NEXT.ask(shot_in, Said({"wanted": "80 yd"}), IMPERIAL)
    assert not any("temperature" in need for need in NEXT.write(usual, IMPERIAL)["needs"])


def test_a_tape_that_misses_in_other_air_is_not_printed_anew_for_a_day(shot_in):
    plan = asked(shot_in, wanted="20 yd").plan
    behind = "The tape on the sight is behind the arrows: dialled by it they land"
    other = "The tape on the sight is of other air: dialled by it arrows land"
    for kind, do, why in (
        ("tape", "Print the tape anew", behind),
        ("done", "Dial the marks of this air, not the tape's own", other),
    ):
        step = NextStep(kind, shot_in, Done(), plan, tape_miss=TapeMiss(60 * YARD_M, -0.0508))
        told = NEXT.write(step, IMPERIAL)
        assert told["do"] == do
        assert told["why"].startswith(f"{why} 2.0 in low at 60 yd.")


def test_a_proof_that_left_a_doubt_says_so_when_the_next_is_asked_for(shot_in):
    wrong = "Odds of 40 % that a distance was written down wrongly, in a proof that was taken in"
    mixed = "Something may have changed between the arrows taken in from a proof and those before "
    doubts = (("one distance", wrong), ("speed", f"{mixed}(arrow or bow), odds 40 %."))
    for cause, why in doubts:
        answer = replace(shot_in, cautions=(Caution("two bows", cause, (0.4,)),))
        told = NEXT.write(NextStep("prove", answer, Done()), IMPERIAL)
        assert told["do"] == "Prove the tape once more"
        assert told["why"].startswith(why)
    told = NEXT.write(NextStep("prove", shot_in, Done()), IMPERIAL)
    assert told["do"] == "Prove the tape"


def test_files_that_know_of_no_card_end_with_nothing_more_and_say_how_one_is_made(shot_in):
    doubt = "Something may have changed between the arrows taken in from a proof and those before "
    plan = asked(shot_in, wanted="20 yd").plan
    answer = replace(shot_in, cautions=(Caution("two bows", "speed", (0.4,)),))
    told = NEXT.write(NextStep("done", answer, Done(), plan, also=("card",)), IMPERIAL)
    assert told["do"] == "Nothing more is needed"
    assert f"{doubt}(arrow or bow), odds 40 %." in told["why"]
    beside = "A card to take along, where there is none of this tape yet."
    assert told["also"] == [{"step": "card", "words": beside}]
    typed = "tapewright card RIG.toml SHOTS.csv --tape TAPE.json --print page"
    assert told["by_file"] == f"Write: {typed}"


def test_what_a_rig_has_already_does_not_follow(shot_in):
    on = Namespace(tape="a tape", cautions=(), observations=())
    assert NextStep("shoot", on, Done()).after == ("prove", "card")
    assert NextStep("shoot", on, Done(is_kept=True, is_proved=True)).after == ("card",)
    assert NextStep("tape", on, Done()).after == ("stick", "prove", "card")  # printed anew
    assert NextStep("shoot", shot_in, Done()).after == ("tape", "stick", "prove", "card")

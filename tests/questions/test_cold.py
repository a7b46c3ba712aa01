"""Cold and clothing: what is proven there, said by the whole sentence, and what must be minded."""

from dataclasses import replace

import numpy as np
import pytest
from exact_units import YARD_M
from sessions import group, groups, rig, truth_near
from written_out import IMPERIAL, METRIC

from tapewright.ground.errors import BadInput, Withheld
from tapewright.questions.cold import QUESTION as COLD
from tapewright.questions.question import Said
from tapewright.questions.weather import QUESTION as WEATHER
from tapewright.services.advise import Hindrance
from tapewright.services.calibrate import Caution, calibrate
from tapewright.services.watch_drift import Season
from tapewright.words.answer_blocks import Mind, Table
from tapewright.words.answer_json import trust_json
from tapewright.words.trust_sentences import trust_words

SHEET = rig(
    archer={"farthest_m": 36.576},
    bow=replace(
        rig().bow, draw_weight_n=267.0, draw_length_m=0.737, rest_ahead_m=0.0,
        least_temperature_k=253.15,
    ),
)  # fmt: skip


@pytest.fixture(scope="module")
def home():
    shots = groups(SHEET, truth_near(SHEET))
    return calibrate(SHEET, shots, (18.288,), np.arange(10, 100) * YARD_M)


def shot_at(celsius, *yards):
    air = replace(SHEET.air, temperature_k=273.15 + celsius)
    there = truth_near(replace(SHEET, air=air))
    return tuple(group(SHEET, there, yard * YARD_M, name=f"K{yard}", air=air) for yard in yards)


def test_before_a_group_was_shot_there_nothing_is_proven(home):
    said = Said({"temperature": "-10 °C", "clothes": "bulky", "wanted": "40 yd"})
    hunt = COLD.ask(home, said, IMPERIAL)
    proven, shot, rule, then, table, *minds = COLD.tell(hunt, IMPERIAL)
    assert proven == (
        "Nothing is proven at −10 °C in bulky clothes: no group was shot like that. At home "
        f"{round(home.trusted_m[0] / YARD_M)} yd are trusted. Far marks are unproven."
    )
    assert shot.startswith("On a range, at −10 °C in bulky clothes: 10 yd: dial ")
    assert rule.startswith("Next at 10 yd: one arrow, then look;")
    assert "temperature" in then
    assert isinstance(table, Table)
    assert table.faint == frozenset(range(6))
    assert {row[-1] for row in table.rows} == {"no"}
    told = [one.text for one in minds if isinstance(one, Mind)]
    assert told[0].startswith(
        "It is 25 °C colder than where arrows were shot. The air is counted exactly; limbs are "
        "not, for nobody has measured yours: 1.2 to 2.5 % of arrow speed, either way"
    )
    assert "Wood Handbook 2010" in told[0]
    assert any("string touches no sleeve" in one for one in told)
    assert any("only a far group tells those" in one for one in told)
    assert "local law and the animal decide" in told[-1]
    sent = COLD.write(hunt, METRIC)
    assert sent["proven_distance_m"] is None
    assert (sent["temperature_c"], sent["least_temperature_c"]) == (-10.0, -20.0)
    assert (sent["clothes"], sent["must_be_proven"]) == ("bulky", True)
    assert sent["limbs_percent"] == [1.25, 2.5]
    assert sent["next"][0]["distance_m"] == pytest.approx(9.144, abs=1e-3)


def test_groups_shot_there_prove_as_far_as_they_carry(home):
    season = Season(home, shot_at(-8.0, 10, 15, 22, 30))
    hunt = COLD.ask(season, Said({"temperature": "-10 °C", "wanted": "30 yd"}), IMPERIAL)
    proven, is_done, table, *_ = COLD.tell(hunt, IMPERIAL)
    assert proven.startswith("Proven to ")
    assert " yd at −10 °C, by groups K10, K15, K22, K30: up to there a mark misses by " in proven
    assert "less than 3 in with 98 % chance." in proven
    assert is_done == "Proven as far as wanted, 30 yd: no arrow is needed."
    assert [row[-1] for row in table.rows][:3] == ["yes", "yes", "yes"]
    assert COLD.write(hunt, IMPERIAL)["groups"] == ["K10", "K15", "K22", "K30"]
    one = COLD.ask(replace(season, proofs=shot_at(-8.0, 10)), hunt_said(), IMPERIAL)
    assert "by group K10:" in COLD.tell(one, IMPERIAL)[0]


def hunt_said(**more):
    return Said({"temperature": "-10 °C", "wanted": "30 yd", **more})


def test_a_group_that_proves_nothing_yet_says_so(home):
    (far,) = shot_at(-8.0, 30)
    low = [replace(hit, up_m=hit.up_m - 0.6) for hit in far.group.impacts]
    strayed = replace(far, group=replace(far.group, impacts=tuple(low)))
    hunt = COLD.ask(Season(home, (strayed,)), hunt_said(), IMPERIAL)
    assert COLD.tell(hunt, IMPERIAL)[0].startswith("Nothing is proven at −10 °C yet, after group")


def test_in_air_as_at_home_the_marks_of_home_hold(home):
    hunt = COLD.ask(home, Said({"temperature": "5 °C"}), IMPERIAL)
    proven, table, *minds = COLD.tell(hunt, IMPERIAL)
    assert proven.startswith("As the marks are at home they are at 5 °C: trusted to ")
    assert table.faint == frozenset()
    assert len(minds) <= 2
    sent = COLD.write(hunt, IMPERIAL)
    assert (sent["must_be_proven"], sent["next"]) == (False, [])


def test_a_butt_that_is_too_small_is_told(home):
    hunt = COLD.ask(home, hunt_said(), IMPERIAL)
    none = replace(hunt.plan, steps=(), hindrance=Hindrance("butt", 9.144, 0.5, 0.4))
    told = COLD.tell(replace(hunt, plan=none), IMPERIAL)
    assert told[1].startswith("Nothing may be shot here. At 10 yd this butt is too small: one 19.7")
    assert COLD.write(replace(hunt, plan=none), IMPERIAL)["next"] == []


@pytest.mark.parametrize(("said", "place", "wrong"), [
    ({}, "temperature", "nothing is said of the cold or the clothes"),
    ({"temperature": "-10 °C", "groups": "1, 77"}, "groups", 'no group is called "77"'),
])  # fmt: skip
def test_what_says_nothing_is_refused_at_its_place(home, said, place, wrong):
    with pytest.raises(BadInput) as refused:
        COLD.ask(home, Said(said), IMPERIAL)
    assert refused.value.place == place
    assert refused.value.wrong == wrong


@pytest.mark.parametrize("question", [COLD, WEATHER])
def test_below_the_bow_makers_least_it_is_a_stop(home, question):
    with pytest.raises(Withheld) as refused:
        question.ask(home, Said({"temperature": "-20.5 °C"}), IMPERIAL)
    assert [one.kind for one in refused.value.stops] == ["cold"]


def test_trust_says_where_it_is_unproven(home):
    sheet = trust_words(home, IMPERIAL)
    cold = replace(home, cautions=(Caution("other air", "", (-25.0,)),))
    assert trust_words(cold, IMPERIAL) == (
        f"{sheet} In this air, 25 °C colder than where arrows were shot, that is unproven: see "
        "“Cold and clothing”."
    )
    assert trust_json(cold, "yd")["air_warmer_than_shot_c"] == -25.0
    assert "air_warmer_than_shot_c" not in trust_json(home, "yd")
    nothing = replace(cold, trusted_m=(0.0,))
    assert "unproven" not in trust_words(nothing, IMPERIAL)


def test_a_group_that_was_shot_in_other_air_is_not_taken_as_shot_there(home):
    season = Season(home, proofs=shot_at(12, 20))
    said = {"temperature": "-10 °C", "clothes": "bulky", "groups": "K20"}
    with pytest.raises(BadInput, match='"K20" was shot at 12 °C, which proves nothing at −10 °C'):
        COLD.ask(season, Said(said), IMPERIAL)
    warm = COLD.ask(season, Said(said | {"temperature": "0 °C"}), IMPERIAL)
    assert [one.group.name for one in warm.cold.groups] == ["K20"]
    told = [one.text for one in COLD.tell(warm, IMPERIAL) if isinstance(one, Mind)]
    assert any(one.startswith("That group K20 was shot in these bulky clothes is") for one in told)

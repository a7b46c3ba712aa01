"""JSON of answers, from numbers written by hand: every key with its unit and its sign."""

from types import SimpleNamespace

import numpy as np
from told_by_hand import (
    FAR_END,
    HOUSING,
    MISSES,
    TILTS,
    blown,
    chosen,
    limits_found,
    plan,
    plan_step,
    proving,
    quiet_answer,
    ranked,
    strip_of,
    weather,
)
from written_out import IMPERIAL, METRIC

from tapewright.confidence.diagnosis import Cause
from tapewright.confidence.ladder import Ladder
from tapewright.confidence.mending import Mend
from tapewright.questions.budget import QUESTION as BUDGET
from tapewright.questions.level import QUESTION as LEVEL
from tapewright.questions.limits import QUESTION as LIMITS
from tapewright.questions.plan import plan_json
from tapewright.questions.prove import QUESTION as PROVE
from tapewright.questions.prove import TapeProof
from tapewright.questions.slopes import QUESTION as SLOPES
from tapewright.questions.strips import QUESTION as STRIPS
from tapewright.questions.strips import FoundStrips
from tapewright.questions.weather import QUESTION as WEATHER
from tapewright.questions.wind import QUESTION as WIND
from tapewright.questions.wind import HeldOff
from tapewright.services.advise import Hindrance
from tapewright.words.answer_json import trust_json

HEAD = {"rig": "Heron", "fingerprint": "abc123", "band": 0.9}


def without(told, *names):
    return {key: value for key, value in told.items() if key not in names}


def test_a_wind_and_where_to_hold():
    told = WIND.write(HeldOff(blown(quiet_answer(), 1.0, 4.4704, -2.0), 0.127, 0.4572), IMPERIAL)
    assert without(told, "cautions", "misses") == HEAD | {
        "schema": "tapewright.wind/1", "cross_mps": 4.4704, "head_mps": -2.0, "spot_in": 5.0,
        "butt_width_in": 18.0,
    }  # fmt: skip
    assert told["misses"] == [
        {
            "distance_yd": 20.0, "right_in": 4.0, "right_low_in": 3.8, "right_high_in": 4.4,
            "hold_off_right_in": -4.0, "hold_off_right_spots": -0.8, "up_in": -0.3,
            "reading_change_mm": 0.11, "stays_on_butt": True,
        },
        {
            "distance_yd": 60.0, "right_in": 10.0, "right_low_in": 9.6, "right_high_in": 10.8,
            "hold_off_right_in": -10.0, "hold_off_right_spots": -2.0, "up_in": -1.5,
            "reading_change_mm": 0.32, "stays_on_butt": False,
        },
    ]  # fmt: skip
    assert told["cautions"][-1].startswith("From 60 yd on an arrow that is held off")


def test_home_and_away():
    told = WEATHER.write(weather(quiet_answer(), warmer_k=-21.5, far=True), METRIC)
    assert without(told, "cautions") == HEAD | {
        "schema": "tapewright.weather/1",
        "pin": 2,
        "air": {"temperature_c": -5.0, "pressure_hpa": 812.0, "humidity_percent": 30.0,
                "density_ratio": 0.85},
        "warmer_c": -21.5,
        "near_arrow_first": True,
        "marks": [
            {"distance_m": 18.288, "home_mm": 16.0, "away_mm": 15.95, "away_low_mm": 15.85,
             "away_high_mm": 16.1, "miss_cm": 0.254},
            {"distance_m": 54.864, "home_mm": 40.0, "away_mm": 38.8, "away_low_mm": 38.5,
             "away_high_mm": 39.2, "miss_cm": 5.08},
        ],
    }  # fmt: skip


def test_slopes():
    found = SimpleNamespace(
        answer=quiet_answer(),
        pin=2,
        table=SimpleNamespace(
            slope_rad=np.radians([-30.0]), distance_m=np.array([54.864]),
            reading_m=np.array([[0.0362]]), dial_m=np.array([[50.292]]),
        ),
        rule=SimpleNamespace(
            dial_m=np.array([[47.5488]]), miss_m=np.array([[-0.0127]]),
            uncorrected_m=np.array([[0.2032]]),
        ),
    )  # fmt: skip
    told = SLOPES.write(found, IMPERIAL)
    assert without(told, "cautions") == HEAD | {
        "schema": "tapewright.slopes/1",
        "pin": 2,
        "slopes": [
            {
                "slope_deg": -30.0,
                "marks": [
                    {"distance_yd": 60.0, "reading_mm": 36.2, "dial_yd": 55.0,
                     "horizontal_yd": 52.0, "horizontal_miss_in": -0.5,
                     "uncorrected_miss_in": 8.0}
                ],
            }
        ],
    }  # fmt: skip


def test_a_proof_and_its_mend():
    causes = (Cause("one distance", 0.71, 1.8288, 0.9144, 3.6576, 1),
              Cause("drag or air", 0.2, -0.1, -0.2, 0.05), Cause("nothing", 0.09))  # fmt: skip
    found = proving(
        None, causes, answer=quiet_answer(), clicks=-29, right_clicks=5,
        mend=Mend(reading_m=-2.9e-3, pin_right_m=0.48e-3, longer_m=0.6e-3,
                  heavier_kg=-3.2399455e-3),
        may_accept=False,
        lengths_m=(25.5e-3, 26.0e-3, 26.7e-3), ends_m=(18.288, 54.864),
        spread=SimpleNamespace(
            dispersion_rad=SimpleNamespace(value=0.55e-3, low=0.41e-3, high=0.78e-3)
        ),
    )  # fmt: skip
    found.shot[1].group = SimpleNamespace(name="c")
    found.verdict.families = (("one distance", 0.71), ("nothing", 0.09))
    found.verdict.telling_m, found.verdict.told_from = 64.008, "speed"
    found.verdict.rivals = (("speed", 0.12),)
    told = PROVE.write(TapeProof(found), IMPERIAL)
    assert told["groups"][:2] == [
        {"group": "a", "distance_yd": 20.0, "miss_up_in": 2.0, "miss_right_in": -3.0,
         "doubt_up_in": 0.5, "doubt_right_in": 1.0},
        {"group": "b", "distance_yd": 60.0, "miss_up_in": None, "miss_right_in": 4.0,
         "doubt_up_in": 0.5, "doubt_right_in": 1.0},
    ]  # fmt: skip
    assert told["families"][0] == {"family": "one distance", "odds": 0.71}
    assert told["causes"] == [
        {"cause": "one distance", "called": "one wrong distance", "odds": 0.71, "size_yd": 2.0,
         "low_yd": 1.0, "high_yd": 4.0, "group": "c"},
        {"cause": "drag or air", "called": "drag or air", "odds": 0.2, "size_percent": -10.0,
         "low_percent": -20.0, "high_percent": 5.0},
        {"cause": "nothing", "called": "nothing wrong", "odds": 0.09},
    ]  # fmt: skip
    assert told["mend"] == {
        "reading_mm": -2.9, "reading_clicks": -29, "pin_right_mm": 0.48, "pin_right_clicks": 5,
        "longer_mm": 0.6, "longer_span_mm": 0.6, "heavier_gr": -50.0,
    }  # fmt: skip
    assert told["between_yd"] == [20.0, 60.0]
    assert told["check_lengths_mm"] == told["spans_mm"] == [25.5, 26.0, 26.7]
    assert told["telling_distance_yd"] == 70.0
    assert told["telling_from"] == "speed"
    assert told["rivals"] == [{"family": "speed", "odds": 0.12}]
    assert told["may_accept"] is False
    dispersion = [told[f"dispersion{one}_mrad"] for one in ("", "_low", "_high")]
    assert dispersion == [0.55, 0.41, 0.78]


def test_what_a_proof_moved():
    found = proving(
        None, (Cause("nothing", 0.95), Cause("zero", 0.05)), answer=quiet_answer(), clicks=None,
        right_clicks=None, mend=Mend(), may_accept=True, lengths_m=(25.5e-3, 26.0e-3, 26.7e-3),
        ends_m=(18.288, 54.864),
        spread=SimpleNamespace(dispersion_rad=SimpleNamespace(value=5e-4, low=4e-4, high=6e-4)),
    )  # fmt: skip
    found.verdict.families = (("nothing", 0.95), ("zero", 0.05))
    found.verdict.telling_m, found.verdict.told_from, found.verdict.rivals = None, "", ()
    accepted = SimpleNamespace(
        distance_m=[18.288], moved_m=[-0.45e-3],
        answer=SimpleNamespace(fingerprint="def456", trusted_m=(64.008,), is_earned=True,
                               once_zeroed_m=(73.152,), bands=SimpleNamespace(reading_m=[0.0161]),
                               two_bows_odds=0.0312, tape=None, cautions=()),
        before=SimpleNamespace(trusted_m=(54.864,), is_earned=True, cautions=()),
    )  # fmt: skip
    told = {
        "fingerprint": "def456", "trusted_distance_yd": 70.0, "once_zeroed_distance_yd": 80.0,
        "trusted_distance_before_yd": 60.0, "two_bows_odds": 0.0312,
        "marks": [{"distance_yd": 20.0, "reading_mm": 16.1, "moved_mm": -0.45}],
    }  # fmt: skip
    assert PROVE.write(TapeProof(found, accepted=accepted), IMPERIAL)["accepted"] == told
    accepted.before = SimpleNamespace(trusted_m=(0.0,), is_earned=False, cautions=())
    assert PROVE.write(TapeProof(found, accepted=accepted), IMPERIAL)["accepted"] == told | {
        "trusted_distance_before_yd": None,
    }  # fmt: skip


def test_strips_and_a_set():
    found = SimpleNamespace(
        answer=quiet_answer(), ends_m=(18.288, 54.864), distance_m=np.array([54.864]),
        strips=(strip_of(25.5e-3, 0.0415), strip_of(26e-3, 0.042)),
        impact_m=[np.array([-0.0254]), np.array([0.0])],
    )  # fmt: skip
    best = ranked("K7", 0.62, 0.0254, (54.864, 18.288), (-0.0254, 0.0127), reversed_way=True)
    told = STRIPS.write(FoundStrips(found, chosen(best)), IMPERIAL)
    assert (told["near_yd"], told["far_yd"]) == (20.0, 60.0)
    assert told["strips"] == [
        {"strip": "−1.9 %", "check_length_mm": 25.5, "span_mm": 25.5,
         "marks": [{"distance_yd": 60.0, "reading_mm": 41.5, "impact_up_in": -1.0}]},
        {"strip": "start here", "check_length_mm": 26.0, "span_mm": 26.0,
         "marks": [{"distance_yd": 60.0, "reading_mm": 42.0, "impact_up_in": 0.0}]},
    ]  # fmt: skip
    assert told["set"] == {
        "to_yd": 80.0,
        "good_enough": True,
        "ranked": [
            {"strip": "K7", "chance": 0.62, "worst_in": 1.0, "align_distance_yd": 20.0,
             "align_reading_mm": 16.1, "runs_against_scale": True,
             "errors": [{"distance_yd": 60.0, "error_up_in": -1.0},
                        {"distance_yd": 20.0, "error_up_in": 0.5}]}
        ],
    }  # fmt: skip


def test_a_plan():
    one = plan()
    one.answer = SimpleNamespace(**vars(quiet_answer()))
    one.order.most_arrows = 24
    one.order.wish.probability = 0.9
    one.order.wish.butt = SimpleNamespace(width_m=0.6096, height_m=0.762)
    one.first.distance_m = 64.008
    one.barred_m = (82.296,)
    one.chain = (plan_step(36.576, 3, 0.1, 0.0, 0.97),)
    one.hindrance = Hindrance("butt", 36.576, 0.6604, 0.8382)
    one.spare = plan_step(50.292, 6, 0.0762, 54.864, 0.995)
    told = plan_json(one, IMPERIAL)
    assert without(told, "candidates", "plan", "first_shot", "cautions") == HEAD | {
        "schema": "tapewright.plan/1", "wanted_distance_yd": 70.0, "tolerance_in": 3.0,
        "butt_width_in": 24.0, "butt_height_in": 30.0, "most_arrows": 24,
        "trusted_distance_yd": 50.0, "band_in": 4.0, "left_out_yd": [90.0], "plan_arrows": 7,
        "farthest_hit_yd": 50.0, "next_step_to_yd": 75.0, "near_arrow_first": False,
        "past_butt_yd": None, "correction_share": 1.0, "windage_first": None, "slips": [],
        "first_arrow": {"distance_yd": 30.0, "low_in": -8.0, "high_in": 7.0},
        "hindrance": {"kind": "butt", "distance_yd": 40.0, "butt_width_in": 26.0,
                      "butt_height_in": 33.0},
        "spare_group": {"distance_yd": 55.0, "chance_on_butt": 0.995, "safe": True, "arrows": 6,
                        "band_in": 3.0, "trusted_distance_yd": 60.0},
        "gets_there": True, "walk_back_gets_there": True,
        "walk_back": [{"distance_yd": 40.0, "chance_on_butt": 0.97, "safe": True, "arrows": 3}],
    }  # fmt: skip
    assert told["candidates"][1] == {
        "distance_yd": 60.0, "chance_on_butt": 0.71, "safe": False,
        "groups": [{"arrows": 3, "band_in": 2.5, "trusted_distance_yd": 0.0},
                   {"arrows": 4, "band_in": 2.299, "trusted_distance_yd": 70.0}],
    }  # fmt: skip
    assert told["plan"][0] == {
        "distance_yd": 30.0, "chance_on_butt": 0.98, "safe": True, "reading_mm": 21.11,
        "walk": False, "arrows": 4, "band_in": 3.299, "trusted_distance_yd": 55.0,
    }  # fmt: skip
    assert told["first_shot"] == {
        "distance_yd": 70.0, "reading_mm": 41.2, "low_in": -10.0, "high_in": 15.0,
        "butt_height_95_in": 28.0, "butt_height_99_in": 36.0, "chance_on_butt": 0.93,
        "safe": True,
    }  # fmt: skip


def test_a_plan_before_the_first_arrow_puts_no_reading_into_anybodys_mouth():
    one = plan(is_set_by_eye=True, ladder=Ladder(0.0), is_walk=lambda _: True)
    one.answer = SimpleNamespace(**vars(quiet_answer()) | {"is_earned": False})
    one.order.most_arrows = 24
    one.order.wish.probability = 0.9
    one.order.wish.butt = SimpleNamespace(width_m=0.6096, height_m=0.762)
    one.first.distance_m = 64.008
    one.hindrance = Hindrance("reach")
    told = plan_json(one, IMPERIAL)
    assert told["trusted_distance_yd"] is None
    assert (told["farthest_hit_yd"], told["next_step_to_yd"]) == (None, 10.0)
    assert told["first_arrow"] == {"distance_yd": 30.0, "low_in": None, "high_in": None}
    assert [(row["reading_mm"], row["walk"]) for row in told["plan"]] == [(None, True)] * 2
    assert told["first_shot"]["reading_mm"] is None
    assert told["past_butt_yd"] is None
    one.ladder = Ladder(27.432, 0.0, 41.148, 1)
    one.share = 0.25
    again = plan_json(one, IMPERIAL)
    assert (again["past_butt_yd"], again["correction_share"]) == (45.0, 0.25)
    assert again["next_step_to_yd"] == 30.0
    one.windage_rad, one.pin_right_m, one.right_clicks = -0.0074, -0.0062, -31
    # 0.0074 of 30 yd
    assert plan_json(one, IMPERIAL)["windage_first"] == {
        "right_in": -7.992, "pin_right_mm": -6.2, "right_clicks": -31,
    }  # fmt: skip
    assert told["hindrance"] == {
        "kind": "reach", "distance_yd": None, "butt_width_in": None, "butt_height_in": None,
    }  # fmt: skip
    one.steps, one.readings_m, one.windage_rad = (), (), 0.0
    assert plan_json(one, IMPERIAL)["first_arrow"] is None


def test_trust_is_told_only_when_hits_earned_it():
    answer = quiet_answer()
    answer.trusted_m, answer.once_zeroed_m = (36.576, 27.432), (54.864, 45.72)
    assert trust_json(answer, "yd") == {
        "trusted_distance_yd": 40.0,
        "once_zeroed_distance_yd": 60.0,
    }
    assert trust_json(answer, "m", 2, "old_") == {
        "old_trusted_distance_m": 27.432, "old_once_zeroed_distance_m": 45.72,
    }  # fmt: skip
    answer.is_earned = False
    assert trust_json(answer, "yd", 2) == {
        "trusted_distance_yd": None, "once_zeroed_distance_yd": 50.0,
    }  # fmt: skip


def test_limits():
    found = limits_found(HOUSING, HOUSING, FAR_END)
    found.answer.fingerprint, found.answer.bands = "abc123", SimpleNamespace(probability=0.9)
    told = LIMITS.write(found, IMPERIAL)
    assert told["limits"] == [
        {"kind": "housing", "reading_mm": 42.1, "low_mm": 40.2, "high_mm": 44.4, "role": "binds"},
        {"kind": "far end", "reading_mm": 60.0, "low_mm": 60.0, "high_mm": 60.0, "role": "beyond"},
    ]
    assert told["pins"][0] == {
        "pin": 1, "nearest_yd": 5.0, "nearest_low_yd": 4.37, "nearest_high_yd": 5.47,
        "farthest_yd": 95.0, "farthest_low_yd": 90.0, "farthest_high_yd": 100.0,
        "reaches_farther": False,
    }  # fmt: skip
    assert told["pins"][1]["reaches_farther"] is True
    assert told["travel_left"][1] == {
        "distance_yd": 100.0,
        "pins": [{"pin": 1, "left_mm": -1.1, "low_mm": -3.1},
                 {"pin": 2, "left_mm": -0.2, "low_mm": -1.9}],
    }  # fmt: skip


def test_tilts():
    misses = SimpleNamespace(**vars(MISSES), cant_up_m=np.array([-0.0025, -0.0127]))
    found = SimpleNamespace(answer=quiet_answer(), tilts=TILTS, misses=misses, test=None)
    told = LEVEL.write(found, IMPERIAL)
    assert without(told, "misses", "cautions") == HEAD | {
        "schema": "tapewright.level/1", "cant_deg": 1.0, "third_axis_deg": 2.0,
        "travel_axis_deg": 0.5, "peep_mm": 1.5, "slope_deg": 20.0, "zeroed_yd": 20.0,
    }  # fmt: skip
    assert told["misses"][1] == {
        "distance_yd": 60.0, "cant_right_in": 1.0, "cant_up_in": -0.5,
        "constant_cant_right_in": 0.5, "third_axis_uphill_right_in": -2.0,
        "third_axis_downhill_right_in": 3.0, "travel_axis_right_in": -0.7008, "peep_in": 4.0,
    }  # fmt: skip


def test_a_budget():
    shares = tuple(
        SimpleNamespace(name=name, right_m=0.0254, up_m=0.0508, saved=0.51)
        for name in ("dispersion", "distance", "together")
    )
    found = SimpleNamespace(answer=quiet_answer(), distance_m=54.864, shares=shares)
    told = BUDGET.write(found, METRIC)
    assert told["distance_m"] == 54.864
    assert told["errors"][0] == {
        "error": "dispersion", "right_cm": 2.54, "up_cm": 5.08, "share": 0.51,
    }  # fmt: skip

"""Where to bolt, told from numbers written by hand; what is typed reaches the service."""

from types import SimpleNamespace

import pytest
from written_out import IMPERIAL, METRIC

from tapewright.confidence.bolting import Mounting, MountingReach, Seen
from tapewright.confidence.limits import Reach
from tapewright.ground.errors import BadInput
from tapewright.questions import bolt
from tapewright.questions.bolt import QUESTION as BOLT
from tapewright.questions.question import Said
from tapewright.services.choose_mounting import FoundMountings
from tapewright.words.answer_blocks import Mind, Table

YD = 0.9144
LOOK = (
    "Look along the arrow only on a range, an arrow nocked and pointed at a near butt with a safe "
    "stop behind it, nobody in front of the bow; let the string down slowly. Never draw without an "
    "arrow."
)
ANEW = (
    "Bolted elsewhere, every mark is another: take the old tape off, shoot one near arrow from 10 "
    "yd (9 m) or nearer first, then new groups on a new sheet."
)


def yards(*three):
    return tuple(YD * one for one in three)


def reach(mounting, near, far, chance, *pins):
    told = tuple(
        Reach(at, yards(*ends[0]), yards(*ends[1]), 120.0) for at, ends in enumerate(pins, 1)
    )
    return MountingReach(mounting, told, yards(*near), yards(*far), chance, 120.0)


FIRST = ((15, 12, 18), (71, 65, 78))
BEST = reach(
    Mounting(2, 4, 1, 0.01, 0.05), (15, 12, 18), (85, 80, 91), 0.93, FIRST,
    ((20, 17, 24), (85, 80, 91)), ((22, 19, 26), (84, 79, 90)),
)  # fmt: skip
NOW = reach(Mounting(1, 2, 1), (22, 20, 25), (131.234, 120, 131.234), 0.31, FIRST)
NONE = reach(Mounting(3, 4, 1, 0.02, 0.05), (0, 0, 0), (0, 0, 0), 0.0, ((0, 0, 0), (0, 0, 0)))


def found(quiet, *ranked, seen=None, now=NOW.mounting, **sight):
    told = {"reading_per_travel": None, "housing_below_pin_m": 0.02, "clearance_reading_m": None}
    quiet.rig.sight = SimpleNamespace(**told | sight)
    return FoundMountings(quiet, yards(20, 80), ranked, now, seen)


def test_the_best_is_told_first_with_bands_and_pins(quiet):
    said, wanted, pins, table, by_pin, *cautions = BOLT.tell(found(quiet, BEST, NOW), IMPERIAL)
    assert said == (
        "Hole 2, extension 4: from 15 to 85 yd (near end 12 to 18, far end 80 to 91 yd, each 90 "
        "times in a hundred)."
    )
    assert wanted == "All of 20 yd to 80 yd lies inside with a chance of 93 %."
    assert pins == "Pin 1 takes 15 to 71 yd; pin 2 goes on to 85 yd; pin 3 adds nothing."
    assert table == Table(
        "Where it can be bolted, the best first",
        ("hole", "extension", "from yd", "to yd", "bands yd", "holds what is wanted"),
        (
            ("2", "4", "15", "85", "12 to 18; 80 to 91", "93 %"),
            ("1", "2", "22", "131 or more", "20 to 25; 120 to 131 or more", "31 %"),
        ),
        frozenset({1}),
    )
    assert by_pin.heads == ("pin", "from yd", "to yd", "bands yd")
    assert by_pin.rows[1] == ("2", "20", "85", "17 to 24; 80 to 91")
    assert cautions[0] == Mind(ANEW)
    assert cautions[1].text == "The sight radius changes by 50.0 mm: write it into the sheet."
    assert "a vane that touches the housing" in cautions[2].text


def test_what_was_seen_along_the_arrow_keeps_its_caution(quiet):
    seen = Seen(0.031, 4.572, 4e-3)
    one = found(quiet, NOW, seen=seen, housing_below_pin_m=None)
    said, wanted, table, *cautions = BOLT.tell(one, METRIC)
    assert said.startswith("As it is bolted now: from 20 to 120 m or more (near end 18 to 23, ")
    assert "far end 110 to 120 m or more, each" in said
    assert wanted.endswith("a chance of 31 %: no way to bolt it does better.")
    assert table.heads[0] == "bolted"
    assert table.rows[0][0] == "now"
    assert cautions[0] == Mind(LOOK)
    assert "reading_per_travel first" in cautions[1].text
    assert "measure clearance_reading" in cautions[2].text
    measured = found(quiet, NOW, seen=seen, reading_per_travel=1.6)
    assert not any("per pin travel" in one.text for one in BOLT.tell(measured, METRIC)[3:])


def test_nothing_reached_is_said_as_such(quiet):
    said, _, table, *_ = BOLT.tell(found(quiet, NONE, NOW), IMPERIAL)
    assert said == (
        "Hole 3, extension 4: no distance is reached; the sight stands too high or too low."
    )
    assert table.rows[0][2:4] == ("none", "none")


def test_housings_are_told_by_their_size(quiet):
    tall = reach(Mounting(1, 1, 2, below_pin_m=0.0265), (15, 12, 18), (85, 80, 91), 0.9, FIRST)
    small = reach(Mounting(1, 1, 1, below_pin_m=0.02), (15, 12, 18), (88, 83, 94), 0.8, FIRST)
    said, *rest = BOLT.tell(found(quiet, tall, small, now=tall.mounting), IMPERIAL)
    assert said.startswith("Housing 2 (26.5 mm below the pin): from 15 to 85 yd")
    assert Mind(ANEW) not in rest


def test_programs_get_the_same(quiet):
    sent = BOLT.write(found(quiet, BEST, NOW, seen=Seen(0.031, 4.572, 4e-3)), IMPERIAL)
    assert (sent["schema"], sent["wanted_from_yd"], sent["wanted_to_yd"]) == (
        "tapewright.bolt/1", 20.0, 80.0,
    )  # fmt: skip
    assert sent["is_seen_along_arrow"] is True
    first = sent["mountings"][0]
    pins = first.pop("pins")
    assert first == {
        "hole": 2, "extension": 4, "housing": 1, "up_mm": 10.0, "ahead_mm": 50.0,
        "nearest_yd": 15.0, "nearest_low_yd": 12.0, "nearest_high_yd": 18.0,
        "farthest_yd": 85.0, "farthest_low_yd": 80.0, "farthest_high_yd": 91.0, "chance": 0.93,
    }  # fmt: skip
    assert pins[0]["farthest_yd"] == 71.0
    assert sent["cautions"][0].startswith("Hole 2, extension 4")
    assert LOOK in sent["cautions"]


def asked(monkeypatch, **texts):
    """What the service is asked for."""
    heard = []
    monkeypatch.setattr(bolt, "choose_mounting", lambda *every: heard.append(every))
    BOLT.ask(None, Said(texts), IMPERIAL)
    return heard[0][1:]


def test_what_is_typed_is_counted_from_where_the_sight_is_now(monkeypatch):
    mountings, wanted_m, travel_m, seen = asked(
        monkeypatch, travel="80, 5 mm", wanted="15, 70 yd", holes="0, 10, 20 mm", hole="2",
        extensions="0,1 in",
        housings="20,26.5", seen="31.2 mm", seen_at="6 yd", seen_doubt="3 mrad",
    )  # fmt: skip
    assert wanted_m == pytest.approx((13.716, 64.008))
    assert travel_m == pytest.approx((0.005, 0.08))
    assert seen.reading_m == pytest.approx(0.0312)
    assert (seen.at_m, seen.sd_rad) == pytest.approx((5.4864, 3e-3))
    assert len(mountings) == 12
    assert mountings[0].up_m == pytest.approx(-0.01)
    last = mountings[-1]
    assert (last.hole, last.extension, last.housing) == (3, 2, 2)
    assert (last.up_m, last.ahead_m, last.below_pin_m) == pytest.approx((0.01, 0.0254, 0.0265))


def test_nothing_said_is_the_sight_as_it_is(monkeypatch):
    mountings, wanted_m, travel_m, seen = asked(monkeypatch)
    assert travel_m is None
    assert mountings == (Mounting(),)
    assert wanted_m == pytest.approx((18.288, 73.152))
    assert seen is None


@pytest.mark.parametrize(
    ("texts", "place", "mend"),
    [
        ({"wanted": "20 yd"}, "wanted", "20,80yd"),
        ({"wanted": "80,20yd"}, "wanted", "rising order"),
        ({"hole": "2"}, "hole", "all of them"),
        ({"holes": "0,10mm", "hole": "3"}, "hole", "all of them"),
        ({"holes": "0,9000 mm"}, "holes", "0, 10, 20 mm"),
        ({"holes": "0,1,2,3,4,5,6,7 mm", "extensions": "0,1,2,3,4,5,6,7 mm"}, "holes", "Leave out"),
        ({"travel": "85 mm"}, "travel", "both numbers"),
        ({"travel": "8, 8 mm"}, "travel", "both numbers"),
        ({"seen": "31 mm", "seen_at": "30 yd"}, "seen_at", "5 yd"),
    ],
)
def test_what_cannot_be_is_refused_with_its_mend(monkeypatch, texts, place, mend):
    with pytest.raises(BadInput) as refused:
        asked(monkeypatch, **texts)
    assert refused.value.place == place
    assert mend in refused.value.mend

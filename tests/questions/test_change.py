"""The question of a change, as any face puts it: what reaches the service, how it refuses."""

from dataclasses import replace

import pytest
from exact_units import YARD_M
from written_out import IMPERIAL, METRIC

from tapewright.calibration.rig import Belief
from tapewright.ground.errors import BadInput, OtherScale
from tapewright.questions.change import QUESTION as CHANGE
from tapewright.questions.change import Change, Ways
from tapewright.questions.question import Said, option

WAYS = Ways("plan it", "count them", "look there")


@pytest.fixture
def reached(monkeypatch):
    """What the service was given instead of being asked."""
    seen = {}

    def listen(old, rig, observations, trust_grid_m, butt, seed, **more):
        seen.update(
            more, old=old, rig=rig, observations=observations, grid_m=trust_grid_m, butt=butt,
            seed=seed,
        )  # fmt: skip
        return "changed"

    monkeypatch.setattr("tapewright.questions.change.change_rig", listen)
    return seen


@pytest.mark.parametrize(
    ("units", "unit_m", "last", "marks_m", "side_m"),
    [(IMPERIAL, YARD_M, 125, (9.144, 91.44), 0.9144), (METRIC, 1.0, 115, (10.0, 90.0), 0.9)],
)
def test_what_is_usual_reaches_the_service(answer, reached, units, unit_m, last, marks_m, side_m):
    found = CHANGE.ask(
        Change(answer, "new", ("shot",), WAYS, new_string=True, seed=7), Said({}), units
    )
    assert (found.rigs, found.ways) == ("changed", WAYS)
    assert (reached["rig"], reached["observations"], reached["seed"]) == ("new", ("shot",), 7)
    assert reached["new_string"] is True
    asked = reached["old"].bands.distance_m
    assert (asked[0], asked[-1]) == pytest.approx(marks_m)
    grid = reached["grid_m"]
    assert (grid[0], grid[-1]) == pytest.approx((9 * unit_m, last * unit_m))
    assert (reached["butt"].width_m, reached["butt"].height_m) == pytest.approx((side_m, side_m))
    assert reached["step_m"] == pytest.approx(5 * unit_m)


def test_a_butt_and_distances_are_as_they_are_said(answer, reached):
    CHANGE.ask(Change(answer, "new", (), WAYS),
               Said({"butt": "60 cm", "distances": "20,35 m"}), IMPERIAL)  # fmt: skip
    assert (reached["butt"].width_m, reached["butt"].height_m) == pytest.approx((0.6, 0.6))
    assert reached["old"].bands.distance_m == pytest.approx([20.0, 35.0])
    assert (reached["seed"], reached["new_string"]) == (1, False)


@pytest.mark.parametrize("place", [str, option, "the field {}".format])
def test_a_refusal_names_what_its_face_calls_it(answer, place):
    sight = replace(answer.rig.sight, reading_per_travel=Belief(2.0, 0.05))
    other = Change(answer, replace(answer.rig, sight=sight), (), WAYS)
    with pytest.raises(OtherScale, match="no old reading carries over") as refused:
        CHANGE.ask(other, Said({}, place), IMPERIAL)
    assert refused.value.place == place("new_rig")
    same = Change(answer, answer.rig, answer.observations, WAYS)
    with pytest.raises(BadInput, match="count already") as refused:
        CHANGE.ask(same, Said({}, place), IMPERIAL)
    assert refused.value.place == place("groups")
    with pytest.raises(BadInput, match="is too little") as refused:
        CHANGE.ask(same, Said({"butt": "4 cm"}, place), IMPERIAL)
    assert refused.value.place == place("butt")

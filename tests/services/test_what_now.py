"""The order of caution: of two things to do the surer one comes first."""

from dataclasses import replace
from types import SimpleNamespace as Namespace

import numpy as np
import pytest
from exact_units import YARD_M
from sessions import groups, rig, truth_near

from tapewright.services import what_now as room
from tapewright.services.calibrate import Caution, calibrate
from tapewright.services.stick_tape import Tape, Ticks
from tapewright.services.what_now import Done, TapeMiss, tape_miss, what_now

ODD = Caution("odd group", "2", (36.0, 0.1, 0.4))
STEP = Namespace(distance_m=36.0, arrows=3)
NEVER = object()


def check(name, distance_m, *, odd=False):
    return Namespace(name=name, distance_m=distance_m, is_odd=odd)


def standing(**more):
    """A calibration that nothing speaks against, with a tape that is right on its sight."""
    calm = {"stops": (), "questions": (), "slips": (), "cautions": (), "groups": (),
            "observations": (), "tape": Namespace(), "trusted_m": (50.0,)}  # fmt: skip
    return Namespace(**calm | more)


def plan_of(**more):
    """A plan that asks for nothing since all is trusted."""
    calm = {"steps": (), "hindrance": None, "is_trusted": True, "trusted_m": 50.0,
            "is_set_by_eye": False}  # fmt: skip
    return Namespace(**calm | more)


@pytest.fixture
def ask(monkeypatch):
    """What is next, of stand-ins for all that is asked."""

    def asked(answer, plan, done=None, verdict=None, *, gains=False, miss=None, order="an order"):
        plan.answer = answer
        monkeypatch.setattr(room, "planned", lambda _answer, _order: plan)
        monkeypatch.setattr(room, "gains_by_travel", lambda _answer: gains)
        monkeypatch.setattr(room, "tape_miss", lambda _answer: miss)
        found = what_now(answer, order, done or Done(is_kept=True), lambda: verdict or NEVER)
        return found.kind, found.instead, found.also

    return asked


def shot(*distances_m, proved=False):
    return tuple(Namespace(distance_m=one, proved=proved) for one in distances_m)


PROOF = shot(20.0, 40.0, 60.0)
RIGHT = Namespace(cause=None, may_accept=True)
UNSURE = Namespace(cause=None, may_accept=False)
WRONG = Namespace(cause=Namespace(name="zero"), may_accept=False)
AHEAD = {"steps": (STEP,), "is_trusted": False, "trusted_m": 30.0}
WAITS = Done(is_kept=True, printed_on="2026-11-25", is_fresh=True)


def test_each_step_comes_before_all_that_follow(ask):
    """From the most careful to the last: whoever takes one reason away meets the next."""
    wrong = {"stops": ("a stop",), "questions": ("bow.rest",), "slips": ("a slip",), "tape": None}
    wrong |= {"cautions": (ODD,), "groups": (check("2", 36.0, odd=True),)}
    plan = {"hindrance": Namespace(kind="misses")} | AHEAD
    seen = []
    for gone in ("stops", "questions", "slips"):
        seen.append(ask(standing(**wrong), plan_of(**plan), WAITS)[0])
        wrong[gone] = ()
    seen.append(ask(standing(**wrong), plan_of(**plan), WAITS)[0])
    plan["hindrance"] = None
    seen.append(ask(standing(**wrong), plan_of(**plan), WAITS)[0])
    wrong["cautions"] = ()
    by_eye = plan | {"is_set_by_eye": True}
    seen.append(ask(standing(**wrong), plan_of(**by_eye), WAITS, gains=True)[0])
    seen.append(ask(standing(**wrong), plan_of(**by_eye), gains=True)[0])
    seen.append(ask(standing(**wrong), plan_of(**by_eye))[0])
    seen.append(ask(standing(**wrong), plan_of())[0])
    on = standing()
    seen.append(ask(on, plan_of())[0])
    seen.append(ask(on, plan_of(), Done(is_kept=True, proof=PROOF), WRONG)[0])
    seen.append(ask(on, plan_of(), Done(is_kept=True, proof=PROOF), RIGHT)[0])
    whole = Done(is_kept=True, proof=PROOF, has_card=True)
    seen.append(ask(on, plan_of(), replace(whole, quiet_days=91), RIGHT)[0])
    seen.append(ask(on, plan_of(), replace(whole, quiet_days=90), RIGHT)[0])
    seen.append(ask(on, plan_of(), whole, RIGHT)[0])
    assert seen == ["stop", "tell", "slip", "cease", "check", "stick", "measure", "shoot", "tape",
                    "prove", "mend", "card", "season", "done", "done"]  # fmt: skip


def test_what_may_not_be_judged_is_never_planned(monkeypatch):
    monkeypatch.setattr(room, "planned", lambda *_: pytest.fail("a plan was made"))
    for more in ({"stops": ("a stop",)}, {"questions": ("bow.rest",)}):
        assert what_now(standing(**more), None, Done(), lambda: NEVER).plan is None


@pytest.mark.parametrize(
    ("later", "kind"),
    [
        ((), "check"),
        ((check("3", 38.9),), "shoot"),  # within a tenth of its distance
        ((check("3", 40.0),), "check"),
        ((check("3", 36.0, odd=True),), "check"),
    ],
)
def test_a_group_that_was_shot_again_and_fits_is_settled(ask, later, kind):
    groups = (check("1", 36.0), check("2", 36.0, odd=True), *later)
    answer = standing(cautions=(ODD,), groups=groups)
    assert ask(answer, plan_of(**AHEAD))[0] == kind


def test_what_does_not_fit_never_ends_the_shooting(ask):
    answer = standing(cautions=(ODD,), groups=(check("2", 36.0, odd=True),))
    assert ask(answer, plan_of(**AHEAD))[:2] == ("check", "shoot")
    assert ask(answer, plan_of(trusted_m=0.0, is_trusted=False))[:2] == ("check", None)
    sheet = standing(cautions=(Caution("sheet contradicted", "launch_speed", ()),))
    assert ask(sheet, plan_of(**AHEAD))[:2] == ("check", "shoot")


def test_beside_the_group_stand_what_saves_arrows_and_what_is_ready(ask):
    bare = standing(tape=None)
    older = Done(is_kept=True, printed_on="2026-11-25")
    assert ask(bare, plan_of(**AHEAD), gains=True)[2] == ("measure", "tape")
    assert ask(bare, plan_of(**AHEAD), older)[2] == ("stick",)
    assert ask(standing(), plan_of(), WAITS, gains=True)[2] == ()  # all is trusted: it buys nothing
    assert ask(bare, plan_of(**AHEAD | {"trusted_m": 0.0}))[2] == ()


def test_a_plan_that_ends_short_prints_what_is_trusted_and_nothing_else(ask):
    short = {"is_trusted": False, "hindrance": Namespace(kind="butt")}
    assert ask(standing(tape=None), plan_of(**short))[0] == "tape"
    assert ask(standing(tape=None), plan_of(**short | {"trusted_m": 0.0}))[0] == "butt"


def test_a_tape_that_has_grown_wrong_is_printed_before_it_is_proved(ask):
    assert ask(standing(), plan_of(), miss=TapeMiss(54.0, -0.05))[0] == "tape"


def test_a_proof_at_two_distances_goes_on(ask):
    few = Done(is_kept=True, proof=shot(20.0, 20.0, 40.0))
    assert ask(standing(), plan_of(), few)[0] == "prove"


def test_a_proof_of_which_nobody_can_tell_yet_is_none(ask):
    whole = Done(is_kept=True, proof=PROOF)
    assert ask(standing(), plan_of(), whole, UNSURE)[0] == "prove"
    assert ask(standing(), plan_of(), whole, RIGHT)[0] == "card"


def test_a_proof_that_was_taken_in_is_one_unless_it_was_of_another_bow(ask):
    taken = Done(is_kept=True, is_proved=True, has_card=True)
    assert ask(standing(), plan_of(), taken)[0] == "done"
    usual = standing(
        cautions=(Caution("two bows", "zero", (0.4,)),), observations=shot(20.0, proved=True)
    )
    assert ask(usual, plan_of(), Done())[0] == "done"  # as most sound bows with a sound tape
    other = standing(cautions=(Caution("two bows", "zero", (0.6,)),))
    assert ask(other, plan_of(), taken)[0] == "prove"
    whole = replace(taken, proof=PROOF)  # its arrows count: a verdict on them is refused
    assert ask(other, plan_of(), whole, WRONG)[0] == "prove"
    of_files = standing(observations=shot(20.0, proved=True))
    assert ask(of_files, plan_of(), Done()) == ("done", None, ("card",))  # they know of none
    assert ask(of_files, plan_of(), Done(is_kept=True))[0] == "prove"


def test_what_follows_leads_on_and_ends():
    def after(kind):
        return room.NextStep(kind, standing(tape=None), Done()).after

    assert after("tell") == ("shoot", "tape", "stick", "prove", "card")
    assert after("tape") == ("stick", "prove", "card")
    assert after("mend") == ("card",)
    assert after("done") == after("card") == after("season") == ()


@pytest.fixture(scope="module")
def shot_in():
    sheet = rig()
    shots = groups(sheet, truth_near(sheet), (20, 40, 60, 70))
    at_m = np.arange(20, 71, 10) * YARD_M
    return calibrate(sheet, shots, at_m, np.arange(10, 91) * YARD_M)


def taped(answer, longer_mm):
    """The same with a tape of its own marks on, longer by so much from 20 to 70 yd."""
    marks = answer.bands
    share = (marks.distance_m - 18.288) / (64.008 - 18.288)
    ticks = Ticks(
        tuple(marks.distance_m.tolist()),
        tuple((marks.reading_m + 1e-3 * longer_mm * share).tolist()),
    )
    sight = replace(answer.rig.sight, tape=Tape("tape 1", "yd", (ticks,)))
    return replace(answer, rig=replace(answer.rig, sight=sight))


@pytest.mark.parametrize(
    ("longer_mm", "at_yd", "way"), [(0.0, None, 0), (0.9, 70, 1), (-0.9, 70, -1), (0.1, None, 0)]
)
def test_a_tape_whose_far_ticks_stand_wrong_is_named_with_its_miss(shot_in, longer_mm, at_yd, way):
    """0.9 mm at 70 yd: the pin goes by 0.56 mm at 0.84 m from the eye, the arrow by 4.3 cm."""
    found = tape_miss(taped(shot_in, longer_mm))
    if at_yd is None:
        assert found is None
    else:
        assert found.distance_m == pytest.approx(at_yd * 0.9144)
        assert found.up_m * way == pytest.approx(0.043, rel=0.15)


def test_what_lies_past_the_farthest_distance_that_is_shot_asks_for_no_other_tape(shot_in):
    on = taped(shot_in, 0.9)
    near = replace(on.rig.archer, farthest_m=30 * YARD_M)
    assert tape_miss(replace(on, rig=replace(on.rig, archer=near))) is None


def test_without_a_tape_none_is_wrong(shot_in):
    assert tape_miss(shot_in) is None

"""Changes, told from numbers written by hand: each table by its whole cells."""

from types import SimpleNamespace

import pytest
from told_by_hand import banded_marks
from written_out import IMPERIAL, METRIC

from tapewright.questions.change import QUESTION as CHANGE
from tapewright.questions.change import Carried, Ways
from tapewright.words.answer_blocks import Mind, Table

SAFE = (
    "Shoot only at a safe stop with clear ground behind it; a first far arrow needs a larger butt."
)
WAYS = Ways(
    "see tapewright plan",
    "write them down and run this again with the new file of shots",
    "is the second one the copy in which you wrote the change?",
)


def change_blocks(found, units):
    return CHANGE.tell(Carried(found, WAYS), units)


def changed(quiet, **more):
    quiet.bands = banded_marks()
    quiet.rig.name = "Heron"
    new = SimpleNamespace(
        tape=None,
        bands=banded_marks(-0.0011, 1.4), trusted_m=(36.576, 27.432), cautions=(),
        once_zeroed_m=(41.148, 32.004), is_earned=True, slips=(), doubt=SimpleNamespace(without=()),
        posterior=SimpleNamespace(is_set_by_eye=False),
        limits=SimpleNamespace(far=None),
        rig=SimpleNamespace(
            name="Heron 2",
            bow=SimpleNamespace(kind=None),
            sight=SimpleNamespace(elevation_click_m=None),
            house=None,
            arrow=SimpleNamespace(point="field"),
        ),
    )  # fmt: skip
    return SimpleNamespace(**{
        "old": quiet, "new": new, "differs": True, "is_restored": False, "to_broadheads": False,
        "gets_there": True,
        "wanted_m": 54.864,
        "steps": (SimpleNamespace(arrows=3, distance_m=36.576, trusted_m=45.72),
                  SimpleNamespace(arrows=5, distance_m=54.864, trusted_m=54.864)),
        "readings_m": (0.02513, 0.03902), "half_bands_m": (0.0003, 0.0009),
    } | more)  # fmt: skip


@pytest.fixture
def no_further_pins(monkeypatch):
    monkeypatch.setattr("tapewright.questions.change.further_pins", lambda _: ())


@pytest.mark.usefixtures("no_further_pins")
def test_a_change_stands_before_and_after(quiet):
    name, table, trust, confirm, pin, light, press, safe = change_blocks(changed(quiet), IMPERIAL)
    assert name == "From Heron to Heron 2\n"
    assert table == Table(
        "Marks before and after",
        ("yd", "old mark mm", "± in", "new mark mm", "± in", "change mm"),
        (
            ("20", "16.0", "0.5", "14.9", "0.7", "−1.10"),
            ("70", "41.2", "2.5", "40.0", "3.5", "−1.10"),
        ),
    )
    assert trust == "Trusted before the change: 60 yd; now: 40 yd."
    assert confirm == (
        "To confirm shoot 3 arrows at 40 yd (dial 25.1 mm), then 5 arrows at 60 yd (dial 39.0 "
        "mm). After these you may expect to trust 60 yd again; write them down and run this again "
        "with the new file of shots."
    )
    assert pin == "Pin 2 is trusted to 30 yd."
    assert safe == Mind(SAFE)
    assert "dry" in light.text or "light" in light.text
    assert "technician" in press.text


@pytest.mark.usefixtures("no_further_pins")
@pytest.mark.parametrize(
    ("more", "words"),
    [
        ({"differs": False},
         ("The two sheets tell no difference that reaches a mark: is the second one the copy in "
         "which you wrote the change?")),
        ({"is_restored": True, "wanted_m": 36.576},
         "40 yd, as far as the sheet says you shoot, is trusted: no arrow is needed."),
        ({"is_restored": True}, "Nothing is lost, so no arrow has to be shot to win it back."),
        ({"steps": (), "readings_m": (), "half_bands_m": ()},
         "No safe group can be planned here: see tapewright plan."),
        ({"gets_there": False},
         ("Even 8 arrows would hardly restore 60 yd on this butt and for this tolerance: expect to "
         "trust 60 yd. Begin with 3 arrows at 40 yd (dial 25.1 mm), and see tapewright plan.")),
    ],
)  # fmt: skip
def test_what_buys_the_trust_back_is_told(quiet, more, words):
    assert change_blocks(changed(quiet, **more), IMPERIAL)[3] == words


@pytest.mark.usefixtures("no_further_pins")
def test_until_a_group_fits_a_changed_bow_is_trusted_nowhere(quiet):
    found = changed(quiet)
    found.new.is_earned, found.new.trusted_m = False, (0.0, 0.0)
    _, _, trust, _, pin, *_ = change_blocks(found, IMPERIAL)
    assert trust == (
        "Trusted before the change: 60 yd; now: nothing, until a group with the new set-up fits. "
        "The bands alone would carry 45 yd."
    )
    assert pin == "Pin 2 is trusted to no distance."


@pytest.mark.usefixtures("no_further_pins")
def test_what_was_never_trusted_is_not_trusted_again(quiet):
    quiet.trusted_m = (0.0, 0.0)
    assert change_blocks(changed(quiet), METRIC)[3] == (
        "To confirm shoot 3 arrows at 36.6 m (dial 25.1 mm), then 5 arrows at 54.9 m (dial "
        "39.0 mm). After these you may expect to trust 54.9 m; write them down and run this "
        "again with the new file of shots."
    )
    assert change_blocks(changed(quiet, gets_there=False), IMPERIAL)[3] == (
        "Even 8 arrows would hardly bring trust to 60 yd on this butt and for this tolerance: "
        "expect to trust 60 yd. Begin with 3 arrows at 40 yd (dial 25.1 mm), and see tapewright "
        "plan."
    )


@pytest.mark.usefixtures("no_further_pins")
def test_a_change_of_a_bow_that_was_never_shot_puts_no_reading_into_anybodys_mouth(quiet):
    quiet.trusted_m = (0.0, 0.0)
    found = changed(quiet)
    found.new.posterior.is_set_by_eye = True
    assert change_blocks(found, IMPERIAL)[3] == (
        "No arrow has hit with the old set-up, so no reading is known: see tapewright plan."
    )


@pytest.mark.usefixtures("no_further_pins")
@pytest.mark.parametrize(("more", "rest"), [(0, ""), (1, ", and 1 group more"),
                                            (2, ", and 2 groups more")])  # fmt: skip
def test_the_first_four_groups_are_told_and_the_rest_counted(quiet, more, rest):
    step = SimpleNamespace(arrows=2, distance_m=18.288, trusted_m=54.864)
    found = changed(
        quiet,
        steps=(step,) * (4 + more),
        readings_m=(0.0161,) * (4 + more),
        half_bands_m=(0.0004,) * (4 + more),
    )
    group = "2 arrows at 20 yd (dial 16.1 mm)"
    assert change_blocks(found, IMPERIAL)[3] == (
        f"To confirm shoot {', then '.join([group] * 4)}{rest}. After these you may expect to "
        "trust 60 yd again; write them down and run this again with the new file of shots."
    )


@pytest.mark.usefixtures("no_further_pins")
def test_no_mark_is_told_finer_than_its_sight_clicks(quiet):
    found = changed(quiet)
    quiet.rig.sight.elevation_click_m = 0.25e-3
    found.new.rig.sight.elevation_click_m = 0.5e-3
    rows = change_blocks(found, IMPERIAL)[1].rows
    # 41.2 and 40.1 mm, of which 0.2 mm are known
    assert [(row[1], row[3]) for row in rows] == [("16.00", "15.0"), ("41.25", "40.0")]


def test_a_new_pin_has_no_past(quiet, monkeypatch):
    pins = ((None, banded_marks(0.002)),)
    monkeypatch.setattr("tapewright.questions.change.further_pins", lambda _: pins)
    table = change_blocks(changed(quiet), IMPERIAL)[2]
    assert table.title == "Marks of pin 2 before and after"
    assert table.rows == (
        ("20", "–", "–", "18.0", "0.5", "–"),
        ("70", "–", "–", "43.2", "2.5", "–"),
    )


@pytest.mark.usefixtures("no_further_pins")
def test_programs_get_both_sides_of_a_change(quiet):
    found = changed(quiet)
    found.new.fingerprint, found.new.posterior.method = "def456", "carried"
    found.new.bands.probability = 0.8
    told = CHANGE.write(Carried(found, WAYS), IMPERIAL)
    old, new = (told.pop(name)[1] for name in ("old_marks", "marks"))
    assert (old["reading_mm"], old["impact_high_in"]) == (41.2, 2.039)
    assert (new["reading_mm"], new["impact_high_in"]) == (40.1, 2.855)
    assert SAFE in told.pop("cautions")
    assert told == {
        "schema": "tapewright.change/1", "rig": "Heron 2", "fingerprint": "def456", "band": 0.8,
        "old_rig": "Heron", "old_fingerprint": "abc123", "method": "carried",
        "old_trusted_distance_yd": 60.0, "old_once_zeroed_distance_yd": 60.0,
        "trusted_distance_yd": 40.0, "once_zeroed_distance_yd": 45.0, "pins": [],
        "confirm": [
            {"distance_yd": 40.0, "arrows": 3, "reading_mm": 25.13, "trusted_distance_yd": 50.0},
            {"distance_yd": 60.0, "arrows": 5, "reading_mm": 39.02, "trusted_distance_yd": 60.0},
        ],
        "confirm_arrows": 8, "gets_there": True, "calibrated_before": None,
    }  # fmt: skip
    found.new.posterior.is_set_by_eye = True
    told = CHANGE.write(Carried(found, WAYS), IMPERIAL)
    assert [step["reading_mm"] for step in told["confirm"]] == [None, None]


@pytest.mark.parametrize(
    ("restored", "enough", "gets_there"),
    [(True, False, True), (False, True, True), (False, False, False)],
)
@pytest.mark.usefixtures("no_further_pins")
def test_a_change_gets_there_when_nothing_is_lost_or_the_groups_are_enough(
    quiet, restored, enough, gets_there
):
    found = changed(quiet, is_restored=restored, gets_there=enough)
    found.new.fingerprint, found.new.posterior.method = "def456", "carried"
    assert CHANGE.write(Carried(found, WAYS), IMPERIAL)["gets_there"] is gets_there


def test_broadheads_are_trusted_by_none_and_the_question_is_named(quiet):
    found = changed(quiet, to_broadheads=True)
    found.new.is_earned, found.new.trusted_m, quiet.trusted_m = False, (0.0,), (54.864,)
    told = CHANGE.tell(Carried(found, WAYS), IMPERIAL)
    trust = next(one for one in told if isinstance(one, str) and "now:" in one)
    assert "now: nothing, until a group of these broadheads fits, and then no farther" in trust

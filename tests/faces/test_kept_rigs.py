"""What the notebook holds of a rig becomes what can be calibrated."""

import datetime as dt
from dataclasses import replace

import numpy as np
import pytest
from exact_units import GRAIN_KG, YARD_M
from sessions import groups, rig, truth_near
from written_out import IMPERIAL, METRIC

from tapewright.faces.kept_rigs import (
    calibration_of,
    keep_calibration,
    keep_next_shot,
    kept_answer,
    kept_rig,
    still_holds,
    way_back,
)
from tapewright.ground.errors import NotKept
from tapewright.reading.rig_sheet import new_rig_sheet
from tapewright.services.keep import (
    KeptChange,
    KeptGroup,
    KeptHouse,
    KeptRig,
    KeptSession,
    Write,
    kept_as,
    open_notebook,
)

NOW = dt.datetime(2026, 5, 1, 12, 0, tzinfo=dt.UTC)
LATER = NOW + dt.timedelta(days=1)
RIG, OLD, NEW, PROOF, CHANGE = (f"{number:020x}" for number in range(5))


def sheet(mass="420 gr"):
    return new_rig_sheet("Heron", hand="right", metric=False).replace("420 gr ± 40", mass)


@pytest.fixture
def notebook(tmp_path):
    kept = open_notebook(f"sqlite:///{tmp_path}/notebook.db")
    described = rig()
    shot = groups(described, truth_near(described))
    kept.save_all(
        [
            Write(RIG, KeptRig(sheet(), "Heron")),
            Write(OLD, KeptSession("2026-05-01", "sighting", "", 0), rig_id=RIG),
            Write(PROOF, KeptSession("2026-05-02", "proving", "", 0), rig_id=RIG),
            *(
                Write(f"{100 + place:020x}", KeptGroup(OLD, one, ""), rig_id=RIG)
                for place, one in enumerate(shot)
            ),
            Write(f"{200:020x}", KeptGroup(PROOF, shot[0], ""), rig_id=RIG),
        ],
        NOW,
    )
    yield kept
    kept.close()


def change(notebook, mass="380 gr", *, new_string=False):
    """Another arrow; what is shot after it stands in a session of its own."""
    notebook.save_all(
        [
            Write(RIG, KeptRig(sheet(mass), "Heron"), seen=1),
            Write(
                CHANGE,
                KeptChange(1, 1, 2, new_string=new_string, words="lighter arrow"),
                rig_id=RIG,
            ),
            Write(NEW, KeptSession("2026-05-03", "sighting", "", 1), rig_id=RIG),
        ],
        NOW,
    )


def test_proving_groups_prove_and_do_not_calibrate(notebook):
    (setup,) = kept_rig(notebook, RIG).setups
    assert len(setup.observations) == len(notebook.entries("group", RIG)) - 1


def test_a_proof_that_was_taken_in_calibrates_and_is_known_as_one(notebook):
    taken = KeptSession("2026-05-02", "sighting", "", 0, proved=True)
    notebook.save(PROOF, taken, seen=1, now=NOW)
    (setup,) = kept_rig(notebook, RIG).setups
    assert [one.proved for one in setup.observations] == [False] * 6 + [True]


def test_a_corrected_sheet_keeps_its_groups(notebook):
    notebook.save(RIG, KeptRig(sheet("421 gr"), "Heron"), seen=1, now=NOW)
    kept = kept_rig(notebook, RIG)
    assert len(kept.setups) == 1
    assert kept.rig.arrow.mass_kg.value == pytest.approx(421 * GRAIN_KG)
    assert kept.observations


def test_after_a_change_the_old_groups_belong_to_the_old_arrow(notebook):
    change(notebook, new_string=True)
    old, new = kept_rig(notebook, RIG).setups
    assert old.rig.arrow.mass_kg.value == pytest.approx(420 * GRAIN_KG)
    assert new.rig.arrow.mass_kg.value == pytest.approx(380 * GRAIN_KG)
    assert len(old.observations) > 0
    assert new.observations == ()
    assert new.new_string


def test_a_session_moved_to_another_set_up_is_another_rig_to_calibrate(notebook):
    change(notebook)
    before = kept_rig(notebook, RIG)
    session = notebook.entries("session", RIG)[0]
    moved = replace(kept_as(session, KeptSession), setup=1)
    notebook.save(session.id, moved, seen=session.number, now=NOW)
    after = kept_rig(notebook, RIG)
    assert after.sources == before.sources
    assert after != before
    assert (len(before.observations), len(after.observations)) == (0, 6)


def test_a_change_taken_back_joins_its_sessions_to_those_before(notebook):
    change(notebook)
    extra = kept_as(notebook.entries("group", RIG)[0], KeptGroup).observation
    notebook.add(KeptGroup(NEW, extra, ""), rig_id=RIG, now=LATER, entry_id=f"{300:020x}")
    notebook.withdraw(CHANGE, seen=1, now=NOW)
    (setup,) = kept_rig(notebook, RIG).setups
    assert len(setup.observations) == len(notebook.entries("group", RIG)) - 1
    assert setup.observations[-1] == replace(extra, date="2026-05-03")  # its session's day


def test_a_withdrawn_session_takes_its_groups_along(notebook):
    notebook.withdraw(OLD, seen=1, now=NOW)
    assert kept_rig(notebook, RIG).observations == ()


def test_a_carried_calibration_trusts_less_than_the_one_before(notebook):
    before = kept_answer(kept_rig(notebook, RIG), IMPERIAL)
    change(notebook)
    after = kept_answer(kept_rig(notebook, RIG), IMPERIAL)
    assert after.trusted_m[0] == 0.0  # nothing, until a group with the new set-up fits
    assert 0.0 < after.once_zeroed_m[0] < before.trusted_m[0]
    assert after.fingerprint != before.fingerprint


def test_a_sight_that_counts_otherwise_starts_afresh(notebook):
    text = sheet().replace('farther = "increases"', 'farther = "decreases"')
    notebook.save_all(
        [
            Write(RIG, KeptRig(text, "Heron"), seen=1),
            Write(CHANGE, KeptChange(1, 1, 2, new_string=False, words="another sight"), rig_id=RIG),
        ],
        NOW,
    )
    assert kept_answer(kept_rig(notebook, RIG), METRIC).posterior.method == "prior"


def test_a_calibration_is_kept_once_with_what_it_was_made_from(notebook):
    kept = kept_rig(notebook, RIG)
    answer = kept_answer(kept, IMPERIAL)
    for number in (400, 401):
        keep_calibration(notebook, RIG, kept, answer, f"{number:020x}", NOW)
    (entry,) = notebook.entries("calibration", RIG)
    assert set(notebook.entry(entry.id).sources) == set(kept.sources)
    body = calibration_of(answer)
    assert entry.body == body
    marks = np.array(body.marks)
    assert marks[0, 0] == pytest.approx(3 * YARD_M)
    assert (marks[:, 2] <= marks[:, 1]).all()
    assert (marks[:, 1] <= marks[:, 3]).all()


def test_an_entry_of_another_kind_is_no_rig(notebook):
    with pytest.raises(NotKept):
        kept_as(notebook.entry(OLD), KeptRig)


def test_a_bow_too_slow_for_far_marks_gets_near_ones(notebook):
    slow = sheet().replace('#launch_speed = "278 ft/s ± 3"', 'launch_speed = "105 ft/s ± 3"')
    notebook.withdraw(OLD, seen=1, now=NOW)
    notebook.save(RIG, KeptRig(slow, "Heron"), seen=1, now=NOW)
    answer = kept_answer(kept_rig(notebook, RIG), IMPERIAL)
    assert answer.bands.distance_m[-1] == pytest.approx(80 * YARD_M)


def answered():
    """The new sheet with what must be told before its first arrow."""
    told = sheet()
    for key in ("draw_weight", "draw_length", "rest", "length"):
        told = told.replace(f"#{key} =", f"{key} =")
    return told


def test_a_rig_never_shot_is_asked_before_it_is_told_what_to_shoot(notebook):
    notebook.withdraw(OLD, seen=1, now=NOW)
    kept = kept_rig(notebook, RIG)
    answer = kept_answer(kept, METRIC)
    entry = keep_calibration(notebook, RIG, kept, answer, f"{400:020x}", NOW, METRIC)
    keep_next_shot(notebook, entry, answer, LATER, METRIC)
    assert notebook.entry(entry.id).body.next_shot == "answer what the rig sheet must tell first"


def test_what_to_shoot_next_is_added_to_a_calibration_that_asks_for_something(notebook):
    notebook.withdraw(OLD, seen=1, now=NOW)
    notebook.save(RIG, KeptRig(answered(), "Heron"), seen=1, now=NOW)
    kept = kept_rig(notebook, RIG)
    answer = kept_answer(kept, METRIC)
    entry = keep_calibration(notebook, RIG, kept, answer, f"{400:020x}", NOW, METRIC)
    keep_next_shot(notebook, entry, answer, LATER, METRIC)
    planned = notebook.entry(entry.id)
    assert planned.body.next_shot == "9 m: 2 arrows"
    assert set(planned.sources) == set(kept.sources)
    assert notebook.newest("calibration", RIG) == planned


def test_a_calibration_that_asks_for_nothing_stays_as_it_is(notebook):
    kept = kept_rig(notebook, RIG)
    answer = kept_answer(kept, IMPERIAL)
    easy = replace(answer.rig.archer, tolerance_m=2.0)  # all that the tape shows is trusted
    answer = replace(answer, rig=replace(answer.rig, archer=easy))
    entry = keep_calibration(notebook, RIG, kept, answer, f"{400:020x}", NOW)
    keep_next_shot(notebook, entry, answer, LATER)
    assert notebook.entry(entry.id).number == 1


def test_marks_past_the_reach_of_an_arm_are_left_out_and_the_rest_is_kept(tmp_path):
    # an arm of 95 mm that stands level at a reading of -96.4 mm does not turn so far
    arm = '\n[sight]\narm_length = "95 mm"\narm_level_reading = "-96.4 mm"\n'
    bare = 'name = "Arm"\n[arrow]\nmass = "381 gr"\nshaft_diameter = "7.1 mm"\n'
    speed = '[bow]\nlaunch_speed = "74.5 m/s ± 1"\n'
    kept = open_notebook(f"sqlite:///{tmp_path}/arm.db")
    kept.add(KeptRig(bare + speed + arm, "Arm"), entry_id=RIG, now=NOW)
    answer = kept_answer(kept_rig(kept, RIG), IMPERIAL)
    marks = calibration_of(answer).marks
    assert len(marks) < len(answer.bands.distance_m)
    assert all(np.isfinite(marks).ravel())
    assert keep_calibration(kept, RIG, kept_rig(kept, RIG), answer, f"{9:020x}", NOW) is not None
    kept.close()


HOUSE = f"{900:020x}"
HOUSE_TEXT = 'name = "Reed"\n[[sight]]\nkind = "slider"\nreading_per_travel = "{} ± 0.010"\n'


def named(mass="420 gr"):
    """The sheet, its sight named and its reading per travel left open."""
    return sheet(mass).replace("[sight]\n", '[sight]\nkind = "Slider"\n')


def test_house_values_stand_in_and_are_among_what_a_calibration_is_made_from(notebook):
    notebook.save(RIG, KeptRig(named(), "Heron"), seen=1, now=NOW)
    before = kept_rig(notebook, RIG)
    assert before.rig.sight.reading_per_travel is None
    notebook.add(KeptHouse(HOUSE_TEXT.format("1.573"), "Reed"), entry_id=HOUSE, now=NOW)
    after = kept_rig(notebook, RIG)
    assert after.rig.sight.reading_per_travel.value == pytest.approx(1.573)
    assert {one.entry_id for one in after.sources} - {one.entry_id for one in before.sources} == {
        HOUSE
    }
    assert after != before


def test_a_rig_that_uses_no_house_value_does_not_hang_on_the_house(notebook):
    before = kept_rig(notebook, RIG)
    notebook.add(KeptHouse(HOUSE_TEXT.format("1.573"), "Reed"), entry_id=HOUSE, now=NOW)
    assert kept_rig(notebook, RIG) == before


def test_a_kept_answer_is_stale_once_a_house_value_changes_and_else_moves_on(notebook):
    notebook.save(RIG, KeptRig(named(), "Heron"), seen=1, now=NOW)
    notebook.add(KeptHouse(HOUSE_TEXT.format("1.573"), "Reed"), entry_id=HOUSE, now=NOW)
    kept = kept_rig(notebook, RIG)
    first = keep_calibration(notebook, RIG, kept, kept_answer(kept, IMPERIAL), f"{905:020x}", NOW)
    assert set(first.sources) == set(kept.sources)

    # another version that says the same of this sight: the same calibration, of these versions
    more = HOUSE_TEXT.format("1.573") + '[[archer]]\nkind = "b"\ndispersion = "1 mrad ± 0.2"\n'
    notebook.save(HOUSE, KeptHouse(more, "Reed"), seen=1, now=LATER)
    kept = kept_rig(notebook, RIG)
    assert still_holds(notebook, RIG, kept, IMPERIAL) is None
    answer = kept_answer(kept, IMPERIAL)
    assert keep_calibration(notebook, RIG, kept, answer, f"{910:020x}", LATER) is None
    (entry,) = notebook.entries("calibration", RIG)
    assert set(entry.sources) == set(kept.sources)

    notebook.save(HOUSE, KeptHouse(HOUSE_TEXT.format("1.60"), "Reed"), seen=2, now=LATER)
    kept = kept_rig(notebook, RIG)
    assert still_holds(notebook, RIG, kept, IMPERIAL) is None
    newer = keep_calibration(notebook, RIG, kept, kept_answer(kept, IMPERIAL), f"{911:020x}", LATER)
    assert newer.body.fingerprint != first.body.fingerprint


def back(notebook, **said):
    """The first arrow again, after the other one."""
    change(notebook)
    notebook.save_all(
        [
            Write(RIG, KeptRig(sheet(), "Heron"), seen=2),
            Write(
                f"{920:020x}",
                KeptChange(2, 2, 3, new_string=False, words="back") if not said
                else KeptChange(2, 2, 3, words="back", **said),
                rig_id=RIG,
            ),
        ],
        LATER,
    )  # fmt: skip


def test_a_change_that_leads_back_offers_the_calibration_of_then(notebook):
    was = kept_rig(notebook, RIG)
    before = kept_answer(was, IMPERIAL)
    back(notebook)
    number, kept = way_back(notebook, RIG)
    assert number == 0
    assert kept_answer(kept, IMPERIAL).fingerprint == before.fingerprint
    assert len(kept_rig(notebook, RIG).setups) == 3

    (last,) = [one for one in notebook.entries("change", RIG) if one.id != CHANGE]
    notebook.save(last.id, replace(last.body, back_to=0), seen=1, now=LATER)
    assert way_back(notebook, RIG) is None  # nothing is left to offer
    first, again = kept_rig(notebook, RIG).setups
    assert first.observations == was.observations
    assert again.observations == ()
    after = kept_answer(kept_rig(notebook, RIG), IMPERIAL)
    assert after.trusted_m[0] == 0.0  # until a group fits again
    assert after.ladder.needs_near_arrow
    width = after.bands.high_m - after.bands.low_m
    kept_width = before.bands.high_m - before.bands.low_m
    assert np.nanmax(np.abs(width / kept_width - 1.0)) < 1e-6


def test_a_new_string_or_another_arrow_leads_to_no_earlier_set_up(notebook):
    change(notebook)
    assert way_back(notebook, RIG) is None


def test_a_string_replaced_on_the_way_closes_the_way_back(notebook):
    back(notebook, new_string=True)
    assert way_back(notebook, RIG) is None


def test_going_back_to_a_set_up_whose_change_was_taken_back_carries_over_what_stands(notebook):
    back(notebook, new_string=False, back_to=1)
    assert len(kept_rig(notebook, RIG).setups) == 3
    notebook.withdraw(CHANGE, seen=1, now=LATER)
    assert len(kept_rig(notebook, RIG).setups) == 2

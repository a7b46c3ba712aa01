"""A calibration told from numbers written by hand: each table by its whole cells."""

from math import log10, nan
from types import SimpleNamespace

import numpy as np
import pytest
from written_out import IMPERIAL, METRIC

from tapewright.questions.fit import (
    drawn_words,
    fixed_table,
    groups_table,
    made_words,
    sheet_table,
    unknowns_table,
)
from tapewright.services.record_groups import Group, Impact
from tapewright.words.answer_blocks import More, Table
from tapewright.words.cautions import caution_words, past_limit_words
from tapewright.words.marks_table import marks_table
from tapewright.words.trust_sentences import shot_words, trust_words


def bands(**changes):
    """Marks at 10, 50, 60 and 70 yd; 0.031 m is past the limit of ``quiet``."""
    return SimpleNamespace(**{
        "distance_m": np.array([9.144, 45.72, 54.864, 64.008]),
        "reading_m": np.array([0.0111, 0.0222, 0.0302, 0.0399]),
        "low_m": np.array([0.0108, 0.0218, 0.0292, 0.0381]),
        "high_m": np.array([0.0113, 0.0227, 0.0312, 0.0419]),
        "impact_low_m": np.array([-0.0127, -0.0508, -0.0762, -0.127]),
        "impact_high_m": np.array([0.0, 0.0254, 0.0889, 0.1524]),
    } | changes)  # fmt: skip


def test_marks_stand_with_bands_and_stop_at_the_limit(quiet):
    assert marks_table(quiet, bands(), IMPERIAL, 2) == Table(
        "Marks of pin 2",
        ("distance yd", "mark mm", "band mm", "impact in"),
        (
            ("10", "11.10", "10.80 to 11.30", "−0.5 to 0.0"),
            ("50", "22.2", "21.8 to 22.7", "−2.0 to +1.0"),
            ("60", "30.2", "29.2 to 31.2", "−3.0 to +3.5"),
            ("70", "40.0", "past the limit:", "do not shoot"),
        ),
        frozenset({2, 3}),
    )
    first = marks_table(quiet, bands(), METRIC, 1)
    assert (first.title, first.faint) == ("Marks", frozenset({3}))
    assert first.heads == ("distance m", "mark mm", "band mm", "impact cm")


def test_marks_are_told_no_finer_than_a_click(quiet):
    quiet.rig.sight.elevation_click_m = 0.25e-3
    rows = marks_table(quiet, bands(), IMPERIAL, 1).rows
    assert [row[1:3] for row in rows[:3]] == [
        ("11.00", "10.75 to 11.25"),
        ("22.25", "21.75 to 22.75"),
        ("30.25", "29.25 to 31.25"),
    ]
    quiet.rig.sight.elevation_click_m = 0.1e-3
    assert [row[1] for row in marks_table(quiet, bands(), IMPERIAL, 1).rows[:3]] == [
        "11.1", "22.2", "30.2",
    ]  # fmt: skip


def test_an_arm_that_does_not_reach_is_said_to(quiet):
    short = bands(high_m=np.array([0.0113, nan, 0.0312, 0.0419]))
    assert marks_table(quiet, short, IMPERIAL, 1).rows[1] == (
        "50", "22.20", "the arm does", "not reach",
    )  # fmt: skip


def test_groups_stand_up_then_right(quiet):
    quiet.groups = (
        SimpleNamespace(name="a", distance_m=18.288, reading_m=0.016, arrows=5, miss_up_m=0.0508,
                        miss_right_m=-0.0762, surprise=log10(8.0), is_odd=False),
        SimpleNamespace(name="b", distance_m=54.864, reading_m=0.0401, arrows=4, miss_up_m=-0.1016,
                        miss_right_m=nan, surprise=log10(2500.0), is_odd=True),
    )  # fmt: skip
    assert groups_table(quiet, IMPERIAL) == Table(
        "Groups: centre against the fit",
        ("group", "yd", "reading mm", "arrows", "up in", "right in", "chance 1 in"),
        (
            ("a", "20", "16.00", "5", "2.00", "−3.00", "8"),
            ("b", "60", "40.10", "4", "−4.00", "–", "2500 odd"),
        ),
    )


def estimate(name, kind, median, low, high, learnt, sheet, alone):
    return SimpleNamespace(
        name=name, kind=kind, median=median, low=low, high=high, learnt=learnt, sheet=sheet,
        alone=alone, alone_sd=0.02 * median, sheet_low=0.9 * sheet, sheet_high=1.1 * sheet,
    )  # fmt: skip


def estimated(quiet):
    quiet.estimates = (
        estimate("launch_speed", "speed", 86.868, 86.2584, 87.7824, 0.84, 85.344, 87.1728),
        estimate("peep_height", "length", 0.1143, 0.1016, 0.1207, -0.1, 0.1168, None),
        estimate("zero_reading", "length", 0.0042, 0.0040, 0.0045, 0.97, 0.001, 0.0043),
        estimate("pin_2_below_first", "length", 0.0041, 0.0039, 0.0044, 0.5, 0.004, 0.0042),
        estimate("dispersion_up", "angle", 0.55e-3, 0.5e-3, 0.62e-3, 0.3, 0.67e-3, 0.53e-3),
        estimate("reading_per_travel", "number", 1.34, 1.3, 1.4, 0.6, 1.4, 1.33),
    )
    return quiet


def test_unknowns_stand_in_peoples_units(quiet):
    answer = estimated(quiet)
    answer.groups = ("some",)
    assert unknowns_table(answer, IMPERIAL) == Table(
        "Bow and archer",
        ("unknown", "value", "band", "unit", "from arrows"),
        (
            ("launch speed", "285.0", "283.0 to 288.0", "ft/s", "84 %"),
            ("peep height", "4.5", "4.0 to 4.8", "in", "0 %"),
            ("zero reading", "4.2", "4.0 to 4.5", "mm", "97 %"),
            ("pin 2 below first", "4.1", "3.9 to 4.4", "mm", "50 %"),
            ("dispersion up and down", "0.56", "0.50 to 0.62", "mrad", "30 %"),
            ("reading per pin travel", "1.34", "1.30 to 1.40", "", "60 %"),
        ),
        spare=frozenset({4}),
    )
    assert unknowns_table(answer, METRIC).rows[0][1:4] == ("86.8", "86.2 to 87.8", "m/s")
    assert unknowns_table(answer, METRIC).rows[1][1:4] == ("114", "102 to 120", "mm")


def test_sheet_arrows_and_both_stand_in_that_order(quiet):
    assert sheet_table(estimated(quiet), IMPERIAL) == Table(
        "Sheet against arrows",
        ("unknown", "sheet", "arrows alone", "both", "band", "from arrows"),
        (
            ("launch speed, ft/s", "280", "286", "285.0", "283.0 to 288.0", "–"),
            ("peep height, in", "4.6", "–", "4.5", "4.0 to 4.8", "–"),
            ("zero reading, mm", "1", "4.3", "4.2", "4.0 to 4.5", "–"),
            ("pin 2 below first, mm", "4", "4.2", "4.1", "3.9 to 4.4", "–"),
            ("dispersion up and down, mrad", "0.67", "0.53", "0.56", "0.50 to 0.62", "–"),
            ("reading per pin travel", "1.4", "1.33", "1.34", "1.30 to 1.40", "–"),
        ),
    )


def test_fixed_pins_stand_below_the_first():
    fixed = (SimpleNamespace(distance_m=27.432, below_m=0.0052, low_m=0.0049, high_m=0.0056),)
    assert fixed_table(fixed, IMPERIAL) == Table(
        "Fixed pins: mm below the first",
        ("pin for", "below", "band"),
        (("30 yd", "5.2", "4.9 to 5.6"),),
    )


def test_how_it_was_drawn_is_told(quiet):
    quiet.fingerprint = "abc123"
    evidence = SimpleNamespace(prior=SimpleNamespace(assumed=("drag 2.1", "brace height 6.5 in")))
    quiet.posterior = SimpleNamespace(
        method="importance sampling", effective_draws=4321.0, tail_shape=0.31,
        calibration=SimpleNamespace(evidence=evidence),
    )  # fmt: skip
    assert made_words(quiet) == (
        "Not on the sheet, usual values taken: drag 2.1; brace height 6.5 in.",
        "Calibration abc123.",
    )
    drawn = "Drawn by importance sampling: 4321 effective draws, tail shape 0.31."
    assert drawn_words(quiet) == More("how it was drawn", (drawn,))
    evidence.prior.assumed, quiet.posterior.tail_shape = (), nan
    assert made_words(quiet) == ("Calibration abc123.",)
    drawn = "Drawn by importance sampling: 4321 effective draws."
    assert drawn_words(quiet).blocks == (drawn,)


def trusted(quiet, method="importance sampling", odd=(), trusted_m=54.864, alone_m=54.864):
    """Groups at 50, 40 and 70 yd; none that fits is none that earns anything."""
    quiet.posterior = SimpleNamespace(method=method)
    quiet.trusted_m, quiet.once_zeroed_m = (trusted_m, 18.288), (alone_m, 27.432)
    quiet.groups = tuple(
        SimpleNamespace(is_odd=one, distance_m=distance_m)
        for one, distance_m in zip(odd, (45.72, 36.576, 64.008), strict=False)
    )
    quiet.is_earned = not all(odd)
    return trust_words(quiet, IMPERIAL)


MISSES = "misses by less than 3 in with 90 % chance."


def test_trust_is_told_with_what_speaks_against_it(quiet):
    up_to = f"Trusted to 60 yd: up to there a mark {MISSES} Pin 2 is trusted to 20 yd."
    assert trusted(quiet, odd=(False,)) == up_to
    assert "Pin 2" not in trusted(quiet, odd=(False,), trusted_m=18.288, alone_m=18.288)
    assert trusted(quiet, odd=(True, False, True)) == (
        f"{up_to} But 2 of 3 groups do not fit: see below."
    )
    assert trusted(quiet, odd=(False,), trusted_m=0.0, alone_m=0.0) == (
        "Not yet trusted at any distance: 90 % bands reach past a 3 in miss."
    )


def test_trust_lost_to_a_group_in_doubt_or_a_slip_says_so(quiet):
    quiet.doubt = SimpleNamespace(without=("one",))
    assert trusted(quiet, odd=(False,), trusted_m=0.0, alone_m=0.0) == (
        "Nothing is trusted: without a group that does not fit the marks would be others."
    )
    quiet.slips = ("one",)
    settled = "until something that seems to be written down wrongly is settled."
    assert trusted(quiet, odd=(True,)) == f"Trusted to 60 yd {settled}"
    assert trusted(quiet, odd=(True,), trusted_m=0.0) == f"Nothing is trusted {settled}"


def test_trust_that_no_hit_carries_is_told_with_what_would_carry_it(quiet):
    assert trusted(quiet, odd=(True, False, True), alone_m=73.152) == (
        f"Trusted to 60 yd: up to there a mark {MISSES} The bands alone would carry 80 yd; no "
        "group that fits hit past 40 yd. Pin 2 is trusted to 20 yd. But 2 of 3 groups do not fit: "
        "see below."
    )
    assert trusted(quiet, odd=(False, False, True), trusted_m=0.0, alone_m=73.152) == (
        "Nothing is trusted yet: the bands alone would carry 80 yd, but no group that fits hit "
        "past 50 yd. But 1 of 3 groups do not fit: see below."
    )


@pytest.mark.parametrize(
    ("method", "odd", "why"),
    [
        ("prior", (),
         "No arrow was shot yet, so nothing is trusted. Once 20 yd is zeroed, a mark up to"),
        ("carried", (),
         ("No arrow was shot since the change, so nothing is trusted. Once one near group fits, a "
         "mark up to")),
        ("importance sampling", (True, True),
         "No group fits, so nothing is trusted. If the bands are right, a mark up to"),
    ],
)  # fmt: skip
def test_without_a_hit_nothing_is_trusted(quiet, method, odd, why):
    assert trusted(quiet, method, odd, 0.0, 73.152) == f"{why} 80 yd {MISSES}"


@pytest.mark.parametrize(
    ("method", "never"),
    [("prior", "No broadhead was shot yet"), ("carried", "No arrow was shot since the change")],
)
def test_a_zero_brings_no_trust_to_broadheads(quiet, method, never):
    """What field points earn by one near group broadheads earn by their own hits alone."""
    quiet.rig.arrow.point = "broadhead"
    assert trusted(quiet, method, (), 0.0, 73.152) == (
        f"{never}, so nothing is trusted. Broadheads are trusted no farther than a group of them "
        f"that fits has hit. If the bands are right, a mark up to 80 yd {MISSES}"
    )


def test_what_must_not_be_shot_is_not_trusted(quiet):
    quiet.stops = (SimpleNamespace(kind="damaged"),)
    assert trusted(quiet, odd=(False,)) == "Nothing is trusted: this set-up must not be shot."


def test_what_was_shot_is_counted(quiet):
    mark = SimpleNamespace(group=Group("m", (Impact(0.0, 0.0, 3),)))
    shot = SimpleNamespace(group=Group("a", (Impact(0.01, 0.0, 4),)))
    past = SimpleNamespace(group=Group("p", (Impact(None, None, 2, missed=True),)))
    quiet.posterior = SimpleNamespace(method="importance sampling")
    quiet.observations = (mark, shot, shot)
    assert shot_words(quiet) == "2 groups, 8 arrows and 1 bare mark"
    quiet.observations = (mark, mark)
    assert shot_words(quiet) == "2 bare marks, no arrow written down"
    quiet.observations = (shot, past)
    assert shot_words(quiet) == "2 groups, 4 arrows"
    quiet.observations = (shot,)
    assert shot_words(quiet) == "1 group, 4 arrows"
    quiet.posterior.method = "carried"
    assert shot_words(quiet) == "Carried over a change, no arrow shot since"


@pytest.mark.parametrize(
    ("kind", "numbers", "words"),
    [
        ("no arrows", (),
         ("No arrow was shot yet: this is a starting strip. Readings count from 20 yd, and the "
         "bands say how far the rig sheet can be wrong once that distance is zeroed.")),
        ("carried", (),
         ("No arrow was shot since the change: the marks follow from the old arrows and from what "
         "such a change usually does. Confirm them before you trust them.")),
        ("few arrows", (3.0,),
         ("Only 3 arrows so far: the dispersion is mostly assumed. A second group at another "
         "distance buys the most.")),
        ("odd group", (54.864, 0.0254, -0.1016),
         ("Group c at 60 yd does not fit the others: it lies 4.00 in low and 1.00 in right of "
          "where "
         "they put it. Check its distance and reading, or shoot it again.")),
        ("odd group", (54.864, -0.1016, 0.005),
         ("Group c at 60 yd does not fit the others: it lies 4.00 in left of where they put it. "
         "Check the signs of right and left, whether the windage was moved, and the wind, or shoot "
         "it again.")),
        ("odd group", (54.864, 0.1016, nan),
         ("Group c at 60 yd does not fit the others: it lies 4.00 in right of where they put it. "
         "Check the signs of right and left, whether the windage was moved, and the wind, or shoot "
         "it again.")),
        ("unusual drag", (0.0051,),
         ("The drag of this arrow comes out at 0.0051 per metre, outside the usual 0.0008 to "
         "0.0040. Check arrow mass, shaft diameter and the far distances.")),
        ("second sampler", (1234.0,),
         ("The doubt has an unusual shape, so a slower way of drawing it was used (1234 distinct "
         "draws).")),
    ],
)  # fmt: skip
def test_cautions_are_whole_sentences(quiet, kind, numbers, words):
    caution = SimpleNamespace(kind=kind, numbers=numbers, subject="c")
    assert caution_words(caution, quiet, IMPERIAL) == words


def test_the_limit_is_told_with_its_reason(quiet):
    assert past_limit_words(quiet, IMPERIAL) == ""
    quiet.limits.far = SimpleNamespace(reading_m=0.0421, kind="far end")
    assert past_limit_words(quiet, IMPERIAL) == (
        "Do not set the sight past 42.1 mm: there the sight's travel ends."
    )
    quiet.posterior.is_set_by_eye = True  # then no number of the sight is known
    assert past_limit_words(quiet, IMPERIAL) == (
        "Do not set the sight past its 20 yd mark by 42.1 mm: there the sight's travel ends."
    )
    assert "past its 18.3 m mark by 42.1 mm" in past_limit_words(quiet, METRIC)

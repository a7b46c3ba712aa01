"""Limits, told from numbers written by hand: each table by its whole cells."""

from told_by_hand import FAR_END, HOUSING, MEASURED, limit, limits_found
from written_out import IMPERIAL, METRIC

from tapewright.confidence.limits import Reach
from tapewright.questions.limits import QUESTION, limit_cautions, reach_words, stop_words
from tapewright.words.answer_blocks import Mind, Table

DO_NOT = (
    "Do not shoot past the limit: a vane that touches the housing throws the arrow off its way."
)
COMPUTED = (
    "The housing's limit is computed with {margin} of air over the vane, and is no surer than the "
    "peep height. Look at the arrow under the housing, then write down clearance_reading."
)
WIN = (
    "A higher peep, a shorter housing or lower vanes win distance. Moving a peep means "
    "press work: that belongs to a qualified technician."
)


def test_limits_and_reaches_stand_in_three_tables():
    one = limits_found(HOUSING, HOUSING, MEASURED, FAR_END)
    stop, limits, reaches, left, *cautions = QUESTION.tell(one, IMPERIAL)
    assert stop == (
        "Heron: Do not set the sight past 42.1 mm: there the housing comes too near to the arrow "
        "(computed: measure it).\n"
    )
    assert limits == Table(
        "Limits of the reading",
        ("limit", "reading mm", "band mm", ""),
        (
            ("housing meets arrow, computed", "42.1", "40.0 to 44.5", "stops"),
            ("housing meets arrow, measured", "40.9", "–", "overruled"),
            ("end of travel, far", "60.0", "–", "not reached"),
        ),
    )
    assert reaches == Table(
        "Distances each pin reaches",
        ("pin", "nearest yd", "farthest yd", "band yd"),
        (("1", "5", "95", "90 to 100"), ("2", "7", "131 or more", "120 to 131 or more")),
    )
    assert left == Table(
        "Pin travel left, mm (low end of its band)",
        ("distance yd", "pin 1", "pin 2"),
        (("20", "21.2 (20.0)", "25.5 (24.0)"), ("100", "−1.0 (−3.0)", "0.0 (−2.0)")),
        frozenset({1}),
    )
    assert cautions == [Mind(DO_NOT), Mind("Vanes are taken to be 0.50 in high."), Mind(WIN)]


def test_what_stops_the_sight_is_told_by_kind():
    for kind, words in [
        ("housing", "there the housing comes too near to the arrow (computed: measure it)"),
        ("measured clearance", "there the housing meets the arrow"),
        ("far end", "there the sight's travel ends"),
    ]:
        told = stop_words(limits_found(limit(kind, 0.0421, 0.04, 0.044, "binds")), IMPERIAL)
        assert told == f"Do not set the sight past 42.1 mm: {words}."
    assert stop_words(limits_found(None), IMPERIAL) == (
        "Nothing on the sheet tells how far down the sight may go. Measure the reading at which "
        "the housing just clears an arrow (clearance_reading), and travel_ends."
    )


def test_without_a_peep_the_anchor_wins_distance():
    told = limit_cautions(limits_found(HOUSING, HOUSING, assumed=False, kind="recurve"), METRIC)
    assert told[1:] == (
        COMPUTED.format(margin="6.0 mm").replace("peep height", "eye height"),
        "A lower anchor, a shorter housing or lower vanes win distance.",
    )


def test_every_limit_has_its_cautions():
    told = limit_cautions(limits_found(HOUSING, HOUSING, assumed=False), METRIC)
    assert told == (DO_NOT, COMPUTED.format(margin="6.0 mm"), WIN)
    told = limit_cautions(
        limits_found(HOUSING, HOUSING, assumed=False, arrow_margin_m=0.0081), METRIC
    )
    assert told[1] == COMPUTED.format(margin="8.1 mm")
    told = limit_cautions(limits_found(FAR_END, FAR_END, by_eye=True, assumed=False), METRIC)
    assert told == (
        DO_NOT,
        "No arrow was shot yet, so readings are counted from a near mark.",
    )
    for more in ({"travel_ends_m": (0.0, 0.06)}, {"clearance_reading_m": 0.04}):
        told = limit_cautions(
            limits_found(FAR_END, FAR_END, by_eye=True, assumed=False, **more), METRIC
        )
        assert told[1] == (
            "No arrow was shot yet, so readings are counted from a near mark and the readings "
            "measured on the sight cannot be used."
        )


def test_a_reach_beyond_what_was_looked_for_says_so():
    reach = Reach(1, (2.5, 2.5, 2.5), (120.0, 100.584, 120.0), 120.0)
    assert reach_words(reach, 120.0, IMPERIAL) == "131 or more"
    assert reach_words(reach, 100.584, IMPERIAL) == "110"
    assert reach_words(reach, 0.0, IMPERIAL) == "none"

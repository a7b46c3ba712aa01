"""Cards and two rigs side by side, told from numbers written by hand: tables by whole cells."""

from types import SimpleNamespace

import numpy as np
from told_by_hand import banded_marks, card_made
from written_out import IMPERIAL

from tapewright.questions.card import QUESTION as CARD
from tapewright.questions.card import card_csv
from tapewright.questions.compare import QUESTION as COMPARE
from tapewright.words.answer_blocks import Mind, Table

card_blocks, comparison_blocks = CARD.tell, COMPARE.tell

SAFE = (
    "Shoot only at a safe stop with clear ground behind it; a first far arrow needs a larger butt."
)
BOUNDS = "Distances to people and boundaries: club's and national body's rules, and local law."


def test_a_card_stands_in_two_tables(quiet):
    trust, front, flight, close, how, drift, energy, *cautions = card_blocks(
        card_made(quiet), IMPERIAL
    )
    assert trust == "Heron, pin 2: Pin 2 is trusted to 50 yd.\n"
    assert front == Table(
        "Marks, and how far each serves; ≈ is a guess past 50 yd",
        ("yd", "mark mm", "± mm", "± in", "from yd", "to yd", "nearer yd", "farther yd"),
        (
            ("20", "16.0", "0.3", "0.5", "17.0", "22.0", "3.0", "2.0"),
            ("70", "≈41", "0.8", "2.5", "–", "72.0", "2.5", "1.5"),
        ),
        frozenset({1}),
    )
    # 60 ft·lbf are 81.349 J, 0.45 slug·ft/s 2.0017 N·s, a mile an hour 0.44704 m/s
    assert flight == Table(
        "Flight: at the target",
        ("yd", "time s", "speed ft/s", "energy ft·lbf", "momentum slug·ft/s", "drift in per mph"),
        (
            ("20", "0.2230 ±0.0020", "270.0 ±2.0", "60.0 ±1.4", "0.450 ±0.020", "0.040 ±0.020"),
            ("70", "0.820 ±0.008", "250.0 ±0.6", "51.0 ±1.2", "0.400 ±0.020", "0.50 ±0.08"),
        ),
    )
    assert close == Table(
        "Close marks", ("yd", "mark mm", "± mm", "as far as yd"), (("3", "18.7", "0.5", "29.0"),)
    )
    assert how == (
        "± is half of the 90 % band. From and to: the nearest and farthest target that the mark "
        "still hits within 2.5 in; nearer and farther: by how much the distance may be wrong "
        "before the miss exceeds that."
    )
    assert drift == (
        "Drift is for a crosswind of 1 mph; hold off against the wind. Nearer than 9 yd marks run "
        "back."
    )
    assert energy == "Energy in ft·lbf with standard gravity: grains × (ft/s)² / 450,436.7."
    assert cautions[:2] == [Mind(SAFE), Mind(BOUNDS)]
    assert len(cautions) == 4


def test_programs_get_a_card_with_more_digits_and_no_number_that_json_cannot_hold(quiet):
    card = card_made(quiet)
    card.flight.twin_m = np.array([9.9, np.nan])
    card.flight.hold_near_m[0], card.flight.hold_far_m[0] = 15.6, 20.3
    card.flight.early_m[0], card.flight.late_m[0] = 2.7, 1.9
    told = CARD.write(card, IMPERIAL)
    near, far = told.pop("card")
    assert near == {
        "distance_yd": 20.0, "reading_mm": 16.0, "low_mm": 15.7, "high_mm": 16.3,
        "impact_low_in": -0.5, "impact_high_in": 0.5,
        "time_s": 0.223, "time_low_s": 0.221, "time_high_s": 0.225,
        "speed_ftps": 270.0, "speed_low_ftps": 268.0, "speed_high_ftps": 272.0,
        "energy_ftlbf": 60.0, "energy_low_ftlbf": 59.005, "energy_high_ftlbf": 61.955,
        "momentum_slugftps": 0.45, "momentum_low_slugftps": 0.42714,
        "momentum_high_slugftps": 0.4721,
        "drift_in_per_mph": 0.04, "drift_low_in_per_mph": 0.0176, "drift_high_in_per_mph": 0.0528,
        "from_yd": 17.06, "to_yd": 22.2, "nearer_yd": 2.95, "farther_yd": 2.08,
        "same_mark_yd": 10.83,
    }  # fmt: skip
    assert list(near) == list(far)
    assert (far["from_yd"], far["same_mark_yd"]) == (None, None)
    (close,) = told.pop("close")
    assert close == {
        "distance_yd": 3.0, "reading_mm": 18.7, "low_mm": 18.2, "high_mm": 19.2,
        "impact_low_in": -0.5, "impact_high_in": 0.402, "same_mark_yd": 29.0,
    }  # fmt: skip
    assert SAFE in told.pop("cautions")
    assert told == {
        "schema": "tapewright.card/1", "rig": "Heron", "fingerprint": "abc123", "band": 0.9,
        "pin": 2, "radius_in": 2.5, "turning_distance_yd": 9.0, "trusted_distance_yd": 50.0,
        "once_zeroed_distance_yd": 50.0,
    }  # fmt: skip
    header, first, second = card_csv(card, IMPERIAL).splitlines()
    assert header == ",".join(near)
    assert first.startswith("20.0,16.0,15.7,16.3,-0.5,0.5,0.223,")
    assert second.endswith(",72.0,2.5,1.5,")  # no other distance has this mark


def test_a_mark_without_a_band_is_told_no_finer_than_anybody_sets_it(quiet):
    card = card_made(quiet)
    card.marks.low_m = card.marks.high_m = card.marks.reading_m
    front = card_blocks(card, IMPERIAL)[1]
    assert [row[1:3] for row in front.rows] == [("16.00", "0.0"), ("≈41", "0.0")]


def test_two_rigs_stand_side_by_side(quiet):
    one, other = card_made(quiet, 1), card_made(quiet, 1, 85.344)
    other.marks = banded_marks(0.0011, 1.4)
    table, flight, *said = comparison_blocks(SimpleNamespace(cards=(one, other)), IMPERIAL)
    assert table == Table(
        "Marks, and how far each serves. A: Heron; B: Heron",
        ("yd", "A mark mm", "A ± in", "A window yd", "B mark mm", "B ± in", "B window yd"),
        (
            ("20", "16.0", "0.5", "5.0", "17.1", "0.7", "5.0"),
            ("70", "41.2", "2.5", "–", "42.2", "3.5", "–"),
        ),
    )
    assert flight == Table(
        "Flight: at the target",
        (
            "yd",
            "A ft/s",
            "A ft·lbf",
            "A drift in per mph",
            "B ft/s",
            "B ft·lbf",
            "B drift in per mph",
        ),
        (
            ("20", "270.0", "60.0", "0.040", "280.0", "60.0", "0.040"),
            ("70", "250.0", "51.0", "0.50", "250.0", "51.0", "0.50"),
        ),
    )
    assert [one[:9] for one in said] == ["A, Heron:", "B, Heron:"]

"""Cards and changes, told from numbers written by hand: each table by its whole cells."""

from types import SimpleNamespace

import pytest
from told_by_hand import card, changed, marks
from written_out import IMPERIAL, METRIC

from tapewright.faces.telling.card import card_blocks
from tapewright.faces.telling.change import change_blocks, comparison_blocks
from tapewright.faces.wording_card import card_table, card_words
from tapewright.words.blocks import Mind, Table

SAFE = (
    "Shoot only at a safe stop with clear ground behind it; a first far arrow needs a larger butt."
)
BOUNDS = "Distances to people and boundaries: club's and national body's rules, and local law."


def test_a_card_stands_in_two_tables(quiet):
    trust, front, flight, close, how, drift, energy, *cautions = card_blocks(card(quiet), IMPERIAL)
    assert trust == "Heron, pin 2: Pin 2 is trusted to 50 yd.\n"
    assert front == Table(
        "Marks, and how far each serves",
        ("yd", "mark mm", "± mm", "± in", "from yd", "to yd", "nearer yd", "farther yd"),
        (
            ("20", "16.0", "0.3", "0.5", "17.0", "22.0", "3.0", "2.0"),
            ("70", "41.2", "0.8", "2.5", "–", "72.0", "2.5", "1.5"),
        ),
        frozenset({1}),
    )
    # 60 ft·lbf are 81.349 J, 0.45 slug·ft/s 2.0017 N·s, a mile an hour 0.44704 m/s
    assert flight == Table(
        "Flight: at the target",
        ("yd", "time s", "speed ft/s", "energy ft·lbf", "momentum slug·ft/s", "drift in per mph"),
        (
            ("20", "0.223 ±0.002", "270.0 ±2.0", "60.0 ±1.5", "0.450 ±0.022", "0.04 ±0.02"),
            ("70", "0.820 ±0.009", "250.0 ±0.7", "51.0 ±1.1", "0.400 ±0.022", "0.50 ±0.09"),
        ),
    )
    assert close == "Close marks: 3 yd: 18.7 mm, as 29.0 yd."
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


def test_a_printed_card_has_its_flight_on_the_back(quiet):
    table = card_table(card(quiet), METRIC)
    assert (table.front, table.faint) == (8, frozenset({1}))
    assert table.heads[8:] == (
        ("time", "s"), ("speed", "m/s"), ("energy", "J"), ("momentum", "kg·m/s"),
        ("drift", "cm per m/s"),
    )  # fmt: skip
    assert table.rows[0][8:] == ("0.22", "82", "81.3", "2.002", "0.23")
    assert table.rows[1][:8] == ("64.008", "41.2", "0.8", "6.4", "–", "65.8", "2.3", "1.4")


def test_a_printed_card_says_what_it_stands_on(quiet):
    words = card_words(card(quiet), IMPERIAL, "2026-05-01")
    assert (words.title, words.subtitle) == ("Heron, pin 2", "Range card, 2026-05-01")
    assert words.trust == (
        "Level ground, calm, 15 °C, 1013 hPa; trusted to 50 yd. Grey rows lie beyond the trusted "
        "distance."
    )
    untrusted = card(quiet)
    untrusted.trusted_m = 0.0
    words = card_words(untrusted, IMPERIAL, "2026-05-01")
    assert words.trust == "Level ground, calm, 15 °C, 1013 hPa; not trusted."


@pytest.fixture
def no_further_pins(monkeypatch):
    monkeypatch.setattr("tapewright.faces.telling.change.further_pins", lambda _: ())


@pytest.mark.usefixtures("no_further_pins")
def test_a_change_stands_before_and_after(quiet):
    name, table, trust, confirm, pin, light, press, safe = change_blocks(changed(quiet), IMPERIAL)
    assert name == "From Heron to Heron 2\n"
    assert table == Table(
        "Marks before and after",
        ("yd", "old mark mm", "band in", "new mark mm", "band in", "change mm"),
        (
            ("20", "16.00", "±0.5", "14.90", "±0.7", "-1.10"),
            ("70", "41.20", "±2.5", "40.10", "±3.5", "-1.10"),
        ),
    )
    assert trust == "Trusted before the change: 60 yd; now: 40 yd."
    assert confirm == (
        "To confirm shoot 3 arrows at 40 yd (dial 25.13 mm), then 5 arrows at 60 yd (dial 39.02 "
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
        ({"is_restored": True}, "Nothing is lost, so no arrow has to be shot to win it back."),
        ({"steps": (), "readings_m": ()},
         "No safe group can be planned here: see tapewright plan."),
        ({"gets_there": False},
         ("Even 8 arrows would hardly restore 60 yd on this butt and for this tolerance: expect to "
         "trust 60 yd. Begin with 3 arrows at 40 yd (dial 25.13 mm), and see tapewright plan.")),
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
        "To confirm shoot 3 arrows at 36.576 m (dial 25.13 mm), then 5 arrows at 54.864 m (dial "
        "39.02 mm). After these you may expect to trust 54.864 m; write them down and run this "
        "again with the new file of shots."
    )
    assert change_blocks(changed(quiet, gets_there=False), IMPERIAL)[3] == (
        "Even 8 arrows would hardly bring trust to 60 yd on this butt and for this tolerance: "
        "expect to trust 60 yd. Begin with 3 arrows at 40 yd (dial 25.13 mm), and see tapewright "
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
    found = changed(quiet, steps=(step,) * (4 + more), readings_m=(0.0161,) * (4 + more))
    group = "2 arrows at 20 yd (dial 16.10 mm)"
    assert change_blocks(found, IMPERIAL)[3] == (
        f"To confirm shoot {', then '.join([group] * 4)}{rest}. After these you may expect to "
        "trust 60 yd again; write them down and run this again with the new file of shots."
    )


def test_two_rigs_stand_side_by_side(quiet):
    one, other = card(quiet, 1), card(quiet, 1, 85.344)
    other.marks = marks(0.0011, 1.4)
    table, flight, *said = comparison_blocks(SimpleNamespace(cards=(one, other)), IMPERIAL)
    assert table == Table(
        "Marks, and how far each serves. A: Heron; B: Heron",
        ("yd", "A mark mm", "A band in", "A window yd", "B mark mm", "B band in", "B window yd"),
        (
            ("20", "16.00", "±0.5", "5.0", "17.10", "±0.7", "5.0"),
            ("70", "41.20", "±2.5", "–", "42.30", "±3.5", "–"),
        ),
    )
    assert flight == Table(
        "Flight: at the target",
        ("yd", "A ft/s", "A ft·lbf", "A drift in/mph", "B ft/s", "B ft·lbf", "B drift in/mph"),
        (
            ("20", "270", "60.0", "0.04", "280", "60.0", "0.04"),
            ("70", "250", "51.0", "0.50", "250", "51.0", "0.50"),
        ),
    )
    assert [one[:9] for one in said] == ["A, Heron:", "B, Heron:"]

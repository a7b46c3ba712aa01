"""A range card on paper, from numbers written by hand."""

from told_by_hand import card_made, quiet_answer, tape_on
from written_out import IMPERIAL, METRIC

from tapewright.printing.card import card_table, card_words

SAFE = (
    "Shoot only at a safe stop with clear ground behind it; a first far arrow needs a larger butt."
)


def test_a_printed_card_has_its_flight_on_the_back():
    table = card_table(card_made(quiet_answer()), METRIC)
    assert (table.front, table.faint) == (8, frozenset({1}))
    assert table.heads[8:] == (
        ("time", "s"), ("speed", "m/s"), ("energy", "J"), ("momentum", "kg·m/s"),
        ("blown", "cm per m/s"),
    )  # fmt: skip
    assert table.rows[0][8:] == ("0.2230", "82.2", "81.5", "2.00", "0.22")
    assert table.rows[1][:8] == ("64", "≈41", "0.8", "6.4", "–", "65.8", "2.3", "1.4")


def test_a_printed_card_says_what_it_stands_on():
    words = card_words(card_made(quiet_answer()), IMPERIAL, "2026-05-01")
    assert (words.title, words.subtitle) == (
        "Heron, pin 2", "Range card, 2026-05-01; grey is a guess past 50 yd",
    )  # fmt: skip
    assert words.trust == (
        "Level ground, calm, 15 °C, 1013 hPa; trusted to 50 yd; grey is a guess past 50 yd."
    )
    untrusted = card_made(quiet_answer())
    untrusted.trusted_m = 0.0
    words = card_words(untrusted, IMPERIAL, "2026-05-01")
    assert words.trust == "Level ground, calm, 15 °C, 1013 hPa; not trusted; every mark is a guess."


def test_a_printed_card_bears_close_marks_small_print_and_every_caution():
    words = card_words(card_made(quiet_answer()), IMPERIAL, "2026-05-01")
    (close,) = words.close
    assert close.heads == (("close", "yd"), ("3", ""))
    assert close.rows == (("mm", "18.7"), ("as yd", "29.0"))
    assert words.notes[0].startswith("± is half of the 90 % band.")
    assert words.notes[-1].startswith("Calibration abc123, Tapewright ")
    assert words.fold.startswith("Pocket card: cut along the frame")
    for caution in (
        SAFE,
        "Distances to people and boundaries: club's and national body's rules, and local law.",
        "Never shoot past the distance at which arrow and housing clear each other.",
        "In hunting the trusted distance is no permission: local law and the animal decide.",
    ):
        assert caution in words.cautions


def test_with_a_tape_on_close_marks_are_told_as_what_it_shows():
    answer = quiet_answer()
    answer.tape = tape_on()  # 5 mm at 10 yd, and 0.5 mm more for each yard
    words = card_words(card_made(answer, pin=1), IMPERIAL, "2026-05-01")
    (close,) = words.close
    assert close.rows == (("dial yd", "27.4"), ("as yd", "29.0"))  # 18.7 mm
    lane = "Close numbers under 9 yd are read in the tape's lane marked close, larger ones in the "
    assert any(lane in note for note in words.notes)

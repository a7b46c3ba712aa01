"""A narrow terminal: statistics give way, then the rest follows below; no digit is cut."""

import pytest

from tapewright.faces.cli import terminal_output
from tapewright.faces.cli.narrow_tables import narrow_table
from tapewright.words.answer_blocks import Table

WIDE = Table(
    "Groups of the whole day and the evening before it",
    ("group", "distance yd", "up in", "chance 1 in", "reading mm", "by itself"),
    (
        ("1", "20", "−0.25", "1234567", "16.10", "0.123456"),
        ("far", "100", "12.50", "2", "84.05", "1"),
    ),
    spare=frozenset({3, 5}),
)  # fmt: skip


def cells(text):
    return {word for line in text.splitlines() for word in line.split()}


def test_as_few_columns_as_needed_give_way():
    text, gone = narrow_table(WIDE, 60, more=False)
    assert gone == ("by itself",)
    assert "1234567" in text
    assert max(map(len, text.splitlines())) <= 60
    text, gone = narrow_table(WIDE, 40, more=False)
    assert gone == ("chance 1 in", "by itself")
    assert narrow_table(WIDE, 90, more=False)[1] == ()


@pytest.mark.parametrize("width", [20, 30, 40, 60])
def test_every_digit_stays_whatever_the_width(width):
    text, gone = narrow_table(WIDE, width, more=True)
    assert gone == ()
    assert {one for row in WIDE.rows for one in row} <= cells(text)
    assert max(map(len, text.splitlines())) <= width
    below = text.split("\n\n")[1:]
    assert all(part.splitlines()[-1].startswith("far ") for part in below)


def test_sentences_go_on_below_themselves():
    table = Table(
        "How", ("part", "how"), (("bow", "Look along each limb for cracks and splinters."),)
    )
    text, _ = narrow_table(table, 30, more=False)
    assert max(map(len, text.splitlines())) <= 30
    assert " ".join(text.split()).endswith("splinters.")


def test_a_terminal_without_room_gets_no_rules_and_is_told_what_is_missing(
    run, monkeypatch, capsys
):
    monkeypatch.setattr(terminal_output.sys.stdout, "isatty", lambda: True, raising=False)
    monkeypatch.setenv("COLUMNS", "60")
    terminal_output.show_table(WIDE)
    shown = capsys.readouterr().out
    assert "(No room for by itself: see --more.)" in shown
    assert "│" not in shown
    monkeypatch.setenv("COLUMNS", "100")
    terminal_output.show_table(WIDE)
    assert "│" in capsys.readouterr().out
    plain = run("group", "rig.toml", "shots.csv").stdout
    assert run("group", "rig.toml", "shots.csv", "--more").stdout == plain  # a pipe has room

import re

from tapewright.faces.cli import terminal_output
from tapewright.faces.cli.terminal_output import plain_table, show_table
from tapewright.words.answer_blocks import Table

THREE = Table(
    "Marks",
    ("distance", "mark"),
    (("20", "15.6"), ("100", "84.0"), ("120", "104.5")),
    frozenset([2]),
)


def test_plain_columns_line_up():
    lines = plain_table(THREE).splitlines()
    assert lines[0] == "Marks"
    assert len({len(line) for line in lines[1:]}) == 1
    assert lines[2] == "20         15.6"  # the first column to the left, the others to the right


def test_plain_tables_hold_no_rules_and_no_trailing_blanks():
    text = plain_table(Table("T", ("a", "b"), (("x", ""), ("longer", "1"))))
    assert re.fullmatch(r"[\w \n]+", text)
    assert all(line == line.rstrip() for line in text.splitlines())


def test_an_empty_table_still_has_its_heads():
    assert plain_table(Table("T", ("a", "b"), ())) == "T\na  b"


def test_a_pipe_gets_plain_text(capsys):
    show_table(THREE)
    assert capsys.readouterr().out == plain_table(THREE) + "\n\n"


def test_a_terminal_gets_rules(capsys, monkeypatch):
    monkeypatch.setattr(terminal_output.sys.stdout, "isatty", lambda: True, raising=False)
    show_table(THREE)
    shown = capsys.readouterr().out
    assert "104.5" in shown
    assert "Marks" in shown
    assert re.search("[─━│┃]", shown)

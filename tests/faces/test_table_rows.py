import pytest

from tapewright.faces.shots_columns import Column
from tapewright.faces.table_rows import check_width, group_name, is_called_bad, table_rows
from tapewright.ground.errors import BadShots


@pytest.mark.parametrize("separator", [",", ";", "\t"])
def test_lines_keep_their_numbers(separator):
    text = separator.join("ab") + "\n\n# said\n" + separator.join(["1 ", '" x"']) + "\r\n"
    assert list(table_rows(text, "f.csv")) == [(1, ["a", "b"]), (4, ["1", "x"])]


def test_cells_of_nothing_are_no_row():
    assert list(table_rows("a,b\n,,\n", "f.csv")) == [(1, ["a", "b"])]


def test_an_open_quote_names_its_line():
    with pytest.raises(BadShots, match=r"f\.csv, line 2"):
        list(table_rows('a,b\n"1,2\n', "f.csv"))


def test_width_must_be_that_of_the_header():
    columns = [Column("pin", "pin"), Column("note", "note")]
    check_width(["1", "x", ""], columns, "here")
    for cells in (["1"], ["1", "x", "y"]):
        with pytest.raises(BadShots, match="the header 2"):
            check_width(cells, columns, "here")


def test_names_are_tidied_or_refused():
    assert group_name("  far   one ", "here") == "far one"
    with pytest.raises(BadShots):
        group_name("x" * 61, "here")


@pytest.mark.parametrize(
    ("note", "bad"),
    [("bad", True), (" BAD ", True), ("bad: plucked", True), ("", False), ("bad light", False),
     ("not bad", False), ("rain: bad", False)],
)  # fmt: skip
def test_only_the_word_itself_calls_a_shot_bad(note, bad):
    assert is_called_bad(note) is bad

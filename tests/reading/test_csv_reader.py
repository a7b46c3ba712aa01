import pytest

from tapewright.ground.errors import BadShots
from tapewright.reading.csv_columns import Column, group_name, is_called_bad
from tapewright.reading.csv_reader import check_width, table_rows
from tapewright.reading.shots_reader import read_shots
from tapewright.reading.strip_side_click_tables import read_side_groups, read_strips, read_turned

HEAD = "distance_yd,reading_mm,right_in,up_in\n"
# text → line told, what is wrong
BOMBS = {
    "commas": (HEAD + "," * 3_900_000, 2, "more than 10000 characters"),
    "columns": ("note," * 700_000, 1, "more than 10000 characters"),
    "quotes": (HEAD + '"' * 3_900_000, 2, "more than 10000 characters"),
    "quotes in a cell": (
        HEAD + '20,"' + '""' * 60_000 + '",1,1\n',
        2,
        "more than 10000 characters",
    ),
    "a number": (HEAD + "20," + "9" * 1_000_000 + ",1,1\n", 2, "more than 10000 characters"),
    "rows": (HEAD + "20,10,1,1\n" * 20_001, 20_002, "more than 20000 rows"),
    "rows of nothing to read": (HEAD + "x\n" * 30_000, 20_002, "more than 20000 rows"),
    "empty lines": (HEAD + "\n" * 3_000_000, None, "more than 200000 lines"),
    "comments": (HEAD + "#\n" * 200_000, None, "more than 200000 lines"),
    "returns": (HEAD + "\r" * 3_000_000, None, "more than 200000 lines"),
    "length": (HEAD + " " * 4_000_000, None, "more than 4 million characters"),
}
READERS = [read_shots, read_turned, read_strips, read_side_groups]


@pytest.mark.parametrize("name", BOMBS)
def test_more_than_any_file_needs_is_refused_with_its_line(name):
    text, line, wrong = BOMBS[name]
    with pytest.raises(BadShots) as told:
        list(table_rows(text, "f.csv"))
    assert told.value.place == ("f.csv" if line is None else f"f.csv, line {line}")
    assert wrong in told.value.wrong
    assert told.value.mend


@pytest.mark.parametrize("read", READERS)
@pytest.mark.parametrize("name", BOMBS)
def test_every_kind_of_file_refuses_them_in_a_few_lines(name, read):
    with pytest.raises(BadShots) as told:
        read(BOMBS[name][0])
    assert len(str(told.value)) < 2500


def test_twenty_thousand_rows_with_one_mistake_are_one_mistake():
    with pytest.raises(BadShots) as told:
        read_shots(HEAD + "x,10,1,1\n" * 20_000)
    assert "likewise lines 3, 4, 5 and hundreds more" in str(told.value)
    assert str(told.value).count("\n") == 0


@pytest.mark.parametrize(
    ("read", "head", "row"),
    [
        (read_shots, HEAD, "x,10,1,1\n"),
        (read_turned, "distance_yd,clicks,up_in\n", "x,5,1\n"),
        (read_strips, "strip,distance_yd,position_mm\n", "14,x,0\n"),
        (read_side_groups, "distance_yd,right_in\n", "x,1\n"),
    ],
)
def test_every_kind_of_file_tells_one_mistake_once_and_others_with_it(read, head, row):
    other = row.replace("x", "900")
    with pytest.raises(BadShots) as told:
        read(head + row * 3 + other, "f.csv")
    first, second = str(told.value).split("\n")
    assert first.startswith("f.csv, line 2, column distance_yd: ")
    assert "likewise lines 3, 4" in first
    assert second.startswith("f.csv, line 5, column distance_yd: 900 yd is ")


def test_ten_thousand_arrows_pass():
    rows = "".join(f"{20 + one % 50},{one % 50},1,{one % 7}\n" for one in range(10_000))
    assert sum(one.group.arrows for one in read_shots(HEAD + rows)[0]) == 10_000


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

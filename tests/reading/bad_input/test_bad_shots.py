"""Every wrong file of shots is told file, line, column, what is wrong and what would be right."""

import pytest

from tapewright.ground.errors import BadShots
from tapewright.reading.rig_sheet import read_rig_sheet
from tapewright.reading.shots_reader import load_shots, read_shots

RIG, _ = read_rig_sheet(
    'name = "Heron"\n[arrow]\nmass = "420 gr"\nshaft_diameter = "6 mm"\n'
    '[sight]\npins_below_first = ["9 mm"]\n'
)
HEAD = "distance_yd,reading_mm,right_in,up_in\n"
PIN = "distance_yd,reading_mm,pin\n"
GROUP = "group,distance_yd,reading_mm,up_in,pin,slope_deg,temperature_c,crosswind_mps\n"

# text, line(s), column or nothing, what is wrong, what would be right
WRONG = [
    # numbers
    (HEAD + "20,abc,1,2\n", 2, "column reading_mm", '"abc" does not start with a number', "31.2"),
    (HEAD + "20 yd,10,1,2\n", 2, "column distance_yd", 'carries "yd"', "the header says yd"),
    (HEAD + "20,nan,1,2\n", 2, "column reading_mm", '"nan" does not', "a number such as 31.2"),
    (HEAD + "20,10,inf,2\n", 2, "column right_in", '"inf" does not', "a number such as 1.5"),
    (HEAD + "20,10,1,1e999\n", 2, "column up_in", "too large", "a number such as -2.0"),
    (HEAD + "20,10,1,--2\n", 2, "column up_in", '"--2" does not', "a number such as -2.0"),
    (HEAD + "20,,1,2\n", 2, "column reading_mm", "the cell is empty", "31.2"),
    (HEAD + ",10,1,2\n", 2, "column distance_yd", "the cell is empty", "20"),
    (HEAD + '20,"1,013.5",1,2\n', 2, "column reading_mm", "number", "31.2"),
    # limits
    (HEAD + "300,10,1,2\n", 2, "column distance_yd", "300 yd is 274.3 m, above", "1 to 200 m"),
    (HEAD + "0,10,1,2\n", 2, "column distance_yd", "below the limit of 1 m", "1 to 200 m"),
    (HEAD + "-20,10,1,2\n", 2, "column distance_yd", "below the limit of 1 m", "1 to 200 m"),
    (HEAD + "20,501,1,2\n", 2, "column reading_mm", "501 mm is above", "-500 to 500 mm"),
    (HEAD + "20,-501,1,2\n", 2, "column reading_mm", "-501 mm is below", "-500 to 500 mm"),
    (HEAD + "20,10,119,2\n", 2, "column right_in", "119 in is 3.023 m, above", "-3 to 3 m"),
    (HEAD + "20,10,1,-119\n", 2, "column up_in", "is -3.023 m, below", "-3 to 3 m"),
    (
        "distance_m,reading_mm,slope_deg\n20,10,80\n",
        2,
        "column slope_deg",
        "above",
        "-60 to 60 deg",
    ),
    (
        "distance_m,reading_mm,temperature_c\n20,10,68\n",
        2,
        "column temperature_c",
        "above",
        "50 °C",
    ),
    (
        "distance_m,reading_mm,crosswind_mps\n20,10,55\n",
        2,
        "column crosswind_mps",
        "above",
        "40 m/s",
    ),
    (
        "distance_m,reading_mm,windage_mm\n20,10,51\n",
        2,
        "column windage_mm",
        "above",
        "-50 to 50 mm",
    ),
    (
        "distance_m,reading_mm,windage_clicks\n20,10,some\n",
        2,
        "column windage_clicks",
        '"some" does not start',
        "a count such as 20 or -20",
    ),
    (
        "distance_m,reading_mm,distances\n20,10,guessed\n",
        2,
        "column distances",
        '"guessed" is none of the words for distances',
        "tape, range finder, pegs, paces",
    ),
    (
        f"distance_m,reading_mm,session\n20,10,{'n' * 61}\n",
        2,
        "column session",
        "too long for a name",
        "at most 60 letters",
    ),
    # counts
    (PIN + "20,10,1.5\n", 2, "column pin", '"1.5" is not a whole number', "a count such as 1"),
    (PIN + "20,10,0\n", 2, "column pin", "not a whole number from 1", "a count such as 1"),
    (PIN + "20,10,top\n", 2, "column pin", '"top" does not start', "a number such as 1"),
    (PIN + "20,10,1e300\n", 2, "column pin", "not a whole number", "a count such as 1"),
    (PIN + "20,10,3\n", 2, "column pin", "the rig sheet has 2", "pins_below_first"),
    ("distance_yd,reading_mm,arrows\n20,10,0\n", 2, "column arrows", "from 1 to 100", "count"),
    ("distance_yd,reading_mm,arrows\n20,10,500\n", 2, "column arrows", "from 1 to 100", "count"),
    # header
    (
        "dist_yd,reading_mm\n20,10\n",
        1,
        'column "dist_yd"',
        "no column has that name",
        "distance_yd",
    ),
    ("distance_yd,reading_mm,crossing_in\n", 1, 'column "crossing_in"', "no column", "crosswind"),
    ("distance_yd,reading_mm,pins\n", 1, 'column "pins"', "no column", '"pin"'),
    ("distance_yd,reading_mm,?\n", 1, 'column "?"', "no column", "Known are distance"),
    ("distance_yd,,reading_mm\n", 1, 'column ""', "a column has no name", "Known are distance"),
    ("distance,reading_mm\n20,10\n", 1, 'column "distance"', "has no unit", "distance_yd"),
    ("distance_gr,reading_mm\n", 1, 'column "distance_gr"', "is a mass", "distance_m"),
    ("distance_yrds,reading_mm\n", 1, 'column "distance_yrds"', '"yrds" is not', "distance_yd"),
    ("distance_yd,reading_clicks\n", 1, 'column "reading_clicks"', "not a unit", "reading_mm"),
    ("distance_yd,distance_m,reading_mm\n", 1, 'column "distance_m"', "second time", "Keep one"),
    ("distance_yd,right_in\n20,10\n", 1, "", "no column for the reading", "reading_mm"),
    ("reading_mm,right_in\n20,10\n", 1, "", "no column for the distance", "distance_yd"),
    ("# words\n\n20,10,1,2\n", 3, 'column "20"', "no column has that name", "Known are"),
    # rows
    (HEAD + "20,10,1,2,3\n", 2, "", "5 cells and the header 4", "decimals with a point"),
    (HEAD + "20,10,5,1,0,2,0\n", 2, "", "7 cells and the header 4", "semicolons"),
    (HEAD + "20,10\n", 2, "", "2 cells and the header 4", "separators of empty cells"),
    (HEAD + '20,"10,1,2\n', 2, "", "no row of cells", "Close each"),
    (HEAD + '20,"10"x,1,2\n', 2, "", "no row of cells", "nothing behind it"),
    (HEAD + "20,10,1," + "9" * 200_000 + "\n", 2, "", "more than 10000", "one arrow a row"),
    (
        HEAD + "20,10,1,2\n\n# x\n20,10,,\n",
        5,
        "columns right and up",
        "line 2 of the same",
        "0 and 0",
    ),
    # groups
    (
        GROUP + "a,20,10,1,,,,\na,21,10,1,,,,\n",
        3,
        "column distance",
        "than on line 2",
        "another group",
    ),
    (
        GROUP + "a,20,10,1,,,,\na,20,11,1,,,,\n",
        3,
        "column reading",
        "than on line 2",
        "another group",
    ),
    (
        GROUP + "a,20,10,1,1,,,\na,20,10,1,2,,,\n",
        3,
        "column pin",
        "than on line 2",
        "another group",
    ),
    (
        GROUP + "a,20,10,1,,,,\na,20,10,1,,9,,\n",
        3,
        "column slope",
        "than on line 2",
        "another group",
    ),
    (
        GROUP + "a,20,10,1,,,9,\na,20,10,1,,,,\n",
        3,
        "column temperature",
        "on line 2",
        "another group",
    ),
    (
        GROUP + "a,20,10,1,,,,\na,20,10,1,,,,3\n",
        3,
        "column crosswind",
        "on line 2",
        "another group",
    ),
    (
        GROUP + "a,20,10,1,,,,\nb,30,15,1,,,,\na,21,10,1,,,,\n",
        4,
        "column distance",
        "than on line 2",
        "another group name",
    ),
    (GROUP + "x" * 61 + ",20,10,1,,,,\n", 2, "column group", "too long for a name", "far1"),
    (GROUP + "a\x07,20,10,1,,,,\n", 2, "column group", "cannot be printed", "far1"),
]


@pytest.mark.parametrize(("text", "line", "column", "wrong", "right"), WRONG)
def test_the_error_names_file_line_column_wrong_and_right(text, line, column, wrong, right):
    with pytest.raises(BadShots) as caught:
        read_shots(text, "shots.csv", RIG)
    sentence = str(caught.value)
    place, _, rest = sentence.partition(": ")
    assert place == f"shots.csv, line {line}" + (f", {column}" if column else "")
    assert wrong in rest
    assert right in rest
    assert "\n" not in sentence
    assert sentence.endswith(".")
    assert len(sentence) < 500


def test_up_to_ten_errors_are_told_at_once():
    rows = "".join(f"{one},x{one},1,2\n" for one in range(20, 32))
    with pytest.raises(BadShots) as caught:
        read_shots(HEAD + "20,10,1,2\n" + rows, "shots.csv")
    paragraphs = str(caught.value).split("\n")
    assert [one[: len("shots.csv, line 3,")] for one in paragraphs[:7]] == [
        f"shots.csv, line {line}," for line in range(3, 10)
    ]
    assert len(paragraphs) == 10
    assert all(one.endswith(".") and "reading_mm" in one for one in paragraphs)


def test_one_mistake_in_many_rows_is_told_once():
    rows = "".join(f"{one} yd,10,1,2\n" for one in range(20, 30))
    with pytest.raises(BadShots) as caught:
        read_shots(HEAD + rows + "40,12 in,1,2\n41,13 in,0,0\n", "shots.csv")
    first, second = str(caught.value).split("\n")
    assert first.startswith('shots.csv, line 2, column distance_yd: "20 yd" carries')
    assert "likewise lines 3, 4, 5 and 6 more. Write a number" in first
    assert "likewise line 13." in second


def test_a_pressure_or_an_altitude_that_is_nowhere_is_refused():
    for head, cell in (("pressure_hpa", "300"), ("altitude_ft", "40000"), ("altitude_m", "-600")):
        text = f"distance_yd,reading_mm,{head}\n20,10,{cell}\n"
        with pytest.raises(BadShots, match=f"line 2, column {head}: .* the limit of"):
            read_shots(text, "shots.csv")


@pytest.mark.parametrize(
    ("raw", "line", "wrong", "right"),
    [
        (b"", "", "the file of shots is empty", "group,distance_yd,reading_mm"),
        (b"# only a word\n\n", "", "the file of shots is empty", "distance_yd"),
        (b"\xef\xbb\xbf\r\n", "", "the file of shots is empty", "distance_yd"),
        ("a\nr\u00e9\n".encode("latin-1"), ", line 2", "0xe9", "UTF-8"),
        (HEAD.encode("utf-16"), "", "UTF-16", "UTF-8"),
        (b"distance_yd\x00", "", "zero bytes", "UTF-8"),
    ],
)
def test_a_file_that_holds_no_shots_is_told_why(tmp_path, raw, line, wrong, right):
    path = tmp_path / "shots.csv"
    path.write_bytes(raw)
    with pytest.raises(BadShots) as caught:
        load_shots(path, RIG)
    sentence = str(caught.value)
    assert sentence.startswith(f"shots.csv{line}: ")
    assert wrong in sentence
    assert right in sentence


def test_a_missing_file_and_a_folder_are_told(tmp_path):
    with pytest.raises(BadShots, match=r"none\.csv: there is no such file"):
        load_shots(tmp_path / "none.csv")
    with pytest.raises(BadShots, match="this is a folder"):
        load_shots(tmp_path)

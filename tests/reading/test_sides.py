"""Side file: rows become groups, and every fault is named with file, line and column."""

import pytest

from tapewright.ground.errors import BadShots
from tapewright.reading.strip_side_click_tables import read_side_groups
from tapewright.reading.text_file import file_name, load_text
from tapewright.services.level import SideGroup


def loaded(path):
    """A file as a command reads it."""
    return read_side_groups(load_text(path, 400_000, BadShots), file_name(path))


MOST_ROWS = 1000

HEAD = "distance_yd,slope_deg,right_in,arrows\n"


def nearly(value):
    return pytest.approx(value, rel=1e-12)  # floating point only


def test_rows_become_groups():
    found = read_side_groups(HEAD + "40,25,-1.5,6\n20,,0.5,\n")
    assert found == (
        SideGroup(nearly(36.576), nearly(0.4363323129985824), nearly(-0.0381), 6),
        SideGroup(nearly(18.288), 0.0, nearly(0.0127), 1),
    )


def test_slope_and_arrows_may_be_left_out_and_units_chosen():
    assert read_side_groups("\ufeffdistance_m;right_cm\n30;2,5\n") == (
        SideGroup(30.0, 0.0, nearly(0.025), 1),
    )


def test_shots_called_bad_are_left_out():
    found = read_side_groups("distance_m,right_cm,note,\n30,1,\n30,50,bad: plucked\n30,2,windy\n")
    assert [one.right_m for one in found] == [nearly(0.01), nearly(0.02)]


def test_a_file_is_read_and_named(tmp_path):
    path = tmp_path / "line.csv"
    path.write_text(HEAD + "40,25,x,6\n", encoding="utf-8")
    with pytest.raises(BadShots, match=r"line\.csv, line 2, column right_in: "):
        loaded(path)
    path.write_text(HEAD + "40,25,1,6\n", encoding="utf-8")
    assert len(loaded(path)) == 1


@pytest.mark.parametrize(
    ("text", "wrong"),
    [
        ("", "the file of the test is empty. Begin with distance_yd,slope_deg,right_in,arrows"),
        (HEAD, "no group stands below the header"),
        ("distance_yd,slope_deg\n20,0\n", "line 1: there is no column for the right"),
        ("distance_yd,right_in,up\n20,0,1\n", 'line 1, column "up"'),
        (HEAD + "40,25,1.5\n", "line 2: the row has 3 cells and the header 4"),
        (HEAD + "40,25,1,5,6\n", "line 2: the row has 5 cells and the header 4"),
        (HEAD + "40,75,1,6\n", "line 2, column slope_deg: 75 deg is above the limit of 60 deg"),
        (HEAD + "40,0,,6\n", "line 2, column right_in: the cell is empty"),
        (HEAD + "40,0,1,0\n", "line 2, column arrows"),
        (HEAD + "0,0,1,6\n", "line 2, column distance_yd"),
        (HEAD + "40,0,1,6\n" * (MOST_ROWS + 1), f"more than {MOST_ROWS} rows"),
    ],
)
def test_faults_are_named(text, wrong):
    with pytest.raises(BadShots) as caught:
        read_side_groups(text, "line.csv")
    assert str(caught.value).startswith("line.csv")
    assert wrong in str(caught.value)


def test_up_to_ten_faults_are_told_at_once():
    with pytest.raises(BadShots) as caught:
        read_side_groups(HEAD + "".join(f"x{one},0,1,6\n" for one in range(40)), "line.csv")
    assert str(caught.value).count("\n") == 9

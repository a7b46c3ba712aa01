"""What is odd about a file of shots, word for word."""

from dataclasses import replace

import pytest
from sessions import rig

from tapewright.ground.errors import BadShots
from tapewright.reading.shots_reader import read_shots

HEAD = "group,distance_yd,reading_mm,up_in\n"


def told(rows, head=HEAD, **sight):
    return read_shots(head + rows, "s.csv", rig({"farther": "increases", **sight}))[1]


def test_rows_entered_twice_are_told_by_line():
    assert told("a,20,16,0.1\na,20,16,0.2\na,20,16,0.1\nb,40,28,0\nb,40,28,0\n") == (
        (
            "s.csv, lines 2 and 4; 5 and 6: rows are the same in every cell. Delete one of each "
            "pair "
            "if an arrow was entered twice."
        ),
    )


def test_metres_under_a_yards_heading_are_suspected():
    assert told("a,18,16,0.1\nb,30,22,0.2\n") == (
        (
            "s.csv, column distance_yd: 18, 30 are distances at which targets stand in metres. "
            "Name "
            "the column distance_m if they are."
        ),
    )
    assert told("a,18,16,0.1\n") == ()  # one alone may be a yard
    assert told("a,30,16,0.1\nb,50,24,0.2\n") == ()  # usual in yards, too
    assert told("a,18,16,0.1\nb,30,22,0.2\n", HEAD.replace("_yd", "_m")) == ()


@pytest.mark.parametrize(("farther", "other", "far"), [
    ("increases", "decreases", 10), ("decreases", "increases", 60),
])  # fmt: skip
def test_numbers_that_all_run_the_other_way_are_refused(farther, other, far):
    with pytest.raises(BadShots) as refused:
        told(f"a,20,30,0.1\nb,60,{far},0.2\n", farther=farther)
    assert str(refused.value) == (
        "s.csv, lines 2 and 3, columns distance and reading: readings run against farther = "
        f'"{farther}" in the rig sheet. If the numbers run the other way, set farther = '
        f'"{other}"; else correct the rows.'
    )


def test_groups_shot_colder_than_the_bows_maker_allows_are_told():
    text = "distance_yd,reading_mm,right_in,up_in,temperature_c\n20,16,0,0,-21\n40,29,0,0,-20\n"
    bow = replace(rig().bow, least_temperature_k=253.15)
    _, (told,) = read_shots(text, "s.csv", rig(bow=bow))
    assert told.startswith("s.csv, lines 2: shot in air colder than the bow's maker allows")
    assert read_shots(text, "s.csv", rig())[1] == ()


def test_one_group_out_of_order_is_told():
    assert told("a,20,16,0.1\nb,40,60,0.2\nc,60,40,0.1\nd,80,58,0\n") == (
        (
            "s.csv, lines 3 and 4, columns distance and reading: readings run against farther = "
            '"increases" in the rig sheet, by more than misses explain. Check distance and reading '
            "there."
        ),
    )
    assert told("a,20,16,0.1\nb,40,26,0.2\nc,60,40,0.1\nd,80,58,0\n") == ()


def test_groups_of_another_point_are_named_and_move_no_mark():
    rows = "".join(f"b{row},20,16,0.{row},broadhead\n" for row in range(1, 8))
    head = HEAD.replace("up_in", "up_in,head")
    assert told("a,20,16,0.1,\nc,40,29,0.1,field\n" + rows, head) == (
        (
            "s.csv, column head: b1, b2, b3, b4, b5 (and 2 more) moved no mark, for the rig sheet "
            "says field. The question broadheads tells what they say."
        ),
    )
    assert told("a,20,16,0.1,\nc,40,29,0.1,field\n", head) == ()

import pytest

from tapewright.ground.errors import BadShots
from tapewright.reading.strip_side_click_tables import read_turned
from tapewright.reading.text_file import file_name, load_text


def loaded(path):
    """A file as a command reads it."""
    return read_turned(load_text(path, 400_000, BadShots), file_name(path))


HEADER = "group,distance_yd,clicks,up_in\n"


def test_rows_that_agree_are_one_group():
    a, b = read_turned(HEADER + "a,20,0,1\na,20,0,2\nb,20,-40,3.5\n")
    assert (a.distance_m, a.clicks, a.right_clicks) == (pytest.approx(18.288), 0.0, None)
    assert [one.up_m for one in a.group.impacts] == pytest.approx([0.0254, 0.0508])
    assert (b.clicks, len(b.group.impacts)) == (-40.0, 1)


def test_windage_and_bad_shots():
    text = (
        "Distance (m); Windage clicks; right_cm; up_cm; clicks; note\n"
        "18; 20; -3; ; 5; \n18; 20; 9; ; 5; bad\n18; ; -2; 1; ; \n"
    )
    first, second = read_turned(text)
    assert (first.right_clicks, first.clicks) == (20.0, 5.0)
    bad = first.group.impacts[1]
    assert (bad.right_m, bad.up_m, bad.called_bad) == (pytest.approx(0.09), None, True)
    assert (second.right_clicks, second.clicks) == (None, None)
    assert second.group.arrows == 1


def test_a_file_is_loaded_and_named(tmp_path):
    path = tmp_path / "turned.csv"
    path.write_text(HEADER + "a,20,0,1\n", encoding="utf-8")
    assert len(loaded(path)) == 1
    with pytest.raises(BadShots, match=r"gone\.csv"):
        loaded(tmp_path / "gone.csv")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "the file of clicks is empty"),
        (HEADER, "there is no arrow in it"),
        ("clicks,up_in\n1,2\n", "there is no column for the distance"),
        ("distance_yd,up_in\n1,2\n", "there is no column for clicks"),
        ("distance_yd,clicks\n1,2\n", "there is no column for where the arrows hit"),
        ("distance_yd,clicks,clicks,up_in\n1,2,3,4\n", "clicks stands here for the second time"),
        ("distance_yd,clicks,up_in,pin\n1,2,3,4\n", "pin has no use in a file of clicks"),
        ("distance_yd,clicks,up_in,wind\n1,2,3,4\n", "no column has that name"),
        (HEADER + "a,20,many,1\n", "line 2, column clicks"),
        (HEADER + "a,20,6000,1\n", "6000 clicks are more than a sight has"),
        (HEADER + "a,20,-5001,1\n", "-5001 clicks are more than a sight has"),
        ("distance_yd,up_in\n1,2\n", "Write a header such as group,distance_yd,clicks,up_in"),
        ("clicks,up_in\n1,2\n", "Add distance_yd, distance_m or distance_ft; the whole header"),
        (HEADER + "a,,5,1\n", "the cell is empty"),
        (HEADER + "a,20,5\n", "the row has 3 cells and the header 4"),
        (HEADER + "a,20,5,big\n", "line 2, column up_in"),
    ],
)
def test_wrong_files_say_where_and_what(text, said):
    with pytest.raises(BadShots) as refused:
        read_turned(text, "turned.csv")
    assert said in str(refused.value)
    assert str(refused.value).startswith("turned.csv")

import numpy as np
import pytest

from tapewright.ground.errors import BadShots
from tapewright.reading.strip_side_click_tables import read_strips
from tapewright.reading.text_file import file_name, load_text


def loaded(path):
    """A file as a command reads it."""
    return read_strips(load_text(path, 400_000, BadShots), file_name(path))


HEAD = "strip,distance_yd,position_mm"
GOOD = f"{HEAD}\n14,20,0\n14,60,30.5\n15,60,31.0\n15,20,0.5\n"


def test_ticks_become_strips_from_near_to_far():
    one, other = read_strips(GOOD)
    assert (one.name, other.name) == ("14", "15")
    assert one.distance_m == pytest.approx([18.288, 54.864])
    assert one.position_m == pytest.approx([0, 30.5e-3])
    assert other.distance_m == pytest.approx(one.distance_m)
    assert other.position_m == pytest.approx([0.5e-3, 31e-3])


@pytest.mark.parametrize(
    "text",
    [
        GOOD.replace(",", ";"),
        GOOD.replace(",", "\t"),
        "\ufeff" + GOOD.replace("\n", "\r\n"),
        "# a set\n" + GOOD.replace(HEAD, "Strip, Distance (yd), Position (mm)"),
        GOOD.replace(HEAD, HEAD + ",note").replace("0\n", "0,\n").replace("5\n", "5,x\n"),
    ],
)  # fmt: skip
def test_people_write_it_in_many_ways(text):
    assert [strip.name for strip in read_strips(text)] == ["14", "15"]


def test_units_are_those_of_the_header():
    metric = "strip,distance_m,position_in\na,20,0\na,50,1\n"
    (strip,) = read_strips(metric)
    assert strip.distance_m == pytest.approx([20, 50])
    assert np.diff(strip.position_m) == pytest.approx([25.4e-3])


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "is empty"),
        ("strip,distance_yd\n", "no column for the position"),
        ("strip,position_mm\n", "no column for the distance"),
        ("distance_yd,position_mm\n", "no column for the strip"),
        ("strip,strip,distance_yd,position_mm\n", "second time"),
        ("strip,distance_yd,position\n", "position_mm, position_cm or position_in"),
        ("strip,distance_yd,position_kg\n", "position_mm, position_cm or position_in"),
        ("strip,distance,position_mm\n", "distance_yd, distance_m or distance_ft"),
        ("strip,distance_yd,position_mm,up_in\n", "no use in a file of strips"),
        ("strip,distance_yd,position_mm\n", "no tick stands below"),
        ("strip,distance_yd,position_mm\n14,20\n", "2 cells and the header 3"),
        ("strip,distance_yd,position_mm\n,20,0\n", "the strip has no name"),
        ("strip,distance_yd,position_mm\n14,20,x\n", "line 2, column position_mm"),
        ("strip,distance_yd,position_mm\n14,20,900\n", "above the limit of 500 mm"),
        ("strip,distance_yd,position_mm\n14,900,0\n", "above the limit of 200 m"),
        ("strip,distance_yd,position_mm\n14,20,0\n14,20,1\n", "a tick for this distance already"),
        ("strip,distance_yd,position_mm\n14,20,0\n", "has one tick"),
        ("strip,distance_yd,position_mm\n14,20,3\n14,60,3\n", "at one position"),
        (HEAD + "".join(f"\n14,x{one},0" for one in range(20)), "line 11"),
    ],
)
def test_what_is_wrong_is_told_with_its_place(text, told):
    with pytest.raises(BadShots) as refused:
        read_strips(text, "set.csv")
    assert told in str(refused.value)
    assert str(refused.value).startswith("set.csv")
    assert "line 12" not in str(refused.value)  # ten faults at most


def test_a_set_of_absurd_size_is_refused():
    head = "strip,distance_yd,position_mm\n"
    many = head + "".join(f"s{one},20,0\n" for one in range(1002))
    with pytest.raises(BadShots, match="more than 1000 strips"):
        read_strips(many)


def test_a_missing_file_is_told(tmp_path):
    with pytest.raises(BadShots, match="no such file"):
        loaded(tmp_path / "none.csv")
    (tmp_path / "set.csv").write_text(GOOD, encoding="utf-8")
    assert len(loaded(tmp_path / "set.csv")) == 2

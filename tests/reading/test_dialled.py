"""Shots that tell what was dialled: by a tape on the sight, by a column, mixed with readings."""

from dataclasses import replace
from importlib.resources import files
from pathlib import Path

import pytest
from written_out import IMPERIAL, METRIC

from tapewright.ground.errors import BadShots
from tapewright.reading.rig_sheet import load_rig_sheet
from tapewright.reading.shots_reader import load_shots, read_shots
from tapewright.reading.shots_writer import shots_text
from tapewright.reading.tape_files import TapeFiles
from tapewright.services.stick_tape import Sticking, Stuck, Tape, TapeRecord, Ticks, record_text

YD = 0.9144
TICKS = Ticks((20 * YD, 40 * YD, 60 * YD), (15.0e-3, 29.0e-3, 46.0e-3))
TAPE = Tape("on", "yd", (TICKS,), aligned_by=("near",))
STUCK = (Sticking("on", 0.3e-3),)


@pytest.fixture(scope="module")
def heron():
    return load_rig_sheet(Path(str(files("tapewright.faces") / "sample" / "heron.toml")))[0]


@pytest.fixture(scope="module")
def taped(heron):
    return replace(heron, sight=replace(heron.sight, tape=TAPE))


def test_what_is_dialled_is_a_reading_on_the_tape(taped):
    rows = "group,distance_yd,dialled_yd,up_in\na,41,41.5,0.5\na,41,41.5,0\nb,60,60,1\n"
    (a, b), _ = read_shots(rows, "s.csv", taped)
    assert a.reading_m == pytest.approx(30.275e-3)  # 29 and 1.5 of 20 yd of 17 mm
    assert b.reading_m == pytest.approx(46e-3)
    assert a.scales == b.scales == STUCK
    assert a.distance_m == pytest.approx(41 * YD)


def test_a_group_by_which_the_tape_was_aligned_stands_before_the_sticking(taped):
    (near,), _ = read_shots("group,distance_yd,dialled_yd,up_in\nnear,20,20,0\n", "s", taped)
    assert near.scales == ()


def test_readings_and_dialled_numbers_stand_in_one_file(taped):
    rows = "group,distance_yd,reading_mm,dialled_yd,up_in\na,20,15.2,,0.4\nb,40,,40,0.3\n"
    (a, b), _ = read_shots(rows, "s.csv", taped)
    assert (a.reading_m, a.scales) == (pytest.approx(15.2e-3), ())
    assert (b.reading_m, b.scales) == (pytest.approx(29e-3), STUCK)


def test_another_scale_is_told_by_its_name(heron):
    rows = "group,distance_yd,reading_mm,scale,up_in\na,20,15.2,gauge 2,0\nb,40,9,,0\n"
    (a, b), _ = read_shots(rows, "s.csv", heron)
    assert (a.scales, b.scales) == ((Sticking("gauge 2", 0.05),), ())


@pytest.mark.parametrize("units", [IMPERIAL, METRIC])
def test_what_is_written_is_read_again(taped, heron, units):
    rows = "group,distance_yd,reading_mm,dialled_yd,up_in\na,20,15.2,,0.4\nb,40,,41.3,0.3\n"
    shots, _ = read_shots(rows, "s.csv", taped)
    again, _ = read_shots(shots_text(shots, units), "again.csv", heron)
    assert [one.scales for one in again] == [(), STUCK]
    assert [one.reading_m for one in again] == pytest.approx([one.reading_m for one in shots])


@pytest.mark.parametrize(
    ("rows", "place", "wrong"),
    [
        (
            "distance_yd,dialled_yd\n60,61\n60,64\n",
            "line 3, column dialled_yd",
            "does not have 64 yd",
        ),
        ("distance_yd,dialled_m\n60,60\n", "line 2, column dialled_m", "of the tape are yd"),
        ("distance_yd,dialled_yd,reading_mm\n60,60,46\n", "line 2, column dialled_yd", "told, too"),
        ("distance_yd,dialled_yd,reading_mm\n60,,\n", "line 2, column reading_mm", "cell is empty"),
        ("distance_yd,dialled_yd,scale\n60,60,other\n", "line 2, column scale", "is known"),
        ("distance_yd,reading_mm,scale\n60,46,a ± x\n", "line 2, column scale", "is no scale"),
        (
            "distance_yd,dialled_yd\n60,sixty\n",
            "line 2, column dialled_yd",
            "does not start with a number",
        ),
        ("distance_yd,dialled_yd,tape\n60,60,other\n", "line 2, column tape", "no folder"),
    ],
)
def test_what_cannot_be_is_refused_with_its_place(taped, rows, place, wrong):
    with pytest.raises(BadShots) as bad:
        read_shots(rows, "s.csv", taped)
    assert bad.value.place == f"s.csv, {place}"
    assert wrong in bad.value.wrong


def test_without_a_tape_nobody_can_tell(heron):
    with pytest.raises(BadShots) as bad:
        read_shots("distance_yd,dialled_yd\n60,60\n", "s.csv", heron)
    assert "--tape" in bad.value.mend


def test_a_column_names_records_beside_the_file(tmp_path, heron):
    first = TapeRecord("Heron", "aa", "", "yd", ((TICKS,),), ("one",), Stuck(1, "first"))
    again = replace(first, stuck=Stuck(1, "again", 20 * YD, 15.5e-3))
    (tmp_path / "first.tape.json").write_text(record_text(first), encoding="utf-8")
    (tmp_path / "other.json").write_text(record_text(again), encoding="utf-8")
    file = tmp_path / "s.csv"
    file.write_text(
        "group,distance_yd,reading_mm,dialled_yd,tape,up_in\n"
        "a,20,15.1,,,0\nb,40,,40,first,0\nc,60,,60,other.json,0\n",
        encoding="utf-8",
    )
    records = TapeFiles(tmp_path)
    (a, b, c), _ = load_shots(file, heron, records)
    assert [one.scales for one in (a, b, c)] == [
        (), (Sticking("first", 0.3e-3),), (Sticking("again", 0.3e-3),),
    ]  # fmt: skip
    assert (b.reading_m, c.reading_m) == (pytest.approx(29e-3), pytest.approx(46.5e-3))
    assert records.last(c.scales).name == "again"
    assert records.last(()) is None
    assert load_shots(file, heron)[0] == (a, b, c)  # without being told where to look


@pytest.mark.parametrize("name", ["gone", "../s", "/etc/passwd"])
def test_a_record_that_is_not_there_is_refused(tmp_path, heron, name):
    file = tmp_path / "s.csv"
    file.write_text(f"distance_yd,dialled_yd,tape\n60,60,{name}\n", encoding="utf-8")
    with pytest.raises(BadShots, match="line 2, column tape"):
        load_shots(file, heron)


def test_tapes_that_a_text_names_are_found_for_work_elsewhere(tmp_path):
    one = TapeRecord("Heron", "aa", "", "yd", ((TICKS,),), ("one",), Stuck(1, "first"))
    for name in ("first", "other"):
        (tmp_path / f"{name}.tape.json").write_text(record_text(one), encoding="utf-8")
    (tmp_path / "broken.tape.json").write_text("{", encoding="utf-8")
    rows = "# notes\ndistance_yd,dialled_yd,tape\n20,20,first.tape.json\n20,20,broken\n"
    found = TapeFiles(tmp_path).named_in(rows)
    assert [name for name, _ in found] == ["first"]
    assert TapeFiles(tmp_path / "gone", dict(found)).tape("first.tape.json", "x").name == "first"
    assert TapeFiles(tmp_path).named_in("distance_yd,reading_mm\n20,first\n") == ()

"""Shots file: what was shot is what the observations hold, however the file was saved."""

import math
import tracemalloc
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from written_out import IMPERIAL

from tapewright.ground.errors import BadShots, TapewrightError
from tapewright.ground.units import UNITS
from tapewright.reading.csv_columns import MEASURES, Column
from tapewright.reading.csv_reader import read_header
from tapewright.reading.rig_sheet import read_rig_sheet
from tapewright.reading.shots_reader import SHOTS, load_shots, read_shots
from tapewright.reading.shots_writer import shots_text
from tapewright.services.record_groups import Impact

MOST_ROWS = 20_000

HEADER = "distance_yd,reading_mm,right_in,up_in\n"
SHEET = (
    'name = "Heron"\n[arrow]\nmass = "420 gr"\nshaft_diameter = "6 mm"\n'
    '[sight]\npins_below_first = ["9 mm"]\nfarther = "increases"\n'
    '[air]\naltitude = "1000 m"\nhumidity = "30 %"\n'
)
RIG, _ = read_rig_sheet(SHEET)
BACKWARDS = replace(RIG, sight=replace(RIG.sight, farther="decreases"))


def nearly(value):
    return pytest.approx(value, rel=1e-12, abs=1e-15)  # floating point only


def test_every_column_reaches_the_observation():
    text = (
        "group,distance_yd,reading_mm,right_in,up_in,pin,slope_deg,temperature_c,"
        "crosswind_mps,arrows,note\n"
        "far,60,31.5,1,-2,2,-12,20,-3.5,4,a little rain\n"
    )
    (shot,), warnings = read_shots(text, "shots.csv", RIG)
    assert warnings == ()
    assert shot.group.name == "far"
    (hit,) = shot.group.impacts
    assert (hit.right_m, hit.up_m, hit.arrows) == (nearly(0.0254), nearly(-0.0508), 4)
    assert shot.distance_m == nearly(54.864)
    assert shot.reading_m == nearly(0.0315)
    assert shot.pin == 2
    assert shot.slope_rad == nearly(-math.pi / 15)
    assert shot.crosswind_mps == -3.5
    assert shot.air.temperature_k == nearly(293.15)
    assert shot.air.pressure_pa == RIG.air.pressure_pa
    assert shot.air.relative_humidity == nearly(0.3)


def test_what_is_absent_is_as_usual():
    (shot,), _ = read_shots(HEADER + "20,10,1,2\n")
    assert (shot.pin, shot.slope_rad, shot.crosswind_mps, shot.air) == (1, 0.0, 0.0, None)
    assert shot.group.name == "g1"
    assert shot.group.impacts[0].arrows == 1


@pytest.mark.parametrize(
    "text",
    [
        HEADER + "20,10,,\n",
        "distance_yd,reading_mm\n20,10\n",
        "distance_yd,reading_mm,arrows\n20,10,3\n",
    ],
)
def test_empty_right_and_up_say_it_hits_here_with_three_arrows(text):
    (shot,), _ = read_shots(text)
    assert shot.group.impacts == (Impact(0.0, 0.0, 3),)


def test_a_mark_may_stand_for_more_arrows():
    (shot,), _ = read_shots("distance_yd,reading_mm,arrows\n20,10,6\n")
    assert shot.group.impacts == (Impact(0.0, 0.0, 6),)


def test_one_empty_axis_was_not_measured():
    (shot,), _ = read_shots(HEADER + "20,10,,2\n20,10,1,\n")
    found = [(one.right_m, one.up_m) for one in shot.group.impacts]
    assert found == [(None, nearly(0.0508)), (nearly(0.0254), None)]


def test_consecutive_rows_of_one_kind_make_a_group():
    found, warnings = read_shots(HEADER + "20,10,1,2\n20,10,1,3\n30,12,0,0\n20,10,1,4\n")
    assert [(one.group.name, one.group.arrows) for one in found] == [
        ("g1", 2),
        ("g2", 1),
        ("g3", 1),
    ]
    assert warnings == ()


def test_rows_without_a_name_stay_out_of_named_groups():
    text = "group," + HEADER + "g1,20,10,1,2\n,20,10,1,3\n,20,10,1,4\ng1x,20,10,1,4\n,20,10,1,5\n"
    found, _ = read_shots(text)
    assert [one.group.name for one in found] == ["g1", "g2", "g1x", "g3"]
    assert [one.group.arrows for one in found] == [1, 2, 1, 1]


def test_a_group_that_comes_back_is_joined_and_said():
    text = "group," + HEADER + "a,20,10,1,2\nb,30,12,0,0\na,20,10,1,3\na,20,10,1,4\n"
    found, warnings = read_shots(text, "shots.csv")
    assert [(one.group.name, one.group.arrows) for one in found] == [("a", 3), ("b", 1)]
    (warning,) = warnings
    for words in ['shots.csv, line 4, column group: group "a"', "line 2", "another name"]:
        assert words in warning


PLAIN = "distance_m,reading_mm,right_cm,up_cm,note\n20,10.5,1.5,-2,x\n30,15,0,0,y\n"


@pytest.mark.parametrize(
    "text",
    [
        "\ufeff" + PLAIN,
        PLAIN.replace("\n", "\r\n"),
        PLAIN.replace("\n", "\r"),
        PLAIN.replace("\n", "\n\n"),
        PLAIN.replace("\n", "\n# a word\n  # another\n"),
        PLAIN.replace("\n", "\n,,,,\n", 1),
        PLAIN.replace(",", "\t"),
        PLAIN.replace(",", ";").replace(".", ","),
        PLAIN.replace(",", "\t").replace(".", ","),
        PLAIN.replace("10.5", '"10,5"').replace("note", '"Note"'),
        PLAIN.replace(",", " , "),
        PLAIN.replace("\n", ",,\n"),
        PLAIN.replace("distance_m,reading_mm,right_cm", "Distance (m),READING mm, Right [CM] "),
        PLAIN.replace("-2", "−2"),
        PLAIN.replace("x", '"rain, wind; sun"'),
        PLAIN.rstrip("\n"),
        PLAIN.replace("note", "group").replace("x", "g1").replace("y", "g2"),
        PLAIN.replace("reading_mm", "reading_cm").replace("10.5", "1.05").replace("15,", "1.5,"),
        PLAIN.replace("distance_m", "distance_metres"),
    ],
)
def test_the_way_a_file_was_saved_does_not_matter(text):
    assert read_shots(text) == read_shots(PLAIN)


@pytest.mark.parametrize(
    ("header", "number", "word", "value"),
    [
        ("distance_ft", "60", "distance_m", 18.288),
        ("distance_yd", "20", "distance_m", 18.288),
        ("reading_in", "1", "reading_m", 0.0254),
        ("crosswind_kmh", "36", "crosswind_mps", 10.0),
        ("crosswind_km/h", "36", "crosswind_mps", 10.0),
        ("crosswind_mph", "10", "crosswind_mps", 4.4704),
        ("crosswind_mps", "-3", "crosswind_mps", -3.0),
        ("slope_deg", "45", "slope_rad", math.pi / 4),
        ("slope_mrad", "100", "slope_rad", 0.1),
    ],
)
def test_any_unit_of_the_kind_will_do(header, number, word, value):
    columns = {"distance_m": "20", "reading_mm": "10"}
    kept = {key: one for key, one in columns.items() if key[:5] != header[:5]}
    kept[header] = number
    (shot,), _ = read_shots(",".join(kept) + "\n" + ",".join(kept.values()) + "\n")
    assert getattr(shot, word) == nearly(value)


@pytest.mark.parametrize(("header", "number"), [("temperature_f", "68"), ("temperature_°C", "20")])
def test_temperature_changes_only_the_temperature(header, number):
    (shot,), _ = read_shots(f"distance_m,reading_mm,{header}\n20,10,{number}\n", rig=RIG)
    assert shot.air.temperature_k == nearly(293.15)
    assert shot.air.pressure_pa == RIG.air.pressure_pa


@settings(deadline=None)  # machines may be busy
@given(
    distance=st.floats(5, 100),
    reading=st.floats(-100, 100),
    right=st.floats(-40, 40),
    up=st.floats(-40, 40),
    unit=st.sampled_from(["yd", "m", "ft"]),
)
def test_numbers_come_through_unharmed(distance, reading, right, up, unit):
    text = f"distance_{unit},reading_mm,right_in,up_cm\n{distance!r},{reading!r},{right!r},{up!r}\n"
    (shot,), _ = read_shots(text)
    assert shot.distance_m == nearly(distance * UNITS[unit].factor)
    assert shot.reading_m == nearly(reading * 1e-3)
    (hit,) = shot.group.impacts
    assert (hit.right_m, hit.up_m) == (nearly(right * 0.0254), nearly(up * 0.01))


def test_a_header_alone_is_a_starting_strip():
    found, warnings = read_shots(HEADER, "shots.csv", RIG)
    assert found == ()
    assert len(warnings) == 1
    assert "starting strip" in warnings[0]


def test_rows_entered_twice_are_said():
    rows = "".join(f"{20 + one},10,0.5,0.{one}\n" for one in range(8))
    (_, *_), warnings = read_shots(HEADER + "20,10,1,2\n20,10,1,2\n", "shots.csv")
    (warning,) = warnings
    assert warning.startswith("shots.csv, lines 2 and 3: rows are the same in every cell. Delete")
    _, warnings = read_shots(HEADER + rows + rows, "shots.csv")
    assert "2 and 10; 3 and 11" in warnings[0]
    assert "(and 3 more)" in warnings[0]


@pytest.mark.parametrize(
    ("distances", "unit", "suspected"),
    [
        ((18, 30, 50), "yd", True),
        ((30, 90), "yd", True),
        ((18, 30, 50), "m", False),
        ((30, 50), "yd", False),
        ((18, 30, 40), "yd", False),
        ((18, 18), "yd", False),
    ],
)
def test_metres_under_a_yards_heading_are_suspected(distances, unit, suspected):
    rows = "".join(f"{one},{one / 2}\n" for one in distances)
    _, warnings = read_shots(f"distance_{unit},reading_mm\n{rows}", "shots.csv")
    assert any("column distance_yd" in one and "distance_m" in one for one in warnings) == suspected


MARKS = ((20, 5.0), (30, 11.0), (40, 19.0), (60, 38.0))


def marks(pairs, more=""):
    rows = "".join(f"{distance},{reading}{more}\n" for distance, reading in pairs)
    return "distance_yd,reading_mm" + (",pin" if more else "") + "\n" + rows


@pytest.mark.parametrize("more", ["", ",2"])
def test_numbers_that_all_run_the_other_way_are_refused(more):
    assert read_shots(marks(MARKS, more), "shots.csv", RIG)[1] == ()
    with pytest.raises(BadShots) as caught:
        read_shots(marks(MARKS, more), "shots.csv", BACKWARDS)
    for words in ["shots.csv, lines 2 and", 'farther = "decreases"', 'set farther = "increases"']:
        assert words in str(caught.value)
    falling = [(distance, -reading) for distance, reading in MARKS]
    assert read_shots(marks(falling), "shots.csv", BACKWARDS)[1] == ()
    with pytest.raises(BadShots, match='set farther = "decreases"'):
        read_shots(marks(falling), "shots.csv", RIG)


def test_one_reading_that_runs_against_the_others_is_named():
    odd = [*MARKS[:2], (40, 91.0), MARKS[3]]
    _, warnings = read_shots(marks(odd), "shots.csv", RIG)
    (warning,) = warnings
    assert "lines 4 and 5, columns distance and reading" in warning
    assert 'farther = "increases"' in warning


@pytest.mark.parametrize(
    "text",
    [
        # nearer than where marks turn back
        marks([(5, 40.0), (8, 20.0), (12, 5.0)]),
        # the misses explain the order: a group far too high was shot with a far reading
        HEADER + "20,40,0,30\n40,19,0,0\n",
        # nobody measured the height
        HEADER + "20,40,1,\n40,19,1,\n",
        # steep shots
        "distance_yd,reading_mm,slope_deg\n30,20,0\n50,12,40\n",
        # another pin
        "distance_yd,reading_mm,pin\n20,40,1\n40,19,2\n",
        # too near to each other to tell
        marks([(40, 19.0), (41, 12.0)]),
        # hardly different
        marks([(20, 10.0), (30, 9.0)]),
    ],
)
def test_what_can_be_explained_is_passed_in_silence(text):
    assert read_shots(text, "shots.csv", RIG)[1] == ()


def test_without_a_rig_nobody_knows_how_the_numbers_run():
    falling = [(distance, -reading) for distance, reading in MARKS]
    assert read_shots(marks(falling))[1] == ()
    assert read_shots(marks(MARKS))[1] == ()


def test_what_the_sheet_says_of_the_sight_sets_what_a_miss_explains():
    fine = read_rig_sheet(
        SHEET.replace("[sight]", '[sight]\nreading_per_travel = "0.5"\nsight_radius = "33 in"')
    )[0]
    text = HEADER + "20,12,0,2\n40,5,0,0\n40,5,0,1\n60,20,0,0\n"
    assert read_shots(text, rig=RIG)[1] == ()
    assert len(read_shots(text, rig=fine)[1]) == 1


def test_a_thousand_rows_are_read_and_too_many_refused(tmp_path):
    def rows(count):
        return HEADER + "".join(
            f"{20 + one % 50},{one % 50 / 2},1,{one % 7}\n" for one in range(count)
        )

    assert sum(one.group.arrows for one in read_shots(rows(1000))[0]) == 1000
    path = tmp_path / "shots.csv"
    path.write_text(rows(20_001), encoding="utf-8")
    with pytest.raises(BadShots, match="line 20002: the file has more than 20000 rows"):
        load_shots(path)


def test_a_million_rows_are_refused_without_being_held_in_memory(tmp_path):
    path = tmp_path / "shots.csv"
    path.write_text(HEADER + "20,10.5,1.25,-2.75\n" * 10**6, encoding="utf-8")
    tracemalloc.start()
    with pytest.raises(BadShots, match="larger than 4000 kB"):
        load_shots(path)
    peak_bytes = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert path.stat().st_size > 18e6
    assert peak_bytes < 9e6  # the first 4 MB, and as much again while they are joined


def test_a_file_is_read_like_its_text(tmp_path):
    path = tmp_path / "shots.csv"
    path.write_text(PLAIN, encoding="utf-8-sig")
    assert load_shots(path, RIG) == read_shots(PLAIN, "shots.csv", RIG)


def outcome(read, *given_to):
    """What was read, or the sentence that refuses it; any other error passes through."""
    try:
        return read(*given_to)
    except TapewrightError as bad:
        return str(bad)


@settings(deadline=None)  # machines may be busy
@given(text=st.text())
def test_random_text_raises_nothing_but_our_own_error(text):
    assert outcome(read_shots, text, "shots.csv", RIG).startswith("shots.csv")


headers = st.sampled_from(
    [f"{word}_{unit}" for word in MEASURES for unit in ("m", "mm", "yd", "deg", "c", "f", "mps")]
    + ["pin", "arrows", "note", "group"]
)
cells = st.one_of(
    st.integers(-5, 120).map(str),
    st.floats().map(repr),
    st.sampled_from(["", "a", "#", '"', "1,5", "12 mm"]),
    st.text(max_size=5),
)


@settings(max_examples=300, deadline=None)  # machines may be busy
@given(
    header=st.lists(headers, max_size=5, unique_by=lambda one: one.split("_")[0]),
    rows=st.lists(st.lists(cells, max_size=8), max_size=8),
    separator=st.sampled_from(",;\t"),
)
def test_almost_files_raise_nothing_but_our_own_error(header, rows, separator):
    lines = [["distance_m", "reading_mm", *header], *rows]
    text = "\n".join(separator.join(line) for line in lines)
    match outcome(read_shots, text, "shots.csv", RIG):
        case str(sentence):
            assert all(one.startswith("shots.csv") for one in sentence.split("\n"))
        case found, warnings:
            assert all(1.0 <= one.distance_m <= 200.0 for one in found)
            assert all(one.startswith("shots.csv") for one in warnings)


@settings(deadline=None)  # machines may be busy
@given(raw=st.binary(max_size=300))
def test_random_bytes_raise_nothing_but_our_own_error(raw, tmp_path_factory):
    path = tmp_path_factory.mktemp("raw") / "shots.csv"
    path.write_bytes(raw)
    with pytest.raises(BadShots, match=r"^shots\.csv"):
        load_shots(path)


def test_a_header_keeps_its_spelling_and_knows_its_unit():
    columns = read_header(["Distance (YD)", "reading mm", "Pin"], "shots.csv, line 1", SHOTS)
    assert columns[0] == Column("distance", "Distance (YD)", UNITS["yd"], "yd")
    assert columns[2] == Column("pin", "Pin")


BAD_HEADER = "group,distance_yd,reading_mm,right_in,up_in,note\n"


def test_called_bad_shots_are_kept_out_of_every_count():
    text = BAD_HEADER + "a,20,10,1,2,\na,20,10,9,9,bad\na,20,10,,,Bad: not found\na,20,10,3,0,\n"
    (shot,), warnings = read_shots(text)
    assert warnings == ()
    assert (shot.group.arrows, shot.group.called_bad) == (2, 2)
    assert shot.group.impacts[2] == Impact(None, None, called_bad=True)


def test_a_bad_shot_beside_a_mark_is_no_second_hit():
    (shot,), _ = read_shots(BAD_HEADER + "a,20,10,,,\na,20,10,5,5,bad\n")
    assert (shot.group.arrows, shot.group.called_bad) == (3, 1)


def test_a_group_of_bad_shots_is_left_out_aloud():
    text = BAD_HEADER + "a,20,10,1,2,bad\na,20,10,,,bad\nb,30,20,1,2,\n"
    (shot,), warnings = read_shots(text)
    assert shot.group.name == "b"
    assert warnings[0] == (
        'shots file, line 2: every arrow of group "a" is called bad, so the group is left out.'
    )
    none, warnings = read_shots(BAD_HEADER + "a,20,10,1,2,bad\n")
    assert none == ()
    assert len(warnings) == 2


def test_an_arrow_past_the_butt_is_no_hit_and_no_mark():
    text = BAD_HEADER + "a,20,10,1,2,\na,20,10,,,missed\nb,30,20,,,Missed: gone high\n"
    (some, none), warnings = read_shots(text)
    assert warnings == ()
    assert (some.group.arrows, some.group.missed) == (1, 1)
    assert none.group.impacts == (Impact(None, None, missed=True),)
    assert (none.group.arrows, none.group.called_bad, none.distance_m) == (0, 0, 27.432)


def test_several_arrows_past_the_butt_stand_in_one_row():
    header = BAD_HEADER.replace("note", "arrows,note")
    (shot,), _ = read_shots(header + "a,20,10,,,3,missed the butt\n")
    assert (shot.group.arrows, shot.group.missed) == (0, 3)


def test_an_arrow_that_was_measured_hit_whatever_its_note_says():
    (shot,), _ = read_shots(BAD_HEADER + "a,20,10,1,2,missed the gold\n")
    assert (shot.group.arrows, shot.group.missed) == (1, 0)


@pytest.mark.parametrize("note", ["bad light", "badly nocked", "bad, plucked"])
def test_a_note_that_only_begins_with_bad_keeps_its_arrow_and_says_so(note):
    text = BAD_HEADER.replace(",", ";") + f"a;20;10;1;2;{note}\n"
    (shot,), warnings = read_shots(text)
    assert shot.group.called_bad == 0
    (said,) = warnings
    assert said == (
        f'shots file, line 2, column note: "{note}" is not the word bad alone, so the arrow '
        'counts. Write "bad", or "bad: why", if the shot was called bad.'
    )


@pytest.mark.parametrize(
    ("header", "cell", "pressure_pa"),
    [
        ("pressure_hpa", "850", 85_000.0),
        ("altitude_m", "1500", 84_560.0),  # ISO 2533, table 1
        ("altitude_ft", "5000", 84_307.0),  # 12.228 lbf/in², tables of the standard atmosphere
    ],
)
def test_a_group_shot_elsewhere_brings_its_own_pressure(header, cell, pressure_pa):
    (shot,), _ = read_shots(f"distance_yd,reading_mm,{header}\n20,10,{cell}\n")
    assert shot.air.pressure_pa == pytest.approx(pressure_pa, abs=10.0)


def test_a_row_with_another_altitude_is_another_group():
    text = "distance_yd,reading_mm,altitude_m\n20,10,0\n20,10,900\n"
    assert len(read_shots(text)[0]) == 2


def test_rows_of_a_proof_that_was_taken_in_say_so_and_are_written_so():
    text = BAD_HEADER + "a,20,10,1,2,\nb,30,20,1,2,proof\nb,30,20,2,1,\nc,40,30,1,1,Proof: windy\n"
    shots, _ = read_shots(text + "d,50,40,1,1,proof of nothing\n")
    assert [one.proved for one in shots] == [False, True, True, False]
    written = shots_text(shots, IMPERIAL)
    assert [line.endswith(",proof") for line in written.splitlines()[1:]] == [
        False, True, True, True, False,
    ]  # fmt: skip
    again, _ = read_shots(written)
    assert [one.proved for one in again] == [False, True, True, False]

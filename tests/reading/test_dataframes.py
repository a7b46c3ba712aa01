"""Columns of any library become the groups that a file of the same numbers becomes."""

import numpy as np
import pandas as pd
import pytest

from tapewright.ground.errors import BadShots
from tapewright.reading.dataframes import observations_from_frame
from tapewright.reading.shots_reader import read_shots

TEXT = (
    "group,distance_yd,reading_mm,right_in,up_in,pin,slope_deg,temperature_c,note\n"
    "near,20,15.3,0.5,-1,1,0,,\nnear,20,15.3,-1.25,0.75,1,0,,bad: plucked\n"
    "far,60,46.1,2,-3.5,2,-12,21.5,\nfar,60,46.1,,1,2,-12,21.5,\n"
)
COLUMNS = {
    "group": ["near", "near", "far", "far"],
    "distance_yd": [20, 20, 60, 60],
    "reading_mm": [15.3, 15.3, 46.1, 46.1],
    "right_in": [0.5, -1.25, 2, np.nan],
    "up_in": [-1, 0.75, -3.5, 1],
    "pin": [1, 1, 2, 2],
    "slope_deg": [0, 0, -12, -12],
    "temperature_c": [None, None, 21.5, 21.5],
    "note": ["", "bad: plucked", "", None],
}


class Series:
    """A column as a library without an index has it."""

    def __init__(self, values):
        self._values = values

    def to_list(self):
        return list(self._values)


class Frame:
    """A frame as such a library has it."""

    def __init__(self, columns):
        self._columns = columns
        self.columns = list(columns)

    def __getitem__(self, name):
        return Series(self._columns[name])


def nullable(columns):
    return pd.DataFrame(columns).convert_dtypes()


def objects(columns):
    return pd.DataFrame(columns, dtype=object)


def indexed(columns):
    return pd.DataFrame(columns).set_index(["group", "distance_yd"])


def shuffled_index(columns):
    return pd.DataFrame(columns, index=[7, 7, "c", None])


def arrays(columns):
    made = {name: np.array(column) for name, column in columns.items()}
    for one in made.values():
        one.flags.writeable = False
    return made


def records(columns):
    kinds = [("U12" if name in ("group", "note") else "f8") for name in columns]
    names = list(columns)
    rows = [
        tuple("" if cell is None and kind == "U12" else np.nan if cell is None else cell
              for cell, kind in zip(row, kinds, strict=True))
        for row in zip(*columns.values(), strict=True)
    ]  # fmt: skip
    return np.array(rows, dtype=list(zip(names, kinds, strict=True)))


@pytest.mark.parametrize(
    "made",
    [dict, pd.DataFrame, nullable, objects, indexed, shuffled_index, Frame, arrays, records],
    ids=lambda made: made.__name__,
)
def test_whatever_holds_the_columns_gives_what_a_file_gives(made):
    shots, _ = observations_from_frame(made(COLUMNS))
    assert shots == read_shots(TEXT)[0]
    assert all(type(one.reading_m) is float and type(one.pin) is int for one in shots)


def test_units_may_be_told_beside_the_columns():
    columns = {"distance": [18.288], "reading": [1.53], "up": [-25.4], "right": [0], "slope": [0.2]}
    units = {"distance": "m", "reading": "cm", "up": "mm", "right": "in", "slope": "rad"}
    (shot,), _ = observations_from_frame(columns, units=units)
    assert (shot.distance_m, shot.slope_rad) == pytest.approx((18.288, 0.2))
    assert shot.reading_m == pytest.approx(0.0153)
    assert shot.group.impacts[0].up_m == pytest.approx(-0.0254)


def test_every_digit_of_a_number_is_kept():
    numbers = [46.123456789012345, 1e-5, 3.0e-9, 0.1 + 0.2, -12.5]
    columns = {"group": list("abcde"), "distance_m": [50.0] * 5, "reading_mm": numbers}
    shots, _ = observations_from_frame(columns)
    assert [one.reading_m for one in shots] == [one * 1e-3 for one in numbers]


def test_numbers_for_names_are_names():
    columns = {"group": [1.0, 2.0], "distance_m": [50, 60], "reading_mm": [40, 50]}
    shots, _ = observations_from_frame(columns)
    assert [one.group.name for one in shots] == ["1", "2"]


def test_no_rows_are_no_arrows_yet():
    shots, notes = observations_from_frame({"distance_m": [], "reading_mm": []}, name="march")
    assert shots == ()
    assert notes[0].startswith("march: no arrows yet")


def test_oddities_are_told_by_row():
    columns = {"distance_m": [50, 50, 60], "reading_mm": [40, 40, 50], "up_cm": [1.5, 1.5, 0]}
    _, notes = observations_from_frame(columns | {"right_cm": [2, 2, 0]})
    (told,) = notes
    assert told.startswith("frame, rows 0 and 1: rows are the same in every cell. Delete one")


def test_one_mistake_in_many_rows_is_told_once():
    columns = {"distance_m": [500] * 6, "reading_mm": [40] * 6}
    with pytest.raises(BadShots, match=r"frame, row 0, .* likewise rows 1, 2, 3 and 2 more"):
        observations_from_frame(columns)


@pytest.mark.parametrize(
    ("columns", "told"),
    [
        (pd.DataFrame([[50, 40, 1]], columns=["distance_m", "reading_mm", "reading_mm"]),
         r'two columns are called "reading_mm". Keep one of the two'),
        ({"distance_m": 50, "reading_mm": [40]}, "column distance_m: 50 is no column"),
        ({"distance_m": "50", "reading_mm": [40]}, "column distance_m: '50' is no column"),
        ({"distance_m": [50] * 20_001, "reading_mm": [40] * 20_001}, "more than 20000 rows"),
        ({"distance_m": [True], "reading_mm": [40]}, "column distance_m: True is no number"),
        ({"distance_m": [50 + 1j], "reading_mm": [40]}, "a complex is no number and no text"),
        ({"distance_m": [[50]], "reading_mm": [40]}, "a list is no number and no text"),
        ({"distance_m": [None], "reading_mm": [40]}, "the cell is empty"),
        ({"distance_m": [50], "reading_mm": [40], "up_cm": pd.Series(["a"])}, '"a" '),
    ],
)  # fmt: skip
def test_what_is_no_column_of_numbers_is_refused(columns, told):
    with pytest.raises(BadShots, match=told):
        observations_from_frame(columns)


@pytest.mark.parametrize(
    ("units", "told"),
    [("m", "'m' does not say which column"), ({"distance": 1}, "1 is no unit. Give its name")],
)
def test_units_that_say_nothing_are_refused(units, told):
    with pytest.raises(BadShots, match=told):
        observations_from_frame({"distance": [50], "reading_mm": [40]}, units=units)


def test_a_time_is_a_day_and_no_number():
    columns = {"distance_m": [50], "reading_mm": [40], "date": pd.to_datetime(["2026-05-01 18:30"])}
    shots, _ = observations_from_frame(columns)
    assert shots == observations_from_frame(columns | {"date": ["2026-05-01"]})[0]
    with pytest.raises(BadShots, match="2026-05-01"):
        observations_from_frame(columns | {"reading_mm": pd.to_datetime(["2026-05-01"])})
    with pytest.raises(BadShots, match="the cell is empty"):
        observations_from_frame(columns | {"reading_mm": pd.to_datetime([None])})

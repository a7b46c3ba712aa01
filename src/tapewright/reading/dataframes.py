"""Dataframes: columns of numbers, from whatever holds them, become observations.

A frame is read by the rules of a file of shots: its columns have the same names, its cells the
same limits, and what is wrong is said with row and column. Rows count from 0.

Holds:  columns out of a frame or mapping; units told beside them; a value as a cell.
Never:  what columns and rows mean (shots_reader.py), any library of frames.
"""

from collections.abc import Iterable, Mapping
from datetime import date
from decimal import Decimal
from numbers import Real
from typing import Any

from tapewright.ground.checks import as_float, shown
from tapewright.ground.errors import BadShots
from tapewright.reading.csv_columns import MEASURES
from tapewright.reading.csv_reader import MOST_ROWS, Origin, read_header
from tapewright.reading.shots_reader import SHOTS, shots_from_rows
from tapewright.services.equip import Rig
from tapewright.services.record_groups import Observation
from tapewright.words.unit_spellings import quoted

COLUMNS = "columns of a data frame, or a dict of lists"
NOT_THERE = ("NAType", "NaTType")  # what pandas writes for "not there", by name


def observations_from_frame(
    frame: Any,  # noqa: ANN401 — of any library
    rig: Rig | None = None,
    units: Mapping[str, str] | None = None,
    name: str = "frame",
) -> tuple[tuple[Observation, ...], tuple[str, ...]]:
    """Groups from columns, one arrow a row, by the rules of a file of shots.

    Parameters
    ----------
    frame : data frame or mapping of str to columns
        Columns named as in a file of shots: ``group``, ``distance_m``, ``reading_mm``, ``up_in``.
        Named levels of a pandas index are columns, too. NaN and None are empty cells.
    rig : Rig, optional
        What was shot; tells the pins, the air, and how the numbers run.
    units : mapping of str to str, optional
        Unit of each column whose name has none, as ``{"distance": "m"}``.
    name : str, default "frame"
        What errors call it.

    Returns
    -------
    tuple of Observation, tuple of str
        The groups, and what is odd about the frame.

    Raises
    ------
    BadShots
        If anything in it is wrong; names row and column.

    Example
    -------
    >>> shots = {"distance": [50, 50], "reading": [46.1, 46.1], "up": [-2, float("nan")]}
    >>> (group,), notes = observations_from_frame(
    ...     shots | {"right": [1, 0]}, units={"distance": "m", "reading": "mm", "up": "cm",
    ...                                       "right": "cm"})
    >>> group.group.impacts[0].up_m, group.group.impacts[1].up_m
    (-0.02, None)
    """
    found = _columns_of(frame, name)
    header = _with_units(list(found), {} if units is None else units, name)
    lengths = {len(values) for values in found.values()}
    if len(lengths) > 1:
        told = ", ".join(f"{label} {len(values)}" for label, values in found.items())
        wrong = f"its columns have different lengths: {told}"
        raise BadShots(name, wrong, "Give each as many rows, NaN for what was not measured")
    if lengths and max(lengths) > MOST_ROWS:
        raise BadShots(name, f"it has more than {MOST_ROWS} rows", "Divide it by rig or by date")
    columns = read_header(header, f"{name}, columns", SHOTS)
    cells = [
        [_cell(value, f"{name}, row {row}, column {label}") for row, value in enumerate(values)]
        for label, values in found.items()
    ]
    rows = enumerate(zip(*cells, strict=True))
    return shots_from_rows(rows, columns, Origin(name, "row"), rig)


def _columns_of(frame: Any, name: str) -> dict[str, list[Any]]:  # noqa: ANN401 — as above
    """Columns by their names."""
    if hasattr(frame, "reset_index") and any(one is not None for one in frame.index.names):
        try:
            frame = frame.reset_index()
        except ValueError:
            wrong = "a level of its index is called like another level or a column"
            raise BadShots(name, wrong, "Give them different names, or leave one out") from None
    labels = next(
        (
            there
            for there in (
                getattr(frame, "columns", None),
                getattr(getattr(frame, "dtype", None), "names", None),
                list(frame) if isinstance(frame, Mapping) else None,
            )
            if there is not None
        ),
        None,
    )
    if labels is None:
        wrong = f"{shown(frame)} has no columns"
        raise BadShots(name, wrong, f"Give {COLUMNS}; a file goes through load_shots")
    found: dict[str, list[Any]] = {}
    for label in labels:
        if not isinstance(label, str):
            wrong = f"a column is called {quoted(str(label))}, which is no text"
            raise BadShots(name, wrong, "Name each column, such as distance_m")
        if label in found:
            wrong = f"two columns are called {quoted(label)}"
            raise BadShots(name, wrong, "Keep one of the two")
        found[label] = _listed(frame[label], f"{name}, column {label}")
    return found


def _listed(values: Any, place: str) -> list[Any]:  # noqa: ANN401 — as above
    """A column as a list."""
    for way in ("to_pylist", "to_list", "tolist"):
        if hasattr(values, way):
            values = getattr(values, way)()
            break
    if isinstance(values, str | bytes | Mapping) or not isinstance(values, Iterable):
        wrong = f"{shown(values)} is no column"
        raise BadShots(place, wrong, "Give a list with a value for each arrow")
    return list(values)


def _with_units(labels: list[str], units: Mapping[str, str], name: str) -> list[str]:
    """Names of the columns, each with its unit."""
    if not isinstance(units, Mapping):
        wrong = f"{shown(units)} does not say which column has which unit"
        raise BadShots("units", wrong, 'Give a mapping such as {"distance": "m"}')
    for label, unit in units.items():
        place = f"{name}, units of {quoted(str(label))}"
        if label not in labels:
            there = ", ".join(labels)
            raise BadShots(place, "there is no such column", f"There are {there}")
        if label.casefold() not in MEASURES:
            wrong = "the column's name says its unit already, or its values have none"
            raise BadShots(place, wrong, "Leave it out of units")
        if not isinstance(unit, str):
            raise BadShots(place, f"{shown(unit)} is no unit", 'Give its name, such as "m"')
    return [f"{label}_{units[label]}" if label in units else label for label in labels]


def _cell(value: object, place: str) -> str:
    """A value as a cell; empty where there is none."""
    if value is None or type(value).__name__ in NOT_THERE:
        return ""
    if isinstance(value, str):
        return value.strip()
    if isinstance(value, date):  # and a time: datetime, and pandas' own
        return value.isoformat()[:10]
    if isinstance(value, bool) or not isinstance(value, Real):
        wrong = f"{shown(value)} is no number and no text"
        raise BadShots(place, wrong, "Give plain numbers; the column's name says their unit")
    number = as_float(value)
    if number != number:  # noqa: PLR0124 — what is not a number is not itself
        return ""
    if abs(number) == float("inf"):
        raise BadShots(
            place, f"{number:g} is no number that can be", "Give NaN for what is not known"
        )
    return str(int(number)) if number.is_integer() else f"{Decimal(repr(number)):f}"

"""Table rows: the text of a CSV file becomes lines of cells, and cells that are words are read.

Holds:  rows, their width, and how many and how long they may be; names of groups; the note that
        says a shot was called bad.
Never:  what a row means (shots.py, turns.py), numbers (table_columns.py).
Source: limits are common practice, no source: twenty thousand arrows are more than a year of
        any archer's shooting.
"""

import csv
from collections.abc import Iterator, Sequence

from tapewright.ground.errors import BadShots
from tapewright.reading.table_columns import Column
from tapewright.words.unit_names import quoted

MOST_CHARACTERS = 4_000_000
MOST_LINES = 200_000  # empty ones and comments, too
MOST_ROWS = 20_000  # below the header
MOST_IN_LINE = 10_000  # characters


def table_rows(text: str, name: str) -> Iterator[tuple[int, list[str]]]:
    """Line numbers and stripped cells of every line that holds something."""
    if len(text) > MOST_CHARACTERS:
        wrong = f"the file has more than {MOST_CHARACTERS // 1_000_000} million characters"
        raise BadShots(name, wrong, "Check that it is the right one, or divide it")
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    if len(lines) > MOST_LINES:
        raise BadShots(name, f"the file has more than {MOST_LINES} lines", "Leave out empty lines")
    separator, rows = "", 0
    for line, raw in enumerate(lines, 1):
        if not raw.strip() or raw.lstrip().startswith("#"):
            continue
        if len(raw) > MOST_IN_LINE:
            wrong = f"the line has more than {MOST_IN_LINE} characters"
            raise BadShots(f"{name}, line {line}", wrong, "Write one arrow a row, notes short")
        separator = separator or next((one for one in ";\t" if one in raw), ",")
        try:
            cells = next(csv.reader([raw], delimiter=separator, strict=True, skipinitialspace=True))
        except csv.Error as error:
            wrong = f"the line is no row of cells ({error})"
            mend = 'Close each " on the same line, and write nothing behind it but the separator'
            raise BadShots(f"{name}, line {line}", wrong, mend) from None
        stripped = [cell.strip() for cell in cells]
        if any(stripped):
            rows += 1
            if rows > MOST_ROWS + 1:
                wrong = f"the file has more than {MOST_ROWS} rows"
                raise BadShots(f"{name}, line {line}", wrong, "Divide it by rig or by date")
            yield line, stripped


def check_width(cells: list[str], columns: Sequence[Column], place: str) -> None:
    """Refuse rows with more or fewer cells than the header."""
    extra = [cell for cell in cells[len(columns) :] if cell]
    if extra:
        wrong = f"the row has {len(cells)} cells and the header {len(columns)}"
        mend = "Write decimals with a point, or part all cells, the header's too, by semicolons"
        raise BadShots(place, wrong, mend)
    if len(cells) < len(columns):
        wrong = f"the row has {len(cells)} cells and the header {len(columns)}"
        mend = "Write the separators of empty cells too: empty right and up mean a hit on the aim"
        raise BadShots(place, wrong, mend)


def group_name(text: str, place: str) -> str:
    """Name of a group, printable and not too long."""
    tidy = " ".join(text.split())
    if len(tidy) > 60 or not tidy.isprintable():
        wrong = f"{quoted(tidy)} is too long for a group's name, or cannot be printed"
        raise BadShots(place, wrong, "Write at most 60 letters, such as far1")
    return tidy


def is_called_bad(note: str) -> bool:
    """Whether a note says that the archer called a bad shot: "bad", alone or before a colon."""
    return note.partition(":")[0].strip().casefold() == "bad"

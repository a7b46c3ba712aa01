"""Narrow tables: one wider than its terminal: fewer columns first, no digit cut.

Holds:  which columns give way; heads and words on several lines; what is left, in parts.
Never:  how wide the terminal is (terminal_output.py), which columns are statistics
        (words/answer_columns.py).
"""

from collections.abc import Callable, Sequence
from textwrap import fill, wrap

from tapewright.words.answer_blocks import Table

Size = Callable[[Sequence[str]], int]
GAP = 2  # blanks between columns
LEAST_WORDY = 12  # letters a line of a column of sentences
WORDY = 24  # letters from which on a cell is a sentence


def narrow_table(table: Table, width: int, *, more: bool) -> tuple[str, tuple[str, ...]]:
    """A table's text inside a width, and the heads of what gave way.

    Statistics give way, the last first, unless more is wanted; then heads stand on several lines,
    sentences too, and what still does not fit follows below, each part beginning with the first
    column.
    """
    columns = [_cells(table, place) for place in range(len(table.heads))]
    kept, gone = list(range(len(columns))), list[int]()
    spare = [] if more else sorted(table.spare)
    while spare and _wide(columns, kept, _whole) > width:
        gone.insert(0, spare.pop())
        kept.remove(gone[0])
    size = _whole if _wide(columns, kept, _whole) <= width else _least
    parts = _parts(columns, kept, width, size)
    text = "\n\n".join(_drawn(columns, one, width) for one in parts)
    return f"{fill(table.title, width)}\n{text}", tuple(table.heads[place] for place in gone)


def _cells(table: Table, place: int) -> tuple[str, ...]:
    """One column, its head first."""
    return (table.heads[place], *(row[place] for row in table.rows))


def _is_wordy(column: Sequence[str]) -> bool:
    return any(len(cell) > WORDY and " " in cell for cell in column[1:])


def _whole(column: Sequence[str]) -> int:
    return max(map(len, column))


def _least(column: Sequence[str]) -> int:
    """Least width: no word of a head is cut, nor a cell, unless it is a sentence."""
    head, *cells = column
    words = [len(word) for word in head.split()]
    if _is_wordy(column):
        words += [LEAST_WORDY, *(len(word) for cell in cells for word in cell.split())]
    else:
        words += map(len, cells)
    return max(words, default=1)


def _wide(columns: Sequence[Sequence[str]], kept: Sequence[int], size: Size) -> int:
    return sum(size(columns[place]) + GAP for place in kept) - GAP


def _parts(
    columns: Sequence[Sequence[str]], kept: Sequence[int], width: int, size: Size
) -> list[list[int]]:
    """Columns that stand side by side, the first in each part."""
    first, *rest = kept
    parts = [[first]]
    for place in rest:
        if len(parts[-1]) > 1 and _wide(columns, [*parts[-1], place], size) > width:
            parts.append([first])
        parts[-1].append(place)
    return parts


def _widths(columns: Sequence[Sequence[str]], part: Sequence[int], width: int) -> list[int]:
    """Width of each column: the least, and what is left goes to those that want more."""
    widths = [_least(columns[place]) for place in part]
    left = width - sum(widths) - GAP * (len(part) - 1)
    order = sorted(enumerate(part), key=lambda one: not _is_wordy(columns[one[1]]))
    for at, place in order:
        taken = max(0, min(left, _whole(columns[place]) - widths[at]))
        widths[at] += taken
        left -= taken
    return widths


def _drawn(columns: Sequence[Sequence[str]], part: Sequence[int], width: int) -> str:
    """Columns side by side, heads at the bottom of their lines, sentences from the top."""
    widths, lines = _widths(columns, part, width), list[str]()
    for row in range(len(columns[part[0]])):
        cells = [wrap(columns[place][row], max(wide, 1), break_long_words=False) or [""]
                 for place, wide in zip(part, widths, strict=True)]  # fmt: skip
        high = max(map(len, cells))
        for cell in cells:
            blank = [""] * (high - len(cell))
            cell[:] = [*blank, *cell] if row == 0 else [*cell, *blank]
        for line in zip(*cells, strict=True):
            laid = [
                text.ljust(wide) if at == 0 or _is_wordy(columns[place]) else text.rjust(wide)
                for at, (text, wide, place) in enumerate(zip(line, widths, part, strict=True))
            ]
            lines.append((" " * GAP).join(laid).rstrip())
    return "\n".join(lines)

"""Large sheet: a list in letters that eyes read from a metre, and a screen reader reads aloud.

    ┌──────────────────────┐
    │ title                │   Letters as large as the rows allow, never under 24 points; one column
    │ 1  33 yd   41.2      │   of rows, or two, or more pages. Black on white, or white on black.
    │ 2  18 yd   24.0      │
    │ …      3   80 yd  61.3  guess
    │ one sentence         │
    └──────────────────────┘

Holds:  the LargeWords record; the pages.
Never:  what stands in the rows, file formats, a point but for the least letter.
Source: numbers of 20 minutes of arc and more are preferred [ISO9241-3]: 5.82 mm from 1 m.
"""

from dataclasses import dataclass
from typing import NamedTuple

from tapewright.drawing.lettering import CAP, width_mm, wrapped
from tapewright.drawing.paper import A4, Paper, Sheet
from tapewright.drawing.shapes import BLACK, WHITE, Box, Line, Role, Shape, Text
from tapewright.ground.errors import DoesNotFit

MARGIN_MM = 12.0
LEAST_EM_MM = 8.5  # 24 points are 8.47 mm; a digit is then 6.2 mm high
MOST_EM_MM = 16.0
STEP_MM = 0.25
FEED = 1.3  # from line to line, in ems
GAP = 0.5  # between two cells, in ems
APART_MM = 8.0  # between two columns of rows
RULE_MM, RULE_GREY = 0.2, 0.5
MOST_COLUMNS = 2


@dataclass(frozen=True, slots=True)
class LargeWords:
    """What stands on the pages.

    Parameters
    ----------
    title : str
        Over every page, so that none is taken for one of another list.
    heads : tuple of str
        Of the columns; all but the last stand to the right.
    rows : tuple of tuple of str
        Cells; those of the last column are words, and may all be empty.
    foot : tuple of str
        A sentence each, under the last row.
    is_dark : bool
        White on black.
    """

    title: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    foot: tuple[str, ...]
    is_dark: bool = False


class _Look(NamedTuple):
    """How rows are laid out."""

    em_mm: float
    columns: int  # of rows, beside each other
    per_page: int  # rows in a column


def large_sheets(words: LargeWords, paper: Paper = A4) -> tuple[Sheet, ...]:
    """The pages, in letters as large as they allow.

    Parameters
    ----------
    words : LargeWords
        What stands on them.
    paper : Paper, default A4
        What they are printed on.

    Returns
    -------
    tuple of Sheet
        One or more.

    Raises
    ------
    DoesNotFit
        If a row is wider than the paper in the least letters.
    """
    look = _look(words, paper)
    left, pages = list(range(len(words.rows))), list[Sheet]()
    while left or not pages:
        room = look.columns * look.per_page
        here, left = left[:room], left[room:]
        shapes = _page(words, look, paper, here, is_first=not pages, is_last=not left)
        pages.append(Sheet(paper, tuple(shapes), words.title))
    return tuple(pages)


def _look(words: LargeWords, paper: Paper) -> _Look:
    """One page with the largest letters; else as few pages as the least letters take."""
    em_mm = MOST_EM_MM
    while em_mm >= LEAST_EM_MM:
        for columns in range(1, MOST_COLUMNS + 1):
            found = _tried(words, paper, em_mm, columns)
            if found and columns * found.per_page >= len(words.rows):
                return found
        em_mm -= STEP_MM
    tried = (_tried(words, paper, LEAST_EM_MM, one) for one in range(MOST_COLUMNS, 0, -1))
    if found := next((one for one in tried if one), None):
        return found
    wide_mm, room_mm = _wide_mm(words, LEAST_EM_MM), paper.width_mm - 2.0 * MARGIN_MM
    raise DoesNotFit(wide_mm, room_mm, "Shorten the names, or take a larger paper")


def _tried(words: LargeWords, paper: Paper, em_mm: float, columns: int) -> _Look | None:
    """Rows in letters of a size and so many columns; None if they have no room."""
    room_mm = paper.width_mm - 2.0 * MARGIN_MM
    if columns * _wide_mm(words, em_mm) + (columns - 1) * APART_MM > room_mm:
        return None
    lines = (paper.height_mm - 2.0 * MARGIN_MM) / (FEED * em_mm)
    foot = sum(len(_lines(one, em_mm, room_mm)) for one in words.foot)
    title = len(_lines(words.title, em_mm, room_mm))
    # A line each for the heads, and half for the white after the title and before the foot.
    rows = int(lines - 2.0 - foot - title)
    return _Look(em_mm, columns, rows) if rows > 0 else None


def _lines(text: str, em_mm: float, room_mm: float) -> tuple[str, ...]:
    return wrapped(text, em_mm, room_mm, bold=True)


def _cells_mm(words: LargeWords, em_mm: float) -> list[float]:
    """Width of each column."""
    return [
        max(width_mm(row[place], em_mm, bold=True) for row in (words.heads, *words.rows))
        for place in range(len(words.heads))
    ]


def _wide_mm(words: LargeWords, em_mm: float) -> float:
    """Width of a row."""
    cells = [one for one in _cells_mm(words, em_mm) if one]
    return sum(cells) + GAP * em_mm * (len(cells) - 1)


def _page(
    words: LargeWords, look: _Look, paper: Paper, here: list[int], *, is_first: bool, is_last: bool
) -> list[Shape]:
    """One page."""
    em_mm, room_mm = look.em_mm, paper.width_mm - 2.0 * MARGIN_MM
    ink = WHITE if words.is_dark else BLACK
    shapes: list[Shape] = []
    if words.is_dark:
        shapes.append(Box(0.0, 0.0, paper.width_mm, paper.height_mm, 0.0, BLACK))
    base_mm = MARGIN_MM + CAP * em_mm
    title: Role = "title" if is_first else ""  # heard once, as the heads are
    more, base_mm = _sentence(words.title, title, base_mm, em_mm, room_mm, ink)
    shapes += more
    base_mm += 0.5 * FEED * em_mm
    each = -(-len(here) // look.columns)  # rows in a column: as many in each
    wide_mm = (room_mm - (look.columns - 1) * APART_MM) / look.columns
    for column in range(look.columns):
        rows = here[column * each : (column + 1) * each]
        x_mm = MARGIN_MM + column * (wide_mm + APART_MM)
        heads: Role = "head" if is_first and column == 0 else ""
        shapes += _rows(words, rows, (x_mm, base_mm, wide_mm), em_mm, ink, heads)
    base_mm += (each + 1.5) * FEED * em_mm
    for sentence in words.foot if is_last else ():
        more, base_mm = _sentence(sentence, "words", base_mm, em_mm, room_mm, ink)
        shapes += more
    return shapes


def _sentence(
    text: str, role: Role, base_mm: float, em_mm: float, room_mm: float, ink: float
) -> tuple[list[Shape], float]:
    """A sentence on as many lines as it takes, and where the next line stands."""
    shapes: list[Shape] = []
    for line in _lines(text, em_mm, room_mm):
        said: Role = "on" if shapes and role else role
        shapes.append(Text(MARGIN_MM, base_mm, line, em_mm, bold=True, grey=ink, role=said))
        base_mm += FEED * em_mm
    return shapes, base_mm


def _rows(
    words: LargeWords,
    rows: list[int],
    at_mm: tuple[float, float, float],
    em_mm: float,
    ink: float,
    heads: Role,
) -> list[Shape]:
    """Heads and some rows, numbers at the right of their column, words at the left of theirs."""
    x_mm, base_mm, wide_mm = at_mm
    cells_mm, last = _cells_mm(words, em_mm), len(words.heads) - 1
    shapes: list[Shape] = []
    for place, row in enumerate((words.heads, *(words.rows[one] for one in rows))):
        left_mm = x_mm
        for column, cell in enumerate(row):
            right_mm = left_mm + cells_mm[column]
            role: Role = "cell" if column else "first"
            text = Text(
                left_mm if column == last else right_mm,
                base_mm,
                cell,
                em_mm,
                bold=place > 0 and column >= last - 1,  # what to set, and what is said of it
                anchor="start" if column == last else "end",
                grey=ink,
                role=role if place else heads,
            )
            if cell:
                shapes.append(text)
            left_mm = right_mm + GAP * em_mm
        rule_mm = base_mm + 0.5 * (FEED - CAP) * em_mm
        shapes.append(Line(x_mm, rule_mm, x_mm + wide_mm, rule_mm, RULE_MM, RULE_GREY))
        base_mm += FEED * em_mm
    return shapes

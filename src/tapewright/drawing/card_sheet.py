"""Card sheet: a table of what an arrow does, on a full page and as a card to fold.

    ┌───────────────────┐
    │ title             │   The pocket card is cut out along its edge and folded away from
    │ front of the table│   the reader along the broken line; turned over top to bottom its
    ├ ─ ─ ─ ─ ─ ─ ─ ─ ─ ┤   back is upright. It is as wide as a bank card and as high as
    │ back of the table │   its rows need.
    └───────────────────┘

Holds:  CardTable and CardWords records; both sheets.
Never:  what the cells mean, file formats.
Source: ISO/IEC 7810 ID-1, 85.6 mm × 53.98 mm, for the width and least height (from memory).
"""

from dataclasses import dataclass

from tapewright.drawing.blocks import HAIR_MM, SOFT_GREY, heading, paragraph
from tapewright.drawing.lettering import CAP, shortened, width_mm
from tapewright.drawing.paper import A4, Paper, Sheet
from tapewright.drawing.shapes import Box, Line, Shape, Text
from tapewright.ground.errors import DoesNotFit

MARGIN_MM = 10.0
TITLE_EM_MM = 6.0
CARD_WIDE_MM, PANEL_LEAST_MM = 85.6, 54.0
CARD_TOP_MM = 34.0
FOLD_MM, BESIDE_MM = 6.0, 10.0  # fold line past the edge; from there to the small print
INSET_MM = 3.0
FAINT = 0.45
BAND_GREY = 0.93
SMALLEST_EM_MM = 1.9


@dataclass(frozen=True, slots=True)
class CardTable:
    """Cells with their heads.

    Parameters
    ----------
    heads : tuple of (str, str)
        Name and unit of each column; the first column stands on both sides of the pocket card.
    rows : tuple of tuple of str
        The cells.
    front : int
        Columns on the front of the pocket card, the first one counted.
    faint : frozenset of int
        Rows to be shown less strongly.
    bold : int, default 2
        So many columns are bold.
    """

    heads: tuple[tuple[str, str], ...]
    rows: tuple[tuple[str, ...], ...]
    front: int
    faint: frozenset[int] = frozenset()
    bold: int = 2

    def columns(self, chosen: tuple[int, ...]) -> "CardTable":
        """The same rows with some of the columns.

        Parameters
        ----------
        chosen : tuple of int
            Which, in order.

        Returns
        -------
        CardTable
            A narrower table.
        """
        return CardTable(
            tuple(self.heads[one] for one in chosen),
            tuple(tuple(row[one] for one in chosen) for row in self.rows),
            len(chosen),
            self.faint,
            self.bold,
        )


@dataclass(frozen=True, slots=True)
class CardWords:
    """The sentences of a card; people's words come from the faces.

    Parameters
    ----------
    title, subtitle : str
        Over the card.
    trust : str
        How far it may be trusted, short.
    close : tuple of CardTable
        Close marks; empty for none.
    notes, cautions : tuple of str
        Small print, on both pages.
    fold : str
        How to cut and fold the pocket card.
    printed : str
        Date of the print.
    """

    title: str
    subtitle: str
    trust: str
    close: tuple[CardTable, ...]
    notes: tuple[str, ...]
    cautions: tuple[str, ...]
    fold: str
    printed: str = ""


def full_sheet(table: CardTable, words: CardWords, paper: Paper = A4) -> Sheet:
    """The card on a full page.

    Parameters
    ----------
    table : CardTable
        Heads and cells.
    words : CardWords
        The sentences.
    paper : Paper, default A4
        What it is printed on.

    Returns
    -------
    Sheet
        The page.

    Raises
    ------
    DoesNotFit
        If the table or the words are larger than the paper.
    """
    room_mm = paper.width_mm - 2.0 * MARGIN_MM
    shapes = _title(words, paper)
    more, y_mm = _table(table, (MARGIN_MM, 26.0), room_mm, (2.9, 5.6))
    shapes += more
    for close in words.close:
        more, y_mm = _table(close, (MARGIN_MM, y_mm + 3.0), room_mm, (2.6, 4.0))
        shapes += more
    shapes += _small_print(words, (MARGIN_MM, y_mm), room_mm, paper)
    return Sheet(paper, tuple(shapes), words.title)


def pocket_sheet(table: CardTable, words: CardWords, paper: Paper = A4) -> Sheet:
    """The card to cut out and fold.

    Parameters
    ----------
    table : CardTable
        Heads and cells.
    words : CardWords
        The sentences.
    paper : Paper, default A4
        What it is printed on.

    Returns
    -------
    Sheet
        The page.

    Raises
    ------
    DoesNotFit
        If the card is larger than the paper.
    """
    left_mm = MARGIN_MM + FOLD_MM
    back = (0, *range(table.front, len(table.heads)))
    first, end_mm = _panel(
        table.columns(tuple(range(table.front))), words, (left_mm, CARD_TOP_MM), words.trust
    )
    rear, rear_mm = _panel(table.columns(back), words, (left_mm, 0.0), words.close)
    high_mm = max(PANEL_LEAST_MM, end_mm - CARD_TOP_MM, rear_mm)
    fold_mm = CARD_TOP_MM + high_mm
    _fit(fold_mm + high_mm, paper.height_mm - MARGIN_MM)
    rear, _ = _panel(table.columns(back), words, (left_mm, fold_mm), words.close)
    right_mm = left_mm + CARD_WIDE_MM
    edge = Box(left_mm, CARD_TOP_MM, CARD_WIDE_MM, 2.0 * high_mm, 0.15, layer="cut")
    fold = Line(left_mm - FOLD_MM, fold_mm, right_mm + FOLD_MM, fold_mm, 0.15, dashed=True)
    told = Text(right_mm + FOLD_MM + 1.0, fold_mm + CAP * 2.4 / 2.0, "fold", 2.4)
    how, _ = paragraph(words.fold, MARGIN_MM, 25.0, paper.width_mm - 2.0 * MARGIN_MM)
    beside_mm = right_mm + FOLD_MM + BESIDE_MM
    room_mm = paper.width_mm - MARGIN_MM - beside_mm
    beside = _small_print(words, (beside_mm, CARD_TOP_MM - 4.0), room_mm, paper)
    shapes = (*_title(words, paper), *how, edge, fold, told, *first, *rear, *beside)
    return Sheet(paper, shapes, words.title)


def _section(
    head: str, lines: tuple[str, ...], place_mm: tuple[float, float], room_mm: float
) -> tuple[list[Shape], float]:
    """A heading with paragraphs, and where they end."""
    x_mm, y_mm = place_mm
    shapes, y_mm = heading(head, x_mm, y_mm + 4.0, room_mm)
    for line in lines:
        more, y_mm = paragraph(line, x_mm, y_mm, room_mm)
        shapes += more
        y_mm += 0.7
    return shapes, y_mm


def _small_print(
    words: CardWords, place_mm: tuple[float, float], room_mm: float, paper: Paper
) -> list[Shape]:
    """Notes and cautions, down to the margin at most."""
    x_mm, y_mm = place_mm
    shapes: list[Shape] = []
    for head, lines in (
        ("Notes", (words.trust, *words.notes)),
        ("Before you shoot", words.cautions),
    ):
        if lines:
            more, y_mm = _section(head, lines, (x_mm, y_mm), room_mm)
            shapes += more
    _fit(y_mm, paper.height_mm - MARGIN_MM)
    return shapes


def _title(words: CardWords, paper: Paper) -> list[Shape]:
    right_mm = paper.width_mm - MARGIN_MM
    room_mm = right_mm - MARGIN_MM - width_mm(words.subtitle, 2.6) - 6.0
    title = shortened(words.title, TITLE_EM_MM, room_mm, bold=True)
    return [
        Text(MARGIN_MM, 16.5, title, TITLE_EM_MM, bold=True),
        Text(right_mm, 16.5, words.subtitle, 2.6, anchor="end", grey=0.3),
        Line(MARGIN_MM, 20.0, right_mm, 20.0, 0.25),
    ]


def _panel(
    table: CardTable,
    words: CardWords,
    place_mm: tuple[float, float],
    foot: str | tuple[CardTable, ...],
) -> tuple[list[Shape], float]:
    """One side of the pocket card."""
    x_mm, y_mm = place_mm[0] + INSET_MM, place_mm[1] + 2.4
    room_mm = CARD_WIDE_MM - 2.0 * INSET_MM
    title = shortened(words.title, 2.9, room_mm, bold=True)
    shapes: list[Shape] = [Text(x_mm, y_mm + CAP * 2.9, title, 2.9, bold=True)]
    more, y_mm = _table(table, (x_mm, y_mm + 3.4), room_mm, (2.4, 3.5))
    shapes += more
    if isinstance(foot, str):
        more, y_mm = paragraph(foot, x_mm, y_mm + 1.2, room_mm, 2.0)
        shapes += more
    else:
        for close in foot:
            more, y_mm = _table(close, (x_mm, y_mm + 2.0), room_mm, (2.2, 3.1))
            shapes += more
    return shapes, y_mm + 2.0


def _table(
    table: CardTable,
    place_mm: tuple[float, float],
    room_mm: float,
    size_mm: tuple[float, float],
) -> tuple[list[Shape], float]:
    """Cells in columns as wide as they need, every second row on grey."""
    em_mm, feed_mm = size_mm
    x_mm, y_mm = place_mm
    em_mm, wide = _fitted(table, room_mm, em_mm)
    spare_mm = (room_mm - sum(wide)) / len(wide)
    ends = [x_mm + sum(wide[: one + 1]) + spare_mm * (one + 0.6) for one in range(len(wide))]
    shapes: list[Shape] = []
    for (name, unit), end_mm in zip(table.heads, ends, strict=True):
        shapes.append(Text(end_mm, y_mm + em_mm, name, 0.85 * em_mm, bold=True, anchor="end"))
        shapes.append(Text(end_mm, y_mm + 2.1 * em_mm, unit, 0.8 * em_mm, anchor="end", grey=0.3))
    y_mm += 2.5 * em_mm
    shapes.append(Line(x_mm, y_mm, x_mm + room_mm, y_mm, 0.2))
    for place, row in enumerate(table.rows):
        if place % 2:
            shapes.append(Box(x_mm, y_mm, room_mm, feed_mm, 0.0, BAND_GREY))
        base_mm = y_mm + 0.5 * (feed_mm + CAP * em_mm)
        grey = FAINT if place in table.faint else 0.0
        shapes += [
            Text(
                end_mm,
                base_mm,
                cell,
                em_mm,
                bold=column < table.bold and not grey,
                anchor="end",
                grey=grey,
            )
            for column, (cell, end_mm) in enumerate(zip(row, ends, strict=True))
        ]
        y_mm += feed_mm
    shapes.append(Line(x_mm, y_mm, x_mm + room_mm, y_mm, HAIR_MM, SOFT_GREY))
    return shapes, y_mm


def _fitted(table: CardTable, room_mm: float, em_mm: float) -> tuple[float, list[float]]:
    """Size of the lettering with which all columns fit, and their widths."""
    each = [
        max(
            0.85 * width_mm(name, 1.0, bold=True),
            0.8 * width_mm(unit, 1.0),
            *(width_mm(row[column], 1.0, bold=column < table.bold) for row in table.rows),
        )
        for column, (name, unit) in enumerate(table.heads)
    ]
    gaps = 0.7 * len(each)  # in ems
    em_mm = min(em_mm, room_mm / (sum(each) + gaps))
    if em_mm < SMALLEST_EM_MM:
        needed_mm = SMALLEST_EM_MM * (sum(each) + gaps)
        raise DoesNotFit(needed_mm, room_mm, "Shorten the name of the rig, or ask for less")
    return em_mm, [one * em_mm for one in each]


def _fit(end_mm: float, room_mm: float) -> None:
    if end_mm > room_mm:
        raise DoesNotFit(end_mm, room_mm, "Ask for fewer distances")

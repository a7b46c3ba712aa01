"""QR: a square of black and white cells that a phone reads.

Holds:  cells into filled boxes, with the white border that readers need.
Never:  how words become cells; what the words say.
Source: ISO/IEC 18004: a quiet zone four cells wide [ISO18004]; cells of 0.6 mm: with 0.5 mm
        OpenCV's reader missed three of four codes on a page scanned at 150 dpi.
"""

from itertools import groupby

from tapewright.drawing.shapes import Box, Shape

QUIET_CELLS = 4
LEAST_CELL_MM = 0.6
LEAST_SIDE_MM = 26.0


def code_side_mm(cells: tuple[tuple[bool, ...], ...]) -> float:
    """Width and height that a code takes, border and all.

    Parameters
    ----------
    cells : tuple of rows of bool
        As many rows as columns, without a border.

    Returns
    -------
    float
        The least side with cells large enough to read. [mm]
    """
    return max(LEAST_CELL_MM * (len(cells) + 2 * QUIET_CELLS), LEAST_SIDE_MM)


def code_square(
    cells: tuple[tuple[bool, ...], ...], x_mm: float, y_mm: float, side_mm: float
) -> list[Shape]:
    """Cells as boxes, one for each run of black in a row.

    Parameters
    ----------
    cells : tuple of rows of bool
        True is black; as many rows as columns, without a border.
    x_mm, y_mm : float
        Top left corner of the white border. [mm]
    side_mm : float
        Width and height, border and all. [mm]

    Returns
    -------
    list of shapes
        The drawing.
    """
    cell_mm = side_mm / (len(cells) + 2 * QUIET_CELLS)
    shapes: list[Shape] = []
    for row, line in enumerate(cells, QUIET_CELLS):
        column = QUIET_CELLS
        for black, run in groupby(line):
            count = len(list(run))
            if black:
                place_mm = x_mm + column * cell_mm, y_mm + row * cell_mm
                shapes.append(Box(*place_mm, count * cell_mm, cell_mm, line_mm=0.0))
            column += count
    return shapes

"""Target page: what all sheets of one target share, and the boxes to write into.

Holds:  TargetWords and TargetPage records; a row of boxes; the printer's error taken out.
Never:  the grid, tiles, what the words say about a rig.
"""

from dataclasses import dataclass

from tapewright.drawing.blocks import HAIR_MM, Block
from tapewright.drawing.lettering import CAP, shortened
from tapewright.drawing.paper import Paper, PrinterCorrection, Sheet
from tapewright.drawing.shapes import Box, Shape, Text, stretched

FIELD_HIGH_MM = 7.0
FIELD_GAP_MM = 1.6
LABEL_EM_MM = 2.1
VALUE_EM_MM = 3.0
SMALL_EM_MM = 2.1


@dataclass(frozen=True, slots=True)
class TargetWords:
    """The words on a target.

    Parameters
    ----------
    title, subtitle : str
        What it is called, and what its numbers mean.
    fields : tuple of (str, str, float)
        Boxes to write into: what, what is known of it already, share of the row.
    hanging : str
        How to hang it true.
    proof : str
        What to do with the two rulers.
    steps : tuple of str
        How to put a target of several sheets together.
    notes : tuple of str
        Small print.
    printed : str
        Date of the print.
    cautions : tuple of str
        What must be read before shooting.
    """

    title: str
    subtitle: str
    fields: tuple[tuple[str, str, float], ...] = ()
    hanging: str = ""
    proof: str = ""
    steps: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    printed: str = ""
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class TargetPage:
    """Words, paper and printer of one target.

    Parameters
    ----------
    words : TargetWords
        What it says.
    paper : Paper
        What it is printed on.
    correction : PrinterCorrection
        The printer's own error.
    """

    words: TargetWords
    paper: Paper
    correction: PrinterCorrection

    @property
    def wide_mm(self) -> float:
        """Width of paper in true mm as this printer prints [mm]."""
        return self.paper.width_mm * self.correction.across

    @property
    def high_mm(self) -> float:
        """Height of paper in true mm as this printer prints [mm]."""
        return self.paper.height_mm * self.correction.down

    def finished(self, shapes: list[Shape]) -> Sheet:
        """Sheet of these shapes, divided by the printer's own error."""
        across, down = 1.0 / self.correction.across, 1.0 / self.correction.down
        drawn = tuple(stretched(shape, across, down) for shape in shapes)
        return Sheet(self.paper, drawn, self.words.title)


def field_row(
    fields: tuple[tuple[str, str, float], ...], x_mm: float, y_mm: float, room_mm: float
) -> Block:
    """Row of boxes to write into, each under its label.

    Parameters
    ----------
    fields : tuple of (str, str, float)
        Label, what is known already, share of the row.
    x_mm, y_mm : float
        Top left corner. [mm]
    room_mm : float
        Width of the row. [mm]

    Returns
    -------
    list of shapes, float
        The drawing, and where the next block may begin. [mm]
    """
    shapes: list[Shape] = []
    shares = sum(share for _, _, share in fields)
    boxes_mm = room_mm - FIELD_GAP_MM * (len(fields) - 1)
    top_mm = y_mm + CAP * LABEL_EM_MM + 0.9
    base_mm = top_mm + (FIELD_HIGH_MM + CAP * VALUE_EM_MM) / 2.0
    for label, value, share in fields:
        wide_mm = boxes_mm * share / shares
        words = shortened(value, VALUE_EM_MM, wide_mm - 3.0)
        shapes += [
            Text(x_mm + 0.2, y_mm + CAP * LABEL_EM_MM, label, LABEL_EM_MM, grey=0.3),
            Box(x_mm, top_mm, wide_mm, FIELD_HIGH_MM, 2.0 * HAIR_MM, 0.25),
        ]
        if value:
            shapes.append(Text(x_mm + 1.5, base_mm, words, VALUE_EM_MM))
        x_mm += wide_mm + FIELD_GAP_MM
    return shapes, top_mm + FIELD_HIGH_MM

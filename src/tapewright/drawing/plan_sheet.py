"""Plan sheet: how the sheets of a large target lie, how to put them together, and two rulers.

Holds:  the page that is printed before the tiles.
Never:  the tiles themselves, the sentences.
"""

from tapewright.drawing.aiming_mark import diamond
from tapewright.drawing.blocks import (
    BOX_WIDE_MM,
    Block,
    answer_box,
    heading,
    paragraph,
    ruler_across,
    ruler_down,
)
from tapewright.drawing.clipping import Area
from tapewright.drawing.lettering import CAP, shortened
from tapewright.drawing.paper import PROOF_MM
from tapewright.drawing.shapes import Box, Line, Shape, Text
from tapewright.drawing.target_grid import Target
from tapewright.drawing.target_page import TargetPage, field_row
from tapewright.drawing.tiles import Tiling
from tapewright.ground.errors import DoesNotFit

MARGIN_MM = 10.0
GUTTER_MM = 8.0
TITLE_EM_MM = 6.0
MAP_MM, MAP_HIGH_MM = 84.0, 112.0
MAP_GREY = 0.45
MAP_EM_MM = 2.6
MAP_AIM_MM = 2.4
SIDE_MM = 18.0  # beside the upright ruler
ROW_HIGH_MM = 9.4


def plan_shapes(target: Target, tiles: Tiling, page: TargetPage) -> list[Shape]:
    """Everything on the sheet that says how to put the tiles together.

    Parameters
    ----------
    target : Target
        The target.
    tiles : Tiling
        Its sheets.
    page : TargetPage
        Words and paper.

    Returns
    -------
    list of shapes
        In true mm from the paper's corner.

    Raises
    ------
    DoesNotFit
        If the words are longer than the paper.
    """
    right_mm, bottom_mm = page.wide_mm - MARGIN_MM, page.high_mm - MARGIN_MM
    room_mm = right_mm - MARGIN_MM
    words = page.words
    title = shortened(words.title, TITLE_EM_MM, room_mm, bold=True)
    shapes: list[Shape] = [
        Text(MARGIN_MM, 16.5, title, TITLE_EM_MM, bold=True),
        Text(MARGIN_MM, 21.5, shortened(words.subtitle, 2.6, room_mm), 2.6, grey=0.3),
        Line(MARGIN_MM, 24.5, right_mm, 24.5, 0.25),
    ]
    map_shapes, map_end_mm = _map(target, tiles, MARGIN_MM, 29.0)
    side_mm = MARGIN_MM + MAP_MM + GUTTER_MM
    steps, steps_end_mm = _steps(page, side_mm, 29.0, right_mm - side_mm)
    proof, end_mm = _proof(page, max(map_end_mm, steps_end_mm) + 6.0, room_mm)
    if words.cautions:
        shapes += heading("Before you shoot", MARGIN_MM, end_mm + 5.0, room_mm)[0]
        told, end_mm = paragraph(" ".join(words.cautions), MARGIN_MM, end_mm + 11.3, room_mm, 2.4)
        shapes += told
    if end_mm > bottom_mm:
        raise DoesNotFit(end_mm, bottom_mm, "Shorten the notes")
    return [*shapes, *map_shapes, *steps, *proof]


def _map(target: Target, tiles: Tiling, x_mm: float, y_mm: float) -> Block:
    """All faces in small, the frame of the target in them, and where the aim is."""
    faces = [tile.face for tile in tiles.tiles]
    whole = Area(faces[0].left_mm, faces[0].top_mm, faces[-1].right_mm, faces[-1].bottom_mm)
    scale = min(MAP_MM / whole.wide_mm, MAP_HIGH_MM / whole.high_mm)
    left_mm, top_mm = x_mm - scale * whole.left_mm, y_mm - scale * whole.top_mm
    shapes: list[Shape] = [
        Box(
            left_mm - scale * target.width_mm / 2.0,
            top_mm - scale * target.height_mm / 2.0,
            scale * target.width_mm,
            scale * target.height_mm,
            0.0,
            0.93,
        )
    ]
    for tile in tiles.tiles:
        face = tile.face
        em_mm = min(MAP_EM_MM, 0.16 * scale * face.wide_mm)
        places = (left_mm + scale * face.left_mm, top_mm + scale * face.top_mm)
        shapes.append(Box(*places, scale * face.wide_mm, scale * face.high_mm, 0.2, MAP_GREY))
        name = f"{tile.row}, {tile.column}"
        shapes.append(Text(places[0] + 0.5 * em_mm, places[1] + 1.4 * em_mm, name, em_mm))
    shapes += diamond(left_mm, top_mm, MAP_AIM_MM, 0.5 * MAP_AIM_MM)
    under_mm = y_mm + scale * whole.high_mm + 3.0 + CAP * 2.1
    words = "each sheet: row, column; grey: the target; diamond: the aim"
    shapes.append(Text(x_mm, under_mm, words, 2.1, grey=0.3))
    return shapes, under_mm + 1.0


def _steps(page: TargetPage, x_mm: float, y_mm: float, room_mm: float) -> Block:
    """What to do, one step after another; then how to hang it."""
    shapes, y_mm = heading("Putting it together", x_mm, y_mm, room_mm)
    for number, step in enumerate(page.words.steps, 1):
        shapes.append(Text(x_mm, y_mm + CAP * 2.6, f"{number}", 2.6, bold=True))
        more, y_mm = paragraph(step, x_mm + 4.5, y_mm, room_mm - 4.5)
        shapes += more
        y_mm += 1.2
    more, y_mm = heading("Hanging it true", x_mm, y_mm + 2.0, room_mm)
    shapes += more
    more, y_mm = paragraph(page.words.hanging, x_mm, y_mm, room_mm)
    shapes += more
    return shapes, y_mm


def _proof(page: TargetPage, y_mm: float, room_mm: float) -> Block:
    """Both proof rulers, the boxes for what they measured, notes, boxes to write into."""
    x_mm = MARGIN_MM
    shapes, y_mm = heading("Proof rulers", x_mm, y_mm, room_mm)
    y_mm += 2.0
    shapes += ruler_down(x_mm + 5.0, y_mm)
    side_mm, side_room_mm = x_mm + SIDE_MM, room_mm - SIDE_MM
    shapes += ruler_across(side_mm + 1.0, y_mm + 5.0)
    more, box_mm = paragraph(page.words.proof, side_mm, y_mm + 13.0, side_room_mm)
    shapes += more
    end_mm = box_mm
    for index, words in enumerate(("across measures", "down measures")):
        place_mm = side_mm + index * (BOX_WIDE_MM + 8.0)
        more, end_mm = answer_box(words, place_mm, box_mm + 3.0)
        shapes += more
    more, end_mm = _notes(page, side_mm, end_mm + 6.0, side_room_mm)
    shapes += more
    row_mm = max(end_mm + 4.0, y_mm + PROOF_MM - ROW_HIGH_MM)
    more, end_mm = field_row(page.words.fields, side_mm, row_mm, side_room_mm)
    return [*shapes, *more], max(end_mm, y_mm + PROOF_MM)


def _notes(page: TargetPage, x_mm: float, y_mm: float, room_mm: float) -> Block:
    shapes, y_mm = heading("Notes", x_mm, y_mm, room_mm)
    for note in page.words.notes:
        more, y_mm = paragraph(note, x_mm, y_mm, room_mm, 2.4)
        shapes += more
        y_mm += 0.7
    return shapes, y_mm

"""Tile sheet: one sheet of a target that is larger than the paper.

Holds:  the room for a face on paper; a face with its tabs, cut lines, seams, label and bars.
Never:  how many sheets there are (tiles.py), what the target looks like (target_grid.py).
"""

from tapewright.drawing.aiming_mark import diamond
from tapewright.drawing.clipping import Area, inside, outside, words_area
from tapewright.drawing.lettering import CAP, shortened, width_mm
from tapewright.drawing.paper import PROOF_MM
from tapewright.drawing.shapes import Box, Line, Shape, Text, moved
from tapewright.drawing.target_page import TargetPage
from tapewright.drawing.tiles import CLEAR_MM, TAB_MM, Seam, Tile, Tiling, clear_corners, seams

LEFT_MM, RIGHT_MM = 12.0, 8.0
TOP_MM, BOTTOM_MM = 17.0, 8.0
PAST_MM, PAST_TAB_MM = 5.0, 2.8  # reach of cut marks; a printer leaves 5 mm of the paper white
SEAM_DIAMOND_MM = 3.0  # half diagonal of the open diamonds that two sheets share
SEAM_DIAMOND_OPEN_MM = 2.55
SEAM_DIAMONDS_AT = (0.3, 0.7)  # shares of a seam
SEAM_EM_MM, SMALL_EM_MM, LABEL_EM_MM = 2.4, 2.1, 3.4
CUT_MM, CUT_GREY = 0.15, 0.45  # light: half of it stays on the edge that is seen
GLUE_MM, BAR_MM = 0.25, 0.25
HEADER_MM = 11.0
CUT_WORDS_AT = 0.2  # share of the edge; the bar stands in its middle
CUT_WORDS = "cut along this line"
GLUE_WORDS = "glue: the next sheet comes up to the broken line"
BAR_WORDS = f"{PROOF_MM} mm"


def face_room_mm(page: TargetPage) -> tuple[float, float]:
    """Largest face of a tile on this paper.

    Parameters
    ----------
    page : TargetPage
        The paper and its printer.

    Returns
    -------
    float, float
        Width and height, the tabs not counted. [mm]
    """
    return (
        page.wide_mm - LEFT_MM - RIGHT_MM - TAB_MM,
        page.high_mm - TOP_MM - BOTTOM_MM - TAB_MM,
    )


def tile_shapes(
    tile: Tile,
    tiles: Tiling,
    drawing: tuple[Shape, ...],
    page: TargetPage,
) -> list[Shape]:
    """Everything on the sheet of one tile, in true mm from the paper's corner.

    Parameters
    ----------
    tile : Tile
        Which part.
    tiles : Tiling
        All parts.
    drawing : tuple of shapes
        The whole, from the aim; boxes are the tile's own marks for a camera.
    page : TargetPage
        Words and paper.

    Returns
    -------
    list of shapes
        The face with its tabs; what helps to cut and glue.
    """
    seen = kept(drawing, tile.face)
    right_mm, down_mm = LEFT_MM - tile.face.left_mm, TOP_MM - tile.face.top_mm
    shapes: list[Shape] = [moved(shape, right_mm, down_mm) for shape in seen]
    face_mm = (tile.face.wide_mm, tile.face.high_mm)
    paper_face = Area(LEFT_MM, TOP_MM, LEFT_MM + face_mm[0], TOP_MM + face_mm[1])
    shapes += _edges(tile, tiles, paper_face)
    shapes += _header(tile, tiles, page)
    shapes += _upright_bar(paper_face)
    return shapes


def seam_shapes(tiles: Tiling) -> tuple[Line | Text, ...]:
    """Two open diamonds across each seam, with its number on both sides.

    Parameters
    ----------
    tiles : Tiling
        The sheets.

    Returns
    -------
    tuple of Line and Text
        From the aim; each of two neighbouring sheets shows its half.
    """
    shapes: list[Line | Text] = []
    for seam in seams(tiles):
        for share in SEAM_DIAMONDS_AT:
            x_mm = seam.x1_mm + share * (seam.x2_mm - seam.x1_mm)
            y_mm = seam.y1_mm + share * (seam.y2_mm - seam.y1_mm)
            shapes += diamond(x_mm, y_mm, SEAM_DIAMOND_MM, SEAM_DIAMOND_OPEN_MM)
            shapes += _seam_numbers(seam, x_mm, y_mm)
    return tuple(shapes)


def _seam_numbers(seam: Seam, x_mm: float, y_mm: float) -> list[Text]:
    words, em_mm = f"{seam.number}", SEAM_EM_MM
    cap_mm, off_mm = CAP * em_mm, SEAM_DIAMOND_MM + 0.8
    if seam.is_upright:
        base_mm = y_mm + cap_mm / 2.0
        return [
            Text(x_mm - off_mm, base_mm, words, em_mm, bold=True, anchor="end"),
            Text(x_mm + off_mm, base_mm, words, em_mm, bold=True),
        ]
    return [
        Text(x_mm, y_mm - off_mm, words, em_mm, bold=True, anchor="middle"),
        Text(x_mm, y_mm + off_mm + cap_mm, words, em_mm, bold=True, anchor="middle"),
    ]


def kept(drawing: tuple[Shape, ...], face: Area) -> list[Shape]:
    """What of a drawing stands on a face and its tabs; lines and words keep off the clear corners.

    Parameters
    ----------
    drawing : tuple of shapes
        The whole.
    face : Area
        The face.

    Returns
    -------
    list of shapes
        Boxes as they are; lines cut at the edges; words whole, on each face that they touch.
    """
    whole, corners = face.grown(TAB_MM, TAB_MM), clear_corners(face)
    found: list[Shape] = []
    for shape in drawing:
        if isinstance(shape, Box):
            found.append(shape)
            continue
        if isinstance(shape, Text):
            room = words_area(shape)
            if room.meets(face) and not any(room.meets(corner) for corner in corners):
                found.append(shape)
            continue
        pieces = inside(shape, whole)
        for corner in corners:
            pieces = tuple(part for piece in pieces for part in outside(piece, corner))
        found += pieces
    return found


def _edges(tile: Tile, tiles: Tiling, face: Area) -> list[Shape]:
    """Cut lines at the left and top, the edge to lay the next sheet on at right and below."""
    shapes: list[Shape] = []
    inset_mm, past_mm = CLEAR_MM, PAST_MM
    if tile.column > 1:
        shapes += _cut(face, upright=True)
    if tile.row > 1:
        shapes += _cut(face, upright=False)
    middle_x_mm, middle_y_mm = face.middle_mm
    if tile.column < tiles.columns:
        x_mm = face.right_mm
        ends = (x_mm, face.top_mm + inset_mm, x_mm, face.bottom_mm - inset_mm)
        shapes.append(Line(*ends, GLUE_MM, dashed=True, layer="cut"))
        shapes.append(Line(x_mm, face.top_mm - past_mm, x_mm, face.top_mm - 1.0, CUT_MM, CUT_GREY))
        place = (x_mm + TAB_MM / 2.0 - 0.8, middle_y_mm)
        shapes.append(Text(*place, GLUE_WORDS, SMALL_EM_MM, anchor="middle", turn_deg=90.0))
    if tile.row < tiles.rows:
        y_mm = face.bottom_mm
        ends = (face.left_mm + inset_mm, y_mm, face.right_mm - inset_mm, y_mm)
        shapes.append(Line(*ends, GLUE_MM, dashed=True, layer="cut"))
        shapes.append(
            Line(face.left_mm - past_mm, y_mm, face.left_mm - 1.0, y_mm, CUT_MM, CUT_GREY)
        )
        place = (middle_x_mm, y_mm + TAB_MM / 2.0 + 0.8)
        shapes.append(Text(*place, GLUE_WORDS, SMALL_EM_MM, anchor="middle"))
    return shapes


def _cut(face: Area, *, upright: bool) -> list[Shape]:
    """Line to cut along, broken at the clear corners, with marks past both of its ends."""
    inset_mm, near_mm, far_mm = CLEAR_MM, 1.0, PAST_MM
    low_mm, high_mm = (face.top_mm, face.bottom_mm) if upright else (face.left_mm, face.right_mm)
    runs = (
        (low_mm - far_mm, low_mm - near_mm),
        (low_mm + inset_mm, high_mm - inset_mm),
        (high_mm + TAB_MM + near_mm, high_mm + TAB_MM + PAST_TAB_MM),
    )
    at_mm = face.left_mm if upright else face.top_mm
    lines: list[Shape] = [
        Line(at_mm, start, at_mm, end, CUT_MM, CUT_GREY, layer="cut")
        if upright
        else Line(start, at_mm, end, at_mm, CUT_MM, CUT_GREY, layer="cut")
        for start, end in runs
    ]
    words_mm = low_mm + CUT_WORDS_AT * (high_mm - low_mm)
    place = (at_mm - 1.0, words_mm) if upright else (words_mm, at_mm - 1.0)
    turn_deg = -90.0 if upright else 0.0
    words = Text(*place, CUT_WORDS, SMALL_EM_MM, anchor="middle", turn_deg=turn_deg)
    return [*lines, words]


def _header(tile: Tile, tiles: Tiling, page: TargetPage) -> list[Shape]:
    """Which sheet this is, and a bar across to prove the printer by."""
    name = f"row {tile.row}, column {tile.column}"
    after_mm = LEFT_MM + width_mm(name, LABEL_EM_MM, bold=True) + 2.0
    bar_mm = page.wide_mm - RIGHT_MM - PROOF_MM
    rest = f"of {tiles.rows} × {tiles.columns} · {page.paper.name} at 100 %"
    room_mm = bar_mm - after_mm - 3.0
    base_mm, y_mm = HEADER_MM, HEADER_MM - 0.8
    return [
        Text(LEFT_MM, base_mm, name, LABEL_EM_MM, bold=True),
        Text(after_mm, base_mm, shortened(rest, SMALL_EM_MM, room_mm), SMALL_EM_MM, grey=0.3),
        Line(bar_mm, y_mm, bar_mm + PROOF_MM, y_mm, BAR_MM),
        Line(bar_mm, y_mm - 1.2, bar_mm, y_mm + 1.2, BAR_MM),
        Line(bar_mm + PROOF_MM, y_mm - 1.2, bar_mm + PROOF_MM, y_mm + 1.2, BAR_MM),
        Text(bar_mm + PROOF_MM / 2.0, y_mm - 0.7, BAR_WORDS, SMALL_EM_MM, anchor="middle"),
    ]


def _upright_bar(face: Area) -> list[Shape]:
    """Bar down to prove the printer by, left of the face."""
    x_mm, top_mm = face.left_mm - 4.2, face.middle_mm[1] - PROOF_MM / 2.0
    words = Text(
        x_mm - 0.7, face.middle_mm[1], BAR_WORDS, SMALL_EM_MM, anchor="middle", turn_deg=-90.0
    )
    return [
        Line(x_mm, top_mm, x_mm, top_mm + PROOF_MM, BAR_MM),
        Line(x_mm - 1.2, top_mm, x_mm + 1.2, top_mm, BAR_MM),
        Line(x_mm - 1.2, top_mm + PROOF_MM, x_mm + 1.2, top_mm + PROOF_MM, BAR_MM),
        words,
    ]

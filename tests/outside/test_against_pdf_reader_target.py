"""A target is tested by measuring it: readers that we did not write find its lines on the page.

PDF is read by pdfplumber, SVG by svgelements; corners are looked at in pixels made by pdftocairo.
Wanted places are whole inches (25.4 mm, exact by definition of the inch) and centimetres from the
aim, 100 mm for the bars, and 1 mrad of the distance for the aiming mark.  Sheets are laid on each
other as a person does it: edge on the broken line, diamonds together.
"""

import io
import os
import shutil
import subprocess
from math import hypot
from statistics import fmean
from typing import NamedTuple

import pdfplumber
import pytest
import svgelements
from on_paper import without_letters
from written_out import A4, LETTER

from tapewright.drawing.paper import PrinterCorrection
from tapewright.drawing.pdf import pdf_bytes
from tapewright.drawing.svg import svg_text
from tapewright.drawing.target_sheet import Target, TargetWords, grid_room_mm, target_sheets

VECTOR_MM = 0.001  # a tenth of what is promised; files carry at least 4 decimals of a mm
LAID_MM = 0.002  # two sheets, each read to 0.001 mm
CIRCLE_MM = 0.01  # promised; a chord of 1.2 mm lies 0.0024 mm inside a circle of 76 mm
PAPERS = {"A4": A4, "Letter": LETTER}
SCALES = ((0.97, 1.02), (1.0, 1.0), (1.02, 0.97))
STEP_MM = {"in": 12.7, "cm": 10.0}  # half an inch, one centimetre
MARK_MM = 54.864  # 1 mrad of 60 yd
RADIUS_MM = 76.2  # 3 in
WORDS = TargetWords("Rig", "in", (("rig", "Rig", 1.0),), "Hang it.", "Measure.", ("Cut.",), ("n",))
DPI = 100


class Stroke(NamedTuple):
    """One line of a page, from left to right and from top to bottom where it is straight. [mm]"""

    x1: float
    y1: float
    x2: float
    y2: float
    wide: float
    grey: float
    dashed: bool

    def is_upright(self):
        return abs(self.x1 - self.x2) < 1e-4 < self.y2 - self.y1

    def is_level(self):
        return abs(self.y1 - self.y2) < 1e-4 < self.x2 - self.x1


def stroke(ends, wide, grey, dashed, scale):
    """Sorted by its ends, as this printer would print it."""
    (x1, y1), (x2, y2) = sorted((x * scale[0], y * scale[1]) for x, y in ends)
    if abs(x1 - x2) < 1e-4:
        y1, y2 = sorted((y1, y2))
    return Stroke(x1, y1, x2, y2, wide, grey, dashed)


def pdf_pages(sheets, scale):
    mm = 25.4 / 72.0
    with pdfplumber.open(io.BytesIO(pdf_bytes(sheets))) as document:
        return [
            [
                stroke(
                    [(x * mm, y * mm) for x, y in line["pts"]],
                    line["linewidth"] * mm,
                    line["stroking_color"],
                    bool(line["dash"] and line["dash"][0]),
                    scale,
                )
                for line in page.lines
            ]
            for page in document.pages
        ]


def svg_pages(sheets, scale):
    mm, pages = 25.4 / 96.0, []
    for sheet in sheets:
        drawing = svgelements.SVG.parse(io.StringIO(without_letters(svg_text(sheet))), reify=True)
        lines = [one for one in drawing.elements() if isinstance(one, svgelements.SimpleLine)]
        pages.append(
            [
                stroke(
                    [
                        (mm * one.implicit_x1, mm * one.implicit_y1),
                        (mm * one.implicit_x2, mm * one.implicit_y2),
                    ],
                    mm * one.stroke_width,
                    one.stroke.red / 255.0,
                    "stroke-dasharray" in one.values,
                    scale,
                )
                for one in lines
            ]
        )
    return pages


READERS = {"pdfplumber (PDF)": pdf_pages, "svgelements (SVG)": svg_pages}


def one_sheet(unit, paper, correction):
    size_mm = grid_room_mm(unit, paper, correction)
    target = Target(unit, *size_mm, MARK_MM, RADIUS_MM)
    return target_sheets(target, WORDS, paper=paper, correction=correction)


def black(stroke, wide):
    """Black ink of this width; readers give widths to 0.001 mm."""
    return stroke.grey == 0.0 and abs(stroke.wide - wide) < 0.002


def to_cut(stroke):
    """The light line along which a tile is cut."""
    return abs(stroke.grey - 0.45) < 0.003 and abs(stroke.wide - 0.15) < 0.002


def ruler_errors(strokes):
    """Length and each mm of both proof rulers: found as the only strokes of about 100 mm."""
    (across,) = [s for s in strokes if s.is_level() and 99.0 < s.x2 - s.x1 < 101.0]
    (down,) = [s for s in strokes if s.is_upright() and 99.0 < s.y2 - s.y1 < 101.0]
    ticks = sorted(s.x1 for s in strokes if s.is_upright() and abs(s.y2 - across.y1) < 1e-3)
    steps = sorted(s.y1 for s in strokes if s.is_level() and abs(s.x2 - down.x1) < 1e-3)
    assert len(ticks) == len(steps) == 101
    yield from (abs(tick - across.x1 - number) for number, tick in enumerate(ticks))
    yield from (abs(step - down.y1 - number) for number, step in enumerate(steps))


def grid_errors(strokes, unit):
    """Each line of the grid against whole steps from the middle of the frame."""
    uprights = [s for s in strokes if s.is_upright()]
    levels = [s for s in strokes if s.is_level()]
    high, wide = max(s.y2 - s.y1 for s in uprights), max(s.x2 - s.x1 for s in levels)
    uprights = [s for s in uprights if s.y2 - s.y1 > high - 0.1]  # from frame to frame
    levels = [s for s in levels if s.x2 - s.x1 > wide - 0.1]
    step_mm = STEP_MM[unit]
    for places, skip_middle in (
        (sorted(s.x1 for s in uprights), True),
        (sorted(s.y1 for s in levels), False),
    ):
        most = round((places[-1] - places[0]) / step_mm / 2.0)
        wanted = [k for k in range(-most, most + 1) if k or not skip_middle]
        aim = (places[0] + places[-1]) / 2.0
        assert len(places) == len(wanted) >= 10
        yield from (abs(at - aim - k * step_mm) for at, k in zip(places, wanted, strict=True))


@pytest.mark.parametrize("reader", READERS)
def test_grid_and_rulers_of_one_sheet_are_true(ledger, reader):
    grid, rulers = [], []
    for paper in PAPERS.values():
        for scale in SCALES:
            correction = PrinterCorrection(*scale)
            for unit in STEP_MM:
                (strokes,) = READERS[reader](one_sheet(unit, paper, correction), scale)
                grid += grid_errors(strokes, unit)
                rulers += ruler_errors(strokes)
    printer = "of a target on A4 and Letter, printer 3 % small to 2 % large"
    for what, worst in (("grid lines", grid), ("rulers", rulers)):
        ledger(f"{what} {printer}", reader, len(worst), max(worst), VECTOR_MM, "mm")


def middle_of(strokes):
    """Where the fine cross in the open centre is: the two shortest thin black strokes that meet."""
    thin = [s for s in strokes if black(s, 0.3)]
    (level,) = [s for s in thin if s.is_level()]
    (upright,) = [s for s in thin if s.is_upright()]
    return (level.x1 + level.x2) / 2.0, (upright.y1 + upright.y2) / 2.0, upright.x1, level.y1


@pytest.mark.parametrize("reader", READERS)
def test_mark_and_circle_stand_around_the_aim(ledger, reader):
    circle, mark = [], []
    for paper in PAPERS.values():
        (strokes,) = READERS[reader](one_sheet("in", paper, PrinterCorrection()), (1.0, 1.0))
        x, y, also_x, also_y = middle_of(strokes)
        uprights = [s.x1 for s in strokes if s.is_upright() and s.y2 - s.y1 > 190.0]
        mark += [abs(x - also_x), abs(y - also_y)]
        mark.append(abs(x - (min(uprights) + max(uprights)) / 2.0))
        slanted = [s for s in strokes if not s.is_level() and not s.is_upright()]
        thick = [s for s in slanted if s.wide > 10.0]
        assert len(thick) == 4
        for s in thick:  # the outer edge of a stroke cuts the axes at the half diagonal
            off = abs((s.y2 - s.y1) * (x - s.x1) - (s.x2 - s.x1) * (y - s.y1))
            off /= hypot(s.x2 - s.x1, s.y2 - s.y1)
            mark.append(abs((off + s.wide / 2.0) * 2.0**0.5 - MARK_MM))
        chords = [s for s in slanted if abs(s.wide - 0.45) < 0.002]
        assert len(chords) > 100
        for s in chords:
            middle = hypot((s.x1 + s.x2) / 2.0 - x, (s.y1 + s.y2) / 2.0 - y)
            ends = (hypot(s.x1 - x, s.y1 - y), hypot(s.x2 - x, s.y2 - y), middle)
            circle += [abs(radius - RADIUS_MM) for radius in ends]
    ledger("aiming mark of 1 mrad", reader, len(mark), max(mark), LAID_MM, "mm")
    ledger("tolerance circle of 3 in", reader, len(circle), max(circle), CIRCLE_MM, "mm")


# sheets that are glued together


class Laid(NamedTuple):
    """A sheet of a large target and where its paper comes to lie. [mm]"""

    strokes: list
    right: float
    down: float


def edge(strokes, *, upright, dashed):
    """Where the line to cut along, or the broken one to lay the next sheet on, stands."""
    long = [
        s.x1 if upright else s.y1
        for s in strokes
        if (s.is_upright() if upright else s.is_level())
        and s.dashed is dashed
        and (black(s, 0.25) if dashed else to_cut(s))
        and (s.y2 - s.y1 if upright else s.x2 - s.x1) > 60.0
    ]
    (place,) = long
    return place


def diamonds(strokes, *, upright, at):
    """Middles of the two open diamonds on a seam, along that seam."""
    small = [
        s
        for s in strokes
        if not s.is_level()
        and not s.is_upright()
        and s.wide < 0.4
        and s.grey == 0.0
        and min(abs((s.x1 if upright else s.y1) - at), abs((s.x2 if upright else s.y2) - at)) < 4.0
    ]
    along = sorted((s.y1 + s.y2) / 2.0 if upright else (s.x1 + s.x2) / 2.0 for s in small)
    half = len(along) // 2
    return fmean(along[:half]), fmean(along[half:])


def laid(pages, rows, columns):
    """Every sheet in its place, and how far the second diamond of each seam is off."""
    tiles = {(r, c): pages[r * columns + c] for r in range(rows) for c in range(columns)}
    placed, off = {(0, 0): Laid(tiles[0, 0], 0.0, 0.0)}, []
    for (r, c), new in tiles.items():
        if (r, c) == (0, 0):
            continue
        upright = c > 0
        before = placed[r, c - 1] if upright else placed[r - 1, c]
        line = edge(before.strokes, upright=upright, dashed=True)
        cut = edge(new, upright=upright, dashed=False)
        first, second = diamonds(before.strokes, upright=upright, at=line)
        new_first, new_second = diamonds(new, upright=upright, at=cut)
        slide = first - new_first
        off.append(abs(second - new_second - slide))
        step = (line - cut, slide) if upright else (slide, line - cut)
        placed[r, c] = Laid(new, before.right + step[0], before.down + step[1])
    return placed, off


def grid_of(sheet, *, upright):
    """Grid lines of a laid sheet by their grey, as places across or down."""
    greys = (0.3, 0.35, 0.5, 0.62, 0.74)
    return sorted(
        s.x1 + sheet.right if upright else s.y1 + sheet.down
        for s in sheet.strokes
        if (s.is_upright() if upright else s.is_level())
        and any(abs(s.grey - grey) < 0.003 for grey in greys)  # SVG has 255 greys
        and (s.y2 - s.y1 if upright else s.x2 - s.x1) > 9.0
    )


@pytest.mark.parametrize("reader", READERS)
@pytest.mark.parametrize(("unit", "size_mm"), [("in", (609.6, 914.4)), ("cm", (600.0, 900.0))])
def test_grid_lines_continue_from_sheet_to_sheet(ledger, reader, unit, size_mm):
    worst, bars, seams = [], [], []
    # each target is read on one print, with another paper and another printer
    paper, scale = (LETTER, (1.0, 1.0)) if unit == "cm" else (A4, (0.97, 1.02))
    target = Target(unit, *size_mm, MARK_MM, RADIUS_MM)
    sheets = target_sheets(target, WORDS, paper=paper, correction=PrinterCorrection(*scale))
    pages = READERS[reader](sheets, scale)[1:]
    cut_above = [
        any(s.is_level() and to_cut(s) and s.x2 - s.x1 > 60.0 for s in one) for one in pages
    ]
    columns = cut_above.index(True)
    rows = len(pages) // columns
    placed, off = laid(pages, rows, columns)
    seams += off
    aim = [
        (sheet, middle_of(sheet.strokes))
        for sheet in placed.values()
        if any(black(s, 0.3) and s.is_level() for s in sheet.strokes)
    ]
    ((home, (x, y, _, _)),) = aim
    aims = {True: x + home.right, False: y + home.down}
    step_mm = STEP_MM[unit]
    for upright in (True, False):
        found = [at for one in placed.values() for at in grid_of(one, upright=upright)]
        half = size_mm[not upright] / 2.0
        worst += [
            abs(min(found) + half - aims[upright]),
            abs(max(found) - half - aims[upright]),
        ]
        for at in found:
            steps = (at - aims[upright]) / step_mm
            worst.append(abs(steps - round(steps)) * step_mm)
        kinds = {round((at - aims[upright]) / step_mm) for at in found}
        assert kinds >= set(range(min(kinds), max(kinds) + 1)) - {0}
    for sheet in pages:
        for upright in (True, False):
            (bar,) = [
                s
                for s in sheet
                if black(s, 0.25)
                and not s.dashed
                and (s.is_upright() if upright else s.is_level())
                and (s.y2 - s.y1 if upright else s.x2 - s.x1) > 50.0
            ]
            bars.append(abs((bar.y2 - bar.y1 if upright else bar.x2 - bar.x1) - 100.0))
    laid_out = f"{'24 × 36 in' if unit == 'in' else '60 × 90 cm'} on {paper.name}"
    most_mm = 3.0 * LAID_MM  # six sheets laid one after another, errors of either sign
    ledger(f"grid over the seams, {laid_out}", reader, len(worst), max(worst), most_mm, "mm")
    ledger(f"both diamonds of a seam, {laid_out}", reader, len(seams), max(seams), LAID_MM, "mm")
    ledger(f"bars on tiles, {laid_out}", reader, len(bars), max(bars), VECTOR_MM, "mm")


def whites(sheets, folder):
    """A page in pixels: a function that tells the darkest grey of a rectangle in mm."""
    from PIL import Image

    file = folder / "target.pdf"
    file.write_bytes(pdf_bytes(sheets))
    command = ["pdftocairo", "-png", "-gray", "-r", str(DPI), "-singlefile"]
    command += [str(file), str(folder / "t")]
    subprocess.run(command, check=True)
    with Image.open(folder / "t.png") as image:
        grey = image.convert("L")
    px = DPI / 25.4

    def darkest(left, top, right, bottom):
        inner = (int(left * px) + 2, int(top * px) + 2, int(right * px) - 1, int(bottom * px) - 1)
        return grey.crop(inner).getextrema()[0]

    return darkest


def assert_mark_in_white(darkest, left, top):
    """A tenth of the square is white on each side, and its rim inside that is black."""
    side, white = 22.0, 2.2
    for strip in (
        (left, top, left + side, top + white),
        (left, top + side - white, left + side, top + side),
        (left, top, left + white, top + side),
        (left + side - white, top, left + side, top + side),
    ):
        assert darkest(*strip) == 255
    assert darkest(left + white, top + white, left + side - white, top + 2.0 * white) == 0


@pytest.mark.parametrize("paper", PAPERS.values(), ids=PAPERS)
def test_corners_of_every_sheet_hold_a_mark_in_white_and_nothing_else(tmp_path, paper):
    if not shutil.which("pdftocairo"):
        mend = "pdftocairo is missing: apt-get install poppler-utils"
        if os.environ.get("CI") == "true":
            pytest.fail(mend)
        pytest.skip(mend)
    wide, high, side = paper.width_mm, paper.height_mm, 22.0
    single = one_sheet("in", paper, PrinterCorrection())
    darkest = whites(single, tmp_path)
    for left in (10.0, wide - 10.0 - side):
        for top in (10.0, high - 10.0 - side):
            assert_mark_in_white(darkest, left, top)
    target = Target("cm", 600.0, 900.0, MARK_MM, RADIUS_MM)
    columns = 4
    inner = slice(columns + 2, 2 * columns)  # second row, neighbours all round
    for sheet in target_sheets(target, WORDS, paper=paper)[inner]:
        (one,) = pdf_pages((sheet,), (1.0, 1.0))
        left, top = (edge(one, upright=up, dashed=False) for up in (True, False))
        right, bottom = (edge(one, upright=up, dashed=True) for up in (True, False))
        darkest = whites((sheet,), tmp_path)
        for x in (left, right - side):
            for y in (top, bottom - side):
                assert_mark_in_white(darkest, x, y)

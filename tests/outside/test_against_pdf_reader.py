"""A print is tested by measuring it: readers that we did not write find the ticks on the page.

PDF is read by pdfplumber, SVG by svgelements, DXF by ezdxf and by a plain reading of its group
codes; one page is turned into pixels by pdftocairo and measured there.  Everything is found by
its geometry.  Wanted lengths are the positions put in, and 100 mm for the proof rulers.
"""

import io
import os
import shutil
import subprocess
from itertools import pairwise

import ezdxf
import pdfplumber
import pytest
import svgelements
from on_paper import without_letters
from written_out import A4, LETTER

from tapewright.drawing.dxf import dxf_text
from tapewright.drawing.gauge import Gauge
from tapewright.drawing.pdf import pdf_bytes
from tapewright.drawing.sheet import PrinterCorrection, gauge_sheets, tape_sheets
from tapewright.drawing.svg import svg_text
from tapewright.drawing.tape import Column, Look, Mark, Strip

VECTOR_MM = 0.001  # a tenth of what is promised; files carry at least 4 decimals of a mm
RASTER_MM = 0.005  # a quarter of a pixel at 1200 dpi
NUMBER_MM = 0.06  # round digits reach 1.5 % of 3.5 mm beyond flat ones, on one side for a 7
DPI = 1200
WIDE_MM = 12.0
SCALES = {A4: ((0.97, 1.02), (1.0, 1.0), (1.02, 1.02)), LETTER: ((1.02, 0.97), (0.97, 0.97))}
LONGER = (0.98, 1.0, 1.02)  # strips of a sheet: how long against the middle one
DISTANCES = tuple(range(20, 101))


def position_mm(distance, longer):
    """Unevenly spread, never closer than thinning begins."""
    return longer * (0.8 * distance + 0.005 * distance**2)


def sheet(paper, across=1.0, down=1.0):
    strips = tuple(
        Strip(
            f"{longer}",
            (Column("pin 1", tuple(Mark(float(d), position_mm(d, longer)) for d in DISTANCES)),),
        )
        for longer in LONGER
    )
    correction = PrinterCorrection(across, down)
    (one,) = tape_sheets(strips, Look(width_mm=WIDE_MM), "Rig", paper=paper, correction=correction)
    return one


def pdf_lines(one):
    """Every stroke of the first page as (x1, y1, x2, y2), y down. [mm]"""
    mm = 25.4 / 72.0
    with pdfplumber.open(io.BytesIO(pdf_bytes((one,)))) as document:
        (page,) = document.pages
        return [(s["x0"] * mm, s["top"] * mm, s["x1"] * mm, s["bottom"] * mm) for s in page.lines]


def svg_lines(one):
    """The same of an SVG; svgelements works in pixels of 1/96 inch."""
    mm = 25.4 / 96.0
    drawing = svgelements.SVG.parse(io.StringIO(without_letters(svg_text(one))), reify=True)
    strokes = [item for item in drawing.elements() if isinstance(item, svgelements.SimpleLine)]
    return [
        (mm * s.implicit_x1, mm * s.implicit_y1, mm * s.implicit_x2, mm * s.implicit_y2)
        for s in strokes
    ]


def ezdxf_lines(one):
    """The same of a DXF, read by ezdxf."""
    high_mm = one.paper.height_mm
    space = ezdxf.read(io.StringIO(dxf_text(one, outlines=False))).modelspace()
    ends = [(line.dxf.start, line.dxf.end) for line in space.query("LINE")]
    return [(a.x, high_mm - a.y, b.x, high_mm - b.y) for a, b in ends]


def plain_dxf_lines(one):
    """The same of a DXF, read as pairs of group code and value without any library."""
    rows = dxf_text(one, outlines=False).splitlines()
    pairs = zip((int(code) for code in rows[0::2]), rows[1::2], strict=True)
    lines, current = [], None
    for code, value in pairs:
        if code == 0:
            current = {} if value == "LINE" else None
            if current is not None:
                lines.append(current)
        elif current is not None and code in (10, 20, 11, 21):
            current[code] = float(value)
    high_mm = one.paper.height_mm
    return [(at[10], high_mm - at[20], at[11], high_mm - at[21]) for at in lines]


READERS = {
    "pdfplumber (PDF)": pdf_lines,
    "svgelements (SVG)": svg_lines,
    "ezdxf (DXF)": ezdxf_lines,
    "plain group codes (DXF)": plain_dxf_lines,
}


def true_lines(lines, across, down):
    """Strokes as this printer would print them, each from left to right, from top to bottom."""
    scaled = [(x1 * across, y1 * down, x2 * across, y2 * down) for x1, y1, x2, y2 in lines]
    return [(min(a, c), min(b, d), max(a, c), max(b, d)) for a, b, c, d in scaled]


def level(line):
    return abs(line[3] - line[1]) < 1e-6


def longest(lines, *, upright):
    """The axis of a proof ruler: the only stroke of about 100 mm; its exact length is tested."""
    run = (lambda s: s[3] - s[1]) if upright else (lambda s: s[2] - s[0])
    (axis,) = [line for line in lines if 99.0 < run(line) < 101.0 and level(line) is not upright]
    return axis


def strip_ticks(lines):
    """Heights of the ticks of each strip, from left to right: level strokes with one right end."""
    words_mm = longest(lines, upright=True)[0] - 6.0  # the words' side begins left of the ruler
    ends = {}
    for x1, y1, x2, _ in filter(level, lines):
        if x2 < words_mm and x2 - x1 > 1.7:  # corner marks are 1.6 mm
            ends.setdefault(round(x2, 2), []).append(y1)
    return [sorted(ends[end]) for end in sorted(ends) if len(ends[end]) > 10]


def errors_mm(lines):
    """Every disagreement of a sheet: ticks of its strips, ticks and ends of its rulers."""
    found = strip_ticks(lines)
    assert [len(ticks) for ticks in found] == [len(DISTANCES)] * len(LONGER)
    for ticks, longer in zip(found, LONGER, strict=True):
        for distance, place_mm in zip(DISTANCES, ticks, strict=True):
            wanted_mm = position_mm(distance, longer) - position_mm(DISTANCES[0], longer)
            yield abs(place_mm - ticks[0] - wanted_mm)
    left, top, right, _ = longest(lines, upright=False)
    steps = sorted(s[0] for s in lines if not level(s) and abs(s[3] - top) < 1e-3)
    assert len(steps) == 101
    yield abs(right - left - 100.0)
    yield from (abs(step - left - number) for number, step in enumerate(steps))
    axis, top, _, bottom = longest(lines, upright=True)
    steps = sorted(s[1] for s in lines if level(s) and abs(s[2] - axis) < 1e-3)
    assert len(steps) == 101
    yield abs(bottom - top - 100.0)
    yield from (abs(step - top - number) for number, step in enumerate(steps))


@pytest.mark.parametrize("reader", READERS)
def test_ticks_and_proof_rulers_are_where_they_should_be(ledger, reader):
    worst = []
    for paper, scales in SCALES.items():
        for across, down in scales:
            lines = READERS[reader](sheet(paper, across, down))
            worst += errors_mm(true_lines(lines, across, down))
    ledger(
        "ticks and proof rulers on A4 and Letter, printer 3 % small to 2 % large",
        reader,
        len(worst),
        max(worst),
        VECTOR_MM,
        "mm",
    )


def test_a_gauge_strip_is_a_true_ruler(ledger):
    worst, start, long = [], -10, 120
    for grows, sense in (("down", 1), ("up", -1)):
        (one,) = gauge_sheets(Gauge(start, long, grows), Look(width_mm=WIDE_MM), "Rig")
        lines = pdf_lines(one)
        axis = longest(lines, upright=True)[0]
        ends = {}
        for x1, y1, x2, _ in filter(level, lines):
            if x2 < axis - 6.0 and x2 - x1 < 6.0:
                ends.setdefault(round(x2, 2), []).append(sense * y1)
        runs = [sorted(ys) for ys in ends.values() if len(ys) > 10]
        assert [len(run) for run in runs] == [2 * long + 1] * 2
        worst += [
            abs(place - run[0] - half / 2.0) for run in runs for half, place in enumerate(run)
        ]
    ledger("gauge strip, each half mm", "pdfplumber (PDF)", len(worst), max(worst), VECTOR_MM, "mm")


def test_each_number_stands_beside_its_own_tick(ledger):
    one, mm = sheet(A4), 25.4 / 96.0
    ticks = strip_ticks(true_lines(svg_lines(one), 1.0, 1.0))
    drawing = svgelements.SVG.parse(io.StringIO(svg_text(one)), reify=True)
    worst = []
    for group in drawing.select(lambda item: isinstance(item, svgelements.Group)):
        if group.values.get("class") == "number":
            _, top, _, bottom = group.bbox()
            middle_mm = mm * (top + bottom) / 2.0
            index = DISTANCES.index(int(group.values["aria-label"]))
            worst.append(min(abs(middle_mm - places[index]) for places in ticks))
    assert len(worst) >= 3 * 9
    ledger(
        "numbers beside their ticks", "svgelements (SVG)", len(worst), max(worst), NUMBER_MM, "mm"
    )


def pixels(one, folder, crop_mm):
    """A part of a page (left, top, width, height) as rows of grey levels, 0 black."""
    from PIL import Image

    file = folder / "page.pdf"
    file.write_bytes(pdf_bytes((one,)))
    crop = []
    for flag, length_mm in zip(("-x", "-y", "-W", "-H"), crop_mm, strict=True):
        crop += [flag, str(round(length_mm * DPI / 25.4))]
    command = ["pdftocairo", "-png", "-gray", "-singlefile", "-r", str(DPI), *crop]
    subprocess.run([*command, str(file), str(folder / "page")], check=True)
    with Image.open(folder / "page.png") as image:
        grey = image.convert("L")
        wide, high = grey.size
        flat = grey.tobytes()
        return [flat[row * wide : (row + 1) * wide] for row in range(high)]


def dark_runs_mm(rows):
    """Middles of dark stripes down a column of pixels, each weighted by its ink."""
    ink = [sum(255 - level for level in row) / len(row) for row in rows]
    middles, run = [], []
    for index, amount in enumerate([*ink, 0.0]):
        if amount > 2.0:  # of 255
            run.append((index + 0.5, amount))
        elif run:
            total = sum(amount for _, amount in run)
            middles.append(sum(at * amount for at, amount in run) / total * 25.4 / DPI)
            run = []
    return middles


def test_a_page_measured_in_pixels_is_true(ledger, tmp_path):
    if not shutil.which("pdftocairo"):
        mend = "pdftocairo is missing: apt-get install poppler-utils"
        if os.environ.get("CI") == "true":
            pytest.fail(mend)
        pytest.skip(mend)
    one = sheet(A4)
    lines = true_lines(pdf_lines(one), 1.0, 1.0)  # only to know where to look
    edge_mm = max(x2 for x1, _, x2, _ in filter(level, lines) if 60.0 < x2 < 80.0 and x2 - x1 > 1.7)
    # below the arrowhead in the strip's head, which no tick is
    column = pixels(one, tmp_path, (edge_mm - 1.2, 40.5, 0.8, 236.5))
    ticks = dark_runs_mm(column)[: len(DISTANCES)]
    worst = [
        abs(far - near - (position_mm(d + 1, LONGER[-1]) - position_mm(d, LONGER[-1])))
        for d, (near, far) in zip(DISTANCES, pairwise(ticks), strict=False)
    ]
    length_mm = position_mm(DISTANCES[-1], LONGER[-1]) - position_mm(DISTANCES[0], LONGER[-1])
    worst.append(abs(ticks[-1] - ticks[0] - length_mm))
    assert len(worst) == len(DISTANCES)
    axis, top, _, bottom = longest(lines, upright=True)
    ruler = dark_runs_mm(pixels(one, tmp_path, (axis - 1.2, top - 1.0, 0.8, bottom - top + 2.0)))
    assert len(ruler) == 101
    worst.append(abs(ruler[-1] - ruler[0] - 100.0))
    ledger("a page of 1200 dpi in pixels", "pdftocairo", len(worst), max(worst), RASTER_MM, "mm")

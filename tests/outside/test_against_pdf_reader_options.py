"""Ticks read back from PDF, SVG and DXF by readers that we did not write, for options together.

Every pair of options occurs in some tape: hand, unit, straight or wheel, direction, one to five
pins, width, paper, side scale, two pieces.  PDF is read by pdfplumber, SVG by svgelements, DXF by
ezdxf.  A tick is found by its geometry alone: level strokes inside a cut line that share an end.
Wanted are the positions put in, times what a wheel adds.
"""

import io
from itertools import combinations, product

import ezdxf
import pdfplumber
import pytest
import svgelements
from on_paper import without_letters
from written_out import A4, LETTER

from tapewright.drawing.cutter import cutter_sheet
from tapewright.drawing.dxf import dxf_text
from tapewright.drawing.paper import WheelWrap
from tapewright.drawing.pdf import pdf_bytes
from tapewright.drawing.sheet import strip_sheet, tape_sheets
from tapewright.drawing.svg import svg_text
from tapewright.drawing.tape import Column, Look, Mark, Strip

ENOUGH_MM = 0.001
NUMBER_MM = 0.06  # round digits reach 1.5 % beyond flat ones
PT_MM, PX_MM = 25.4 / 72.0, 25.4 / 96.0
OPTIONS = {
    "hand": ("right", "left"),
    "unit": ("yd", "m"),
    "wheel": (False, True),
    "far_end": ("down", "up"),
    "pins": (1, 2, 3, 4, 5),
    "wider": (False, True),
    "paper": ("A4", "Letter"),
    "side": (False, True),
    "two": (False, True),
}
USUAL_MM = {1: 12.0, 2: 14.0, 3: 20.0, 4: 24.0, 5: 25.0}
SIDE_MM = 4.5
WHEEL_MM = 53.0, 0.4  # bare wheel, strip: 0.4/53 longer
FAR = tuple(range(20, 91))
CLOSE = (6, 7, 8, 9)
TRUSTED = 70
LENGTHS = (0.99, 1.0, 1.013)  # of the three strips


def pairwise_rows():
    """Few rows in which every two options meet with every two of their values."""
    names = list(OPTIONS)
    rows = list(product(*OPTIONS.values()))

    def pairs(row):
        return set(combinations(zip(names, row, strict=True), 2))

    missing = set().union(*map(pairs, rows))
    chosen = []
    while missing:
        best = max(rows, key=lambda row: len(pairs(row) & missing))
        chosen.append(dict(zip(names, best, strict=True)))
        missing -= pairs(best)
    return chosen


def far_mm(distance, pin, length, two):
    """Growing steps of at least 1.1 mm, so that no tick is left out; no two pins run alike."""
    per = (3.617 if two else 1.0371) * (1.0 + 0.0031 * pin)
    return length * (per * distance + 0.00413 * distance**2) + 3.0 - 7.3119 * pin


def close_mm(distance, length, two):
    return far_mm(20, 0, length, two) + 1.8173 * (10 - distance) + 2.0


def wanted(option, length):
    """Positions of the ticks of each lane: the pins' far ones, then the first one's close ones."""
    far = [[far_mm(one, pin, length, option["two"]) for one in FAR]
           for pin in range(option["pins"])]  # fmt: skip
    return far, [close_mm(one, length, option["two"]) for one in CLOSE]


def strip(option, length):
    far, close = wanted(option, length)
    columns = [
        Column(
            f"pin {pin}",
            tuple(Mark(float(one), at, one <= TRUSTED) for one, at in zip(FAR, lane, strict=True)),
        )
        for pin, lane in enumerate(far, 1)
    ]
    near = tuple(Mark(float(d), at, close=True) for d, at in zip(CLOSE, close, strict=True))
    columns[0] = Column("pin 1", (*columns[0].marks, *near))
    return Strip(f"strip {length}", tuple(columns), "Stick it.", align_at=20.0)


def look(option):
    wide_mm = min(USUAL_MM[option["pins"]] + (1.7 if option["wider"] else 0.0), 25.0)
    return Look(
        option["unit"],
        wide_mm + (SIDE_MM if option["side"] else 0.0),
        option["hand"],
        option["far_end"],
        side_scale=option["side"],
    )


def from_pdf(sheets):
    """Cut lines and level strokes of each page, [mm]: (left, top, right, bottom), (x1, x2, y)."""
    with pdfplumber.open(io.BytesIO(pdf_bytes(sheets))) as book:
        for page in book.pages:
            boxes = [[PT_MM * one[key] for key in ("x0", "top", "x1", "bottom")]
                     for one in page.rects if one["stroke"] and not one["fill"]]  # fmt: skip
            lines = [[PT_MM * one[key] for key in ("x0", "x1", "top", "bottom")]
                     for one in page.lines]  # fmt: skip
            words = [(float(word["text"]), PT_MM * (word["x0"] + word["x1"]) / 2.0,
                      PT_MM * (word["top"] + word["bottom"]) / 2.0, PT_MM * word["bottom"])
                     for word in page.extract_words(keep_blank_chars=False, x_tolerance=0.3)
                     if word["text"].lstrip("-").isdigit()]  # fmt: skip
            yield boxes, level(lines), words


def from_svg(texts):
    for text in texts:
        drawing = svgelements.SVG.parse(io.StringIO(without_letters(text)), reify=True)
        boxes, lines = [], []
        for item in drawing.elements():
            if isinstance(item, svgelements.Rect) and item.values.get("class") == "cut":
                boxes.append([PX_MM * one for one in item.bbox(with_stroke=False)])
            elif isinstance(item, svgelements.SimpleLine):
                xs = sorted((item.implicit_x1, item.implicit_x2))
                ys = sorted((item.implicit_y1, item.implicit_y2))
                lines.append([PX_MM * one for one in (*xs, *ys)])
        yield boxes, level(lines), []


def from_dxf(text, high_mm):
    space = ezdxf.read(io.StringIO(text)).modelspace()
    boxes = []
    for ring in space.query('LWPOLYLINE[layer=="cut"]'):
        xs, ys = zip(*ring.get_points("xy"), strict=True)
        boxes.append([min(xs), high_mm - max(ys), max(xs), high_mm - min(ys)])
    lines = []
    for one in space.query("LINE"):
        xs = sorted((one.dxf.start.x, one.dxf.end.x))
        ys = sorted((high_mm - one.dxf.start.y, high_mm - one.dxf.end.y))
        lines.append([*xs, *ys])
    yield boxes, level(lines), []


def level(lines):
    return [(x1, x2, y1) for x1, x2, y1, y2 in lines if y2 - y1 < 1e-6]


def joined(strokes):
    """Dashes that follow each other at one height become one stroke again."""
    found = []
    for x1, x2, y in sorted(strokes, key=lambda one: (round(one[2], 5), one[0])):
        if found and abs(found[-1][2] - y) < 1e-5 and 0.0 < x1 - found[-1][1] < 0.31:
            found[-1] = (found[-1][0], x2, y)
        else:
            found.append((x1, x2, y))
    return found


def runs(strokes):
    """Strokes that share an end, left or right: the heights of each such run, top to bottom."""
    ends = {}
    for x1, x2, y in strokes:
        for side, x in (("left", x1), ("right", x2)):
            ends.setdefault((side, round(x, 3)), []).append(y)
    return [(end, sorted(ys)) for end, ys in ends.items() if len(ys) >= 3]


def nearest_run(found, wanted_mm, fewest):
    """How far the ticks of the run that fits best are from where they should be, and which."""
    offs = [(99.0, 0, 0)]
    for _, heights in found:
        for start in range(len(wanted_mm) - len(heights) + 1) if len(heights) >= fewest else ():
            part = wanted_mm[start : start + len(heights)]
            off = max(abs(one - other) for one, other in zip(heights, part, strict=True))
            offs.append((off, start, len(heights)))
    return min(offs)


def measured(option, pages, lengths, *, in_two=False):
    """All disagreements of the strips on some pages with what was put in. [mm]"""
    sense = 1.0 if option["far_end"] == "down" else -1.0
    stretch = 1.0 + WHEEL_MM[1] / WHEEL_MM[0] if option["wheel"] else 1.0
    wide_mm = look(option).width_mm
    errors, pieces, close_seen = [], {length: [] for length in lengths}, set()
    for boxes, strokes, words in pages:
        for left, top, right, bottom in boxes:
            if abs(right - left - wide_mm) > 0.01 or bottom - top < 20.0:
                continue
            inside = joined(
                one for one in strokes
                if left - 0.01 < one[0] and one[1] < right + 0.01
                and top - 0.01 < one[2] < bottom + 0.01
            )  # fmt: skip
            found = runs(inside)
            best = min(
                (strip_errors(option, found, length, sense * stretch) for length in lengths),
                key=lambda one: max(one[1]),
            )
            length, worst, numbers, zero_mm, has_close = best
            close_seen.add((length, has_close))
            errors += worst
            pieces[length] += [numbers]
            if option["side"]:
                beside = [one for one in words if top < one[2] < bottom]
                edge = left if option["hand"] == "right" else right
                errors += side_errors(found, beside, edge, zero_mm, sense * stretch)
    for length in lengths:
        assert (length, True) in close_seen
        assert set().union(*pieces[length]) == set(range(len(FAR)))
        if in_two:  # both have the tick at which they meet, and one goes on past it
            one, other = pieces[length]
            assert 1 <= len(one & other) <= 3
            assert min(len(one), len(other)) > 20
        else:
            assert len(pieces[length]) == 1
    return errors


def strip_errors(option, found, length, sense):
    """Of one strip, or a piece of it: which it is, what is off, its ticks, where 0 mm stands."""
    far, close = wanted(option, length)
    first, *others = [sorted(sense * one for one in lane) for lane in far]
    # the first pin's run tells where 0 stands; all others must agree with it
    offs = [(99.0, 0, 0, 0.0)]
    for _, heights in found:
        for start in range(len(FAR) - len(heights) + 1) if len(heights) > 8 else ():
            part = first[start : start + len(heights)]
            zero_mm = heights[0] - part[0]
            off = max(abs(y - one - zero_mm) for y, one in zip(heights, part, strict=True))
            offs.append((off, start, len(heights), zero_mm))
    off, start, count, zero_mm = min(offs)
    errors = [off]
    errors += [nearest_run(found, [zero_mm + one for one in lane], 9)[0] for lane in others]
    off, _, close_ticks = nearest_run(found, sorted(zero_mm + sense * one for one in close), 3)
    has_close = off < 1.0
    if has_close:
        assert close_ticks == len(CLOSE)
        errors.append(off)
    return length, errors, set(range(start, start + count)), zero_mm, has_close


def side_errors(found, words, edge_mm, zero_mm, sense):
    """Of the side scale: its ticks against half millimetres, its numbers against their ticks."""
    runs_mm = [heights for (_, x), heights in found if abs(x - edge_mm) < 0.01 and len(heights) > 9]
    (heights,) = [one for one in runs_mm if abs(one[1] - one[0]) < 0.51]
    halves = [2.0 * (y - zero_mm) / sense for y in heights]
    assert len(set(map(round, halves))) == len(heights)
    yield from (abs(half - round(half)) * abs(sense) / 2.0 for half in halves)
    for value, x, _, base in words:
        if abs(x - edge_mm) < SIDE_MM and value % 5 == 0:
            # the baseline lies half a digit under its tick: less than a millimetre
            assert 0.0 < base - (zero_mm + sense * value) < 1.2, value


ROWS = pairwise_rows()


def test_every_pair_of_options_is_asked_for():
    assert 10 <= len(ROWS) <= 16
    for one, other in combinations(OPTIONS, 2):
        met = {(row[one], row[other]) for row in ROWS}
        assert met == set(product(OPTIONS[one], OPTIONS[other]))


@pytest.mark.timeout(1200)
def test_every_option_together_leaves_every_tick_in_its_place(ledger):
    worst = {"pdfplumber (PDF)": [], "svgelements (SVG)": [], "ezdxf (DXF)": []}
    for option in ROWS:
        how, wrap = look(option), WheelWrap(*WHEEL_MM) if option["wheel"] else None
        strips = tuple(strip(option, length) for length in LENGTHS)
        paper = {"A4": A4, "Letter": LETTER}[option["paper"]]
        two = option["two"]
        sheets = tape_sheets(strips, how, "Rig", paper=paper, wrap=wrap)
        bare = strip_sheet(strips[1], how, wrap)
        worst["pdfplumber (PDF)"] += measured(option, from_pdf(sheets), LENGTHS, in_two=two)
        svg = from_svg([svg_text(one) for one in sheets])
        worst["svgelements (SVG)"] += measured(option, svg, LENGTHS, in_two=two)
        svg = from_svg([svg_text(cutter_sheet(bare), layers=True)])
        worst["svgelements (SVG)"] += measured(option, svg, LENGTHS[1:2])
        dxf = from_dxf(dxf_text(bare, outlines=False), bare.paper.height_mm)
        worst["ezdxf (DXF)"] += measured(option, dxf, LENGTHS[1:2])
    for reader, errors in worst.items():
        assert len(errors) >= 2 * len(ROWS)
        what = f"ticks with every pair of options, {reader[-4:-1].strip('(')}"
        ledger(what, reader, len(errors), max(errors), ENOUGH_MM, "mm")

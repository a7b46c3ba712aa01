"""Numbers are measured on the printed page by readers that we did not write.

pdfplumber finds the words and strokes of the PDF, poppler's pdftoppm turns the page into grey dots,
and heights, strokes, whites and collisions are measured there. What is wanted are published rules
(sources.md): 16 minutes of arc at 60 cm, a stroke of about a sixth, half a height of white between
numbers, steps of 1, 2 and 5, three sizes of ticks and nine between numbers, ticks 0.45 mm apart.
Where a rule is broken the sheet must say so, and what it says must be so.
"""

import io
import os
import re
import shutil
import subprocess
from dataclasses import dataclass
from itertools import combinations, pairwise
from math import pi, tan

import cv2
import numpy as np
import pdfplumber
import pytest
from pairwise import pairwise_cases
from written_out import A4, LETTER

from tapewright.drawing.paper import WheelWrap
from tapewright.drawing.pdf import pdf_bytes
from tapewright.drawing.sheet import tape_sheets
from tapewright.drawing.tape import Column, Look, Mark, Strip

MEND = "sudo apt-get install poppler-utils"
MM = 25.4 / 72.0
DPI = 1200
DOT_MM = 25.4 / DPI
READ_MM = 2.0 * 600.0 * tan(16.0 / 60.0 * pi / 180.0 / 2.0)  # 16 minutes of arc at 60 cm: 2.793
ON_PAPER_MM = 0.001
CHOICES = {
    "pointer": ("right", "left"),
    "unit": ("yd", "m"),
    "wheel": (False, True),
    "far_end": ("down", "up"),
    "pins": (1, 2, 3, 4, 5),
    "wide": ("usual", "ten a pin", "wide"),
    "paper": ("A4", "Letter"),
    "bow": ("fast", "usual", "slow", "short strip"),
    "every": (5, 10),
    "side": (False, True),
    "ends": ((5, 110), (20, 60), (18, 34)),
}
WIDE_MM = {
    "usual": (12.0, 16.0, 25.0, 25.0, 25.0),
    "ten a pin": (10.0, 20.0, 30.0, 40.0, 50.0),
    "wide": (16.0, 24.0, 33.0, 44.0, 50.0),
}
# mm of strip a unit, and how much more of it for each unit farther
SPREAD = {
    "fast": (0.5, 0.002),
    "usual": (0.6, 0.004),
    "slow": (0.9, 0.007),
    "short strip": (0.12, 0.0008),
}
CASES = pairwise_cases(CHOICES)


def place_mm(distance, bow, pin):
    slope, bend = SPREAD[bow]
    return slope * distance + bend * distance**2 - 6.0 * pin


def made(case):
    """Three strips as services would draw them: near marks of the first pin run back from 12 on."""
    first, last = case["ends"]
    names = ("shorter", "likeliest", "longer")
    strips = []
    for name, share in zip(names, (0.98, 1.0, 1.02), strict=True):
        columns = []
        for pin in range(case["pins"]):
            marks = [
                Mark(float(one), share * place_mm(one, case["bow"], pin), one <= 92)
                for one in range(max(first, 12), last + 1)
            ]
            if pin == 0:
                marks += [
                    Mark(float(one), share * place_mm(24 - one, case["bow"], 0), close=True)
                    for one in range(first, 12)
                ]
            columns.append(Column(f"pin {pin + 1}", tuple(marks)))
        strips.append(Strip(name, tuple(columns), "Stick it."))
    return tuple(strips)


def look_of(case, wide_mm=None):
    wide_mm = wide_mm or WIDE_MM[case["wide"]][case["pins"] - 1]
    return Look(
        case["unit"], wide_mm + (4.5 if case["side"] and not case.get("widened") else 0.0),
        case["pointer"], case["far_end"], case["every"], side_scale=case["side"],
    )  # fmt: skip


@dataclass
class Ink:
    """A number on paper. [mm]"""

    text: str
    left: float
    right: float
    top: float
    bottom: float
    size: float
    strokes: list

    @property
    def height(self):
        return self.bottom - self.top

    @property
    def middle(self):
        return (self.top + self.bottom) / 2.0

    @property
    def box(self):
        return self.left, self.top, self.right, self.bottom


def runs(row):
    """Lengths of the dark stretches of a row of dots."""
    edges = np.flatnonzero(np.diff(np.concatenate(([0], row.astype(int), [0]))))
    return (edges[1::2] - edges[::2]).tolist()


def measured(page, dots, corner, boxes):
    """Numbers of strips in the faces of figures, by their ink on a part of the page. [mm]"""
    letters = [
        one for one in page.chars
        if "Figures" in one["fontname"]
        and any(box[0] < MM * one["x0"] < box[2] and box[1] < MM * one["top"] < box[3]
                for box in boxes)
    ]  # fmt: skip
    groups = []
    for one in letters:
        last = groups[-1][-1] if groups else None
        if last and abs(one["x0"] - last["x1"]) < 0.01 and one["matrix"][5] == last["matrix"][5]:
            groups[-1].append(one)
        else:
            groups.append([one])
    found = []
    for group in groups:
        size = MM * group[0]["size"]
        base = MM * (float(page.height) - group[0]["matrix"][5])
        x = [int(MM * edge / DOT_MM) for edge in (group[0]["x0"], group[-1]["x1"])]
        y = [int((base + up * size) / DOT_MM) for up in (-0.79, 0.06)]
        crop = dots[y[0] - corner[1] : y[1] - corner[1], x[0] - corner[0] : x[1] - corner[0]]
        dark = crop < (255.0 + float(crop.min())) / 2.0
        dark[:, dark.all(axis=0)] = False  # a line along the strip, beside the number
        rows, columns = np.flatnonzero(dark.any(axis=1)), np.flatnonzero(dark.any(axis=0))
        strokes = []
        if group[-1]["text"] == "0":  # both sides of the nought at half its height
            cut = int(MM * group[-1]["x0"] / DOT_MM) - x[0]
            nought = dark[:, cut:]
            level = (rows[0] + rows[-1]) // 2
            strokes = [DOT_MM * one for one in runs(nought[level])]
        found.append(
            Ink(
                "".join(one["text"] for one in group),
                DOT_MM * (x[0] + columns[0]), DOT_MM * (x[0] + columns[-1] + 1),
                DOT_MM * (y[0] + rows[0]), DOT_MM * (y[0] + rows[-1] + 1), size, strokes,
            )
        )  # fmt: skip
    return found


def strokes_of(page):
    sides = ("x0", "top", "x1", "bottom")
    return [tuple(MM * one[side] for side in (*sides, "linewidth")) for one in page.lines]


def rasterised(file, number, boxes):
    """The part of a page that holds these boxes, and its corner on the page. [dots]"""
    rim_mm = 2.0
    left, top = (int((min(box[side] for box in boxes) - rim_mm) / DOT_MM) for side in (0, 1))
    right, bottom = (int((max(box[side] for box in boxes) + rim_mm) / DOT_MM) for side in (2, 3))
    part = ["-x", left, "-y", top, "-W", right - left, "-H", bottom - top]
    done = subprocess.run(
        ["pdftoppm", "-r", str(DPI), "-gray", "-f", str(number), "-singlefile", *map(str, part),
         file],
        check=True, capture_output=True, timeout=120,
    )  # fmt: skip
    dots = cv2.imdecode(np.frombuffer(done.stdout, np.uint8), cv2.IMREAD_GRAYSCALE)
    return dots, (left, top)


def drawn(case, tmp_path, wide_mm=None):
    """Words of the sheets, and of each strip its box, numbers and level strokes."""
    look = look_of(case, wide_mm)
    sheets = tape_sheets(
        made(case), look, "Rig", paper={"A4": A4, "Letter": LETTER}[case["paper"]],
        wrap=WheelWrap(50.0, 0.2) if case["wheel"] else None,
    )  # fmt: skip
    file = tmp_path / "tape.pdf"
    file.write_bytes(pdf_bytes(sheets, "2026-11-30"))
    words, strips = "", []
    with pdfplumber.open(io.BytesIO(file.read_bytes())) as document:
        for page in document.pages:
            words += " " + " ".join(page.extract_text(layout=False).split())
            boxes = [
                tuple(MM * one[side] for side in ("x0", "top", "x1", "bottom"))
                for one in page.rects
                if abs(MM * one["width"] - look.width_mm) < 0.01 and MM * one["height"] > 8.0
            ]
            if not boxes:
                continue
            dots, corner = rasterised(file, page.page_number, boxes)
            numbers, lines = measured(page, dots, corner, boxes), strokes_of(page)
            for box in boxes:
                inside = [one for one in numbers if box[0] < one.left and one.right < box[2]]
                level = [one for one in lines if abs(one[3] - one[1]) < 1e-4
                         and box[0] - 0.01 < one[0] and one[2] < box[2] + 0.01
                         and box[1] < one[1] < box[3]]  # fmt: skip
                upright = [one for one in lines if abs(one[2] - one[0]) < 1e-4
                           and box[0] - 0.01 < one[0] < box[2] + 0.01
                           and box[1] - 0.01 < one[1] and one[3] < box[3] + 0.01]  # fmt: skip
                strips.append((box, inside, level, upright))
    return re.sub(r"\s+", " ", words), strips


def lanes_of(strip, look, pointer):
    """Far lanes from the pointer's edge inward: edge, ticks by height, numbers."""
    box, numbers, level, _ = strip
    side = 2 if pointer == "right" else 0
    ends = {}
    for one in level:
        ends.setdefault(round(one[side], 2), []).append(one)
    free = box[0] if pointer == "right" else box[2]
    lanes = []
    for edge, ticks in ends.items():
        near = [
            number for number in numbers
            if any(
                abs(tick[1] - number.middle) < 0.06
                and 0.1 < (tick[0] - number.right if pointer == "right" else number.left - tick[2])
                < 1.0
                for tick in ticks
            )
        ]  # fmt: skip
        if (
            near
            and max(number.height for number in near) > 1.29
            and not (look.side_scale and abs(edge - free) < 2.0)
        ):
            lanes.append((edge, sorted(ticks, key=lambda tick: tick[1]), near))
    return lanes


def overlap(one, other):
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


@pytest.mark.timeout(600)
@pytest.mark.parametrize("case", CASES, ids=lambda case: " ".join(map(str, case.values())))
def test_no_rule_for_numbers_is_broken_that_the_sheet_does_not_say(case, tmp_path):
    if shutil.which("pdftoppm") is None:
        words = f"SKIPPED: no pdftoppm. Install it with: {MEND}"
        pytest.fail(words) if os.environ.get("CI") else pytest.skip(words)
    words, strips = drawn(case, tmp_path)
    look, first = look_of(case), max(case["ends"][0], 12)
    assert len(strips) == 3
    said_small = re.search(r"The lowest numbers are ([\d.]+) mm high, for (\d+) cm", words)
    said_close = re.search(r"small numbers are ([\d.]+) mm high, for (\d+) cm", words)
    lowest = 9.0
    for strip in strips:
        box, numbers, level, upright = strip
        check_collisions(box, numbers, level, upright)
        lanes = lanes_of(strip, look, case["pointer"])
        far = [lane for lane in lanes if {int(n.text) for n in lane[2]} & set(range(first, 200))]
        far = [lane for lane in far if max(int(n.text) for n in lane[2]) >= first]
        assert len(far) >= case["pins"]
        for _, ticks, found in lanes:
            is_close = all(int(one.text) < first for one in found)
            if is_close:
                assert said_close
                assert all(one.height > float(said_close[1]) - 0.02 for one in found)
                continue
            check_lane(ticks, found, words, case)
            lowest = min([lowest, *(one.height for one in found)])
    if lowest < READ_MM:
        assert said_small
        assert float(said_small[1]) <= lowest < float(said_small[1]) + 0.2
        assert int(said_small[2]) <= lowest / READ_MM * 60.0 + 2.0
        wider = re.search(r"a strip (\d+) mm wide has room for 2.8 mm", words)
        if wider:
            more, _ = drawn(dict(case, widened=True), tmp_path, float(wider[1]))
            assert "The lowest numbers" not in more
        else:
            assert "whatever the width" in words
            assert case["bow"] == "short strip"
    else:
        assert not said_small


def check_collisions(box, numbers, level, upright):
    """No ink runs into another, nor over the cut."""
    inks = [number.box for number in numbers]
    for one, other in combinations(inks, 2):
        assert not overlap(one, other)
    for left, top, right, bottom in inks:
        assert box[0] + 0.1 < left < right < box[2] - 0.1
        assert box[1] < top < bottom < box[3]
        for x1, y1, x2, _, wide in level:
            assert not overlap((left, top, right, bottom), (x1, y1 - wide / 2, x2, y1 + wide / 2))
        for x1, y1, _, y2, wide in upright:
            assert not overlap((left, top, right, bottom), (x1 - wide / 2, y1, x1 + wide / 2, y2))


def located(ticks, anchor, case):
    """Tick of each distance, and where each would stand, on the strip that they fit."""
    # which distance each tick is: the numbers tell two, the bow's law the rest
    stretch = 1.0 + 0.2 / 50.0 if case["wheel"] else 1.0
    way = 1.0 if case["far_end"] == "down" else -1.0
    anchor_tick = min(ticks, key=lambda tick: abs(tick[1] - anchor.middle))
    for share in (0.98, 1.0, 1.02):
        law = {
            one: way * stretch * share
            * (place_mm(one, case["bow"], 0) - place_mm(int(anchor.text), case["bow"], 0))
            for one in range(max(case["ends"][0], 12), case["ends"][1] + 1)
        }  # fmt: skip
        matched = {
            one: tick for one, at in law.items() for tick in ticks
            if abs(tick[1] - anchor_tick[1] - at) < ON_PAPER_MM
        }  # fmt: skip
        if len(matched) == len(ticks):
            return matched, law
    return {}, {}


def check_lane(ticks, found, words, case):
    """Every rule of one far lane."""
    found = sorted(found, key=lambda number: int(number.text))
    for number in found:
        for stroke in number.strokes:
            assert 0.15 < stroke / (number.height * 1493 / 1545) < 0.185  # without both overshoots
    for one, other in pairwise(found):
        white = abs(one.middle - other.middle) - (one.height + other.height) / 2.0
        assert white > 0.5 * min(one.height, other.height) - 0.2  # overshoots and dots
    spacing = [far[1] - near[1] for near, far in pairwise(ticks)]
    assert min(spacing) > 0.45 - ON_PAPER_MM
    assert len({round(one[2] - one[0], 2) for one in ticks}) <= 3
    pin_ticks, shares = located(ticks, found[-1], case)
    assert pin_ticks  # every tick stands within a thousandth of a millimetre of its distance
    numbers = [int(one.text) for one in found]
    for number in found:
        assert abs(pin_ticks[int(number.text)][1] - number.middle) < 0.06
    for near, far in pairwise(numbers):
        between = [one for one in pin_ticks if near < one < far]
        assert len(between) <= 9
        assert far - near in (1, 2, 5, 10, 20, 50, 100)
        if any(near < ten < far for ten in range(0, 200, 10)):
            assert "Numbers" in words
    for near, far in pairwise(sorted(pin_ticks)):
        if far - near > 1:
            assert f"{far - near} {case['unit']} apart" in words
            nearer = re.findall(rf"{far - near} {case['unit']} apart nearer than (\d+)", words)
            assert not nearer or near < max(map(int, nearer))
            room = min(abs(shares[one + 1] - shares[one]) for one in range(near, far))
            block = [
                one
                for one in range(near - near % 5, near - near % 5 + 6)
                if one + 1 in shares and one in shares
            ]
            tight = min(abs(shares[one + 1] - shares[one]) for one in block)
            assert min(room, tight) < 0.45 + 0.01 or far - near <= 2
    assert len(found) >= 2 or len(pin_ticks) < 20

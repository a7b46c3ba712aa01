"""On paper: a printed page as a foreign reader sees it, found by its geometry alone.

Holds:  strokes of a PDF in mm; its two proof rulers; the ticks of its strips; an SVG without its
        letters.
Never:  the program's own drawing.
"""

import io
import re

import pdfplumber

MM = 25.4 / 72.0
SHARP_MM = 1e-3


def page_of(pdf):
    """Strokes of the first page as (left, top, right, bottom), and its words. [mm]"""
    with pdfplumber.open(io.BytesIO(pdf)) as document:
        page = document.pages[0]
        strokes = [tuple(MM * one[side] for side in ("x0", "top", "x1", "bottom"))
                   for one in page.lines]  # fmt: skip
        return strokes, page.extract_text()


def without_letters(svg):
    """An SVG without letters: whoever measures strokes would wait for their curves to be read."""
    return re.sub(r"<path [^>]*/>", "", svg)


def proof_rulers_mm(strokes):
    """Lengths of the strokes of 99 to 101 mm: across, down. [mm]"""
    (across,) = [x2 - x1 for x1, y1, x2, y2 in strokes if y2 - y1 < SHARP_MM and 99 < x2 - x1 < 101]
    (down,) = [y2 - y1 for x1, y1, x2, y2 in strokes if x2 - x1 < SHARP_MM and 99 < y2 - y1 < 101]
    return across, down


def strips_mm(strokes, ticks):
    """Heights of each strip's ticks, strips from left to right: strips have so many. [mm]"""
    (ruler,) = [x1 for x1, y1, x2, y2 in strokes if x2 - x1 < SHARP_MM and 99 < y2 - y1 < 101]
    level = [one for one in strokes if one[3] - one[1] < SHARP_MM and one[2] < ruler - SHARP_MM]
    for end in (0, 2):  # ticks of one strip begin, or end, on one line
        strips = {}
        for one in level:
            if 1.7 < one[2] - one[0] < 4.2:  # corner marks are less, lines of pictures more
                strips.setdefault(round(one[end], 2), set()).add(round(one[1], 4))
        found = [sorted(strips[place]) for place in sorted(strips) if len(strips[place]) == ticks]
        if len(found) == 3:
            return found
    counts = {place: len(heights) for place, heights in strips.items()}
    raise AssertionError(f"no three strips with {ticks} ticks: {counts}")

"""Fonts: cut DejaVu Sans Condensed down to what a sheet needs, and tabulate it.

Writes into src/tapewright/drawing/fonts: two subset fonts, two faces of figures for
strips, the licence as the font itself carries it, the advance of each letter
(lettering.json) and the outline of each letter (outlines.json).  Two runs write the
same bytes.

The figures are the regular digits made stronger, to a stroke of a sixth of their height,
and as wide as asked; their 1 has no foot.

Holds:  the letters we carry; the way from Debian's fonts to ours.
Never:  anything the program needs at run time.
Source: DejaVu fonts 2.37, Debian package fonts-dejavu-extra; stroke and width of figures by
        DOD-HDBK-791(AM) 6-5.3.2 and ISO 9241-3 (width at least half of the height).
Run:    python builders/build_fonts.py [folder of the fonts]
"""

import json
import math
import pathlib
import sys
from collections.abc import Mapping
from itertools import pairwise, repeat
from typing import Any

from fontTools.pens.svgPathPen import SVGPathPen
from fontTools.pens.ttGlyphPen import TTGlyphPen
from fontTools.subset import Options, Subsetter
from fontTools.ttLib import TTFont

DEBIAN = "/usr/share/fonts/truetype/dejavu"  # apt-get install fonts-dejavu-extra
FACES = {"regular": "DejaVuSansCondensed.ttf", "bold": "DejaVuSansCondensed-Bold.ttf"}
FONTS = pathlib.Path(__file__).parents[1] / "src/tapewright/drawing/fonts"
LICENCE_NAME_ID = 13
FIGURES = "0123456789.−"
FIGURE_FACES = {"figures": "TapewrightFigures", "narrow": "TapewrightFigures-Narrow"}
FIGURE_WIDTHS = {"figures": 0.6, "narrow": 0.5}  # of a nought against the height of a flat digit
NARROWEST = 0.502  # no digit but the 1 is narrower
FIGURE_WHITES = {"figures": 0.9, "narrow": 0.7}  # between two digits, in strokes
CAP = 1493.0  # height of a flat digit
STROKE = 1.0 / 6.0  # of the same height
SHARPEST = 0.3  # of 1 + cosine at a corner: beyond it a corner is cut rather than drawn out
# The 1 of the regular face without its foot
ONE = ((526, 0), (526, 1309), (202, 1237), (202, 1421), (524, 1493), (706, 1493), (706, 0))
RANGES = (
    (0x20, 0x7E),
    (0xA0, 0x17F),  # Latin
    (0x218, 0x21B),
    (0x386, 0x3CE),  # Greek
    (0x400, 0x45F),  # Cyrillic
    (0x490, 0x491),
    (0x1E9E, 0x1E9E),
    (0x2010, 0x2015),  # dashes
    (0x2018, 0x201E),  # quotes
    (0x2020, 0x2022),
    (0x2026, 0x2026),
    (0x2030, 0x2033),
    (0x2039, 0x203A),
    (0x2044, 0x2044),
    (0x2070, 0x208E),  # raised and lowered digits
    (0x20AC, 0x20AC),
    (0x2116, 0x2122),
    (0x2150, 0x215E),  # fractions
    (0x2190, 0x2195),  # arrows
    (0x2212, 0x2213),
    (0x221A, 0x221E),
    (0x2248, 0x2248),
    (0x2260, 0x2265),
    (0x25A0, 0x25A1),
    (0x25B2, 0x25C0),
    (0x2713, 0x2713),
)


def letters(fonts: dict[str, TTFont]) -> list[int]:
    """Code points of our ranges that every face has."""
    wanted = {code for low, high in RANGES for code in range(low, high + 1)}
    for font in fonts.values():
        wanted &= set(font.getBestCmap())
    return sorted(wanted)


def subset(font: TTFont, codes: list[int]) -> None:
    """Leave only these letters, without hints and layout rules."""
    options = Options(
        hinting=False, layout_features=[], notdef_outline=True, recalc_timestamp=False
    )
    options.name_IDs = [0, 1, 2, 3, 4, 5, 6, LICENCE_NAME_ID, 14]
    subsetter = Subsetter(options)
    subsetter.populate(unicodes=codes)
    font.recalcTimestamp = False
    subsetter.subset(font)


def outline(glyphs: Mapping[str, Any], glyph_name: str) -> str:
    """Outline of one glyph as path text, in font units, y up."""
    pen = SVGPathPen(glyphs, ntos=lambda number: format(round(number, 1), "g"))
    glyphs[glyph_name].draw(pen)
    return pen.getCommands()


def ink(font: TTFont, letter: str) -> tuple[int, int]:
    """Lowest and highest ink of a letter [font units]."""
    glyph = font["glyf"][font.getBestCmap()[ord(letter)]]
    return glyph.yMin, glyph.yMax


Points = list[tuple[float, float]]


def stronger(rings: list[Points], across: float, more: tuple[float, float]) -> list[Points]:
    """Outlines made narrower by a factor, then grown to all sides, across and up."""
    grown = []
    for ring in rings:
        thin = [(across * x, y) for x, y in ring]
        points = [one for place, one in enumerate(thin) if one != thin[place - 1]]
        grown.append([_pushed(points, place, more) for place in range(len(points))])
    return grown


def _pushed(points: Points, place: int, more: tuple[float, float]) -> tuple[float, float]:
    """One point moved outward along the mitre of its two sides; ink lies at the right."""
    (ax, ay), (bx, by) = points[place - 1], points[place]
    cx, cy = points[(place + 1) % len(points)]
    before, after = math.hypot(bx - ax, by - ay), math.hypot(cx - bx, cy - by)
    one = (-(by - ay) / before, (bx - ax) / before)
    two = (-(cy - by) / after, (cx - bx) / after)
    share = max(1.0 + one[0] * two[0] + one[1] * two[1], SHARPEST)
    return bx + more[0] * (one[0] + two[0]) / share, by + more[1] * (one[1] + two[1]) / share


def figure_font(folder: str, face: str) -> TTFont:
    """Face of figures: their stroke a sixth, the nought as wide as wanted."""
    font = TTFont(pathlib.Path(folder) / FACES["regular"])
    codes = [ord(letter) for letter in FIGURES]
    subset(font, codes)
    glyphs, cmap, high = font["glyf"], font.getBestCmap(), CAP
    nought = glyphs[cmap[ord("0")]]
    sides = sorted({x for x, _ in nought.coordinates})
    stem, bar = 304 - sides[0], 1520 - 1360  # both strokes of the regular nought
    wide, stroke = FIGURE_WIDTHS[face] * high, STROKE * high
    white = FIGURE_WHITES[face] * stroke
    # Grown by m on all sides and laid back on the line, heights shrink by high / (high + 2 m).
    up = (stroke - bar) / 2.0 / (1.0 - STROKE)
    squeeze = high / (high + 2.0 * up)
    usual = (wide - stroke) / (nought.xMax - nought.xMin - stem)
    for letter in FIGURES:
        name = cmap[ord(letter)]
        glyph = glyphs[name]
        least = (NARROWEST * high - stroke) / (glyph.xMax - glyph.xMin - stem)
        across = max(usual, least) if letter in "234567890" else usual
        more = ((stroke - across * stem) / 2.0, up)
        rings = rings_of(glyph) if letter != "1" else [list(ONE)]
        shapes = stronger(rings, across, more)
        left = min(x for ring in shapes for x, _ in ring)
        flags = iter(glyph.flags) if letter != "1" else repeat(1)
        pen = TTGlyphPen(None)
        for ring in shapes:
            points = [
                (round(x - left + white / 2.0), round(y if letter == "−" else (y + up) * squeeze))
                for x, y in ring
            ]
            draw_ring(pen, points, [next(flags) for _ in points])
        glyphs[name] = pen.glyph()
        glyphs[name].recalcBounds(glyphs)
        right = glyphs[name].xMax
        font["hmtx"][name] = (round(right + white / 2.0), glyphs[name].xMin)
    for record in font["name"].names:
        if record.nameID in (1, 3, 4, 6):
            record.string = FIGURE_FACES[face]
    return font


def rings_of(glyph: Any) -> list[Points]:
    """Points of each contour of a glyph."""
    ends = [-1, *glyph.endPtsOfContours]
    return [list(glyph.coordinates[a + 1 : b + 1]) for a, b in pairwise(ends)]


def draw_ring(pen: TTGlyphPen, points: Points, flags: list[int]) -> None:
    """One contour that begins on its line, its curves quadratic."""
    pen.moveTo(points[0])
    pull: Points = []
    for point, is_on in zip([*points[1:], points[0]], [*flags[1:], 1], strict=True):
        pull.append(point)
        if is_on:
            pen.qCurveTo(*pull) if len(pull) > 1 else pen.lineTo(point)
            pull = []
    pen.closePath()


def main(folder: str) -> None:
    """Write all files."""
    fonts = {face: TTFont(pathlib.Path(folder) / name) for face, name in FACES.items()}
    codes = letters(fonts)
    advances, outlines = {}, {}
    for face, font in fonts.items():
        cmap, glyphs = font.getBestCmap(), font.getGlyphSet()
        advances[face] = {chr(code): font["hmtx"][cmap[code]][0] for code in codes}
        outlines[face] = {chr(code): outline(glyphs, cmap[code]) for code in codes}
    for face, name in FIGURE_FACES.items():
        figures = figure_font(folder, face)
        cmap, glyphs = figures.getBestCmap(), figures.getGlyphSet()
        advances[face] = {one: figures["hmtx"][cmap[ord(one)]][0] for one in FIGURES}
        outlines[face] = {one: outline(glyphs, cmap[ord(one)]) for one in FIGURES}
        figures.save(FONTS / f"{name}.ttf")
    regular = fonts["regular"]
    lettering = {
        "units_per_em": regular["head"].unitsPerEm,
        "cap": ink(regular, "H")[1],
        "digits": [
            min(ink(font, digit)[0] for font in fonts.values() for digit in "0123456789"),
            max(ink(font, digit)[1] for font in fonts.values() for digit in "0123456789"),
        ],
        "whites": {  # before and behind a figure, together
            face: 2 * round(FIGURE_WHITES[face] * STROKE * CAP / 2.0) for face in FIGURE_FACES
        },
        "advances": advances,
    }
    FONTS.mkdir(exist_ok=True)
    for name, table in (("lettering", lettering), ("outlines", outlines)):
        words = json.dumps(table, ensure_ascii=False, separators=(",", ":"))
        (FONTS / f"{name}.json").write_text(words + "\n", encoding="utf-8")
    licence = regular["name"].getDebugName(LICENCE_NAME_ID)
    licence_lines = (line.rstrip() for line in licence.splitlines())
    (FONTS / "LICENSE-DejaVu.txt").write_text("\n".join(licence_lines) + "\n", encoding="utf-8")
    for face, font in fonts.items():
        subset(font, codes)
        font.save(FONTS / FACES[face])
    print(f"{len(codes)} letters in {FONTS}")


if __name__ == "__main__":
    main(sys.argv[1] if len(sys.argv) > 1 else DEBIAN)

"""Fonts: cut DejaVu Sans Condensed down to what a sheet needs, and tabulate it.

Writes into src/tapewright/drawing/fonts: two subset fonts, the licence as the
font itself carries it, the advance of each letter (lettering.json) and the
outline of each letter (outlines.json).  Two runs write the same bytes.

Holds:  the letters we carry; the way from Debian's fonts to ours.
Never:  anything the program needs at run time.
Source: DejaVu fonts 2.37, Debian package fonts-dejavu-extra.
Run:    python builders/build_fonts.py [folder of the fonts]
"""

import json
import pathlib
import sys
from collections.abc import Mapping
from typing import Any

from fontTools.pens.svgPathPen import SVGPathPen
from fontTools.subset import Options, Subsetter
from fontTools.ttLib import TTFont

DEBIAN = "/usr/share/fonts/truetype/dejavu"  # apt-get install fonts-dejavu-extra
FACES = {"regular": "DejaVuSansCondensed.ttf", "bold": "DejaVuSansCondensed-Bold.ttf"}
FONTS = pathlib.Path(__file__).parents[1] / "src/tapewright/drawing/fonts"
LICENCE_NAME_ID = 13
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
    (0xFFFD, 0xFFFD),
)


def letters(fonts: dict[str, TTFont]) -> list[int]:
    """Code points of our ranges that every face has."""
    wanted = {code for low, high in RANGES for code in range(low, high + 1)}
    for font in fonts.values():
        wanted &= set(font.getBestCmap())
    return sorted(wanted)


def write_subset(font: TTFont, name: str, codes: list[int]) -> None:
    """Write the face with only these letters, without hints and layout rules."""
    options = Options(
        hinting=False, layout_features=[], notdef_outline=True, recalc_timestamp=False
    )
    options.name_IDs = [0, 1, 2, 3, 4, 5, 6, LICENCE_NAME_ID, 14]
    subsetter = Subsetter(options)
    subsetter.populate(unicodes=codes)
    font.recalcTimestamp = False
    subsetter.subset(font)
    font.save(FONTS / name)


def outline(glyphs: Mapping[str, Any], glyph_name: str) -> str:
    """Outline of one glyph as path text, in font units, y up."""
    pen = SVGPathPen(glyphs, ntos=lambda number: format(round(number, 1), "g"))
    glyphs[glyph_name].draw(pen)
    return pen.getCommands()


def ink(font: TTFont, letter: str) -> tuple[int, int]:
    """Lowest and highest ink of a letter [font units]."""
    glyph = font["glyf"][font.getBestCmap()[ord(letter)]]
    return glyph.yMin, glyph.yMax


def main(folder: str) -> None:
    """Write all files."""
    fonts = {face: TTFont(pathlib.Path(folder) / name) for face, name in FACES.items()}
    codes = letters(fonts)
    advances, outlines = {}, {}
    for face, font in fonts.items():
        cmap, glyphs = font.getBestCmap(), font.getGlyphSet()
        advances[face] = {chr(code): font["hmtx"][cmap[code]][0] for code in codes}
        outlines[face] = {chr(code): outline(glyphs, cmap[code]) for code in codes}
    regular = fonts["regular"]
    lettering = {
        "units_per_em": regular["head"].unitsPerEm,
        "cap": ink(regular, "H")[1],
        "digits": [
            min(ink(font, digit)[0] for font in fonts.values() for digit in "0123456789"),
            max(ink(font, digit)[1] for font in fonts.values() for digit in "0123456789"),
        ],
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
        write_subset(font, FACES[face], codes)
    print(f"{len(codes)} letters in {FONTS}")


if __name__ == "__main__":
    main(sys.argv[1] if len(sys.argv) > 1 else DEBIAN)

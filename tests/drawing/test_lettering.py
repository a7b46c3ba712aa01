from importlib.resources import files

import pytest
from fontTools.pens.boundsPen import BoundsPen
from fontTools.ttLib import TTFont

from tapewright.drawing.lettering import (
    balanced,
    ink_mm,
    is_printable,
    printable,
    shortened,
    units_per_em,
    width_mm,
    wrapped,
)

CAP = 1493 / 2048  # height of a capital in ems, from the font's own tables
ELLIPSIS = "…"

FONTS = files("tapewright.drawing") / "fonts"
FACES = {False: "DejaVuSansCondensed.ttf", True: "DejaVuSansCondensed-Bold.ttf"}


@pytest.mark.parametrize("bold", [False, True])
def test_widths_are_those_of_the_embedded_font(bold):
    font = TTFont(FONTS / FACES[bold])
    cmap = font.getBestCmap()
    words = "20 to 60 mark 31.4 mm Ёž½Ω→"
    units = sum(font["hmtx"][cmap[ord(letter)]][0] for letter in words)
    wanted_mm = 2.5 * units / font["head"].unitsPerEm
    assert abs(width_mm(words, 2.5, bold=bold) - wanted_mm) < 1e-9  # the same integers


def test_a_capital_is_as_high_as_stated():
    font = TTFont(FONTS / FACES[False])
    pen = BoundsPen(font.getGlyphSet())
    font.getGlyphSet()[font.getBestCmap()[ord("H")]].draw(pen)
    assert pen.bounds[3] / units_per_em() == CAP


def test_of_letters_without_a_glyph_an_ellipsis_is_left_and_never_a_replacement_sign():
    assert printable("弓の達人 and bow") == "… and bow"
    assert printable("Nguyễn 🏹") == "Nguyen …"
    assert printable("\N{REPLACEMENT CHARACTER}") == "…"


@pytest.mark.parametrize(
    ("name", "whole"),
    [("Große Möwe №1", True), ("e\u0301\tand", True), ("弓の達人", False), ("قوس", False),
     ("Heron 🏹", False), ("Nguyễn", False)],
)  # fmt: skip
def test_whether_a_name_can_be_written_whole_is_known(name, whole):
    assert is_printable(name) is whole


@pytest.mark.parametrize(("figures", "nought"), [("figures", 0.6), ("narrow", 0.5)])
def test_figures_have_a_stroke_of_a_sixth_of_their_height(figures, nought):
    font = TTFont(FONTS / {"figures": "TapewrightFigures.ttf",
                           "narrow": "TapewrightFigures-Narrow.ttf"}[figures])  # fmt: skip
    glyphs, cmap = font["glyf"], font.getBestCmap()
    high = 1493
    one = glyphs[cmap[ord("1")]]
    stem = sorted({x for x, y in one.coordinates if y == 0})
    assert (stem[1] - stem[0]) / high == pytest.approx(1.0 / 6.0, abs=0.002)
    zero = glyphs[cmap[ord("0")]]
    assert (zero.xMax - zero.xMin) / high == pytest.approx(nought, abs=0.002)
    sides = sorted({x for x, _ in zero.coordinates})
    assert (sides[1] - sides[0]) / high < 1.0 / 6.0 < 0.25
    for digit in "234567890":
        glyph = glyphs[cmap[ord(digit)]]
        assert (glyph.xMax - glyph.xMin) / high >= 0.499  # half of the height at least
        assert glyph.yMax in (1493, 1518)
    assert ink_mm("80", 2048.0, figures) == pytest.approx(
        font["hmtx"][cmap[ord("8")]][0] + font["hmtx"][cmap[ord("0")]][0]
        - 2 * font["hmtx"][cmap[ord("0")]][1], abs=2,
    )  # fmt: skip


def test_accents_are_joined_and_white_space_is_one_blank():
    assert printable("e\u0301\tand\n u\u0308") == "é and ü"


def test_lines_are_broken_to_fit():
    lines = wrapped("one two three four", 3.0, 15.0)
    assert " ".join(lines) == "one two three four"
    assert len(lines) > 1
    assert all(width_mm(line, 3.0) <= 15.0 for line in lines)
    assert wrapped("", 3.0, 15.0) == ()


def test_a_word_that_is_too_wide_is_shortened():
    (line,) = wrapped("unbreakably", 3.0, 8.0)
    assert line.endswith(ELLIPSIS)
    assert width_mm(line, 3.0) <= 8.0


def test_short_words_stay_and_nothing_is_shorter_than_the_ellipsis():
    assert shortened("bow", 3.0, 20.0) == "bow"
    assert shortened("bow", 3.0, 0.1) == ELLIPSIS


def test_balanced_lines_leave_no_lonely_last_word():
    assert wrapped("12 of 33 for 31.4 mm", 2.4, 20.0)[-1] == "mm"
    assert balanced("12 of 33 for 31.4 mm", 2.4, 20.0) == ("12 of 33 for", "31.4 mm")


def test_balancing_never_shortens_a_word():
    lines = balanced("aaaaaaaaaaaa b", 2.4, width_mm("aaaaaaaaaaaa", 2.4) + 0.01)
    assert lines == ("aaaaaaaaaaaa", "b")
    assert balanced("a b", 3.0, 1.9) == ("a", "b")
    assert balanced("one line", 3.0, 50.0) == ("one line",)

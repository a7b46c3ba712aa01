"""Layouts: every kind of sheet, drawn from made-up words and marks, as a list of plain numbers.

Run as a program it keeps today's layouts: ``python tests/support/layouts.py``; do so when a layout
was changed on purpose, and look at the sheets.

Holds:  the sheets; the file they are kept in.
Never:  evidence that a length is true (tests/outside measures that).
"""

import json
from dataclasses import astuple, replace
from pathlib import Path

from written_out import A4, LETTER

from tapewright.drawing.card_sheet import CardTable, CardWords, full_sheet, pocket_sheet
from tapewright.drawing.family_sheet import family_sheets
from tapewright.drawing.gauge import Gauge
from tapewright.drawing.paper import PrinterCorrection, WheelWrap
from tapewright.drawing.shapes import Text
from tapewright.drawing.sheet import gauge_sheets, gauge_strip_sheet, strip_sheet, tape_sheets
from tapewright.drawing.tape import Column, Look, Mark, Strip
from tapewright.drawing.target_sheet import Target, TargetWords, grid_room_mm, target_sheets

KEPT = Path(__file__).resolve().parents[1] / "drawing" / "kept" / "layouts.json"
FRACTIONS = 4  # of a millimetre


def drawn_of(shape):
    """All that is seen of a shape: what only who hears a page is told is no layout."""
    return astuple(shape)[:-1] if isinstance(shape, Text) else astuple(shape)


def strip(name, pins=1, per_mm=0.6, close=()):
    columns = []
    for pin in range(1, pins + 1):
        far = [
            Mark(float(one), per_mm * one + 0.004 * one**2 - 7.0 * pin, one <= 60)
            for one in range(10, 81)
        ]
        near = [Mark(float(one), per_mm * (20 - one) - 7.0 * pin, close=True) for one in close]
        columns.append(Column(f"pin {pin}", (*far, *near)))
    return Strip(name, tuple(columns), "Stick it with the 20 on 12.4.")


def card(rows=9):
    heads = (("yd", ""), ("mark", "mm"), ("±", "mm"), ("time", "s"), ("speed", "ft/s"))
    cells = tuple(
        (f"{10 * row}", f"{7.7 * row:.1f}", "0.4", f"{0.1 * row:.2f}", "270")
        for row in range(1, rows + 1)
    )
    return CardTable(heads, cells, 3, frozenset({rows - 1}))


def sheets():
    """Name → sheets."""
    close = CardTable((("close", "yd"), ("5", "")), (("mm", "28.7"), ("as yd", "39.7")), 2, bold=1)
    card_words = CardWords(
        "Heron", "Range card", "Trusted to 60 yd.", (close,),
        ("A note.", "Another note that is longer. " * 6), ("A safe stop.",), "Fold it.",
    )  # fmt: skip
    target_words = TargetWords(
        "Heron", "inches from the aim", (("rig", "Heron", 3.0), ("date", "", 1.0)),
        "Hang it by a thread. " * 6, "Measure both. " * 4, ("Cut.", "Glue."),
        ("Aiming mark for 60 yd.",) * 3,
    )  # fmt: skip
    three = tuple(strip(f"{one} mm", 2, close=(5, 6, 7)) for one in (30, 31, 33))
    wide = Look(width_mm=14.0)
    up = Look("m", 14.0, "left", "up", 10)
    bent = {"correction": PrinterCorrection(0.98, 1.01), "wrap": WheelWrap(60.0, 0.3)}
    small = PrinterCorrection(1.02, 0.99)
    return {
        "tape": tape_sheets(three, wide, "Heron", notes=("A note.",), cautions=("Mind.",)),
        "tape up": tape_sheets((strip("one", per_mm=0.2),), up, "Heron", paper=LETTER, **bent),
        "strip": (strip_sheet(three[0], replace(wide, length_mm=110.0), WheelWrap(50.0, 0.5)),),
        "gauge": gauge_sheets(Gauge(10, 60), Look(), "Heron", notes=("Bar",)),
        "gauge strip": (gauge_strip_sheet(Gauge(10, 60), up),),
        "pocket card": (pocket_sheet(card(), card_words, A4),),
        "full card": (full_sheet(card(31), card_words, LETTER),),
        "target": target_sheets(
            Target("in", *grid_room_mm("in", A4, PrinterCorrection()), 50.0, 76.2), target_words,
            paper=A4,
        ),
        "target cm": target_sheets(
            Target("cm", *grid_room_mm("cm", LETTER, small), 40.0, 90.0), target_words,
            paper=LETTER, correction=small,
        ),
        "tiles": target_sheets(Target("cm", 400.0, 500.0, 60.0, 125.0), target_words, paper=A4),
        "family": family_sheets(
            tuple(strip(f"{one} of 4") for one in range(1, 5)), Look(), "Title", "Strips in yards"
        ),
    }  # fmt: skip


def listed():
    """Name → the shapes of its sheets: kind, then every field."""

    def plain(value):
        return round(value, FRACTIONS) + 0.0 if isinstance(value, float) else value

    return {
        name: [
            [type(shape).__name__, *map(plain, drawn_of(shape))]
            for sheet in some
            for shape in sheet.shapes
        ]
        for name, some in sheets().items()
    }


if __name__ == "__main__":
    KEPT.parent.mkdir(exist_ok=True)
    lines = (
        f"{json.dumps(name)}: [\n"
        + ",\n".join(json.dumps(one, ensure_ascii=False) for one in some)
        + "\n]"
        for name, some in listed().items()
    )
    KEPT.write_text("{\n" + ",\n".join(lines) + "\n}\n", encoding="utf-8")

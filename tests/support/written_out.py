"""Written out: papers, people's units and standard air as the world has them.

Tests hand these to the program in place of the program's own, so that a changed number there is
noticed here.

Holds:  such records, each number with its source.
Never:  the program's own records of the same names.
"""

from tapewright.drawing.paper import Paper, PrinterCorrection
from tapewright.flight.air import Air
from tapewright.words.unit_system import Units

A4 = Paper("A4", 210.0, 297.0)  # ISO 216 [mm]
LETTER = Paper("Letter", 215.9, 279.4)  # ANSI/ASME Y14.1: 8.5 in × 11 in [mm]
NO_CORRECTION = PrinterCorrection(1.0, 1.0)  # prints at true size

# Distance, miss, speed, length, reading, angle; what archers read where yards or metres are shot.
IMPERIAL = Units("yd", "in", "ft/s", "in", "mph", "ft·lbf", "slug·ft/s", "mm", "mrad")
METRIC = Units("m", "cm", "m/s", "mm", "m/s", "J", "kg·m/s", "mm", "mrad")

STANDARD_AIR = Air(288.15, 101325.0, 0.0)  # ISO 2533:1975 at sea level: 15 °C, 1013.25 hPa, dry

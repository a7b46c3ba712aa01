"""Measure printer: what a printer makes of the two proof rulers, from what was measured.

Holds:  the question.
Never:  what is printed, names of printers.
"""

from tapewright.drawing.paper import PrinterCorrection, correction_from_rulers

__all__ = ["proof_after"]


def proof_after(
    measured_mm: tuple[float, float], printed_with_mm: tuple[float, float] | None = None
) -> tuple[float, float]:
    """What a printer makes of the proof rulers, from what was measured on a print."""
    correction_from_rulers(*measured_mm)
    across_mm, down_mm = printed_with_mm or (100.0, 100.0)
    before = PrinterCorrection(across_mm / 100.0, down_mm / 100.0)
    after = correction_from_rulers(*measured_mm, before)
    return 100.0 * after.across, 100.0 * after.down

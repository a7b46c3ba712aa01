"""Measure printer: what a printer makes of the two proof rulers, from what was measured.

Holds:  the errand.
Never:  what is printed, names of printers.
"""

from tapewright.drawing.paper import PrinterCorrection, correction_from_rulers

__all__ = ["proof_after"]


def proof_after(
    measured_mm: tuple[float, float], printed_with_mm: tuple[float, float] | None = None
) -> tuple[float, float]:
    """What a printer makes of the proof rulers, from what was measured on a print.

    Parameters
    ----------
    measured_mm : (float, float)
        Both rulers, across and down. [mm]
    printed_with_mm : (float, float) or None
        What the measured print was corrected for; None: it was not. [mm]

    Returns
    -------
    (float, float)
        Across and down, as an uncorrected print would measure. [mm]

    Raises
    ------
    BadInput
        If a length is more than a printer's own error off.
    """
    correction_from_rulers(*measured_mm)
    across_mm, down_mm = printed_with_mm or (100.0, 100.0)
    before = PrinterCorrection(across_mm / 100.0, down_mm / 100.0)
    after = correction_from_rulers(*measured_mm, before)
    return 100.0 * after.across, 100.0 * after.down

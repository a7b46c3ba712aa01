"""Paper: what a drawing is printed on, and what printing and sticking do to its lengths.

Holds:  Paper, Sheet, PrinterCorrection, WheelWrap records; the correction from measured rulers.
Never:  strips, the layout of a page, file formats.
"""

from dataclasses import dataclass

from tapewright.drawing.shapes import Shape
from tapewright.ground.errors import BadInput

PROOF_MM = 100
LARGEST_ERROR = 0.1


@dataclass(frozen=True, slots=True)
class Paper:
    """A size of paper, upright.

    Parameters
    ----------
    name : str
        What it is called.
    width_mm, height_mm : float
        Its size. [mm]
    """

    name: str
    width_mm: float
    height_mm: float


A4 = Paper("A4", 210.0, 297.0)  # ISO 216
LETTER = Paper("Letter", 215.9, 279.4)  # ANSI/ASME Y14.1, 8.5 in × 11 in
PAPERS = {paper.name: paper for paper in (A4, LETTER)}


@dataclass(frozen=True, slots=True)
class Sheet:
    """Shapes on one page.

    Parameters
    ----------
    paper : Paper
        What it is printed on.
    shapes : tuple of shapes
        From the paper's top left corner.
    title : str
        Title of the document.
    """

    paper: Paper
    shapes: tuple[Shape, ...]
    title: str


@dataclass(frozen=True, slots=True)
class PrinterCorrection:
    """How much too large a printer prints, per axis; everything is divided by it.

    Parameters
    ----------
    across, down : float, default 1
        Printed length over wanted length, 0.9 to 1.1. [-]
    """

    across: float = 1.0
    down: float = 1.0

    def __post_init__(self) -> None:
        for name, share in (("across", self.across), ("down", self.down)):
            if not abs(share - 1.0) <= LARGEST_ERROR:
                raise BadInput(
                    name,
                    f"{PROOF_MM * share:.1f} mm in place of {PROOF_MM} mm is more than a "
                    "printer's own error",
                    "Print again at 100 %, without fitting to the page, and measure again",
                )


@dataclass(frozen=True, slots=True)
class WheelWrap:
    """A strip printed flat and wrapped round a wheel.

    It bends about the middle of its thickness, while readings taken on the
    bare wheel are lengths along the metal.

    Parameters
    ----------
    diameter_mm : float
        Of the bare wheel. [mm]
    thickness_mm : float
        Of strip and glue. [mm]
    """

    diameter_mm: float
    thickness_mm: float

    def __post_init__(self) -> None:
        if not (self.diameter_mm > 0.0 and 0.0 <= self.thickness_mm < self.diameter_mm):
            raise BadInput(
                "wheel",
                f"a strip of {self.thickness_mm:g} mm on {self.diameter_mm:g} mm cannot be wrapped",
                "Give the diameter of the bare wheel and the thickness of the strip in mm",
            )

    @property
    def stretch(self) -> float:
        """Length printed flat over length along the metal [-]."""
        return 1.0 + self.thickness_mm / self.diameter_mm


NO_CORRECTION = PrinterCorrection()


def correction_from_rulers(
    across_mm: float, down_mm: float, printed_with: PrinterCorrection = NO_CORRECTION
) -> PrinterCorrection:
    """Correction for the next print, from what the two proof rulers measured.

    Parameters
    ----------
    across_mm, down_mm : float
        Measured length of the horizontal and of the vertical ruler. [mm]
    printed_with : PrinterCorrection, default none
        The correction that the measured sheet was printed with.

    Returns
    -------
    PrinterCorrection
        For the next print.

    Raises
    ------
    BadInput
        If a length is more than 10 % off: the print dialogue has scaled the page.

    Example
    -------
    >>> correction_from_rulers(99.0, 100.5)
    PrinterCorrection(across=0.99, down=1.005)
    """
    return PrinterCorrection(
        printed_with.across * across_mm / PROOF_MM, printed_with.down * down_mm / PROOF_MM
    )

"""Files: sheets as the files that are taken home, whatever is drawn on them.

Holds:  sheets in the formats asked for, with the endings of their names.
Never:  the formats themselves (pdf.py, svg.py), what stands on a sheet.
"""

from collections.abc import Sequence

from tapewright.drawing.paper import Sheet
from tapewright.drawing.pdf import pdf_bytes
from tapewright.drawing.svg import svg_text


def sheet_files(
    sheets: tuple[Sheet, ...],
    formats: Sequence[str],
    names: Sequence[str] | None = None,
    *,
    printed: str = "",
) -> tuple[tuple[str, bytes], ...]:
    """Sheets as one PDF, as SVG one by one, or both.

    Parameters
    ----------
    sheets : tuple of Sheet
        In their order.
    formats : sequence of str
        ``"pdf"``, ``"svg"``; others are passed over.
    names : sequence of str, optional
        What stands before ``.svg`` for each sheet; absent: nothing for the first, then
        ``-2``, ``-3``, …
    printed : str, default ""
        Date of the print, for the PDF to tell.

    Returns
    -------
    tuple of (str, bytes)
        Ending of the file's name, and its content.
    """
    files: list[tuple[str, bytes]] = []
    if "pdf" in formats:
        files.append((".pdf", pdf_bytes(sheets, printed)))
    if "svg" in formats:
        if names is None:
            names = ["", *(f"-{number}" for number in range(2, len(sheets) + 1))]
        files += [
            (f"{name}.svg", svg_text(sheet).encode())
            for name, sheet in zip(names, sheets, strict=True)
        ]
    return tuple(files)

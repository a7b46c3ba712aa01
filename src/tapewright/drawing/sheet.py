"""Sheet: what can be asked for on paper: a tape, a gauge, a bare strip.

Holds:  tape_sheets, gauge_sheets; strip_sheet, gauge_strip_sheet.
Never:  the layout of a page (page.py), file formats; how a mark was found.
"""

from dataclasses import replace

from tapewright.drawing.filled_page import filled_room_mm, filled_sheets, fullest
from tapewright.drawing.gauge import Gauge, draw_gauge, gauge_length_mm, gauge_places_mm
from tapewright.drawing.legibility import reading_hints
from tapewright.drawing.page import (
    Page,
    Piece,
    composed,
    groups,
    sticking_sheet,
    takes_sticking,
)
from tapewright.drawing.page_parts import STRIP_TOP_MM
from tapewright.drawing.paper import (
    A4,
    LETTER,
    NO_CORRECTION,
    PROOF_MM,
    Paper,
    PrinterCorrection,
    Sheet,
    WheelWrap,
    correction_from_rulers,
)
from tapewright.drawing.shapes import moved
from tapewright.drawing.sticking import Sticking
from tapewright.drawing.strip_pieces import as_pieces, strip_pieces
from tapewright.drawing.tape import (
    Look,
    Strip,
    draw_strip,
    strip_length_mm,
)

__all__ = [
    "A4",
    "LETTER",
    "NO_CORRECTION",
    "Paper",
    "PrinterCorrection",
    "Sheet",
    "WheelWrap",
    "correction_from_rulers",
    "gauge_sheets",
    "gauge_strip_sheet",
    "strip_sheet",
    "tape_sheets",
]

BARE_MM = 4.0
FIRST_CHOICE = "Stick this one on first; four steps tell how."
UNIT_WORDS = {"yd": "yards", "m": "metres"}


def tape_sheets(
    strips: tuple[Strip, ...],
    look: Look,
    title: str,
    *,
    paper: Paper = A4,
    notes: tuple[str, ...] = (),
    cautions: tuple[str, ...] = (),
    correction: PrinterCorrection = NO_CORRECTION,
    wrap: WheelWrap | None = None,
    cells: tuple[tuple[bool, ...], ...] = (),
    sticking: Sticking | None = None,
    labels: bool = False,
) -> tuple[Sheet, ...]:
    """Sheets for one tape: the likeliest strip and its neighbours.

    The middle strip is on the first sheet and marked as the one to start
    with. Strips that do not fit beside it go to further sheets, and a strip longer than the
    paper is cut in two pieces.

    Parameters
    ----------
    strips : tuple of Strip
        In order; the middle one is the likeliest.
    look : Look
        How strips are drawn.
    title : str
        Name of the rig.
    paper : Paper, default A4
        What it is printed on.
    notes : tuple of str
        Small print: rig, date, conditions, fingerprint, trusted distance, version.
    cautions : tuple of str
        What must be read before shooting.
    correction : PrinterCorrection
        The printer's own error.
    wrap : WheelWrap or None
        For a strip on a wheel whose readings were taken on bare metal.
    cells : tuple of rows of bool, default none
        Black and white of a code to scan, without its border.
    sticking : Sticking or None, default None
        How a strip is stuck on; under the strips, or on a sheet of its own.
    labels : bool, default False
        One sheet more, full of the same strips and without words, for label film.

    Returns
    -------
    tuple of Sheet
        One or more.

    Raises
    ------
    DoesNotFit
        If a strip or the words are larger than the paper.
    """
    stretch = wrap.stretch if wrap else 1.0
    middle = len(strips) // 2
    page = Page(
        title,
        f"Sight tape in {UNIT_WORDS[look.unit]}",
        (*reading_hints(strips, look, stretch), *_edge_hints(strips[0], look)),
        (*notes, *_scale_notes(correction, wrap)),
        cautions,
        paper,
        correction,
        cells,
        sticking,
    )
    if sticking is not None:  # it tells where to stick the first choice on
        first = replace(strips[middle], align=FIRST_CHOICE)
        strips = (*strips[:middle], first, *strips[middle + 1 :])
    pieces = [
        strip_pieces(strip, look, page.bottom_mm - STRIP_TOP_MM, stretch,
                     is_first_choice=len(strips) > 1 and index == middle)
        for index, strip in enumerate(strips)
    ]  # fmt: skip
    sheets = groups(pieces, middle, page)
    has_own = sticking is not None and not takes_sticking(page, sheets[0])
    if has_own:
        page = replace(page, hints=(*page.hints, f"How to stick it on: sheet {len(sheets) + 1}."))
    before = len(sheets) + has_own
    film: tuple[Sheet, ...] = ()
    if labels:
        room_mm = filled_room_mm(replace(page, hints=(), notes=(), cautions=()))
        many = fullest([strip_pieces(strip, look, room_mm, stretch) for strip in strips], page)
        film = filled_sheets(many, page, before=before, has_words=False)
    count = before + len(film)
    told = tuple(composed(page, group, (number, count)) for number, group in enumerate(sheets, 1))
    own = (sticking_sheet(page, (before, count)),) if has_own else ()
    return (*told, *own, *film)


def gauge_sheets(
    gauge: Gauge,
    look: Look,
    title: str,
    *,
    paper: Paper = A4,
    notes: tuple[str, ...] = (),
    cautions: tuple[str, ...] = (),
    correction: PrinterCorrection = NO_CORRECTION,
) -> tuple[Sheet, ...]:
    """A gauge strip, in two pieces if it is longer than the paper, and the same again as a spare.

    Parameters
    ----------
    gauge : Gauge
        The ruler.
    look : Look
        How it is drawn.
    title : str
        Name of the rig.
    paper : Paper, default A4
        What it is printed on.
    notes, cautions : tuple of str
        Small print.
    correction : PrinterCorrection
        The printer's own error.

    Returns
    -------
    tuple of Sheet
        One or more.

    Raises
    ------
    DoesNotFit
        If the ruler or the words are larger than the paper.
    """
    end_mm = gauge.start_mm + gauge.length_mm
    name = f"{gauge.start_mm}–{end_mm} mm"
    sentence = "Stick it where the sight tape will go and take all readings on it, in mm."
    length_mm = gauge_length_mm(gauge)
    shapes = draw_gauge(gauge, look)
    spare = "The same again, in case the first is spoilt."
    scale_notes = _scale_notes(correction, None)
    page = Page(title, "Gauge strip", (), (*notes, *scale_notes), cautions, paper, correction)
    room_mm = page.bottom_mm - STRIP_TOP_MM
    rulers = [
        as_pieces(
            Piece(head, words, look.width_mm, length_mm, shapes, pointer=look.number_side),
            gauge_places_mm(gauge),
            room_mm,
        )
        for head, words in ((name, sentence), ("Spare", spare))
    ]
    sheets = groups(rulers, 0, page)
    return tuple(
        composed(page, group, (number, len(sheets))) for number, group in enumerate(sheets, 1)
    )


def strip_sheet(strip: Strip, look: Look, wrap: WheelWrap | None = None) -> Sheet:
    """One bare strip on a sheet of its own size: for the engraver and for the preview.

    Parameters
    ----------
    strip : Strip
        The strip.
    look : Look
        How it is drawn.
    wrap : WheelWrap or None
        For a strip on a wheel whose readings were taken on bare metal.

    Returns
    -------
    Sheet
        The strip with 4 mm of white around it.

    Raises
    ------
    DoesNotFit
        If the marks are longer than the look allows, or the strip too narrow.
    """
    stretch = wrap.stretch if wrap else 1.0
    length_mm = strip_length_mm(strip, look, stretch)
    paper = Paper("strip", look.width_mm + 2.0 * BARE_MM, length_mm + 2.0 * BARE_MM)
    shapes = draw_strip(strip, look, stretch)
    return Sheet(paper, tuple(moved(shape, BARE_MM, BARE_MM) for shape in shapes), strip.name)


def gauge_strip_sheet(gauge: Gauge, look: Look) -> Sheet:
    """One bare gauge strip on a sheet of its own size, for the preview.

    Parameters
    ----------
    gauge : Gauge
        The ruler.
    look : Look
        How it is drawn.

    Returns
    -------
    Sheet
        The strip with 4 mm of white around it.
    """
    length_mm = gauge_length_mm(gauge)
    paper = Paper("strip", look.width_mm + 2.0 * BARE_MM, length_mm + 2.0 * BARE_MM)
    shapes = tuple(moved(shape, BARE_MM, BARE_MM) for shape in draw_gauge(gauge, look))
    return Sheet(paper, shapes, f"{gauge.start_mm}–{gauge.start_mm + gauge.length_mm} mm")


def _edge_hints(strip: Strip, look: Look) -> tuple[str, ...]:
    """What stands along the free edge: which notches, or a side scale and the room it takes."""
    edge = "left" if look.number_side == "right" else "right"
    if strip.notches:
        told = ", ".join(f"{one:g}" for one in strip.notches)
        of = f" of {strip.columns[0].name}" if len(strip.columns) > 1 else ""
        where = f"Notches for fingers along the {edge} edge: {told} {look.unit}{of}"
        return (f"{where}. The nearest is wide and flat: count from there.",)
    if not look.side_scale:
        return ()
    takes = f"takes {look.width_mm - look.lanes_mm:g} mm of the width"
    count = (
        "counts mm from the first tick"
        if strip.side_zero_mm
        else "is in mm, like the gauge strip: for going on in mm once that is off"
    )
    return (f"The fine scale along the {edge} edge {count}. It {takes}; read it from near.",)


def _scale_notes(correction: PrinterCorrection, wrap: WheelWrap | None) -> tuple[str, ...]:
    """Small print on what was done to the scale."""
    notes = []
    if correction != NO_CORRECTION:
        notes.append(
            f"Printer correction: across {100 * correction.across:.2f} mm, "
            f"down {100 * correction.down:.2f} mm for {PROOF_MM} mm"
        )
    if wrap:
        notes.append(
            f"For a wheel of {wrap.diameter_mm:g} mm, strip {wrap.thickness_mm:g} mm thick: "
            f"printed {100 * (wrap.stretch - 1):.2f} % longer"
        )
    return tuple(notes)

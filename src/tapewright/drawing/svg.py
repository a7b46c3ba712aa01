"""SVG: a sheet as SVG text, sized in mm.

Holds:  Sheet → SVG text, words as outlines or as text.
Never:  tapes, ticks, points.
"""

from html import escape

from tapewright.drawing.lettering import advances_mm, outline, printable, units_per_em, width_mm
from tapewright.drawing.paper import Sheet
from tapewright.drawing.shapes import DASH_MM, Box, Line, Shape, Text

NAMESPACE = "http://www.w3.org/2000/svg"
CUT_LAYERS = ("number", "tick", "untrusted", "note", "cut")  # what is cut loose comes last
FAMILY = "'DejaVu Sans Condensed', 'Arial Narrow', sans-serif"


def svg_text(sheet: Sheet, *, outlines: bool = True, layers: bool = False) -> str:
    """One sheet as SVG, true to the millimetre.

    Parameters
    ----------
    sheet : Sheet
        What to write.
    outlines : bool, default True
        Words as outlines, for files that are printed or cut: no font is needed on the other
        side. False: as text, for the preview on screen.
    layers : bool, default False
        Shapes in one group for each layer, named by it, for a machine that cuts or engraves.

    Returns
    -------
    str
        A whole SVG document; lengths in mm to 4 decimals.
    """
    wide, high = _mm(sheet.paper.width_mm), _mm(sheet.paper.height_mm)
    rows = [
        f'<svg xmlns="{NAMESPACE}" width="{wide}mm" height="{high}mm" viewBox="0 0 {wide} {high}">',
        f"<title>{escape(sheet.title)}</title>",
    ]
    if layers:
        for layer in CUT_LAYERS:
            rows.append(f'<g id="{layer}">')
            rows += [_row(one, outlines=outlines) for one in sheet.shapes if one.layer == layer]
            rows.append("</g>")
    else:
        rows += [_row(one, outlines=outlines) for one in sheet.shapes]
    return "\n".join([*rows, "</svg>"]) + "\n"


def _row(shape: Shape, *, outlines: bool) -> str:
    """One shape."""
    if isinstance(shape, Text):
        return _outlined(shape) if outlines else _text(shape)
    return _ruled(shape)


def _mm(length_mm: float) -> str:
    """Write a length with 4 decimals at most [mm]."""
    return f"{round(length_mm, 4) + 0.0:.4f}".rstrip("0").rstrip(".")  # + 0.0: no minus zero


def _grey(share: float) -> str:
    """Grey as a colour."""
    level = round(255 * share)
    return f"#{level:02x}{level:02x}{level:02x}"


def _ruled(shape: Line | Box) -> str:
    """Line or box."""
    if isinstance(shape, Line):
        dash = f' stroke-dasharray="{DASH_MM[0]} {DASH_MM[1]}"' if shape.dashed else ""
        return (
            f'<line class="{shape.layer}" x1="{_mm(shape.x1_mm)}" y1="{_mm(shape.y1_mm)}" '
            f'x2="{_mm(shape.x2_mm)}" y2="{_mm(shape.y2_mm)}" stroke="{_grey(shape.grey)}" '
            f'stroke-width="{_mm(shape.width_mm)}"{dash}/>'
        )
    ink = (
        f'fill="none" stroke="{_grey(shape.grey)}" stroke-width="{_mm(shape.line_mm)}"'
        if shape.line_mm
        else f'fill="{_grey(shape.grey)}"'
    )
    return (
        f'<rect class="{shape.layer}" x="{_mm(shape.x_mm)}" y="{_mm(shape.y_mm)}" '
        f'width="{_mm(shape.width_mm)}" height="{_mm(shape.height_mm)}" {ink}/>'
    )


def _text(shape: Text) -> str:
    """Words as text; its length is forced so that another font keeps the layout."""
    x, y, words = _mm(shape.x_mm), _mm(shape.y_mm), printable(shape.words)
    wide = _mm(width_mm(words, shape.em_mm, bold=shape.bold, figures=shape.figures))
    turn = f' transform="rotate({shape.turn_deg:g} {x} {y})"' if shape.turn_deg else ""
    weight = ' font-weight="bold"' if shape.bold or shape.figures else ""
    return (
        f'<text class="{shape.layer}" x="{x}" y="{y}" font-family="{FAMILY}" '
        f'font-size="{_mm(shape.em_mm)}"{weight} text-anchor="{shape.anchor}" '
        f'textLength="{wide}" lengthAdjust="spacingAndGlyphs" fill="{_grey(shape.grey)}"{turn}>'
        f"{escape(words)}</text>"
    )


def _outlined(shape: Text) -> str:
    """Words as outlines, one path for each letter."""
    words = printable(shape.words)
    steps_mm = advances_mm(words, shape.em_mm, bold=shape.bold, figures=shape.figures)
    pen_mm = -sum(steps_mm) * {"start": 0.0, "middle": 0.5, "end": 1.0}[shape.anchor]
    scale = shape.em_mm / units_per_em()
    turn = f" rotate({shape.turn_deg:g})" if shape.turn_deg else ""
    paths = []
    for letter, step_mm in zip(words, steps_mm, strict=True):
        commands = outline(letter, bold=shape.bold, figures=shape.figures)
        if commands:
            paths.append(f'<path transform="translate({round(pen_mm / scale)})" d="{commands}"/>')
        pen_mm += step_mm
    return (
        f'<g class="{shape.layer}" aria-label="{escape(words)}" fill="{_grey(shape.grey)}" '
        f'transform="translate({_mm(shape.x_mm)} {_mm(shape.y_mm)}){turn} '
        f'scale({scale:.8f} {-scale:.8f})">{"".join(paths)}</g>'
    )

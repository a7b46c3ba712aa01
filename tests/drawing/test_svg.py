import xml.etree.ElementTree as ET

from written_out import A4

from tapewright.drawing.paper import Sheet
from tapewright.drawing.shapes import Box, Line, Text
from tapewright.drawing.svg import svg_text

NAMESPACE = "http://www.w3.org/2000/svg"  # W3C SVG 1.1

SHEET = Sheet(
    A4,
    (
        Line(1, 2, 3.00004, 4, 0.2, dashed=True, layer="tick"),
        Line(-0.00001, 2, 3, 4),
        Box(5, 6, 7, 8, 0.1, 0.5, layer="cut"),
        Box(5, 6, 7, 8, 0.0),
        Text(10, 20, "a <b> & 弓", 3.0, layer="number"),
        Text(10, 20, "turned", 3.0, bold=True, anchor="middle", turn_deg=90, grey=0.4),
    ),
    'Rig "<&>"',
)


def elements(svg, tag):
    return ET.fromstring(svg).iter(f"{{{NAMESPACE}}}{tag}")  # noqa: S314 - our own text


def test_size_and_places_are_millimetres():
    root = ET.fromstring(svg_text(SHEET))  # noqa: S314 - our own text
    assert root.get("width") == "210mm"
    assert root.get("height") == "297mm"
    assert root.get("viewBox") == "0 0 210 297"
    first, second = elements(svg_text(SHEET), "line")
    assert (first.get("x1"), first.get("x2"), first.get("class")) == ("1", "3", "tick")
    assert first.get("stroke-dasharray")
    assert second.get("x1") == "0"
    assert not second.get("stroke-dasharray")


def test_boxes_are_outlined_or_filled():
    outlined, filled = elements(svg_text(SHEET), "rect")
    assert (outlined.get("fill"), outlined.get("stroke")) == ("none", "#808080")
    assert (filled.get("fill"), filled.get("stroke")) == ("#000000", None)


def test_everything_typed_is_escaped_and_missing_letters_are_visible():
    for outlines in (True, False):
        (title,) = elements(svg_text(SHEET, outlines=outlines), "title")
        assert title.text == 'Rig "<&>"'
    first, _ = elements(svg_text(SHEET, outlines=False), "text")
    assert first.text == "a <b> & …"


def test_words_are_outlines_for_print_and_text_for_the_screen():
    printed, preview = svg_text(SHEET), svg_text(SHEET, outlines=False)
    assert not list(elements(printed, "text"))
    assert len(list(elements(printed, "path"))) == len("a<b>&…turned")
    assert not list(elements(preview, "path"))
    turned = list(elements(preview, "text"))[1]
    assert turned.get("transform") == "rotate(90 10 20)"
    assert turned.get("font-weight") == "bold"
    assert turned.get("text-anchor") == "middle"


def test_layers_are_groups_with_the_cut_last_and_nothing_is_lost():
    root = ET.fromstring(svg_text(SHEET, layers=True))  # noqa: S314 - our own text
    groups = {one.get("id"): one for one in root if one.get("id")}
    assert list(groups) == ["number", "tick", "untrusted", "note", "cut"]
    counts = sum(len(group) for group in groups.values())
    assert counts == len(SHEET.shapes)
    for name, group in groups.items():
        assert all(one.get("class") == name for one in group)


def test_two_runs_write_the_same_text():
    assert svg_text(SHEET) == svg_text(SHEET)

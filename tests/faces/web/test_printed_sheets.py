"""Tape, gauge strip and target in the browser: chosen, seen, printed, noted."""

import io
import re
import zipfile
from importlib.resources import files
from pathlib import Path

import click
import pdfplumber
import pytest
from click.testing import CliRunner
from svgelements import SVG, Rect, SimpleLine

from tapewright.faces.cli.commands import main

MM_PER_PT = 25.4 / 72.0
SHARP_MM = 0.02  # an SVG is written to 0.0001 mm, a PDF to 0.001 pt; a hundredth is not seen
PX_PER_MM = 96.0 / 25.4


@pytest.fixture
def tape(rig_id):
    return f"/rigs/{rig_id}/tape"


def prints(notebook, rig_id):
    return [one.body for one in notebook.entries("print", rig_id)]


def level_lines_mm(text):
    """Horizontal lines of an SVG as a foreign reader sees them: left, right, height. [mm]"""
    lines = [one for one in SVG.parse(io.StringIO(text)).elements() if isinstance(one, SimpleLine)]
    ends = [(one.x1, one.x2, one.y1, one.y2) for one in lines]
    return sorted(
        (min(x1, x2) / PX_PER_MM, max(x1, x2) / PX_PER_MM, y1 / PX_PER_MM)
        for x1, x2, y1, y2 in ends
        if abs(y1 - y2) < 1e-6
    )


def pdf_lines_mm(content):
    with pdfplumber.open(io.BytesIO(content)) as pdf:
        page = pdf.pages[0]
        drawn = [*page.lines, *page.rects, *page.curves]
        return [
            (one["x0"] * MM_PER_PT, one["x1"] * MM_PER_PT, one["top"] * MM_PER_PT)
            for one in drawn
            if abs(one["top"] - one["bottom"]) < 0.02
        ]


def is_among(line, lines):
    return any(
        all(abs(a - b) < SHARP_MM for a, b in zip(line, other, strict=True)) for other in lines
    )


def test_the_page_shows_the_strip_and_how_to_stick_it_on(client, tape):
    page = client.get(tape)
    assert page.status_code == 200
    assert "Trusted to 91 yd" in page.text  # 92 by the sight's own numbers: how a strip is stuck
    assert re.search(r'<img class="strip" [^>]*src="/rigs/\w+/strip.svg\?printer=none"', page.text)
    assert "ticks from 5 to 110 yd" in page.text
    assert "Set the pointer to" in page.text
    assert "Take it if far arrows land low." in page.text
    assert "style=" not in page.text


@pytest.mark.parametrize("look", ["", "far_end=up&pointer=left", "distances=20:80:5m&width=20mm"])
def test_preview_and_pdf_have_their_ticks_at_the_same_places(client, tape, look):
    strip = level_lines_mm(client.get(f"{tape[:-4]}strip.svg?{look}").text)
    paper = pdf_lines_mm(client.get(f"{tape}.pdf?{look}").content)
    assert len(strip) > 25
    first = strip[0]
    shifts = [
        (x1 - first[0], top - first[2])
        for x1, x2, top in paper
        if abs((x2 - x1) - (first[1] - first[0])) < SHARP_MM
    ]
    found = [
        shift
        for shift in shifts
        if all(
            is_among((left + shift[0], right + shift[0], y + shift[1]), paper)
            for left, right, y in strip
        )
    ]
    assert found, "no strip of the PDF has the preview's ticks"


def test_the_preview_has_true_proportions(client, tape):
    text = client.get(f"{tape[:-4]}strip.svg?width=20mm&length=130mm").text
    cut = next(one for one in SVG.parse(io.StringIO(text)).elements() if isinstance(one, Rect))
    assert cut.height / cut.width == pytest.approx(130.0 / 20.0, rel=1e-4)


def test_looking_writes_nothing(client, notebook, rig_id, tape):
    for address in ("", ".pdf", ".svg", ".dxf"):
        assert client.get(f"{tape}{address}").status_code == 200
    client.get(f"{tape[:-4]}strip.svg")
    assert not prints(notebook, rig_id)


def test_a_print_is_noted_with_its_choices_and_leads_to_the_pdf(client, notebook, rig_id, tape):
    done = client.post(tape, data={"paper": "Letter", "width": " 16 mm ", "printer": "none"})
    assert done.status_code == 303
    pdf = client.get(done.headers["location"])
    assert pdf.content.startswith(b"%PDF")
    assert pdf.headers["content-disposition"].startswith("inline")
    with pdfplumber.open(io.BytesIO(pdf.content)) as read:
        assert float(read.pages[0].width) == pytest.approx(612.0, abs=0.1)  # 8.5 in
    (kept,) = prints(notebook, rig_id)
    assert (kept.what, kept.printer_id) == ("tape", None)
    assert kept.choices == {"paper": "Letter", "width": "16 mm"}
    calibration = notebook.newest("calibration", rig_id)
    assert kept.fingerprint == calibration.body.fingerprint
    (entry,) = notebook.entries("print", rig_id)
    assert [one.entry_id for one in entry.sources] == [calibration.id]


def test_every_fault_stands_beside_its_field(client, tape):
    page = client.get(f"{tape}?width=60mm&between=20&step=0mm&wheel=x&distances=20yd,&far_end=left")
    assert page.status_code == 422
    for name in ("width", "between", "step", "wheel", "distances", "far_end"):
        assert f'id="{name}-fault"' in page.text, name
    assert 'value="60mm"' in page.text
    assert "<details" in page.text
    assert "open" in page.text.split("<details")[1].split(">")[0]


@pytest.mark.parametrize(
    ("look", "told"),
    [
        ("between=5,12", "does not move that way"),
        ("length=20mm", "needs"),
        ("distances=200m", "No tick"),
        ("printer=00000000000000000000", "no such printer"),
        ("printer=../../x", "no such printer"),
    ],
)
def test_what_cannot_be_printed_is_told(client, tape, look, told):
    page = client.get(f"{tape}?{look}")
    assert told in page.text or page.status_code == 422
    assert "Traceback" not in page.text
    assert client.get(f"{tape}.pdf?{look}").status_code in {200, 422}


def test_what_cannot_be_printed_is_not_noted(client, notebook, rig_id, tape):
    refused = client.post(tape, data={"width": "60 mm"})
    assert refused.status_code == 422
    assert "Width of the strip: 60 mm cannot be drawn well" in refused.text
    assert not prints(notebook, rig_id)


def test_metres_typed_make_a_tape_in_metres(client, tape):
    assert "ticks from 10 to 60 m" in client.get(f"{tape}?distances=10:60:5m").text
    client.cookies.set("units", "metric")
    assert re.search(r"ticks from 5 to \d+ m", client.get(tape).text)


def test_files_carry_the_rig_s_name_and_no_path(client, tape):
    name = client.get(f"{tape}.dxf").headers["content-disposition"]
    assert "Heron-tape.dxf" in name
    assert client.get(f"{tape}.exe").status_code == 404
    assert client.get("/rigs/00000000000000000000/tape.pdf").status_code == 404


def test_its_record_is_saved_from_the_page_s_address_and_a_program_s(client, tape):
    for address in (f"{tape}.tape.json", f"/api{tape}/tape.json"):
        record = client.get(address)
        assert record.headers["content-type"] == "application/json"
        assert record.json()["schema"] == "tapewright.tape/1"


def test_an_engraver_s_file_is_offered_only_where_it_can_be_made(client, tape, monkeypatch):
    assert f'href="{tape}.dxf' in client.get(tape).text
    monkeypatch.setattr("tapewright.faces.web.pages.printed_sheets.can_engrave", lambda: False)
    page = client.get(tape).text
    assert f'href="{tape}.dxf' not in page
    assert "<code>./run --with engrave</code>" in page


def test_a_tape_that_takes_several_sheets_comes_packed(client, rig_id):
    sent = client.get(f"/rigs/{rig_id}/target.svg?size=60x90cm")
    with zipfile.ZipFile(io.BytesIO(sent.content)) as packed:
        assert len(packed.namelist()) == 17
        assert packed.read(packed.namelist()[0]).startswith(b"<svg")


def test_the_gauge_strip_is_seen_printed_and_noted(client, notebook, rig_id):
    here = f"/rigs/{rig_id}/gauge"
    page = client.get(f"{here}?start=10&reach=60")
    assert "Ruler from 10 to 70 mm, 12 mm wide, numbers growing down" in page.text
    strip = level_lines_mm(client.get(f"{here}-strip.svg?start=10&reach=60").text)
    heights = sorted(y for _, _, y in strip)
    assert heights[-1] - heights[0] == pytest.approx(60.0, abs=SHARP_MM)
    done = client.post(here, data={"start": "10", "reach": "60"})
    assert client.get(done.headers["location"]).content.startswith(b"%PDF")
    assert [one.what for one in prints(notebook, rig_id)] == ["gauge"]


@pytest.mark.parametrize("look", ["reach=x", "reach=4", "reach=9999", "start=-1", "width=2mm"])
def test_a_gauge_strip_that_cannot_be_drawn_is_told(client, rig_id, look):
    here = f"/rigs/{rig_id}/gauge"
    page = client.get(f"{here}?{look}")
    assert page.status_code == 422
    assert f'id="{look.split("=")[0]}-fault"' in page.text
    assert client.get(f"{here}-strip.svg?{look}").status_code == 422
    assert client.get(f"{here}.pdf?{look}").status_code == 422
    assert client.post(here, data=dict([look.split("=")])).status_code == 422


def test_the_target_is_seen_printed_and_noted(client, notebook, rig_id):
    here = f"/rigs/{rig_id}/target"
    assert "Target of 6 in by 8 in on one sheet." in client.get(here).text
    client.cookies.set("units", "metric")
    assert "Target of 16 cm by" in client.get(here).text
    assert "Target of 6 in by" in client.get(f"{here}?grid=in").text
    assert "for 50 yd" in client.get(f"{here}?distance=50yd").text
    assert client.get(f"{here}-sheet.svg").text.startswith("<svg")
    done = client.post(here, data={"size": "16x16 cm", "tolerance": "none"})
    assert client.get(done.headers["location"]).content.startswith(b"%PDF")
    (kept,) = prints(notebook, rig_id)
    assert (kept.what, kept.fingerprint) == ("target", "")
    assert kept.choices == {"size": "16x16 cm", "tolerance": "none"}


@pytest.mark.parametrize(
    "look", ["size=60", "size=9x9m", "distance=20,30yd", "tolerance=0in", "tolerance=<b>"]
)
def test_a_target_that_cannot_be_drawn_is_told(client, rig_id, look):
    here = f"/rigs/{rig_id}/target"
    page = client.get(f"{here}?{look}")
    assert page.status_code == 422
    assert f'id="{look.split("=")[0]}-fault"' in page.text
    assert "<b>" not in page.text
    for address in (f"{here}-sheet.svg?{look}", f"{here}.pdf?{look}"):
        assert client.get(address).status_code == 422
    assert client.post(here, data=dict([look.split("=")])).status_code == 422
    assert client.get(f"{here}.dxf").status_code == 404


def test_every_field_of_a_print_has_its_words(client, rig_id):
    told = {"tape": "Wheel, diameter", "gauge": "First number, mm", "target": "Shot at from"}
    for name, label in told.items():
        page = client.get(f"/rigs/{rig_id}/{name}").text
        assert f">{label}</label>" in page
        assert ">Printer</label>" in page


ASKED = {
    "tape": {
        "paper", "pointer", "far_end", "width", "distances", "between", "step", "number_every",
        "length", "wheel", "thickness", "side_scale", "labels", "notches", "rules",
    },
    "large": {"paper", "distances", "event", "order", "letters", "pin", "list", "rules"},
    "gauge": {"paper", "pointer", "far_end", "start", "reach", "width"},
    "target": {"paper", "size", "distance", "tolerance", "grid"},
}  # fmt: skip
ONLY_TYPED = {
    "house_file", "tape_file", "proof", "out", "force", "formats", "metric", "band", "seed",
    "as_json", "help", "marks", "kind",  # the last two: a strip of no rig, from the terminal
}  # fmt: skip


@pytest.mark.parametrize("name", sorted(ASKED))
def test_command_page_and_address_ask_the_same(client, rig_id, name):
    command = main.get_command(click.Context(main), name)
    options = {one.name for one in command.params if isinstance(one, click.Option)}
    assert options - ONLY_TYPED == ASKED[name]
    page = client.get(f"/rigs/{rig_id}/{name}").text
    assert {one for one in ASKED[name] if f'id="{one}"' in page} == ASKED[name]
    ways = client.get("/api/openapi.json").json()["paths"]
    told = ways[f"/api/rigs/{{rig_id}}/{name}/{{ending}}"]["get"]["parameters"]
    of_address = {one["name"] for one in told if one["in"] == "query"}
    assert of_address - {"units", "span"} == ASKED[name] | {"printer"}  # span: an earlier name
    assert all(one["description"] for one in told if one["in"] == "query")


@pytest.mark.parametrize(
    ("name", "field", "text", "option", "label"),
    [
        ("tape", "width", "2 mm", "--width", "Width of the strip"),
        ("tape", "wheel", "0 mm", "--wheel", "Wheel, diameter"),
        ("tape", "between", "5,12", "--between", "Strips told apart between"),
        ("gauge", "reach", "3", "--reach", "Length, mm"),
        ("target", "size", "1x1 cm", "--size", "Size of the grid"),
        ("target", "tolerance", "0 in", "--tolerance", "Broken circle, radius"),
    ],
)
def test_each_face_names_a_fault_s_field_as_it_calls_it(
    client, rig_id, tmp_path, monkeypatch, name, field, text, option, label
):
    monkeypatch.chdir(tmp_path)
    sample = Path(str(files("tapewright.faces") / "sample" / "heron.toml"))
    typed = CliRunner().invoke(main, [name, str(sample), option, text, "--out", "x"])
    assert typed.exit_code == 2
    assert typed.stderr.startswith(f"tapewright: {option}: ")
    refused = client.get(f"/rigs/{rig_id}/{name}.pdf", params={field: text})
    assert refused.status_code == 422
    assert f"{label}: " in refused.text
    told = client.get(f"/api/rigs/{rig_id}/{name}/pdf", params={field: text}).json()
    places = [told["place"]] if "place" in told else [one["place"] for one in told["faults"]]
    assert places[0].removeprefix("query.") == field


def test_the_usual_stands_first_and_is_said_by_nothing(client, rig_id):
    page = client.get(f"/rigs/{rig_id}/tape").text
    pointer = page.split('<select id="pointer"')[1].split("</select>")[0]
    assert re.findall(r'value="(\w*)".*?>([^<]+)<', pointer) == [
        ("", "on the right (your hand)"), ("left", "on the left"),
    ]  # fmt: skip
    ends = page.split('<select id="far_end"')[1].split("</select>")[0]
    assert re.findall(r'value="(\w*)".*?>([^<]+)<', ends) == [
        ("", "at the bottom"), ("up", "at the top"),
    ]  # fmt: skip
    every = page.split('<select id="number_every"')[1].split("</select>")[0]
    assert re.findall(r'value="(\w*)".*?>([^<]+)<', every) == [("", "5 yd"), ("10", "10 yd")]


def test_a_printer_that_cannot_be_is_told_beside_its_field(client, rig_id):
    sent = {"name": "Desk", "across_mm": 50.0, "down_mm": 100.0}
    printer = client.post("/api/printers", json=sent).json()["id"]
    for name in ("tape", "gauge", "target"):
        page = client.get(f"/rigs/{rig_id}/{name}?printer={printer}")
        assert page.status_code == 422
        assert 'id="printer-fault"' in page.text


def test_what_speaks_against_a_strip_stands_on_the_page_before_it_is_printed(client, tape):
    page = client.get(f"{tape}?step=0.01mm").text
    assert page.count("more than these three strips span") == 1
    assert page.index("more than these three strips span") < page.index("I print this")
    assert "more than these three strips span" not in client.get(tape).text


def test_a_distance_that_is_out_of_reach_is_told_beside_the_distances(client, tape):
    page = client.get(f"{tape}?distances=20,900yd&between=20,60")
    assert page.status_code == 422
    assert 'id="distances-fault"' in page.text


def test_a_class_of_paper_alone_is_offered_no_file_for_a_machine(client, rig_id):
    usual = client.get(f"/rigs/{rig_id}/tape").text
    assert "tape.cut.svg?" in usual
    ticked = client.get(f"/rigs/{rig_id}/tape", params={"rules": "paper only"}).text
    assert "tape.cut.svg?" not in ticked
    assert "tape.dxf?" not in ticked
    assert "no file for a machine" in ticked
    assert "tape.tape.json?" in ticked

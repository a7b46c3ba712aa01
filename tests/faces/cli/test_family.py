import io
import json
from itertools import pairwise

import pdfplumber
import pytest

from tapewright.reading.strip_side_click_tables import read_strips

MM = 25.4 / 72.0


def lengths_on_paper(pdf, near_place, far_place, width_mm=12.0):
    """For each strip of a print, row by row and sheet by sheet: between two of its ticks."""
    found = []
    with pdfplumber.open(io.BytesIO(pdf)) as book:
        for page in book.pages:
            strips = [
                one
                for one in page.rects
                if abs(one["width"] * MM - width_mm) < 0.01 and one["height"] * MM > 20.0
            ]
            for strip in sorted(strips, key=lambda one: (round(one["top"]), one["x0"])):
                edge = strip["x1"]
                ticks = sorted(
                    one["top"]
                    for one in page.lines
                    if abs(one["top"] - one["bottom"]) < 1e-6
                    and abs(one["x1"] - edge) < 0.01
                    and strip["top"] + 0.1 < one["top"] < strip["bottom"] - 0.1
                )
                found.append(MM * (ticks[far_place] - ticks[near_place]))
    return found


def test_every_strip_is_as_long_on_paper_as_its_table_says(run, bench):
    done = run("family", "rig.toml", "--check-lengths", "24:40:1.5mm", "--distances", "20:60:10yd",
               "--out", "set")  # fmt: skip
    assert done.exit_code == 0, done.output
    names = [one.name for one in read_strips((bench / "set.csv").read_text(encoding="utf-8"))]
    assert names == [f"{number}" for number in range(1, 12)]
    family = json.loads((bench / "set.json").read_text(encoding="utf-8"))["strips"]
    wanted = [one["check_length_mm"] for one in family]
    assert wanted == [24.0, 25.5, 27.0, 28.5, 30.0, 31.5, 33.0, 34.5, 36.0, 37.5, 39.0]
    found = lengths_on_paper((bench / "set.pdf").read_bytes(), 0, 4)
    # 0.01 mm is the promise
    assert found == pytest.approx(wanted, abs=0.01)


def test_strips_are_numbered_on_paper_from_first_to_last(run, bench):
    run("family", "rig.toml", "--check-lengths", "30,31 mm", "--out", "set")
    with pdfplumber.open(bench / "set.pdf") as book:
        strips, table = (page.extract_text() for page in book.pages)
    assert "1 of 2" in strips
    assert "2 of 2" in strips
    assert "span" not in strips
    assert "strip 20 to 60 speed strip 20 to 60 speed" in table
    number, length, speed, number_2, length_2, speed_2 = next(
        line.split() for line in table.splitlines() if line.startswith("1 30 ")
    )
    assert (number, length, number_2, length_2) == ("1", "30", "2", "31")
    assert float(speed) > float(speed_2)


@pytest.mark.parametrize("number", [6, 17])
def test_the_strips_command_finds_the_strip_of_a_bow_in_its_family(number, run, bench):
    """Marks read off one strip of the family are shot; that strip must come out best."""
    run("family", "rig.toml", "--check-lengths", "22:34:0.5mm", "--out", "set")
    ready_strips = read_strips((bench / "set.csv").read_text(encoding="utf-8"))
    ticks = next(one for one in ready_strips if one.name == f"{number}")
    rows = ["group,distance_yd,reading_mm,right_in,up_in"]
    for yards in (20, 60):
        place = [round(one / 0.9144) for one in ticks.distance_m].index(yards)
        rows.append(f"{yards},{yards},{16 + 1e3 * ticks.position_m[place]:.3f},,")
    (bench / "zeroed.csv").write_text("\n".join(rows) + "\n", encoding="utf-8")
    sheet = (bench / "rig.toml").read_text(encoding="utf-8")
    (bench / "unsure.toml").write_text(sheet.replace("278 ft/s ± 3", "278 ft/s ± 30"), "utf-8")
    done = run("strips", "unsure.toml", "zeroed.csv", "--set", "set.csv", "--json")
    assert done.exit_code == 0, done.output
    said = json.loads(done.stdout)
    assert said["set"]["ranked"][0]["strip"] == f"{number}"


def test_a_family_tells_its_bows_and_on_paper_its_printer(run, bench):
    done = run("family", "rig.toml", "--check-lengths", "26,30 mm", "--proof", "99.5,100.2 mm")
    said = done.stdout.splitlines()
    assert said[0].startswith("2 strips, 26 to 30 mm long from 20 to 60 yd: bows of ")
    slow, fast = (float(word) for word in said[0].split() if word.isdigit() and len(word) == 3)
    assert (slow, fast) == pytest.approx((278, 295), abs=4)  # the sheet: 278 ± 3 ft/s, 30 mm
    assert said[1:] == ["Wrote rig-family.pdf", "Wrote rig-family.csv", "Wrote rig-family.json"]
    with pdfplumber.open(bench / "rig-family.pdf") as book:
        text = " ".join(book.pages[0].extract_text().split())
    assert "whose proof rulers measured 99.5 and 100.2 mm" in text
    assert "No strip is right before it was chosen by two zeroed marks" in text


def test_a_family_has_a_side_scale_from_the_tick_it_is_stuck_on_by(run, bench):
    done = run("family", "rig.toml", "--check-lengths", "30:31:1mm", "--side-scale", "yes",
               "--out", "set")  # fmt: skip
    assert done.exit_code == 0, done.output
    with pdfplumber.open(bench / "set.pdf") as book:
        told = " ".join(book.pages[0].extract_text().split())
        assert "Millimetres along the free edge count from the tick 20" in told
        frames = [one["width"] * MM for one in book.pages[0].rects if one["height"] * MM > 20.0]
    assert frames == [pytest.approx(16.5, abs=0.01)] * 2  # 12 mm and 4.5 of the scale


def test_a_family_needs_no_sheet_and_comes_in_every_format(run, bench):
    done = run("family", "--check-lengths", "24,25 mm", "--metric", "--format", "pdf",
               "--format", "svg", "--format", "dxf", "--out", "set", "--json")  # fmt: skip
    assert done.exit_code == 0, done.output
    said = json.loads(done.stdout)
    assert said["schema"] == "tapewright.family/1"
    assert said["between_m"] == [20, 60]
    assert [one["strip"] for one in said["strips"]] == ["1", "2"]
    assert [one["check_length_mm"] for one in said["strips"]] == [24, 25]
    first = said["strips"][0]["ticks"]
    assert first[0] == {"distance_m": 20, "position_mm": 0}
    assert first[40]["position_mm"] == pytest.approx(24, abs=1e-3)
    assert said["strips"][0]["launch_speed_m_s"] > said["strips"][1]["launch_speed_m_s"]
    for name in ("set.pdf", "set.svg", "set-1.dxf", "set-2.dxf", "set.csv", "set.json"):
        assert (bench / name).exists()


def test_a_usual_family_surrounds_the_rig(run, bench):
    run("family", "rig.toml", "--proof", "99.5,100.2 mm")
    said = json.loads((bench / "rig-family.json").read_text(encoding="utf-8"))
    speeds = [one["launch_speed_ft_s"] for one in said["strips"]]
    assert min(speeds) < 278 / 1.09
    assert max(speeds) > 278 * 1.09
    lengths = [one["span_mm"] for one in said["strips"]]
    assert {round(after - before, 6) for before, after in pairwise(lengths)} == {0.5}


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--check-lengths", "24:40"), "is not first:last:step"),
        (("--check-lengths", "40:24:1mm"), "is not first:last:step"),
        (("--check-lengths", "24:40:0.001mm"), "asks for too many strips"),
        (("--check-lengths", "heavy"), "--check-lengths"),
        (("--spans", "500 mm"), "no bow with this sight has a check length of 500 mm"),
        (("--check-lengths", "30 mm", "--distances", "5:60:1yd"), "marks so near run back"),
        (("--check-lengths", "30 mm", "--between", "20"), "is not two distances"),
    ],
)
def test_mistakes_are_named(words, said, run):
    done = run("family", "rig.toml", *words)
    assert done.exit_code == 2
    assert said in done.stderr
    assert "Traceback" not in done.output


def test_an_arm_too_short_for_the_family_is_told(run, bench):
    sheet = (bench / "rig.toml").read_text(encoding="utf-8")
    arm = '[sight]\narm_length = "95 mm"\narm_level_reading = "-96.4 mm"\n'
    sheet = sheet.replace("[sight]\n", arm, 1)
    (bench / "arm.toml").write_text(sheet, encoding="utf-8")
    done = run("family", "arm.toml")
    assert done.exit_code == 2
    assert (
        "--between: a bow a tenth slower than the sheet's, or the arm of the sight" in done.stderr
    )


def test_a_family_of_33_strips_takes_four_sheets_at_most(run, bench):
    for paper in ("A4", "Letter"):
        done = run("family", "rig.toml", "--check-lengths", "24:40:0.5mm", "--out", "set",
                   "--paper", paper, "--distances", "20:110:1yd", "--force")  # fmt: skip
        assert "33 strips" in done.stdout
        with pdfplumber.open(bench / "set.pdf") as book:
            *strips, table = (page.extract_text() for page in book.pages)
            assert len(strips) <= 4
            assert all("both proof rulers" in page for page in strips)
            assert "speed" in table


def test_each_strip_comes_as_a_file_for_a_machine(run, bench):
    done = run(
        "family", "rig.toml", "--check-lengths", "30,31 mm", "--format", "cut.svg", "--out", "set"
    )
    assert done.exit_code == 0, done.output
    for number in (1, 2):
        text = (bench / f"set-{number}.cut.svg").read_text(encoding="utf-8")
        assert '<g id="cut">' in text
    assert not (bench / "set.pdf").exists()

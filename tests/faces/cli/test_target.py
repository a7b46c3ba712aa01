"""The target command: what is typed, what is written, what is refused."""

import pytest
from screen import answered_json as said
from screen import refused_words as refused


def test_a_target_needs_nothing_at_all(run, bench):
    done = run("target")
    assert done.exit_code == 0
    assert "6 in by 8 in on one sheet" in done.output
    assert (bench / "target.pdf").read_bytes().startswith(b"%PDF")


def test_a_rig_gives_its_name_and_its_tolerance(run, bench):
    answer = said(run("target", "rig.toml", "--json"))
    assert answer["files"] == ["rig-target.pdf"]
    assert answer["tolerance_mm"] == pytest.approx(76.2)
    none = said(run("target", "rig.toml", "--tolerance", "none", "--json", "--force"))
    assert none["tolerance_mm"] is None
    other = said(run("target", "rig.toml", "--tolerance", "5 cm", "--json", "--force"))
    assert other["tolerance_mm"] == pytest.approx(50.0)
    assert (bench / "rig-target.pdf").exists()


def test_a_large_target_tells_its_sheets(run, bench):
    answer = said(run("target", "--size", "60x90 cm", "--json", "--format", "svg", "--out", "t"))
    assert answer["schema"] == "tapewright.target/1"
    assert (answer["width_mm"], answer["height_mm"]) == (600.0, 900.0)
    assert (answer["tile_rows"], answer["tile_columns"], answer["sheets"]) == (4, 4, 17)
    assert len(answer["files"]) == 17
    assert all((bench / name).exists() for name in answer["files"])
    done = run("target", "--size", "24x36 in")
    assert "24 in by 36 in on 16 sheets (4 rows, 4 columns) and a plan sheet" in done.output


@pytest.mark.parametrize(
    ("typed", "unit", "width_mm"),
    [
        (["--size", "24x36 in"], "in", 609.6),
        (["--size", "60 cm x 90 cm"], "cm", 600.0),
        (["--size", "60 × 90 cm"], "cm", 600.0),
        (["--size", "6 by 6 in"], "in", 152.4),
        (["--size", '6x6"'], "in", 152.4),
        (["--size", "60x90 cm", "--imperial"], "in", 600.0),
        (["--size", "24x36 in", "--metric"], "cm", 609.6),
        (["--distance", "18 m"], "cm", 160.0),
        (["--distance", "20"], "in", 152.4),
        (["--distance", "20", "--metric"], "cm", 160.0),
        (["--distance", "50 m", "--size", "24x24 in"], "in", 609.6),
        (["--metric"], "cm", 160.0),
        (["--metric", "--paper", "Letter"], "cm", 160.0),
    ],
)
def test_the_grid_follows_the_units_typed(run, typed, unit, width_mm):
    answer = said(run("target", *typed, "--json"))
    assert answer["unit"] == unit
    assert answer["width_mm"] == pytest.approx(width_mm)


def test_the_distance_sizes_the_mark(run):
    answer = said(run("target", "--distance", "20 yd", "--json"))
    assert answer["distance_m"] == pytest.approx(18.288)
    assert answer["aiming_mark_mm"] == pytest.approx(2 * 18.288, abs=0.01)
    assert "for 20 yd" in run("target", "--distance", "20yd").output
    assert "for 18 m" in run("target", "--distance", "18 m", "--force").output
    assert said(run("target", "--json", "--force"))["distance_m"] is None


def test_proof_rulers_change_the_print_and_not_the_target(run, bench):
    run("target", "--out", "plain")
    answer = said(run("target", "--proof", "99.0,100.8 mm", "--out", "proofed", "--json"))
    assert answer["width_mm"] == pytest.approx(152.4)
    assert (bench / "plain.pdf").read_bytes() != (bench / "proofed.pdf").read_bytes()


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        (["--size", "60"], "not a width and a height"),
        (["--size", "60x90x3 cm"], "not a width and a height"),
        (["--size", "60x90"], "has no unit"),
        (["--size", "60x90 kg"], "kg"),
        (["--size", "x cm"], "--size"),
        (["--size", "1x1 cm"], "--size"),
        (["--size", "-60x90 cm"], "--size"),
        (["--size", "9x9 m"], "--size"),
        (["--size", "250x250 cm"], "sheets are the most"),
        (["--distance", "20,30 yd"], "not one distance"),
        (["--distance", "far"], "--distance"),
        (["--distance", ""], "--distance"),
        (["--tolerance", "3"], "--tolerance"),
        (["--tolerance", "0 in"], "--tolerance: a radius"),
        (["--proof", "99"], "not two lengths"),
        (["--proof", "75,75"], "--proof: ruler across, 75.0 mm in place of 100 mm"),
        (["no-such.toml"], "no-such.toml"),
        (["--out", "none/t"], "none"),
    ],
)
def test_what_is_wrong_is_told_in_one_paragraph(run, bench, typed, told):
    assert told in refused(run("target", *typed))
    assert not list(bench.glob("*.pdf"))

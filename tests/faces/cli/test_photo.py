"""The photo command: a picture becomes rows of shots and a picture to check them by."""

import csv
import io
import json
import shutil

import numpy as np
import pytest
from photographs import PX_PER_MM, Sheet, photograph, raster, scene
from PIL import Image

from tapewright.services.print_target import (
    TargetOrder,
    TargetWords,
    plan_target,
    print_target,
)

SHOT = ("--distance", "20 yd", "--reading", "31.2 mm")


@pytest.fixture(scope="module")
def taken():
    """A photograph of two holes, and where they are."""
    if not shutil.which("pdftocairo"):
        pytest.skip("pdftocairo is missing: apt-get install poppler-utils")
    ((_, pdf),) = print_target(plan_target(TargetOrder()), TargetWords("Heron", "in"), ("pdf",))
    page = raster(pdf)
    sheet = Sheet(page, (105.0, page.shape[0] / PX_PER_MM / 2.0))
    one = scene(7, arrows=2, cover=None, tilt=15.0, blur=0.4, motion=0.0, wide=1600)
    return photograph(one, sheet)[0], one


@pytest.fixture
def picture(bench, taken):
    """The photograph in the folder where commands run."""
    (bench / "monday.jpg").write_bytes(taken[0])
    return taken[1]


def rows_of(text):
    return list(csv.DictReader(io.StringIO(text)))


def refused(done):
    assert done.exit_code == 2, done.output
    assert "Traceback" not in done.output
    return " ".join(done.stderr.split())


def test_a_picture_becomes_rows_that_group_reads(run, bench, picture):
    done = run("photo", "monday.jpg", *SHOT, "--shaft", f"{picture.diameter} mm")
    assert done.exit_code == 0, done.output
    rows = rows_of(done.stdout)
    assert (bench / "monday-shots.csv").read_text(encoding="utf-8") == done.stdout
    found = np.array([(float(r["right_in"]), -float(r["up_in"])) for r in rows]) * 25.4
    assert len(found) == 2
    for place in picture.holes:
        assert np.hypot(*(found - place).T).min() < 2.0
    assert {(r["group"], r["distance_yd"], r["reading_mm"]) for r in rows} == {
        ("monday", "20", "31.2")
    }
    with Image.open(bench / "monday-shots.jpg") as image:
        assert image.size == (970, 1405)
    assert "straightened by 4 marks" in done.stderr
    again = run("group", "monday-shots.csv", "--json")
    assert again.exit_code == 0, again.output
    assert json.loads(again.stdout)["groups"][0]["arrows"] == 2


def test_with_a_tape_on_the_rows_hold_what_it_showed(run, bench, picture):
    """A tape of half a mm a yard: 38.5 stands at 24.25 mm."""
    pin = {"distances": [10, 110], "readings_mm": [10.0, 60.0]}
    record = {"schema": "tapewright.tape/1", "unit": "yd", "strips": [{"pins": [pin]}]}
    (bench / "on.tape.json").write_text(json.dumps(record), encoding="utf-8")
    typed = ("--distance", "20 yd", "--shaft", f"{picture.diameter} mm", "--tape", "on.tape.json")
    done = run("photo", "monday.jpg", *typed, "--reading", "38.5", "--json")
    assert done.exit_code == 0, done.output
    told = json.loads(done.stdout)
    assert (told["reading_mm"], told["dialled_yd"]) == (24.25, 38.5)
    written = rows_of((bench / "monday-shots.csv").read_text(encoding="utf-8"))
    assert {row["dialled_yd"] for row in written} == {"38.5"}
    assert "does not have 140 yd" in refused(run("photo", "monday.jpg", *typed, "--reading", "140"))


def test_json_tells_the_same_in_metres(run, picture):
    done = run(
        "photo", "monday.jpg", "--distance", "18 m", "--reading", "31.2 mm", "--metric", "--json",
        "--group", "g", "--rig", "rig.toml", "--out", "here",
    )  # fmt: skip
    assert done.exit_code == 0, done.output
    answer = json.loads(done.stdout)
    assert answer["schema"] == "tapewright.photo/1"
    assert (answer["group"], answer["distance_m"], answer["marks"]) == ("g", 18.0, 4)
    assert set(answer["impacts"][0]) == {"right_cm", "up_cm", "kind", "confidence"}
    assert answer["files"] == ["here.csv", "here.jpg"]
    assert answer["straightening_error_mm"] < 1.0
    assert 0.8 <= answer["place_error_mm"] < 1.3  # a hole's own 0.8 mm as well
    assert len(picture.holes) == 2


def test_corners_do_instead_of_marks(run, bench):
    Image.new("RGB", (600, 600), (220, 220, 220)).save(bench / "bare.png")
    asked = ("--corners", "100,100 500,105 495,500 98,490", "--size", "40 x 40 cm")
    done = run("photo", "bare.png", *SHOT, *asked)
    assert done.exit_code == 0, done.output
    assert "No impacts proposed" in done.stderr
    assert "four taps" in done.stderr
    assert rows_of(done.stdout) == []


@pytest.mark.parametrize(
    ("said", "words"),
    [
        (("--corners", "1,2,3 4,5 6,7 8,9", "--size", "40x40 cm"), "no place in the picture"),
        (("--corners", "1,2 3,4 5,6 x,9", "--size", "40x40 cm"), "--corners"),
        (("--corners", "1,2 3,4 5,6 7,9", "--size", "40 cm"), "not a width and a height"),
        (("--shaft", "5.9 kg"), "--shaft"),
        (("--target", "nonsense"), "--target: 'nonsense' is no code of a target"),
        ((), "three are needed"),
    ],
)
def test_wrong_wishes_are_refused_with_a_reason(run, bench, said, words):
    Image.new("RGB", (600, 600), (220, 220, 220)).save(bench / "bare.png")
    assert words in refused(run("photo", "bare.png", *SHOT, *said))
    assert not (bench / "bare-shots.csv").exists()


def test_files_that_are_no_pictures_are_refused(run, bench):
    (bench / "x.jpg").write_bytes(b"no picture")
    assert "x.jpg: this is no picture" in refused(run("photo", "x.jpg", *SHOT))
    with (bench / "huge.jpg").open("wb") as file:
        file.truncate(56_000_000)
    assert "the file has more than 55 MB" in refused(run("photo", "huge.jpg", *SHOT))
    assert "nowhere.jpg" in refused(run("photo", "nowhere.jpg", *SHOT))


def test_shafts_come_with_a_word_of_caution():
    from tapewright.faces.photo_json import photo_words
    from tapewright.services.read_photo import PhotoReading, Proposal

    shaft = Proposal(0.01, 0.02, "shaft", 0.7)
    reading = PhotoReading("A4", (shaft,), 0.02, 4, b"", b"", 0.2, 1.0, 1.0, 2, 2, 6e-3)
    said = photo_words(reading)
    assert said[0].startswith("1 impact proposed on A4")
    assert "Arrows hide each other" in said[-1]

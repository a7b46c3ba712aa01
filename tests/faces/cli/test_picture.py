"""The command picture as a person types it."""

import builtins

import pytest
from screen import answered, refused


@pytest.mark.parametrize("what", ["flight", "marks", "slopes", "budget"])
def test_a_picture_is_drawn_the_same_twice(run, bench, what):
    pytest.importorskip("matplotlib")
    answered(run("picture", what, "rig.toml", "shots.csv", "--out", "one.svg"))
    answered(run("picture", what, "rig.toml", "shots.csv", "--out", "two.svg"))
    one, two = ((bench / name).read_bytes() for name in ("one.svg", "two.svg"))
    assert one == two
    assert b"<svg" in one
    said = answered(run("picture", what, "rig.toml", "shots.csv", "--metric", "--out", "a.png"))
    assert "Wrote a.png" in said
    assert (bench / "a.png").read_bytes().startswith(b"\x89PNG")


def test_a_picture_of_a_starting_strip_has_no_trusted_distance(run, bench):
    pytest.importorskip("matplotlib")
    text = (bench / "rig.toml").read_text(encoding="utf-8").replace('"3 in"', '"0.2 in"')
    (bench / "rig.toml").write_text(text, encoding="utf-8")
    assert "Wrote rig-marks.svg" in answered(run("picture", "marks", "rig.toml"))


def test_a_slow_arrow_is_drawn_as_far_as_it_climbs(run, bench):
    pytest.importorskip("matplotlib")
    text = (bench / "rig.toml").read_text(encoding="utf-8")
    for speed in ("150 ft/s ± 2", "100 ft/s ± 2"):
        slow = text.replace("278 ft/s ± 3", speed)
        (bench / "rig.toml").write_text(slow, encoding="utf-8")
        answered(run("picture", "slopes", "rig.toml", "--force"))


def test_without_the_library_the_mend_is_told(run, monkeypatch):
    def gone(name, *rest):
        if name.startswith("matplotlib"):
            raise ImportError(name)
        return builtins.__import__(name, *rest)

    monkeypatch.setattr("tapewright.faces.charts.import_module", gone)
    said = refused(run("picture", "marks", "rig.toml", "shots.csv"))
    assert "/run --with pictures" in said


def test_a_picture_of_no_kind_is_refused(run):
    assert ".svg nor .png" in refused(
        run("picture", "marks", "rig.toml", "shots.csv", "--out", "a.gif")
    )


def test_a_folder_like_the_pictures_name_is_no_hindrance(run, bench):
    pytest.importorskip("matplotlib")
    (bench / "fan").mkdir()
    answered(run("picture", "marks", "rig.toml", "shots.csv", "--out", "fan.svg"))
    assert (bench / "fan.svg").exists()

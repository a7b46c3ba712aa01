"""From an unboxed bow to a printed tape by the command line alone, as docs/first-tape.md has it.

The arrows are those of a bow that exists only here; what is judged is whether the tape would have
hit: the truth is known, so the miss of every mark can be worked out.
"""

import json

import numpy as np
import pytest
from click.testing import CliRunner
from exact_units import INCH_M, YARD_M
from sessions import group, rig, truth_near

from tapewright.faces.cli.commands import main
from tapewright.sight.prediction import impact

FILLED_IN = {
    '#launch_speed = "278 ft/s ± 3"': 'launch_speed = "278 ft/s ± 3"',
    'mass = "420 gr ± 40"': 'mass = "420 gr ± 2"',
    '#length = "28.5 in"': 'length = "28.5 in"',
    '#peep_height = "4.6 in ± 0.15"': 'peep_height = "4.6 in ± 0.15"',
    '#sight_radius = "33 in ± 0.5"': 'sight_radius = "33 in ± 0.5"',
    '#reading_per_travel = "1.60 ± 0.05"': 'reading_per_travel = "1.60 ± 0.05"',
}


def typed(*words):
    done = CliRunner().invoke(main, list(words))
    assert done.exit_code == 0, done.output
    return done.stdout


def marks_mm(sheet, *shots):
    said = json.loads(typed("fit", sheet, *shots, "--json", "--distances", "20:80:10yd"))
    return said, {one["distance_yd"]: one for one in said["marks"]}


def shot_row(name, yards, reading_mm, hit):
    return f"{name},{yards},{reading_mm:.1f},{hit.right_m / INCH_M:.2f},{hit.up_m / INCH_M:.2f}"


@pytest.fixture
def truth():
    """A bow a deviation off its sheet, zeroed so that 20 yd reads 12.0 mm."""
    sheet = rig()
    bare = truth_near(sheet, {"log_speed": -1.0, "log_drag": 1.0, "log_gain": 0.7}, windage=4e-4)
    zero_m = 0.012 - float(bare.marks(np.array([20 * YARD_M]))[0])
    return sheet, truth_near(
        sheet,
        {"log_speed": -1.0, "log_drag": 1.0, "log_gain": 0.7},
        zero_reading=0.004 + zero_m,
        windage=4e-4,
    )


def test_from_unboxed_bow_to_printed_tape(tmp_path, monkeypatch, truth):
    monkeypatch.chdir(tmp_path)
    sheet, true = truth

    # the sheet is written, and filled in with what was measured
    typed("new", "heron.toml", "--name", "Heron")
    text = (tmp_path / "heron.toml").read_text(encoding="utf-8")
    for line, measured in FILLED_IN.items():
        assert line in text
        text = text.replace(line, measured)
    (tmp_path / "heron.toml").write_text(text, encoding="utf-8")
    typed("gauge", "heron.toml")
    assert (tmp_path / "heron-gauge.pdf").exists()

    # before the first arrow: a starting strip, wide
    _, start = marks_mm("heron.toml")

    # 20 yd first; then 30, 40, 60, each dialled to what the strip so far says
    rows = ["group,distance_yd,reading_mm,right_in,up_in"]
    at = start
    for name, yards in (("a", 20), ("b", 30), ("c", 40), ("d", 60)):
        reading = 12.0 if yards == 20 else round(at[yards]["reading_mm"], 1)
        shot = group(sheet, true, yards * YARD_M, 4, reading * 1e-3, name)
        rows += [shot_row(name, yards, reading, hit) for hit in shot.group.impacts]
        (tmp_path / "shots.csv").write_text("\n".join(rows), encoding="utf-8")
        said, at = marks_mm("heron.toml", "shots.csv")

    # every band shrank, and no mark of the tape would miss by more than the archer's three inches
    for yards in (40, 60, 80):
        was, now = start[yards], at[yards]
        assert now["high_mm"] - now["low_mm"] < was["high_mm"] - was["low_mm"]
    bow = true.unknowns.bow(true.vector)
    for yards, one in at.items():
        if yards <= said["trusted_distance_yd"]:
            _, up_m = impact(bow, np.array([yards * YARD_M]), np.array([one["reading_mm"] * 1e-3]))
            assert abs(float(up_m[0])) < 3 * INCH_M
    assert said["trusted_distance_yd"] >= 50
    assert not [caution for caution in said["cautions"] if "does not fit" in caution]

    # the tape comes out of the printer, is proved, and printed again truer
    told = typed("tape", "heron.toml", "shots.csv")
    assert "Trusted to" in told
    assert (tmp_path / "heron-tape.pdf").read_bytes().startswith(b"%PDF")
    typed("tape", "heron.toml", "shots.csv", "--proof", "99.5,99.8 mm", "--out", "again")
    assert (tmp_path / "again.svg").exists()

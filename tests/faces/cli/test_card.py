"""The command card as a person types it."""

import csv
import json
import subprocess
import sys

import pytest
from screen import answered, refused, rows_under


def test_a_card_on_screen_in_json_and_csv_agrees(run, bench):
    typed = ("card", "rig.toml", "shots.csv", "--distances", "20:60:20yd")
    said = answered(run(*typed, "--csv", "card.csv"))
    found = json.loads(answered(run(*typed, "--json")))
    assert found["schema"] == "tapewright.card/1"
    assert found["radius_in"] == 3.0
    assert [row["distance_yd"] for row in found["card"]] == [20.0, 40.0, 60.0]
    with (bench / "card.csv").open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    for row, written in zip(found["card"], rows, strict=True):
        assert {key: float(value) for key, value in written.items()} == row
        assert row["low_mm"] < row["reading_mm"] < row["high_mm"]
        assert row["speed_low_ftps"] < row["speed_ftps"] < row["speed_high_ftps"]
    marks, flown = rows_under(said, "Marks, and"), rows_under(said, "Flight")
    for row, told, flight in zip(found["card"], marks, flown, strict=True):
        # no farther off than half a step, which is at most a third of half the band
        assert told[1] == pytest.approx(
            row["reading_mm"], abs=(row["high_mm"] - row["low_mm"]) / 12
        )
        half = 0.5 * (row["impact_high_in"] - row["impact_low_in"])
        assert told[3:6] == pytest.approx([half, row["from_yd"], row["to_yd"]], abs=0.051)
        for name, cell in zip(
            ("time_{}s", "speed_{}ftps", "energy_{}ftlbf", "momentum_{}slugftps",
             "drift_{}in_per_mph"), flight[1:], strict=True,
        ):  # fmt: skip
            low, middle, high = (row[name.format(end)] for end in ("low_", "", "high_"))
            assert cell == pytest.approx(middle, abs=(high - low) / 12 + 1e-4), name
    assert "Close marks" in said
    assert "standard gravity" in said
    assert "no permission" in said
    assert found["close"][0]["distance_yd"] == 3.0
    assert found["close"][0]["same_mark_yd"] > 50.0


def test_a_metric_card_speaks_metric(run):
    said = answered(run("card", "rig.toml", "shots.csv", "--pin", "2"))
    assert "Pin 2 is trusted to" in said
    said = answered(run("card", "rig.toml", "shots.csv", "--metric", "--radius", "5 cm"))
    assert "kg·m/s" in said
    assert "drift cm per m/s" in said
    assert "ft·lbf" not in said
    typed = ("card", "rig.toml", "shots.csv", "--distances", "18,30 m", "--json", "--pin", "2")
    found = json.loads(answered(run(*typed)))
    assert found["pin"] == 2
    assert {"energy_j", "momentum_kgmps", "drift_cm_per_mps", "speed_mps"} <= set(found["card"][0])


def test_a_card_is_printed(run, bench):
    said = answered(run("card", "rig.toml", "shots.csv", "--print", "pocket", "--format", "svg"))
    assert "Wrote rig-card-pocket.svg" in said
    assert (bench / "rig-card-pocket.svg").read_text(encoding="utf-8").startswith("<svg")
    both = json.loads(answered(run("card", "rig.toml", "shots.csv", "--out", "my", "--json")))
    assert both["files"] == ["my.pdf"]
    assert (bench / "my.pdf").read_bytes().startswith(b"%PDF")
    answered(run("card", "rig.toml", "shots.csv", "--print", "page", "--paper", "Letter"))


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        (["--pin", "3"], "--pin: the rig sheet has 2 pins"),
        (["--radius", "3"], "no unit"),
        (["--radius", "9 m"], '--radius: "9 m" is too much. Write 0.2 to 200 cm'),
        (["--distances", "1,20 m"], "--distances: the nearest is under 2 m"),
        (["--distances", "20,30"], "no unit"),
        (["--csv", "nowhere/card.csv"], '--csv: there is no folder "nowhere"'),
        (["--csv", "."], '--csv: "." is a folder'),
        (["--out", "nowhere/card"], '--out: there is no folder "nowhere"'),
        (["--distances", ""], "--distances"),
    ],
)
def test_a_wrong_card_is_refused_in_a_paragraph(run, typed, words):
    assert words in refused(run("card", "rig.toml", "shots.csv", *typed))


def test_what_is_told_on_the_screen_loads_nothing_that_draws(bench, heavy):
    script = f"""
import sys
from click.testing import CliRunner
from tapewright.faces.cli.commands import main
for typed in ("card rig.toml", "budget rig.toml", "change rig.toml shots.csv {heavy}"):
    done = CliRunner().invoke(main, typed.split())
    assert done.exit_code == 0, done.output
drawing = ("tapewright.drawing", "tapewright.faces.charts", "reportlab", "matplotlib")
print([name for name in sys.modules if name.startswith(drawing)])
"""
    done = subprocess.run(
        [sys.executable, "-c", script], cwd=bench, capture_output=True, text=True, timeout=300,
        check=False,
    )  # fmt: skip
    assert (done.stdout.strip(), done.stderr) == ("[]", "")

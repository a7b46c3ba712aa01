"""The command compare as a person types it."""

import json

import pytest
from screen import answered, rows_under


def test_two_rigs_side_by_side(run, heavy):
    typed = ("compare", "rig.toml", "shots.csv", heavy, "shots.csv")
    said = answered(run(*typed))
    found = json.loads(answered(run(*typed, "--json")))
    assert found["schema"] == "tapewright.compare/1"
    first, other = found["rigs"]
    assert (first["rig"], other["rig"]) == ("Heron", "Heron heavy")
    assert first["card"][0]["distance_yd"] == other["card"][0]["distance_yd"] == 20.0
    assert "A: Heron; B: Heron heavy" in said
    marks, flown = rows_under(said, "Marks, and"), rows_under(said, "Flight")
    for row, mark, flight in zip(other["card"], marks, flown, strict=True):
        assert mark[4] == pytest.approx(
            row["reading_mm"], abs=(row["high_mm"] - row["low_mm"]) / 12
        )
        assert mark[6] == pytest.approx(row["to_yd"] - row["from_yd"], abs=0.06)
        spread = row["energy_high_ftlbf"] - row["energy_low_ftlbf"]
        assert flight[5] == pytest.approx(row["energy_ftlbf"], abs=spread / 12)
    assert "B, Heron heavy: Trusted" in said

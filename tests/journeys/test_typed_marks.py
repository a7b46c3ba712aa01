"""Marks typed from an old tape, and then a change: no face says that nothing was shot."""

from importlib.resources import files
from pathlib import Path

import pytest
from click.testing import CliRunner

from tapewright.faces.cli.commands import main

HERON = (Path(str(files("tapewright.faces"))) / "sample" / "heron.toml").read_text("utf-8")
MARKS = "group,distance_yd,reading_mm\na,20,15.7\nb,40,29.0\nc,60,46.0\n"


@pytest.fixture
def say(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "old.toml").write_text(HERON, encoding="utf-8")
    (tmp_path / "new.toml").write_text(HERON.replace("420 gr", "450 gr"), encoding="utf-8")
    (tmp_path / "marks.csv").write_text(MARKS, encoding="utf-8")

    def said(*typed):
        done = CliRunner().invoke(main, list(typed))
        assert done.exit_code == 0, done.output
        return " ".join(done.output.split())

    return said


def test_typed_marks_count_as_their_arrows(say):
    for name in ("fit", "plan", "limits", "card"):
        told = say(name, "old.toml", "marks.csv")
        assert "No arrow was shot yet" not in told, name
    changed = say("change", "old.toml", "marks.csv", "new.toml")
    assert "No arrow was shot yet" not in changed
    assert "no reading is known" not in changed
    assert "To confirm shoot" in changed or "Begin with" in changed
    assert "by eye" not in changed

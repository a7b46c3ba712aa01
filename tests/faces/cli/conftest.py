"""What the tests of the command line share: a folder with an invented archer's files."""

import shutil
from importlib.resources import files
from pathlib import Path

import pytest
from click.testing import CliRunner

from tapewright.faces.cli.commands import main
from tapewright.services import share_work


@pytest.fixture(scope="session")
def sample():
    """The folder of the invented archer's own files."""
    return Path(str(files("tapewright.faces") / "sample"))


@pytest.fixture
def bench(sample, tmp_path, monkeypatch):
    """A folder to work in, with rig.toml and shots.csv."""
    shutil.copy(sample / "heron.toml", tmp_path / "rig.toml")
    shutil.copy(sample / "heron-shots.csv", tmp_path / "shots.csv")
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture
def run(bench):
    """Type a command; returns what click's runner saw."""
    assert bench.exists()
    return lambda *typed: CliRunner().invoke(main, [str(one) for one in typed])


@pytest.fixture
def heavy(bench):
    """Another arrow on the same bow."""
    text = (bench / "rig.toml").read_text(encoding="utf-8")
    text = text.replace('"Heron"', '"Heron heavy"').replace("420 gr", "500 gr")
    (bench / "heavy.toml").write_text(text, encoding="utf-8")
    return "heavy.toml"


@pytest.fixture
def in_this_process(monkeypatch):
    """Where it does not matter who works: to start a process for a batch takes a second."""

    def one_by_one(work, pieces, _workers, _preload):
        yield from ((piece, work(piece)) for piece in pieces)

    monkeypatch.setattr(share_work, "shared_by_processes", one_by_one)

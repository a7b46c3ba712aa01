"""You may call downstairs only: the contract of pyproject.toml holds, and it bites."""

import shutil
import subprocess
import sys

import pytest

BREACHES = {
    "the ground calls upstairs": ("ground/units.py", "from tapewright.flight import air"),
    "the ground leans on a library": ("ground/units.py", "import numpy"),
    "flight and target meet": ("flight/air.py", "from tapewright.target import group"),
    "the sight asks for data": ("sight/scale.py", "from tapewright.calibration import fit"),
    "a calibration questions itself": (
        "calibration/rig.py", "from tapewright.confidence import bands",
    ),
    "drawing knows arrows": ("drawing/shapes.py", "from tapewright.sight import scale"),
    "the wings meet": ("storage/tables.py", "from tapewright.drawing import shapes"),
    "a service asks a database": ("services/equip.py", "import sqlalchemy"),
    "the faces meet": ("faces/web/__init__.py", "from tapewright.faces.cli import shared_options"),
    "a service talks to people": ("services/equip.py", "from tapewright.words import slips"),
    "a face does physics": ("words/trust_sentences.py", "from tapewright.flight import air"),
    "two rooms in a circle": (
        "calibration/observation.py", "from tapewright.calibration import fit",
    ),
    "a room nobody listed": ("attic/__init__.py", ""),
}  # fmt: skip


def lint(folder):
    return subprocess.run(
        [sys.executable, "-c", "from importlinter.cli import lint_imports_command as lint; lint()",
         "--no-cache", "--config", str(folder / "pyproject.toml")],
        capture_output=True, text=True, check=False, cwd=folder, timeout=120,
        env={"PYTHONPATH": str(folder / "src"), "PATH": "", "PYTHONDONTWRITEBYTECODE": "1"},
    )  # fmt: skip


@pytest.fixture
def copy(house, tmp_path):
    shutil.copytree(
        house / "src", tmp_path / "src", ignore=shutil.ignore_patterns("__pycache__", "fonts")
    )
    shutil.copy(house / "pyproject.toml", tmp_path)
    return tmp_path


def test_nobody_calls_upstairs(house):
    told = lint(house)
    assert told.returncode == 0, told.stdout + told.stderr
    assert " 0 broken" in told.stdout


@pytest.mark.parametrize("breach", BREACHES)
def test_the_contract_sees(breach, copy):
    place, line = BREACHES[breach]
    room = copy / "src" / "tapewright" / place
    room.parent.mkdir(exist_ok=True)
    before = room.read_text(encoding="utf-8") if room.exists() else '"""Attic."""\n'
    room.write_text(f"{before}\n{line}\n", encoding="utf-8")
    told = lint(copy)
    assert told.returncode != 0, told.stdout
    assert "broken" in told.stdout or "attic" in told.stdout + told.stderr

"""What the house tests share: where the house stands and its files."""

from pathlib import Path

import pytest

HOUSE = Path(__file__).resolve().parents[2]


@pytest.fixture(scope="session")
def house():
    """The folder of the project."""
    return HOUSE


@pytest.fixture
def room():
    """One source file after the other; see ``pytest_pyfunc_call``."""


def rooms():
    """Every source file but door cards."""
    files = sorted((HOUSE / "src" / "tapewright").rglob("*.py"))
    return [path for path in files if path.name != "__init__.py"]


def pytest_pyfunc_call(pyfuncitem):
    """Ask a test that takes ``room`` about every room; it fails with all that it fails for."""
    asked = pyfuncitem.funcargs
    if "room" not in asked:
        return None
    rest = {name: asked[name] for name in asked if name not in {"room", "request", "_forgetful"}}
    wrong = []
    for path in rooms():
        try:
            pyfuncitem.obj(room=path, **rest)
        except AssertionError as fault:
            wrong.append(f"{path.relative_to(HOUSE)}: {fault}")
    assert not wrong, "\n".join(wrong)
    return True

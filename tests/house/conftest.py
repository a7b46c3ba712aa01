"""What the house tests share: where the house stands and its files."""

from pathlib import Path

import pytest

HOUSE = Path(__file__).resolve().parents[2]


@pytest.fixture(scope="session")
def house():
    """The folder of the project."""
    return HOUSE


def pytest_generate_tests(metafunc):
    """Give a test that asks for ``room`` every source file but door cards, one by one."""
    if "room" in metafunc.fixturenames:
        files = sorted((HOUSE / "src" / "tapewright").rglob("*.py"))
        rooms = [path for path in files if path.name != "__init__.py"]
        metafunc.parametrize("room", rooms, ids=[str(path.relative_to(HOUSE)) for path in rooms])

"""The front door as a whole: what it loads, lists and explains."""

import doctest
import inspect
import pydoc
import subprocess
import sys
from importlib import import_module
from pathlib import Path

import pytest
import worked_notebook

import tapewright.api as tw

HOUSE = Path(__file__).parents[2]
SCREEN = 50  # lines


def loaded(code):
    """Modules that a fresh Python has loaded after some code."""
    told = subprocess.run(
        [sys.executable, "-c", f"{code}\nimport sys; print(*sys.modules)"],
        capture_output=True, text=True, check=True, timeout=120,
    )  # fmt: skip
    return set(told.stdout.split())


def test_importing_the_door_loads_nothing_but_itself():
    found = loaded("import tapewright.api")
    assert {one for one in found if one.startswith("tapewright")} == {
        "tapewright",
        "tapewright.api",
    }
    assert not found & {"numpy", "scipy", "pandas", "matplotlib"}


def test_all_its_names_load_no_web_no_paper_no_database_and_no_frames():
    found = loaded("from tapewright.api import *")
    assert "scipy.optimize" in found
    heavy = {
        "pandas", "matplotlib", "pydantic", "pydantic_core", "click", "rich", "reportlab", "segno",
        "sqlalchemy", "sqlite3", "alembic", "fastapi", "jinja2", "uvicorn", "cryptography",
        "asyncio", "http.server", "scipy.stats", "scipy.interpolate", "scipy.integrate",
    }  # fmt: skip
    assert not found & heavy
    rooms = {one.split(".")[1] for one in found if one.startswith("tapewright.")}
    assert not rooms & {
        "faces",
        "questions",
        "printing",
        "drawing",
        "storage",
        "photograph",
        "field",
    }


def test_a_record_alone_loads_no_solver():
    found = loaded("from tapewright.api import Belief, TapewrightError; Belief(1.0, 0.1)")
    assert "scipy.optimize" not in found


def test_names_are_listed_and_are_where_typing_says():
    assert dir(tw) == sorted(tw.__all__)
    typed = inspect.getsource(tw).split("if TYPE_CHECKING:\n")[1].split("\n__all__")[0]
    for line in typed.strip().splitlines():
        room, names = line.strip().removeprefix("from ").split(" import ")
        for name in names.split(", "):
            assert getattr(tw, name) is getattr(import_module(room), name)
            assert name in tw.__all__
    assert len(tw.__all__) == sum(len(line.split(" import ")[1].split(",")) for line in
                                  typed.strip().splitlines())  # fmt: skip


@pytest.mark.parametrize("name", sorted(tw.__all__))
def test_each_name_is_explained_on_one_screen_with_an_example(name):
    told = inspect.getdoc(getattr(tw, name))
    assert doctest.DocTestParser().get_examples(told), "no example"
    last = told.splitlines()[-1]
    lines = pydoc.plain(pydoc.render_doc(getattr(tw, name))).splitlines()
    # what Python adds of its own, every method of a record, stands below
    assert max(at for at, line in enumerate(lines, 1) if line.endswith(last)) <= SCREEN
    assert max(map(len, told.splitlines())) <= 100


def test_the_worked_notebook_prints_what_it_shows():
    pytest.importorskip("matplotlib").use("agg")
    page = (HOUSE / "docs" / "python-notebook.md").read_text(encoding="utf-8")
    found = list(worked_notebook.cells(page))
    assert len(found) >= 9
    for cell, printed, shown in found:
        assert printed == shown, cell
    import matplotlib.pyplot as plt

    plt.close("all")

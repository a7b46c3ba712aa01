"""Tests write numbers out: a constant that is imported from the program changes with the program.

Holds:  that rule, and the few names that are walked or handed on, never expected.
"""

import ast
import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
FILES = sorted((ROOT / "tests").rglob("*.py"))
CONSTANT = re.compile(r"_?[A-Z][A-Z0-9_]+")
# Name → why no test's expectation hangs on what it holds.
ALLOWED = {
    **dict.fromkeys(
        ("QUESTION", "PRINT", "MOVES"),
        "a record, asked as a function is called; answers are compared with numbers",
    ),
    **dict.fromkeys(
        ("ALL", "QUESTIONS", "PAGES", "TABLES", "UNITS", "KIND_WORDS", "PATTERNS", "MEASURES",
         "COUNTS", "WORDS", "FIRST", "GROUPS", "LOOK", "GAUGE", "TARGET", "LABELS", "FIELDS_OF",
         "SET_UP", "PARTS", "API", "PICTURES", "KEYS", "DECLARED", "HOUSE"),
        "a list that a test walks so that none is left out",
    ),
    "SHOTS": "a kind of file, handed to its reader",
    "METADATA": "compared with what the steps of the schema make",
    "TURN": "a lock, taken by the test",
    "START": "a program, started by the test",
    "_FIRST": "a list that a test walks so that none is left out",
}  # fmt: skip


def imported(text):
    """Constants of the program that a test names, whichever way."""
    tree, modules, found = ast.parse(text), set(), set()
    for node in ast.walk(tree):
        if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("tapewright"):
            found |= {one.name for one in node.names if CONSTANT.fullmatch(one.name)}
            modules |= {one.asname or one.name for one in node.names}
        elif isinstance(node, ast.Import):
            modules |= {
                (one.asname or one.name) for one in node.names if one.name.startswith("tapewright")
            }
    return found | {
        node.attr
        for node in ast.walk(tree)
        if isinstance(node, ast.Attribute) and CONSTANT.fullmatch(node.attr)
        if isinstance(node.value, ast.Name) and node.value.id in modules
    }


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(ROOT / "tests")))
def test_no_test_takes_its_numbers_from_the_program(path):
    wrong = imported(path.read_text(encoding="utf-8")) - set(ALLOWED)
    assert not wrong, f"{path.name}: write out {', '.join(sorted(wrong))} with unit and source"


@pytest.mark.parametrize(
    "line",
    [
        "from tapewright.ground.units import YARD_M",
        "from tapewright.drawing.page import (\n    MARGIN_MM as EDGE,\n)",
        "from tapewright.ground import units\nx = units.YARD_M",
        "import tapewright.ground.units as u\nx = u.YARD_M",
    ],
)
def test_an_imported_constant_is_seen(line):
    assert imported(line)

"""What ./test --mutants breaks: made-up lines, and the reasons for what is struck out."""

import sys
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
PLAN = tomllib.loads((ROOT / "builders" / "mutants.toml").read_text(encoding="utf-8"))


@pytest.fixture(scope="module")
def find_breaks():
    sys.path.insert(0, str(ROOT / "builders"))
    try:
        from mutation.breaks import find_breaks
    finally:
        sys.path.pop(0)
    return lambda source, only=None: find_breaks("x.py", source, PLAN["pairs"], only)


@pytest.mark.parametrize(
    ("source", "broken"),
    [
        ('said = "hold off to the right"\n', 'said = "hold off to the left"\n'),
        ('said = f"{far} yd farther"\n', 'said = f"{far} yd nearer"\n'),
        ('head = "reading (mm)"\n', 'head = "reading (in)"\n'),
        ("x = a.right_m + a.up_m\n", "x = a.up_m + a.up_m\n"),
        ("off = -right\n", "off = right\n"),
        ("off = a - b\n", "off = a + b\n"),
        ("off = a * b\n", "off = a / b\n"),
        ("off = max(a, min(b, c))\n", "off = min(a, min(b, c))\n"),
        ("if a < b:\n    pass\n", "if a > b:\n    pass\n"),
        ("if len(a) < 3:\n    pass\n", "if len(a) <= 3:\n    pass\n"),
        ("MARGIN = 0.8\n", "MARGIN = 1.0\n"),
        ("def f():\n    yield SAFETY\n", "def f():\n    pass\n"),
        ("x = a if b else c\n", "x = a if (b) and False else c\n"),
    ],
)
def test_a_line_is_broken_so(find_breaks, source, broken):
    found, _ = find_breaks(source)
    assert broken in [find_breaks(source, one.number)[1] for one in found]


@pytest.mark.parametrize(
    "source",
    [
        '"""To the right."""\n',
        "from a import right\n",
        'x: Literal["right"]\n',
        '__all__ = [\n    "right_m",\n]\n',
        "x = zip(a, b, strict=True)\n",
        "if a < b:\n    pass\n",  # floats: nobody meets the edge
    ],
)
def test_what_says_nothing_is_left_alone(find_breaks, source):
    found, _ = find_breaks(source)
    assert [one.kind for one in found if one.kind != "turned"] == []


@pytest.mark.parametrize("one", PLAN.get("equivalent", ()), ids=lambda one: one["line"][:40])
def test_what_is_struck_out_still_stands_there_with_a_reason(one):
    text = (ROOT / "src" / "tapewright" / one["file"]).read_text(encoding="utf-8")
    assert one["line"] in [line.strip() for line in text.splitlines()]
    assert len(one["why"]) > 20

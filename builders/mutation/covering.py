"""Covering: which tests run a line, and how long each takes.

One measured run of all tests leaves, for every line, the tests that ran it. It is kept with the
texts that it was made from; when they have changed since, lines are found again by comparing.

Holds:  that run; the Covering record, which answers which tests to ask, the quickest first.
Never:  breaking anything.
"""

import ast
import difflib
import json
import os
import re
import subprocess
import sys
from collections import defaultdict
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from xml.etree import ElementTree as ET

import coverage

# No test of these can notice a wrong number quicker than others do, or they cost minutes.
LEFT_OUT = ["tests/house", "tests/journeys/web"]
RC = "[run]\nbranch = false\nsource = src/tapewright\n"
UNKNOWN_S = 1.0  # a test that is newer than the measured run
DEPTH = 3


def measure(tree: Path, kept: Path) -> None:
    """Run all tests of a tree once and keep which ran which lines."""
    kept.mkdir(parents=True, exist_ok=True)
    (tree / ".maprc").write_text(RC, encoding="utf-8")
    ignored = [f"--ignore={one}" for one in [*LEFT_OUT, "src/tapewright/storage/migrations"]]
    print("Measuring once which tests run which lines (a quarter of an hour or more) …", flush=True)
    subprocess.run(
        [
            sys.executable, "-m", "pytest", "-q", "-n", "2", "-m", "not long", "-p",
            "no:cacheprovider", "--doctest-modules", "--cov", "--cov-config=.maprc",
            "--cov-context=test", "--cov-report=", f"--junitxml={kept.resolve()}/junit.xml",
            "-o", "junit_duration_report=total", "-o", "junit_family=xunit1", *ignored,
            "tests", "src",
        ],
        cwd=tree,
        env=os.environ
        | {"PYTHONPATH": str(tree.resolve() / "src"), "COVERAGE_FILE": f"{kept.resolve()}/data"},
        check=False,
    )  # fmt: skip
    condense(tree, kept)


def condense(tree: Path, kept: Path) -> None:
    """Write what a run left as one small file: tests, seconds, lines, texts."""
    data = coverage.CoverageData(f"{kept}/data")
    data.read()
    tests: dict[str, int] = {}
    lines: dict[str, dict[int, list[int]]] = {}
    for path in data.measured_files():
        name = path[path.index("src/tapewright") :]
        by_line = {}
        for line, contexts in data.contexts_by_lineno(path).items():
            asked = {one.rpartition("|")[0] for one in contexts if "|" in one}
            by_line[line] = sorted(tests.setdefault(one, len(tests)) for one in asked)
        lines[name] = by_line
    texts = {
        str(one.relative_to(tree)): one.read_text(encoding="utf-8")
        for folder in ("src", "tests")
        for one in sorted((tree / folder).rglob("*.py"))
    }
    took, failed = outcomes(kept)
    told = {
        "tests": list(tests), "seconds": took, "failed": failed, "lines": lines, "texts": texts,
    }  # fmt: skip
    (kept / "covering.json").write_text(json.dumps(told), encoding="utf-8")


def outcomes(kept: Path) -> tuple[dict[str, float], list[str]]:
    """How long each test took, and which fail on sound code and so can notice nothing."""
    took, failed = {}, []
    for case in ET.parse(kept / "junit.xml").iter("testcase"):  # noqa: S314 — our own
        name = f"{case.get('classname')}::{case.get('name')}"
        took[name] = float(case.get("time", UNKNOWN_S))
        if case.find("failure") is not None or case.find("error") is not None:
            failed.append(name)
    return took, failed


@dataclass
class Covering:
    """What the measured run told.

    Parameters
    ----------
    tree : Path
        The tree as it is today.
    told : dict
        What ``condense`` wrote.
    """

    tree: Path
    told: dict
    _moved: dict = field(default_factory=dict)  # file → line of today → line of that run

    @cached_property
    def tests(self) -> list[str]:
        """Names of all tests that ran."""
        return self.told["tests"]

    @cached_property
    def reported(self) -> list[str]:
        """What each test is called in the report of the run."""
        found = []
        for one in self.tests:
            path, _, rest = one.partition("::")
            *classes, name = rest.split("::")
            module = ".".join([path.removesuffix(".py").replace("/", "."), *classes])
            found.append(f"{module}::{name}")
        return found

    @cached_property
    def took_s(self) -> list[float]:
        """Seconds of each test."""
        return [self.told["seconds"].get(one, UNKNOWN_S) for one in self.reported]

    @cached_property
    def unsound(self) -> set[int]:
        """Tests that fail although nothing is broken."""
        failed = set(self.told.get("failed", ()))
        return {place for place, one in enumerate(self.reported) if one in failed}

    @cached_property
    def newer(self) -> list[str]:
        """Tests that the measured run did not know."""
        known = {one.partition("[")[0] for one in self.tests}
        return [
            name
            for path in sorted((self.tree / "tests").rglob("test_*.py"))
            if not (file := str(path.relative_to(self.tree))).startswith(tuple(LEFT_OUT))
            for node in ast.parse(path.read_text(encoding="utf-8")).body
            if isinstance(node, ast.FunctionDef) and node.name.startswith("test_")
            if (name := f"{file}::{node.name}") not in known
        ]

    def old_line(self, file: str, line: int) -> int | None:
        """Where a line of today stood in the measured run."""
        if file not in self._moved:
            old = self.told["texts"].get(file, "").splitlines()
            new = (self.tree / file).read_text(encoding="utf-8").splitlines()
            moved = {}
            if old != new:
                for tag, a, b, c, d in difflib.SequenceMatcher(None, old, new).get_opcodes():
                    for place in range(c, d):
                        here = a + place - c
                        moved[place + 1] = here + 1 if tag == "equal" or here < b else b
            self._moved[file] = moved
        moved = self._moved[file]
        return moved.get(line, line)

    @cached_property
    def places(self) -> dict[str, list[tuple[str, int]]]:
        """Every name of the program, and the lines that speak of it."""
        found = defaultdict(list)
        for name, text in self.told["texts"].items():
            if name.startswith("src/"):
                for number, line in enumerate(text.splitlines(), 1):
                    for word in set(re.findall(r"[A-Za-z_]\w*", line)):
                        found[word].append((name, number))
        return found

    def asked(self, file: str, line: int) -> list[list[str]]:
        """Tests to ask of a line, in layers: those likeliest to notice, then all others."""
        old = self.old_line(file, line)
        own = set(self._running(file, old)) if old else set()
        if not own:
            own = self._by_name(file, line, DEPTH, set())
        if not own:
            own = {one for found in self.told["lines"].get(file, {}).values() for one in found}
        own -= self.unsound
        mirror = mirror_of(file)
        near = [one for one in own if self.tests[one].startswith((mirror, file))]
        beside = [
            place
            for place, one in enumerate(self.tests)
            if one.startswith((mirror, f"{file}::")) and place not in own | self.unsound
        ]
        rest = sorted(own - set(near), key=self.took_s.__getitem__)
        first = sorted(near, key=self.took_s.__getitem__)
        return [self._named(first + rest[:30]), self._named(rest[30:] + beside)]

    def _named(self, places: list[int]) -> list[str]:
        return [self.tests[one] for one in places]

    def _running(self, file: str, line: int) -> list[int]:
        return self.told["lines"].get(file, {}).get(str(line), [])

    def _by_name(self, file: str, line: int, depth: int, seen: set[str]) -> set[int]:
        """Tests that run a line which speaks of the name that a line outside functions makes."""
        found: set[int] = set()
        for name in names_made(self.tree / file, line) - seen:
            seen.add(name)
            for where, number in self.places.get(name, ()):
                running = self._running(where, number)
                found.update(running)
                if not running and depth and where.startswith("src"):
                    found |= self._by_name(where, number, depth - 1, seen)
        return found


def names_made(path: Path, line: int) -> set[str]:
    """Names bound by the outermost statement, or by the field of a class, on a line."""
    if not path.exists():
        return set()
    for node in ast.parse(path.read_text(encoding="utf-8")).body:
        if node.lineno <= line <= (node.end_lineno or node.lineno):
            if isinstance(node, ast.ClassDef):
                return {node.name}
            if isinstance(node, ast.FunctionDef):
                return {node.name}
            if isinstance(node, ast.Assign | ast.AnnAssign):
                targets = node.targets if isinstance(node, ast.Assign) else [node.target]
                return {
                    one.id for two in targets for one in ast.walk(two) if isinstance(one, ast.Name)
                }
    return set()


def mirror_of(file: str) -> str:
    """The test of a file has the file's name."""
    path = Path(file).relative_to("src/tapewright")
    return str(Path("tests") / path.parent / f"test_{path.name}") + "::"

"""Accuracy: the ledger of the outside tests becomes docs/accuracy.md.

Run the tests of tests/outside first; each leaves what it found. With ``--check`` nothing is
written: the page as it stands is compared with what was just measured. Entries of tests that no
longer exist are passed over.

Holds:  reading of the ledger, the page, the comparison.
Never:  measurements of its own.
"""

import argparse
import contextlib
import hashlib
import io
import json
import pathlib
import re
import sys
from dataclasses import dataclass
from math import floor, log10

import pytest

ROOT = pathlib.Path(__file__).resolve().parent.parent
LEDGER = ROOT / "tests" / "outside" / ".ledger"
KEPT = ROOT / "builders" / "simulations"
PAGE = ROOT / "docs" / "accuracy.md"
WORDS = ROOT / "builders" / "accuracy_head.md"  # what stands before the tables

TRIVIAL = 0.01  # of what is allowed: below, the last digits of the machine speak
FACTOR = 2.0  # by which a worst difference may differ from one machine to the next

HEAD = """\
| what | against | cases | worst | allowed | unit |
| --- | --- | ---: | ---: | ---: | --- |
"""

# Which heading a test file's lines stand under, in the order of the page; a file that is not
# named here stands under its own name.
HEADINGS = {
    "unit_definitions": "Units",
    "standard_atmosphere": "Air",
    "moist_air": "Air",
    "vapour_tables": "Air",
    "measured_arrows": "Arrows and bows as measured",
    "measured_bows": "Arrows and bows as measured",
    "closed_forms": "Flight: formulas and tables",
    "second_integrator": "Flight: a second integrator",
    "shared_marks": "Sight: marks, turning distance, slopes",
    "drawn_triangles": "Sight: geometry",
    "traced_rays": "Sight: geometry",
    "certified_fits": "Calibration: certified fits",
    "published_means": "Calibration: certified fits",
    "exact_posterior": "Confidence: exact answers",
    "eight_schools": "Confidence: exact answers",
    "simulated_archers": "Confidence: simulated archers",
    "simulated_contradictions": "Confidence: groups that contradict each other",
    "simulated_kinds": "Confidence: recurves and longbows",
    "simulated_mountings": "Confidence: where a sight is bolted",
    "tilted_bows": "Sight: clearance and tilts",
    "group_statistics": "Target: groups",
    "handicap_dispersion": "Target: groups",
    "simulated_corrections": "Target: corrections",
    "simulated_first_arrows": "On the range: first arrows",
    "simulated_plans": "On the range: plans",
    "simulated_faults": "On the range: diagnosis",
    "simulated_slips": "On the range: slips of the pen",
    "simulated_sets": "On the range: numbered arrows",
    "simulated_seasons": "On the range: drift over a season",
    "run_lengths": "On the range: drift over a season",
    "simulated_broadheads": "On the range: broadheads beside field points",
    "simulated_strip_sets": "On the range: ready-made strips",
    "slope_tables": "Field: slopes, drift, energy",
    "simulated_carried": "On the range: carried rigs",
    "simulated_changes": "Field: simulated changes",
    "simulated_cold": "Field: simulated cold",
    "simulated_reassemblies": "Field: bows put together again",
    "worked_deviations": "Field: what a bow put together otherwise costs",
    "simulated_tapes": "Calibration: simulated tapes on a sight",
    "simulated_windage": "Calibration: simulated windage and distances",
    "pocket_card": "Field: the pocket card",
    "code_reader": "Print: measured by others",
    "pdf_reader": "Print: measured by others",
    "pdf_reader_options": "Print: measured by others",
    "pdf_reader_target": "Print: measured by others",
    "photographs": "Photographs: made pictures",
}


@dataclass(frozen=True, slots=True, order=True)
class Line:
    """One line of the ledger; equal in ``key`` means the same line.

    Parameters
    ----------
    heading, what, against, unit : str
        Where it stands, what was checked, against whom, and in which unit.
    cases : int
        How many cases. [-]
    worst, allowed : float
        Largest disagreement and bound. [unit]
    """

    heading: str
    what: str
    against: str
    unit: str
    cases: int
    worst: float
    allowed: float

    @property
    def key(self) -> tuple[str, str, str]:
        """What makes a line this line and no other."""
        return self.heading, self.what, self.against


def two_digits(value: float) -> str:
    """Round a value to two digits, without an exponent where people would write none.

    Parameters
    ----------
    value : float
        Any number.

    Returns
    -------
    str
        The number in words of digits.
    """
    if value == 0.0:
        return "0"
    power = floor(log10(abs(value)))
    if -4 <= power < 5:
        rounded = round(value, 1 - power)
        decimals = max(0, 1 - floor(log10(abs(rounded))))
        text = f"{rounded:.{decimals}f}"
        return text.rstrip("0").rstrip(".") if "." in text else text
    return f"{value:.1e}"


class Roll:
    """The tests that exist now, as pytest finds them.

    Parameters
    ----------
    tests : list of str
        Their names, path first.
    long : set of str
        Headings under which some test only runs when long simulations are asked for.
    """

    def __init__(self) -> None:
        self.tests: list[str] = []
        self.long: set[str] = set()

    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        """Called by pytest with every test it found."""
        self.tests = [item.nodeid for item in items]
        self.long = {heading_of(i.nodeid) for i in items if i.get_closest_marker("long")}


def call_the_roll() -> Roll:
    """Find the tests of tests/outside without running them.

    Returns
    -------
    Roll
        The tests.
    """
    roll = Roll()
    wish = ["--collect-only", "-qq", "-p", "no:cacheprovider", "--rootdir", str(ROOT)]
    with contextlib.chdir(ROOT), contextlib.redirect_stdout(io.StringIO()):
        pytest.main([*wish, "tests/outside"], plugins=[roll])
    return roll


def heading_of(test: str) -> str:
    """Heading for a test.

    Parameters
    ----------
    test : str
        The test's name, path first.

    Returns
    -------
    str
        The heading.
    """
    stem = pathlib.PurePosixPath(test.split("::", maxsplit=1)[0]).stem.removeprefix("test_against_")
    return HEADINGS.get(stem, stem.replace("_", " ").capitalize())


def measured(folder: pathlib.Path, tests: list[str]) -> list[Line]:
    """Read what the tests left.

    Parameters
    ----------
    folder : Path
        The ledger; a file is named for its test and for what was checked.
    tests : list of str
        The tests that exist.

    Returns
    -------
    list of Line
        In the order of the page.
    """
    lines = []
    for path in folder.glob("*.json"):
        entry = json.loads(path.read_text(encoding="utf-8"))
        for test in tests:
            name = hashlib.sha256((test + entry["what"]).encode()).hexdigest()
            if name.startswith(path.stem):
                lines.append(Line(heading=heading_of(test), **entry))
    return in_order(lines)


def simulated(folder: pathlib.Path) -> list[Line]:
    """Read what the longest simulations found when they were last run.

    Parameters
    ----------
    folder : Path
        Files of builders/build_simulations.py; there may be none.

    Returns
    -------
    list of Line
        Each names the commit it was made at.
    """
    kept = [json.loads(path.read_text(encoding="utf-8")) for path in sorted(folder.glob("*.json"))]
    return [Line(HEADINGS[one["heading"]], **line) for one in kept for line in one["lines"]]


def in_order(lines: list[Line]) -> list[Line]:
    """Sort lines as the page has them: headings from the ground up, then by what was checked.

    Parameters
    ----------
    lines : list of Line
        In any order.

    Returns
    -------
    list of Line
        Sorted.
    """
    order = list(dict.fromkeys(HEADINGS.values()))

    def place(line: Line) -> tuple[int, Line]:
        known = line.heading in order
        return (order.index(line.heading) if known else len(order)), line

    return sorted(lines, key=place)


def worst_of(wish: str, lines: list[Line]) -> str:
    """Find the worst of a few lines, for a sentence.

    Parameters
    ----------
    wish : str
        Heading; how the lines begin (the whole name ends in a full stop), parted by " / "; unit;
        and, if it matters, how the other side begins.
    lines : list of Line
        All lines of the page.

    Returns
    -------
    str
        Two digits; nothing below 0.001, which nobody can feel in any unit that is told.

    Raises
    ------
    ValueError
        If there is no such line.
    """
    heading, begins, unit, *against = wish.split("; ")
    found = [
        one.worst
        for one in lines
        if (one.heading, one.unit) == (heading, unit)
        and one.against.startswith(tuple(against) or "")
        and any(f"{one.what}.".startswith(begin) for begin in begins.split(" / "))
    ]
    if not found:
        raise ValueError(f"{WORDS.name}: no line is {wish!r}")
    return two_digits(max(*found, 0.001))


def page(lines: list[Line]) -> str:
    """Write the page as text.

    Parameters
    ----------
    lines : list of Line
        In the order of the page.

    Returns
    -------
    str
        Markdown.
    """
    words = WORDS.read_text(encoding="utf-8")
    parts = [re.sub(r"\{(.+?)\}", lambda found: worst_of(found[1], lines), words)]
    for heading in dict.fromkeys(line.heading for line in lines):
        rows = [
            f"| {one.what} | {one.against} | {one.cases} | {two_digits(one.worst)} "
            f"| {two_digits(one.allowed)} | {one.unit} |\n"
            for one in lines
            if one.heading == heading
        ]
        parts.append(f"## {heading}\n\n{HEAD}{''.join(rows)}")
    return "\n".join(parts)


def printed(text: str) -> list[Line]:
    """Read the lines of a page back.

    Parameters
    ----------
    text : str
        Markdown as ``page`` writes it.

    Returns
    -------
    list of Line
        With the numbers as rounded there.
    """
    lines, heading = [], ""
    for row in text.splitlines():
        if row.startswith("## "):
            heading = row.removeprefix("## ")
        cells = [cell.strip() for cell in row.strip("|").split("|")]
        if not heading or len(cells) != 6 or cells[0] in {"what", "---"}:
            continue
        what, against, cases, worst, allowed, unit = cells
        lines.append(Line(heading, what, against, unit, int(cases), float(worst), float(allowed)))
    return lines


def has_moved(before: Line, now: Line) -> bool:
    """Whether a worst difference is another one, not the same on another machine.

    Parameters
    ----------
    before, now : Line
        The same line on the page and in the ledger.

    Returns
    -------
    bool
        True if they differ by more than a factor of two and are not both trivial.
    """
    low, high = sorted([before.worst, now.worst])
    return high > TRIVIAL * now.allowed and high > FACTOR * low


def complaints(page_lines: list[Line], ledger_lines: list[Line], may_lack: set[str]) -> list[str]:
    """List what is stale on the page.

    Parameters
    ----------
    page_lines, ledger_lines : list of Line
        What the page says, what was just measured.
    may_lack : set of str
        Headings whose tests do not all run every time.

    Returns
    -------
    list of str
        One sentence for each fault; empty if the page is good.
    """
    before = {line.key: line for line in page_lines}
    now = {line.key: line for line in ledger_lines}
    faults = [f"the page lacks: {' | '.join(key)}" for key in now if key not in before]
    faults += [
        f"nobody measured: {' | '.join(key)}"
        for key in before
        if key not in now and key[0] not in may_lack
    ]
    for key in now.keys() & before.keys():
        old, new = before[key], now[key]
        if two_digits(old.allowed) != two_digits(new.allowed) or old.unit != new.unit:
            faults.append(f"another bound or unit: {' | '.join(key)}")
        elif old.cases != new.cases:
            faults.append(f"{old.cases} cases on the page, {new.cases} now: {' | '.join(key)}")
        elif has_moved(old, new):
            faults.append(
                f"worst was {two_digits(old.worst)}, is {two_digits(new.worst)} {new.unit}: "
                f"{' | '.join(key)}"
            )
    return sorted(faults)


def main() -> int:
    """Write the page, or with ``--check`` compare it.

    Returns
    -------
    int
        0 when all is well, 1 otherwise.
    """
    wish = argparse.ArgumentParser(description="docs/accuracy.md from the ledger of the tests")
    wish.add_argument("--check", action="store_true", help="compare, write nothing")
    wish.add_argument("--words", action="store_true", help="new words, the page's own numbers")
    wishes = wish.parse_args()
    check = wishes.check
    if wishes.words:
        kept = in_order(printed(PAGE.read_text(encoding="utf-8")))
        PAGE.write_text(page(kept), encoding="utf-8")
        return 0
    roll = call_the_roll()
    lines = measured(LEDGER, roll.tests)
    if lines:
        lines = in_order([*lines, *simulated(KEPT)])
    else:
        print("The ledger is empty. Run the tests of tests/outside first.", file=sys.stderr)
        return 1
    keys = [" | ".join(line.key) for line in lines]
    twice = sorted({key for key in keys if keys.count(key) > 1})
    if twice:
        print(f"Two tests enter the same line: {twice}", file=sys.stderr)
        return 1
    if not check:
        PAGE.write_text(page(lines), encoding="utf-8")
        print(f"{PAGE.relative_to(ROOT)}: {len(lines)} lines")
        return 0
    old = printed(PAGE.read_text(encoding="utf-8")) if PAGE.exists() else []
    faults = complaints(old, lines, roll.long)
    for fault in faults:
        print(f"docs/accuracy.md: {fault}", file=sys.stderr)
    if faults:
        print("Mend it with: python builders/build_accuracy.py", file=sys.stderr)
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())

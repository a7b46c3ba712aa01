"""Confusion: the long run's count of found causes becomes docs/diagnosis.md.

The long simulation of faults (builders/build_simulations.py) leaves its counts in
confusion.json beside this file. With ``--check`` nothing is written: the page is compared with
the counts.

Holds:  the page and its comparison.
Never:  simulations.
"""

import json
import sys
from pathlib import Path

HERE = Path(__file__).resolve().parent
COUNTS = HERE / "confusion.json"
PAGE = HERE.parent / "docs" / "diagnosis.md"

INTRO = """\
# Diagnosis: how well causes are told apart

`tapewright prove` looks at the misses of a proving session and says what may be wrong. This page
counts how often it is right, on {sessions} invented sessions for each cause: another bow, sight
and archer each time, a calibration of 30 arrows at 20 to 80 yd, then 24 arrows at 20, 40, 60 and
80 yd. Dispersion 0.4 to 1.2 mrad, wobble 0.05 to 0.25 mrad, pegs and pointer as wrong as they
usually are, one arrow in twenty-five wild. The fault moves the farthest group by 2 to 8 times the
doubt of that group's centre, all sizes alike; one wrong distance moves the group at the wrong
peg, which is 40 yd or farther. Third axis was shot up and down 20°. Another arrow is 12 %, 20 or
8 grains heavier, of 320 to 520. A fault is made by changing the bow in the forward model, not from
the signatures that the diagnosis looks for.

The page is written by `builders/build_confusion.py` from the counts that
`builders/build_simulations.py faults` left.

## By family

Each row: what was wrong; each column: what was ranked first, in sessions of {sessions}.

"""

MIDDLE = """
A slower arrow strikes lower in proportion to the distance, from the bow on; another strip does so
from the near mark on, where that is zeroed. So another speed is nearly a strip and a zero together,
and by such a session nobody can tell it from a strip until it is large; both are named then, with
the group that would part them. Eight grains can hardly be seen at all.

A strip that is wrong and drag (or air) that is wrong look alike over 20 to 80 yd with 24 arrows:
both grow from the near mark, and drag curves a little more. They ask for the same thing, another
strip, and are ranked together as *far marks*; another speed asks for `change`, and is ranked by
itself. Crosswind and cant both grow as the arrow falls;
they are one cause from the start. What is most often missed is one wrong distance: a single group
carries all of its evidence, and below three doubts that is what chance does now and then.

## By single cause

"""

APART = """
## How far from the next best

A fault is *clear* when it differs by four errors of the groups' centres from the best-fitting
other thing, whatever size that may have (pegs, pointer, calibration and scatter in the errors);
others *show* when they differ by three from nothing at all. Where a fault is not clear, what was
found and what stays possible (5 % or more) are both named, and the group that parts them.

| | clear | of them first | others that show | first | named | fainter | first | named |
| --- | ---: | ---: | ---: | ---: | ---: | ---: | ---: | ---: |
"""
TAKEN = """
## What could be taken in

A proof is offered to be taken into the calibration when nothing was found, or when odds are 90 %
and more that the strip was wrong and nothing else. *Trusted* is the mean trusted distance of the
tape of all arrows, with the doubt of two bows counted and, in brackets, without it; *misses* are
tapes trusted to where they miss the bow as it is now by more than 3 in: by what trust means, one in
ten.

| | taken in | trusted, yd | misses |
| --- | ---: | ---: | ---: |
"""
END = """
Where the fault is only twice the doubt of one group's centre nobody could do much better; from
four doubts on misses are rare. More groups, far ones among them, help more than more arrows at
the same pegs.
"""


def apart(rows: dict[str, list[list[int]]]) -> str:
    """Rows of conditions by how far they are from the next best.

    Parameters
    ----------
    rows : dict
        By condition: clear, shown and faint ones, of each how many, first, named.

    Returns
    -------
    str
        Markdown.
    """
    lines = []
    for condition, (clear, shown, faint) in rows.items():
        cells = [*clear[:2], *shown, *faint]
        lines.append(f"| **{condition}** | {' | '.join(str(one or '') for one in cells)} |")
    return "\n".join(lines) + "\n"


def taken(rows: dict[str, list[float]]) -> str:
    """Rows of conditions with what could be taken in, and how far it was trusted.

    Parameters
    ----------
    rows : dict
        By condition: how many; then mean trusted distances and misses, doubt left out and counted.

    Returns
    -------
    str
        Markdown.
    """
    lines = []
    for condition, (count, *rest) in rows.items():
        cells = [str(count or ""), "", ""]
        if rest:
            plain, trusted, was, now = rest
            cells[1:] = [f"{trusted:g} ({plain:g})", f"{now:g} ({was:g})"]
        lines.append(f"| **{condition}** | {' | '.join(cells)} |")
    return "\n".join(lines) + "\n"


def table(counts: dict[str, dict[str, int]]) -> str:
    """Rows of conditions, columns of what was found.

    Parameters
    ----------
    counts : dict
        How often each was found, by condition.

    Returns
    -------
    str
        Markdown.
    """
    columns = list(dict.fromkeys(["nothing", *(one for row in counts.values() for one in row)]))
    order = [one for one in counts if one in columns]
    columns = order + [one for one in columns if one not in order]
    lines = [f"| | {' | '.join(columns)} |", f"| --- |{' ---: |' * len(columns)}"]
    for condition, row in counts.items():
        cells = [str(row.get(one, 0) or "") for one in columns]
        lines.append(f"| **{condition}** | {' | '.join(cells)} |")
    return "\n".join(lines) + "\n"


def page() -> str:
    """Write the page as text.

    Returns
    -------
    str
        Markdown.
    """
    kept = json.loads(COUNTS.read_text(encoding="utf-8"))
    intro = INTRO.format(sessions=kept["sessions"])
    parts = (intro, table(kept["families"]), MIDDLE, table(kept["causes"]))
    more = (APART, apart(kept["by_distance"]), TAKEN, taken(kept["taken_in"]), END)
    return "".join((*parts, *more))


def main() -> int:
    """Write the page, or with ``--check`` compare it.

    Returns
    -------
    int
        0 when all is well, 1 otherwise.
    """
    if "--check" not in sys.argv:
        PAGE.write_text(page(), encoding="utf-8")
        return 0
    if PAGE.exists() and PAGE.read_text(encoding="utf-8") == page():
        return 0
    print("docs/diagnosis.md is stale: python builders/build_confusion.py", file=sys.stderr)
    return 1


if __name__ == "__main__":
    sys.exit(main())

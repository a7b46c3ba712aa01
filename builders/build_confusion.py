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
peg, which is 40 yd or farther. Third axis was shot up and down 20°. A fault is made by changing
the bow in the forward model, not from the signatures that the diagnosis looks for.

The page is written by `builders/build_confusion.py` from the counts that
`builders/build_simulations.py faults` left.

## By family

Each row: what was wrong; each column: what was ranked first, in sessions of {sessions}.

"""

MIDDLE = """
A span that is wrong and drag (or air) that is wrong look alike over 20 to 80 yd with 24 arrows:
both grow from the near mark, and drag curves a little more. They ask for the same thing, another
strip, and are ranked together as *far marks*. Crosswind and cant both grow as the arrow falls;
they are one cause from the start. What is most often missed is one wrong distance: a single group
carries all of its evidence, and below three doubts that is what chance does now and then.

## By single cause

"""

END = """
Where the fault is only twice the doubt of one group's centre nobody could do much better; from
four doubts on misses are rare. More groups, far ones among them, help more than more arrows at
the same pegs.
"""


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
    return intro + table(kept["families"]) + MIDDLE + table(kept["causes"]) + END


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

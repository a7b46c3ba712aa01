"""Screen: what a command printed: its answer, its refusal, a table read back into numbers.

Holds:  an answer or a refusal, held to be one; the rows under a title.
Never:  commands, what the numbers should be.
"""

import re


def answered(result):
    """What stands on the screen of a command that did what it was asked."""
    assert result.exit_code == 0, result.output
    return result.stdout


def refused(result):
    """The one paragraph of a command that did not."""
    assert result.exit_code == 2, result.output
    assert result.stderr.count("\n") == 1
    return result.stderr


def rows_under(said, title):
    """Rows of the table under a line that begins with a title; of "4.3 ±0.3" the number alone."""
    lines = iter(said.splitlines())
    next(line for line in lines if line.startswith(title))
    next(lines)  # heads
    rows = []
    for line in lines:
        if not line.strip():
            break
        rows.append([_number(cell) for cell in re.split(r"\s{2,}", line.strip())])
    return rows


def _number(cell):
    bare = cell.partition(" ±")[0].replace("−", "-")
    return float(bare) if re.fullmatch(r"[-+]?[\d.]+", bare) else cell

"""Screen: a table as a command prints it, read back into numbers.

Holds:  the rows under a title.
Never:  commands, what the numbers should be.
"""

import re


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

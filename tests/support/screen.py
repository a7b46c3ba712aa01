"""Screen: what a command printed: its answer, its refusal, a table read back into numbers.

Holds:  an answer or a refusal, held to be one; the rows under a title; trust told as JSON.
Never:  commands, what the numbers should be.
"""

import json
import re


def answered(result):
    """What stands on the screen of a command that did what it was asked."""
    assert result.exit_code == 0, result.output
    return result.stdout


def answered_json(result):
    """The same, read as JSON."""
    return json.loads(answered(result))


def refused(result):
    """The one paragraph of a command that did not."""
    assert result.exit_code == 2, result.output
    assert result.stderr.count("\n") == 1
    return result.stderr


def refused_words(result):
    """The same in one line, with nothing on standard output and no trace of the program."""
    assert result.exit_code == 2, result.output
    assert "Traceback" not in result.output
    assert result.stdout == ""
    return " ".join(result.stderr.split())


def trusted_in(answer):
    """Everything of a JSON answer that says how far something is trusted."""
    if isinstance(answer, dict):
        for key, value in answer.items():
            if key.startswith("trusted_distance"):
                yield value
            yield from trusted_in(value)
    elif isinstance(answer, list):
        for one in answer:
            yield from trusted_in(one)


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

"""Corrected rows: in which rows of a file of shots a slip stands, and what to write there.

Holds:  rows, columns and texts of the likeliest mend.
Never:  which slip is named (confidence/slips.py), how a file is read (shots_reader.py).
"""

from collections.abc import Callable, Iterator, Sequence

from tapewright.reading.csv_columns import Column
from tapewright.reading.shots_reader import rows_of_groups
from tapewright.services.calibrate import Answer, Slip
from tapewright.services.record_groups import Observation
from tapewright.services.stick_tape import Tape
from tapewright.words.slips import arrow_times, is_of_all, mend_of_all_words, written_of

CLOSE = 1e-6  # of a length in metres: one number and the same


def mended_rows(
    text: str, name: str, answer: Answer, tape_of: Callable[[str, str], Tape] | None = None
) -> tuple[str, ...]:
    """What to write in a file so that its likeliest slip is mended, one sentence for each column.

    None where no slip is named.
    """
    if not answer.slips:
        return ()
    slip = answer.slips[0]
    columns, lines = rows_of_groups(text, name, answer.rig, tape_of)
    if is_of_all(slip, answer):
        return (f"{name}, {_of_all(slip, answer, columns)}.",)
    return tuple(
        f"{name}, {_lines(lines[meant.group.name])}, {told}."
        for place, meant in enumerate(slip.mistake.meant)
        for told in _mends(slip, written_of(answer, slip, place), meant, columns, answer.tape)
    )


def _of_all(slip: Slip, answer: Answer, columns: Sequence[Column]) -> str:
    """The one edit that mends all rows."""
    headers = {column.word: column.header for column in columns}
    distance, reading = headers["distance"], headers.get("reading") or headers["dialled"]
    if slip.mistake.kind == "exchanged":
        return f"first line: exchange the names {distance} and {reading}"
    if slip.mistake.kind == "yards":
        written, meant = written_of(answer, slip, 0), slip.mistake.meant[0]
        unit = "m" if meant.distance_m > written.distance_m else "yd"
        return f"first line: write distance_{unit} for {distance}"
    return f"all lines: write {mend_of_all_words(slip, answer)}"


def _lines(lines: Sequence[int]) -> str:
    if len(lines) == 1:
        return f"line {lines[0]}"
    if lines[-1] - lines[0] == len(lines) - 1:
        return f"lines {lines[0]} to {lines[-1]}"
    return f"lines {', '.join(map(str, lines))}"


def _mends(
    slip: Slip,
    written: Observation,
    meant: Observation,
    columns: Sequence[Column],
    tape: Tape | None,
) -> Iterator[str]:
    """For each column of a group's rows that is wrong, what to write."""
    by_word = {column.word: column for column in columns}
    for word in ("distance", "reading"):
        before, after = (getattr(one, f"{word}_m") for one in (written, meant))
        if abs(after - before) > CLOSE:
            about = "about " if slip.mistake.is_reading_open else ""
            column = by_word.get(word) or by_word["dialled"]
            if word == "reading" and tape is not None and meant.scales == tape.scales:
                column = by_word.get("dialled", column)
                after = tape.dialled_of(after, meant.pin) if column.word == "dialled" else after
            yield f"column {column.header}: write {about}{_number(after, column)}"
    if meant.pin != written.pin:
        header = by_word["pin"].header if "pin" in by_word else "pin, to be added"
        yield f"column {header}: write {meant.pin}"
    right, up = arrow_times(written, meant)
    if right == up == 1.0:
        return
    if up < 0.0:
        yield f"column {by_word['up'].header}: write each number with the other sign"
        return
    headers = " and ".join(by_word[word].header for word in ("right", "up") if word in by_word)
    factor = up if up != 1.0 else right
    how = f"times {factor:.2f}" if factor > 1.0 else f"divided by {1.0 / factor:.2f}"
    yield f"columns {headers}: write each number {how}"


def _number(length_m: float, column: Column) -> str:
    """A length as a cell of its column."""
    assert column.unit is not None, "distances and readings have a unit"
    return f"{round(length_m / column.unit.factor, 3):g}"

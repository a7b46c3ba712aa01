"""Sheet words: what only a form asks of a rig sheet: which lines come first, faults in its words.

Holds:  the groups in which a form asks the lines; keys in a sentence told by their labels.
Never:  words of any line (reading/fields.py); computations.
"""

import re
from dataclasses import dataclass

from tapewright.reading.fields import KEYS, TABLES


@dataclass(frozen=True, slots=True)
class Group:
    """Lines that are asked together."""

    title: str  # for people
    about: str
    keys: tuple[str, ...]  # its lines, in order; a table's name stands for all its keys


FIRST = Group(
    "To begin",
    "Enough for a first tape with honest, wide bands. Of the three speeds give what you have.",
    ("name", "hand", "arrow.mass", "arrow.shaft_diameter", "arrow.length", "bow.draw_weight",
     "bow.draw_length", "bow.rest", "bow.launch_speed", "bow.rated_speed", "sight.peep_height",
     "sight.sight_radius"),
)  # fmt: skip
GROUPS = tuple(
    Group(table.title, table.about, (name,) if name else tuple(table.keys))
    for name, table in TABLES.items()
)

_ASSIGNED = re.compile(r'\b([a-z_]+) = ("[^"]*"|\[[^\]]*\])')
_LABELS = {name.rpartition(".")[2]: key.label for name, key in KEYS.items()}
_KEYS = re.compile(rf"\b({'|'.join(key for key in _LABELS if '_' in key)})\b")


def beside(name: str, lines: list[str]) -> str:
    """Line beside which a fault stands: its own, or one of its table."""
    if name in lines:
        return name
    if name in TABLES and TABLES[name].faults_at:
        return f"{name}.{TABLES[name].faults_at}"
    return next((line for line in lines if line.startswith(name)), "name")


def form_words(text: str) -> str:
    """Sentence about a sheet's text in the words of the form: labels in place of keys."""

    def assigned(found: re.Match[str]) -> str:
        value = found[2].strip("[]").replace('"', "")
        return f"“{_LABELS.get(found[1], found[1])}”: {value}"

    text = _ASSIGNED.sub(assigned, text)
    text = _KEYS.sub(lambda found: f"“{_LABELS[found[1]]}”", text)
    return re.sub(r"\[+([a-z.]+)\]+", r"\1", text)

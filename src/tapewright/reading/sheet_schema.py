"""Sheet schema: what is known of one key of a sheet, of one table, and of a sheet as a whole.

Holds:  the records in which rig_sheet_fields.py and house_fields.py declare their sheets, and
        what follows from them.
Never:  any key itself (rig_sheet_fields.py), reading a value (sheet_values.py).
"""

from collections.abc import Mapping
from dataclasses import KW_ONLY, dataclass, field, replace
from functools import cached_property
from typing import Any, cast

from tapewright.ground.units import UNITS
from tapewright.words.unit_spellings import Kind

# Kind of quantity → how an attribute that holds it in SI ends.
_SI = {"length": "m", "mass": "kg", "speed": "mps", "force": "n", "angle": "rad",
       "temperature": "k", "pressure": "pa"}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Key:
    """One key of a rig sheet."""

    label: str  # what people read before its line
    _: KW_ONLY
    purpose: str  # what it is for
    # Attribute of its table's record, or "record.attribute"; None: its own name, with the SI unit;
    # empty: none alone
    fills: str | None = None
    measure: str = ""  # how to measure it; empty: that is plain
    left_open: str = ""  # what is taken when it is left open, in words; empty: nothing is
    taken: str = ""  # the same as the sheet would write it, where the reader itself takes it
    examples: tuple[str, ...] = ("",)  # in inches, in metric units, or in both alike
    guess: tuple[str, str] = ("", "")  # what a new sheet says of it until it is measured
    drawing: str = ""  # name of a line drawing; empty: none
    unit: str = ""  # of the limits; empty for a plain number
    limits: tuple[float, float] | None = None  # beyond, the sheet is refused; None: words
    usual: tuple[float, float] | None = None  # beyond, a warning
    doubt: bool = False  # whether a ± is used, and so kept
    none_words: tuple[str, ...] = ()  # answers that stand for none, which is 0
    choices: tuple[tuple[str, str], ...] = ()  # all it may be, the usual one first, with meanings
    needed: bool = False  # whether a sheet is none without it
    begun: bool = False  # whether a new sheet says something of it
    many: tuple[int, int] | None = None  # least and most entries of a list; None: it is no list
    listed: tuple[str, ...] = ()  # a list as an example
    row_labels: str = ""  # labels of a list's lines, "{}" for the number; or each, parted by "|"
    kinds: tuple[str, ...] = ()  # kinds of bow whose new sheet asks for it; empty: all
    # Kind of bow → what is declared otherwise of it, by attribute
    of_kind: Mapping[str, Mapping[str, Any]] = field(default_factory=dict)

    @property
    def kind(self) -> Kind | None:
        """Kind of quantity; None: words."""
        if self.limits is None:
            return None
        return cast("Kind", UNITS[self.unit].kind) if self.unit else "number"

    def __post_init__(self) -> None:
        if len(self.examples) == 1:
            object.__setattr__(self, "examples", 2 * self.examples)

    def of(self, kind: str) -> "Key":
        """The entry as it is for one kind of bow; of a kind not said, as it stands."""
        return replace(self, **self.of_kind.get(kind, {}))

    def is_of(self, kind: str) -> bool:
        """Whether a new sheet of a kind of bow asks for it; a kind not said is a compound's."""
        return not self.kinds or (kind or "compound") in self.kinds

    def attribute(self, word: str) -> str:
        """What it fills, under the name by which it is known."""
        if self.fills is not None:
            return self.fills
        return f"{word}_{_SI[self.kind]}" if self.kind in _SI else word

    def example(self, *, metric: bool) -> str:
        """An example in a person's units."""
        return self.examples[metric]

    @property
    def fitting_example(self) -> str:
        """The example in the unit of the limits."""
        fitting = [one for one in self.examples if self.unit in one.split()]
        return fitting[0] if fitting else self.examples[0]

    @property
    def span(self) -> str:
        """The limits in words."""
        return span_words(self.limits, self.unit) if self.limits else ""

    def list_example(self, entries: int | None = None) -> str:
        """A list as the sheet writes it, or its first entries."""
        return "[" + ", ".join(f'"{entry}"' for entry in self.listed[:entries]) + "]"

    def row_label(self, row: int) -> str:
        """Label of one line of a list, counted from 0."""
        labels = self.row_labels.split("|")
        return labels[row] if len(labels) > 1 else self.row_labels.format(row + 2)


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """One table of a rig sheet."""

    title: str  # what people read above its lines
    about: str = ""
    intro: str = ""  # what a new sheet says below its heading
    keys: dict[str, Key]
    most: int = 0  # how many there may be of a table that repeats; 0: one
    row: str = "reading"  # what each of them is
    faults_at: str = ""  # key beside which a form tells what is wrong with all of it


@dataclass(frozen=True, eq=False)  # known by itself: what follows from it can be remembered
class Declared:
    """A kind of sheet: all its tables with their keys."""

    what: str  # what people call it
    # Table → what is declared of it, in the order of the sheet; its own level's name is empty.
    tables: Mapping[str, Table]
    aloof: tuple[str, ...] = ()  # tables whose keys are everyday words, never offered as a mend

    @cached_property
    def keys(self) -> dict[str, Key]:
        """The same, key by key: ``bow.brace_height`` → its entry."""
        return {
            f"{name}.{word}".removeprefix("."): key
            for name, table in self.tables.items()
            for word, key in table.keys.items()
        }

    @cached_property
    def lists(self) -> dict[str, int]:
        """How many rows there may be of each table that repeats, and of each list."""
        tables = {name: table.most for name, table in self.tables.items() if table.most}
        return tables | {name: key.many[1] for name, key in self.keys.items() if key.many}


def span_words(ends: tuple[float, float], unit: str) -> str:
    """Two ends as people write them."""
    return f"{ends[0]:g} to {ends[1]:g} {unit}".rstrip()

"""Breaks: every place of a file where one small thing can be made wrong, and how.

Numbers, arithmetic, conditions and string methods are broken by mutmut's operators. Beside them
stand the breaks that hurt an archer: words and names of sides exchanged, a comparison turned
round, a sentence or a step left out.

Holds:  the Break record; all breaks of a source text; the text with one of them made.
Never:  running tests.
"""

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import libcst as cst
import libcst.matchers as m
from libcst.metadata import MetadataWrapper, ParentNodeProvider, PositionProvider
from mutmut.mutation.mutators import (
    operator_if_exp,
    operator_keywords,
    operator_name,
    operator_number,
    operator_remove_unary_ops,
    operator_swap_op,
    operator_symmetric_string_methods_swap,
)

RULES = 1  # one more whenever this file breaks otherwise: what is kept of it is then made anew
TURNED: dict[type, type] = {
    cst.LessThan: cst.GreaterThan,
    cst.LessThanEqual: cst.GreaterThanEqual,
    cst.GreaterThan: cst.LessThan,
    cst.GreaterThanEqual: cst.LessThanEqual,
}
EDGE: dict[type, type] = {
    cst.LessThan: cst.LessThanEqual,
    cst.LessThanEqual: cst.LessThan,
    cst.GreaterThan: cst.GreaterThanEqual,
    cst.GreaterThanEqual: cst.GreaterThan,
}
# Python's own words say nothing of a bow.
ORDINARY = {
    "kw_only", "frozen", "slots", "eq", "strict", "errors", "encoding", "ensure_ascii", "indent",
    "repr", "stacklevel", "allow_nan", "end", "flush", "exist_ok", "parents", "check_same_thread",
    "assume_sorted", "copy", "check_finite",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Break:
    """One wrong thing.

    Parameters
    ----------
    file : str
        Path from the root of the repository.
    line, column : int
        Where it begins, lines from 1.
    kind : str
        number, sign, arithmetic, condition, turned, edge, word, unit, name, left out, choice,
        method.
    number : int
        Which of the breaks of that file.
    before, after : str
        The piece of text, and what becomes of it.
    text : str
        The whole line as it stands, without its indentation.
    scope : str
        The function, class or name to which the line belongs; "" if none.
    """

    file: str
    line: int
    column: int
    kind: str
    number: int
    before: str
    after: str
    text: str
    scope: str

    @property
    def place(self) -> tuple[str, int, int, str]:
        """Breaks of one place are alternatives."""
        return self.file, self.line, self.column, self.before


class Finder(cst.CSTVisitor):
    """Collects pairs of a node and what it may become."""

    METADATA_DEPENDENCIES = (PositionProvider, ParentNodeProvider)

    def __init__(self, pairs: dict[str, list[tuple[str, str]]]) -> None:
        super().__init__()
        self.words = both_ways(pairs["words"])
        self.names = both_ways(pairs["names"])
        self.units = both_ways(pairs["units"])
        self.found: list[tuple[cst.CSTNode, cst.CSTNode, str, str]] = []
        self.scopes: list[str] = []
        self.known: list[set[str]] = []

    def on_visit(self, node: cst.CSTNode) -> bool:
        """Break a node, then look inside it."""
        if is_left_alone(node):
            return False
        if isinstance(node, cst.Module | cst.FunctionDef | cst.Lambda):
            inside = {one.value for one in m.findall(node, m.Name())}
            self.known.append(inside | (self.known[-1] if len(self.known) > 1 else set()))
        if isinstance(node, cst.FunctionDef | cst.ClassDef):
            self.scopes.append(node.name.value)
        for becomes, kind in self._breaks(node):
            self.found.append((node, becomes, kind, ".".join(self.scopes)))
        return True

    def on_leave(self, original_node: cst.CSTNode) -> None:
        """Leave the scope."""
        if is_left_alone(original_node):
            return
        if isinstance(original_node, cst.Module | cst.FunctionDef | cst.Lambda):
            self.known.pop()
        if isinstance(original_node, cst.FunctionDef | cst.ClassDef):
            self.scopes.pop()

    def _breaks(  # noqa: C901, PLR0912 — one case for each kind of node
        self, node: cst.CSTNode
    ) -> Iterator[tuple[cst.CSTNode, str]]:
        if isinstance(node, cst.Integer | cst.Float):
            yield from ((one, "number") for one in operator_number(node))
            value = node.evaluated_value
            if isinstance(node, cst.Float) and value:
                yield node.with_changes(value=repr(value * 1.25)), "number"
        elif isinstance(node, cst.UnaryOperation):
            if isinstance(node.operator, cst.Minus):
                yield node.expression, "sign"
            yield from ((one, "condition") for one in operator_remove_unary_ops(node))
        elif isinstance(node, cst.BinaryOperation | cst.AugAssign):
            signs = m.Add() | m.Subtract() | m.AddAssign() | m.SubtractAssign()
            kind = "sign" if m.matches(node.operator, signs) else "arithmetic"
            yield from ((one, kind) for one in operator_swap_op(node))
        elif isinstance(node, cst.BooleanOperation):
            yield from ((one, "condition") for one in operator_swap_op(node))
        elif isinstance(node, cst.ComparisonTarget):
            yield from self._compared(node)
        elif isinstance(node, cst.IfExp):
            yield from ((one, "choice") for one in operator_if_exp(node))
        elif isinstance(node, cst.Break | cst.Continue):
            yield from ((one, "condition") for one in operator_keywords(node))
        elif isinstance(node, cst.Call):
            swapped = operator_symmetric_string_methods_swap(node)
            yield from ((one, "method") for one in swapped)
        elif isinstance(node, cst.SimpleString):
            quote = node.prefix + node.quote
            for one, kind in self._worded(node.value[len(quote) : -len(node.quote)]):
                yield node.with_changes(value=f"{quote}{one}{node.quote}"), kind
        elif isinstance(node, cst.FormattedStringText):
            for one, kind in self._worded(node.value):
                yield node.with_changes(value=one), kind
        elif isinstance(node, cst.Name):
            yield from ((one, "condition") for one in operator_name(node))
            yield from self._named(node)
        elif isinstance(node, cst.SimpleStatementLine) and is_step(node):
            yield node.with_changes(body=[cst.Pass()]), "left out"

    def _compared(self, node: cst.ComparisonTarget) -> Iterator[tuple[cst.CSTNode, str]]:
        operator = node.operator
        if type(operator) in TURNED:
            yield node.with_changes(operator=TURNED[type(operator)]()), "turned"
            # An edge between floats is met by nobody; between counts it is met daily.
            whole = m.Integer() | m.Call(func=m.Name("len"))
            parent = self.get_metadata(ParentNodeProvider, node)
            sides = [node.comparator, getattr(parent, "left", None)]
            if any(one is not None and m.matches(one, whole) for one in sides):
                yield node.with_changes(operator=EDGE[type(operator)]()), "edge"
        elif isinstance(operator, cst.Equal | cst.NotEqual):
            yield from ((one, "condition") for one in operator_swap_op(node))
        else:
            for one in operator_keywords(operator):
                yield node.with_changes(operator=one), "condition"

    def _worded(self, text: str) -> Iterator[tuple[str, str]]:
        for unit, other in self.units:
            alone = (
                rf"^{re.escape(unit)}$|(?<=\(){re.escape(unit)}(?=\))|(?<=\d ){re.escape(unit)}$"
            )
            if re.search(alone, text):
                yield re.sub(alone, other, text, count=1), "unit"
        for word, other in self.words:
            alone = rf"(?<![A-Za-z]){re.escape(word)}(?![A-Za-z])"
            for hit in re.finditer(alone, text, re.IGNORECASE):
                new = other.capitalize() if hit[0][:1].isupper() and word[:1].islower() else other
                if word.islower() or hit[0] == word:
                    yield text[: hit.start()] + new + text[hit.end() :], "word"

    def _named(self, node: cst.Name) -> Iterator[tuple[cst.CSTNode, str]]:
        parent = self.get_metadata(ParentNodeProvider, node)
        bound = (
            m.FunctionDef() | m.ClassDef() | m.Param() | m.AssignTarget() | m.AnnAssign()
            | m.NameItem() | m.CompFor() | m.NamedExpr(target=node)
        )  # fmt: skip
        if m.matches(parent, bound):
            return
        if isinstance(parent, cst.Arg) and parent.keyword is node:
            return
        if isinstance(parent, cst.Element) and not is_read(self, parent):
            return
        everywhere = self.known[0]
        near = self.known[-1] | everywhere if isinstance(parent, cst.Attribute) else self.known[-1]
        for part, other in self.names:
            pieces = node.value.split("_")
            for place, piece in enumerate(pieces):
                if piece.casefold() == part:
                    told = other.upper() if piece.isupper() and len(piece) > 1 else other
                    new = "_".join([*pieces[:place], told, *pieces[place + 1 :]])
                    if new in near or new in {"min", "max", "ceil", "floor", "sin", "cos"}:
                        yield node.with_changes(value=new), "name"


def is_read(finder: Finder, node: cst.CSTNode) -> bool:
    """Whether an element of a tuple is read, not bound."""
    parent = finder.get_metadata(ParentNodeProvider, node)
    above = finder.get_metadata(ParentNodeProvider, parent)
    return not isinstance(above, cst.AssignTarget | cst.CompFor | cst.For)


def both_ways(pairs: Iterable[tuple[str, str]]) -> list[tuple[str, str]]:
    """Each pair and its reverse."""
    return [one for a, b in pairs for one in ((a, b), (b, a))]


def is_left_alone(node: cst.CSTNode) -> bool:
    """Whether nothing inside a node can be made wrong: annotations, imports, docstrings, types."""
    if isinstance(node, cst.Annotation | cst.Import | cst.ImportFrom | cst.Decorator | cst.Assert):
        return True
    if isinstance(node, cst.SimpleStatementLine):
        first = node.body[0]
        if isinstance(first, cst.Expr) and isinstance(first.value, cst.BaseString):
            return True
        if m.matches(first, m.Raise(exc=m.Call(func=m.Name("AssertionError")))):
            return True
    if isinstance(node, cst.Arg) and node.keyword and node.keyword.value in ORDINARY:
        return True
    names = m.Assign(targets=[m.AssignTarget(target=m.Name("__all__"))])
    kinds = m.Call(func=m.Name("cast")) | m.Subscript(value=m.Name("Literal"))
    return m.matches(node, m.If(test=m.Name("TYPE_CHECKING")) | names | kinds)


def is_step(node: cst.SimpleStatementLine) -> bool:
    """Whether a statement does something that could be forgotten."""
    steps = m.Expr(value=m.Call() | m.Yield()) | m.Raise() | m.AugAssign()
    return len(node.body) == 1 and m.matches(node.body[0], steps)


def find_breaks(
    file: str,
    source: str,
    pairs: dict[str, list[tuple[str, str]]],
    only: int | None = None,
) -> tuple[list[Break], str]:
    """All breaks of a file; and, if one is asked for, the text with that one made."""
    wrapper = MetadataWrapper(cst.parse_module(source), unsafe_skip_copy=True)
    finder = Finder(pairs)
    wrapper.visit(finder)
    positions = wrapper.resolve(PositionProvider)
    if only is not None:
        node, becomes, *_ = finder.found[only]
        return [], str(wrapper.module.deep_replace(node, becomes).code)  # type: ignore[arg-type]
    lines, code = source.splitlines(), wrapper.module.code_for_node
    found = []
    for number, (node, becomes, kind, scope) in enumerate(finder.found):
        at = positions[node].start
        before, after = code(node).strip(), code(becomes).strip()
        text = lines[at.line - 1].strip()
        found.append(Break(file, at.line, at.column, kind, number, before, after, text, scope))
    return found, ""

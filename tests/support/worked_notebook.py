"""Worked notebook: the cells of a page in Markdown, run as a notebook runs them.

Holds:  cells with what stands shown below them; what each prints.
Never:  what they should print.
"""

import ast
import contextlib
import io
import re

CELL = re.compile(r"```python\n(.*?)```(?:\n\n```text\n(.*?)```)?", re.DOTALL)


def ran(cell, names):
    """What a cell prints, its last value too."""
    tree, printed = ast.parse(cell), io.StringIO()
    last = tree.body.pop() if isinstance(tree.body[-1], ast.Expr) else None
    with contextlib.redirect_stdout(printed):
        exec(compile(tree, "cell", "exec"), names)  # noqa: S102 — our own page
        if last is not None:
            value = eval(compile(ast.Expression(last.value), "cell", "eval"), names)  # noqa: S307
            if value is not None:
                print(repr(value))  # noqa: T201 — as a notebook does
    return printed.getvalue()


def cells(page):
    """Each cell with what it prints and what is shown."""
    names = {"__name__": "__main__"}
    for cell, shown in CELL.findall(page):
        yield cell, ran(cell, names), shown

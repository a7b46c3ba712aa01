"""Build the map of docs/house.md from the imports of the source; ``--check`` only compares.

Holds:  which room calls which, its files and lines, as Markdown.
Never:  text written by hand, which way imports may go (the contract in pyproject.toml).
"""

import ast
import sys
import tomllib
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
SOURCE = ROOT / "src" / "tapewright"
PAGE = ROOT / "docs" / "house.md"
BEGIN, END = "<!-- map -->\n", "<!-- /map -->"


def floors() -> list[list[str]]:
    """Rooms from the top floor down, as the contract has them."""
    with (ROOT / "pyproject.toml").open("rb") as file:
        contracts = tomllib.load(file)["tool"]["importlinter"]["contracts"]
    layers = next(one["layers"] for one in contracts if one["type"] == "layers")
    return [[room.strip() for room in layer.split("|")] for layer in layers]


def called(path: Path) -> set[str]:
    """Rooms that a file imports from."""
    names = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("tapewright."):
            names.add(str(node.module).split(".")[1])
    return names


def files_of(room: str) -> list[Path]:
    """Files of a room, which may be a single file."""
    alone = SOURCE / f"{room}.py"
    return [alone] if alone.exists() else sorted((SOURCE / room).rglob("*.py"))


def card(room: str) -> str:
    """What a room says at its door."""
    alone = SOURCE / f"{room}.py"
    text = (alone if alone.exists() else SOURCE / room / "__init__.py").read_text(encoding="utf-8")
    return str(ast.get_docstring(ast.parse(text))).partition("\n")[0].partition(": ")[2].rstrip(".")


def house_map() -> str:
    """A row a room, from the top floor to the ground."""
    layers = floors()
    order = [room for layer in layers for room in layer]
    rows = ["| floor | room | what it is | files | calls |", "| ---: | --- | --- | ---: | --- |"]
    for floor, layer in zip(range(len(layers) - 1, -1, -1), layers, strict=True):
        for room in layer:
            files = files_of(room)
            calls = set().union(*map(called, files)) - {room}
            told = ", ".join(one for one in order if one in calls) or "nothing"
            rows.append(f"| {floor} | **{room}** | {card(room)} | {len(files)} | {told} |")
    return "\n".join(rows) + "\n"


def main() -> int:
    """Write or check."""
    text = PAGE.read_text(encoding="utf-8")
    before, rest = text.split(BEGIN)
    drawn, after = rest.split(END)
    fresh = house_map()
    if drawn == fresh:
        return 0
    if "--check" in sys.argv:
        print("docs/house.md is older than the imports: python builders/build_map.py")
        return 1
    PAGE.write_text(before + BEGIN + fresh + END + after, encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())

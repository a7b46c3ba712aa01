"""Each file says at its door what it holds and what it never holds."""

import ast
import re

SPECIAL = {
    "__main__.py": "Main",
    "api.py": "API",
    "svg.py": "SVG",
    "pdf.py": "PDF",
    "dxf.py": "DXF",
}


def card(path):
    return ast.get_docstring(ast.parse(path.read_text(encoding="utf-8")), clean=True) or ""


def test_a_room_opens_with_its_name(room):
    name, colon, claim = card(room).partition("\n")[0].partition(": ")
    assert colon, "no claim behind a name"
    assert len(claim) > 8
    wanted = SPECIAL.get(room.name, room.stem.replace("_", " ").capitalize())
    # "Wording of checks" may stand on wording_checking.py
    assert name.casefold().split()[0] == wanted.casefold().split()[0]


def test_a_room_says_what_it_holds_and_never_holds(room):
    text = card(room)
    for word in ("Holds", "Never"):
        assert re.search(rf"^{word}: +\S", text, re.MULTILINE), word
    assert text.index("Holds:") < text.index("Never:")
    if "\nSource:" in text:
        assert text.index("Never:") < text.index("Source:")


def test_every_folder_has_a_door_card_without_imports(house):
    for path in sorted((house / "src" / "tapewright").rglob("__init__.py")):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        allowed = (ast.Expr, ast.Assign) if path.parent.name == "tapewright" else (ast.Expr,)
        assert all(isinstance(one, allowed) for one in tree.body), path
        assert ast.get_docstring(tree), path
        if path.parent.name != "tapewright":
            assert "\n" not in ast.get_docstring(tree), path


def test_every_folder_of_code_is_a_room(house):
    for path in (house / "src" / "tapewright").rglob("*.py"):
        assert (path.parent / "__init__.py").exists(), path


def test_every_public_function_and_record_says_what_it_is_for(room):
    for node in ast.parse(room.read_text(encoding="utf-8")).body:
        if isinstance(node, ast.FunctionDef | ast.ClassDef) and not node.name.startswith("_"):
            assert ast.get_docstring(node), node.name


def test_no_file_is_far_too_long(room):
    # three hundred lines raise a question; half as many again answer it
    assert len(room.read_text(encoding="utf-8").splitlines()) <= 500

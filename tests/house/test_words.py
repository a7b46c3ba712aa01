"""Glossary words are used, forbidden ones are not; whatever is cited exists."""

import ast
import io
import re
import subprocess
import tokenize
from functools import cache

import pytest

FORBIDDEN_NAMES = {
    "utils", "util", "helpers", "helper", "common", "misc", "base", "manager", "processor",
    "handler", "data", "info", "params", "parameters", "model", "result", "results", "profile",
    "yardage", "sightmark", "stuff", "tmp", "foo",
}  # fmt: skip
FORBIDDEN_STARTS = ("do_", "process_", "handle_", "get_")
OTHERS = {"get_command", "get_help_record"}  # names that a library asks for
FORBIDDEN_WORDS = ("profile", "yardage", "sight marks app")
# Written apart, so that this file does not hold what it looks for.
NOWHERE = (
    "/wo" + "rk/", "/t" + "mp/", "sha" + "red/", "seed docu" + "ment", "pypi" + ".org",
    "files.pytho" + "nhosted", "npmjs" + ".", "crates" + ".io", "TO" + "DO",
)  # fmt: skip
MAY_NAME_FOLDERS = {"locks", ".ci"}
TAG = re.compile(r"\[([A-Z][A-Z0-9-]{2,})\]")
EQUATION = re.compile(r"\((\d+\.\d+[a-z]?)\)")


@cache  # each room is looked at by several tests
def names_of(text):
    """Every name that a file gives to something, in snake case."""
    return frozenset(names_in(ast.parse(text)))


def names_in(tree):
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef | ast.ClassDef):
            yield node.name
            foreign = node.name.startswith("__")  # another library chose its arguments' names
            if isinstance(node, ast.FunctionDef) and not foreign:
                yield from (one.arg for one in (*node.args.args, *node.args.kwonlyargs))
        elif isinstance(node, ast.Name) and isinstance(node.ctx, ast.Store):
            yield node.id
        elif isinstance(node, ast.alias) and node.asname:
            yield node.asname


def prose_of(text):
    """Docstrings, comments and sentences of a file: what people read."""
    tokens = tokenize.generate_tokens(io.StringIO(text).readline)
    wanted = (tokenize.STRING, tokenize.COMMENT, getattr(tokenize, "FSTRING_MIDDLE", -1))
    return "\n".join(token.string for token in tokens if token.type in wanted)


@cache
def explanations_of(text):
    """Docstrings and comments of a file: where sources are cited."""
    tokens = tokenize.generate_tokens(io.StringIO(text).readline)
    comments = [token.string for token in tokens if token.type == tokenize.COMMENT]
    kinds = ast.Module | ast.ClassDef | ast.FunctionDef
    nodes = [node for node in ast.walk(ast.parse(text)) if isinstance(node, kinds)]
    return "\n".join([*comments, *(ast.get_docstring(node) or "" for node in nodes)])


@cache
def document(house, name):
    return (house / "docs" / name).read_text(encoding="utf-8")


def tracked(house):
    listed = subprocess.run(
        ["git", "ls-files", "--cached", "--others", "--exclude-standard"],
        cwd=house, capture_output=True, text=True, check=False,
    )  # fmt: skip
    if listed.returncode:
        pytest.skip("not a git repository")
    return [house / name for name in listed.stdout.splitlines() if (house / name).is_file()]


def test_no_room_has_a_name_that_says_nothing(room):
    assert not set(room.stem.split("_")) & FORBIDDEN_NAMES
    inside = room.parts[-room.parts[::-1].index("tapewright") :]  # whatever folder it lies in
    assert not set(inside) & FORBIDDEN_NAMES


def test_nothing_is_called_by_a_name_that_says_nothing(room):
    found = set()
    for name in names_of(room.read_text(encoding="utf-8")):
        snake = re.sub(r"(?<=[a-z])(?=[A-Z])", "_", name).casefold().strip("_")
        if name.startswith("__") or name in OTHERS:
            continue
        if snake in FORBIDDEN_NAMES or snake.startswith(FORBIDDEN_STARTS):
            found.add(name)
    assert not found


def test_forbidden_words_are_not_written(room):
    prose = prose_of(room.read_text(encoding="utf-8")).casefold()
    assert not [word for word in FORBIDDEN_WORDS if re.search(rf"\b{word}", prose)]


def test_a_distance_is_never_called_a_range(room):
    names = names_of(room.read_text(encoding="utf-8"))
    assert not {name for name in names if re.search(r"(^|_)range_(m|yd|mm)$", name)}
    assert not {name for name in names if name in {"setting", "settings_mm", "setting_m"}}


def test_no_file_names_a_place_outside_the_house(house):
    found = []
    for path in tracked(house):
        if path.relative_to(house).parts[0] in MAY_NAME_FOLDERS or path.suffix in {".ttf", ".png"}:
            continue
        text = path.read_text(encoding="utf-8", errors="ignore")
        found += [(str(path.relative_to(house)), word) for word in NOWHERE if word in text]
    assert not found


def test_every_source_cited_is_in_the_bibliography(house, room):
    known = set(TAG.findall(document(house, "sources.md")))
    text = room.read_text(encoding="utf-8")
    cited = set(TAG.findall(explanations_of(text)))
    assert cited <= known


def test_every_equation_cited_is_written_down(house, room):
    known = set(EQUATION.findall(document(house, "physics.md")))
    prose = explanations_of(room.read_text(encoding="utf-8"))
    cited = set()
    for sentence in re.findall(r"[Ee]qs?\. ?\(\d.*", prose):
        cited |= set(EQUATION.findall(sentence))
    assert cited <= known


def test_every_document_pointed_to_exists(house):
    found = []
    for path in tracked(house):
        if path.suffix in {".py", ".md", ".toml"}:
            text = path.read_text(encoding="utf-8")
            pointed = re.findall(r"\bdocs/[a-z-]+\.md|\bbuilders/[a-z_]+\.(?:py|sh)", text)
            found += [(path.name, one) for one in pointed if not (house / one).exists()]
    assert not found


def test_the_looking_itself_sees(tmp_path):
    # a test that looks for words must find them when they are there
    line = 'def get_model(params, range_m):\n    """See [NOWHERE99], eq. (99.9)."""\n'
    assert {"get_model", "params", "range_m"} <= names_of(line)
    assert TAG.findall(explanations_of(line)) == ["NOWHERE99"]
    assert EQUATION.findall(explanations_of(line)) == ["99.9"]
    assert tmp_path.exists()

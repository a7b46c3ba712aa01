# ruff: noqa: E501 — a page is laid out as it is read
"""Licences: of what is handed on, as docs/program-parts.md; ``--check`` compares.

What is handed on: our own package with the fonts and scripts that lie in it, and in the program
without Python (builders/build_program.py) every package of its locks, Python itself, the libraries
of the system that built it, and the packer's own loader.  Each has its licence's text beside it;
what has none stops the build.

Holds:  the texts of one package; which packages the program without Python takes; the page.
Never:  texts of licences: each stands with what it is for.
"""

import re
import sys
import tomllib
from importlib import metadata
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
PAGE = ROOT / "docs" / "program-parts.md"
PACKED = ("run", "with-photo", "with-pictures", "with-engrave")  # locks: an archer's, none a shop's
TEXTS = re.compile(r"licen[cs]e|copying|notice|authors", re.IGNORECASE)
# In the locks to build with; nothing of them is handed on.
TOOLS = (
    "editables",
    "hatchling",
    "packaging",
    "pathspec",
    "pluggy",
    "tomlkit",
    "trove-classifiers",
)
SHORT = (("MIT License", "MIT"), ("BSD License", "BSD"), ("Apache Software License", "Apache-2.0"),
         ("Python Software Foundation License", "PSF"))  # fmt: skip
HEAD = """\
# What the program is made of, and its licences

Tapewright is under the MIT licence ([LICENSE](../LICENSE)). This page is made by `python builders/build_licences.py` from what is installed;
nothing here is legal advice.

**In the wheel**, and in whatever is made of it:

| part | licence | its text |
| --- | --- | --- |
"""
MIDDLE = """
**In the program without Python** beside these (its folder `licences` holds every text; a part without one stops
`builders/build_program.py`): Python (PSF-2.0); of the system that packed it OpenSSL, SQLite, libffi, zlib, bzip2, xz, expat, util-linux's
libuuid and GCC's own libraries, each under the text its system gives; the packer's own loader, PyInstaller's, under the GNU General
Public License with an exception that lets programs of any licence be packed with it; and these packages:

| package | licence, as it says itself |
| --- | --- |
"""
OURS = (
    ("DejaVu Sans Condensed, cut down; its outlines; figures drawn from it", "Bitstream Vera, with public domain",
     "src/tapewright/drawing/fonts/LICENSE-DejaVu.txt"),
    ("htmx, in the pages", "0BSD", "src/tapewright/faces/web/static/vendor/LICENSE-htmx.txt"),
    ("uqr, which draws codes", "MIT", "src/tapewright/faces/web/static/vendor/LICENSE-uqr.txt"),
)  # fmt: skip


def texts_of(package: metadata.Distribution) -> dict[str, bytes]:
    """Every text on rights that a package was installed with."""
    return {
        str(file).replace("/", "_"): Path(str(file.locate())).read_bytes()
        for file in package.files or ()
        if TEXTS.search(file.name) and file.suffix not in {".py", ".pyc"}
    }


def said_by(package: metadata.Distribution) -> str:
    """The licence as a package's own description has it."""
    told = package.metadata
    classes = [one.split(" :: ")[-1] for one in told.get_all("Classifier", []) if "License" in one]
    words = told.get("License-Expression") or " ".join(classes) or told.get("License") or ""
    return next((short for long, short in SHORT if long in words), words.partition("\n")[0])


def packed_names() -> list[str]:
    """Packages that the program without Python is made of."""
    names = set()
    for lock in PACKED:
        text = (ROOT / "locks" / f"{lock}.lock").read_text(encoding="utf-8")
        names |= set(re.findall(r"^([a-z0-9][\w.-]*)==", text, re.MULTILINE))
    return sorted(names - set(TOOLS))


def page() -> str:
    """The page, as it should stand."""
    rows = [f"| {part} | {licence} | `{text}` |\n" for part, licence, text in OURS]
    packages = []
    for name in packed_names():
        try:
            package = metadata.distribution(name)
        except metadata.PackageNotFoundError:
            packages.append(f"| {name} | only on other systems: its own words |\n")
            continue
        if not texts_of(package):
            raise SystemExit(f"{name} has no text of its licence with it.")
        packages.append(f"| {name} | {said_by(package)} |\n")
    return HEAD + "".join(rows) + MIDDLE + "".join(packages)


def declared() -> set[str]:
    """Texts that the wheel names as its licences."""
    with (ROOT / "pyproject.toml").open("rb") as file:
        patterns = tomllib.load(file)["project"]["license-files"]
    return {str(one.relative_to(ROOT)) for pattern in patterns for one in ROOT.glob(pattern)}


def main() -> None:
    """Write the page, or compare it."""
    text = page()
    if sys.argv[1:] == ["--check"]:
        if PAGE.read_text(encoding="utf-8") != text:
            raise SystemExit(
                "docs/program-parts.md is not up to date: python builders/build_licences.py"
            )
        return
    PAGE.write_text(text, encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main()

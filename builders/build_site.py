"""Build the documents as a site that needs no server and no network.

``python builders/build_site.py [FOLDER]`` makes README its first page and puts the pages of docs/
into five sections.  What is wrong stops it: a link that leads nowhere, be it to a heading, a page
that no section names, a picture that is not there.

Holds:  which page stands in which section; how README, changelog and docs/ become one folder.
Never:  words of a page; anything loaded from elsewhere.
"""

import re
import shutil
import sys
import tempfile
from fnmatch import fnmatch
from pathlib import Path

HOUSE = Path(__file__).resolve().parents[1]
# Patterns of names, in their order: one that fits no page is no fault, a page that none fits is.
SECTIONS = {
    "Start": "two-commands three-steps in-pictures demo",
    "How to": """first-tape print-and-stick on-the-range in-the-field web-app notebook many-bows
        house-values set-up deploy* serve* container* upgrade*""",
    "Reference": """command-line rig-sheet shots tape-record json http-api python* *policy*
        carried-rig hand-over glossary""",
    "Why": """physics diagnosis accuracy reliability sources design house contributing vision
        changelog""",
    "Trouble": "printing your-sight refusals install* machine* *program* release* questions",
}
OUTSIDE = {  # name in the project: name in the site
    "README.md": "index.md",
    "CHANGELOG.md": "changelog.md",
    "CONTRIBUTING.md": "contributing.md",
    "VISION.md": "vision.md",
}
LINK = re.compile(r"(\]\(|src=\")(?:\.\./|docs/)?([^)\s\"]+)")
SETTINGS = {
    "project": "Tapewright",
    "html_title": "Tapewright",
    "html_theme": "furo",
    "html_theme_options": {
        "light_css_variables": {"color-brand-primary": "#0f4c45", "color-brand-content": "#0f4c45"},
        "dark_css_variables": {"color-brand-primary": "#8fd3c8", "color-brand-content": "#8fd3c8"},
    },
    "extensions": ["myst_parser"],
    "myst_heading_anchors": 4,
    "myst_enable_extensions": ["html_image"],
    "html_show_search_summary": False,  # it would read files, which needs a server
    "html_copy_source": False,
    "html_show_sourcelink": False,
    "html_show_copyright": False,
    "html_show_sphinx": False,
    "html_static_path": [str(HOUSE / "builders" / "site")],
    "html_css_files": ["site.css"],
    "html_favicon": str(HOUSE / "src/tapewright/faces/web/static/icon.svg"),
    "highlight_language": "none",  # a block without a language is typed or shown, no Python
    "pygments_style": "bw",
    "smartquotes": False,
}


def moved(text: str) -> str:
    """A page's text with its links as they are in the site, where all pages lie in one folder."""

    def there(found: re.Match[str]) -> str:
        path, hash_, anchor = found[2].partition("#")
        return found[1] + OUTSIDE.get(path, path) + hash_ + anchor

    return LINK.sub(there, text)


def contents(names: set[str]) -> str:
    """The navigation; every page has its place."""
    left, trees = set(names), []
    for title, patterns in SECTIONS.items():
        found = [one for want in patterns.split() for one in sorted(left) if fnmatch(one, want)]
        found = list(dict.fromkeys(found))  # a page may fit two patterns
        left -= set(found)
        pages = "\n".join(found)
        trees.append(f"```{{toctree}}\n:hidden:\n:caption: {title}\n\n{pages}\n```\n")
    if left:
        raise SystemExit(f"No section of builders/build_site.py names {', '.join(sorted(left))}.")
    return "\n" + "\n".join(trees)


def gather(folder: Path) -> None:
    """README, changelog and the pages of docs/ in one folder, and what files they link to."""
    pages_alone = shutil.ignore_patterns("*.md")
    shutil.copytree(HOUSE / "docs", folder, ignore=pages_alone, dirs_exist_ok=True)
    pages = {path.name: path for path in (HOUSE / "docs").glob("*.md")}
    pages |= {name: HOUSE / there for there, name in OUTSIDE.items()}
    menu = contents({name.removesuffix(".md") for name in pages} - {"index"})
    for name, path in pages.items():
        text = moved(path.read_text(encoding="utf-8"))
        (folder / name).write_text(text + menu * (name == "index.md"), encoding="utf-8")
        for found in LINK.finditer(text):
            if (HOUSE / found[2]).is_file():  # such as a file for servers, to be taken from there
                (folder / found[2]).parent.mkdir(parents=True, exist_ok=True)
                shutil.copy(HOUSE / found[2], folder / found[2])


def build(target: Path) -> int:
    """The site in a folder; what is wrong is said, and the status tells."""
    from sphinx.application import Sphinx  # noqa: PLC0415 — nothing else here needs it

    with tempfile.TemporaryDirectory() as kept:
        source = Path(kept) / "docs"
        source.mkdir()
        gather(source)
        site = Sphinx(
            source, None, target, Path(kept) / "trees", "html", SETTINGS,
            status=None, warning=sys.stderr, warningiserror=True,
        )  # fmt: skip
        site.build()
    return site.statuscode


if __name__ == "__main__":
    sys.exit(build(Path(sys.argv[1] if len(sys.argv) > 1 else "site").resolve()))

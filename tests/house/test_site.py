"""The documents as a site: strict, searched without a server, and nothing in it from elsewhere."""

import json
import re
import subprocess
import sys

import pytest
from browser import PHONE, open_browser

FIRST = "# First\n\nSee [how](docs/glossary.md#a-heading) and [what changed](CHANGELOG.md).\n"
THERE = "# There\n\n## A heading\n\nBack to [the first](../README.md).\n"


@pytest.fixture(scope="module")
def site(house, tmp_path_factory):
    """The site as a person builds it."""
    target = tmp_path_factory.mktemp("site")
    built = subprocess.run(
        [sys.executable, "builders/build_site.py", str(target)],
        cwd=house, capture_output=True, text=True, check=False, timeout=300,
    )  # fmt: skip
    assert built.returncode == 0, built.stderr
    return target


def test_every_page_is_built_and_stands_in_the_navigation(house, site):
    first = (site / "index.html").read_text(encoding="utf-8")
    for page in (house / "docs").glob("*.md"):
        assert f'href="{page.stem}.html"' in first, page.name
    for caption in ("Start", "How to", "Reference", "Why", "Trouble"):
        assert f"{caption}</span>" in first


def test_nothing_in_it_comes_from_another_host(site):
    """Neither script nor style, picture or font; links that a person may follow are no such."""
    loaded = re.compile(r"<(?:script|img|link|iframe|source)\b[^>]*?(?:src|href)=\"([^\"]+)\"")
    for page in site.glob("*.html"):
        assert not [one for one in loaded.findall(page.read_text(encoding="utf-8")) if "//" in one]
    for style in site.rglob("*.css"):
        text = style.read_text(encoding="utf-8")
        assert not re.search(r"(?:@import|url\()\s*['\"]?(?:https?:)?//", text), style.name


def test_words_are_found_in_a_folder_without_a_server(site):
    with open_browser() as browser:
        context = browser.new_context(viewport=PHONE, offline=True)
        page, asked = context.new_page(), []
        page.on("request", lambda one: asked.append(one.url))
        page.goto((site / "search.html").as_uri() + "?q=gauge")
        page.locator('ul.search li a[href*="your-sight.html"]').first.wait_for()
        assert not [one for one in asked if not one.startswith(("file:", "data:"))]
        page.goto((site / "in-pictures.html").as_uri())
        assert page.evaluate("document.documentElement.scrollWidth") == 390
        seen = "[...document.images].filter((one) => !one.closest('table'))"
        page.evaluate(f"{seen}.forEach((one) => {{ one.loading = 'eager'; }})")
        page.wait_for_function(f"{seen}.every((one) => one.naturalWidth > 0)")
        context.close()


WRONG = FIRST.replace("glossary.md#", "nowhere.md#") + (
    "\n[Another](docs/glossary.md#another)\n\n![A strip](docs/pictures/none.png)\n"
)


@pytest.mark.parametrize(
    ("text", "told"), [(FIRST, ()), (WRONG, ("nowhere.md", "'another'", "none.png"))],
    ids=["sound", "no page, no heading, no picture"],
)  # fmt: skip
def test_a_link_that_leads_nowhere_stops_it(house, tmp_path, text, told):
    pages = {"README.md": text, "docs/glossary.md": THERE}
    pages |= {f"{name}.md": f"# {name}\n" for name in ("CHANGELOG", "CONTRIBUTING", "VISION")}
    (tmp_path / "docs" / "pictures").mkdir(parents=True)
    for name, words in pages.items():
        (tmp_path / name).write_text(words, encoding="utf-8")
    code = (
        "import pathlib, sys; sys.path.insert(0, 'builders'); import build_site as it\n"
        f"it.HOUSE = pathlib.Path({str(tmp_path)!r})\n"
        "it.SETTINGS |= {'html_theme': 'basic', 'html_theme_options': {}}\n"
        f"sys.exit(it.build(it.HOUSE / 'site'))\n"
    )
    built = subprocess.run(
        [sys.executable, "-c", code], cwd=house, capture_output=True, text=True, check=False,
        timeout=120,
    )  # fmt: skip
    assert (built.returncode != 0) == bool(told), built.stderr
    assert all(one in built.stderr for one in told)


def test_a_page_that_no_section_names_is_told(house):
    code = (
        "import sys; sys.path.insert(0, 'builders'); import build_site as it\n"
        "it.contents({'physics', 'a-new-page'})\n"
    )
    told = subprocess.run(
        [sys.executable, "-c", code], cwd=house, capture_output=True, text=True, check=False,
        timeout=60,
    )  # fmt: skip
    assert told.returncode == 1
    assert "names a-new-page." in told.stderr


SHOWN = """\
# A page

```console
$ tapewright hold mybow.toml shots.csv --size "8 in" --imperial
WRONG
```

Type `tapewright fit mybow.toml shots.csv --no-such-option`, then `tapewright frobnicate it`,
or `tapewright slopes lost.toml shots.csv`; not `tapewright wind RIG.toml` nor `tapewright fit …`.

<!-- answer: tapewright hold mybow.toml shots.csv --size "8 in" --json -->
```json
{}
```
"""


def test_what_a_page_shows_of_the_program_is_run(house, tmp_path):
    """What is stale, misspelt or refused is named; what is written anew passes."""
    (tmp_path / "page.md").write_text(SHOWN, encoding="utf-8")
    code = (
        "import pathlib, sys; sys.path.insert(0, 'builders'); import build_shown as it\n"
        f"it.PAGES = (pathlib.Path({str(tmp_path / 'page.md')!r}),)\n"
        "sys.argv.append('--check'); print('STATUS', it.main())\n"
        "sys.argv.pop(); it.main(); text = it.PAGES[0].read_text()\n"
        "text = text[:text.index('Type')] + text[text.index('<!--'):]\n"
        "it.PAGES[0].write_text(text); sys.argv.append('--check'); print('STATUS', it.main())\n"
    )
    told = subprocess.run(
        [sys.executable, "-c", code], cwd=house, capture_output=True, text=True, check=False,
        timeout=120,
    )  # fmt: skip
    assert re.findall(r"STATUS (\w+)", told.stdout) == ["True", "False"], told.stdout + told.stderr
    for words in (
        "another run", "another answer", "fit has no option --no-such-option",
        "there is no command frobnicate", "lost.toml: there is no such file",
    ):  # fmt: skip
        assert words in told.stdout
    text = (tmp_path / "page.md").read_text(encoding="utf-8")
    assert "WRONG" not in text
    answer = json.loads(re.search(r"```json\n(.*?)```", text, re.DOTALL)[1])
    assert answer["schema"].startswith("tapewright.hold/")

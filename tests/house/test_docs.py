"""Whatever a person can type, read or import is described, and the description is not stale."""

import importlib
import json
import re
import subprocess
import sys
from importlib.resources import files

import pytest
from click.testing import CliRunner
from every_command import every_command

from tapewright.faces.cli.commands import main
from tapewright.reading.csv_columns import COUNTS, MEASURES, WORDS
from tapewright.reading.rig_sheet_fields import TABLES


@pytest.fixture(scope="module")
def page(house):
    return (house / "docs" / "command-line.md").read_text(encoding="utf-8")


def quoted_in(text):
    return set(re.findall(r"`([^`\n]+)`", text))


def test_the_reference_is_as_the_help_has_it(house):
    told = subprocess.run(
        [sys.executable, "builders/build_reference.py", "--check"],
        cwd=house, capture_output=True, text=True, check=False, timeout=60,
    )  # fmt: skip
    assert told.returncode == 0, told.stdout + told.stderr


@pytest.mark.parametrize("name", sorted(every_command()))
def test_every_command_and_option_is_described(name, page):
    section = page.split(f"\n### {name}\n")[1].split("\n### ")[0]
    for option in every_command()[name].params:
        if option.param_type_name == "option" and not option.hidden:
            assert max(option.opts, key=len) in section
            assert option.help or option.name in {"paper", "hand"}, f"{option.name} has no help"
    assert every_command()[name].help


def test_the_builder_sees_a_stale_page(house, tmp_path):
    code = (
        "import pathlib, sys; sys.path.insert(0, 'builders'); import build_reference as it\n"
        f"it.PAGES = (pathlib.Path({str(tmp_path / 'page.md')!r}),)\n"
        "it.PAGES[0].write_text(it.BEGIN + 'old' + it.END + ' rest')\n"
        "sys.argv.append('--check'); first = it.main()\n"
        "sys.argv.pop(); it.main(); sys.argv.append('--check'); print(first, it.main())\n"
        "assert it.PAGES[0].read_text().endswith(' rest')\n"
    )
    told = subprocess.run(
        [sys.executable, "-c", code], cwd=house, capture_output=True, text=True, check=False,
        timeout=60,
    )  # fmt: skip
    assert told.stdout.split()[-2:] == ["1", "0"], told.stdout + told.stderr


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table or "top")
def test_every_key_of_a_rig_sheet_is_described(table, house):
    described = quoted_in((house / "docs" / "rig-sheet.md").read_text(encoding="utf-8"))
    assert set(TABLES[table].keys) <= described


def test_every_column_of_shots_is_described(house):
    described = quoted_in((house / "docs" / "shots.md").read_text(encoding="utf-8"))
    assert {*MEASURES, *COUNTS, *WORDS} <= described


def test_every_key_of_the_answer_is_described(house):
    page = (house / "docs" / "json.md").read_text(encoding="utf-8")
    described = quoted_in(page.split("\n### fit\n")[1].split("\n### ")[0])
    sample = files("tapewright.faces") / "sample"
    sheet, shots = str(sample / "heron.toml"), str(sample / "heron-shots.csv")
    done = CliRunner().invoke(main, ["fit", sheet, shots, "--json", "--fixed-pins", "20,40yd"])
    found = set()

    def collect(value):
        if isinstance(value, dict):
            found.update(value)
            for inner in value.values():
                collect(inner)
        elif isinstance(value, list):
            for inner in value:
                collect(inner)

    collect(json.loads(done.stdout))
    numbered = {re.sub(r"pin_\d+_below_first", "pin_2_below_first", key) for key in found}
    assert numbered <= described


def test_exit_statuses_and_completion_are_described(page):
    assert "_TAPEWRIGHT_COMPLETE=bash_source tapewright" in page
    assert re.search(r"\| 0 \|", page)
    assert re.search(r"\| 2 \|", page)


def test_completion_works_as_described():
    done = subprocess.run(
        [sys.executable, "-c",
         "from tapewright.faces.cli.commands import main; main(prog_name='tapewright')"],
        capture_output=True, text=True, check=False, timeout=60,
        env={"_TAPEWRIGHT_COMPLETE": "zsh_source", "PYTHONPATH": ":".join(sys.path)},
    )  # fmt: skip
    assert "compdef" in done.stdout


def test_every_public_name_of_the_front_door_is_described(house):
    api = importlib.import_module("tapewright.api")
    described = (house / "docs" / "python-api.md").read_text(encoding="utf-8")
    assert 0 < len(api.__all__) <= 32
    for name in api.__all__:
        assert re.search(rf"`{name}[`(]", described), name
        assert hasattr(api, name)


def test_the_front_door_defines_nothing(house):
    text = (house / "src" / "tapewright" / "api.py").read_text(encoding="utf-8")
    defined = re.findall(r"^(?:def|class) (\w+)", text, re.MULTILINE)
    assert defined == ["__getattr__", "__dir__"]  # how a name is found


def test_examples_of_the_python_page_run(house, tmp_path, monkeypatch):
    page = (house / "docs" / "python-api.md").read_text(encoding="utf-8")
    sample = files("tapewright.faces") / "sample"
    for name in ("heron.toml", "heron-shots.csv"):
        (tmp_path / name).write_text((sample / name).read_text(encoding="utf-8"), encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    blocks = re.findall(r"```python\n(.*?)```", page, re.DOTALL)
    assert blocks
    exec("\n".join(blocks), {})  # noqa: S102 — our own page


def test_every_word_of_the_json_is_in_the_glossary(house):
    glossary = (house / "docs" / "glossary.md").read_text(encoding="utf-8")
    for word in (
        "band",
        "mark",
        "surprise",
        "wobble",
        "dispersion",
        "trusted distance",
        "check length",
    ):
        assert f"| {word}" in glossary

"""./test ends well only if everything in it did: each step is made to fail, one at a time.

The script is ours; all that it calls is invented.
"""

import os
import shutil
import subprocess

import pytest

TOOLS = ("ruff", "mypy", "lint-imports", "pytest", "python")
OF_CODE = ("ruff format", "ruff check", "mypy", "lint-imports", "pytest")
OF_DOCUMENTS = ("reference", "map", "confusion", "shown", "pictures", "accuracy")
TOOL = '#!/bin/sh\ncase "{tool} $*" in *"$BROKEN"*) echo "{tool} found it"; exit 1 ;; esac\n'


@pytest.fixture(scope="module")
def clone(house, tmp_path_factory):
    folder = tmp_path_factory.mktemp("clone")
    shutil.copy(house / "test", folder)
    (folder / "builders").mkdir()
    (folder / "builders" / "venv.sh").write_text('say() { echo "$*" >&2; }\nready() { :; }\n')
    (folder / "builders" / "machine.sh").touch()
    tools = folder / ".venv" / "bin"
    tools.mkdir(parents=True)
    for tool in TOOLS:
        (tools / tool).write_text(TOOL.format(tool=tool))
        (tools / tool).chmod(0o755)
    return folder


def ended(clone, broken, *words):
    return subprocess.run(
        ["./test", *words], cwd=clone, capture_output=True, text=True, check=False, timeout=60,
        env={"PATH": os.defpath, "BROKEN": broken},
    )  # fmt: skip


@pytest.mark.parametrize("broken", OF_CODE + OF_DOCUMENTS)
def test_a_step_that_fails_fails_it_all(clone, broken):
    told = ended(clone, broken)
    assert told.returncode == 1
    assert "found it" in told.stdout + told.stderr


@pytest.mark.parametrize("broken", OF_CODE)
def test_so_it_does_in_the_quick_one(clone, broken):
    assert ended(clone, broken, "--quick").returncode == 1


def test_where_nothing_fails_both_end_well(clone):
    assert [ended(clone, "nothing", *words).returncode for words in ((), ("--quick",))] == [0, 0]

"""The Tab key: click's own protocol for three shells, and the shells themselves where they are."""

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

LONGEST_S = 60  # for one shell; a second where nothing else runs
PROGRAM = "from tapewright.faces.cli.commands import main; main(prog_name='tapewright')"
PAGE = Path(__file__).parents[3] / "docs" / "command-line.md"
# What a person who presses Tab behind "tapewright ta" or "tapewright tape --whe" would see.
ASKED = {
    "bash": """
        source ~/.bashrc; complete -p tapewright
        COMP_WORDS=(tapewright {words}); COMP_CWORD={place}
        _tapewright_completion tapewright; echo "${{COMPREPLY[@]}}"
    """,
    "zsh": """
        source ~/.zshrc
        [ "$_comps[tapewright]" = _tapewright_completion ] || exit 3
        compadd() {{ print -l -- $@ ${{(P)2}}; }}
        _describe() {{ print -l -- ${{(P)3}} ${{(P)2}}; }}
        words=(tapewright {words}); CURRENT=$(( {place} + 1 )); _tapewright_completion
    """,
    "fish": 'complete -C "tapewright {words}"',
}
FLAGS = {"bash": ("--norc", "-c"), "zsh": ("-f", "-c"), "fish": ("-c",)}


@pytest.fixture
def shell_in(tmp_path):
    """A shell that finds the program by its name and reads nothing of its owner's."""
    program = tmp_path / "bin" / "tapewright"
    program.parent.mkdir()
    program.write_text(
        f'#!/bin/sh\nexec "{sys.executable}" -c "{PROGRAM}" "$@"\n', encoding="utf-8"
    )
    program.chmod(0o755)
    env = {
        "HOME": str(tmp_path), "PATH": f"{program.parent}{os.pathsep}{os.defpath}",
        "PYTHONPATH": os.pathsep.join(sys.path), "TERM": "dumb",
    }  # fmt: skip

    def ask(*words, **more):
        return subprocess.run(
            words, env=env | more, cwd=tmp_path, capture_output=True, text=True, check=False,
            timeout=LONGEST_S, stdin=subprocess.DEVNULL,
        )  # fmt: skip

    return ask


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_the_program_gives_a_shell_what_it_evaluates(shell_in, shell):
    done = shell_in("tapewright", _TAPEWRIGHT_COMPLETE=f"{shell}_source")
    assert done.returncode == 0, done.stderr
    assert f"_TAPEWRIGHT_COMPLETE={shell}_complete" in done.stdout


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_the_page_s_line_lets_a_shell_complete_commands_and_options(shell_in, shell):
    if not shutil.which(shell):
        pytest.skip(f"{shell} is missing. Install it with: sudo apt-get install {shell}")
    (line,) = re.findall(
        rf"^\| {shell} \| `(.*)` \|$", PAGE.read_text(encoding="utf-8"), re.MULTILINE
    )
    done = shell_in(shell, *FLAGS[shell], line.replace(r"\|", "|"))
    assert (done.returncode, done.stderr) == (0, "")
    for words, place, wanted in (("ta", 1, "tape"), ("tape --whe", 2, "--wheel")):
        done = shell_in(shell, *FLAGS[shell], ASKED[shell].format(words=words, place=place))
        assert wanted in re.split(r"[\s:]+", done.stdout), done.stdout + done.stderr
        assert "stuck" not in done.stdout

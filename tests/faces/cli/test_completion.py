"""The Tab key: click's own protocol for three shells, and the shells themselves where they are."""

import os
import re
import shutil
import subprocess
import sys

import pytest

LONGEST_S = 60  # for one shell; a second where nothing else runs
PROGRAM = "from tapewright.faces.cli.commands import main; main(prog_name='tapewright')"
# What a person who presses Tab behind "tapewright ta" or "tapewright tape --whe" would see.
ASKED = {
    "bash": """
        eval "$(_TAPEWRIGHT_COMPLETE=bash_source tapewright)"
        complete -p tapewright
        COMP_WORDS=(tapewright {words}); COMP_CWORD={place}
        _tapewright_completion tapewright; echo "${{COMPREPLY[@]}}"
    """,
    "zsh": """
        autoload -Uz compinit; compinit -u -D
        eval "$(_TAPEWRIGHT_COMPLETE=zsh_source tapewright)"
        [ "$_comps[tapewright]" = _tapewright_completion ] || exit 3
        compadd() {{ print -l -- $@ ${{(P)2}}; }}; _describe() {{ print -l -- ${{(P)3}} ${{(P)2}}; }}
        words=(tapewright {words}); CURRENT=$(( {place} + 1 )); _tapewright_completion
    """,
    "fish": """
        _TAPEWRIGHT_COMPLETE=fish_source tapewright | source
        complete -C "tapewright {words}"
    """,
}


@pytest.fixture
def shell_in(tmp_path):
    """A shell that finds the program by its name and reads nothing of its owner's."""
    program = tmp_path / "bin" / "tapewright"
    program.parent.mkdir()
    program.write_text(f'#!/bin/sh\nexec "{sys.executable}" -c "{PROGRAM}" "$@"\n', encoding="utf-8")
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
def test_a_shell_completes_a_command_and_an_option(shell_in, shell):
    if not shutil.which(shell):
        pytest.skip(f"{shell} is missing. Install it with: sudo apt-get install {shell}")
    flags = {"bash": ("--norc", "-c"), "zsh": ("-f", "-c"), "fish": ("--no-config", "-c")}[shell]
    for words, place, wanted in (("ta", 1, "tape"), ("tape --whe", 2, "--wheel")):
        done = shell_in(shell, *flags, ASKED[shell].format(words=words, place=place))
        assert wanted in re.split(r"[\s:]+", done.stdout), done.stdout + done.stderr
        assert "stuck" not in done.stdout
